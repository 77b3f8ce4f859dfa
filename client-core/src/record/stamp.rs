//! Who, when, and what they knew: the envelope of every entry.

use minicbor::{Decode, Encode};

use crate::record::id::PersonId;
use crate::record::value::Moment;

/// Who enters something and when, by the clock of their device.
#[derive(Clone, Debug, PartialEq, Eq, Encode, Decode)]
#[cbor(map)]
pub struct Stamp {
    /// The person who enters it.
    #[n(0)]
    pub by: PersonId,
    /// Wall clock, seconds since 1970-01-01 UTC. Shown, never obeyed.
    #[n(1)]
    pub secs: i64,
    /// Minutes that the wall clock is ahead of UTC.
    #[n(2)]
    pub offset_min: i16,
    /// The person it was entered for, when that is not `by`.
    #[n(3)]
    pub entered_for: Option<PersonId>,
    /// What the author knew of other documents.
    #[n(4)]
    pub seen: Option<Vec<Seen>>,
}

impl Stamp {
    /// A stamp without further remarks.
    pub fn new(by: PersonId, at: Moment) -> Stamp {
        Stamp { by, secs: at.secs, offset_min: at.offset_min, entered_for: None, seen: None }
    }

    /// The wall-clock moment as the author's device showed it.
    pub fn at(&self) -> Moment {
        Moment { secs: self.secs, offset_min: self.offset_min }
    }

    /// The person whose work it is.
    pub fn person(&self) -> PersonId {
        self.entered_for.unwrap_or(self.by)
    }
}

/// What the author of an entry knew of another document (or of this one, held only as a row).
#[derive(Clone, Debug, PartialEq, Eq, Encode, Decode)]
#[cbor(map)]
pub struct Seen {
    /// The document, as in [`crate::record::doc_id::DocId::to_bytes`].
    #[n(0)]
    #[cbor(with = "minicbor::bytes")]
    pub doc: Vec<u8>,
    /// Place in the hub's log up to which the row that was shown had been folded.
    #[n(1)]
    pub log_n: Option<u64>,
    /// Heads of the document as known, 32 bytes each, one after the other.
    #[n(2)]
    #[cbor(with = "minicbor::bytes")]
    pub heads: Vec<u8>,
}
