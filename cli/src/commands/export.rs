//! `export`: rows for the office, a whole visit as JSON, and the schemas of both.

use std::path::PathBuf;

use client_core::record::value::Day;
use client_core::trade::unit::System;
use reports::export::parquet::parquet;
use reports::export::{self, line, open, table, whole};
use reports::export::table::Table;
use reports::gather::Gatherer;
use reports::visit::VisitRecord;
use reports::{Firm, Language, Tongue};

use crate::args::At;
use crate::commands::report::language;
use crate::desk::{Desk, write_whole};
use crate::error::Trouble;
use crate::pairs;
use crate::ui::Tone;

/// Export a visit: rows for the office, open advice and questions, everything as JSON
///
/// The number of an entry is the same in every export, so that an import done twice doubles nothing. A cell
/// that a spreadsheet would take for a formula has an apostrophe before it. There are no prices.
#[derive(Debug, clap::Args)]
pub struct Args {
    #[command(subcommand)]
    what: What,
    /// The language of the words: en, fr, es
    #[arg(long, global = true, default_value = "en", value_parser = language)]
    lang: Language,
    /// Write to a file, not to standard output
    #[arg(long, global = true, value_name = "FILE")]
    out: Option<PathBuf>,
}

#[derive(Debug, clap::Subcommand)]
enum What {
    /// Rows of a visit: labour, parts, advice, tests, checks, findings, work
    Lines {
        /// The format
        #[arg(long, value_enum, default_value_t)]
        format: Format,
        #[command(flatten)]
        at: At,
    },
    /// Open advice, questions and shut-downs with their age
    Open {
        /// The format
        #[arg(long, value_enum, default_value_t)]
        format: Format,
        /// The day on which the age is counted [default: today]
        #[arg(long, value_parser = pairs::day)]
        on: Option<Day>,
        #[command(flatten)]
        at: At,
    },
    /// Everything of a visit as JSON
    Visit {
        #[command(flatten)]
        at: At,
    },
    /// The JSON Schema of an export
    Schema {
        /// Of which export
        #[arg(value_enum)]
        of: Schema,
    },
}

/// A format of rows.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, clap::ValueEnum)]
enum Format {
    /// CSV by RFC 4180.
    #[default]
    Csv,
    /// JSON.
    Json,
    /// Parquet, for analysts; needs `--out`.
    Parquet,
}

/// What is written.
enum Written {
    Text(String),
    Bytes(Vec<u8>),
}

impl Format {
    /// Rows in this format.
    fn of(self, table: impl FnOnce() -> Table, json: impl FnOnce() -> serde_json::Value) -> Written {
        match self {
            Format::Csv => Written::Text(table::csv(&table())),
            Format::Json => Written::Text(pretty(&json())),
            Format::Parquet => Written::Bytes(parquet(&table())),
        }
    }
}

/// A schema.
#[derive(Clone, Copy, Debug, PartialEq, Eq, clap::ValueEnum)]
enum Schema {
    /// Rows of a visit.
    Lines,
    /// Open advice and questions.
    Open,
    /// A whole visit.
    Visit,
}

pub(crate) fn run(args: &Args, desk: &mut Desk<'_>) -> Result<(), Trouble> {
    let tongue = Tongue::new(args.lang, desk.system.unwrap_or(System::Us));
    let written = match &args.what {
        What::Lines { format, at } => {
            let lines = line::lines(&record(desk, at)?, tongue);
            format.of(|| line::table(&lines), || line::json(&lines))
        }
        What::Open { format, on, at } => {
            let on = on.unwrap_or(desk.now().day());
            let found = open::open(&record(desk, at)?, on);
            format.of(|| open::table(&found), || open::json(&found, on))
        }
        What::Visit { at } => Written::Text(pretty(&whole::json(&record(desk, at)?, tongue))),
        What::Schema { of } => Written::Text(match of {
            Schema::Lines => export::LINES_SCHEMA.to_owned(),
            Schema::Open => export::OPEN_SCHEMA.to_owned(),
            Schema::Visit => export::VISIT_SCHEMA.to_owned(),
        }),
    };
    let bytes = match (&args.out, &written) {
        (None, Written::Text(text)) => return desk.ui.raw(text),
        (None, Written::Bytes(_)) => {
            return Err(Trouble::Usage(
                "parquet is no text; name the file that it goes to with --out".to_owned(),
            ));
        }
        (Some(_), Written::Text(text)) => text.as_bytes(),
        (Some(_), Written::Bytes(bytes)) => bytes,
    };
    if let Some(file) = &args.out {
        write_whole(file, bytes)?;
        desk.ui.talk(Tone::Dim, &format!("{} written", file.display()));
    }
    Ok(())
}

fn record(desk: &mut Desk<'_>, at: &At) -> Result<VisitRecord, Trouble> {
    let place = desk.place(at)?;
    let mut gatherer = Gatherer::new(desk.device()?, Firm::default())?;
    Ok(gatherer.record(place.site, place.visit)?)
}

fn pretty(value: &serde_json::Value) -> String {
    format!("{value:#}\n")
}
