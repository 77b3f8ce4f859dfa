//! One world from one seed, and the cases that attack it.
#![expect(clippy::unwrap_used, reason = "a case that cannot read its own fixture has failed")]

pub mod fixture;
pub mod net;
pub mod world;
