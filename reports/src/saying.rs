//! What the record's typed facts say, in the tongue's language.

mod building;
mod difference;
mod entry;
mod mark;
mod verdict;

pub(crate) use verdict::{DERIVED, shape};

pub use difference::{About, side_says};
pub use mark::blocker_kinds;

use crate::book::Book;
use crate::tongue::Tongue;

/// Says facts: a tongue and the names.
#[derive(Clone, Copy, Debug)]
pub struct Sayer<'a> {
    /// The tongue.
    pub tongue: Tongue,
    /// The names.
    pub book: &'a Book,
}

impl<'a> Sayer<'a> {
    /// A sayer.
    pub const fn new(tongue: Tongue, book: &'a Book) -> Sayer<'a> {
        Sayer { tongue, book }
    }
}
