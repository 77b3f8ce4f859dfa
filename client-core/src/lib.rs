//! The core of Dripleg: the record of a visit, how two halves of it join, and the sums behind it.
//!
//! Everything here is a function of its arguments: no clock, no network, no environment, no printing.
//! The callers bring bytes, time and randomness.

pub mod device;
pub mod exchange;
pub mod fault;
pub mod gate;
pub mod pattern;
pub mod present;
pub mod record;
pub mod store;
pub mod trade;
