//! `calc`: the sums of the trade, one at a time or over a table.

use client_core::trade::calc::argument::Default as Given;
use client_core::trade::calc::{Calculation, all, find, run as work_out};
use client_core::trade::table::{self, Fuels};
use client_core::trade::unit::System;
use client_core::trade::worked::text::lines;
use client_core::trade::worked::{Line, Region, Sheet};
use serde_json::{Value, json};

use crate::desk::{Desk, file_wrong};
use crate::error::Trouble;
use crate::json;
use crate::pairs;

/// Work something out, with the steps, the source and how sure it is
///
/// `dripleg calc --list` names the calculations; a name alone says what it takes. With --rows a whole
/// table is worked out: one row comes out for each row in, in order.
#[derive(Debug, clap::Args)]
pub struct Args {
    /// Calculation, or table with --rows
    name: Option<String>,
    /// What goes in, as KEY=VALUE: o2=8.0, flue='360 F', 'measured=4.12 ± 0.05'
    #[arg(value_name = "KEY=VALUE")]
    values: Vec<String>,
    /// List calculations and tables
    #[arg(long)]
    list: bool,
    /// Rows of a table, as CSV; - for standard input. Columns are found by name, others are ignored,
    /// lines that begin with # are notes
    #[arg(long, value_name = "IN.csv", conflicts_with = "values")]
    rows: Option<std::path::PathBuf>,
    /// Fuels that a column of the rows names, as CSV
    #[arg(long, value_name = "FUELS.csv", requires = "rows")]
    fuels: Option<std::path::PathBuf>,
}

pub(crate) fn run(args: &Args, desk: &mut Desk<'_>) -> Result<(), Trouble> {
    let Some(name) = args.name.as_deref().filter(|_| !args.list) else {
        if args.list {
            return list(desk);
        }
        return Err(Trouble::Usage("name a calculation; `dripleg calc --list` shows them".to_owned()));
    };
    if args.rows.is_some() {
        return rows(args, name, desk);
    }
    if args.values.is_empty()
        && let Some(calculation) = find(name)
        && calculation.parameters.iter().any(|one| matches!(one.default, Given::Required))
    {
        return about(desk, calculation);
    }
    let pairs: Vec<(&str, &str)> =
        args.values.iter().map(|typed| pairs::split(typed)).collect::<Result<_, _>>()?;
    let tidy: Vec<(String, &str)> =
        pairs.iter().map(|(key, text)| (key.to_lowercase().replace('-', "_"), *text)).collect();
    let tidy: Vec<(&str, &str)> = tidy.iter().map(|(key, text)| (key.as_str(), *text)).collect();
    let sheet = work_out(name, &tidy)?;
    let system = desk.system.unwrap_or(System::Us);
    if desk.ui.manners.json {
        return desk.ui.json(&as_json(name, &sheet));
    }
    for line in lines(&sheet, system) {
        desk.ui.line(&line)?;
    }
    Ok(())
}

fn list(desk: &mut Desk<'_>) -> Result<(), Trouble> {
    if desk.ui.manners.json {
        let calculations: Vec<_> = all().map(about_json).collect();
        let tables: Vec<_> = table::names()
            .into_iter()
            .map(|name| json!({ "name": name, "inputs": table::inputs(name) }))
            .collect();
        return desk.ui.json(&json!({ "calculations": calculations, "tables": tables }));
    }
    let rows: Vec<Vec<String>> =
        all().map(|one| vec![one.name.to_owned(), one.about.to_owned()]).collect();
    desk.ui.table(&["calculation", "what it answers"], &rows)?;
    desk.ui.line("")?;
    let rows: Vec<Vec<String>> = table::names()
        .into_iter()
        .map(|name| vec![name.to_owned(), table::inputs(name).unwrap_or_default().join(", ")])
        .collect();
    desk.ui.table(&["table (--rows)", "columns read"], &rows)
}

fn about(desk: &mut Desk<'_>, calculation: &Calculation) -> Result<(), Trouble> {
    if desk.ui.manners.json {
        return desk.ui.json(&about_json(calculation));
    }
    desk.ui.line(&format!("{}: {}", calculation.name, calculation.about))?;
    let rows: Vec<Vec<String>> = calculation
        .parameters
        .iter()
        .map(|one| {
            let unit = one.unit.map_or("a word", |unit| unit.key());
            let default = match one.default {
                Given::Required => "needed".to_owned(),
                Given::Optional => "may be left out".to_owned(),
                Given::Text(text) => format!("else {text}"),
            };
            vec![one.key.to_owned(), unit.to_owned(), format!("{} ({default})", one.help)]
        })
        .collect();
    desk.ui.table(&["takes", "in", "what"], &rows)
}

fn about_json(calculation: &Calculation) -> Value {
    let takes: Vec<_> = calculation
        .parameters
        .iter()
        .map(|one| {
            json!({
                "key": one.key,
                "help": one.help,
                "unit": one.unit.map(client_core::trade::unit::Unit::key),
                "needed": matches!(one.default, Given::Required),
                "default": match one.default { Given::Text(text) => Some(text), _ => None },
            })
        })
        .collect();
    json!({ "name": calculation.name, "about": calculation.about, "takes": takes })
}

