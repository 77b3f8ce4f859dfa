//! Which limit governs a reading: the plate, then targets by the rank of their source. A target for
//! another gas or another stage is not compared.

use super::Work;
use crate::record::body::{Body, Kind, Target};
use crate::record::code::{Gas, Quantity};
use crate::record::file::amount;
use crate::trade::gas::band::{self, BandGas};
use crate::trade::quantity::Amount;
use crate::trade::unit::Unit;
use crate::trade::verdict::Limit;

/// Readings of which a missing target is said.
pub(super) fn wanted(quantity: Quantity) -> bool {
    matches!(
        quantity,
        Quantity::ManifoldHigh
            | Quantity::ManifoldLow
            | Quantity::InletFlowing
            | Quantity::FlameCurrent
            | Quantity::DraftDifferential
            | Quantity::FlueO2
            | Quantity::FlueCo2
    )
}

/// The limit of a reading with the words for it.
pub(super) fn of_reading(work: &Work<'_, '_>, quantity: Quantity) -> Option<(Limit, String)> {
    let limit = plate(work, quantity).or_else(|| target(work, quantity))?;
    Some((limit, quantity.says().to_owned()))
}

fn plate(work: &Work<'_, '_>, quantity: Quantity) -> Option<Limit> {
    let figure = |key: &str| work.unit.figure(key).and_then(amount);
    match quantity {
        Quantity::ManifoldHigh => band::manifold(figure("plate/manifold_high")?, plate_gas(work)),
        Quantity::ManifoldLow => band::manifold(figure("plate/manifold_low")?, plate_gas(work)),
        Quantity::InletFlowing | Quantity::InletAllOn => {
            between(figure("plate/inlet_min"), figure("plate/inlet_max"), "plate")
        }
        Quantity::InletStatic | Quantity::Lockup => {
            let valve = figure("plate/valve_max_inlet").or_else(|| figure("plate/inlet_max"))?;
            Some(Limit::at_most(valve, "valve or plate"))
        }
        Quantity::FlameCurrent => {
            Some(Limit::at_least(figure("plate/flame_current_min")?, "plate or control"))
        }
        Quantity::DraftDifferential => {
            let setpoint = figure("plate/pressure_switch")?;
            let source = "setpoint of the pressure switch";
            // A switch under vacuum holds below its setpoint, one under pressure above it.
            Some(match setpoint.value < 0.0 {
                true => Limit::at_most(setpoint, source),
                false => Limit::at_least(setpoint, source),
            })
        }
        Quantity::AirOut => Some(Limit::at_most(figure("plate/limit_max_outlet")?, "plate")),
        Quantity::ProfileDifferential => {
            between(figure("plate/profile_min"), figure("plate/profile_max"), "plate")
        }
        Quantity::CoDischargeAdded => Some(Limit::at_most(figure("plate/co_added_max")?, "plate")),
        _ => None,
    }
}

fn plate_gas(work: &Work<'_, '_>) -> BandGas {
    match work.unit.word("plate/gas").map(Gas::from_code) {
        Some(Gas::Lp) => BandGas::Lp,
        _ => BandGas::Natural,
    }
}

fn between(low: Option<Amount>, high: Option<Amount>, source: &str) -> Option<Limit> {
    match (low, high) {
        (Some(low), Some(high)) => Some(Limit::between(low, high, source)),
        (Some(low), None) => Some(Limit::at_least(low, source)),
        (None, Some(high)) => Some(Limit::at_most(high, source)),
        (None, None) => None,
    }
}

/// The target of the best source that fits the gas supplied and the stage of the reading.
fn target(work: &Work<'_, '_>, quantity: Quantity) -> Option<Limit> {
    let stage = work.stage_of(quantity)?;
    let gas = work.gas_supplied();
    let fits = |target: &&Target| {
        target.quantity == quantity
            && target.air_free != Some(true)
            && target.stage.is_none_or(|own| stage.is_none_or(|stage| own == stage))
            && target.gas.is_none_or(|own| gas.is_none_or(|gas| own == gas))
    };
    let targets = work.unit.unit.as_ref()?.read.counted(Kind::Target);
    let targets = targets.filter_map(|entry| match &entry.body {
        Body::Target(target) => Some(target),
        _ => None,
    });
    // The best source; of two from one kind of source the later one.
    let better = |best: Option<_>, one| match best {
        Some(best) if rank(best) < rank(one) => Some(best),
        _ => Some(one),
    };
    let best = targets.filter(fits).fold(None, better)?;
    let source = match best.valid_from {
        Some(day) => format!("{} of {day}", best.source.says()),
        None => best.source.says().to_owned(),
    };
    let (low, high) = (best.least.and_then(amount), best.most.and_then(amount));
    match (low, high, best.aim.and_then(amount)) {
        (None, None, Some(aim)) => Some(Limit::between(aim, aim, source)),
        (low, high, _) => between(low, high, &source),
    }
}

fn rank(target: &Target) -> u16 {
    target.source.code()
}

/// The rise window of the plate.
pub(super) fn rise(work: &Work<'_, '_>) -> Option<Limit> {
    let figure = |key: &str| work.unit.figure(key).and_then(amount);
    between(figure("plate/rise_min"), figure("plate/rise_max"), "plate")
}

/// The band of the plate input.
pub(super) fn input(work: &Work<'_, '_>) -> Option<Limit> {
    let plate = work.unit.figure("plate/input").and_then(amount)?;
    band::input(plate.to(Unit::Mbh)?)
}
