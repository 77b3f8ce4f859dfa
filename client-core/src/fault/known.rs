//! What the record knows of a unit, as the search takes it: nothing that stands in the visit is asked again.
//!
//! Results are the visit's own readings ([`super::reading`]) and the tests that gave a word instead of a
//! figure; figures as left are no evidence of the fault, because the repair lies between.

use super::belief::TestResult;
use super::choice::Family;
use super::detect::{self, Before, Figures, PartSeen, Suspicion, detect};
use super::permit::GasSmell;
use super::reading::{self, Reading};
use super::signs::Signs;
use super::table::{SymptomId, Table};
use crate::record::body::{Body, Kind};
use crate::record::code::{CheckItem, CheckResult, Gas, GasPartKind, Phase, Quantity};
use crate::record::derived::block::{Block, block, gas_supplied};
use crate::record::file::{UnitInVisit, VisitFile, amount};
use crate::record::id::EntryId;
use crate::record::read::Entry;
use crate::record::row::{ReadingRow, SheetRow};
use crate::record::value::Measured;
use crate::trade::flue::air_free::{self, AirFreeShown};
use crate::trade::flue::{Dilution, FRESH_AIR, FlueReading, analyse};
use crate::trade::fuel::Fuel;
use crate::trade::quantity::{Concentration, Quantity as _, Temperature};
use crate::trade::unit::Unit;

/// What is known of a unit in a visit.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Known {
    /// Its family, when the register says one that the tables know.
    pub family: Option<Family>,
    /// Tagged, or its status not settled: only tests on a dead unit.
    pub tagged: bool,
    /// What was answered to the smell check.
    pub gas_smell: GasSmell,
    /// Symptoms entered, in order.
    pub symptoms: Vec<(EntryId, SymptomId)>,
    /// Results with the entry that each comes from, in order.
    pub results: Vec<(EntryId, TestResult)>,
    /// Signs among the figures.
    pub signs: Signs,
    /// Figures that contradict each other.
    pub suspicions: Vec<Suspicion>,
}

impl Known {
    /// The results alone, as the search takes them.
    pub fn results(&self) -> Vec<TestResult> {
        self.results.iter().map(|(_, result)| *result).collect()
    }
}

/// The quantity that answers a test by its figure.
pub fn quantity(test: &str) -> Option<Quantity> {
    Some(match test {
        "flame_ua" => Quantity::FlameCurrent,
        "manifold" => Quantity::ManifoldHigh,
        "leakby" => Quantity::ManifoldOff,
        "inlet_static" => Quantity::InletStatic,
        "inlet_flow" => Quantity::InletAllOn,
        "ps_differential" => Quantity::DraftDifferential,
        "air_prove_dp" => Quantity::AirSwitchDp,
        "bldg_dp" => Quantity::BuildingDp,
        "co_airfree" => Quantity::FlueCo,
        "o2_base" => Quantity::FlueO2,
        "stack_base" => Quantity::StackTemp,
        "temp_rise" => Quantity::AirOut,
        "line_volts" => Quantity::LineVolts,
        "xfmr_volts" => Quantity::ControlVolts,
        "rod_insul" => Quantity::RodToGround,
        "tc_open" => Quantity::ThermocoupleOpen,
        "tc_loaded" => Quantity::ThermocoupleLoaded,
        "tc_dropout" => Quantity::DropoutMv,
        "limit_temp" => Quantity::LimitTripTemp,
        _ => return None,
    })
}

/// Gathers what is known. `before` is the unit's last earlier visit: its figures as left are the base that
/// O2, stack and efficiency are held against.
pub fn known(
    table: &Table,
    file: &VisitFile<'_>,
    unit: &UnitInVisit<'_>,
    before: Option<&SheetRow>,
) -> Known {
    let family = unit.word("unit/family").map(crate::record::code::Family::from_code);
    let mut known = Known {
        family: family.and_then(|family| Family::from_key(family.key())),
        tagged: unit.tag_in_force().is_some()
            || unit.field("unit/status").is_some_and(|own| own.sides().len() > 1),
        ..Known::default()
    };
    let Some(sheet) = &unit.sheet else { return known };
    let gas = gas_supplied(file, unit);
    let before = before.map(|row| figures_before(row, gas));
    let blocks =
        [Phase::AsFound, Phase::InWork, Phase::Spot].map(|phase| (phase, block(file, unit, phase)));
    let look = Look { unit, gas: plain_gas(gas), before, blocks: &blocks };
    for entry in sheet.read.entries.iter().filter(|entry| entry.counts()) {
        look.at(table, entry, &mut known);
    }
    look.signs(&mut known);
    known
}

