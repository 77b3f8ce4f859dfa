//! How often each thing happened. A run in which a fault never happened has proved nothing about it.

use std::collections::BTreeMap;

/// What has to happen at least once in a long run.
pub const SOMETIMES: &[&str] = &[
    "act saved",
    "act refused",
    "call done",
    "call given up",
    "clock jumped",
    "contested register",
    "device backed up",
    "device cloned",
    "device enrolled late",
    "device power cut",
    "device restored",
    "disk broke under a device",
    "disk broke under the hub",
    "disk full under a device",
    "disk full under the hub",
    "document in several parts",
    "first exchange by rows",
    "first exchange by the whole log",
    "hostile delivery",
    "hostile delivery taken into the log",
    "hub backed up",
    "hub power cut",
    "hub restored",
    "hub restored and its log not renamed",
    "ladder climbed",
    "message cut short",
    "message lost",
    "message out of order",
    "message twice",
    "partition",
    "requests answered together",
    "revocation",
    "several pages",
    "snapshot stands for changes",
    "stale reply heard",
    "unsynced writes lost",
    "view lost",
];

/// How often each thing happened.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Counts(BTreeMap<&'static str, u64>);

impl Counts {
    /// It happened once more.
    pub fn add(&mut self, what: &'static str) {
        self.many(what, 1);
    }

    /// It happened so many times more.
    pub fn many(&mut self, what: &'static str, times: u64) {
        *self.0.entry(what).or_default() += times;
    }

    /// Adds the counts of another run.
    pub fn join(&mut self, other: &Counts) {
        for (what, times) in &other.0 {
            *self.0.entry(what).or_default() += times;
        }
    }

    /// How often it happened.
    pub fn of(&self, what: &str) -> u64 {
        self.0.get(what).copied().unwrap_or_default()
    }

    /// Everything that happened, by name.
    pub fn iter(&self) -> impl Iterator<Item = (&'static str, u64)> {
        self.0.iter().map(|(what, times)| (*what, *times))
    }

    /// What should have happened and did not.
    pub fn never(&self) -> Vec<&'static str> {
        SOMETIMES.iter().copied().filter(|what| self.of(what) == 0).collect()
    }
}
