//! Signals: flame current, air proving, thermocouple, stages of fire.

pub mod flame;
pub mod proving;
pub mod staging;
pub mod thermocouple;