/// A gas that the sums can tell apart.
fn plain_gas(gas: Option<Gas>) -> Option<detect::Gas> {
    match gas {
        Some(Gas::Natural) => Some(detect::Gas::Natural),
        Some(Gas::Lp) => Some(detect::Gas::Lp),
        _ => None,
    }
}

struct Look<'l> {
    unit: &'l UnitInVisit<'l>,
    gas: Option<detect::Gas>,
    before: Option<Before>,
    blocks: &'l [(Phase, Block); 3],
}

impl Look<'_> {
    fn at(&self, table: &Table, entry: &Entry, known: &mut Known) {
        match &entry.body {
            Body::Symptom(own) => {
                if let Some(symptom) = table.symptom(&own.symptom) {
                    known.symptoms.push((entry.id, symptom));
                }
            }
            Body::Tested(own) => {
                let test = table.test(&own.test);
                let told = test.and_then(|test| Some((test, table[test].outcome(&own.outcome)?)));
                if let Some((test, outcome)) = told {
                    known.results.push((entry.id, TestResult { test, outcome }));
                }
            }
            Body::Check(own) if own.item == CheckItem::AmbientSmell => {
                // Smell once said stays until somebody has answered that there is none.
                known.gas_smell = match own.result {
                    CheckResult::Pass => GasSmell::None,
                    CheckResult::Fail => GasSmell::Present,
                    _ => known.gas_smell,
                };
            }
            Body::Reading(own) if evidence(own.phase) => {
                if own.quantity == Quantity::AmbientCo {
                    known.signs.ambient_co_ppm = figure(&own.value, Unit::Ppm);
                }
                let told = self.reading(own.quantity, &own.value, own.phase);
                let result = told.and_then(|told| reading::result(table, told));
                known.results.extend(result.map(|result| (entry.id, result)));
            }
            _ => {}
        }
    }

    /// A reading with what it is held against, in the search's own units.
    fn reading(&self, quantity: Quantity, value: &Measured, phase: Phase) -> Option<Reading> {
        let in_wc = || figure(value, Unit::InWc);
        let plate = |key: &str, unit: Unit| self.plate(key, unit);
        Some(match quantity {
            Quantity::FlameCurrent => Reading::FlameCurrent {
                ua: figure(value, Unit::Ua)?,
                minimum_ua: plate("plate/flame_current_min", Unit::Ua)?,
            },
            Quantity::ManifoldHigh => Reading::Manifold {
                in_wc: in_wc()?,
                plate_in_wc: plate("plate/manifold_high", Unit::InWc)?,
                gas: self.gas?,
            },
            Quantity::ManifoldOff => Reading::ManifoldOff { in_wc: in_wc()? },
            Quantity::InletStatic => Reading::InletStatic {
                in_wc: in_wc()?,
                min_in_wc: plate("plate/inlet_min", Unit::InWc)?,
                max_in_wc: plate("plate/inlet_max", Unit::InWc)?,
            },
            Quantity::InletFlowing | Quantity::InletAllOn => Reading::InletFlowing {
                in_wc: in_wc()?,
                min_in_wc: plate("plate/inlet_min", Unit::InWc)?,
            },
            Quantity::DraftDifferential => Reading::DraftDifferential {
                in_wc: in_wc()?,
                setpoint_in_wc: plate("plate/pressure_switch", Unit::InWc)?,
            },
            Quantity::AirSwitchDp => Reading::AirProving {
                in_wc: in_wc()?,
                setpoint_in_wc: plate("plate/pressure_switch", Unit::InWc)?,
            },
            Quantity::BuildingDp => Reading::BuildingPressure { in_wc: in_wc()? },
            Quantity::FlueCo => {
                Reading::CoAirFree { ppm: self.shown(phase, "co_air_free", Unit::Ppm)? }
            }
            Quantity::FlueO2 => Reading::FlueO2 {
                pct: figure(value, Unit::Pct)?,
                baseline_pct: self.before?.o2_pct?,
            },
            Quantity::StackTemp => Reading::NetStack {
                f: self.shown(phase, "net_stack", Unit::DeltaF)?,
                baseline_f: self.before?.net_stack_f?,
            },
            Quantity::AirOut => Reading::Rise {
                f: self.shown(phase, "rise", Unit::DeltaF)?,
                min_f: plate("plate/rise_min", Unit::DeltaF)?,
                max_f: plate("plate/rise_max", Unit::DeltaF)?,
            },
            Quantity::MeterTime => Reading::ClockedInput {
                btu_h: self.shown(phase, "clocked_input", Unit::Mbh)? * 1_000.0,
                plate_btu_h: plate("plate/input", Unit::Mbh)? * 1_000.0,
            },
            other => return self.electrical(other, value),
        })
    }

    fn electrical(&self, quantity: Quantity, value: &Measured) -> Option<Reading> {
        let mv = || figure(value, Unit::Mv);
        Some(match quantity {
            Quantity::LineVolts => Reading::LineVolts {
                volts: figure(value, Unit::V)?,
                plate_volts: self.plate("plate/volts", Unit::V)?,
            },
            Quantity::ControlVolts => Reading::ControlVolts { volts: figure(value, Unit::V)? },
            Quantity::RodToGround => match value {
                Measured::OverRange(_) => Reading::RodToGround { megohm: None },
                own => Reading::RodToGround { megohm: Some(figure(own, Unit::Mohm)?) },
            },
            Quantity::ThermocoupleOpen => Reading::ThermocoupleOpen { mv: mv()? },
            Quantity::ThermocoupleLoaded => Reading::ThermocoupleLoaded { mv: mv()? },
            Quantity::DropoutMv => Reading::Dropout { mv: mv()? },
            Quantity::LimitTripTemp => Reading::LimitTrip {
                f: figure(value, Unit::F)?,
                rating_f: self.plate("plate/limit_max_outlet", Unit::F)?,
            },
            _ => return None,
        })
    }

    fn plate(&self, key: &str, unit: Unit) -> Option<f64> {
        Some(amount(self.unit.figure(key)?)?.to(unit)?.value)
    }

    fn shown(&self, phase: Phase, key: &str, unit: Unit) -> Option<f64> {
        let (_, block) = self.blocks.iter().find(|(own, _)| *own == phase)?;
        let shown = block.figures.iter().find(|own| own.key == key)?;
        Some(shown.amount.to(unit)?.value)
    }

    /// The last figure of a quantity that is evidence.
    fn last(&self, quantity: Quantity, unit: Unit) -> Option<f64> {
        let phases = [Phase::Spot, Phase::InWork, Phase::AsFound].into_iter();
        let mut found = phases.filter_map(|phase| self.unit.last_amount(quantity, phase));
        Some(found.next()?.to(unit)?.value)
    }

    fn any_shown(&self, key: &str, unit: Unit) -> Option<f64> {
        let mut phases = [Phase::Spot, Phase::InWork, Phase::AsFound].into_iter();
        phases.find_map(|phase| self.shown(phase, key, unit))
    }

    fn signs(&self, known: &mut Known) {
        let sheet = self.unit.sheet.as_ref();
        let parts: Vec<(GasPartKind, &str, Option<detect::Gas>)> = sheet
            .into_iter()
            .flat_map(|sheet| sheet.read.counted(Kind::GasPart))
            .filter_map(|entry| match &entry.body {
                Body::GasPart(own) if own.phase == Phase::AsFound => {
                    Some((own.part, own.marking.as_str(), plain_gas(Some(own.for_gas))))
                }
                _ => None,
            })
            .collect();
        let parts: Vec<PartSeen<'_>> = parts
            .iter()
            .map(|(part, marking, for_gas)| PartSeen {
                part: part.says(),
                marking,
                for_gas: *for_gas,
            })
            .collect();
        let plate_gas = self.unit.word("plate/gas").map(Gas::from_code);
        let fuel = self.gas.and_then(fuel_of);
        let figures = Figures {
            plate_gas: plain_gas(plate_gas),
            supplied_gas: self.gas,
            parts: &parts,
            plate_manifold_in_wc: self.plate("plate/manifold_high", Unit::InWc),
            manifold_in_wc: self.last(Quantity::ManifoldHigh, Unit::InWc),
            inlet_in_wc: self.last(Quantity::InletFlowing, Unit::InWc),
            plate_input_btu_h: self.plate("plate/input", Unit::Mbh).map(|own| own * 1_000.0),
            clocked_input_btu_h: self
                .any_shown("clocked_input", Unit::Mbh)
                .map(|own| own * 1_000.0),
            o2_pct: self.last(Quantity::FlueO2, Unit::Pct),
            co2_pct: self.last(Quantity::FlueCo2, Unit::Pct),
            // Most instruments work CO2 out from O2; only a reading that says so is a second witness.
            co2_calculated: true,
            co2_max_pct: fuel.map(|fuel| fuel.stoichiometry().co2_max().percent()),
            co_air_free_ppm: self.any_shown("co_air_free", Unit::Ppm),
            efficiency_pct: self.any_shown("efficiency", Unit::Pct),
            stack_f: self.last(Quantity::StackTemp, Unit::F),
            combustion_air_f: self.last(Quantity::CombustionAirTemp, Unit::F),
            air_in_f: self.last(Quantity::AirIn, Unit::F),
            air_out_f: self.last(Quantity::AirOut, Unit::F),
            rise_max_f: self.plate("plate/rise_max", Unit::DeltaF),
            water_supply_f: self.last(Quantity::WaterSupply, Unit::F),
            water_return_f: self.last(Quantity::WaterReturn, Unit::F),
            panel_on: None,
            before: self.before,
        };
        known.suspicions = detect(&figures);
        known.signs = Signs {
            flue_co_air_free_ppm: figures.co_air_free_ppm,
            inlet_in_wc: self
                .last(Quantity::InletStatic, Unit::InWc)
                .into_iter()
                .chain(figures.inlet_in_wc)
                .reduce(f64::max),
            inlet_max_in_wc: self
                .plate("plate/valve_max_inlet", Unit::InWc)
                .into_iter()
                .chain(self.plate("plate/inlet_max", Unit::InWc))
                .reduce(f64::min),
            natural_parts_on_lp: self.gas == Some(detect::Gas::Lp)
                && parts.iter().any(|part| part.for_gas == Some(detect::Gas::Natural)),
            ..known.signs
        };
    }
}

