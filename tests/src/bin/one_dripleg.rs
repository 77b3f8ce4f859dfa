//! The command line as a program of its own, for cases that need a real process.

fn main() -> std::process::ExitCode {
    cli::main()
}
