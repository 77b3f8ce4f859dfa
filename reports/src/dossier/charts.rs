//! Charts of a unit: readings over its visits beside plate, target and limits, with the instrument's doubt.

use super::{UnitDossier, UnitVisit};
use crate::chart::{Chart, LimitLine, LimitStyle, Point, marks};
use crate::layout::{Block, Cell, Column, Row, Table};
use crate::saying::Sayer;
use crate::text::Text;
use crate::tongue::{JOINT, Tongue, say};
use client_core::record::code::{Phase, Quantity, TargetSource};
use client_core::record::derived::block::{Judgement, LimitFrom};
use client_core::record::file::amount;
use client_core::record::value::Day;
use client_core::trade::quantity::Amount;
use client_core::trade::unit::Unit;

/// Figures of which a chart is drawn when two visits have them.
const CHARTED: &[&str] = &[
    "flame_current",
    "manifold_high",
    "draft_differential",
    "flue_o2",
    "co_air_free",
    "rise",
    "profile_differential",
    "thermocouple_loaded",
];

pub(super) fn blocks(dossier: &UnitDossier, sayer: &Sayer<'_>) -> Vec<Block> {
    let tongue = sayer.tongue;
    let charts: Vec<Block> = CHARTED
        .iter()
        .filter_map(|key| chart(dossier, tongue, key))
        .map(|chart| Block::Chart(Box::new(chart)))
        .collect();
    let heading = Block::Heading(2, Text::words(tongue.plain("dossier-charts")));
    match charts.is_empty() {
        true => vec![heading, Block::Paragraph(Text::words(tongue.plain("dossier-charts_none")))],
        false => std::iter::once(heading).chain(charts).collect(),
    }
}

/// A value in the tongue's units with the doubt of its instrument.
struct Read {
    visit: usize,
    value: f64,
    unit: Unit,
    half: Option<f64>,
    left: bool,
}

fn chart(dossier: &UnitDossier, tongue: Tongue, key: &str) -> Option<Chart> {
    let reads: Vec<Read> = dossier
        .visits
        .iter()
        .enumerate()
        .flat_map(|(at, visit)| {
            let one = move |left| read(tongue, visit, at, key, left);
            [one(false), one(true)].into_iter().flatten()
        })
        .collect();
    let mut visits: Vec<usize> = reads.iter().map(|read| read.visit).collect();
    visits.dedup();
    if visits.len() < 2 {
        return None;
    }
    let unit = reads.first()?.unit;
    let axis = Axis::of(dossier, &visits);
    let points: Vec<Point> = reads
        .iter()
        .map(|read| Point {
            // Found stands a little before left, so that neither covers the other.
            x: axis.place(read.visit) + if read.left { axis.step } else { -axis.step },
            y: read.value,
            half: read.half,
            left: read.left,
            label: tongue.amount_digits(Amount::new(read.value, read.unit)),
        })
        .collect();
    let limits = limits(dossier, tongue, key, unit, &axis);
    let y_range = y_range(&points, &limits);
    let name = tongue.figure_name(key);
    let title = match tongue.unit(unit) {
        symbol if symbol.is_empty() => name.clone(),
        symbol => format!("{name}, {symbol}"),
    };
    let title = Text::words(say!(tongue, "chart-title", figure = title, along = axis.name(tongue)));
    let x_marks: Vec<(f64, String)> =
        visits.iter().map(|at| (axis.place(*at), axis.label(tongue, dossier, *at))).collect();
    Some(Chart {
        title: title.capital(),
        table: table(tongue, &visits, &x_marks, &reads),
        sentence: sentence(tongue, &name, &points, &limits),
        found: Text::words(tongue.plain("chart-found")),
        left: Text::words(tongue.plain("chart-left")),
        caps: Text::words(tongue.plain("chart-caps")),
        losses: losses(&reads),
        x_marks,
        y_marks: marks(y_range.0, y_range.1)
            .into_iter()
            .map(|value| (value, tongue.number(value, places(y_range))))
            .collect(),
        x_range: axis.range(),
        y_range,
        points,
        limits,
    })
}

