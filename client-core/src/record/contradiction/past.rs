//! What two people once said differently, settled or not, with every answer that ever stood.
//!
//! [`VisitFile::contradictions`] lists what is open. A report also shows what was settled: by whom, when
//! and why, and what the other side had said.

use std::collections::BTreeMap;

use super::{Contradiction, persons, releases, two_readings};
use crate::record::body::{Body, DoubleMark, Kind};
use crate::record::code::{CheckItem, CheckResult};
use crate::record::field::Said;
use crate::record::file::{Papers, VisitFile};
use crate::record::id::{EntryId, PersonId};
use crate::record::mark::CLOCK_SHOWN_S;
use crate::record::merged::{Merged, answers};
use crate::record::read::{Entry, Read};

/// A difference with its end, where it has one.
#[derive(Clone, Debug, PartialEq)]
pub struct Past {
    /// What was said differently.
    pub about: Contradiction,
    /// For a register: every answer that ever stood, oldest first.
    pub answers: Vec<Said>,
    /// The entry that settled it; none while it is open.
    pub settled_by: Option<EntryId>,
}

impl Past {
    fn new(about: Contradiction, settled_by: Option<EntryId>) -> Past {
        Past { about, answers: vec![], settled_by }
    }
}

/// The settlement of a key in a document, the newest first.
fn settlement(read: &Read, key: &str) -> Option<EntryId> {
    let named = |entry: &&Entry| matches!(&entry.body, Body::Settlement(settlement) if settlement.what == key);
    read.counted(Kind::Settlement).filter(named).last().map(|entry| entry.id)
}

/// Registers that have two answers, or had them until somebody settled.
fn registers(papers: &Papers<'_>) -> Vec<Past> {
    let Some(doc) = papers.id() else { return vec![] };
    let mut found = vec![];
    for (field, merged) in &papers.read.fields {
        let settled = match merged {
            Merged::Contested { .. } => None,
            Merged::Settled(said) if said.settles => settlement(&papers.read, &field.key()),
            Merged::Settled(_) => continue,
        };
        if !merged.contested() && settled.is_none() {
            continue;
        }
        let about = Contradiction::Field { doc, field: *field, merged: merged.clone() };
        let answers = answers(&papers.parts, field);
        found.push(Past { about, answers, settled_by: settled });
    }
    found
}

/// Checks that two persons ever answered differently. Settled once the latest answers agree; the entry that
/// settled it is then the last answer.
fn checks(sheet: &Papers<'_>) -> Vec<Past> {
    let Some(doc) = sheet.id() else { return vec![] };
    let mut all: BTreeMap<CheckItem, Vec<(&Entry, CheckResult)>> = BTreeMap::new();
    for entry in sheet.read.shown(Kind::Check) {
        if let Body::Check(check) = &entry.body {
            all.entry(check.item).or_default().push((entry, check.result));
        }
    }
    let mut found = vec![];
    for (item, answers) in all {
        let differ = answers.iter().any(|(one, result)| {
            answers.iter().any(|(other, own)| own != result && other.person() != one.person())
        });
        if !differ {
            continue;
        }
        let mut latest: BTreeMap<PersonId, CheckResult> = BTreeMap::new();
        for (entry, result) in answers.iter().filter(|(entry, _)| entry.counts()) {
            latest.insert(entry.person(), *result);
        }
        let mut results = latest.values();
        let first = results.next();
        let agree = results.all(|other| Some(other) == first);
        let key = format!("check/{}", item.key());
        let last = answers.last().map(|(entry, _)| entry.id);
        let settled = settlement(&sheet.read, &key).or(last.filter(|_| agree));
        let sides = answers.iter().map(|(entry, _)| entry.id).collect();
        found.push(Past::new(Contradiction::Check { doc, item, sides }, settled));
    }
    found
}

/// Texts that two people edited, and who read the whole.
fn texts(papers: &Papers<'_>) -> Vec<Past> {
    let Some(doc) = papers.id() else { return vec![] };
    let read = &papers.read;
    let edited = read.texts.iter().filter(|text| persons(read, papers, &text.writers) > 1);
    edited
        .map(|text| {
            let of = |entry: &&Entry| {
                matches!(&entry.body, Body::TextRead(mark) if mark.note == text.note)
            };
            let reader = read.counted(Kind::TextRead).filter(of).last().map(|entry| entry.id);
            let about = Contradiction::Text { doc, note: text.note };
            Past::new(about, reader.filter(|_| text.read))
        })
        .collect()
}

/// Lines that look like one event, and lines that somebody looked at.
fn doubles(papers: &Papers<'_>) -> Vec<Past> {
    let Some(doc) = papers.id() else { return vec![] };
    let open = super::doubles(doc, papers).into_iter().map(|one| Past::new(one, None));
    let looked = papers.read.counted(Kind::DoubleMark).filter_map(|entry| match &entry.body {
        Body::DoubleMark(DoubleMark { keep, other, .. }) => {
            let about = Contradiction::Double { doc, one: *keep, other: *other };
            Some(Past::new(about, Some(entry.id)))
        }
        _ => None,
    });
    open.chain(looked).collect()
}

