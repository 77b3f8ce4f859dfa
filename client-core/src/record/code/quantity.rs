//! What can be measured at a heater. Units, usual accuracies and plausible ranges are the sums' own, see
//! [`crate::trade::reading`].

use crate::trade::reading::{self, Kind};

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

impl Quantity {
    /// Unit, usual accuracy and plausible range, unless it is a word of a newer version.
    pub fn kind(self) -> Option<&'static Kind> {
        reading::kind(self.key())
    }

    /// Where the hands are when it is taken.
    pub const fn station(self) -> Station {
        match self {
            Quantity::InletStatic
            | Quantity::InletFlowing
            | Quantity::InletAllOn
            | Quantity::Lockup
            | Quantity::ManifoldHigh
            | Quantity::ManifoldLow
            | Quantity::ManifoldOff
            | Quantity::MeterTime
            | Quantity::PilotPressure => Station::Gas,
            Quantity::RodToGround
            | Quantity::IgniterOhms
            | Quantity::IgniterAmps
            | Quantity::FlameCurrent
            | Quantity::FlameVolts
            | Quantity::ThermocoupleOpen
            | Quantity::ThermocoupleLoaded
            | Quantity::DropoutMv
            | Quantity::ThermopileMv => Station::Flame,
            Quantity::DraftDifferential
            | Quantity::VentStatic
            | Quantity::DraftHood
            | Quantity::OverfireDraft
            | Quantity::FlueO2
            | Quantity::FlueCo2
            | Quantity::FlueCo
            | Quantity::StackTemp
            | Quantity::CombustionAirTemp => Station::Flue,
            Quantity::AirIn
            | Quantity::AirOut
            | Quantity::ExternalStatic
            | Quantity::ProfileDifferential
            | Quantity::AirSwitchDp
            | Quantity::FanRpm
            | Quantity::LimitTripTemp
            | Quantity::WaterSupply
            | Quantity::WaterReturn
            | Quantity::SystemPressure
            | Quantity::ReliefRating
            | Quantity::CondensatePh
            | Quantity::TubeSurface
            | Quantity::TubeVacuum => Station::Heat,
            Quantity::FanAmps
            | Quantity::LineVolts
            | Quantity::ControlVolts
            | Quantity::NeutralGroundVolts
            | Quantity::ContactDrop
            | Quantity::ValveCoilOhms => Station::Power,
            Quantity::PrepurgeS
            | Quantity::TrialS
            | Quantity::FlameFailS
            | Quantity::PostpurgeS
            | Quantity::FanOnS
            | Quantity::FanOffS => Station::Times,
            Quantity::BuildingDp
            | Quantity::AmbientCo
            | Quantity::AmbientLel
            | Quantity::OutdoorTemp
            | Quantity::Wind
            | Quantity::Baro
            | Quantity::SpaceTemp
            | Quantity::CoDischargeAdded => Station::Room,
            Quantity::OrificeBore
            | Quantity::BurnerHours
            | Quantity::Cycles
            | Quantity::LockoutCount
            | Quantity::Newer(_) => Station::Counters,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::record::code::unit::UnitCode;

    #[test]
    fn the_sums_know_every_quantity_and_records_store_its_unit() {
        for quantity in Quantity::ALL {
            let kind = quantity.kind().unwrap_or_else(|| panic!("{}", quantity.key()));
            assert!(UnitCode::of(kind.unit).is_some(), "{} has no stored unit", quantity.key());
        }
        assert_eq!(Quantity::ALL.len(), reading::KINDS.len());
    }
}
