//! Evidence about other evidence: voids, settlements, marks, texts.

use minicbor::{Decode, Encode};

use crate::record::id::{ActorHalf, ApplianceId, EntryId};

/// An entry does not count any more. It stays readable under "withdrawn".
#[derive(Clone, Debug, PartialEq, Eq, Encode, Decode)]
#[cbor(map)]
pub struct Void {
    /// The entry.
    #[n(0)]
    pub entry: EntryId,
    /// Why.
    #[n(1)]
    pub reason: String,
}

/// A contested value, check or pair was settled by a named person.
#[derive(Clone, Debug, PartialEq, Eq, Encode, Decode)]
#[cbor(map)]
pub struct Settlement {
    /// What was settled: a register's key, or `check/...`, `text/...`, `reading/...`.
    #[n(0)]
    pub what: String,
    /// The entry whose value governs, when one of the sides was chosen.
    #[n(1)]
    pub chosen: Option<EntryId>,
    /// Every side that was on the table.
    #[n(2)]
    pub sides: Vec<EntryId>,
    /// Why.
    #[n(3)]
    pub reason: String,
    /// Entries that support it.
    #[n(4)]
    pub evidence: Option<Vec<EntryId>>,
}

/// A text that others may edit. The text itself is an automerge text under `texts/...`.
#[derive(Clone, Debug, PartialEq, Eq, Encode, Decode)]
#[cbor(map)]
pub struct Note {
    /// What it is about: `access`, `hazards`, `escort`, `job`, `customer`, ...
    #[n(0)]
    pub subject: String,
    /// The entry it is about.
    #[n(1)]
    pub about: Option<EntryId>,
}

/// A merged text was read at these heads and needs no further look.
#[derive(Clone, Debug, PartialEq, Eq, Encode, Decode)]
#[cbor(map)]
pub struct TextRead {
    /// The note.
    #[n(0)]
    pub note: EntryId,
    /// Remark, for example "reads well".
    #[n(1)]
    pub reason: Option<String>,
}

/// Two entries are one event, or were looked at and are two.
#[derive(Clone, Debug, PartialEq, Eq, Encode, Decode)]
#[cbor(map)]
pub struct DoubleMark {
    /// The entry that counts.
    #[n(0)]
    pub keep: EntryId,
    /// The other one.
    #[n(1)]
    pub other: EntryId,
    /// True: one event entered twice. False: two events.
    #[n(2)]
    pub same: bool,
    /// Why.
    #[n(3)]
    pub reason: String,
}

/// Entries belong to another appliance than the one they were entered for.
///
/// Written into the sheet that the entries belong to; they stay where they are and are shown there
/// by reference.
#[derive(Clone, Debug, PartialEq, Eq, Encode, Decode)]
#[cbor(map)]
pub struct Repoint {
    /// The entries; none means everything that was ever entered for `from`.
    #[n(0)]
    pub entries: Vec<EntryId>,
    /// The appliance they were entered for.
    #[n(1)]
    pub from: ApplianceId,
    /// The appliance they belong to.
    #[n(2)]
    pub to: ApplianceId,
    /// Why.
    #[n(3)]
    pub reason: String,
}

/// A supervisor answers for entries that a device signed after it was revoked.
#[derive(Clone, Debug, PartialEq, Eq, Encode, Decode)]
#[cbor(map)]
pub struct Vouch {
    /// The session's actor.
    #[n(0)]
    pub actor: ActorHalf,
    /// Last entry number that is answered for.
    #[n(1)]
    pub up_to: u32,
    /// Why.
    #[n(2)]
    pub reason: String,
}
