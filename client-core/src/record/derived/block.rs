//! What the readings of one phase of a unit come to: derived figures with their formula, and verdicts
//! with the source of each limit. What cannot be worked out says what is missing.

mod gap;
mod limit;

pub use gap::Gap;
pub use limit::LimitFrom;

use crate::record::body::{Body, Kind, Reading};
use crate::record::code::{Gas, Phase, Quantity, Stage};
use crate::record::derived;
use crate::record::file::{UnitInVisit, VisitFile, amount};
use crate::record::id::EntryId;
use crate::record::instrument::calibration_on;
use crate::record::read::Entry;
use crate::record::value::{Day, Figure};
use crate::trade::air::rise::{RISE, rise};
use crate::trade::flue::air_free::AirFreeShown;
use crate::trade::flue::sheet::FLUE_ANALYSIS;
use crate::trade::flue::{Dilution, FlueReading, analyse};
use crate::trade::fuel::Fuel;
use crate::trade::gas::clock::CLOCKED_INPUT;
use crate::trade::gas::manifold::{SQUARE_ROOT_INPUT, SquareRoot};
use crate::trade::heat::output::{OUTPUT, output};
use crate::trade::quantity::{
    Amount, Concentration, GaugePressure, HeatRate, Quantity as _, Temperature,
};
use crate::trade::uncertainty::{Calibration, Uncertain};
use crate::trade::unit::Unit;
use crate::trade::verdict::{Guard, Limit, Verdict, carbon_monoxide, judge};

/// A figure that follows from readings.
#[derive(Clone, Debug, PartialEq)]
pub struct Shown {
    /// Stable key.
    pub key: &'static str,
    /// In words of the trade.
    pub name: &'static str,
    /// The figure.
    pub amount: Amount,
    /// Formula and version.
    pub formula: String,
}

/// What a figure was held against, and what came of it.
#[derive(Clone, Debug, PartialEq)]
pub enum Judgement {
    /// A limit with its source.
    Against {
        /// Within, outside, too close to call.
        verdict: Verdict,
        /// The limit.
        limit: Limit,
        /// Where the limit comes from.
        from: LimitFrom,
    },
    /// Nothing to hold it against yet.
    NoTarget,
    /// A band of carbon monoxide.
    CarbonMonoxide(carbon_monoxide::Band),
}

/// A figure beside its limit.
#[derive(Clone, Debug, PartialEq)]
pub struct Judged {
    /// Stable key.
    pub key: &'static str,
    /// One or two words.
    pub label: &'static str,
    /// The whole sentence with the source of the limit.
    pub sentence: String,
    /// The same as a value, for faces that speak another language.
    pub judgement: Judgement,
}

/// What a block comes to.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Block {
    /// Derived figures.
    pub figures: Vec<Shown>,
    /// Verdicts.
    pub verdicts: Vec<Judged>,
    /// What cannot be worked out or judged, and why.
    pub missing: Vec<String>,
    /// The same as values, in the same order.
    pub gaps: Vec<Gap>,
}

/// Works the readings of a phase out. Empty where nothing was read in it.
pub fn block(file: &VisitFile<'_>, unit: &UnitInVisit<'_>, phase: Phase) -> Block {
    let mut work = Work { file, unit, phase, typed: None, block: Block::default() };
    if !work.read_anything() {
        return work.block;
    }
    work.flue();
    work.gas();
    work.air();
    work.limits();
    work.block
}

/// A figure that is typed and not entered yet.
#[derive(Clone, Copy, Debug)]
pub struct Typed {
    /// What is being measured.
    pub quantity: Quantity,
    /// The figure so far.
    pub figure: Figure,
    /// Firing stage.
    pub stage: Option<Stage>,
    /// The instrument.
    pub instrument: Option<EntryId>,
    /// The day, for the instrument's calibration.
    pub day: Day,
}

/// A typed figure beside its limit, before it is entered. None where there is nothing to hold it against.
pub fn judge_typed(file: &VisitFile<'_>, unit: &UnitInVisit<'_>, typed: Typed) -> Option<Judged> {
    let phase = Phase::Spot;
    let mut work = Work { file, unit, phase, typed: Some(typed), block: Block::default() };
    let read = work.doubt_of(typed.quantity, typed.figure, typed.instrument, typed.day)?;
    let (limit, from) = limit::of_reading(&work, typed.quantity)?;
    work.judge(typed.quantity.key(), typed.quantity.says(), read, limit, from);
    work.block.verdicts.pop()
}

/// The gas supplied to a unit: its own register, else the site's. None while it is not settled.
pub fn gas_supplied(file: &VisitFile<'_>, unit: &UnitInVisit<'_>) -> Option<Gas> {
    let own = unit.field("unit/supplied_gas");
    let merged = own.or_else(|| file.site?.named("site/gas_kind"))?;
    match merged.governs()?.value {
        crate::record::field::FieldValue::Word(code) => Some(Gas::from_code(code)),
        _ => None,
    }
}

struct Work<'w, 'f> {
    file: &'w VisitFile<'f>,
    unit: &'w UnitInVisit<'f>,
    phase: Phase,
    typed: Option<Typed>,
    block: Block,
}