/// Whether figures of a phase say something about the fault.
fn evidence(phase: Phase) -> bool {
    matches!(phase, Phase::AsFound | Phase::InWork | Phase::Spot)
}

fn figure(value: &Measured, unit: Unit) -> Option<f64> {
    value.figure()?.in_unit(unit)
}

fn fuel_of(gas: detect::Gas) -> Option<Fuel> {
    match gas {
        detect::Gas::Natural => Fuel::named("natural_gas"),
        detect::Gas::Lp => Fuel::named("propane"),
    }
}

/// The figures as left of an earlier visit, as the detectors hold new ones against them.
fn figures_before(row: &SheetRow, gas: Option<Gas>) -> Before {
    let of = |quantity: Quantity, unit: Unit| {
        let mut own = row.left.iter().filter(|own: &&ReadingRow| own.quantity == quantity);
        own.next().and_then(|own| figure(&own.value, unit))
    };
    let o2 = of(Quantity::FlueO2, Unit::Pct);
    let co = of(Quantity::FlueCo, Unit::Ppm);
    let (stack, air) = (of(Quantity::StackTemp, Unit::F), of(Quantity::CombustionAirTemp, Unit::F));
    let o2_read = o2.map(Concentration::from_percent);
    let co_read = co.map(Concentration::from_ppm);
    let air_free =
        o2_read.zip(co_read).filter(|(o2, _)| AirFreeShown::at(*o2) != AirFreeShown::NotShown);
    let air_free = air_free.and_then(|(o2, co)| air_free::exact(o2, co, FRESH_AIR).ok());
    let efficiency = || {
        let fuel = fuel_of(plain_gas(gas)?)?;
        let reading = FlueReading {
            co: co_read.unwrap_or(Concentration::from_ppm(0.0)),
            dilution: Dilution::Oxygen(o2_read?),
            ..FlueReading::of_oxygen(
                o2_read?,
                Temperature::from_amount(crate::trade::quantity::Amount::new(stack?, Unit::F))?,
                Temperature::from_amount(crate::trade::quantity::Amount::new(air?, Unit::F))?,
            )
        };
        let found = analyse(&fuel, &reading).ok()?;
        Some(found.gross_without_condensing.amount(Unit::Pct).value)
    };
    Before {
        manifold_in_wc: of(Quantity::ManifoldHigh, Unit::InWc),
        clocked_input_btu_h: None,
        o2_pct: o2,
        co_air_free_ppm: air_free.map(Concentration::ppm),
        efficiency_pct: efficiency(),
        net_stack_f: stack.zip(air).map(|(stack, air)| stack - air),
    }
}
