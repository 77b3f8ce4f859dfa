//! Where two halves of a record say different things. Nothing is decided here: every side is kept, and
//! the one that governs until somebody settles it says so.

mod pair;
mod past;

use std::collections::BTreeMap;

use crate::record::body::{Body, Kind};
use crate::record::code::{CheckItem, CheckResult, LockState, Phase, Quantity};
use crate::record::doc_id::DocId;
use crate::record::field::Field;
use crate::record::file::{Papers, UnitInVisit, VisitFile};
use crate::record::id::{ApplianceId, EntryId, PersonId};
use crate::record::merged::Merged;
use crate::record::read::{Entry, Read};

pub use pair::{counted_twice, doubles, two_readings};
pub use past::Past;

/// What two people disagree on.
#[derive(Clone, Debug, PartialEq)]
pub enum Contradiction {
    /// One register, several answers.
    Field {
        /// The document.
        doc: DocId,
        /// The register.
        field: Field,
        /// What it says.
        merged: Merged,
    },
    /// One check, two answers.
    Check {
        /// The document.
        doc: DocId,
        /// The check.
        item: CheckItem,
        /// The latest answer of each person, in order.
        sides: Vec<EntryId>,
    },
    /// Two measurements of one thing that their instruments can tell apart.
    Readings {
        /// The document.
        doc: DocId,
        /// What was measured.
        quantity: Quantity,
        /// When.
        phase: Phase,
        /// The readings.
        sides: Vec<EntryId>,
        /// The one that governs: taken with the only instrument in date, where one is.
        governs: Option<EntryId>,
    },
    /// A text that two people edited, not read since.
    Text {
        /// The document.
        doc: DocId,
        /// The note.
        note: EntryId,
    },
    /// Two entries that may be one event.
    Double {
        /// The document.
        doc: DocId,
        /// The earlier one in the order.
        one: EntryId,
        /// The other.
        other: EntryId,
    },
    /// A unit was taken off the roster although there is evidence for it.
    RemovedWithEvidence {
        /// The appliance.
        appliance: ApplianceId,
        /// The void.
        void: EntryId,
        /// Entries that stand for it.
        entries: usize,
    },
    /// Evidence after a sign-off.
    Late {
        /// The last sign-off.
        sign_off: EntryId,
        /// The entries.
        entries: Vec<EntryId>,
    },
    /// A clock that was wrong.
    Clock {
        /// The person whose device it was.
        person: PersonId,
        /// Seconds ahead of the hub.
        ahead_s: i64,
    },
    /// A release that did not take effect: failing readings stand that its author had not seen.
    Release {
        /// The document.
        doc: DocId,
        /// The release.
        release: EntryId,
        /// The failing entries.
        failing: Vec<EntryId>,
    },
    /// A lock taken off by another person than its owner.
    Lock {
        /// The document.
        doc: DocId,
        /// The entry that took it off.
        off: EntryId,
        /// The entry that put it on.
        on: EntryId,
    },
}

impl Contradiction {
    /// A stable key: what a settlement names.
    pub fn key(&self) -> String {
        match self {
            Contradiction::Field { field, .. } => field.key(),
            Contradiction::Check { item, .. } => format!("check/{}", item.key()),
            Contradiction::Readings { quantity, phase, .. } => readings_key(*quantity, *phase),
            Contradiction::Text { note, .. } => format!("text/{note}"),
            Contradiction::Double { one, other, .. } => format!("double/{one}/{other}"),
            Contradiction::RemovedWithEvidence { appliance, .. } => format!("removed/{appliance}"),
            Contradiction::Late { sign_off, .. } => format!("late/{sign_off}"),
            Contradiction::Clock { person, .. } => format!("clock/{person}"),
            Contradiction::Release { release, .. } => format!("release/{release}"),
            Contradiction::Lock { off, .. } => format!("lock/{off}"),
        }
    }

    /// Entries on the table.
    pub fn sides(&self) -> Vec<EntryId> {
        match self {
            Contradiction::Field { merged, .. } => {
                merged.sides().iter().map(|side| side.id).collect()
            }
            Contradiction::Check { sides, .. } | Contradiction::Readings { sides, .. } => {
                sides.clone()
            }
            Contradiction::Text { note, .. } => vec![*note],
            Contradiction::Double { one, other, .. } => vec![*one, *other],
            Contradiction::RemovedWithEvidence { void, .. } => vec![*void],
            Contradiction::Late { entries, .. } => entries.clone(),
            Contradiction::Clock { .. } => vec![],
            Contradiction::Release { release, failing, .. } => {
                std::iter::once(*release).chain(failing.iter().copied()).collect()
            }
            Contradiction::Lock { off, on, .. } => vec![*on, *off],
        }
    }

