//! Figures that follow from readings of a sheet. They are recomputed, never merged.

use crate::record::body::{Body, Kind};
use crate::record::code::{Phase, Quantity};
use crate::record::file::{UnitInVisit, amount};
use crate::record::id::PersonId;
use crate::record::read::Entry;
use crate::trade::quantity::{Amount, Concentration};
use crate::trade::unit::Unit;

/// O2 and CO of each flue test in a phase, in order: figures of one person with one stamp belong
/// together.
pub fn flue_tests(unit: &UnitInVisit<'_>, phase: Phase) -> Vec<(Concentration, Concentration)> {
    let Some(sheet) = &unit.sheet else { return vec![] };
    let mut found = vec![];
    let mut open: Vec<(PersonId, i64, Concentration)> = vec![];
    for entry in sheet.read.counted(Kind::Reading) {
        let Body::Reading(reading) = &entry.body else { continue };
        let Some(own) = reading.value.figure().and_then(amount) else { continue };
        let stamp = (entry.person(), entry.stamp.secs);
        match reading.quantity {
            Quantity::FlueO2 if reading.phase == phase => {
                if let Some(percent) = own.to(Unit::Pct) {
                    open.retain(|(person, secs, _)| (*person, *secs) != stamp);
                    open.push((stamp.0, stamp.1, Concentration::from_percent(percent.value)));
                }
            }
            Quantity::FlueCo if reading.phase == phase => {
                let o2 = open.iter().find(|(person, secs, _)| (*person, *secs) == stamp);
                if let (Some((_, _, o2)), Some(ppm)) = (o2, own.to(Unit::Ppm)) {
                    found.push((*o2, Concentration::from_ppm(ppm.value)));
                }
            }
            _ => {}
        }
    }
    found
}

/// Heat input by the clock, from a meter reading with its dial, pressure and gas temperature.
///
/// The site's heating value and elevation are not known to a sheet; callers that have them use
/// [`crate::trade::gas::clock`] with them. Without, there is no figure.
pub fn clocked(_unit: &UnitInVisit<'_>, _entry: &Entry) -> Option<Amount> {
    None
}
