//! `cargo verify`: the whole gate, step by step, as a newcomer and the build server run it.
#![expect(clippy::print_stdout, reason = "it is a program that tells what it does")]

use std::path::Path;
use std::process::{Command, ExitCode};
use std::time::Instant;

use serde_json::Value;
use tests::gate::{licence, yanked};

/// One step: its name and what it does.
struct Step {
    name: &'static str,
    does: Does,
}

/// What a step does.
enum Does {
    /// Runs cargo with arguments in an environment.
    Cargo(&'static [&'static str], &'static [(&'static str, &'static str)]),
    /// Looks at something itself.
    Look(fn(&Path) -> Result<Seen, String>),
}

/// What came of a step.
enum Seen {
    Good,
    /// It could not be looked at here, and why.
    Skipped(String),
}

const fn cargo(name: &'static str, arguments: &'static [&'static str]) -> Step {
    Step { name, does: Does::Cargo(arguments, &[]) }
}

const STEPS: &[Step] = &[
    cargo("format", &["fmt", "--all", "--check"]),
    cargo("lints", &["clippy", "--quiet", "--workspace", "--all-targets", "--", "-D", "warnings"]),
    cargo(
        "core for the phone (wasm32)",
        &["check", "--quiet", "-p", "client-core", "--features", "wasm", "--target", WASM],
    ),
    cargo("tests", &["test", "--quiet", "--workspace", "--all-targets"]),
    // The typesetter is a feature: building it takes longer than everything else that tests need.
    cargo(
        "reports on paper",
        &[
            "test",
            "--quiet",
            "-p",
            "tests",
            "-p",
            "reports",
            "--lib",
            "--test",
            "cases",
            "--features",
            "tests/pdf",
            "--",
            "paper",
            "reports",
        ],
    ),
    cargo("examples in the documents of the code", &["test", "--quiet", "--workspace", "--doc"]),
    Step {
        name: "documents of the code",
        does: Does::Cargo(
            &["doc", "--quiet", "--workspace", "--no-deps"],
            &[("RUSTDOCFLAGS", "-D warnings")],
        ),
    },
    Step { name: "licences of everything it is built from", does: Does::Look(licences) },
    Step { name: "versions that were taken back", does: Does::Look(taken_back) },
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
    let top = Path::new(env!("CARGO_MANIFEST_DIR")).parent();
    let Some(top) = top else { return ExitCode::FAILURE };
    let begin = Instant::now();
    let only: Vec<String> = std::env::args().skip(1).collect();
    if let Err(words) = set_up() {
        println!("verify: {words}");
        return ExitCode::FAILURE;
    }
    let (mut passed, mut failed, mut skipped) = (0, 0, 0);
    for step in STEPS {
        if !only.is_empty() && !only.iter().any(|word| step.name.contains(word.as_str())) {
            continue;
        }
        println!("verify: {} ...", step.name);
        let start = Instant::now();
        let seen = run(top, step);
        let took = start.elapsed().as_secs();
        match seen {
            Ok(Seen::Good) => {
                println!("verify: {} passed ({took} s)", step.name);
                passed += 1;
            }
            Ok(Seen::Skipped(why)) => {
                println!("verify: {} SKIPPED: {why}", step.name);
                skipped += 1;
            }
            Err(wrong) => {
                println!("verify: {} FAILED ({took} s): {wrong}", step.name);
                failed += 1;
            }
        }
    }
    println!("verify: {} s in all", begin.elapsed().as_secs());
    let skipped = if skipped == 0 { String::new() } else { format!(", {skipped} skipped") };
    println!("{passed} passed, {failed} failed{skipped}");
    if failed == 0 { ExitCode::SUCCESS } else { ExitCode::FAILURE }
}

fn run(top: &Path, step: &Step) -> Result<Seen, String> {
    let (arguments, environment) = match step.does {
        Does::Look(look) => return look(top),
        Does::Cargo(arguments, environment) => (arguments, environment),
    };
    let mut command = Command::new("cargo");
    command.args(arguments).current_dir(top);
    for (name, value) in environment {
        command.env(name, value);
    }
    match command.status() {
        Ok(status) if status.success() => Ok(Seen::Good),
        Ok(status) => Err(status.to_string()),
        Err(wrong) => Err(format!("cargo could not be started: {wrong}")),
    }
}

/// What cargo says of everything that the project is built from, with every feature.
fn metadata(top: &Path) -> Result<Value, String> {
    let mut command = Command::new("cargo");
    command.args(["metadata", "--format-version", "1", "--all-features", "--locked", "--quiet"]);
    let ran = command.current_dir(top).output();
    let ran = ran.map_err(|wrong| format!("cargo could not be started: {wrong}"))?;
    if !ran.status.success() {
        return Err(String::from_utf8_lossy(&ran.stderr).trim().to_owned());
    }
    serde_json::from_slice(&ran.stdout).map_err(|wrong| format!("cargo metadata: {wrong}"))
}

fn licences(top: &Path) -> Result<Seen, String> {
    match licence::refused(&metadata(top)?)? {
        found if found.is_empty() => Ok(Seen::Good),
        found => Err(found.join("\n")),
    }
}

fn taken_back(top: &Path) -> Result<Seen, String> {
    match yanked::yanked(&metadata(top)?, &top.join("target/tmp/taken-back"))? {
        None => {
            Ok(Seen::Skipped("the registry is not reached from here; try again where it is".into()))
        }
        Some(found) if found.is_empty() => Ok(Seen::Good),
        Some(found) => Err(format!(
            "taken back by whoever published them: {}; `cargo update -p NAME` chooses another version",
            found.join(", ")
        )),
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
