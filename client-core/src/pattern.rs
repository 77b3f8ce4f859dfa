//! Patterns over a building: what drifts, what repeats, where, and what would change it.
//!
//! Pure functions on small plain inputs that are read from the record: a unit's marks (day, firing hours,
//! value), findings with their cause, parts, changes. Every answer keeps the counts behind it and says when
//! the data cannot carry more. Nothing here ranks people, promises savings, or gives a mean time between
//! failures from two events; proposals carry their evidence and wait for the supervisor.

pub mod answers;
pub mod baseline;
pub mod building;
pub mod causes;
pub mod day;
pub mod drift;
pub mod experiment;
pub mod found;
pub mod helps;
pub mod interval;
pub mod morning;
pub mod own;
pub mod repeats;
pub mod seen;
pub mod twins;
pub mod van;
pub mod waiting;
pub mod went;

pub use day::Day;
