//! Pairs of entries: two measurements of one thing, two lines that may be one event.

use std::collections::BTreeMap;

use super::Contradiction;
use crate::record::body::{Body, Kind, Reading};
use crate::record::code::{Phase, Quantity, Stage};
use crate::record::doc_id::DocId;
use crate::record::file::{Papers, amount};
use crate::record::id::EntryId;
use crate::record::instrument::calibration_on;
use crate::record::read::{Entry, Read, had_seen};
use crate::trade::uncertainty::{Calibration, Uncertain};
use crate::trade::verdict::agree;

/// Readings of one quantity in one phase by two persons, same point and stage, that their instruments
/// together can tell apart. They are never averaged.
pub fn two_readings(sheet: &Papers<'_>, company: Option<&Read>) -> Vec<Contradiction> {
    let Some(doc) = sheet.id() else { return vec![] };
    let mut groups: BTreeMap<(Quantity, Phase, String, Option<Stage>), Vec<&Entry>> =
        BTreeMap::new();
    for entry in sheet.read.counted(Kind::Reading) {
        if let Body::Reading(reading) = &entry.body {
            let stage = reading.condition.as_ref().and_then(|condition| condition.stage);
            let point = reading.point().to_owned();
            groups.entry((reading.quantity, reading.phase, point, stage)).or_default().push(entry);
        }
    }
    let mut found = vec![];
    for ((quantity, phase, _, _), group) in groups {
        // The latest of each person: somebody's own second reading is no contradiction.
        let mut latest: BTreeMap<_, &Entry> = BTreeMap::new();
        for entry in group {
            latest.insert(entry.person(), entry);
        }
        let mut sides: Vec<&Entry> = latest.into_values().collect();
        sides.sort_by_key(|entry| entry.order);
        if differ(&sides) {
            let governs = governs(&sides, company);
            let sides = sides.iter().map(|entry| entry.id).collect();
            found.push(Contradiction::Readings { doc, quantity, phase, sides, governs });
        }
    }
    found
}

fn reading(entry: &Entry) -> Option<&Reading> {
    match &entry.body {
        Body::Reading(reading) => Some(reading),
        _ => None,
    }
}

fn differ(sides: &[&Entry]) -> bool {
    let uncertain: Vec<Option<Uncertain>> = sides.iter().map(|entry| uncertain(entry)).collect();
    let pairs = uncertain.iter().enumerate();
    pairs.into_iter().any(|(at, one)| {
        uncertain[at + 1..].iter().any(|other| match (one, other) {
            (Some(one), Some(other)) => agree(*one, *other).is_ok_and(|answer| !answer.agree),
            // A figure against "over range": the instruments cannot both be right.
            (None, None) => false,
            _ => true,
        })
    })
}

/// A reading as the sums take it. An overdue instrument is compared by its usual accuracy here: that it
/// is overdue is said beside it, and must not make it agree with everything.
fn uncertain(entry: &Entry) -> Option<Uncertain> {
    let reading = reading(entry)?;
    let amount = amount(reading.value.figure()?)?;
    reading.quantity.kind()?.uncertain(amount, None, Calibration::Current)
}

/// The only side whose instrument was in date, where exactly one is.
fn governs(sides: &[&Entry], company: Option<&Read>) -> Option<EntryId> {
    let company = company?;
    let in_date = |entry: &&&Entry| {
        let instrument = reading(entry).and_then(|reading| reading.instrument);
        instrument.is_some_and(|instrument| {
            let day = entry.stamp.at().day();
            calibration_on(company, instrument, day).0 == Calibration::Current
        })
    };
    let mut fit = sides.iter().filter(in_date);
    match (fit.next(), fit.next()) {
        (Some(one), None) => Some(one.id),
        _ => None,
    }
}

/// Ledger lines that two persons entered without knowing of each other and that look like one event.
pub fn doubles(doc: DocId, papers: &Papers<'_>) -> Vec<Contradiction> {
    let mut found = vec![];
    let lines: Vec<&Entry> = papers
        .read
        .entries
        .iter()
        .filter(|entry| entry.counts() && line(entry).is_some())
        .collect();
    for (at, one) in lines.iter().enumerate() {
        for other in &lines[at + 1..] {
            let alike = one.person() != other.person() && line(one) == line(other);
            let apart =
                || !had_seen(&papers.parts, other, one) && !had_seen(&papers.parts, one, other);
            if alike && apart() && !marked(&papers.read, one.id, other.id) {
                found.push(Contradiction::Double { doc, one: one.id, other: other.id });
            }
        }
    }
    found
}

/// What makes two ledger lines look like one event.
fn line(entry: &Entry) -> Option<String> {
    let tidy = |text: &str| text.trim().to_lowercase();
    match &entry.body {
        Body::Part(part) => Some(format!("part {} {}", tidy(&part.part), part.quantity)),
        Body::Labour(labour) => {
            Some(format!("labour {} {} {:?}", labour.person, labour.minutes, labour.start))
        }
        Body::Member(member) if member.set == "contact" => {
            Some(format!("contact {:?} {:?}", member.person, member.text.as_deref().map(tidy)))
        }
        _ => None,
    }
}

fn marked(read: &Read, one: EntryId, other: EntryId) -> bool {
    read.counted(Kind::DoubleMark).any(|entry| match &entry.body {
        Body::DoubleMark(mark) => {
            (mark.keep, mark.other) == (one, other) || (mark.keep, mark.other) == (other, one)
        }
        _ => false,
    })
}

/// Ledger lines that were marked as entered twice: they stay, and do not count in sums.
pub fn counted_twice(read: &Read) -> Vec<EntryId> {
    read.counted(Kind::DoubleMark)
        .filter_map(|entry| match &entry.body {
            Body::DoubleMark(mark) if mark.same => Some(mark.other),
            _ => None,
        })
        .collect()
}
