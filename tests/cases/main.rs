//! Every case in one binary, so that it links once.
#![expect(clippy::unwrap_used, reason = "a case that cannot read its own fixture has failed")]

mod cli;
mod docs;
mod fault;
mod hand_over;
mod house;
mod hub_fold;
mod hub_process;
mod hub_rules;
mod reports;
mod review;
mod routes;
mod screens;
mod stats;
mod story;
mod sums;
mod thread;
