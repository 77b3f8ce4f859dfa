//! Heat delivered, and what lost heat costs.

pub mod boiler;
pub mod cost;
pub mod degree_day;
pub mod output;
