//! Statistics over a building's own records: shares, rates, waiting times, charts and trends.
//!
//! All of it is dimensionless or carries the unit of what goes in (days, hours, microamperes); each
//! function says which. Intervals are two-sided. Counts come before percentages everywhere: the types here
//! keep the numerator and the denominator, and [`words`] says them.
//!
//! Nothing here ranks people, and nothing turns two events into a mean time between failures: the types
//! refuse with [`StatsError::TooFew`] where the data cannot carry the answer.

pub mod control;
pub mod interval;
pub mod proportion;
pub mod rate;
pub mod rows;
pub mod shares;
pub mod special;
pub mod survival;
pub mod trend;
pub mod weibull;
pub mod words;

pub use interval::{Interval, Level};

/// Why a statistic cannot be given.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum StatsError {
    /// A value outside what the calculation accepts.
    #[error("{what} is {value}, it must be {rule}")]
    OutOfRange {
        /// What the value is, in the trade's words.
        what: &'static str,
        /// The value as given.
        value: f64,
        /// The rule it breaks.
        rule: &'static str,
    },
    /// Fewer observations than the answer needs.
    #[error("{have} {what} cannot carry this answer, at least {need} are needed")]
    TooFew {
        /// What is counted.
        what: &'static str,
        /// How many there are.
        have: usize,
        /// How many are needed.
        need: usize,
    },
    /// Two lists that belong together differ in length.
    #[error("{left} has {left_len} values and {right} has {right_len}, each must have its partner")]
    Unpaired {
        /// The first list.
        left: &'static str,
        /// Its length.
        left_len: usize,
        /// The second list.
        right: &'static str,
        /// Its length.
        right_len: usize,
    },
    /// Every value is the same, so that a spread or a slope does not exist.
    #[error(
        "all {what} are the same, so the spread cannot be found; take readings that differ in {what}"
    )]
    NoSpread {
        /// What does not vary.
        what: &'static str,
    },
}

/// Refuses NaN and infinity, which no reading and no date can be.
pub(crate) fn finite(what: &'static str, value: f64) -> Result<f64, StatsError> {
    if value.is_finite() {
        Ok(value)
    } else {
        Err(StatsError::OutOfRange { what, value, rule: "a finite number" })
    }
}

/// Refuses what is not a positive number.
pub(crate) fn positive(what: &'static str, value: f64) -> Result<f64, StatsError> {
    if value.is_finite() && value > 0.0 {
        Ok(value)
    } else {
        Err(StatsError::OutOfRange { what, value, rule: "a number above 0" })
    }
}

/// A count as a float: exact below 2^53, and no count of records comes near it.
#[expect(clippy::cast_precision_loss, reason = "counts of records stay far below 2^53")]
pub(crate) fn real(count: usize) -> f64 {
    count as f64
}
