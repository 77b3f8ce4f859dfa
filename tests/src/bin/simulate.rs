//! Runs the simulation over many seeds: `simulate --seeds N [--from S] [--seed S] [--jobs J] [--all]`.
//! It stops at the first seed that fails, or with `--all` goes on and sorts the failures by their words.
#![expect(clippy::print_stdout, reason = "a report for the person at the terminal")]

use std::cell::RefCell;
use std::collections::BTreeMap;
use std::process::ExitCode;
use std::sync::Mutex;
use std::sync::atomic::{AtomicBool, AtomicU64, Ordering};
use std::time::{Duration, Instant};

use tests::world::sim::count::Counts;
use tests::world::sim::{Outcome, run};

/// Seeds after which everything must have happened at least once.
const ALL_FAULTS_SEEDS: u64 = 500;

struct Wanted {
    seeds: u64,
    from: u64,
    one: Option<u64>,
    jobs: usize,
    quiet: bool,
    all: bool,
}

fn wanted() -> Result<Wanted, String> {
    let cores = std::thread::available_parallelism().map_or(1, std::num::NonZero::get);
    let mut wanted =
        Wanted { seeds: 2_000, from: 0, one: None, jobs: cores, quiet: false, all: false };
    let mut words = std::env::args().skip(1);
    while let Some(word) = words.next() {
        let mut number = || -> Result<u64, String> {
            let value = words.next().ok_or(format!("{word} needs a number"))?;
            value.parse().map_err(|_| format!("{word}: '{value}' is not a number"))
        };
        match word.as_str() {
            "--seeds" => wanted.seeds = number()?,
            "--from" => wanted.from = number()?,
            "--seed" => wanted.one = Some(number()?),
            "--jobs" => wanted.jobs = usize::try_from(number()?).unwrap_or(1).max(1),
            "--all" => wanted.all = true,
            "--quiet" => wanted.quiet = true,
            other => return Err(format!("'{other}' is not known here")),
        }
    }
    Ok(wanted)
}

fn main() -> ExitCode {
    let wanted = match wanted() {
        Ok(wanted) => wanted,
        Err(wrong) => {
            println!(
                "{wrong}\nusage: simulate [--seeds N] [--from S] [--seed S] [--jobs J] [--all] [--quiet]"
            );
            return ExitCode::from(2);
        }
    };
    std::panic::set_hook(Box::new(|panic| {
        PANIC.with(|words| *words.borrow_mut() = panic.to_string());
    }));
    match wanted.one {
        Some(seed) => replay(seed),
        None => many(&wanted),
    }
}

/// Runs one seed with its whole trace.
fn replay(seed: u64) -> ExitCode {
    let outcome = run_caught(seed);
    tell(&outcome);
    if outcome.wrong.is_some() { ExitCode::FAILURE } else { ExitCode::SUCCESS }
}

fn tell(outcome: &Outcome) {
    for (step, words) in outcome.trace.iter().enumerate() {
        println!("{step:4} {words}");
    }
    match &outcome.wrong {
        Some(wrong) => {
            println!("seed {}: {wrong}", outcome.seed);
            println!("again: cargo run -p tests --bin simulate -- --seed {}", outcome.seed);
        }
        None => println!("seed {}: as it should be", outcome.seed),
    }
}

thread_local! {
    /// Where and why this thread panicked last.
    static PANIC: RefCell<String> = const { RefCell::new(String::new()) };
}

/// A panic anywhere in the core is a failure of the seed, unless the core itself catches it.
fn run_caught(seed: u64) -> Outcome {
    std::panic::catch_unwind(|| run(seed)).unwrap_or_else(|_| {
        let words = PANIC.with(|words| words.borrow().clone());
        Outcome {
            seed,
            counts: Counts::default(),
            trace: vec!["the trace is lost in the panic".to_owned()],
            wrong: Some(format!("panic: {words}")),
        }
    })
}

/// Failures by their words, digits and ids left out: how many, and the first seed of each.
fn sorted(failed: &[Outcome]) {
    let mut kinds: BTreeMap<String, (usize, u64, String)> = BTreeMap::new();
    for outcome in failed {
        let words = outcome.wrong.clone().unwrap_or_default();
        let bare = |word: &&str| word.chars().all(|letter| letter.is_lowercase() || letter == ':');
        let kind: Vec<&str> = words.split_whitespace().filter(bare).take(8).collect();
        let kind = kinds.entry(kind.join(" ")).or_insert((0, outcome.seed, words.clone()));
        kind.0 += 1;
    }
    for (count, seed, words) in kinds.values() {
        let words: String = words.chars().take(600).collect();
        println!("failed {count} times, first with seed {seed}: {words}");
    }
}

fn many(wanted: &Wanted) -> ExitCode {
    let begun = Instant::now();
    let next = AtomicU64::new(0);
    let stop = AtomicBool::new(false);
    let done = AtomicU64::new(0);
    let counts = Mutex::new(Counts::default());
    let failed: Mutex<Vec<Outcome>> = Mutex::new(vec![]);
    std::thread::scope(|scope| {
        for _ in 0..wanted.jobs {
            scope.spawn(|| {
                while !stop.load(Ordering::Relaxed) {
                    let seed = next.fetch_add(1, Ordering::Relaxed);
                    if seed >= wanted.seeds {
                        break;
                    }
                    let outcome = run_caught(wanted.from + seed);
                    counts.lock().expect("nobody panics here").join(&outcome.counts);
                    done.fetch_add(1, Ordering::Relaxed);
                    if outcome.wrong.is_some() {
                        stop.store(!wanted.all, Ordering::Relaxed);
                        failed.lock().expect("nobody panics here").push(outcome);
                    }
                }
            });
        }
        let mut told = Instant::now();
        while done.load(Ordering::Relaxed) < wanted.seeds && !stop.load(Ordering::Relaxed) {
            std::thread::sleep(Duration::from_millis(50));
            if !wanted.quiet && told.elapsed() > Duration::from_secs(5) {
                told = Instant::now();
                println!("{} of {} seeds", done.load(Ordering::Relaxed), wanted.seeds);
            }
        }
    });
    let done = done.load(Ordering::Relaxed);
    let seconds = begun.elapsed().as_secs_f64();
    let counts = counts.into_inner().expect("nobody panics here");
    for (what, times) in counts.iter() {
        println!("{times:9} {what}");
    }
    let mut failed = failed.into_inner().expect("nobody panics here");
    failed.sort_by_key(|outcome| outcome.seed);
    if wanted.all && !failed.is_empty() {
        sorted(&failed);
        return ExitCode::FAILURE;
    }
    if let Some(outcome) = failed.first() {
        tell(outcome);
        return ExitCode::FAILURE;
    }
    let rate = f64::from(u32::try_from(done).unwrap_or(u32::MAX)) / seconds;
    println!("{done} seeds in {seconds:.1} s, {rate:.1} a second, {} jobs", wanted.jobs);
    let never = counts.never();
    if done >= ALL_FAULTS_SEEDS && !never.is_empty() {
        println!("these never happened: {}", never.join(", "));
        return ExitCode::FAILURE;
    }
    ExitCode::SUCCESS
}
