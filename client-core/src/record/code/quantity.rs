//! What can be measured at a heater: names, units, decimals, plausible ranges.
//!
//! Ranges catch typing slips. They are questions, never verdicts and never hard stops.
//! Source of ranges and resolutions: common practice, no published source.

use crate::trade::unit::Unit;

super::vocabulary! {
    /// A measured quantity.
    Quantity {
        InletStatic = 1 "inlet_static" "inlet, no flow",
        InletFlowing = 2 "inlet_flowing" "inlet, firing",
        InletAllOn = 3 "inlet_all_on" "inlet, all units on",
        Lockup = 4 "lockup" "lock-up after quick shut-off",
        ManifoldHigh = 5 "manifold_high" "manifold, high fire",
        ManifoldLow = 6 "manifold_low" "manifold, low fire",
        ManifoldOff = 7 "manifold_off" "manifold, valve off",
        MeterTime = 8 "meter_time" "meter, time for the dial",
        PilotPressure = 9 "pilot_pressure" "pilot pressure",
        DraftDifferential = 10 "draft_differential" "draft differential at the switch",
        VentStatic = 11 "vent_static" "vent static",
        DraftHood = 12 "draft_hood" "draft at the hood outlet",
        OverfireDraft = 13 "overfire_draft" "overfire draft",
        BuildingDp = 14 "building_dp" "building against outdoors",
        FlueO2 = 15 "flue_o2" "flue O2",
        FlueCo2 = 16 "flue_co2" "flue CO2",
        FlueCo = 17 "flue_co" "flue CO",
        StackTemp = 18 "stack_temp" "stack temperature",
        CombustionAirTemp = 19 "combustion_air_temp" "combustion air temperature",
        AmbientCo = 20 "ambient_co" "room CO",
        AmbientLel = 21 "ambient_lel" "combustible gas at joints",
        AirIn = 22 "air_in" "air in",
        AirOut = 23 "air_out" "air out",
        ExternalStatic = 24 "external_static" "external static",
        ProfileDifferential = 25 "profile_differential" "burner profile differential",
        AirSwitchDp = 26 "air_switch_dp" "air-proving differential",
        FanAmps = 27 "fan_amps" "fan current",
        FanRpm = 28 "fan_rpm" "fan speed",
        LineVolts = 29 "line_volts" "line voltage",
        ControlVolts = 30 "control_volts" "control voltage, loaded",
        NeutralGroundVolts = 31 "neutral_ground_volts" "neutral to ground",
        RodToGround = 32 "rod_to_ground" "rod to ground, lead off",
        ContactDrop = 33 "contact_drop" "drop across a made contact",
        ValveCoilOhms = 34 "valve_coil_ohms" "valve coil",
        IgniterOhms = 35 "igniter_ohms" "igniter, cold",
        IgniterAmps = 36 "igniter_amps" "igniter current",
        FlameCurrent = 37 "flame_current" "flame current",
        FlameVolts = 38 "flame_volts" "flame signal at the relay jack",
        ThermocoupleOpen = 39 "thermocouple_open" "thermocouple, open",
        ThermocoupleLoaded = 40 "thermocouple_loaded" "thermocouple, loaded",
        DropoutMv = 41 "dropout_mv" "magnet drop-out",
        ThermopileMv = 42 "thermopile_mv" "thermopile",
        PrepurgeS = 43 "prepurge_s" "pre-purge",
        TrialS = 44 "trial_s" "trial for ignition",
        FlameFailS = 45 "flame_fail_s" "flame failure response",
        PostpurgeS = 46 "postpurge_s" "post-purge",
        FanOnS = 47 "fan_on_s" "fan on delay",
        FanOffS = 48 "fan_off_s" "fan off delay",
        LimitTripTemp = 49 "limit_trip_temp" "limit opens at",
        OrificeBore = 50 "orifice_bore" "orifice bore",
        BurnerHours = 51 "burner_hours" "firing hours",
        Cycles = 52 "cycles" "cycles",
        LockoutCount = 53 "lockout_count" "lockouts since last visit",
        WaterSupply = 54 "water_supply" "water supply",
        WaterReturn = 55 "water_return" "water return",
        SystemPressure = 56 "system_pressure" "system pressure",
        ReliefRating = 57 "relief_rating" "relief valve rating",
        CondensatePh = 58 "condensate_ph" "condensate, after neutralizer",
        TubeSurface = 59 "tube_surface" "tube surface",
        TubeVacuum = 60 "tube_vacuum" "tube vacuum",
        OutdoorTemp = 61 "outdoor_temp" "outdoor temperature",
        Wind = 62 "wind" "wind",
        Baro = 63 "baro" "barometer",
        SpaceTemp = 64 "space_temp" "space temperature",
        CoDischargeAdded = 65 "co_discharge_added" "CO added to the discharge",
        HumidityOutdoor = 66 "humidity_outdoor" "outdoor relative humidity",
        ValveInletRating = 67 "valve_inlet_rating" "valve inlet rating",
    }
}

