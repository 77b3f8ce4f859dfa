//! Which limit governs a reading: the plate, then targets by the rank of their source. A target for
//! another gas or another stage is not compared.

use super::Work;
use crate::record::body::{Body, Kind, Target};
use crate::record::code::{Gas, Quantity, TargetSource};
use crate::record::file::amount;
use crate::record::value::Day;
use crate::trade::gas::band::{self, BandGas};
use crate::trade::quantity::Amount;
use crate::trade::unit::Unit;
use crate::trade::verdict::Limit;

/// Where a limit comes from.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum LimitFrom {
    /// A band of common practice round this figure of the plate.
    PlateBand(Amount),
    /// The plate.
    Plate,
    /// The valve's or the plate's maximum.
    ValveOrPlate,
    /// The plate or the flame control.
    PlateOrControl,
    /// The setpoint of the pressure switch.
    SwitchSetpoint,
    /// A target, by its source and the day on it.
    Target(TargetSource, Option<Day>),
}

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

/// The limit of a reading with where it comes from.
pub(super) fn of_reading(work: &Work<'_, '_>, quantity: Quantity) -> Option<(Limit, LimitFrom)> {
    plate(work, quantity).or_else(|| target(work, quantity))
}

fn plate(work: &Work<'_, '_>, quantity: Quantity) -> Option<(Limit, LimitFrom)> {
    let figure = |key: &str| work.unit.figure(key).and_then(amount);
    let banded = |key: &str| {
        let plate = figure(key)?;
        Some((band::manifold(plate, plate_gas(work))?, LimitFrom::PlateBand(plate)))
    };
    let plain = |limit: Option<Limit>, from| limit.map(|limit| (limit, from));
    match quantity {
        Quantity::ManifoldHigh => banded("plate/manifold_high"),
        Quantity::ManifoldLow => banded("plate/manifold_low"),
        Quantity::InletFlowing | Quantity::InletAllOn => {
            let (least, most) = (figure("plate/inlet_min"), figure("plate/inlet_max"));
            plain(between(least, most, "plate"), LimitFrom::Plate)
        }
        Quantity::InletStatic | Quantity::Lockup => {
            let valve = figure("plate/valve_max_inlet").or_else(|| figure("plate/inlet_max"))?;
            Some((Limit::at_most(valve, "valve or plate"), LimitFrom::ValveOrPlate))
        }
        Quantity::FlameCurrent => {
            let least = figure("plate/flame_current_min")?;
            Some((Limit::at_least(least, "plate or control"), LimitFrom::PlateOrControl))
        }
        Quantity::DraftDifferential => {
            let setpoint = figure("plate/pressure_switch")?;
            let source = "setpoint of the pressure switch";
            // A switch under vacuum holds below its setpoint, one under pressure above it.
            let limit = if setpoint.value < 0.0 {
                Limit::at_most(setpoint, source)
            } else {
                Limit::at_least(setpoint, source)
            };
            Some((limit, LimitFrom::SwitchSetpoint))
        }
        Quantity::AirOut => {
            let most = figure("plate/limit_max_outlet")?;
            Some((Limit::at_most(most, "plate"), LimitFrom::Plate))
        }
        Quantity::ProfileDifferential => {
            let (least, most) = (figure("plate/profile_min"), figure("plate/profile_max"));
            plain(between(least, most, "plate"), LimitFrom::Plate)
        }
        Quantity::CoDischargeAdded => {
            let most = figure("plate/co_added_max")?;
            Some((Limit::at_most(most, "plate"), LimitFrom::Plate))
        }
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
fn target(work: &Work<'_, '_>, quantity: Quantity) -> Option<(Limit, LimitFrom)> {
    let stage = work.stage_of(quantity);
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
    let limit = match (low, high, best.aim.and_then(amount)) {
        (None, None, Some(aim)) => Some(Limit::between(aim, aim, source)),
        (low, high, _) => between(low, high, &source),
    };
    limit.map(|limit| (limit, LimitFrom::Target(best.source, best.valid_from)))
}

fn rank(target: &Target) -> u16 {
    target.source.code()
}

/// The rise window of the plate.
pub(super) fn rise(work: &Work<'_, '_>) -> Option<(Limit, LimitFrom)> {
    let figure = |key: &str| work.unit.figure(key).and_then(amount);
    let limit = between(figure("plate/rise_min"), figure("plate/rise_max"), "plate");
    limit.map(|limit| (limit, LimitFrom::Plate))
}

/// The band of the plate input.
pub(super) fn input(work: &Work<'_, '_>) -> Option<(Limit, LimitFrom)> {
    let plate = work.unit.figure("plate/input").and_then(amount)?.to(Unit::Mbh)?;
    band::input(plate).map(|limit| (limit, LimitFrom::PlateBand(plate)))
}
