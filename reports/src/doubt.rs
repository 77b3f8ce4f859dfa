//! How far the doubt of the instruments reaches: twice the standard uncertainty of each figure of a unit.
//!
//! Readings by the accuracy of such instruments and by the calibration on the day; figures that follow from
//! readings to first order by JCGM 100:2008 5.1.2.

use std::collections::BTreeMap;

use client_core::record::body::{Body, Reading};
use client_core::record::code::{Gas, Phase, Quantity};
use client_core::record::derived;
use client_core::record::file::{UnitInVisit, VisitFile, amount};
use client_core::record::instrument::calibration_on;
use client_core::record::read::Entry;
use client_core::trade::flue::{Dilution, FlueAnalysis, FlueReading, analyse};
use client_core::trade::fuel::Fuel;
use client_core::trade::quantity::{Amount, Concentration, Quantity as _, Temperature};
use client_core::trade::uncertainty::{Calibration, Uncertain, first_order};
use client_core::trade::unit::Unit;

/// Doubts by the key of the figure.
pub type Doubts = BTreeMap<&'static str, Amount>;

/// The readings of one unit in one phase.
struct Readings<'r, 'f> {
    file: &'r VisitFile<'f>,
    unit: &'r UnitInVisit<'f>,
    phase: Phase,
}

/// Doubts of a unit's figures in a phase. `gas` is the gas supplied, when it is settled.
pub fn doubts(
    file: &VisitFile<'_>,
    unit: &UnitInVisit<'_>,
    phase: Phase,
    gas: Option<Gas>,
) -> Doubts {
    let readings = Readings { file, unit, phase };
    let mut found = Doubts::new();
    for quantity in Quantity::ALL {
        if let Some(read) = readings.uncertain(*quantity) {
            found.insert(quantity.key(), Amount::new(2.0 * read.u, difference(read.amount.unit)));
        }
    }
    let mut add = |key, one, other| {
        let both = readings.uncertain(one).zip(readings.uncertain(other));
        if let Some((one, other)) = both {
            let u = step(one, Unit::DeltaF).hypot(step(other, Unit::DeltaF));
            found.insert(key, Amount::new(2.0 * u, Unit::DeltaF));
        }
    };
    add("rise", Quantity::AirIn, Quantity::AirOut);
    add("net_stack", Quantity::StackTemp, Quantity::CombustionAirTemp);
    readings.flue(gas, &mut found);
    readings.input(&mut found);
    found
}

/// The unit of a difference between two figures of this unit.
const fn difference(unit: Unit) -> Unit {
    match unit {
        Unit::F => Unit::DeltaF,
        Unit::C => Unit::DeltaC,
        other => other,
    }
}

/// A standard uncertainty in another unit: by the step of its scale, not by its zero.
fn step(read: Uncertain, unit: Unit) -> f64 {
    let own = difference(read.amount.unit);
    own.convert(read.u, unit).unwrap_or(f64::NAN)
}

impl Readings<'_, '_> {
    fn reading(&self, quantity: Quantity) -> Option<(&Entry, &Reading)> {
        let entry = self.unit.last(quantity, self.phase)?;
        match &entry.body {
            Body::Reading(reading) => Some((entry, reading)),
            _ => None,
        }
    }

    fn uncertain(&self, quantity: Quantity) -> Option<Uncertain> {
        let (entry, reading) = self.reading(quantity)?;
        let calibration = match (self.file.company, reading.instrument) {
            (Some(company), Some(instrument)) => {
                calibration_on(company, instrument, entry.stamp.at().day()).0
            }
            _ => Calibration::Unknown,
        };
        quantity.kind()?.uncertain(amount(reading.value.figure()?)?, None, calibration)
    }

    /// What follows from a flue test.
    fn flue(&self, gas: Option<Gas>, found: &mut Doubts) {
        let fuel = match gas {
            Some(Gas::Natural) => Fuel::named("natural_gas"),
            Some(Gas::Lp) => Fuel::named("propane"),
            _ => None,
        };
        let Some(fuel) = fuel else { return };
        let kinds = [Quantity::StackTemp, Quantity::CombustionAirTemp, Quantity::FlueO2];
        let [stack, air, oxygen] = kinds.map(|kind| self.uncertain(kind));
        let (Some(stack), Some(air), Some(oxygen)) = (stack, air, oxygen) else { return };
        let tests = derived::flue_tests(self.unit, self.phase);
        let co = tests.last().map_or(0.0, |(_, co)| co.ppm());
        let co_u = self.uncertain(Quantity::FlueCo).map_or(0.0, |read| step(read, Unit::Ppm));
        let kelvin = |read: Uncertain| {
            let at = Temperature::from_amount(read.amount)?.kelvin();
            Some(Uncertain { amount: Amount::new(at, Unit::K), u: step(read, Unit::K) })
        };
        let (Some(stack), Some(air), Some(o2)) =
            (kelvin(stack), kelvin(air), oxygen.amount.to(Unit::Pct))
        else {
            return;
        };
        let inputs = [
            Uncertain { amount: o2, u: step(oxygen, Unit::Pct) },
            Uncertain { amount: Amount::new(co, Unit::Ppm), u: co_u },
            stack,
            air,
        ];
        let solve = |x: &[f64]| {
            let o2 = Concentration::from_percent(x[0].max(0.0));
            let flue = Temperature::from_kelvin(x[2]);
            let air = Temperature::from_kelvin(x[3]);
            let reading = FlueReading {
                co: Concentration::from_ppm(x[1].max(0.0)),
                dilution: Dilution::Oxygen(o2),
                ..FlueReading::of_oxygen(o2, flue, air)
            };
            analyse(&fuel, &reading).ok()
        };
        let mut add = |key, unit, figure: fn(&FlueAnalysis) -> f64| {
            if let Some(own) = first_order(&inputs, |x| solve(x).map(|sheet| figure(&sheet))) {
                found.insert(key, Amount::new(2.0 * own.u, unit));
            }
        };
        add("co2", Unit::Pct, |sheet| sheet.co2.percent());
        add("excess_air", Unit::Pct, |sheet| sheet.excess_air.percent());
        add("co_air_free", Unit::Ppm, |sheet| sheet.co_air_free.ppm());
        add("efficiency", Unit::Pct, |sheet| sheet.gross_without_condensing.percent());
    }

    /// Input by the manifold and by the meter.
    fn input(&self, found: &mut Doubts) {
        let plate = self.unit.figure("plate/input").and_then(amount);
        let plate = plate.and_then(|own| own.to(Unit::Mbh));
        let manifold = self.unit.figure("plate/manifold_high").and_then(amount);
        let manifold = manifold.and_then(|own| own.to(Unit::InWc)).filter(|own| own.value > 0.0);
        let read = self.uncertain(Quantity::ManifoldHigh);
        if let (Some(plate), Some(manifold), Some(read)) = (plate, manifold, read)
            && let Some(own) = read.amount.to(Unit::InWc).filter(|own| own.value > 0.0)
        {
            // The root of the pressures: half the share of the pressure's doubt.
            let input = plate.value * (own.value / manifold.value).sqrt();
            let u = input * 0.5 * step(read, Unit::InWc) / own.value;
            found.insert("manifold_input", Amount::new(2.0 * u, Unit::Mbh));
        }
        let clocked = self.reading(Quantity::MeterTime).zip(self.file.site);
        if let Some(((_, reading), site)) = clocked
            && let Some(input) = derived::clocked_uncertain(site, reading)
        {
            found.insert("clocked_input", Amount::new(2.0 * input.u, input.amount.unit));
        }
    }
}