fn as_json(name: &str, sheet: &Sheet) -> Value {
    let line = |line: &Line| {
        json!({
            "key": line.key,
            "name": line.name,
            "amount": json::amount(line.amount),
            "how": if line.how.is_empty() { Value::Null } else { json!(line.how) },
        })
    };
    let list = |lines: &[Line]| lines.iter().map(line).collect::<Vec<_>>();
    let spreads: Vec<_> = sheet
        .spreads
        .iter()
        .map(|own| {
            json!({
                "key": own.key,
                "standard": json::amount(own.standard),
                "expanded": json::amount(own.expanded),
                "low": json::amount(own.low),
                "high": json::amount(own.high),
                "method": own.method,
                "mostly": own.mostly.as_ref().map(|(name, share)| json!({ "name": name, "percent": share })),
            })
        })
        .collect();
    let rules: Vec<_> = sheet
        .rules
        .iter()
        .map(|own| {
            json!({
                "name": own.name,
                "beside": own.beside,
                "amount": json::amount(own.amount),
                "gap": json::amount(own.gap),
                "source": own.source,
            })
        })
        .collect();
    json!({
        "calculation": name,
        "formula": {
            "stamp": sheet.formula.stamp(),
            "name": sheet.formula.name,
            "expression": sheet.formula.expression,
            "source": sheet.formula.source,
            "range": sheet.formula.range,
        },
        "inputs": list(&sheet.inputs),
        "defaults": sheet.defaults.iter().map(|(key, text)| json!({ "key": key, "text": text })).collect::<Vec<_>>(),
        "steps": list(&sheet.steps),
        "results": list(&sheet.results),
        "uncertainty": spreads,
        "rules_of_thumb": rules,
        "findings": sheet.findings,
        "outside_range": match sheet.region { Region::Inside => Value::Null, Region::Outside(why) => json!(why) },
        "cautions": sheet.cautions,
    })
}

/// A CSV file taken apart: header and rows.
type Csv = (Vec<String>, Vec<Vec<String>>);

fn read_csv(bytes: &[u8], name: &str) -> Result<Csv, Trouble> {
    let bytes = bytes.strip_prefix(b"\xef\xbb\xbf").unwrap_or(bytes);
    let wrong = |wrong: &csv::Error| Trouble::File {
        file: name.to_owned(),
        what: "read as CSV",
        wrong: wrong.to_string(),
    };
    let mut reader = csv::ReaderBuilder::new().comment(Some(b'#')).flexible(true).from_reader(bytes);
    let owned = |record: &csv::StringRecord| record.iter().map(str::to_owned).collect::<Vec<_>>();
    let header = owned(reader.headers().map_err(|cause| wrong(&cause))?);
    let mut rows = vec![];
    for record in reader.records() {
        let mut row = owned(&record.map_err(|cause| wrong(&cause))?);
        row.resize(header.len(), String::new());
        rows.push(row);
    }
    Ok((header, rows))
}

fn load(desk: &mut Desk<'_>, file: &std::path::Path) -> Result<Csv, Trouble> {
    if file.as_os_str() == "-" {
        let text = desk.ui.read_all()?;
        return read_csv(text.as_bytes(), "standard input");
    }
    let bytes = std::fs::read(file).map_err(|wrong| file_wrong(file, "read", &wrong))?;
    read_csv(&bytes, &file.display().to_string())
}

fn rows(args: &Args, name: &str, desk: &mut Desk<'_>) -> Result<(), Trouble> {
    if !table::names().contains(&name) {
        let words = format!("there is no table '{name}'; there is {}", table::names().join(", "));
        return Err(Trouble::Usage(words));
    }
    let file = args.rows.as_deref().expect("the caller saw that rows are given");
    let (header, cells) = load(desk, file)?;
    let fuels = match &args.fuels {
        None => Fuels::default(),
        Some(file) => {
            let (header, rows) = load(desk, file)?;
            let header: Vec<&str> = header.iter().map(String::as_str).collect();
            Fuels::read(&header, &rows)
        }
    };
    let header: Vec<&str> = header.iter().map(String::as_str).collect();
    let computed = table::compute(name, &header, &cells, &fuels);
    let computed = computed.expect("every name of the list of tables is worked out");
    if desk.ui.manners.json {
        let list: Vec<Value> = computed
            .rows
            .iter()
            .map(|row| {
                let pairs = computed.header.iter().zip(row);
                Value::Object(pairs.map(|(key, cell)| ((*key).to_owned(), json!(cell))).collect())
            })
            .collect();
        return desk.ui.json(&json!(list));
    }
    let mut writer = csv::Writer::from_writer(vec![]);
    let bad = |wrong: csv::Error| Trouble::State(format!("the table cannot be written: {wrong}"));
    writer.write_record(&computed.header).map_err(bad)?;
    for row in &computed.rows {
        let clean = row.iter().map(|cell| client_core::present::plain::line(cell));
        writer.write_record(clean).map_err(bad)?;
    }
    let bytes = writer.into_inner().map_err(|wrong| Trouble::State(wrong.to_string()))?;
    desk.ui.raw(&String::from_utf8_lossy(&bytes))
}
