//! `cargo run -p bundle -- FOLDER`: builds the phone's bundle into a folder and prints its sizes.
#![expect(
    clippy::print_stdout,
    clippy::print_stderr,
    reason = "it is a program that tells what it does"
)]

use std::path::{Path, PathBuf};
use std::process::ExitCode;

fn main() -> ExitCode {
    let top = Path::new(env!("CARGO_MANIFEST_DIR")).ancestors().nth(3).map(Path::to_path_buf);
    let Some(top) = top else { return ExitCode::FAILURE };
    let out =
        std::env::args().nth(1).map_or_else(|| top.join("target/phone-bundle"), PathBuf::from);
    match bundle::build(&top, &out) {
        Ok(bundle) => {
            for made in &bundle.files {
                println!("{:>9} {:>9}  {}", made.plain, made.brotli, made.name);
            }
            println!(
                "version {}, first download {} bytes, {} afterwards",
                bundle.version,
                bundle.first_download(),
                bundle.later_download()
            );
            ExitCode::SUCCESS
        }
        Err(wrong) => {
            eprintln!("{wrong}");
            ExitCode::FAILURE
        }
    }
}
