//! Fixture files: stored tables with the tolerances that they are held to, and rows of CSV.

use client_core::trade::table::{Computed, Fuels, compute};
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

/// A path under `tests/fixtures`.
pub fn path(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("fixtures").join(name)
}

/// The text of a fixture.
pub fn text(name: &str) -> String {
    std::fs::read_to_string(path(name)).unwrap_or_else(|reason| panic!("{name}: {reason}"))
}

/// Rows of CSV under a header; lines that begin with `#` are notes.
#[derive(Clone, Debug)]
pub struct Rows {
    /// Names of the columns.
    pub header: Vec<String>,
    /// Cells.
    pub rows: Vec<Vec<String>>,
}

impl Rows {
    /// Reads CSV.
    pub fn parse(text: &str) -> Result<Rows, csv::Error> {
        let mut reader = csv::ReaderBuilder::new()
            .comment(Some(b'#'))
            .flexible(true)
            .from_reader(text.as_bytes());
        let header = reader.headers()?.iter().map(str::to_owned).collect();
        let cells = |record: Result<csv::StringRecord, _>| {
            record.map(|record| record.iter().map(str::to_owned).collect())
        };
        Ok(Rows { header, rows: reader.records().map(cells).collect::<Result<_, _>>()? })
    }

    /// A stored table.
    pub fn golden(table: &str) -> Rows {
        Rows::parse(&text(&format!("golden/{table}.csv"))).unwrap()
    }

    /// Works the table out.
    pub fn compute(&self, table: &str, fuels: &Fuels) -> Option<Computed> {
        let header: Vec<&str> = self.header.iter().map(String::as_str).collect();
        compute(table, &header, &self.rows, fuels)
    }

    /// Reads the rows as a fuel table.
    pub fn fuels(&self) -> Fuels {
        let header: Vec<&str> = self.header.iter().map(String::as_str).collect();
        Fuels::read(&header, &self.rows)
    }

    /// Place of a column.
    pub fn column(&self, name: &str) -> Option<usize> {
        self.header.iter().position(|own| own == name)
    }
}

/// How far a column may be from its stored figures.
#[derive(Clone, Debug, PartialEq)]
pub enum Tolerance {
    /// The larger of a relative and an absolute part; only where another column says this word.
    Within {
        /// Relative part.
        relative: f64,
        /// Absolute part.
        absolute: f64,
        /// Column and word of the rows that count.
        only: Option<(String, String)>,
    },
    /// The same text.
    Same,
}

/// Tolerances of every table, by table and column.
pub fn tolerances() -> BTreeMap<String, BTreeMap<String, Tolerance>> {
    let tables: serde_json::Value = serde_json::from_str(&text("golden/tables.json")).unwrap();
    let one = |entry: &serde_json::Value| {
        if entry["same"].as_bool() == Some(true) {
            return Tolerance::Same;
        }
        let only = entry["where"].as_object().and_then(|only| only.iter().next());
        Tolerance::Within {
            relative: entry["rel"].as_f64().unwrap_or(0.0),
            absolute: entry["abs"].as_f64().unwrap_or(0.0),
            only: only.map(|(column, word)| (column.clone(), word.as_str().unwrap().to_owned())),
        }
    };
    let outputs = |table: &serde_json::Value| {
        let outputs = table["outputs"].as_object().unwrap();
        outputs.iter().map(|(name, entry)| (name.clone(), one(entry))).collect()
    };
    let tables = tables.as_object().unwrap();
    tables.iter().map(|(name, table)| (name.clone(), outputs(table))).collect()
}
