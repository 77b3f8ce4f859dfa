//! The budgets: what an exchange costs on a stored site of 2,000 sheets, beside what it could cost.
//!
//! `cargo run --release -p tests --bin workload -- truck-day|new-phone|idle|commit [--json]`
#![expect(
    clippy::print_stdout,
    clippy::print_stderr,
    reason = "it is a program that prints figures"
)]

use std::path::{Path, PathBuf};
use std::process::ExitCode;

use serde_json::Value;
use tests::bench::link::Pace;
use tests::net::Wrong;
use tests::workload::{build, child, commit, measure};

const USAGE: &str = "usage: workload truck-day|new-phone|idle|commit [--json] [--sheets N] \
                     [--link edge|loopback] [--folder DIR]";

struct Wish {
    what: String,
    json: bool,
    sheets: u64,
    pace: Pace,
    folder: Option<PathBuf>,
}

fn main() -> ExitCode {
    let empty = child::Empty::process();
    let words: Vec<String> = std::env::args().skip(1).collect();
    let outcome = match words.first().map(String::as_str) {
        Some("part") => part(&words[1..], empty),
        _ => match wish(words) {
            Ok(wish) => run(&wish),
            Err(wrong) => {
                eprintln!("workload: {wrong}\n{USAGE}");
                return ExitCode::from(2);
            }
        },
    };
    match outcome {
        Ok(()) => ExitCode::SUCCESS,
        Err(wrong) => {
            eprintln!("workload: {wrong}");
            ExitCode::FAILURE
        }
    }
}

fn wish(words: Vec<String>) -> Result<Wish, String> {
    let mut wish =
        Wish { what: String::new(), json: false, sheets: 2_000, pace: Pace::EDGE, folder: None };
    let mut words = words.into_iter();
    while let Some(word) = words.next() {
        let mut value = || words.next().ok_or(format!("{word} needs a value"));
        match word.as_str() {
            "--json" => wish.json = true,
            "--sheets" => {
                let found = value()?;
                let wrong = format!("--sheets: found '{found}', allowed is 24 to 100000");
                wish.sheets = found.parse().map_err(|_| wrong.clone())?;
                if !(24..=100_000).contains(&wish.sheets) {
                    return Err(wrong);
                }
            }
            "--link" => {
                wish.pace = match value()?.as_str() {
                    "edge" => Pace::EDGE,
                    "loopback" => Pace::LOOPBACK,
                    other => {
                        return Err(format!(
                            "--link: found '{other}', allowed is edge or loopback"
                        ));
                    }
                }
            }
            "--folder" => wish.folder = Some(value()?.into()),
            "truck-day" | "new-phone" | "idle" | "commit" => wish.what = word,
            other => return Err(format!("there is no '{other}'")),
        }
    }
    if wish.what.is_empty() { Err("nothing to measure was named".to_owned()) } else { Ok(wish) }
}

fn run(wish: &Wish) -> Result<(), Wrong> {
    if wish.what == "commit" {
        return print(wish, &commit::all()?);
    }
    let kept = wish.folder.is_some();
    let folder = wish.folder.clone().unwrap_or_else(|| {
        std::env::temp_dir().join(format!("dripleg-workload-{}", std::process::id()))
    });
    let outcome = measured(wish, &folder);
    if !kept {
        drop(std::fs::remove_dir_all(&folder));
    }
    print(wish, &outcome?)
}

fn measured(wish: &Wish, folder: &Path) -> Result<Value, Wrong> {
    let done = folder.join(format!("built-{}", wish.sheets));
    if !done.exists() {
        std::fs::create_dir_all(folder)?;
        build::build(folder, wish.sheets, &mut |words| eprintln!("{words}"))?;
        std::fs::write(&done, [])?;
    }
    match wish.what.as_str() {
        "truck-day" => measure::truck_day(folder, wish.sheets, wish.pace),
        "idle" => measure::idle(folder, wish.pace),
        _ => measure::new_phone(folder, wish.pace),
    }
}

fn print(wish: &Wish, figures: &Value) -> Result<(), Wrong> {
    if wish.json {
        println!("{figures}");
        return Ok(());
    }
    for (key, value) in figures.as_object().ok_or("no figures")? {
        println!("{key:<28} {value}");
    }
    Ok(())
}

fn part(words: &[String], empty: child::Empty) -> Result<(), Wrong> {
    let words: Vec<&str> = words.iter().map(String::as_str).collect();
    match words.as_slice() {
        ["hub", folder] => child::hub(Path::new(folder), empty),
        ["edit", folder, name, sheets] => child::edit(Path::new(folder), name, sheets.parse()?),
        ["exchange", folder, name, url] => child::exchange(Path::new(folder), name, url, empty),
        ["fresh", folder, url, code] => child::fresh(Path::new(folder), url, code, empty),
        _ => Err(format!("there is no part {words:?}").into()),
    }
}
