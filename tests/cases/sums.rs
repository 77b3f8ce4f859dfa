//! The sums against stored reference tables, printed examples, and physics.

mod demo;
mod golden;