impl VisitFile<'_> {
    /// Everything that two people said differently in this visit, settled or not, unit by unit.
    pub fn differences(&self) -> Vec<Past> {
        let mut found = self.of_papers(&self.head);
        for unit in &self.units {
            if let Some(own) = &unit.unit {
                found.extend(self.of_papers(own));
                let settled = |one: &Contradiction| settlement(&own.read, &one.key());
                let releases = releases(unit, own).into_iter();
                found.extend(
                    releases.map(|one| (settled(&one), one)).map(|(by, one)| Past::new(one, by)),
                );
            }
            if let Some(sheet) = &unit.sheet {
                found.extend(self.of_papers(sheet));
                found.extend(checks(sheet));
                for one in two_readings(sheet, self.company) {
                    let settled = settlement(&sheet.read, &one.key());
                    found.push(Past::new(one, settled));
                }
            }
        }
        found.extend(self.removed());
        found.extend(self.after_signatures());
        for one in self.clocks_met() {
            let settled = settlement(&self.head.read, &one.key());
            found.push(Past::new(one, settled));
        }
        found
    }

    fn of_papers(&self, papers: &Papers<'_>) -> Vec<Past> {
        let mut found = registers(papers);
        found.retain(|past| !self.settled_before(papers, past));
        found.extend(texts(papers));
        found.extend(doubles(papers));
        let locks = papers.id().map(|doc| super::locks(doc, &papers.read)).unwrap_or_default();
        found.extend(locks.into_iter().map(|one| {
            let settled = settlement(&papers.read, &one.key());
            Past::new(one, settled)
        }));
        found
    }

    /// A register of an appliance outlives visits: one that was settled on a day before this visit is told
    /// in the record of the visit that it belongs to.
    fn settled_before(&self, papers: &Papers<'_>, past: &Past) -> bool {
        let settled = past.settled_by.and_then(|id| papers.read.entry(id));
        let of_visit = papers.id().and_then(crate::record::doc_id::DocId::visit).is_some();
        match (settled, self.day()) {
            (Some(entry), Some(day)) if !of_visit => entry.stamp.at().day() < day,
            _ => false,
        }
    }

    /// Units of this visit that somebody took off the roster although there is evidence for them.
    fn removed(&self) -> Vec<Past> {
        let Some(site) = self.site else { return vec![] };
        let mut found = vec![];
        for entry in site.shown(Kind::Roster) {
            let (Body::Roster(roster), Some(void)) = (&entry.body, entry.voided_by) else {
                continue;
            };
            let appliance = roster.appliance;
            let sheet = self.unit(appliance).and_then(|unit| unit.sheet.as_ref());
            let entries = sheet.map_or(0, |sheet| sheet.read.entries.len());
            if entries > 0 {
                let about = Contradiction::RemovedWithEvidence { appliance, void, entries };
                let settled = settlement(site, &about.key());
                found.push(Past::new(about, settled));
            }
        }
        found
    }

    /// Evidence that came after a signature, and the later signature that shows it.
    fn after_signatures(&self) -> Vec<Past> {
        let signed = self.signed().sign_offs;
        let mut found = vec![];
        for (at, (id, _, _)) in signed.iter().enumerate() {
            let entries: Vec<EntryId> = self.not_in(&[*id]).iter().map(|entry| entry.id).collect();
            // Each entry is told once: under the last signature before it.
            let later: Vec<EntryId> = signed[at + 1..].iter().map(|(id, _, _)| *id).collect();
            let covered = later.iter().find(|later| {
                let missing = self.not_in(&[**later]);
                entries.iter().all(|entry| missing.iter().all(|own| own.id != *entry))
            });
            if !entries.is_empty() && (covered.is_some() || later.is_empty()) {
                let about = Contradiction::Late { sign_off: *id, entries };
                found.push(Past::new(about, covered.copied()));
            }
        }
        found
    }

    /// Clocks that were more than two minutes off, settled or not.
    pub(super) fn clocks_met(&self) -> Vec<Contradiction> {
        let mut ahead: BTreeMap<PersonId, i64> = BTreeMap::new();
        for papers in self.papers() {
            for entry in &papers.read.entries {
                let signer = self.signers.get(entry.id.actor);
                let off = signer.and_then(|signer| signer.ahead_at(entry.id.n));
                if let Some(off) = off.filter(|off| off.abs() > CLOCK_SHOWN_S)
                    && self.belongs(papers, entry)
                {
                    ahead.insert(entry.stamp.by, off);
                }
            }
        }
        let clocks = ahead.into_iter();
        clocks.map(|(person, ahead_s)| Contradiction::Clock { person, ahead_s }).collect()
    }
}
