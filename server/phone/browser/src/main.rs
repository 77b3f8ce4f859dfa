//! The phone in a real browser.
//!
//! `cargo run -p browser -- check [WORDS]` builds the phone's files, makes sure of a browser, and runs the
//! tests in `cases/` whose name holds one of the words; `pictures` makes the pictures of the technician's
//! guide anew, `bench` measures and prints. `cargo run -p browser -- hub FOLDER [PORT]` only
//! runs the hub that they run against, with the phone's files out of FOLDER: it prints its address as one
//! line of JSON and obeys commands on its input, see [`hub`].
#![expect(
    clippy::print_stdout,
    clippy::print_stderr,
    reason = "it is a program that tells what it does"
)]

mod check;
mod hub;
mod scene;

use std::path::{Path, PathBuf};
use std::process::ExitCode;

const USAGE: &str =
    "usage: cargo run -p browser -- check [WORDS] | pictures | bench | hub FOLDER [PORT]";

fn main() -> ExitCode {
    let words: Vec<String> = std::env::args().skip(1).collect();
    let words: Vec<&str> = words.iter().map(String::as_str).collect();
    let outcome = match words.as_slice() {
        ["check", only @ ..] => check::run(&top(), only),
        ["pictures"] => check::pictures(&top()),
        ["bench"] => check::bench(&top()),
        ["hub", folder] => hub::run(&PathBuf::from(folder), 0),
        ["hub", folder, port] => match port.parse() {
            Ok(port) => hub::run(&PathBuf::from(folder), port),
            Err(_) => Err(format!("port: found '{port}', allowed is 0 to 65535").into()),
        },
        _ => Err(USAGE.into()),
    };
    match outcome {
        Ok(()) => ExitCode::SUCCESS,
        Err(wrong) => {
            eprintln!("browser: {wrong}");
            ExitCode::FAILURE
        }
    }
}

/// The workspace.
fn top() -> PathBuf {
    let own = Path::new(env!("CARGO_MANIFEST_DIR"));
    own.ancestors().nth(3).unwrap_or(own).to_path_buf()
}
