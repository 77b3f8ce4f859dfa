//! The hub's program.

use std::process::ExitCode;

fn main() -> ExitCode {
    server::commands::main(std::env::args_os())
}
