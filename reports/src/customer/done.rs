//! What was done: unit, found, did, left, each with the figure that shows it.

use super::CustomerPage;
use crate::figures::{judged, limit_digits};
use crate::layout::{Block, Cell, Column, Row, Shape, Table};
use crate::saying::Sayer;
use crate::text::Text;
use crate::tongue::{Tongue, say};
use crate::unit_facts::UnitFacts;
use client_core::record::body::Body;
use client_core::record::code::{Outcome, Phase, Quantity};
use client_core::record::derived::block::Judgement;
use client_core::record::value::Measured;

pub(super) fn blocks(page: &CustomerPage, tongue: Tongue) -> Vec<Block> {
    let sayer = Sayer::new(tongue, &page.book);
    let mut blocks = vec![Block::Heading(2, Text::words(tongue.plain("customer-done")))];
    let (worked, others): (Vec<&UnitFacts>, Vec<&UnitFacts>) = page
        .units
        .iter()
        .partition(|unit| unit.findings().next().is_some() || unit.work().next().is_some());
    if !worked.is_empty() {
        blocks.push(Block::Table(Table {
            caption: Text::words(tongue.plain("done-caption")),
            columns: vec![
                Column::words(tongue.plain("column-unit"), 9),
                Column::words(tongue.plain("column-found"), 26),
                Column::words(tongue.plain("column-did"), 28),
                Column::words(tongue.plain("column-left"), 17),
                Column::words(tongue.plain("column-limit_source"), 20),
            ],
            rows: worked.iter().map(|unit| row(&sayer, unit)).collect(),
            dense: false,
        }));
    }
    let others = others_in_words(tongue, &others);
    if !others.is_empty() {
        blocks.push(Block::Small(others));
    }
    blocks
}

fn row(sayer: &Sayer<'_>, unit: &UnitFacts) -> Row {
    let tongue = sayer.tongue;
    let key = headline(unit);
    let found = unit.findings().map(|(_, finding)| tongue.plain_cause(&finding.cause));
    let mut causes: Vec<Text> = vec![];
    for cause in found {
        if !causes.contains(&cause) {
            causes.push(cause);
        }
    }
    let mut found = match causes.is_empty() {
        true => Text::words(tongue.plain("done-nothing_found")),
        false => Text::join(causes, ". "),
    };
    if let Some(value) = key.and_then(|key| value(tongue, unit, key, Phase::AsFound)) {
        let name = tongue.plain(&format!("plain_figure-{}", key.unwrap_or_default()));
        let figure = tongue.phrase("done-figure").with("name", name).text("value", value).said();
        let figure = figure.capital();
        found = found.and(Text::words(". ")).and(figure);
    }
    Row(vec![
        Cell::from(Text::name(&unit.no)),
        Cell::shaped(Shape::Found, found),
        Cell::from(did(sayer, unit)),
        left(tongue, unit, key),
        Cell::from(limit(tongue, unit, key)),
    ])
}

/// The figure that shows best what was wrong, by the first cause that has one.
fn headline(unit: &UnitFacts) -> Option<&'static str> {
    let causes = unit.findings().filter_map(|(_, finding)| figure_of(&finding.cause));
    let mut causes = causes;
    causes.find(|key| {
        [Phase::AsFound, Phase::AsLeft].into_iter().any(|phase| measured(unit, key, phase))
    })
}

/// The figure of a cause. Trade judgement: what a technician would point at.
pub(crate) fn figure_of(cause: &str) -> Option<&'static str> {
    Some(match cause {
        "manifold_low" | "manifold_high" | "stage2_call" | "mod_valve" | "mod_signal"
        | "valve_fail" => "manifold_high",
        "rod_dirty" | "rod_leak" | "flame_lift" | "polarity_ground" => "flame_current",
        "conversion_mismatch" | "orifice_size" | "orifice_blocked" => "clocked_input",
        "burner_dirty" | "burner_align" | "ir_tube" | "hx_fouled" => "co_air_free",
        "ps_hose" | "ps_open" | "inducer_wheel" | "inducer_motor" | "vent_blocked"
        | "vent_defect" => "draft_differential",
        "air_prove" | "damper_sw" => "profile_differential",
        "airflow_block" | "fan_motor" | "fan_drive" | "fan_control" => "rise",
        "hsi_open" | "hsi_weak" => "igniter_ohms",
        "low_inlet" | "high_inlet" | "gas_off" => "inlet_flowing",
        "hx_breach" => "ambient_co",
        "loose_wiring" => "contact_drop",
        "tc_weak" => "thermocouple_loaded",
        "pilot_orifice" => "pilot_pressure",
        _ => return None,
    })
}