fn read(tongue: Tongue, visit: &UnitVisit, at: usize, key: &str, left: bool) -> Option<Read> {
    let facts = &visit.facts;
    let (phase, block) =
        if left { (Phase::AsLeft, &facts.left) } else { (Phase::AsFound, &facts.found) };
    let amount = match Quantity::from_key(key) {
        Some(quantity) => amount(facts.last(quantity, phase)?.1.value.figure()?)?,
        None => block.figures.iter().find(|shown| shown.key == key)?.amount,
    };
    let unit = tongue.system.unit_for(amount.unit);
    let own = amount.to(unit)?;
    let doubts = if left { &facts.left_doubts } else { &facts.found_doubts };
    let half = doubts.get(key).and_then(|doubt| doubt.to(tongue.system.unit_for(doubt.unit)));
    let half = half.map(|half| half.value);
    own.value.is_finite().then_some(Read { visit: at, value: own.value, unit, half, left })
}

/// The points as a table: a row a visit, found and left beside each other, with the instrument's doubt.
fn table(tongue: Tongue, visits: &[usize], x_marks: &[(f64, String)], reads: &[Read]) -> Table {
    let cell = |visit: usize, left: bool| {
        let read = reads.iter().find(|read| read.visit == visit && read.left == left);
        Cell::from(match read {
            None => tongue.plain("not_tested"),
            Some(read) => {
                let value = tongue.amount_digits(Amount::new(read.value, read.unit));
                match read.half {
                    Some(half) => {
                        let half = tongue.amount_digits(Amount::new(half, read.unit));
                        format!("{value} \u{b1}{JOINT}{half}")
                    }
                    None => value,
                }
            }
        })
    };
    let rows = visits.iter().zip(x_marks).map(|(visit, (_, mark))| {
        Row(vec![Cell::from(mark.clone()), cell(*visit, false), cell(*visit, true)])
    });
    Table {
        caption: Text::words(tongue.plain("chart-table")),
        columns: vec![
            Column::words(tongue.plain("column-visit"), 40),
            Column::figures(tongue.plain("column-found"), 30),
            Column::figures(tongue.plain("column-left"), 30),
        ],
        rows: rows.collect(),
        dense: true,
    }
}

/// From what was left at a visit to what was found at the next.
fn losses(reads: &[Read]) -> Vec<(usize, usize)> {
    let pairs = reads.windows(2).enumerate();
    pairs
        .filter(|(_, pair)| pair[0].left && !pair[1].left && pair[0].visit < pair[1].visit)
        .map(|(at, _)| (at, at + 1))
        .collect()
}

/// The horizontal axis: firing hours where every visit has them, else days.
struct Axis {
    places: Vec<Option<f64>>,
    hours: bool,
    step: f64,
    low: f64,
    high: f64,
}

impl Axis {
    fn of(dossier: &UnitDossier, visits: &[usize]) -> Axis {
        let hours = |visit: &UnitVisit| {
            let phases = [Phase::Spot, Phase::AsFound, Phase::AsLeft];
            phases.into_iter().find_map(|phase| {
                let (_, reading) = visit.facts.last(Quantity::BurnerHours, phase)?;
                amount(reading.value.figure()?)?.to(Unit::H).map(|own| own.value)
            })
        };
        let first = dossier.visits.first().and_then(|visit| visit.head.days).map(|(day, _)| day);
        let days = |visit: &UnitVisit| {
            let (day, _) = visit.head.days?;
            first.map(|first| f64::from(day.0 - first.0))
        };
        let by_hours: Vec<Option<f64>> = dossier.visits.iter().map(hours).collect();
        let all = visits.iter().all(|at| by_hours[*at].is_some());
        let rising = {
            let mut known = visits.iter().filter_map(|at| by_hours[*at]);
            let mut last = known.next();
            known.all(|own| {
                let rises = last.is_none_or(|before| own > before);
                last = Some(own);
                rises
            })
        };
        let places = match all && rising {
            true => by_hours,
            false => dossier.visits.iter().map(days).collect(),
        };
        let known = visits.iter().filter_map(|at| places[*at]);
        let (low, high) = known.fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), own| {
            (low.min(own), high.max(own))
        });
        let span = (high - low).max(1.0);
        Axis {
            places,
            hours: all && rising,
            step: span * 0.008,
            low: low - span * 0.12,
            high: high + span * 0.12,
        }
    }

    fn place(&self, visit: usize) -> f64 {
        self.places.get(visit).copied().flatten().unwrap_or(self.low)
    }

    const fn range(&self) -> (f64, f64) {
        (self.low, self.high)
    }

    fn name(&self, tongue: Tongue) -> String {
        tongue.plain(if self.hours { "chart-by_hours" } else { "chart-by_days" })
    }

    fn label(&self, tongue: Tongue, dossier: &UnitDossier, visit: usize) -> String {
        let day = dossier.visits[visit].head.days.map(|(day, _)| tongue.month(day));
        let day = day.unwrap_or_else(|| tongue.plain("visit-no_day"));
        match self.hours {
            true => {
                let hours = tongue.number(self.place(visit), 0);
                say!(tongue, "chart-mark_hours", day = day, hours = hours)
            }
            false => day,
        }
    }

    /// Where a day lies, between the visits before and after it.
    fn at_day(&self, dossier: &UnitDossier, day: Day) -> Option<f64> {
        let known: Vec<(i32, f64)> = dossier
            .visits
            .iter()
            .zip(&self.places)
            .filter_map(|(visit, place)| Some((visit.head.days?.0.0, (*place)?)))
            .collect();
        let (first, _) = known.first()?;
        if day.0 <= *first {
            return None;
        }
        known.windows(2).find(|pair| day.0 <= pair[1].0).map(|pair| {
            let share = f64::from(day.0 - pair[0].0) / f64::from((pair[1].0 - pair[0].0).max(1));
            pair[0].1 + share * (pair[1].1 - pair[0].1)
        })
    }
}