/// Where the hands are when a quantity is taken; fields open in this order.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Station {
    /// Gas ports and meter.
    Gas,
    /// Flame rod, igniter, thermocouple.
    Flame,
    /// Flue and vent.
    Flue,
    /// Circulating air, water, tube.
    Heat,
    /// Electrical supply.
    Power,
    /// Clock times of the sequence.
    Times,
    /// The room and the weather.
    Room,
    /// Counters and ratings.
    Counters,
}

/// How a quantity is entered and what is plausible.
#[derive(Clone, Copy, Debug)]
pub struct QuantityDef {
    /// The quantity.
    pub quantity: Quantity,
    /// Unit in which the range is given and the pad opens.
    pub unit: Unit,
    /// Decimals that a field instrument shows.
    pub places: u8,
    /// Least plausible value, in `unit`.
    pub least: f64,
    /// Greatest plausible value, in `unit`.
    pub most: f64,
    /// Where the hands are.
    pub station: Station,
    /// The usual test point.
    pub point: &'static str,
}

use Station::{Counters, Flame, Flue, Gas, Heat, Power, Room, Times};

const fn def(
    quantity: Quantity,
    unit: Unit,
    places: u8,
    range: (f64, f64),
    station: Station,
    point: &'static str,
) -> QuantityDef {
    QuantityDef { quantity, unit, places, least: range.0, most: range.1, station, point }
}

