//! Calculations by name: one sample of each, and what every sheet must and must not say.

use client_core::trade::calc::{all, find, run};
use client_core::trade::unit::System;
use client_core::trade::verdict::words::NEVER;
use client_core::trade::worked::text::lines;

/// A sample of every calculation, with one result and its value.
type Sample = (&'static str, Texts, &'static str, f64);
/// "Key, text" pairs.
type Texts = &'static [(&'static str, &'static str)];

const SAMPLES: &[Sample] = &[
    ("gas-properties", &[("fuel", "propane"), ("base", "14.696")], "gross", 2562.2),
    ("interchange", &[("supplied", "propane")], "input_factor", 1.538),
    ("efficiency", &[("o2", "8.4"), ("co", "22"), ("flue", "407"), ("air", "62")], "gross", 79.4),
    ("excess-air", &[("o2", "5")], "excess_air", 28.3),
    ("co2-from-o2", &[("o2", "8.4")], "co2", 7.17),
    ("co-air-free", &[("o2", "7"), ("co", "50")], "co_air_free", 75.1),
    ("cross-check", &[("o2", "8.4"), ("co2", "7.1")], "gap", -0.0472),
    ("siegert", &[("o2", "8"), ("flue", "405"), ("air", "60")], "loss", 11.46),
    ("dew-point", &[("o2", "5"), ("surface", "110")], "dew_point", 132.2),
    (
        "condensate",
        &[("caught", "2"), ("time", "30"), ("flue", "113"), ("input", "399 MBH")],
        "share",
        2.27,
    ),
    (
        "clocked-input",
        &[
            ("dial", "10"),
            ("time", "3:29"),
            ("gauge", "2"),
            ("barometer", "14.266"),
            ("gas", "45"),
            ("plate_input", "200 MBH"),
        ],
        "input",
        200_760.0,
    ),
    ("pressure-factor", &[("gauge", "2 psi"), ("barometer", "14.16")], "factor", 1.0971),
    ("square-root-input", &[("plate_input", "250 MBH"), ("measured", "4.12")], "input", 271_242.0),
    ("orifice-flow", &[("bore", "#42"), ("manifold", "3.5")], "flow", 24.7),
    ("orifice-size", &[("heat", "25000"), ("manifold", "10"), ("fuel", "propane")], "bore", 0.0577),
    ("orifice-conversion", &[("heat", "25 MBH")], "ratio", 0.622),
    (
        "kit-check",
        &[("plate_input", "125 MBH"), ("manifold", "6.8"), ("clocked", "66.8 MBH"), ("o2", "14.6")],
        "other_input",
        67_250.0,
    ),
    ("pilot", &[("main_off", "6.8"), ("main_on", "3.4")], "kept", 70.8),
    ("altitude", &[("elevation", "5000"), ("plate_input", "200 MBH")], "target", 160_000.0),
    ("pipe-drop", &[("bore", "1.049"), ("length", "60"), ("flow", "400")], "drop", 1.0777),
    (
        "pipe-size",
        &[("flow", "650"), ("length", "60"), ("allowed", "3"), ("inlet", "14")],
        "bore",
        1.049,
    ),
    ("inlet-sag", &[("still", "7.3"), ("flowing", "7.0"), ("all_on", "4.6")], "all", 2.7),
    (
        "propane-vaporisation",
        &[("diameter", "37"), ("length", "119"), ("fill", "50"), ("air", "0"), ("load", "300 MBH")],
        "margin",
        1.321,
    ),
    (
        "metering-plate",
        &[("pipe", "102.3"), ("bore", "51.15"), ("pressure", "16"), ("difference", "20")],
        "mass",
        407.45,
    ),
    (
        "temperature-rise",
        &[("in", "62"), ("out", "117"), ("plate_min", "43"), ("plate_max", "67")],
        "rise",
        55.0,
    ),
    ("airflow", &[("heat", "160000"), ("in", "62"), ("out", "117")], "standard", 2676.0),
    ("density", &[("dry_bulb", "70"), ("humidity", "50")], "density_ratio", 0.993),
    (
        "draft",
        &[("excess_air", "100"), ("height", "20"), ("flue", "350"), ("outdoor", "30")],
        "draft",
        0.1270,
    ),
    ("combustion-air", &[("other", "100 MBH"), ("air_changes", "0.2")], "known_volume", 10_500.0),
    ("exhaust-balance", &[("exhaust", "4000 cfm + 1500 cfm"), ("make_up", "2000")], "net", 3500.0),
    (
        "static-pressure",
        &[
            ("before_filter", "-0.10"),
            ("behind_filter", "-0.55"),
            ("behind_unit", "0.30"),
            ("supply", "0.15"),
        ],
        "external",
        0.85,
    ),
    ("output", &[("input", "200 MBH"), ("efficiency", "79.5")], "output", 159_000.0),
    ("boiler-flow", &[("heat", "350 MBH"), ("supply", "160"), ("return", "140")], "flow", 35.6),
    (
        "lost-efficiency",
        &[
            ("input", "200 MBH"),
            ("hours", "1000"),
            ("now", "78"),
            ("proved", "80"),
            ("price", "1.20"),
        ],
        "cost",
        60.0,
    ),
    (
        "degree-days",
        &[("gas", "4100"), ("base_load", "100"), ("degree_days", "4000")],
        "heating",
        4000.0,
    ),
    ("draft-margin", &[("measured", "-0.97"), ("setpoint", "-0.60")], "margin", 0.37),
    ("flame-margin", &[("measured", "4.3"), ("minimum", "1.0")], "margin", 4.3),
    (
        "fouling-rate",
        &[("as_left", "4.0"), ("as_found", "2.0"), ("hours", "1000"), ("minimum", "0.7")],
        "loss",
        2.0,
    ),
    ("thermocouple", &[("open", "30"), ("loaded", "14"), ("drop_out", "3")], "reserve", 4.667),
    (
        "staging",
        &[("high_input", "250 MBH"), ("stage_input", "175 MBH"), ("measured", "1.72")],
        "expected",
        1.715,
    ),
    ("priority", &[("hazard", "urgent"), ("margin", "0.5")], "rank", 3.45),
];