/// Limits of the newest visit that has one: where they come from decides how they are drawn.
fn limits(
    dossier: &UnitDossier,
    tongue: Tongue,
    key: &str,
    unit: Unit,
    axis: &Axis,
) -> Vec<LimitLine> {
    let newest = dossier.visits.iter().rev().find_map(|visit| {
        let blocks = [&visit.facts.left, &visit.facts.found];
        let mut verdicts = blocks.into_iter().flat_map(|block| &block.verdicts);
        verdicts.find(|judged| judged.key == key)
    });
    let Some(judged) = newest else { return vec![] };
    match &judged.judgement {
        Judgement::NoTarget => vec![],
        Judgement::CarbonMonoxide(_) => {
            let line = |at: f64, label: &str, style| LimitLine {
                low: None,
                high: Some(at),
                from_x: None,
                label: tongue.plain(label),
                style,
            };
            vec![
                line(100.0, "chart-co_100", LimitStyle::Dotted),
                line(400.0, "chart-co_400", LimitStyle::Dashed),
            ]
        }
        Judgement::Against { limit, from, .. } => {
            let end =
                |amount: Option<Amount>| amount.and_then(|own| own.to(unit)).map(|own| own.value);
            let (style, day) = match from {
                LimitFrom::Target(TargetSource::Firm | TargetSource::Baseline, day) => {
                    (LimitStyle::Dotted, *day)
                }
                LimitFrom::Target(TargetSource::Plate, day) => (LimitStyle::Dashed, *day),
                LimitFrom::Target(_, day) => (LimitStyle::Filled, *day),
                _ => (LimitStyle::Dashed, None),
            };
            vec![LimitLine {
                low: end(limit.low),
                high: end(limit.high),
                from_x: day.and_then(|day| axis.at_day(dossier, day)),
                label: tongue.limit_with_source(limit, from),
                style,
            }]
        }
    }
}

fn y_range(points: &[Point], limits: &[LimitLine]) -> (f64, f64) {
    let of_points = points.iter().flat_map(|point| {
        let half = point.half.unwrap_or(0.0);
        [point.y - half, point.y + half]
    });
    let of_limits = limits.iter().flat_map(|limit| [limit.low, limit.high]).flatten();
    let (low, high) = of_points
        .chain(of_limits)
        .fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), own| (low.min(own), high.max(own)));
    let pad = ((high - low) * 0.12).max(high.abs() * 0.01).max(1e-6);
    (low - pad, high + pad)
}

fn places((low, high): (f64, f64)) -> u8 {
    match high - low {
        span if span < 0.5 => 2,
        span if span < 5.0 => 1,
        _ => 0,
    }
}

/// The chart in a sentence: every value as found and as left, and the limits.
fn sentence(tongue: Tongue, name: &str, points: &[Point], limits: &[LimitLine]) -> Text {
    let list = |left: bool| {
        let own = points.iter().filter(|point| point.left == left).map(|point| point.label.clone());
        let own: Vec<String> = own.collect();
        if own.is_empty() { tongue.plain("not_tested") } else { own.join("; ") }
    };
    let limits: Vec<String> = limits.iter().map(|limit| limit.label.clone()).collect();
    let limits = match limits.is_empty() {
        true => tongue.plain("chart-no_limit"),
        false => limits.join("; "),
    };
    let words = say!(
        tongue,
        "chart-sentence",
        figure = name.to_owned(),
        found = list(false),
        left = list(true),
        limits = limits,
    );
    Text::words(words).capital()
}
