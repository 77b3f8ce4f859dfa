//! Ordinary readings of the visit as results of tests, so that nothing is typed twice.
//!
//! A figure between two results, or without the plate figure it needs, gives no result: the person looks and
//! says. Thresholds are common practice without a source unless the field says otherwise; plate figures win.

use super::belief::TestResult;
use super::detect::Gas;
use super::table::Table;

/// A reading with what it is compared with, in the unit of each field's name.
#[expect(
    missing_docs,
    reason = "a field's name is its quantity and unit, the variant says the rest"
)]
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Reading {
    /// Flame current and the control's minimum.
    FlameCurrent { ua: f64, minimum_ua: f64 },
    /// Manifold pressure while the valve is commanded open, and the plate's for the supplied gas.
    Manifold { in_wc: f64, plate_in_wc: f64, gas: Gas },
    /// Manifold pressure with the valve off and the cock open.
    ManifoldOff { in_wc: f64 },
    /// Inlet pressure without flow, and the plate's range.
    InletStatic { in_wc: f64, min_in_wc: f64, max_in_wc: f64 },
    /// Inlet pressure with this unit and its neighbours firing, and the plate's minimum.
    InletFlowing { in_wc: f64, min_in_wc: f64 },
    /// Draft differential at the switch tee and the switch's setpoint; signs do not matter.
    DraftDifferential { in_wc: f64, setpoint_in_wc: f64 },
    /// Differential at the air-proving switch and its setpoint.
    AirProving { in_wc: f64, setpoint_in_wc: f64 },
    /// Indoor less outdoor pressure with exhaust on and doors closed.
    BuildingPressure { in_wc: f64 },
    /// Flue CO, air-free.
    CoAirFree { ppm: f64 },
    /// Flue O2 and the unit's own baseline.
    FlueO2 { pct: f64, baseline_pct: f64 },
    /// Net stack temperature and the unit's own baseline.
    NetStack { f: f64, baseline_f: f64 },
    /// Air temperature rise and the plate's range.
    Rise { f: f64, min_f: f64, max_f: f64 },
    /// Clocked input and the plate's.
    ClockedInput { btu_h: f64, plate_btu_h: f64 },
    /// Line voltage on the load side and the plate's.
    LineVolts { volts: f64, plate_volts: f64 },
    /// Transformer secondary under load.
    ControlVolts { volts: f64 },
    /// Call voltage at the heat terminals, call on, 24 V controls.
    CallVolts { volts: f64 },
    /// Rod to ground with the lead off; `None` is over range.
    RodToGround { megohm: Option<f64> },
    /// Thermocouple, open circuit.
    ThermocoupleOpen { mv: f64 },
    /// Thermocouple, loaded.
    ThermocoupleLoaded { mv: f64 },
    /// Level at which the pilot magnet lets go.
    Dropout { mv: f64 },
    /// Air at the limit when it opens, and its rating.
    LimitTrip { f: f64, rating_f: f64 },
    /// Air at the unit's intake, and in the room at head height.
    IntakeAir { f: f64, room_f: f64 },
}

/// The test that a reading answers, and its result; `None` when the figure decides nothing.
pub fn result(table: &Table, reading: Reading) -> Option<TestResult> {
    let (test, outcome) = told(reading)?;
    let test = table.test(test)?;
    (outcome < table[test].outcomes.len()).then_some(TestResult { test, outcome })
}

/// Test key and place of the outcome.
fn told(reading: Reading) -> Option<(&'static str, usize)> {
    match reading {
        Reading::FlameCurrent { ua, minimum_ua } => {
            let ratio = over(ua, minimum_ua)?;
            Some(("flame_ua", if ratio >= 2.0 { 0 } else { 1 + usize::from(ratio < 1.0) }))
        }
        Reading::Manifold { in_wc, plate_in_wc, gas } => {
            manifold(in_wc, plate_in_wc, gas).map(|outcome| ("manifold", outcome))
        }
        Reading::ManifoldOff { in_wc } => finite(in_wc).map(|p| ("leakby", usize::from(p > 0.02))),
        Reading::InletStatic { in_wc, min_in_wc, max_in_wc } => {
            window(in_wc, min_in_wc, max_in_wc).map(|side| ("inlet_static", [1, 0, 2][side]))
        }
        Reading::InletFlowing { in_wc, min_in_wc } => {
            finite(in_wc - min_in_wc).map(|margin| ("inlet_flow", usize::from(margin < 0.0)))
        }
        Reading::DraftDifferential { in_wc, setpoint_in_wc } => {
            // A hair under the margin is rounding of two readings to a hundredth, not a smaller margin.
            let margin = finite(in_wc.abs() - setpoint_in_wc.abs())? + 1e-9;
            Some((
                "ps_differential",
                if margin >= 0.10 { 0 } else { 1 + usize::from(margin < 0.0) },
            ))
        }
        Reading::AirProving { in_wc, setpoint_in_wc } => {
            let margin = finite(in_wc.abs() - setpoint_in_wc.abs())?;
            Some(("air_prove_dp", usize::from(margin < 0.0)))
        }
        Reading::BuildingPressure { in_wc } => {
            finite(in_wc).map(|p| ("bldg_dp", usize::from(p < -0.02)))
        }
        Reading::CoAirFree { ppm } => finite(ppm)
            .filter(|ppm| *ppm >= 0.0)
            .map(|ppm| ("co_airfree", if ppm < 100.0 { 0 } else { 1 + usize::from(ppm > 400.0) })),
        Reading::FlueO2 { pct, baseline_pct } => {
            window(pct - baseline_pct, -1.0, 1.0).map(|side| ("o2_base", [2, 0, 1][side]))
        }
        Reading::NetStack { f, baseline_f } => {
            window(over(f, baseline_f)?, 0.9, 1.1).map(|side| ("stack_base", [2, 0, 1][side]))
        }
        Reading::Rise { f, min_f, max_f } => {
            window(f, min_f, max_f).map(|side| ("temp_rise", [2, 0, 1][side]))
        }
        Reading::ClockedInput { btu_h, plate_btu_h } => {
            window(over(btu_h, plate_btu_h)?, 0.95, 1.05).map(|side| ("clocked", [1, 0, 2][side]))
        }
        electrical => electrical_or_pilot(electrical),
    }
}

