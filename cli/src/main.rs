//! The command line `dripleg`.

fn main() -> std::process::ExitCode {
    cli::main()
}
