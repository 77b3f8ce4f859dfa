//! Pieces of JSON that several commands print.

use client_core::record::id::EntryId;
use client_core::record::value::{Day, Figure, Moment};
use client_core::trade::quantity::Amount;
use serde_json::{Value, json};

/// An entry's number.
pub fn entry(entry: EntryId) -> Value {
    json!(entry.to_string())
}

/// A figure as typed: digits as a string, because they are kept as typed.
pub fn figure(figure: Figure) -> Value {
    json!({ "value": figure.digits.to_string(), "unit": figure.unit.key() })
}

/// An amount.
pub fn amount(amount: Amount) -> Value {
    json!({ "value": amount.value, "unit": amount.unit.key() })
}

/// A moment.
pub fn moment(moment: Moment) -> Value {
    json!(moment.to_string())
}

/// A day, or null.
pub fn day(day: Option<Day>) -> Value {
    day.map_or(Value::Null, |day| json!(day.to_string()))
}