impl Work<'_, '_> {
    fn read_anything(&self) -> bool {
        let Some(sheet) = &self.unit.sheet else { return false };
        sheet.read.counted(Kind::Reading).any(
            |entry| matches!(&entry.body, Body::Reading(reading) if reading.phase == self.phase),
        )
    }

    fn reading(&self, quantity: Quantity) -> Option<(&Entry, &Reading)> {
        let entry = self.unit.last(quantity, self.phase)?;
        match &entry.body {
            Body::Reading(reading) => Some((entry, reading)),
            _ => None,
        }
    }

    fn read(&self, quantity: Quantity) -> Option<Amount> {
        self.unit.last_amount(quantity, self.phase)
    }

    /// A reading with its doubt, by the state of its instrument's calibration.
    fn uncertain(&self, quantity: Quantity) -> Option<Uncertain> {
        let (entry, reading) = self.reading(quantity)?;
        let day = entry.stamp.at().day();
        self.doubt_of(quantity, reading.value.figure()?, reading.instrument, day)
    }

    fn doubt_of(
        &self,
        quantity: Quantity,
        figure: Figure,
        instrument: Option<EntryId>,
        day: Day,
    ) -> Option<Uncertain> {
        let calibration = match (self.file.company, instrument) {
            (Some(company), Some(instrument)) => calibration_on(company, instrument, day).0,
            _ => Calibration::Unknown,
        };
        quantity.kind()?.uncertain(amount(figure)?, None, calibration)
    }

    /// The stage at which a quantity was read, where it was said.
    fn stage_of(&self, quantity: Quantity) -> Option<Stage> {
        match self.typed {
            Some(typed) if typed.quantity == quantity => typed.stage,
            _ => {
                let (_, reading) = self.reading(quantity)?;
                reading.condition.as_ref().and_then(|condition| condition.stage)
            }
        }
    }

    fn show(&mut self, key: &'static str, name: &'static str, amount: Amount, formula: String) {
        self.block.figures.push(Shown { key, name, amount, formula });
    }

    fn figure(&self, key: &str) -> Option<Amount> {
        self.block.figures.iter().find(|shown| shown.key == key).map(|shown| shown.amount)
    }

    fn gas_supplied(&self) -> Option<Gas> {
        gas_supplied(self.file, self.unit)
    }

    fn flue(&mut self) {
        let (stack, air) = (
            self.read(Quantity::StackTemp).and_then(Temperature::from_amount),
            self.read(Quantity::CombustionAirTemp).and_then(Temperature::from_amount),
        );
        if let (Some(stack), Some(air)) = (stack, air) {
            let net = stack.above(air).amount(Unit::DeltaF);
            self.show("net_stack", "net stack", net, FLUE_ANALYSIS.stamp());
        }
        let tests = derived::flue_tests(self.unit, self.phase);
        let oxygen = self.read(Quantity::FlueO2).and_then(Concentration::from_amount);
        let (o2, co) = match (tests.last(), oxygen) {
            (Some((o2, co)), _) => (*o2, Some(*co)),
            (None, Some(o2)) => (o2, None),
            (None, None) => return,
        };
        let (Some(stack), Some(air)) = (stack, air) else {
            self.miss(Gap::FlueTemperatures);
            return;
        };
        let fuel = match self.gas_supplied() {
            Some(Gas::Natural) => Fuel::named("natural_gas"),
            Some(Gas::Lp) => Fuel::named("propane"),
            _ => None,
        };
        let Some(fuel) = fuel else {
            self.miss(Gap::GasNotSettled);
            return;
        };
        let reading = FlueReading {
            co: co.unwrap_or(Concentration::from_ppm(0.0)),
            dilution: Dilution::Oxygen(o2),
            ..FlueReading::of_oxygen(o2, stack, air)
        };
        match analyse(&fuel, &reading) {
            Ok(found) => {
                let stamp = || FLUE_ANALYSIS.stamp();
                self.show("co2", "CO2, from O2", found.co2.amount(Unit::Pct), stamp());
                let excess = found.excess_air.amount(Unit::Pct);
                self.show("excess_air", "excess air", excess, stamp());
                if co.is_some() && found.air_free != AirFreeShown::NotShown {
                    let free = found.co_air_free.amount(Unit::Ppm);
                    self.show("co_air_free", "CO air-free", free, stamp());
                }
                let gross = found.gross_without_condensing.amount(Unit::Pct);
                self.show("efficiency", "efficiency, gross", gross, stamp());
            }
            Err(impossible) => self.miss(Gap::FlueSums(impossible)),
        }
        if let Some(co) = co {
            self.carbon_monoxide(o2, co);
        }
    }

    fn carbon_monoxide(&mut self, o2: Concentration, co: Concentration) {
        match carbon_monoxide::flue(o2, co, crate::trade::flue::FRESH_AIR) {
            Ok(Some(band)) => self.say("co_air_free", "flue CO", band),
            Ok(None) => self.miss(Gap::TooMuchAir),
            Err(impossible) => self.miss(Gap::FlueCo(impossible)),
        }
    }

