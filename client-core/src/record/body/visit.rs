//! Evidence about a visit as a whole: hours, people, questions of the reviewer, sign-offs.

use minicbor::{Decode, Encode};

use crate::record::body::Drawn;
use crate::record::body::signed::SignedFigures;
use crate::record::code::{CrewEvent, LabourKind, Role};
use crate::record::id::{ApplianceId, EntryId, PersonId};

/// Working time: one line for each stretch, the total is a sum.
#[derive(Clone, Debug, PartialEq, Eq, Encode, Decode)]
#[cbor(map)]
pub struct Labour {
    /// Who worked.
    #[n(0)]
    pub person: PersonId,
    /// Minutes.
    #[n(1)]
    pub minutes: u32,
    /// Start, seconds since 1970-01-01 UTC, when it was noted.
    #[n(2)]
    pub start: Option<i64>,
    /// What kind.
    #[n(3)]
    pub kind: LabourKind,
    /// Remark.
    #[n(4)]
    pub note: Option<String>,
}

/// Somebody arrived or left.
#[derive(Clone, Debug, PartialEq, Eq, Encode, Decode)]
#[cbor(map)]
pub struct Crew {
    /// Who.
    #[n(0)]
    pub person: PersonId,
    /// Arrived or left.
    #[n(1)]
    pub event: CrewEvent,
}

/// One document as it stood when somebody signed.
#[derive(Clone, Debug, PartialEq, Eq, Encode, Decode)]
#[cbor(map)]
pub struct SignedDoc {
    /// The document, as in [`crate::record::doc_id::DocId::to_bytes`].
    #[n(0)]
    #[cbor(with = "minicbor::bytes")]
    pub doc: Vec<u8>,
    /// Its heads, 32 bytes each, in order.
    #[n(1)]
    #[cbor(with = "minicbor::bytes")]
    pub heads: Vec<u8>,
}

/// Somebody signed the visit, exactly as far as these heads show it.
#[derive(Clone, Debug, PartialEq, Eq, Encode, Decode)]
#[cbor(map)]
pub struct SignOff {
    /// Role in which it was signed.
    #[n(0)]
    pub role: Role,
    /// What was signed.
    #[n(1)]
    pub docs: Vec<SignedDoc>,
    /// Statement in words.
    #[n(2)]
    pub statement: Option<String>,
    /// Figures that followed from readings, as the signer saw them. They are recomputed for every face;
    /// this copy is what was signed.
    #[n(3)]
    pub shown: Option<SignedFigures>,
    /// The signature, where it was drawn.
    #[n(4)]
    pub drawn: Option<Drawn>,
}

/// The visit was opened again after a sign-off.
#[derive(Clone, Debug, PartialEq, Eq, Encode, Decode)]
#[cbor(map)]
pub struct Reopen {
    /// The sign-off.
    #[n(0)]
    pub sign_off: EntryId,
    /// Why.
    #[n(1)]
    pub reason: String,
}

/// A blocking item that a supervisor lets pass, in words.
#[derive(Clone, Debug, PartialEq, Eq, Encode, Decode)]
#[cbor(map)]
pub struct Exception {
    /// Key of the blocking item, as listed.
    #[n(0)]
    pub blocker: String,
    /// Why it may pass.
    #[n(1)]
    pub reason: String,
}

/// A question of the reviewer to the field.
#[derive(Clone, Debug, PartialEq, Eq, Encode, Decode)]
#[cbor(map)]
pub struct Query {
    /// The question.
    #[n(0)]
    pub text: String,
    /// The unit it is about.
    #[n(1)]
    pub appliance: Option<ApplianceId>,
    /// The entry it is about.
    #[n(2)]
    pub about: Option<EntryId>,
    /// To whom.
    #[n(3)]
    pub to: Option<PersonId>,
}

/// The field's reply to a query.
#[derive(Clone, Debug, PartialEq, Eq, Encode, Decode)]
#[cbor(map)]
pub struct Reply {
    /// The query.
    #[n(0)]
    pub query: EntryId,
    /// The reply.
    #[n(1)]
    pub text: String,
}
