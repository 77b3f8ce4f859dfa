//! How records are said: words and numbers, the same on every face.
//!
//! Nothing here decides or merges anything, and nothing writes to a screen: a face takes these texts
//! and lays them out. Texts of people come through as they were typed; [`plain`] takes out what must
//! not reach a terminal.

pub mod both;
pub mod plain;
pub mod say;
pub mod words;

pub use say::{Names, Say};
