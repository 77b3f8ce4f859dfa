//! Narrow slips that stay at the unit: at most eight lines of thirty-two characters.

mod column;
mod flue;
mod line;
mod shut_down;

pub use column::ColumnSlip;
pub use flue::FlueSlip;
pub use shut_down::ShutDownSlip;

use crate::text::Text;

/// Characters of a line.
pub const COLUMNS: usize = 32;
/// Lines of a slip, the banner counted.
pub const LINES: usize = 8;

/// A slip, line by line.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Slip {
    /// DO NOT USE, on the slip of a unit that is shut down: it has an outline of its own.
    pub banner: Option<Text>,
    /// The lines, each of at most [`COLUMNS`] characters; with the banner at most [`LINES`].
    pub lines: Vec<Text>,
}

impl Slip {
    /// Every text.
    pub fn texts(&self) -> Vec<&Text> {
        self.banner.iter().chain(&self.lines).collect()
    }
}
