//! Remarks that stand beside an entry: nothing is hidden, everything is labelled.

use std::collections::BTreeSet;

use crate::record::body::{Body, Reading};
use crate::record::code::{Phase, WorkKind};
use crate::record::field::{Field, FieldValue, Of};
use crate::record::file::{Papers, VisitFile, amount};
use crate::record::id::EntryId;
use crate::record::instrument::calibration_on;
use crate::record::phrase::{Gap, Phrase};
use crate::record::read::{Entry, had_seen};
use crate::record::signer::{Signers, Standing};
use crate::record::value::Day;
use crate::trade::uncertainty::Calibration;

/// A remark beside an entry.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Mark {
    /// Entered as found after the same phone had seen work on the unit.
    FoundAfterWork,
    /// Entered as found while somebody else had begun to work, unknown to this one.
    WorkBegunElsewhere,
    /// The instrument's calibration was past due on that day.
    InstrumentOverdue(Day),
    /// Taken before steady state.
    Early,
    /// Outside what is plausible, and nobody said why.
    Unexplained,
    /// Not covered by any sign-off although one exists.
    AfterSignOff,
    /// The device's clock was ahead of the hub's by so many seconds (negative: behind).
    ClockAhead(i64),
    /// The license had expired on that day.
    LicenceExpired(Day),
    /// Entered by another person than the one whose work it is.
    EnteredForAnother,
    /// The key that signed it is certified for another person.
    AnothersKey,
    /// No certificate is known for the key that signed it.
    UnknownKey,
    /// Signed after a revocation, and a supervisor answers for it.
    Vouched,
}

/// More than this many seconds between two clocks is shown.
pub const CLOCK_SHOWN_S: i64 = 120;

impl Mark {
    /// In English.
    pub fn says(&self) -> String {
        self.phrase().to_string()
    }

    /// In words that a face says in its own language.
    pub fn phrase(&self) -> Phrase {
        let day = |words, day: &Day| Phrase::new(words, vec![Gap::of(day)]);
        match self {
            Mark::FoundAfterWork => Phrase::plain("entered as found after work had begun"),
            Mark::WorkBegunElsewhere => Phrase::plain("work had begun elsewhere, unknown here"),
            Mark::InstrumentOverdue(due) => day("instrument overdue since {}", due),
            Mark::Early => Phrase::plain("early: before steady state"),
            Mark::Unexplained => Phrase::plain("outside what is usual, no reason given"),
            Mark::AfterSignOff => Phrase::plain("after sign-off"),
            Mark::ClockAhead(secs) => {
                let words = if *secs < 0 {
                    "clock {} min behind the hub"
                } else {
                    "clock {} min ahead of the hub"
                };
                Phrase::new(words, vec![Gap::of(secs.unsigned_abs().div_ceil(60))])
            }
            Mark::LicenceExpired(expired) => day("license expired {}", expired),
            Mark::EnteredForAnother => Phrase::plain("entered for another person"),
            Mark::AnothersKey => Phrase::plain("signed by another person's device"),
            Mark::UnknownKey => Phrase::plain("signed by an unknown key"),
            Mark::Vouched => Phrase::plain("after revocation, a supervisor answers for it"),
        }
    }
}

/// Whether an entry is work that closes the found block.
pub fn is_work(entry: &Entry) -> bool {
    match &entry.body {
        Body::Work(work) => !matches!(work.kind, WorkKind::None | WorkKind::Advised),
        Body::Adjustment(_) => true,
        _ => false,
    }
}

/// Remarks that follow from the sheet alone.
pub fn on_sheet(sheet: &Papers<'_>, entry: &Entry) -> Vec<Mark> {
    let mut marks = vec![];
    let Body::Reading(reading) = &entry.body else { return marks };
    if reading.early == Some(true) {
        marks.push(Mark::Early);
    }
    if unexplained(reading) {
        marks.push(Mark::Unexplained);
    }
    if reading.phase == Phase::AsFound {
        let mut work = sheet.read.entries.iter().filter(|other| other.counts() && is_work(other));
        let mut elsewhere = false;
        let after = work.any(|done| {
            let seen = had_seen(&sheet.parts, entry, done);
            elsewhere |= !seen && !had_seen(&sheet.parts, done, entry);
            seen
        });
        if after {
            marks.push(Mark::FoundAfterWork);
        } else if elsewhere {
            marks.push(Mark::WorkBegunElsewhere);
        }
    }
    marks
}

fn unexplained(reading: &Reading) -> bool {
    let plausible = reading.quantity.kind().zip(reading.value.figure().and_then(amount));
    plausible.is_some_and(|(kind, amount)| !kind.plausible(amount)) && reading.why_unusual.is_none()
}

/// Remarks that follow from who signed and when.
pub fn on_signature(signers: &Signers, entry: &Entry) -> Vec<Mark> {
    let mut marks = vec![];
    match entry.standing {
        Standing::Good | Standing::Waiting => {}
        Standing::Vouched => marks.push(Mark::Vouched),
        Standing::AnotherPerson => marks.push(Mark::AnothersKey),
        Standing::Unknown => marks.push(Mark::UnknownKey),
    }
    if entry.stamp.entered_for.is_some_and(|person| person != entry.stamp.by) {
        marks.push(Mark::EnteredForAnother);
    }
    let ahead = signers.get(entry.id.actor).and_then(|signer| signer.ahead_at(entry.id.n));
    marks.extend(ahead.filter(|secs| secs.abs() > CLOCK_SHOWN_S).map(Mark::ClockAhead));
    marks
}

/// Finds the remarks of a visit's entries; what they share is worked out once.
#[derive(Debug)]
pub struct Marker<'f> {
    file: &'f VisitFile<'f>,
    late: BTreeSet<EntryId>,
}

impl<'f> Marker<'f> {
    /// A marker for a visit.
    pub fn new(file: &'f VisitFile<'f>) -> Marker<'f> {
        Marker { file, late: file.late().iter().map(|entry| entry.id).collect() }
    }

    /// Every remark beside an entry of a sheet of this visit.
    pub fn marks(&self, sheet: &Papers<'_>, entry: &Entry) -> Vec<Mark> {
        let mut marks = on_sheet(sheet, entry);
        marks.extend(on_signature(self.file.signers, entry));
        let day = entry.stamp.at().day();
        if let (Body::Reading(reading), Some(company)) = (&entry.body, self.file.company)
            && let Some(instrument) = reading.instrument
            && let (Calibration::Overdue, Some(due)) = calibration_on(company, instrument, day)
        {
            marks.push(Mark::InstrumentOverdue(due));
        }
        if let Some(expired) = self.licence_expired(entry, day) {
            marks.push(Mark::LicenceExpired(expired));
        }
        if self.late.contains(&entry.id) {
            marks.push(Mark::AfterSignOff);
        }
        marks
    }

    fn licence_expired(&self, entry: &Entry, day: Day) -> Option<Day> {
        let field = Field::named("person/{}/licence_expires").about(Of::Person(entry.person()));
        match self.file.company?.field(&field)?.governs()?.value {
            FieldValue::Day(expires) if expires < day => Some(expires),
            _ => None,
        }
    }
}
