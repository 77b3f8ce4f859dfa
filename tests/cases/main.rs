//! Every case in one binary, so that it links once.
#![expect(clippy::unwrap_used, reason = "a case that cannot read its own fixture has failed")]

mod cli;
mod docs;
mod fault;
mod fault_phone;
mod fault_story;
mod hand_over;
mod house;
mod hub_fold;
mod hub_process;
mod hub_rules;
mod log_rules;
mod phone_words;
mod pictures;
mod reports;
mod review;
mod routes;
mod screens;
mod stats;
mod store_files;
mod story;
mod sums;
mod thread;
mod vectors;
