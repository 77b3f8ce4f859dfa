//! Instruments of the company: which one, whose, and whether its calibration was in date.

use crate::record::body::{Body, Kind};
use crate::record::code::InstrumentKind;
use crate::record::id::EntryId;
use crate::record::read::Read;
use crate::record::value::Day;
use crate::trade::uncertainty::Calibration;

/// An instrument as the company knows it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct InstrumentShown {
    /// Its number.
    pub id: EntryId,
    /// What it is.
    pub kind: InstrumentKind,
    /// The firm's label on it.
    pub label: String,
    /// Calibrations: done and due, oldest first.
    pub calibrations: Vec<(Day, Option<Day>)>,
}

/// Every instrument of the company.
pub fn instruments(company: &Read) -> Vec<InstrumentShown> {
    let calibrations = |id: EntryId| {
        let mut found: Vec<(Day, Option<Day>)> = company
            .counted(Kind::Calibration)
            .filter_map(|entry| match &entry.body {
                Body::Calibration(done) if done.instrument == id => Some((done.done, done.due)),
                _ => None,
            })
            .collect();
        found.sort_unstable();
        found
    };
    company
        .counted(Kind::Instrument)
        .filter_map(|entry| match &entry.body {
            Body::Instrument(instrument) => Some(InstrumentShown {
                id: entry.id,
                kind: instrument.kind,
                label: instrument.label.clone(),
                calibrations: calibrations(entry.id),
            }),
            _ => None,
        })
        .collect()
}

/// Whether an instrument was in date on a day, and when it was due.
pub fn calibration_on(company: &Read, instrument: EntryId, day: Day) -> (Calibration, Option<Day>) {
    let shown = instruments(company).into_iter().find(|shown| shown.id == instrument);
    let Some(shown) = shown else { return (Calibration::Unknown, None) };
    let last = shown.calibrations.iter().rfind(|(done, _)| *done <= day);
    match last {
        None | Some((_, None)) => (Calibration::Unknown, None),
        Some((_, Some(due))) if *due < day => (Calibration::Overdue, Some(*due)),
        Some((_, due)) => (Calibration::Current, *due),
    }
}
