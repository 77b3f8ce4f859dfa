//! What was not tested, and why. Silence is a state and is written.

use super::CustomerPage;
use super::decide::place;
use crate::text::Text;
use crate::tongue::{Tongue, say};
use crate::unit_facts::UnitFacts;
use client_core::record::code::{CheckItem, CheckResult, Outcome, Phase, Quantity, Status};
use client_core::record::value::Measured;

/// Proofs of which the count is told: a key of words, and the quantities of which one is the proof.
const PROOFS: &[(&str, &[Quantity])] = &[
    ("untested-gas_pressure", &[Quantity::ManifoldHigh]),
    ("untested-flame", &[Quantity::FlameCurrent, Quantity::ThermocoupleLoaded]),
    ("untested-exhaust", &[Quantity::FlueCo, Quantity::CoDischargeAdded]),
    ("untested-meter", &[Quantity::MeterTime]),
];

pub(super) fn lines(page: &CustomerPage, tongue: Tongue) -> Vec<Text> {
    let mut lines = vec![];
    let standing: Vec<&UnitFacts> =
        page.units.iter().filter(|unit| unit.status != Status::Removed).collect();
    for unit in standing.iter().filter(|unit| !unit.opened()) {
        lines.push(not_reached(tongue, unit));
    }
    let opened: Vec<&UnitFacts> = standing.iter().filter(|unit| unit.opened()).copied().collect();
    for (key, quantities) in PROOFS {
        lines.extend(proof(tongue, &opened, key, quantities));
    }
    for unit in &opened {
        lines.extend(not_taken(tongue, unit));
        lines.extend(not_done(tongue, unit));
    }
    if lines.is_empty() {
        lines.push(Text::words(tongue.plain("untested-nothing")));
    }
    lines
}

fn not_reached(tongue: Tongue, unit: &UnitFacts) -> Text {
    let reason = match &unit.outcome {
        Some((Outcome::NotReached, Some(reason))) => tongue.quoted(reason),
        _ => Text::words(tongue.plain("untested-no_reason")),
    };
    tongue.phrase("untested-not_reached").text("unit", place(unit)).text("reason", reason).said()
}

/// How many of the opened units were proved as left, and which were not.
fn proof(
    tongue: Tongue,
    opened: &[&UnitFacts],
    key: &str,
    quantities: &[Quantity],
) -> Option<Text> {
    let read = |unit: &&&UnitFacts| {
        quantities.iter().any(|quantity| {
            let as_left = unit.last(*quantity, Phase::AsLeft);
            as_left.is_some_and(|(_, reading)| !matches!(reading.value, Measured::NotTaken(_)))
        })
    };
    let missing: Vec<&&UnitFacts> = opened.iter().filter(|unit| !read(unit)).collect();
    if missing.is_empty() {
        return None;
    }
    let done = opened.len() - missing.len();
    let what = tongue.plain(key);
    Some(match missing.len() {
        // A long list of units helps nobody; the record names them.
        many if many > 4 => Text::words(say!(
            tongue,
            "untested-count",
            what = what,
            done = tongue.count(done),
            of = tongue.count(opened.len()),
            missing = missing.len(),
        )),
        _ => {
            let units = Text::join(missing.iter().map(|unit| Text::name(&unit.no)), ", ");
            tongue
                .phrase("untested-named")
                .with("what", what)
                .with("done", tongue.count(done))
                .with("of", tongue.count(opened.len()))
                .text("units", units)
                .said()
        }
    })
}

/// Readings that could not be taken, with the reason that was given.
fn not_taken(tongue: Tongue, unit: &UnitFacts) -> Vec<Text> {
    let reasons = unit.counted().filter_map(|told| match told.reading().map(|own| &own.value) {
        Some(Measured::NotTaken(why)) => Some(why),
        _ => None,
    });
    let line = |why: &String| {
        tongue.phrase("untested-not_taken").text("unit", place(unit)).typed("reason", why).said()
    };
    let mut lines: Vec<Text> = vec![];
    for text in reasons.map(line) {
        if !lines.contains(&text) {
            lines.push(text);
        }
    }
    lines
}

/// Checks that somebody said were not done.
fn not_done(tongue: Tongue, unit: &UnitFacts) -> Option<Text> {
    let skipped: Vec<String> = unit
        .checks
        .iter()
        .filter(|(item, result)| *result == CheckResult::NotDone && *item != CheckItem::FirmsOwn)
        .map(|(item, _)| tongue.word(*item))
        .collect();
    (!skipped.is_empty()).then(|| {
        let checks = tongue.list(&skipped);
        tongue.phrase("untested-checks").text("unit", place(unit)).with("checks", checks).said()
    })
}
