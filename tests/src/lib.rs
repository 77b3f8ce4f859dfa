//! One world from one seed, and the cases that attack it.
#![expect(clippy::unwrap_used, reason = "a case that cannot read its own fixture has failed")]

pub mod bench;
pub mod fixture;
pub mod gate;
pub mod hostile;
pub mod net;
pub mod story;
pub mod workload;
pub mod world;
