//! Faces: each lays a [`crate::Report`] out and adds no words of its own.

pub mod drawing;
pub mod page;
#[cfg(feature = "pdf")]
pub mod paper;
pub mod terminal;
