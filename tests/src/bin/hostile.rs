//! Shoots bent bytes at everything that foreign bytes reach: `hostile [--count N] [--seed S] [--kind K] [--look N]`.
//!
//! After every N shots each device exchanges and shows everything. It fails when something panics, takes more memory than its limit, or does not work afterwards, and says
//! how to shoot the same again.
#![expect(clippy::print_stdout, reason = "a report for the person at the terminal")]

use std::collections::BTreeMap;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::process::ExitCode;
use std::sync::{Mutex, PoisonError};

use peak_alloc::PeakAlloc;
use tests::hostile::range::{Kind, MEMORY_MAX, Outcome, Range};
use tests::world::Seeded;

#[global_allocator]
static MEMORY: PeakAlloc = PeakAlloc;

/// The last panic, in words.
static LAST: Mutex<Option<String>> = Mutex::new(None);

struct Wish {
    count: u64,
    seed: u64,
    kind: Option<Kind>,
    /// Shots between two looks whether everybody still works.
    look: u64,
}

#[derive(Default)]
struct Counts {
    refused: u64,
    passed: u64,
    most: usize,
}

fn last() -> String {
    let last = LAST.lock().unwrap_or_else(PoisonError::into_inner);
    last.clone().unwrap_or_else(|| "panicked".to_owned())
}

fn wish() -> Result<Wish, String> {
    let mut wish = Wish { count: 10_000, seed: 1, kind: None, look: 500 };
    let mut words = std::env::args().skip(1);
    while let Some(word) = words.next() {
        let value = words.next().ok_or(format!("{word} needs a value"))?;
        let number = || value.parse().map_err(|_| format!("{word}: '{value}' is not a number"));
        match word.as_str() {
            "--count" => wish.count = number()?,
            "--seed" => wish.seed = number()?,
            "--look" => wish.look = number()?.max(1),
            "--kind" => {
                let named = |kind: &&Kind| format!("{kind:?}").eq_ignore_ascii_case(&value);
                let kind = Kind::ALL.iter().find(named);
                wish.kind = Some(*kind.ok_or(format!("there is no kind '{value}'"))?);
            }
            other => return Err(format!("'{other}' is not known here")),
        }
    }
    Ok(wish)
}

fn main() -> ExitCode {
    let wish = match wish() {
        Ok(wish) => wish,
        Err(wrong) => {
            println!("{wrong}\nusage: hostile [--count N] [--seed S] [--kind K] [--look N]");
            return ExitCode::from(2);
        }
    };
    // The gate runs what it does not trust behind a catch: what is caught there is no failure, and its
    // words are only wanted when nothing caught it.
    std::panic::set_hook(Box::new(|panic| {
        LAST.lock().unwrap_or_else(PoisonError::into_inner).replace(panic.to_string());
    }));
    let mut counts = BTreeMap::new();
    match shoot(&wish, &mut counts) {
        Ok(()) => {}
        Err(wrong) => {
            println!("{wrong}");
            println!(
                "again: cargo run -p tests --bin hostile -- --seed {} --count {}{}",
                wish.seed,
                wish.count,
                wish.kind.map(|kind| format!(" --kind {kind:?}")).unwrap_or_default()
            );
            return ExitCode::FAILURE;
        }
    }
    println!("{:<10} {:>8} {:>8} {:>12}", "kind", "refused", "passed", "most KiB");
    let mut untouched = false;
    for (kind, count) in &counts {
        println!(
            "{:<10} {:>8} {:>8} {:>12}",
            format!("{kind:?}"),
            count.refused,
            count.passed,
            count.most / 1024
        );
        untouched |= count.refused == 0;
    }
    if untouched && wish.count >= 5_000 {
        println!("a kind was never refused: its bytes are not bent, or not checked");
        return ExitCode::FAILURE;
    }
    println!("{} shots, seed {}: everything still works", wish.count, wish.seed);
    ExitCode::SUCCESS
}

fn shoot(wish: &Wish, counts: &mut BTreeMap<Kind, Counts>) -> Result<(), String> {
    let mut range = Range::new(wish.seed).map_err(|wrong| format!("the scenario: {wrong}"))?;
    for shot in 0..wish.count {
        // Each shot has a seed of its own: which bytes it bends does not depend on the kinds before it.
        let mut random = Seeded::new(wish.seed.wrapping_mul(0x9e37_79b9).wrapping_add(shot));
        let kind = wish.kind.unwrap_or_else(|| Kind::ALL[random.index(Kind::ALL.len())]);
        let before = MEMORY.current_usage();
        MEMORY.reset_peak_usage();
        let outcome = catch_unwind(AssertUnwindSafe(|| range.shoot(kind, &mut random)));
        let most = MEMORY.peak_usage().saturating_sub(before);
        let outcome = outcome
            .map_err(|_| format!("shot {shot}, {kind:?}: {}", last()))?
            .map_err(|wrong| format!("shot {shot}, {kind:?}: {wrong}"))?;
        if most > MEMORY_MAX {
            return Err(format!("shot {shot}, {kind:?}: took {} KiB", most / 1024));
        }
        let count = counts.entry(kind).or_default();
        match outcome {
            Outcome::Refused => count.refused += 1,
            Outcome::Passed => count.passed += 1,
        }
        count.most = count.most.max(most);
        if shot % wish.look == wish.look - 1 || shot + 1 == wish.count {
            let whole = catch_unwind(AssertUnwindSafe(|| range.still_whole()));
            whole
                .map_err(|_| format!("after shot {shot}: {}", last()))?
                .map_err(|wrong| format!("after shot {shot}: {wrong}"))?;
        }
    }
    Ok(())
}
