//! Figures that follow from readings of a sheet. They are recomputed, never merged.

pub mod block;
pub mod signed;

use crate::record::body::{Body, Kind, Reading};
use crate::record::code::{Phase, Quantity};
use crate::record::field::FieldValue;
use crate::record::file::{UnitInVisit, amount};
use crate::record::id::PersonId;
use crate::record::read::Read;
use crate::record::value::Figure;
use crate::trade::atmosphere::standard_pressure;
use crate::trade::gas::clock::Clocking;
use crate::trade::quantity::{
    Amount, Concentration, Count, GasBase, GaugePressure, HeatingValue, Length, Quantity as _,
    Temperature, TimeSpan, Volume,
};
use crate::trade::uncertainty::Uncertain;
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

/// Heat input by the clock, from a meter reading with its dial, pressure and gas temperature, and the
/// site's heating value and elevation. None where any of them is missing or impossible: nothing is
/// assumed.
pub fn clocked(site: &Read, reading: &Reading) -> Option<Amount> {
    Some(clocking(site, reading)?.solve().ok()?.input.amount(Unit::Mbh))
}

/// The same with its standard uncertainty: of the watch, of the pressures and the temperature, and of the
/// heating value.
pub fn clocked_uncertain(site: &Read, reading: &Reading) -> Option<Uncertain> {
    let found = clocking(site, reading)?.uncertain()?;
    let amount = found.amount.to(Unit::Mbh)?;
    Some(Uncertain { amount, u: found.u * amount.value / found.amount.value })
}

fn clocking(site: &Read, reading: &Reading) -> Option<Clocking> {
    let of = |figure: Option<Figure>| figure.and_then(amount);
    let register = |key: &str| match site.named(key)?.governs()?.value {
        FieldValue::Figure(figure) => amount(figure),
        _ => None,
    };
    let elevation = Length::from_amount(register("site/elevation")?)?;
    Some(Clocking {
        dial: Volume::from_amount(of(reading.dial).or_else(|| register("site/meter_dial"))?)?,
        revolutions: Count::from_number(f64::from(reading.revolutions.unwrap_or(1))),
        time: TimeSpan::from_amount(of(reading.value.figure())?)?,
        gauge: GaugePressure::from_amount(
            of(reading.meter_pressure).or_else(|| register("site/meter_pressure"))?,
        )?,
        barometer: standard_pressure(elevation).ok()?,
        gas: of(reading.gas_temp).and_then(Temperature::from_amount),
        heating_value: HeatingValue::from_amount(register("site/heating_value")?)?,
        base: GasBase::PSIA_14_73,
    })
}
