//! The sums against stored reference tables, printed examples, and physics.

mod calculations;
mod check_values;
mod demo;
mod document;
mod golden;
mod physics;
mod published;
