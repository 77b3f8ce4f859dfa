//! Exports: rows for the office, and a whole visit as JSON. Same record, same bytes.
//!
//! Keys, units and days are those of the record, whatever the language: only what stands under `words` and
//! `says` is in the tongue's language. Digits come as they were typed.

pub mod line;
pub mod open;
pub mod parquet;
pub mod table;
pub mod whole;

/// JSON Schema (2020-12) of a whole visit.
pub const VISIT_SCHEMA: &str = include_str!("export/visit.schema.json");
/// JSON Schema (2020-12) of rows for the office.
pub const LINES_SCHEMA: &str = include_str!("export/lines.schema.json");
/// JSON Schema (2020-12) of open advice and questions.
pub const OPEN_SCHEMA: &str = include_str!("export/open.schema.json");