/// Every quantity, in the order of [`Quantity::ALL`].
pub const DEFS: &[QuantityDef] = &[
    def(Quantity::InletStatic, Unit::InWc, 2, (0.0, 28.0), Gas, "valve inlet tap"),
    def(Quantity::InletFlowing, Unit::InWc, 2, (0.0, 28.0), Gas, "valve inlet tap"),
    def(Quantity::InletAllOn, Unit::InWc, 2, (0.0, 28.0), Gas, "valve inlet tap"),
    def(Quantity::Lockup, Unit::InWc, 2, (0.0, 28.0), Gas, "valve inlet tap"),
    def(Quantity::ManifoldHigh, Unit::InWc, 2, (0.02, 14.0), Gas, "manifold tap"),
    def(Quantity::ManifoldLow, Unit::InWc, 2, (0.02, 14.0), Gas, "manifold tap"),
    def(Quantity::ManifoldOff, Unit::InWc, 2, (0.0, 1.0), Gas, "manifold tap"),
    def(Quantity::MeterTime, Unit::S, 1, (3.0, 2000.0), Gas, "site meter, other load off"),
    def(Quantity::PilotPressure, Unit::InWc, 2, (0.5, 14.0), Gas, "pilot tap"),
    def(Quantity::DraftDifferential, Unit::InWc, 2, (-3.0, 3.0), Flue, "pressure switch tee"),
    def(Quantity::VentStatic, Unit::InWc, 3, (-0.5, 2.0), Flue, "vent test hole"),
    def(Quantity::DraftHood, Unit::InWc, 3, (-0.2, 0.1), Flue, "draft hood outlet"),
    def(Quantity::OverfireDraft, Unit::InWc, 3, (-0.2, 2.0), Flue, "boiler chamber"),
    def(Quantity::BuildingDp, Unit::InWc, 3, (-0.3, 0.3), Room, "door crack hose"),
    def(Quantity::FlueO2, Unit::Pct, 1, (0.0, 20.9), Flue, "flue sample hole"),
    def(Quantity::FlueCo2, Unit::Pct, 1, (0.0, 14.0), Flue, "flue sample hole"),
    def(Quantity::FlueCo, Unit::Ppm, 0, (0.0, 10_000.0), Flue, "flue sample hole"),
    def(Quantity::StackTemp, Unit::F, 0, (60.0, 1200.0), Flue, "flue sample hole"),
    def(Quantity::CombustionAirTemp, Unit::F, 0, (-40.0, 140.0), Flue, "burner intake"),
    def(Quantity::AmbientCo, Unit::Ppm, 0, (0.0, 999.0), Room, "breathing height below unit"),
    def(Quantity::AmbientLel, Unit::PctLel, 0, (0.0, 100.0), Room, "joints"),
    def(Quantity::AirIn, Unit::F, 0, (-40.0, 260.0), Heat, "unit intake"),
    def(Quantity::AirOut, Unit::F, 0, (-40.0, 260.0), Heat, "discharge, 3-point mean"),
    def(Quantity::ExternalStatic, Unit::InWc, 2, (-3.0, 3.0), Heat, "duct, each side of the unit"),
    def(Quantity::ProfileDifferential, Unit::InWc, 2, (0.0, 2.0), Heat, "burner profile taps"),
    def(Quantity::AirSwitchDp, Unit::InWc, 2, (0.0, 3.0), Heat, "air-proving tap"),
    def(Quantity::FanAmps, Unit::A, 1, (0.0, 60.0), Power, "each leg"),
    def(Quantity::FanRpm, Unit::Rpm, 0, (200.0, 3600.0), Heat, "fan shaft"),
    def(Quantity::LineVolts, Unit::V, 1, (90.0, 630.0), Power, "load side of the switch"),
    def(Quantity::ControlVolts, Unit::V, 1, (15.0, 32.0), Power, "transformer secondary, loaded"),
    def(Quantity::NeutralGroundVolts, Unit::V, 1, (0.0, 20.0), Power, "junction box"),
    def(Quantity::RodToGround, Unit::Mohm, 2, (0.0, 40.0), Flame, "sensor lead off, rod to burner"),
    def(Quantity::ContactDrop, Unit::V, 2, (0.0, 30.0), Power, "across the made contact"),
    def(Quantity::ValveCoilOhms, Unit::Ohm, 1, (1.0, 2000.0), Power, "valve coil"),
    def(Quantity::IgniterOhms, Unit::Ohm, 1, (1.0, 2000.0), Flame, "igniter plug"),
    def(Quantity::IgniterAmps, Unit::A, 2, (0.0, 8.0), Flame, "igniter lead"),
    def(Quantity::FlameCurrent, Unit::Ua, 1, (0.0, 60.0), Flame, "sensor lead"),
    def(Quantity::FlameVolts, Unit::V, 1, (0.0, 15.0), Flame, "relay jack"),
    def(Quantity::ThermocoupleOpen, Unit::Mv, 1, (0.0, 45.0), Flame, "thermocouple end"),
    def(Quantity::ThermocoupleLoaded, Unit::Mv, 1, (0.0, 30.0), Flame, "adapter"),
    def(Quantity::DropoutMv, Unit::Mv, 1, (0.0, 15.0), Flame, "adapter"),
    def(Quantity::ThermopileMv, Unit::Mv, 0, (0.0, 900.0), Flame, "valve terminals"),
    def(Quantity::PrepurgeS, Unit::S, 1, (0.0, 600.0), Times, "stopwatch"),
    def(Quantity::TrialS, Unit::S, 1, (0.0, 600.0), Times, "stopwatch"),
    def(Quantity::FlameFailS, Unit::S, 1, (0.0, 600.0), Times, "stopwatch"),
    def(Quantity::PostpurgeS, Unit::S, 1, (0.0, 600.0), Times, "stopwatch"),
    def(Quantity::FanOnS, Unit::S, 1, (0.0, 600.0), Times, "stopwatch"),
    def(Quantity::FanOffS, Unit::S, 1, (0.0, 600.0), Times, "stopwatch"),
    def(Quantity::LimitTripTemp, Unit::F, 0, (90.0, 300.0), Heat, "by the limit"),
    def(Quantity::OrificeBore, Unit::In, 4, (0.01, 0.5), Counters, "pin gauge"),
    def(Quantity::BurnerHours, Unit::H, 0, (0.0, 100_000.0), Counters, "hour meter or control"),
    def(Quantity::Cycles, Unit::N, 0, (0.0, 10_000_000.0), Counters, "control"),
    def(Quantity::LockoutCount, Unit::N, 0, (0.0, 10_000.0), Counters, "asked on site"),
    def(Quantity::WaterSupply, Unit::F, 0, (32.0, 250.0), Heat, "supply pipe"),
    def(Quantity::WaterReturn, Unit::F, 0, (32.0, 250.0), Heat, "return pipe"),
    def(Quantity::SystemPressure, Unit::Psi, 0, (0.0, 200.0), Heat, "gauge"),
    def(Quantity::ReliefRating, Unit::Psi, 0, (0.0, 200.0), Heat, "relief valve tag"),
    def(Quantity::CondensatePh, Unit::Ph, 1, (0.0, 14.0), Heat, "after the neutralizer"),
    def(Quantity::TubeSurface, Unit::F, 0, (100.0, 1300.0), Heat, "tube, emissivity 0.9"),
    def(Quantity::TubeVacuum, Unit::InWc, 2, (0.0, 6.0), Heat, "tube end tap"),
    def(Quantity::OutdoorTemp, Unit::F, 0, (-60.0, 120.0), Room, "outdoors, shade"),
    def(Quantity::Wind, Unit::Mph, 0, (0.0, 80.0), Room, "outdoors"),
    def(Quantity::Baro, Unit::Inhg, 2, (20.0, 31.5), Room, "weather"),
    def(Quantity::SpaceTemp, Unit::F, 0, (-20.0, 130.0), Room, "head height"),
    def(Quantity::CoDischargeAdded, Unit::Ppm, 0, (0.0, 50.0), Room, "discharge minus intake"),
    def(Quantity::HumidityOutdoor, Unit::Pct, 0, (0.0, 100.0), Room, "outdoors"),
    def(Quantity::ValveInletRating, Unit::InWc, 1, (3.0, 140.0), Counters, "gas valve body"),
];

impl Quantity {
    /// How this quantity is entered, unless it is a word of a newer version.
    pub fn def(self) -> Option<&'static QuantityDef> {
        DEFS.iter().find(|def| def.quantity == self)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::record::code::unit::UnitCode;

    #[test]
    fn every_quantity_is_defined_once_in_order() {
        let defined: Vec<Quantity> = DEFS.iter().map(|def| def.quantity).collect();
        assert_eq!(defined, Quantity::ALL);
        for def in DEFS {
            assert!(def.least < def.most, "{}", def.quantity.key());
            assert!(UnitCode::of(def.unit).is_some(), "{} has no stored unit", def.quantity.key());
        }
    }
}