    /// The document in which it is settled.
    pub fn doc(&self) -> Option<DocId> {
        match self {
            Contradiction::Field { doc, .. }
            | Contradiction::Check { doc, .. }
            | Contradiction::Readings { doc, .. }
            | Contradiction::Text { doc, .. }
            | Contradiction::Double { doc, .. }
            | Contradiction::Release { doc, .. }
            | Contradiction::Lock { doc, .. } => Some(*doc),
            Contradiction::RemovedWithEvidence { .. }
            | Contradiction::Late { .. }
            | Contradiction::Clock { .. } => None,
        }
    }
}

/// What a settlement of two measurements of one thing names.
fn readings_key(quantity: Quantity, phase: Phase) -> String {
    format!("reading/{}/{}", quantity.key(), phase.key())
}

/// The measurement that somebody chose when they settled several of one thing, of which this was the last:
/// out of the settlements that count, in order. A later one was not on the table then, and speaks for itself.
pub fn chosen_reading<'s>(
    settlements: impl Iterator<Item = &'s Body>,
    (quantity, phase): (Quantity, Phase),
    last: EntryId,
) -> Option<EntryId> {
    let what = readings_key(quantity, phase);
    let fits = settlements.filter_map(|body| match body {
        Body::Settlement(own) if own.what == what && own.sides.contains(&last) => Some(own),
        _ => None,
    });
    fits.last()?.chosen
}

/// Whether a settlement of this document names the key and covers every side that stands now.
fn settled(read: &Read, key: &str, sides: &[EntryId]) -> bool {
    read.counted(Kind::Settlement).any(|entry| match &entry.body {
        Body::Settlement(settlement) => {
            settlement.what == key && sides.iter().all(|side| settlement.sides.contains(side))
        }
        _ => false,
    })
}

/// Contradictions of one document that need nothing else.
pub fn in_papers(papers: &Papers<'_>) -> Vec<Contradiction> {
    let Some(doc) = papers.id() else { return vec![] };
    let read = &papers.read;
    let mut found = vec![];
    for (field, merged) in read.fields.iter().filter(|(_, merged)| merged.contested()) {
        found.push(Contradiction::Field { doc, field: *field, merged: merged.clone() });
    }
    found.extend(checks(doc, read));
    for text in read.texts.iter().filter(|text| !text.read) {
        if persons(read, papers, &text.writers) > 1 {
            found.push(Contradiction::Text { doc, note: text.note });
        }
    }
    found.extend(doubles(doc, papers));
    found.extend(locks(doc, read));
    found.retain(|one| !settled(read, &one.key(), &one.sides()) || is_field(one));
    found
}

/// Open contradictions of one sheet. How many there are does not depend on the company's instruments; which
/// side governs does.
pub fn in_sheet(sheet: &Papers<'_>, company: Option<&Read>) -> Vec<Contradiction> {
    let mut found = in_papers(sheet);
    let open = |one: &Contradiction| !settled(&sheet.read, &one.key(), &one.sides());
    found.extend(two_readings(sheet, company).into_iter().filter(open));
    found
}

/// Readings that govern others of the same thing, because their instrument was the only one in date. Words that
/// settle such a difference without choosing a side leave it so.
pub fn governing_readings(sheet: &Papers<'_>, company: Option<&Read>) -> Vec<EntryId> {
    let pairs = two_readings(sheet, company).into_iter();
    let governs = pairs.filter_map(|one| match one {
        Contradiction::Readings { governs, .. } => governs,
        _ => None,
    });
    governs.collect()
}

/// A register that was settled is no longer contested; a settlement in words does not hide one that is.
fn is_field(one: &Contradiction) -> bool {
    matches!(one, Contradiction::Field { .. })
}

/// How many persons stand behind these sessions, as far as their entries here tell.
fn persons(read: &Read, papers: &Papers<'_>, writers: &[crate::record::id::ActorHalf]) -> usize {
    let mut known: Vec<PersonId> = vec![];
    let mut unknown = 0;
    for writer in writers {
        let own = read.entries.iter().find(|entry| entry.id.actor == *writer);
        match own.map(|entry| entry.stamp.by) {
            Some(person) if known.contains(&person) => {}
            Some(person) => known.push(person),
            // A session that only edited this text: a writer of its own.
            None => unknown += 1,
        }
    }
    debug_assert!(!papers.parts.is_empty(), "papers have at least one part");
    known.len() + unknown
}

/// Checks of a sheet on which the latest answers of two persons differ, settled or not.
pub fn checks_that_differ(sheet: &Papers<'_>) -> Vec<Contradiction> {
    sheet.id().map(|doc| checks(doc, &sheet.read)).unwrap_or_default()
}

