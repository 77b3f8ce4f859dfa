//! The closed list of what a person can do to one document.
//!
//! Deeds that concern several documents (a new appliance, a sign-off, a merged duplicate) are lists of
//! these.

use crate::record::body::{
    Answer, Body, Kind, Lock, Question, Release, Settlement, SignOff, Tag, Target,
};
use crate::record::code::Outcome;
use crate::record::field::{Field, FieldValue};
use crate::record::id::EntryId;

/// What a person does.
#[derive(Clone, Debug, PartialEq)]
pub enum Action {
    /// Enter evidence. One block has one stamp: O2, CO, stack and air are one entry of the hand.
    Enter(Vec<Body>),
    /// Set registers, for example a plate read in one go.
    Set(Vec<Setting>),
    /// Settle a contested register, or lower a safety word with a reason.
    Settle {
        /// The register.
        field: Field,
        /// The value that shall govern.
        value: FieldValue,
        /// Why.
        reason: String,
        /// Entries that support it.
        evidence: Vec<EntryId>,
    },
    /// Settle something else that two people answered differently: a check, two readings, a double.
    SettleOther(Settlement),
    /// Write a text that others may edit.
    Write {
        /// What it is about.
        subject: String,
        /// The entry it is about.
        about: Option<EntryId>,
        /// The text.
        text: String,
    },
    /// Edit a text: the whole new text; only the difference is stored.
    Edit {
        /// The note.
        note: EntryId,
        /// The text as it shall read.
        text: String,
    },
    /// Shut a unit down: record, locks and status in one entry of the hand.
    ShutDown {
        /// The shut-down record.
        tag: Tag,
        /// Locks put on.
        locks: Vec<Lock>,
    },
    /// Release a shut-down unit to a status.
    Release {
        /// The release.
        release: Release,
        /// The status afterwards.
        status: FieldValue,
    },
    /// Ask the manufacturer.
    Ask(Question),
    /// Enter a manufacturer's answer, and the targets that follow from it for this appliance.
    Answer {
        /// The answer.
        answer: Answer,
        /// Targets; their `answer` link is filled in.
        targets: Vec<Target>,
    },
    /// Close a unit's turn: done, left as found, not reached.
    Close {
        /// How it ended.
        outcome: Outcome,
        /// Why, where the unit was not done.
        reason: Option<String>,
    },
    /// Take an entry out of the count. It stays readable.
    Void {
        /// The entry.
        entry: EntryId,
        /// Why.
        reason: String,
    },
    /// Sign the visit as far as these heads show it.
    SignOff(SignOff),
}

/// One register to be set.
#[derive(Clone, Debug, PartialEq)]
pub struct Setting {
    /// The register.
    pub field: Field,
    /// The value.
    pub value: FieldValue,
    /// Why, where the value is unusual or lowers a safety word.
    pub reason: Option<String>,
}

/// Kinds of evidence that have an action of their own, because something else changes with them.
pub(crate) const fn has_own_action(kind: Kind) -> bool {
    matches!(
        kind,
        Kind::Tag
            | Kind::Release
            | Kind::Question
            | Kind::Answer
            | Kind::Note
            | Kind::Void
            | Kind::Settlement
            | Kind::SignOff
    )
}
