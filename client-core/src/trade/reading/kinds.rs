//! The list of kinds of reading.

use crate::trade::reading::Kind;
use crate::trade::uncertainty::Accuracy;
use crate::trade::unit::Unit;

const fn kind(
    key: &'static str,
    point: &'static str,
    unit: Unit,
    errors: [f64; 2],
    low: f64,
    high: f64,
) -> Kind {
    let [limit, step] = errors;
    Kind {
        key,
        point,
        unit,
        accuracy: Accuracy::fixed(limit, step, unit_of_error(unit)),
        low,
        high,
    }
}

/// An error on a temperature scale is a difference.
const fn unit_of_error(unit: Unit) -> Unit {
    match unit {
        Unit::F => Unit::DeltaF,
        other => other,
    }
}

impl Kind {
    const fn or_percent(mut self, percent: f64) -> Kind {
        self.accuracy = self.accuracy.or_percent(percent);
        self
    }
}

/// Every kind: key, point, unit, limit of error and least step, plausible range.
/// Source: common practice for field instruments, no source.
#[rustfmt::skip]
pub const KINDS: &[Kind] = &[
    kind("inlet_static", "valve inlet tap, no flow", Unit::InWc, [0.05, 0.01], 0.0, 28.0).or_percent(1.0),
    kind("inlet_flowing", "valve inlet tap, this unit firing", Unit::InWc, [0.05, 0.01], 0.0, 28.0).or_percent(1.0),
    kind("inlet_all_on", "valve inlet tap, all units firing", Unit::InWc, [0.05, 0.01], 0.0, 28.0).or_percent(1.0),
    kind("lockup", "valve inlet after quick shut-off", Unit::InWc, [0.05, 0.01], 0.0, 28.0).or_percent(1.0),
    kind("manifold_high", "manifold tap", Unit::InWc, [0.05, 0.01], 0.02, 14.0),
    kind("manifold_low", "manifold tap, low fire", Unit::InWc, [0.05, 0.01], 0.02, 14.0),
    kind("manifold_off", "manifold tap, valve off", Unit::InWc, [0.05, 0.01], 0.0, 1.0),
    kind("meter_time", "meter dial", Unit::S, [0.3, 0.1], 3.0, 2000.0),
    kind("pilot_pressure", "pilot tap", Unit::InWc, [0.05, 0.01], 0.5, 14.0),
    kind("draft_differential", "pressure-switch tee", Unit::InWc, [0.02, 0.01], -3.0, 3.0),
    kind("vent_static", "vent test hole", Unit::InWc, [0.02, 0.01], -0.5, 2.0),
    kind("draft_hood", "hood outlet", Unit::InWc, [0.005, 0.001], -0.2, 0.1),
    kind("overfire_draft", "boiler chamber", Unit::InWc, [0.005, 0.001], -0.2, 2.0),
    kind("building_dp", "door crack hose", Unit::InWc, [0.005, 0.001], -0.3, 0.3),
    kind("flue_o2", "flue hole ahead of dilution", Unit::Pct, [0.2, 0.1], 0.0, 20.9),
    kind("flue_co2", "flue hole ahead of dilution", Unit::Pct, [0.3, 0.1], 0.0, 14.0),
    kind("flue_co", "flue hole ahead of dilution", Unit::Ppm, [5.0, 1.0], 0.0, 10000.0).or_percent(5.0),
    kind("stack_temp", "flue hole, hottest point", Unit::F, [4.0, 1.0], 60.0, 1200.0),
    kind("combustion_air_temp", "burner intake", Unit::F, [2.0, 1.0], -40.0, 140.0),
    kind("ambient_co", "breathing height", Unit::Ppm, [3.0, 1.0], 0.0, 999.0),
    kind("ambient_lel", "joints", Unit::PctLel, [5.0, 1.0], 0.0, 100.0),
    kind("air_in", "unit intake, 3-point mean", Unit::F, [1.5, 0.5], -40.0, 260.0),
    kind("air_out", "discharge, 3-point mean", Unit::F, [1.5, 0.5], -40.0, 260.0),
    kind("external_static", "duct each side of the unit", Unit::InWc, [0.02, 0.01], -3.0, 3.0),
    kind("profile_differential", "burner profile taps", Unit::InWc, [0.02, 0.01], 0.0, 2.0),
    kind("air_switch_dp", "air-proving tap", Unit::InWc, [0.02, 0.01], 0.0, 3.0),
    kind("fan_amps", "each leg", Unit::A, [0.05, 0.1], 0.0, 60.0).or_percent(2.0),
    kind("fan_rpm", "shaft", Unit::Rpm, [1.0, 1.0], 200.0, 3600.0),
    kind("line_volts", "switch, load side", Unit::V, [0.5, 0.1], 90.0, 630.0).or_percent(1.0),
    kind("control_volts", "transformer secondary, loaded", Unit::V, [0.1, 0.1], 15.0, 32.0).or_percent(1.0),
    kind("neutral_ground_volts", "box", Unit::V, [0.1, 0.1], 0.0, 20.0).or_percent(1.0),
    kind("rod_to_ground", "sensor lead off, rod to burner", Unit::Mohm, [0.01, 0.01], 0.0, 40.0).or_percent(2.0),
    kind("contact_drop", "across a made contact, loaded", Unit::V, [0.02, 0.01], 0.0, 30.0).or_percent(1.0),
    kind("valve_coil_ohms", "plug, off, cold", Unit::Ohm, [0.2, 0.1], 1.0, 2000.0).or_percent(1.0),
    kind("igniter_ohms", "plug, off, cold", Unit::Ohm, [0.2, 0.1], 1.0, 2000.0).or_percent(1.0),
    kind("igniter_amps", "lead", Unit::A, [0.05, 0.01], 0.0, 8.0).or_percent(2.0),
    kind("flame_current", "series in sensor lead", Unit::Ua, [0.1, 0.1], 0.0, 60.0),
    kind("flame_volts", "relay jack", Unit::V, [0.1, 0.1], 0.0, 15.0),
    kind("thermocouple_open", "end of lead", Unit::Mv, [0.2, 0.1], 0.0, 45.0),
    kind("thermocouple_loaded", "adapter", Unit::Mv, [0.2, 0.1], 0.0, 30.0),
    kind("dropout_mv", "adapter", Unit::Mv, [0.2, 0.1], 0.0, 15.0),
    kind("thermopile_mv", "valve terminals", Unit::Mv, [2.0, 1.0], 0.0, 900.0),
    kind("prepurge_s", "stopwatch", Unit::S, [0.5, 0.1], 0.0, 600.0),
    kind("trial_s", "stopwatch", Unit::S, [0.5, 0.1], 0.0, 600.0),
    kind("flame_fail_s", "stopwatch", Unit::S, [0.5, 0.1], 0.0, 600.0),
    kind("postpurge_s", "stopwatch", Unit::S, [0.5, 0.1], 0.0, 600.0),
    kind("fan_on_s", "stopwatch", Unit::S, [0.5, 0.1], 0.0, 600.0),
    kind("fan_off_s", "stopwatch", Unit::S, [0.5, 0.1], 0.0, 600.0),
    kind("limit_trip_temp", "by the limit", Unit::F, [5.0, 1.0], 90.0, 300.0),
    kind("orifice_bore", "pin gauge", Unit::In, [0.0005, 0.0005], 0.01, 0.5),
    kind("burner_hours", "hour meter", Unit::H, [0.5, 1.0], 0.0, 100000.0),
    kind("cycles", "control", Unit::N, [0.5, 1.0], 0.0, 100000.0),
    kind("lockout_count", "control", Unit::N, [0.5, 1.0], 0.0, 100000.0),
    kind("water_supply", "pipe probe", Unit::F, [1.0, 0.5], 32.0, 250.0),
    kind("water_return", "pipe probe", Unit::F, [1.0, 0.5], 32.0, 250.0),
    kind("system_pressure", "gauge", Unit::Psi, [1.0, 1.0], 0.0, 200.0).or_percent(3.0),
    kind("relief_rating", "tag", Unit::Psi, [0.5, 1.0], 0.0, 200.0),
    kind("condensate_ph", "after the neutraliser", Unit::Ph, [0.2, 0.1], 0.0, 14.0),
    kind("tube_surface", "IR gun, emissivity 0.9", Unit::F, [4.0, 2.0], 100.0, 1300.0).or_percent(2.0),
    kind("tube_vacuum", "end tap", Unit::InWc, [0.05, 0.01], 0.0, 6.0),
    kind("outdoor_temp", "weather", Unit::F, [2.0, 1.0], -60.0, 120.0),
    kind("wind", "weather", Unit::Mph, [2.0, 1.0], 0.0, 80.0),
    kind("baro", "weather", Unit::Inhg, [0.05, 0.01], 20.0, 31.5),
    kind("space_temp", "head height and ceiling", Unit::F, [1.0, 1.0], -20.0, 130.0),
    kind("co_discharge_added", "direct-fired discharge less intake", Unit::Ppm, [3.0, 1.0], 0.0, 50.0),
];