fn electrical_or_pilot(reading: Reading) -> Option<(&'static str, usize)> {
    match reading {
        Reading::LineVolts { volts, plate_volts } => match over(volts, plate_volts)? {
            ratio if ratio < 0.1 => Some(("line_volts", 1)),
            ratio if ratio < 0.9 => Some(("line_volts", 2)),
            ratio if ratio <= 1.1 => Some(("line_volts", 0)),
            _ => None,
        },
        Reading::ControlVolts { volts } => match finite(volts)? {
            volts if volts < 2.0 => Some(("xfmr_volts", 1)),
            volts if volts < 22.0 => Some(("xfmr_volts", 2)),
            volts if volts <= 28.0 => Some(("xfmr_volts", 0)),
            _ => None,
        },
        Reading::CallVolts { volts } => match finite(volts)? {
            volts if volts < 5.0 => Some(("call_volts", 1)),
            volts if (18.0..=30.0).contains(&volts) => Some(("call_volts", 0)),
            _ => None,
        },
        Reading::RodToGround { megohm: None } => Some(("rod_insul", 0)),
        Reading::RodToGround { megohm: Some(megohm) } => {
            finite(megohm).map(|megohm| ("rod_insul", usize::from(megohm < 1.0)))
        }
        Reading::ThermocoupleOpen { mv } => finite(mv)
            .map(|mv| ("tc_open", if mv >= 25.0 { 0 } else { 1 + usize::from(mv < 15.0) })),
        Reading::ThermocoupleLoaded { mv } => {
            finite(mv).map(|mv| ("tc_loaded", usize::from(mv < 12.0)))
        }
        Reading::Dropout { mv } => finite(mv).map(|mv| ("tc_dropout", usize::from(mv > 6.0))),
        Reading::LimitTrip { f, rating_f } => {
            let under = finite(rating_f - f)?;
            (under >= -10.0).then_some(("limit_temp", usize::from(under > 10.0)))
        }
        Reading::IntakeAir { f, room_f } => match finite(f - room_f)? {
            hotter if hotter <= 10.0 => Some(("inlet_air_t", 0)),
            hotter if hotter > 15.0 => Some(("inlet_air_t", 1)),
            _ => None,
        },
        _ => None,
    }
}

/// Within the plate's band: 5 %, or 0.2 in w.c. on natural gas and 0.3 on LP, whichever is wider.
fn manifold(in_wc: f64, plate: f64, gas: Gas) -> Option<usize> {
    let off = over(in_wc, plate)? * plate - plate;
    if in_wc < 0.05 {
        return Some(3);
    }
    let fixed: f64 = if gas == Gas::Lp { 0.3 } else { 0.2 };
    let band = fixed.max(0.05 * plate);
    window(off, -band, band).map(|side| [1, 0, 2][side])
}

fn finite(value: f64) -> Option<f64> {
    value.is_finite().then_some(value)
}

/// A reading of 0 or more over a figure above 0.
fn over(value: f64, base: f64) -> Option<f64> {
    (value >= 0.0 && base > 0.0).then(|| value / base).and_then(finite)
}

