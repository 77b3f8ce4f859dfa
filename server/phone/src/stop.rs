//! The round of a unit: in which order the hands move, and what is read at each stop.

use client_core::record::code::{Family, InstrumentKind, Quantity};

/// A stop: one figure, or several that belong together and get one stamp.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Stop {
    /// What a key that leads there says.
    pub name: &'static str,
    /// What is read.
    pub fields: &'static [Quantity],
}

const fn one(name: &'static str, fields: &'static [Quantity]) -> Stop {
    Stop { name, fields }
}

const ROOM: Stop = one("Room CO", &[Quantity::AmbientCo]);
const INLET: Stop = one("Inlet", &[Quantity::InletFlowing]);
const MANIFOLD: Stop = one("Manifold", &[Quantity::ManifoldHigh]);
const MANIFOLD_LOW: Stop = one("Manifold, low fire", &[Quantity::ManifoldLow]);
const FLAME: Stop = one("Flame", &[Quantity::FlameCurrent]);
const COUPLE: Stop = one("Thermocouple", &[Quantity::ThermocoupleLoaded]);
const DRAFT: Stop = one("Draft at the switch", &[Quantity::DraftDifferential]);
const HOOD: Stop = one("Draft hood", &[Quantity::DraftHood]);
const VACUUM: Stop = one("Tube vacuum", &[Quantity::TubeVacuum]);
const TUBE: Stop = one("Tube surface", &[Quantity::TubeSurface]);
const PROFILE: Stop = one("Burner profile", &[Quantity::ProfileDifferential]);
const ADDED: Stop = one("CO added", &[Quantity::CoDischargeAdded]);
/// The flue is one entry of the hand.
pub const FLUE: Stop = Stop {
    name: "Flue",
    fields: &[Quantity::FlueO2, Quantity::FlueCo, Quantity::StackTemp, Quantity::CombustionAirTemp],
};
const AIR: Stop = one("Air in, air out", &[Quantity::AirIn, Quantity::AirOut]);
const WATER: Stop = one("Water out, water back", &[Quantity::WaterSupply, Quantity::WaterReturn]);

/// The round of a family: gas port, then flame, then flue, then air.
pub const fn round(family: Option<Family>) -> &'static [Stop] {
    match family {
        Some(Family::Spc) => &[ROOM, INLET, MANIFOLD, COUPLE, HOOD, FLUE, AIR],
        Some(Family::Irt) => &[ROOM, INLET, MANIFOLD, FLAME, FLUE, VACUUM, TUBE],
        Some(Family::Mua) => &[ROOM, INLET, MANIFOLD, FLAME, PROFILE, ADDED, AIR],
        Some(Family::Two) => &[ROOM, INLET, MANIFOLD_LOW, MANIFOLD, FLAME, DRAFT, FLUE, AIR],
        Some(Family::Blr) => &[ROOM, INLET, MANIFOLD, FLAME, FLUE, WATER],
        _ => &[ROOM, INLET, MANIFOLD, FLAME, DRAFT, FLUE, AIR],
    }
}

/// The kind of instrument that reads a quantity.
pub const fn instrument(quantity: Quantity) -> Option<InstrumentKind> {
    Some(match quantity {
        Quantity::InletStatic
        | Quantity::InletFlowing
        | Quantity::InletAllOn
        | Quantity::Lockup
        | Quantity::ManifoldHigh
        | Quantity::ManifoldLow
        | Quantity::ManifoldOff
        | Quantity::PilotPressure
        | Quantity::DraftDifferential
        | Quantity::VentStatic
        | Quantity::DraftHood
        | Quantity::OverfireDraft
        | Quantity::BuildingDp
        | Quantity::ExternalStatic
        | Quantity::ProfileDifferential
        | Quantity::AirSwitchDp
        | Quantity::TubeVacuum => InstrumentKind::Manometer,
        Quantity::FlueO2
        | Quantity::FlueCo2
        | Quantity::FlueCo
        | Quantity::StackTemp
        | Quantity::CombustionAirTemp
        | Quantity::CoDischargeAdded => InstrumentKind::FlueGasAnalyser,
        Quantity::AmbientCo => InstrumentKind::CoMonitor,
        Quantity::AmbientLel => InstrumentKind::GasDetector,
        Quantity::AirIn | Quantity::AirOut | Quantity::SpaceTemp | Quantity::LimitTripTemp => {
            InstrumentKind::AirProbe
        }
        Quantity::FlameCurrent
        | Quantity::FlameVolts
        | Quantity::LineVolts
        | Quantity::ControlVolts
        | Quantity::NeutralGroundVolts
        | Quantity::RodToGround
        | Quantity::ContactDrop
        | Quantity::ValveCoilOhms
        | Quantity::IgniterOhms
        | Quantity::ThermocoupleOpen
        | Quantity::ThermocoupleLoaded
        | Quantity::DropoutMv
        | Quantity::ThermopileMv => InstrumentKind::Multimeter,
        Quantity::FanAmps | Quantity::IgniterAmps => InstrumentKind::ClampMeter,
        Quantity::TubeSurface => InstrumentKind::InfraredThermometer,
        Quantity::OrificeBore => InstrumentKind::PinGauge,
        Quantity::FanRpm => InstrumentKind::Tachometer,
        Quantity::CondensatePh => InstrumentKind::PhMeter,
        Quantity::MeterTime
        | Quantity::PrepurgeS
        | Quantity::TrialS
        | Quantity::FlameFailS
        | Quantity::PostpurgeS
        | Quantity::FanOnS
        | Quantity::FanOffS => InstrumentKind::Clock,
        _ => return None,
    })
}

/// The register of the plate that a reading stands beside.
pub const fn plate(quantity: Quantity) -> Option<&'static str> {
    Some(match quantity {
        Quantity::ManifoldHigh => "plate/manifold_high",
        Quantity::ManifoldLow => "plate/manifold_low",
        Quantity::PilotPressure => "plate/pilot_pressure",
        Quantity::DraftDifferential => "plate/pressure_switch",
        Quantity::FlameCurrent => "plate/flame_current_min",
        Quantity::InletFlowing | Quantity::InletAllOn => "plate/inlet_min",
        Quantity::InletStatic | Quantity::Lockup => "plate/inlet_max",
        Quantity::LineVolts => "plate/volts",
        Quantity::FanAmps => "plate/amps",
        _ => return None,
    })
}

/// Whether the plate names the figure itself, so that "same as plate" says something.
pub const fn plate_is_the_figure(quantity: Quantity) -> bool {
    matches!(
        quantity,
        Quantity::ManifoldHigh
            | Quantity::ManifoldLow
            | Quantity::PilotPressure
            | Quantity::LineVolts
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_family_has_a_round_in_the_order_of_the_hands() {
        for family in Family::ALL {
            let stops = round(Some(*family));
            assert!(stops.len() >= 6, "{family:?}");
            let stations: Vec<_> = stops[1..].iter().map(|stop| stop.fields[0].station()).collect();
            let mut sorted = stations.clone();
            sorted.sort();
            if *family != Family::Mua {
                assert_eq!(stations, sorted, "{family:?}");
            }
        }
    }

    #[test]
    fn the_flue_is_one_stop_of_four() {
        assert!(round(None).contains(&FLUE));
        assert_eq!(FLUE.fields.len(), 4);
    }
}