    fn gas(&mut self) {
        let plate = |key: &str| self.unit.figure(key).and_then(amount);
        let input = plate("plate/input").and_then(HeatRate::from_amount);
        let manifold = plate("plate/manifold_high").and_then(GaugePressure::from_amount);
        let read = self.read(Quantity::ManifoldHigh).and_then(GaugePressure::from_amount);
        if let (Some(plate_input), Some(plate), Some(measured)) = (input, manifold, read)
            && let Ok(found) = (SquareRoot { plate_input, plate, measured }).solve()
        {
            let own = found.input.amount(Unit::Mbh);
            self.show("manifold_input", "input, by manifold", own, SQUARE_ROOT_INPUT.stamp());
        }
        let clocked = self
            .reading(Quantity::MeterTime)
            .zip(self.file.site)
            .map(|((_, reading), site)| derived::clocked(site, reading));
        match clocked {
            None => {}
            Some(Some(own)) => {
                self.show("clocked_input", "input, clocked", own, CLOCKED_INPUT.stamp());
            }
            Some(None) => self.miss(Gap::Clocking),
        }
        let input = self.figure("clocked_input").or_else(|| self.figure("manifold_input"));
        let input = input.and_then(HeatRate::from_amount);
        let efficiency =
            self.figure("efficiency").and_then(crate::trade::quantity::Ratio::from_amount);
        if let (Some(input), Some(efficiency)) = (input, efficiency)
            && let Ok(own) = output(input, efficiency)
        {
            self.show("output", "output", own.amount(Unit::Mbh), OUTPUT.stamp());
        }
    }

    fn air(&mut self) {
        let inlet = self.read(Quantity::AirIn).and_then(Temperature::from_amount);
        let outlet = self.read(Quantity::AirOut).and_then(Temperature::from_amount);
        if let (Some(inlet), Some(outlet)) = (inlet, outlet) {
            match rise(inlet, outlet) {
                Ok(own) => {
                    self.show("rise", "temperature rise", own.amount(Unit::DeltaF), RISE.stamp());
                }
                Err(impossible) => self.miss(Gap::Rise(impossible)),
            }
        }
    }

    fn limits(&mut self) {
        for quantity in Quantity::ALL {
            let Some(read) = self.uncertain(*quantity) else { continue };
            match limit::of_reading(self, *quantity) {
                Some((limit, from)) => {
                    self.judge(quantity.key(), quantity.says(), read, limit, from);
                }
                None if limit::wanted(*quantity) => {
                    let verdict = Verdict::NoTargetYet { against_baseline: None };
                    let sentence = verdict.sentence(quantity.says(), None);
                    let (key, label) = (quantity.key(), verdict.label());
                    let judgement = Judgement::NoTarget;
                    self.block.verdicts.push(Judged { key, label, sentence, judgement });
                }
                None => {}
            }
        }
        self.derived_limits();
        if let Some(room) = self.read(Quantity::AmbientCo).and_then(Concentration::from_amount) {
            match carbon_monoxide::ambient(room) {
                Ok(band) => self.say("ambient_co", "room CO", band),
                Err(impossible) => self.miss(Gap::RoomCo(impossible)),
            }
        }
    }

    fn derived_limits(&mut self) {
        let doubt = |parts: &[Option<Uncertain>]| {
            parts.iter().flatten().map(|part| part.u * part.u).sum::<f64>().sqrt()
        };
        if let (Some(amount), Some((limit, from))) = (self.figure("rise"), limit::rise(self)) {
            let ends = [self.uncertain(Quantity::AirIn), self.uncertain(Quantity::AirOut)];
            let read = Uncertain { amount, u: doubt(&ends) };
            self.judge("rise", "temperature rise", read, limit, from);
        }
        let limit = limit::input(self);
        let clocked = self.reading(Quantity::MeterTime).zip(self.file.site);
        let clocked =
            clocked.and_then(|((_, reading), site)| derived::clocked_uncertain(site, reading));
        if let (Some(read), Some((limit, from))) = (clocked, limit) {
            self.judge("clocked_input", "clocked input", read, limit, from);
        }
    }

    fn judge(
        &mut self,
        key: &'static str,
        name: &'static str,
        read: Uncertain,
        limit: Limit,
        from: LimitFrom,
    ) {
        match judge(read, &limit, Guard::COMMON) {
            Ok(verdict) => {
                let (label, sentence) = (verdict.label(), verdict.sentence(name, Some(&limit)));
                let judgement = Judgement::Against { verdict, limit, from };
                self.block.verdicts.push(Judged { key, label, sentence, judgement });
            }
            Err(impossible) => self.miss(Gap::Judging { key, name, impossible }),
        }
    }

    fn say(&mut self, key: &'static str, name: &str, band: carbon_monoxide::Band) {
        let sentence = format!("{name}: {} ({})", band.words, band.source);
        let judgement = Judgement::CarbonMonoxide(band);
        self.block.verdicts.push(Judged { key, label: "see words", sentence, judgement });
    }

    fn miss(&mut self, gap: Gap) {
        self.block.missing.push(gap.says());
        self.block.gaps.push(gap);
    }
}
