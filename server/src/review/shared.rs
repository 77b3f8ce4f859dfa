//! Links to a visit's report for the customer.

use client_core::record::value::Moment;

use super::Named;
use super::difference::at;

/// A link.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct SharedLine {
    /// What it is known by.
    pub name: String,
    /// Who made it.
    pub by: Named,
    /// When, UTC.
    pub made: String,
    /// Its last day, UTC.
    pub until: String,
    /// The language, by its code.
    pub language: String,
    /// It opens the report now.
    pub open: bool,
}

impl SharedLine {
    /// A link, from moments in seconds since 1970.
    pub fn new(
        name: String,
        by: Named,
        (made, until): (i64, i64),
        language: String,
        open: bool,
    ) -> SharedLine {
        let utc = |secs| Moment { secs, offset_min: 0 };
        SharedLine {
            name,
            by,
            made: at(utc(made)),
            until: utc(until).day().to_string(),
            language,
            open,
        }
    }
}
