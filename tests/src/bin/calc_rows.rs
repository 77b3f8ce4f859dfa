//! `calc_rows TABLE --rows IN.csv [--fuels FUELS.csv]`: works out a table and writes it as CSV.

use client_core::trade::table::{Fuels, names};
use std::io::Write;
use std::process::ExitCode;
use tests::fixture::Rows;

fn main() -> ExitCode {
    let mut args = std::env::args().skip(1);
    match run(&mut args) {
        Ok(()) => ExitCode::SUCCESS,
        Err(reason) => {
            // A closed standard error leaves nobody to tell.
            drop(writeln!(std::io::stderr(), "calc_rows: {reason}"));
            ExitCode::FAILURE
        }
    }
}

fn run(args: &mut impl Iterator<Item = String>) -> Result<(), Box<dyn std::error::Error>> {
    let table = args.next().ok_or("name a table first")?;
    let (mut rows, mut fuels) = (None, Fuels::default());
    while let Some(option) = args.next() {
        let file = args.next().ok_or(format!("{option} needs a file"))?;
        let read = Rows::parse(&std::fs::read_to_string(&file)?)?;
        match option.as_str() {
            "--rows" => rows = Some(read),
            "--fuels" => fuels = read.fuels(),
            _ => return Err(format!("no option {option}: use --rows and --fuels").into()),
        }
    }
    let rows = rows.ok_or("give the rows with --rows IN.csv")?;
    let unknown = || format!("no table {table}: one of {}", names().join(", "));
    let computed = rows.compute(&table, &fuels).ok_or_else(unknown)?;
    let mut writer = csv::Writer::from_writer(std::io::stdout().lock());
    writer.write_record(&computed.header)?;
    for row in &computed.rows {
        writer.write_record(row)?;
    }
    writer.flush()?;
    Ok(())
}