/// Calculations that answer in words alone.
const IN_WORDS: &[(&str, Texts, &str)] = &[
    (
        "verdict",
        &[
            ("reading", "manifold_high"),
            ("figure", "4.12"),
            ("at_least", "3.3"),
            ("at_most", "3.7"),
            ("source", "plate 3.5, 0.2 either way"),
        ],
        "over 3.70 in w.c. by 0.42 in w.c.",
    ),
    (
        "verdict",
        &[
            ("reading", "flue_co"),
            ("figure", "395 ± 20"),
            ("at_most", "400"),
            ("source", "firm's setting of 2024-10-01"),
        ],
        "too close to call",
    ),
    (
        "two-readings",
        &[("reading", "manifold_high"), ("first", "3.63"), ("second", "3.43")],
        "disagree",
    ),
    (
        "due-date",
        &[("last", "2024-12-10"), ("interval", "365"), ("season", "10-01")],
        "due 2025-10-01",
    ),
];

#[test]
fn every_calculation_has_a_sample_that_comes_out() {
    for (name, texts, key, value) in SAMPLES {
        let sheet = run(name, texts).unwrap_or_else(|reason| panic!("{name}: {reason}"));
        let got = sheet.get(key).unwrap_or_else(|| panic!("{name} lacks {key}")).value;
        assert!((got / value - 1.0).abs() < 0.005, "{name} {key}: {got} against {value}");
    }
    for (name, texts, words) in IN_WORDS {
        let sheet = run(name, texts).unwrap_or_else(|reason| panic!("{name}: {reason}"));
        let said = sheet.findings.join("; ");
        assert!(said.contains(words), "{name}: '{said}' lacks '{words}'");
    }
    let sampled = |name: &str| {
        SAMPLES.iter().any(|sample| sample.0 == name) || IN_WORDS.iter().any(|own| own.0 == name)
    };
    for calculation in all() {
        assert!(sampled(calculation.name), "{} has no sample", calculation.name);
    }
}

