//! Bounded checks in front of automerge.
//!
//! automerge trusts its input: a change is not compared with its checksum, a hundred bytes can take
//! minutes of work or gigabytes, and an accepted change can make a document unloadable for ever.
//! Every foreign byte therefore passes here first, cheap stages before dear ones:
//!
//! 1. [`scan()`]: size, magic, own SHA-256, header bounds, column items counted without expanding.
//!    About a microsecond; enough for a log to keep a change.
//! 2. [`admit`]: automerge's own parse, causality, canonical form, then a canary: the batch is applied
//!    to a clone, which is saved, loaded and compared, before the document is touched.
//!
//! A refused change is quarantined with its reason and stops no other document. Only malformed bytes
//! are refused here: wrong rights, revoked keys and odd values are judged when read.
//!
//! What this room does not do: signatures (see `exchange`), storage.

pub mod limit;
pub mod scan;
pub mod snapshot;

mod admit;
mod canary;

pub use admit::{Admission, Ground, admit};
pub use scan::{Scan, scan};

use crate::record::id::Actor;

/// Why a change was refused.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum Turned {
    /// More bytes than a change may have.
    #[error("the change has {found} bytes, at most {most} pass")]
    Large {
        /// Bytes found.
        found: usize,
        /// Bytes allowed.
        most: usize,
    },
    /// Not an automerge change in plain form.
    #[error("the bytes are not a plain automerge change: {0}")]
    Form(&'static str),
    /// The checksum is not that of the content.
    #[error("the checksum does not fit the content")]
    Checksum,
    /// A header field outside its bounds.
    #[error("{what} is {found}, at most {most} pass")]
    Bound {
        /// The header field.
        what: &'static str,
        /// Value found.
        found: u64,
        /// Value allowed.
        most: u64,
    },
    /// The change was made under another actor than its delivery names.
    #[error("the change was made under actor {found}, the delivery names {named}")]
    Actor {
        /// Actor of the change.
        found: Actor,
        /// Actor of the delivery.
        named: Actor,
    },
    /// automerge's own parser refuses it.
    #[error("automerge does not read the change: {0}")]
    Parse(String),
    /// automerge panicked on it.
    #[error("the change makes the document library stop: {0}")]
    Panic(String),
    /// Sequence or operation numbers do not follow.
    #[error("{what} is {found}, {wanted} follows from what it builds on")]
    Causal {
        /// The number.
        what: &'static str,
        /// Value found.
        found: u64,
        /// Value that follows.
        wanted: u64,
    },
    /// The actor's own earlier change with this number is another one.
    #[error("session {actor} has another change number {seq} here already")]
    Fork {
        /// The actor.
        actor: Actor,
        /// The number.
        seq: u64,
    },
    /// Encoding the decoded change gives other bytes.
    #[error("the change is not in its one canonical form")]
    NotCanonical,
    /// The document would be nested too deeply.
    #[error("objects would be nested {found} deep, at most {most} pass")]
    Deep {
        /// Depth found.
        found: usize,
        /// Depth allowed.
        most: usize,
    },
    /// A copy of the document with the change did not survive being saved and loaded.
    #[error("a copy of the document with this change is damaged: {0}")]
    Canary(&'static str),
    /// Too large a document.
    #[error("the document would have {found} changes, at most {most} pass")]
    Full {
        /// Changes.
        found: usize,
        /// Changes allowed.
        most: usize,
    },
    /// One device would hold too many ends of the document open.
    #[error("its device would have {found} unjoined ends of the document, at most {most} pass")]
    Heads {
        /// Ends found.
        found: usize,
        /// Ends allowed.
        most: usize,
    },
    /// Too much of one device waits for changes that are not here.
    #[error("{found} {what} of its device wait for changes that are not here, at most {most} may")]
    Orphans {
        /// Changes or bytes.
        what: &'static str,
        /// Found.
        found: usize,
        /// Allowed.
        most: usize,
    },
    /// The hub's log says that it was refused.
    #[error("the hub's log says that it was refused")]
    Barred,
    /// It builds on a change that was refused.
    #[error("it builds on a change that was refused")]
    HeldBack,
    /// The program stopped while this change was being applied.
    #[error("the program stopped while this change was being applied")]
    Stopped,
}

impl Turned {
    /// A stable key for files, logs and JSON.
    pub const fn key(&self) -> &'static str {
        match self {
            Turned::Large { .. } => "large",
            Turned::Form(_) => "form",
            Turned::Checksum => "checksum",
            Turned::Bound { .. } => "bound",
            Turned::Actor { .. } => "actor",
            Turned::Parse(_) => "parse",
            Turned::Panic(_) => "panic",
            Turned::Causal { .. } => "causal",
            Turned::Fork { .. } => "fork",
            Turned::NotCanonical => "not_canonical",
            Turned::Deep { .. } => "deep",
            Turned::Canary(_) => "canary",
            Turned::Full { .. } => "full",
            Turned::Heads { .. } => "heads",
            Turned::Orphans { .. } => "orphans",
            Turned::Barred => "refused",
            Turned::HeldBack => "held_back",
            Turned::Stopped => "stopped",
        }
    }
}
