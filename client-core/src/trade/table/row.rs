//! One row of a table: cells found by the name of their column, and results in the order asked for.

use crate::trade::impossible::Impossible;
use crate::trade::quantity::Amount;
use crate::trade::unit::Unit;
use std::collections::BTreeMap;

/// Why a row has no answer.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum RowError {
    /// No cell under any of these columns.
    #[error("`{0}` is empty: fill it in")]
    Missing(String),
    /// A cell that is no number.
    #[error("`{column}` is `{cell}`: a number is needed")]
    NotANumber {
        /// The column.
        column: String,
        /// The cell.
        cell: String,
    },
    /// A fuel that is neither in the fuel table nor a named default.
    #[error("fuel `{0}` is neither in the fuel table nor a named default: add a row for it")]
    UnknownFuel(String),
    /// A fuel whose row in the fuel table cannot be read.
    #[error("fuel `{name}`: {reason}")]
    BadFuel {
        /// Its name.
        name: String,
        /// Why.
        reason: String,
    },
    /// A word that is none of those known.
    #[error("`{column}` is `{cell}`: use one of {known}")]
    UnknownWord {
        /// The column.
        column: &'static str,
        /// The cell.
        cell: String,
        /// What may stand there.
        known: &'static str,
    },
    /// Two units that measure different things.
    #[error("`{from}` does not convert into `{to}`: they measure different things")]
    NoConversion {
        /// From.
        from: String,
        /// To.
        to: String,
    },
    /// The calculation refuses.
    #[error(transparent)]
    Impossible(#[from] Impossible),
}

/// What a table gives for one row.
pub type Answer = Result<Out, RowError>;

/// A row with the header that names its cells.
#[derive(Clone, Copy, Debug)]
pub struct Row<'a> {
    /// Names of the columns.
    pub header: &'a [&'a str],
    /// Cells; a short row lacks its last ones.
    pub cells: &'a [String],
}

impl<'a> Row<'a> {
    /// The cell under a column, if it holds anything.
    pub fn text(&self, column: &str) -> Option<&'a str> {
        let at = self.header.iter().position(|name| name.trim() == column)?;
        self.cells.get(at).map(|cell| cell.trim()).filter(|cell| !cell.is_empty())
    }

    /// The cell under a column, which must hold something.
    pub fn word(&self, column: &str) -> Result<&'a str, RowError> {
        self.text(column).ok_or_else(|| RowError::Missing(column.to_owned()))
    }

    /// The number under a column, if the cell holds anything.
    pub fn maybe(&self, column: &str) -> Result<Option<f64>, RowError> {
        let Some(cell) = self.text(column) else { return Ok(None) };
        match cell.parse::<f64>() {
            Ok(number) if number.is_finite() => Ok(Some(number)),
            _ => Err(RowError::NotANumber { column: column.to_owned(), cell: cell.to_owned() }),
        }
    }

    /// The number under a column.
    pub fn number(&self, column: &str) -> Result<f64, RowError> {
        self.maybe(column)?.ok_or_else(|| RowError::Missing(column.to_owned()))
    }

    /// The number under a column, or another where the cell is empty.
    pub fn or(&self, column: &str, otherwise: f64) -> Result<f64, RowError> {
        Ok(self.maybe(column)?.unwrap_or(otherwise))
    }
}

/// Results of one row, by column.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Out {
    cells: BTreeMap<&'static str, String>,
}

impl Out {
    /// With a number at full precision.
    #[must_use]
    pub fn with(mut self, column: &'static str, number: f64) -> Out {
        self.cells
            .insert(column, if number.is_finite() { number.to_string() } else { String::new() });
        self
    }

    /// With a number where there is one.
    #[must_use]
    pub fn maybe(self, column: &'static str, number: Option<f64>) -> Out {
        match number {
            Some(number) => self.with(column, number),
            None => self,
        }
    }

    /// With a word.
    #[must_use]
    pub fn word(mut self, column: &'static str, word: impl Into<String>) -> Out {
        self.cells.insert(column, word.into());
        self
    }

    /// The cells in the order of the columns, and an empty reason.
    pub(super) fn in_order(mut self, columns: &[&'static str]) -> Vec<String> {
        let mut row: Vec<String> =
            columns.iter().map(|column| self.cells.remove(column).unwrap_or_default()).collect();
        debug_assert!(self.cells.is_empty(), "columns nobody declared: {:?}", self.cells);
        row.push(String::new());
        row
    }
}

/// A dimensionless amount, for tables that judge bare numbers.
pub(super) fn bare(value: f64) -> Amount {
    Amount::new(value, Unit::Ratio)
}
