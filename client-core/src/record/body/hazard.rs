//! Evidence about dangers: advisories, shut-downs, releases, locks.

use minicbor::{Decode, Encode};

use crate::record::body::Drawn;
use crate::record::code::{AdvisorySeverity, Channel, Decision, LockState};
use crate::record::id::{EntryId, PersonId, VisitId};
use crate::record::value::Day;

/// A warning to the customer or to the next person. Its severity may be raised by anyone.
#[derive(Clone, Debug, PartialEq, Eq, Encode, Decode)]
#[cbor(map)]
pub struct Advisory {
    /// How serious, as raised.
    #[n(0)]
    pub severity: AdvisorySeverity,
    /// What and why, in words.
    #[n(1)]
    pub text: String,
    /// By when.
    #[n(2)]
    pub due: Option<Day>,
    /// The visit in which it was raised.
    #[n(3)]
    pub visit: Option<VisitId>,
}

/// Somebody was told about an advisory or a shut-down, and answered.
#[derive(Clone, Debug, PartialEq, Eq, Encode, Decode)]
#[cbor(map)]
pub struct Ack {
    /// The advisory or tag.
    #[n(0)]
    pub of: EntryId,
    /// Who was told, in words without a name: "customer contact", "shift lead".
    #[n(1)]
    pub told: String,
    /// How.
    #[n(2)]
    pub how: Channel,
    /// True: acknowledged. False: refused to acknowledge.
    #[n(3)]
    pub acknowledged: bool,
    /// What was decided.
    #[n(4)]
    pub decision: Option<Decision>,
    /// Who decided, in words without a name.
    #[n(5)]
    pub decided_by: Option<String>,
    /// Until when a decision was deferred.
    #[n(6)]
    pub deferred_to: Option<Day>,
    /// In words.
    #[n(7)]
    pub text: Option<String>,
    /// Who was told, when the directory knows them.
    #[n(8)]
    pub told_person: Option<PersonId>,
    /// Who decided, when the directory knows them.
    #[n(9)]
    pub decided_person: Option<PersonId>,
    /// The signature of who was told, where they drew one.
    #[n(10)]
    pub drawn: Option<Drawn>,
}

/// What closed an advisory: evidence, never a tick.
#[derive(Clone, Debug, PartialEq, Eq, Encode, Decode)]
#[cbor(map)]
pub struct Closing {
    /// The advisory.
    #[n(0)]
    pub advisory: EntryId,
    /// The evidence in words.
    #[n(1)]
    pub text: String,
    /// Entries that show it.
    #[n(2)]
    pub evidence: Option<Vec<EntryId>>,
}

/// A shut-down record.
#[derive(Clone, Debug, PartialEq, Eq, Encode, Decode)]
#[cbor(map)]
pub struct Tag {
    /// What was seen.
    #[n(0)]
    pub reason: String,
    /// Isolations made: gas cock, service switch, ...
    #[n(1)]
    pub isolations: Vec<String>,
    /// Who at the customer's was told, in words without a name; none means nobody yet.
    #[n(2)]
    pub customer_told: Option<String>,
    /// Whether the gas utility or inspector was told, and whom.
    #[n(3)]
    pub utility_told: Option<String>,
    /// What must be true before release.
    #[n(4)]
    pub release_when: Option<String>,
    /// The advisory that goes with it.
    #[n(5)]
    pub advisory: Option<EntryId>,
    /// The visit.
    #[n(6)]
    pub visit: Option<VisitId>,
    /// Who at the customer's was told, when the directory knows them.
    #[n(7)]
    pub told_person: Option<PersonId>,
}

/// The release of a shut-down by a licensed person after proof.
#[derive(Clone, Debug, PartialEq, Eq, Encode, Decode)]
#[cbor(map)]
pub struct Release {
    /// The tag.
    #[n(0)]
    pub tag: EntryId,
    /// The proof in words.
    #[n(1)]
    pub proof: String,
    /// Entries that prove it.
    #[n(2)]
    pub evidence: Option<Vec<EntryId>>,
    /// License under which it was released.
    #[n(3)]
    pub licence: Option<String>,
}

/// A lock put on or taken off. Only its owner takes a lock off.
#[derive(Clone, Debug, PartialEq, Eq, Encode, Decode)]
#[cbor(map)]
pub struct Lock {
    /// The point locked, in words.
    #[n(0)]
    pub point: String,
    /// On or off.
    #[n(1)]
    pub state: LockState,
    /// Number on the lock.
    #[n(2)]
    pub number: Option<String>,
    /// The entry that put the lock on, when this one takes it off.
    #[n(3)]
    pub takes_off: Option<EntryId>,
    /// The visit.
    #[n(4)]
    pub visit: Option<VisitId>,
}
