//! Whose key stands behind an entry. Authority is judged when an entry is read, never when it arrives.

use std::collections::{BTreeMap, BTreeSet};

use minicbor::{Decode, Encode};

use crate::record::code::Role;
use crate::record::id::{ActorHalf, DeviceId, PersonId};

/// Who signed what one session wrote.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Signer {
    /// The device.
    pub device: DeviceId,
    /// The person that the device is certified for.
    pub person: PersonId,
    /// The role in the certificate.
    pub role: Role,
    /// Spans of entries made under a clock that was measured as wrong.
    pub clocks: Vec<ClockSpan>,
}

/// Entries made under a clock that was measured as wrong when they were delivered.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Encode, Decode)]
#[cbor(map)]
pub struct ClockSpan {
    /// First entry.
    #[n(0)]
    pub first: u32,
    /// Last entry.
    #[n(1)]
    pub last: u32,
    /// Seconds that the clock was ahead of the hub's.
    #[n(2)]
    pub ahead_s: i64,
}

impl Signer {
    /// Seconds that the clock was ahead when an entry was made, where it was measured as wrong.
    pub fn ahead_at(&self, n: u32) -> Option<i64> {
        let span = self.clocks.iter().rev().find(|span| span.first <= n && n <= span.last);
        span.map(|span| span.ahead_s)
    }
}

/// Everything that is known about signers.
#[derive(Clone, Debug, Default)]
pub struct Signers {
    known: BTreeMap<ActorHalf, Signer>,
    late: BTreeSet<[u8; 32]>,
}

impl Signers {
    /// Nobody is known: every entry counts as signed by an unknown key.
    pub fn new() -> Signers {
        Signers::default()
    }

    /// Adds or replaces what is known about a session.
    pub fn insert(&mut self, actor: ActorHalf, signer: Signer) {
        self.known.insert(actor, signer);
    }

    /// Who signed what this session wrote.
    pub fn get(&self, actor: ActorHalf) -> Option<&Signer> {
        self.known.get(&actor)
    }

    /// A change arrived after its key was revoked: what it says waits for a supervisor.
    pub fn mark_late(&mut self, change: [u8; 32]) {
        self.late.insert(change);
    }

    /// Whether a change arrived after its key was revoked.
    pub fn is_late(&self, change: &[u8; 32]) -> bool {
        self.late.contains(change)
    }

    /// Whether anything at all arrived after its key was revoked.
    pub fn any_late(&self) -> bool {
        !self.late.is_empty()
    }

    /// Every session known.
    pub fn iter(&self) -> impl Iterator<Item = (&ActorHalf, &Signer)> {
        self.known.iter()
    }
}

/// How the signature behind an entry stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Standing {
    /// Signed by a key that was certified for this person.
    Good,
    /// Signed after the key was revoked; hidden until a supervisor answers for it.
    Waiting,
    /// Signed after the key was revoked, and a supervisor answers for it.
    Vouched,
    /// The signer's certificate is for another person than the entry names.
    AnotherPerson,
    /// No certificate is known for the session.
    Unknown,
}
