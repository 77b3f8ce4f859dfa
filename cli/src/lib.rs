//! The command line `dripleg`: the office's and the technician's hands on the record.
//!
//! Flow: [`args`] reads what was typed, one file of [`commands`] does it on a [`desk::Desk`], and [`ui`]
//! alone writes: data to standard output, talk to standard error. Clock, environment, network and files
//! come from [`outside`], so that a test brings its own.

pub mod args;
pub mod book;
pub mod carry;
pub mod clap_text;
pub mod commands;
pub mod desk;
pub mod draft;
pub mod entries;
pub mod error;
pub mod find;
pub mod json;
pub mod outside;
pub mod pairs;
pub mod save;
pub mod ui;
pub mod wire;

use std::ffi::OsString;

pub use outside::Outside;

/// Runs the program on the process's own outside.
pub fn main() -> std::process::ExitCode {
    let mut outside = Outside::of_process();
    let code = run(std::env::args_os().collect(), &mut outside);
    std::process::ExitCode::from(code)
}

/// Runs one command line, the program's name first. Answers the exit code: 0 done, 1 not done, 2 the
/// command line cannot be read.
pub fn run(argv: Vec<OsString>, outside: &mut Outside<'_>) -> u8 {
    match args::parse(argv) {
        Ok((cli, typed)) => desk::run(cli, &typed, outside),
        Err(wrong) => clap_text::print(&wrong, outside),
    }
}