/// Checks on which the latest answers of two persons differ.
fn checks(doc: DocId, read: &Read) -> Vec<Contradiction> {
    let mut latest: BTreeMap<CheckItem, BTreeMap<PersonId, &Entry>> = BTreeMap::new();
    for entry in read.counted(Kind::Check) {
        if let Body::Check(check) = &entry.body {
            latest.entry(check.item).or_default().insert(entry.person(), entry);
        }
    }
    let differ = |answers: &BTreeMap<PersonId, &Entry>| {
        let mut results = answers.values().filter_map(|entry| result(entry));
        let first = results.next();
        results.any(|other| Some(other) != first)
    };
    latest
        .into_iter()
        .filter(|(_, answers)| differ(answers))
        .map(|(item, answers)| {
            let mut sides: Vec<&Entry> = answers.into_values().collect();
            sides.sort_by_key(|entry| entry.order);
            let sides = sides.iter().map(|entry| entry.id).collect();
            Contradiction::Check { doc, item, sides }
        })
        .collect()
}

fn result(entry: &Entry) -> Option<CheckResult> {
    match &entry.body {
        Body::Check(check) => Some(check.result),
        _ => None,
    }
}

/// The answer to a check that governs: of each person the latest, and of those the worst.
pub fn governing_check(read: &Read, item: CheckItem) -> Option<CheckResult> {
    let mut latest: BTreeMap<PersonId, CheckResult> = BTreeMap::new();
    for entry in read.counted(Kind::Check) {
        if let Body::Check(check) = &entry.body
            && check.item == item
        {
            latest.insert(entry.person(), check.result);
        }
    }
    let worst = |result: &CheckResult| match result {
        CheckResult::Fail => 0,
        CheckResult::Newer(_) => 1,
        CheckResult::NotDone => 2,
        CheckResult::NotApplicable => 3,
        CheckResult::Pass => 4,
    };
    latest.into_values().min_by_key(worst)
}

/// Locks taken off by another person than their owner.
fn locks(doc: DocId, read: &Read) -> Vec<Contradiction> {
    let mut found = vec![];
    for entry in read.counted(Kind::Lock) {
        let Body::Lock(lock) = &entry.body else { continue };
        let Some(on) = lock.takes_off.and_then(|on| read.entry(on)) else { continue };
        if lock.state == LockState::Off && on.person() != entry.person() {
            found.push(Contradiction::Lock { doc, off: entry.id, on: on.id });
        }
    }
    found
}

/// Releases that did not take effect.
fn releases(unit: &UnitInVisit<'_>, own: &Papers<'_>) -> Vec<Contradiction> {
    let Some(doc) = own.id() else { return vec![] };
    let releases = own.read.counted(Kind::Release);
    releases
        .map(|release| (release.id, unit.unseen_failures(release)))
        .filter(|(_, failing)| !failing.is_empty())
        .map(|(release, failing)| Contradiction::Release { doc, release, failing })
        .collect()
}

impl VisitFile<'_> {
    /// Every contradiction of the visit that is not settled, unit by unit.
    pub fn contradictions(&self) -> Vec<Contradiction> {
        let mut found = in_papers(&self.head);
        for unit in &self.units {
            if let Some(own) = &unit.unit {
                found.extend(in_papers(own));
                found.extend(releases(unit, own));
            }
            if let Some(sheet) = &unit.sheet {
                found.extend(in_sheet(sheet, self.company));
            }
        }
        found.extend(self.late_evidence());
        found.extend(self.clocks());
        found
    }

    fn late_evidence(&self) -> Option<Contradiction> {
        let entries: Vec<EntryId> = self.late().iter().map(|entry| entry.id).collect();
        let (sign_off, _, _) = self.signed().sign_offs.last().copied()?;
        (!entries.is_empty()).then_some(Contradiction::Late { sign_off, entries })
    }

    /// Clocks of this visit's sessions that were more than two minutes off.
    fn clocks(&self) -> Vec<Contradiction> {
        let read = &self.head.read;
        let mut found = self.clocks_met();
        found.retain(|one| !settled(read, &one.key(), &[]));
        found
    }

    /// Entries of an appliance's own document belong to the visit that they name.
    fn belongs(&self, papers: &Papers<'_>, entry: &Entry) -> bool {
        let of_visit = papers.id().and_then(DocId::visit).is_some();
        let named = match &entry.body {
            Body::Tag(tag) => tag.visit,
            Body::Lock(lock) => lock.visit,
            Body::Advisory(advisory) => advisory.visit,
            _ => None,
        };
        of_visit || named == Some(self.visit)
    }
}

/// Units of the site that were taken off the roster although there is evidence for them.
///
/// `evidence` says how many entries stand for an appliance.
pub fn removed_with_evidence(
    site: &Papers<'_>,
    evidence: impl Fn(ApplianceId) -> usize,
) -> Vec<Contradiction> {
    let mut found = vec![];
    for entry in site.read.shown(Kind::Roster) {
        let (Body::Roster(roster), Some(void)) = (&entry.body, entry.voided_by) else { continue };
        let entries = evidence(roster.appliance);
        if entries > 0 {
            let appliance = roster.appliance;
            found.push(Contradiction::RemovedWithEvidence { appliance, void, entries });
        }
    }
    found.retain(|one| !settled(&site.read, &one.key(), &one.sides()));
    found
}
