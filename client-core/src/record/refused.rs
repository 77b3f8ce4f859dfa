//! Why an action was not carried out. Nothing is stored and nothing is lost: what was typed stays
//! with the caller.

use crate::record::body::Kind;
use crate::record::doc_id::DocId;
use crate::record::field::{FieldValue, Said};
use crate::record::id::EntryId;

/// Why an action was not carried out.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum Refused {
    /// The document is held only as a row.
    #[error(
        "{doc} is not whole on this device: evidence can be added, but {what} needs the whole record; exchange first"
    )]
    NeedsWhole {
        /// The document.
        doc: DocId,
        /// What was asked.
        what: &'static str,
    },
    /// The entry belongs into another kind of document.
    #[error("{what} does not belong into {doc}")]
    WrongDocument {
        /// The document.
        doc: DocId,
        /// What was asked.
        what: String,
    },
    /// An empty block.
    #[error("nothing to enter")]
    Nothing,
    /// More than one entry of the hand can hold.
    #[error("{found} entries at once, at most {most} fit; enter them in two goes")]
    TooMany {
        /// Entries found.
        found: usize,
        /// Entries allowed.
        most: usize,
    },
    /// A text longer than an entry holds.
    #[error("{what} takes {found} bytes, at most {most} fit; put the rest into a second one")]
    TooLong {
        /// What.
        what: String,
        /// Bytes found.
        found: usize,
        /// Bytes allowed.
        most: usize,
    },
    /// The value is not of the register's kind.
    #[error("{field} does not hold {value:?}")]
    WrongValue {
        /// The register in words.
        field: &'static str,
        /// The value.
        value: FieldValue,
    },
    /// A reason is needed.
    #[error("{what} needs a reason in words")]
    NeedsReason {
        /// What.
        what: String,
    },
    /// The register holds two answers.
    #[error("{field} has {} answers; settle it with a reason", sides.len())]
    Contested {
        /// The register in words.
        field: &'static str,
        /// The answers.
        sides: Vec<Said>,
    },
    /// Two people said the same or nothing is contested.
    #[error("{field} has one answer only; there is nothing to settle")]
    NotContested {
        /// The register in words.
        field: &'static str,
    },
    /// There is no such entry here.
    #[error("there is no entry {entry} in {doc}")]
    NoSuchEntry {
        /// The entry.
        entry: EntryId,
        /// The document.
        doc: DocId,
    },
    /// Another person's evidence.
    #[error(
        "{entry} was entered by another person: add your own reading beside it, or ask a supervisor"
    )]
    AnothersEntry {
        /// The entry.
        entry: EntryId,
    },
    /// An own action exists for this kind of evidence.
    #[error("{} cannot be entered alone; it has an action of its own", kind.root())]
    OwnAction {
        /// The kind.
        kind: Kind,
    },
    /// Evidence is never deleted.
    #[error(
        "{what} has {entries} entries and is never deleted; mark it as merged into the right one instead"
    )]
    HasEvidence {
        /// What.
        what: String,
        /// Entries found.
        entries: usize,
    },
    /// The tag is already released or does not exist.
    #[error("{tag} is not a shut-down record in force here")]
    NotTagged {
        /// The tag.
        tag: EntryId,
    },
    /// A signed visit is changed only after it has been opened again.
    #[error(
        "the visit is signed; new readings are accepted as late evidence, but {what} needs it opened again"
    )]
    Signed {
        /// What.
        what: String,
    },
    /// Items that block a sign-off.
    #[error("{} items block the sign-off; settle them or let a supervisor except each in words", .0.len())]
    Blocked(Vec<String>),
    /// automerge would not take the operation.
    #[error("the document did not take the entry: {0}")]
    Document(String),
    /// The entry numbers of this session are used up.
    #[error("this session has made too many entries; close the program and open it again")]
    SessionFull,
}
