//! When to come back, and where to go first.

pub mod due;
pub mod priority;