fn measured(unit: &UnitFacts, key: &str, phase: Phase) -> bool {
    match Quantity::from_key(key) {
        Some(quantity) => unit.last(quantity, phase).is_some(),
        None => worked(unit, key, phase).is_some(),
    }
}

fn worked(
    unit: &UnitFacts,
    key: &str,
    phase: Phase,
) -> Option<client_core::trade::quantity::Amount> {
    let block = if phase == Phase::AsFound { &unit.found } else { &unit.left };
    block.figures.iter().find(|shown| shown.key == key).map(|shown| shown.amount)
}

/// A value with its unit in full.
fn value(tongue: Tongue, unit: &UnitFacts, key: &str, phase: Phase) -> Option<Text> {
    let full = |digits: String, unit| {
        let words = tongue.unit_in_full(unit);
        Text::words(format!("{digits}{}{words}", crate::tongue::JOINT))
    };
    match Quantity::from_key(key) {
        Some(quantity) => {
            let (_, reading) = unit.last(quantity, phase)?;
            Some(match &reading.value {
                Measured::Figure(figure) => match tongue.digits(*figure) {
                    (digits, Some(unit)) => full(digits, unit),
                    (_, None) => Text::words(tongue.figure(*figure)),
                },
                other => tongue.measured(other),
            })
        }
        None => {
            let amount = worked(unit, key, phase)?;
            Some(full(tongue.amount_digits(amount), tongue.system.unit_for(amount.unit)))
        }
    }
}

fn did(sayer: &Sayer<'_>, unit: &UnitFacts) -> Text {
    let tongue = sayer.tongue;
    let work = unit.work().map(|(_, work)| {
        let kind = Text::words(tongue.word(work.kind));
        match &work.text {
            Some(text) => kind.and(Text::words(tongue.plain("colon"))).and(tongue.quoted(text)),
            None => kind,
        }
    });
    let parts = unit.counted().filter(|told| !told.double).filter_map(|told| match &told.body {
        Body::Part(part) => Some(sayer.part_name(part)),
        _ => None,
    });
    let parts = Text::join(parts, ", ");
    let work = Text::join(work, "; ").capital();
    let parts = match parts.is_empty() {
        true => parts,
        false => tongue.phrase("done-parts").text("parts", parts).said(),
    };
    match (work.is_empty(), parts.is_empty()) {
        (true, true) => Text::words(tongue.plain("done-nothing_done")),
        (false, false) => work.and(Text::words(". ")).and(parts),
        _ => work.and(parts),
    }
}

fn left(tongue: Tongue, unit: &UnitFacts, key: Option<&str>) -> Cell {
    let same = unit.outcome.as_ref().is_some_and(|(own, _)| *own == Outcome::LeftAsFound);
    match key.and_then(|key| value(tongue, unit, key, Phase::AsLeft)) {
        Some(value) => Cell::shaped(Shape::Left, value),
        None if same => Cell::from(tongue.word(Outcome::LeftAsFound)),
        None if unit.tag.is_some() => {
            Cell::shaped(Shape::ShutDown, Text::words(tongue.plain("done-shut_down")))
        }
        None => Cell::shaped(Shape::NotTested, Text::words(tongue.plain("not_tested"))),
    }
}

/// The limit of the headline figure with its source.
fn limit(tongue: Tongue, unit: &UnitFacts, key: Option<&str>) -> Text {
    let judged = key.and_then(|key| judged(unit, key));
    Text::words(match judged.map(|(_, judged)| &judged.judgement) {
        None | Some(Judgement::NoTarget) => tongue.plain("done-no_limit"),
        Some(Judgement::CarbonMonoxide(band)) => tongue.plain(&format!("co_source-{}", band.key)),
        Some(Judgement::Against { limit, from, .. }) => say!(
            tongue,
            "limit-with_source",
            limit = limit_digits(tongue, limit),
            source = tongue.limit_source(from),
        ),
    })
}

/// Units on which nothing was found or done, counted by what was read: nothing missing sounds finished.
fn others_in_words(tongue: Tongue, others: &[&UnitFacts]) -> Text {
    let states: Vec<super::State> = others.iter().map(|unit| super::State::of(unit)).collect();
    let count = |state: super::State| states.iter().filter(|own| **own == state).count();
    let within = count(super::State::Within);
    let unread: Vec<Text> = others
        .iter()
        .filter(|unit| super::State::of(unit) != super::State::Within)
        .map(|unit| Text::name(&unit.no))
        .collect();
    let mut text = Text::default();
    if within > 0 {
        text = text.then(Text::words(say!(tongue, "done-others_within", count = within)));
    }
    if !unread.is_empty() {
        let units = Text::join(unread, ", ");
        text = text.then(tongue.phrase("done-others_not").text("units", units).said());
    }
    text
}
