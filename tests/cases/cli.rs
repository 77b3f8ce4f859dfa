//! The command line: every command, in one thread with a hub, and as real processes.

mod bench;
mod day;
mod input;
mod office;
mod paper;
mod pictures;
mod process;
mod sums;
mod text;
