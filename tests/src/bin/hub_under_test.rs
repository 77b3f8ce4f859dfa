//! The hub's program, built with the cases so that they can start it as a process of its own.

use std::process::ExitCode;

fn main() -> ExitCode {
    server::commands::main(std::env::args_os())
}
