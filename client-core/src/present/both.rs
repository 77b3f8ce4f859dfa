//! A contradiction laid out: every side with person, instrument and time, what governs, what to do.

use super::say::{Say, short};
use crate::record::body::Body;
use crate::record::contradiction::Contradiction;
use crate::record::field::Said;
use crate::record::file::{Papers, VisitFile};
use crate::record::id::{ApplianceId, EntryId, PersonId};
use crate::record::mark::{Mark, Marker};
use crate::record::merged::Merged;
use crate::record::read::Entry;
use crate::record::value::Moment;

/// One side of a contradiction.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Side {
    /// The entry.
    pub entry: EntryId,
    /// What it says.
    pub says: String,
    /// The person whose work it is.
    pub person: PersonId,
    /// By the clock of that person's device.
    pub at: Moment,
    /// The instrument, for a reading.
    pub instrument: Option<String>,
    /// Remarks beside it.
    pub marks: Vec<String>,
    /// Whether this side governs until somebody settles it.
    pub governs: bool,
}

/// A contradiction laid out.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Both {
    /// What a settlement names.
    pub key: String,
    /// The unit.
    pub unit: Option<ApplianceId>,
    /// What it is about.
    pub about: String,
    /// Every side.
    pub sides: Vec<Side>,
    /// What governs until it is settled.
    pub governs: String,
    /// What settles it.
    pub next: String,
}

/// Lays a contradiction of a visit out.
pub fn of_visit(file: &VisitFile<'_>, one: &Contradiction, say: &Say<'_>) -> Both {
    let marker = Marker::new(file);
    let sides = one.sides().into_iter().filter_map(|id| {
        let papers = file.papers().find(|papers| papers.read.entry(id).is_some())?;
        let entry = papers.read.entry(id)?;
        let marks = marker.marks(papers, entry);
        let marks = marks.iter().map(|mark| say.phrase(&Mark::phrase(mark))).collect();
        Some(side(entry, marks, say))
    });
    laid_out(one, sides.collect(), say)
}

/// Lays a contradiction of one document out.
pub fn of_papers(papers: &Papers<'_>, one: &Contradiction, say: &Say<'_>) -> Both {
    let sides = one.sides().into_iter().filter_map(|id| papers.read.entry(id));
    let sides = sides.map(|entry| side(entry, vec![], say)).collect();
    laid_out(one, sides, say)
}

fn side(entry: &Entry, marks: Vec<String>, say: &Say<'_>) -> Side {
    let instrument = match &entry.body {
        Body::Reading(reading) => reading.instrument.map(|instrument| say.entry(instrument)),
        _ => None,
    };
    Side {
        entry: entry.id,
        says: say.body(&entry.body),
        person: entry.person(),
        at: entry.stamp.at(),
        instrument,
        marks,
        governs: false,
    }
}

fn laid_out(one: &Contradiction, mut sides: Vec<Side>, say: &Say<'_>) -> Both {
    let unit = match one {
        Contradiction::RemovedWithEvidence { appliance, .. } => Some(*appliance),
        other => other.doc().and_then(crate::record::doc_id::DocId::appliance),
    };
    let own = |about: &str, governs: &str, next: &str| {
        (say.t(about).to_owned(), say.t(governs).to_owned(), say.t(next).to_owned())
    };
    let (about, governs, next) = match one {
        Contradiction::Field { field, merged, .. } => {
            sides = merged.sides().iter().map(|said| register_side(field, said, say)).collect();
            let shown = merged.governs().map(|said| said.id);
            mark_governing(&mut sides, shown);
            let own = |words| say.t(words).to_owned();
            (own(field.def.says), own(register_governs(merged)), own(SETTLE))
        }
        Contradiction::Check { item, .. } => own(
            item.says(),
            "the worst answer governs",
            "one of them tests again; a second answer of the same person replaces the first",
        ),
        Contradiction::Readings { quantity, phase, governs, .. } => {
            mark_governing(&mut sides, *governs);
            let words = match governs {
                Some(_) => "the one taken with the instrument in date governs",
                None => "none governs; they are never averaged",
            };
            let about = format!("{}, {}", say.t(quantity.says()), say.t(phase.says()));
            let next = "measure again, or settle with the reading that governs and why";
            (about, say.t(words).to_owned(), say.t(next).to_owned())
        }
        other => in_words(other, say),
    };
    Both { key: one.key(), unit, about, sides, governs, next }
}

const SETTLE: &str = "a named person settles it with a reason";

fn in_words(one: &Contradiction, say: &Say<'_>) -> (String, String, String) {
    let own = |about: &str, governs: &str, next: &str| {
        (say.t(about).to_owned(), say.t(governs).to_owned(), say.t(next).to_owned())
    };
    match one {
        Contradiction::Text { .. } => own(
            "two people edited this text",
            "both edits stand in it",
            "read it once and say that it reads well, or edit it",
        ),
        Contradiction::Double { .. } => own(
            "these two may be one event",
            "both count until somebody says",
            "say that they are one event, or two",
        ),
        Contradiction::RemovedWithEvidence { appliance, entries, .. } => (
            say.fill("{} was taken off although it has evidence", &[&say.names.unit(*appliance)]),
            say.fill("its {} entries stay", &[&entries.to_string()]),
            say.t("merge it into the right unit, or put it on the roster again").to_owned(),
        ),
        Contradiction::Late { sign_off, entries } => (
            say.fill(
                "{} entries that sign-off {} did not show",
                &[&entries.len().to_string(), &short(*sign_off)],
            ),
            say.t("they count, marked after sign-off").to_owned(),
            say.t("a second sign-off that shows them").to_owned(),
        ),
        Contradiction::Clock { person, ahead_s } => {
            let words = if *ahead_s < 0 {
                "clock of {}: {} min behind the hub"
            } else {
                "clock of {}: {} min ahead of the hub"
            };
            let minutes = ahead_s.unsigned_abs().div_ceil(60).to_string();
            (
                say.fill(words, &[&say.names.person(*person), &minutes]),
                say.t("stamps stay as entered; order is by what each had seen").to_owned(),
                say.t(SETTLE).to_owned(),
            )
        }
        Contradiction::Release { .. } => own(
            "a release that its author made without having seen these failing entries",
            "the release does not take effect; the unit stays shut down",
            "prove the unit again and release it again",
        ),
        Contradiction::Lock { .. } => own(
            "a lock was taken off by another person than its owner",
            "both entries stand",
            "the owner says whether the lock is off, and why another took it",
        ),
        _ => own("two answers", "both stand", SETTLE),
    }
}

fn register_side(field: &crate::record::field::Field, said: &Said, say: &Say<'_>) -> Side {
    let reason = said.reason.as_ref().map(|why| format!(" ({why})")).unwrap_or_default();
    Side {
        entry: said.id,
        says: format!("{}{reason}", say.value(field, &said.value)),
        person: said.stamp.person(),
        at: said.stamp.at(),
        instrument: None,
        marks: vec![],
        governs: false,
    }
}

fn mark_governing(sides: &mut [Side], governs: Option<EntryId>) {
    for side in sides {
        side.governs = Some(side.entry) == governs;
    }
}

fn register_governs(merged: &Merged) -> &'static str {
    match merged.governs() {
        Some(_) => "the marked one is shown until it is settled",
        None => "none governs; what depends on it is not judged",
    }
}
