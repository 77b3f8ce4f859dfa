//! Calculations over tables: named columns of text in, named columns of text out.
//!
//! One row comes out for each row in, in order. Columns are found by name and others are ignored. A
//! row that cannot be computed carries the reason in the last column, `error`. Reading and writing
//! files is the caller's.

mod air_tables;
mod doubt_tables;
mod flue_tables;
mod fuel_tables;
pub mod fuels;
mod gas_tables;
pub mod row;
mod unit_tables;

pub use fuels::Fuels;
pub use row::{Answer, Out, Row, RowError};

use crate::trade::stats;

/// A table by its name, with the columns that it reads and writes.
pub struct Table {
    /// Name.
    pub name: &'static str,
    /// Columns read; "a | b" where either may be given.
    pub inputs: &'static [&'static str],
    /// Columns written, before `error`.
    pub outputs: &'static [&'static str],
    /// Works out one row.
    one: fn(&Row<'_>, &Fuels) -> Result<Out, RowError>,
}

impl std::fmt::Debug for Table {
    fn fmt(&self, out: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        out.debug_struct("Table").field("name", &self.name).finish_non_exhaustive()
    }
}

/// Tables that work row by row, a slice for each room.
const TABLES: &[&[Table]] = &[
    fuel_tables::TABLES,
    flue_tables::TABLES,
    gas_tables::TABLES,
    air_tables::TABLES,
    doubt_tables::TABLES,
    unit_tables::TABLES,
];

/// Every table.
pub fn all() -> impl Iterator<Item = &'static Table> {
    TABLES.iter().copied().flatten()
}

/// Names of every table that [`compute`] knows.
pub fn names() -> Vec<&'static str> {
    let statistical = stats::rows::TABLES.iter().map(|table| table.name);
    all().map(|table| table.name).chain(statistical).collect()
}

/// Columns that a table reads, "a | b" where either may be given.
pub fn inputs(name: &str) -> Option<&'static [&'static str]> {
    let own = all().find(|table| table.name == name).map(|table| table.inputs);
    own.or_else(|| stats::rows::table(name).map(|table| table.inputs))
}

/// A table worked out.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Computed {
    /// Names of the columns, `error` last.
    pub header: Vec<&'static str>,
    /// One row for each row in.
    pub rows: Vec<Vec<String>>,
}

/// Works out the table of this name; `None` where there is none.
///
/// ```
/// use client_core::trade::table::{compute, Fuels};
/// let cell = |text: &str| text.to_owned();
/// let rows = [vec![cell("in_wc"), cell("pa"), cell("2")], vec![cell("psi"), cell("degC")]];
/// let found = compute("unit_conversions", &["from_unit", "to_unit", "value_in"], &rows, &Fuels::default());
/// let found = found.unwrap();
/// assert_eq!(found.header, ["value_out", "error"]);
/// assert_eq!(found.rows[0], ["498.17782", ""]);
/// assert!(found.rows[1][1].contains("value_in"));
/// ```
pub fn compute(
    name: &str,
    header: &[&str],
    rows: &[Vec<String>],
    fuels: &Fuels,
) -> Option<Computed> {
    let Some(table) = all().find(|table| table.name == name) else {
        // A chart needs all its rows at once, so the statistics work out whole tables.
        let header_out = stats::rows::table(name)?.outputs.to_vec();
        return Some(Computed {
            header: header_out,
            rows: stats::rows::compute(name, header, rows)?,
        });
    };
    let width = table.outputs.len();
    let one = |cells: &Vec<String>| {
        let answer = (table.one)(&Row { header, cells }, fuels);
        match answer {
            Ok(out) => out.in_order(table.outputs),
            Err(reason) => {
                let mut row = vec![String::new(); width];
                row.push(reason.to_string());
                row
            }
        }
    };
    let names = table.outputs.iter().copied().chain(["error"]);
    Some(Computed { header: names.collect(), rows: rows.iter().map(one).collect() })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_are_unique() {
        let names = names();
        let unique: std::collections::BTreeSet<_> = names.iter().collect();
        assert_eq!(unique.len(), names.len());
    }

    #[test]
    fn a_row_of_rubbish_carries_a_reason_and_nothing_else() {
        for name in names() {
            let inputs = inputs(name).unwrap();
            let header: Vec<&str> = inputs.iter().flat_map(|name| name.split(" | ")).collect();
            for cell in ["", "x", "NaN", "inf", "-1e300", "1e300", "-1"] {
                let row = vec![cell.to_owned(); header.len()];
                let found = compute(name, &header, &[row], &Fuels::default()).unwrap();
                assert_eq!(found.rows.len(), 1);
                let cells = &found.rows[0];
                assert_eq!(cells.len(), found.header.len(), "{name}");
                let (reason, figures) = cells.split_last().unwrap();
                let empty = figures.iter().all(String::is_empty);
                assert!(empty != reason.is_empty(), "{name} {cell}: {cells:?}");
                let bad = |text: &String| text.contains("NaN") || text.contains("inf");
                assert!(!figures.iter().any(bad), "{name}: {cells:?}");
            }
        }
    }
}
