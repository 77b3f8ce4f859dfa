//! What a process gets from outside: streams, clock, environment, files, network, chance. Collected in
//! one place, so that a test can bring each of them.

use std::io::{BufRead, BufReader, IsTerminal, Write};
use std::path::Path;

use client_core::record::value::Moment;
use client_core::store::{Manner, Store, StoreError};

use crate::wire::{Http, Wire, WireWrong};

/// Opens and makes stores. The process uses files; a test may bring a disk that fails.
pub trait Stores {
    /// Opens the store of a file.
    fn open(&self, file: &Path) -> Result<Store, StoreError>;
    /// Makes the store of a file.
    fn create(&self, file: &Path) -> Result<Store, StoreError>;
}

/// Stores in files.
#[derive(Clone, Copy, Debug)]
pub struct Files;

impl Stores for Files {
    fn open(&self, file: &Path) -> Result<Store, StoreError> {
        Store::open_file(file, Manner::DEVICE)
    }

    fn create(&self, file: &Path) -> Result<Store, StoreError> {
        Store::create_file(file, Manner::DEVICE)
    }
}

/// A connection to the hub at an address; `trust` is a file of certificates to trust besides.
pub type Connect<'o> = Box<dyn Fn(&str, Option<&Path>) -> Result<Box<dyn Wire>, WireWrong> + 'o>;

/// Looks a variable of the environment up.
pub type Variable<'o> = Box<dyn Fn(&str) -> Option<String> + 'o>;

/// Everything from outside.
pub struct Outside<'o> {
    /// Standard output: data.
    pub out: Box<dyn Write + 'o>,
    /// Standard error: talk.
    pub err: Box<dyn Write + 'o>,
    /// Standard input.
    pub input: Box<dyn BufRead + 'o>,
    /// Whether standard output is a terminal.
    pub out_terminal: bool,
    /// Whether standard error is a terminal.
    pub err_terminal: bool,
    /// Whether standard input is a terminal.
    pub in_terminal: bool,
    /// The wall clock, milliseconds since 1970-01-01 UTC.
    pub now_ms: Box<dyn Fn() -> i64 + 'o>,
    /// Minutes that the wall clock is ahead of UTC.
    pub offset_min: i16,
    /// A variable of the environment.
    pub var: Variable<'o>,
    /// The network.
    pub connect: Connect<'o>,
    /// Random bytes.
    pub random: fn(&mut [u8]),
    /// Stores.
    pub stores: Box<dyn Stores + 'o>,
}

impl std::fmt::Debug for Outside<'_> {
    fn fmt(&self, out: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        out.debug_struct("Outside").field("offset_min", &self.offset_min).finish_non_exhaustive()
    }
}

impl Outside<'_> {
    /// The outside of this process.
    pub fn of_process() -> Outside<'static> {
        // Read while there is one thread only: later the system may refuse to tell.
        let offset = time::UtcOffset::current_local_offset().unwrap_or(time::UtcOffset::UTC);
        Outside {
            out: Box::new(std::io::stdout()),
            err: Box::new(std::io::stderr()),
            input: Box::new(BufReader::new(std::io::stdin())),
            out_terminal: std::io::stdout().is_terminal(),
            err_terminal: std::io::stderr().is_terminal(),
            in_terminal: std::io::stdin().is_terminal(),
            now_ms: Box::new(now_ms),
            offset_min: offset.whole_minutes(),
            var: Box::new(|name| std::env::var(name).ok()),
            connect: Box::new(|address, trust| {
                Http::new(address, trust).map(|http| -> Box<dyn Wire> { Box::new(http) })
            }),
            random: system_random,
            stores: Box::new(Files),
        }
    }

    /// The moment now.
    pub fn now(&self) -> Moment {
        Moment { secs: (self.now_ms)().div_euclid(1_000), offset_min: self.offset_min }
    }
}

fn now_ms() -> i64 {
    let now = time::OffsetDateTime::now_utc().unix_timestamp_nanos() / 1_000_000;
    i64::try_from(now).unwrap_or(i64::MAX)
}

fn system_random(out: &mut [u8]) {
    getrandom::fill(out).expect("the system has random bytes; without them no key can be made");
}
