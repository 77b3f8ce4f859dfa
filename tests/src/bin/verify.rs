//! `cargo verify`: the whole gate, step by step, as a newcomer and the build server run it.
#![expect(clippy::print_stdout, reason = "it is a program that tells what it does")]

use std::path::{Path, PathBuf};
use std::process::{Command, ExitCode};
use std::time::Instant;

/// One step: its name and the command.
struct Step {
    name: &'static str,
    program: &'static str,
    arguments: &'static [&'static str],
    environment: &'static [(&'static str, &'static str)],
}

const fn cargo(name: &'static str, arguments: &'static [&'static str]) -> Step {
    Step { name, program: "cargo", arguments, environment: &[] }
}

const STEPS: &[Step] = &[
    cargo("format", &["fmt", "--all", "--check"]),
    cargo("lints", &["clippy", "--quiet", "--workspace", "--all-targets", "--", "-D", "warnings"]),
    cargo(
        "core for the phone (wasm32)",
        &["check", "--quiet", "-p", "client-core", "--features", "wasm", "--target", WASM],
    ),
    cargo("tests", &["test", "--quiet", "--workspace", "--all-targets"]),
    cargo("examples in the documents of the code", &["test", "--quiet", "--workspace", "--doc"]),
    Step {
        name: "documents of the code",
        program: "cargo",
        arguments: &["doc", "--quiet", "--workspace", "--no-deps"],
        environment: &[("RUSTDOCFLAGS", "-D warnings")],
    },
    cargo(
        "simulation, 2,000 seeds",
        &["run", "--quiet", "-p", "tests", "--bin", "simulate", "--", "--seeds", "2000"],
    ),
    cargo(
        "hostile bytes, 10,000",
        &["run", "--quiet", "-p", "tests", "--bin", "hostile", "--", "--count", "10000"],
    ),
    cargo(
        "the story, end to end",
        &["run", "--quiet", "-p", "tests", "--bin", "demo", "--", "--once"],
    ),
    // Installs a browser and the packages of its tests by itself, where that is allowed.
    cargo("the phone in a browser", &["run", "--quiet", "-p", "browser", "--", "check"]),
];

const WASM: &str = "wasm32-unknown-unknown";

fn main() -> ExitCode {
    let top = Path::new(env!("CARGO_MANIFEST_DIR")).parent().map(Path::to_path_buf);
    let Some(top) = top else { return ExitCode::FAILURE };
    let begin = Instant::now();
    let only: Vec<String> = std::env::args().skip(1).collect();
    if let Err(words) = set_up() {
        println!("verify: {words}");
        return ExitCode::FAILURE;
    }
    let (mut passed, mut failed) = (0, 0);
    for step in STEPS {
        if !only.is_empty() && !only.iter().any(|word| step.name.contains(word.as_str())) {
            continue;
        }
        println!("verify: {} ...", step.name);
        let start = Instant::now();
        let good = run(&top, step);
        let took = start.elapsed().as_secs();
        println!("verify: {} {} ({took} s)", step.name, if good { "passed" } else { "FAILED" });
        if good {
            passed += 1;
        } else {
            failed += 1;
        }
    }
    println!("verify: {} s in all", begin.elapsed().as_secs());
    println!("{passed} passed, {failed} failed");
    if failed == 0 { ExitCode::SUCCESS } else { ExitCode::FAILURE }
}

fn run(top: &PathBuf, step: &Step) -> bool {
    let mut command = Command::new(step.program);
    command.args(step.arguments).current_dir(top);
    for (name, value) in step.environment {
        command.env(name, value);
    }
    match command.status() {
        Ok(status) => status.success(),
        Err(wrong) => {
            println!("verify: {} could not be started: {wrong}", step.program);
            false
        }
    }
}

/// The wasm target is not on a fresh machine.
fn set_up() -> Result<(), String> {
    let installed = Command::new("rustup").args(["target", "list", "--installed"]).output();
    let installed = installed.map_err(|wrong| {
        format!("rustup could not be started ({wrong}); it is needed for the phone's target {WASM}")
    })?;
    if String::from_utf8_lossy(&installed.stdout).contains(WASM) {
        return Ok(());
    }
    println!("verify: adding the phone's target {WASM} ...");
    match Command::new("rustup").args(["target", "add", WASM]).status() {
        Ok(status) if status.success() => Ok(()),
        _ => Err(format!("rustup could not add {WASM}; add it and try again")),
    }
}