#[test]
fn every_line_of_the_trades_list_has_a_calculation() {
    // The list of calculations that a technician wants, in the trade's order.
    let list = [
        ("clocked input", "clocked-input"),
        ("pressure factor", "pressure-factor"),
        ("square-root input", "square-root-input"),
        ("orifice flow", "orifice-flow"),
        ("interchange (Wobbe)", "interchange"),
        ("altitude derate", "altitude"),
        ("O2 to CO2", "co2-from-o2"),
        ("excess air", "excess-air"),
        ("CO air-free", "co-air-free"),
        ("stack loss / efficiency", "efficiency"),
        ("condensing correction", "condensate"),
        ("dew point of flue", "dew-point"),
        ("temperature rise", "temperature-rise"),
        ("airflow from rise", "airflow"),
        ("density correction", "density"),
        ("output", "output"),
        ("boiler flow from rise", "boiler-flow"),
        ("draft margin", "draft-margin"),
        ("flame-current margin", "flame-margin"),
        ("fouling rate", "fouling-rate"),
        ("static over system", "static-pressure"),
        ("combustion air need", "combustion-air"),
        ("exhaust vs make-up balance", "exhaust-balance"),
        ("pipe drop", "pipe-drop"),
        ("propane vaporisation margin", "propane-vaporisation"),
        ("degree-day normalised gas", "degree-days"),
        ("cost of lost efficiency", "lost-efficiency"),
        ("uncertainty of a verdict", "verdict"),
        ("verdict with two readings", "two-readings"),
        ("due date", "due-date"),
        ("priority", "priority"),
    ];
    for (line, name) in list {
        assert!(find(name).is_some(), "{line}: no calculation {name}");
    }
}

#[test]
fn no_sheet_says_what_is_never_said_and_every_sheet_names_its_source() {
    let samples = SAMPLES.iter().map(|(name, texts, ..)| (*name, *texts));
    let in_words = IN_WORDS.iter().map(|(name, texts, _)| (*name, *texts));
    for (name, texts) in samples.chain(in_words) {
        let sheet = run(name, texts).unwrap();
        for system in [System::Us, System::Si] {
            let text = lines(&sheet, system).join("\n").to_lowercase();
            for never in NEVER {
                let word = |text: &str| {
                    text.split(|c: char| !c.is_alphanumeric()).any(|own| own == *never)
                };
                let said = if never.contains(' ') { text.contains(never) } else { word(&text) };
                assert!(!said, "{name} says '{never}':\n{text}");
            }
            assert!(!text.contains("nan") || text.contains("manifold"), "{name}: {text}");
            assert!(text.contains("source: ") && text.contains("holds for: "), "{name}");
        }
    }
}

#[test]
fn a_figures_own_accuracy_reaches_the_result() {
    let width = |measured| {
        let texts = [("plate_input", "250 MBH"), ("measured", measured)];
        run("square-root-input", &texts).unwrap().spreads[0].standard.value
    };
    let (fine, coarse) = (width("3.5 ± 0.01"), width("3.5 ± 0.1"));
    assert!((coarse / fine - 10.0).abs() < 0.01, "{fine} {coarse}");
    // Half of 0.1 over 3.5 of 250,000, as a rectangle.
    assert!((coarse - 250_000.0 * 0.5 * 0.1 / 3.5 / 3.0_f64.sqrt()).abs() < 2.0);
    let usual = run("square-root-input", &[("plate_input", "250 MBH"), ("measured", "3.5")]);
    assert!(usual.unwrap().spreads[0].standard.value > 0.0, "a usual gauge stands in");
}

#[test]
fn a_clocked_input_is_as_good_as_watch_gauges_and_bill() {
    let texts = [("dial", "10"), ("time", "209 ± 0.3"), ("gauge", "2"), ("gas", "45")];
    let sheet = run("clocked-input", &texts).unwrap();
    let spread = sheet.spreads.iter().find(|spread| spread.key == "input").unwrap();
    let relative = spread.standard.value / sheet.get("input").unwrap().value;
    assert!((0.005..0.012).contains(&relative), "{relative}");
    assert_eq!(spread.mostly.as_ref().unwrap().0, "heating_value");
}

#[test]
fn wrong_arguments_are_named() {
    let reason = |name, texts: &[(&str, &str)]| run(name, texts).unwrap_err().to_string();
    assert!(reason("tea", &[]).contains("`tea`"));
    assert!(reason("output", &[("input", "200 MBH")]).contains("efficiency"));
    assert!(reason("output", &[("inptu", "200")]).contains("input, efficiency"));
    assert!(reason("output", &[("input", "1"), ("input", "2")]).contains("twice"));
    assert!(reason("output", &[("input", "5 psi"), ("efficiency", "80")]).contains("psi"));
    assert!(
        reason("efficiency", &[("o2", "21.2"), ("flue", "400"), ("air", "60")])
            .contains("fresh-air")
    );
    assert!(
        reason("efficiency", &[("fuel", "coal"), ("o2", "8"), ("flue", "400"), ("air", "60")])
            .contains("coal")
    );
    assert!(
        reason("verdict", &[("reading", "manifold_high"), ("figure", "3.5"), ("at_most", "3.7")])
            .contains("source")
    );
}
