//! Whose key stands behind an entry. Authority is judged when an entry is read, never when it arrives.

use std::collections::BTreeMap;

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
    /// After a revocation: entries from this number on wait for a supervisor.
    pub waits_from: Option<u32>,
    /// Seconds that the device's clock was ahead of the hub's, when it was measured.
    pub clock_ahead_s: Option<i64>,
}

/// Everything that is known about signers.
#[derive(Clone, Debug, Default)]
pub struct Signers {
    known: BTreeMap<ActorHalf, Signer>,
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