/// 0 under the window, 1 in it, 2 over it.
fn window(value: f64, min: f64, max: f64) -> Option<usize> {
    if !(value.is_finite() && min <= max) {
        None
    } else if value < min {
        Some(0)
    } else {
        Some(1 + usize::from(value > max))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn said(reading: Reading) -> Option<(&'static str, &'static str)> {
        let table = Table::standard();
        let result = result(table, reading)?;
        Some((table[result.test].key, table[result.test].outcomes[result.outcome]))
    }

    #[test]
    fn readings_answer_tests_in_their_own_words() {
        let natural = Gas::Natural;
        let cases = [
            (
                Reading::FlameCurrent { ua: 4.2, minimum_ua: 1.0 },
                "flame_ua",
                "at least twice minimum",
            ),
            (Reading::FlameCurrent { ua: 1.4, minimum_ua: 1.0 }, "flame_ua", "marginal"),
            (Reading::FlameCurrent { ua: 0.9, minimum_ua: 1.0 }, "flame_ua", "below minimum"),
            (
                Reading::Manifold { in_wc: 3.51, plate_in_wc: 3.5, gas: natural },
                "manifold",
                "within band",
            ),
            (Reading::Manifold { in_wc: 4.13, plate_in_wc: 3.5, gas: natural }, "manifold", "high"),
            (Reading::Manifold { in_wc: 3.07, plate_in_wc: 3.5, gas: natural }, "manifold", "low"),
            (Reading::Manifold { in_wc: 0.0, plate_in_wc: 3.5, gas: natural }, "manifold", "zero"),
            (Reading::ManifoldOff { in_wc: 0.0 }, "leakby", "zero"),
            (Reading::ManifoldOff { in_wc: 0.3 }, "leakby", "pressure rises"),
            (
                Reading::InletStatic { in_wc: 14.2, min_in_wc: 5.0, max_in_wc: 14.0 },
                "inlet_static",
                "high",
            ),
            (
                Reading::InletFlowing { in_wc: 4.4, min_in_wc: 5.0 },
                "inlet_flow",
                "sags below minimum",
            ),
            (
                Reading::DraftDifferential { in_wc: -0.63, setpoint_in_wc: -0.6 },
                "ps_differential",
                "near setpoint",
            ),
            (
                Reading::DraftDifferential { in_wc: -0.7, setpoint_in_wc: -0.6 },
                "ps_differential",
                "clear margin",
            ),
            (Reading::BuildingPressure { in_wc: -0.05 }, "bldg_dp", "below -0.02 in w.c."),
            (Reading::CoAirFree { ppm: 604.0 }, "co_airfree", "over 400 ppm"),
            (Reading::FlueO2 { pct: 6.5, baseline_pct: 8.7 }, "o2_base", "lower"),
            (Reading::NetStack { f: 436.0, baseline_f: 351.0 }, "stack_base", "higher"),
            (Reading::Rise { f: 74.0, min_f: 43.0, max_f: 67.0 }, "temp_rise", "high"),
            (Reading::ClockedInput { btu_h: 66.8e3, plate_btu_h: 125e3 }, "clocked", "low"),
            (Reading::LineVolts { volts: 98.0, plate_volts: 120.0 }, "line_volts", "low"),
            (Reading::ControlVolts { volts: 25.1 }, "xfmr_volts", "24-28 V"),
            (Reading::CallVolts { volts: 0.2 }, "call_volts", "absent"),
            (Reading::RodToGround { megohm: None }, "rod_insul", "open"),
            (Reading::RodToGround { megohm: Some(0.4) }, "rod_insul", "leakage"),
            (Reading::ThermocoupleOpen { mv: 27.0 }, "tc_open", "25 mV or more"),
            (Reading::ThermocoupleLoaded { mv: 9.0 }, "tc_loaded", "under 12 mV"),
            (Reading::Dropout { mv: 7.5 }, "tc_dropout", "early (over 6 mV)"),
            (Reading::LimitTrip { f: 140.0, rating_f: 160.0 }, "limit_temp", "well below rating"),
            (Reading::AirProving { in_wc: 0.39, setpoint_in_wc: 0.45 }, "air_prove_dp", "below"),
            (Reading::IntakeAir { f: 92.0, room_f: 66.0 }, "inlet_air_t", "over 15 F hotter"),
        ];
        for (reading, test, outcome) in cases {
            assert_eq!(said(reading), Some((test, outcome)), "{reading:?}");
        }
    }

    #[test]
    fn a_figure_that_decides_nothing_gives_no_result() {
        for reading in [
            Reading::FlameCurrent { ua: f64::NAN, minimum_ua: 1.0 },
            Reading::FlameCurrent { ua: 4.0, minimum_ua: 0.0 },
            Reading::IntakeAir { f: 78.0, room_f: 66.0 },
            Reading::CallVolts { volts: 12.0 },
            Reading::LineVolts { volts: 160.0, plate_volts: 120.0 },
            Reading::CoAirFree { ppm: -3.0 },
            Reading::Rise { f: 55.0, min_f: 67.0, max_f: 43.0 },
        ] {
            assert_eq!(said(reading), None, "{reading:?}");
        }
    }
}
