//! The table of a unit's figures: found, left, limit with its source, verdict. Never one column of readings.

use crate::layout::{Cell, Column, Row, Table};
use crate::saying::Sayer;
use crate::text::Text;
use crate::tongue::Tongue;
use crate::unit_facts::UnitFacts;
use client_core::record::body::Reading;
use client_core::record::code::{Phase, Quantity};
use client_core::record::derived::block::{Block, Judged, Judgement};
use client_core::record::value::Measured;
use client_core::trade::quantity::Amount;
use client_core::trade::verdict::Limit;

/// One figure of a unit, as found and as left.
#[derive(Clone, Debug, PartialEq)]
pub struct FigureLine<'f> {
    /// Its key: a quantity's, or that of a figure that follows from readings.
    pub key: &'static str,
    /// As found.
    pub found: Option<Value<'f>>,
    /// As left.
    pub left: Option<Value<'f>>,
    /// How far the doubt of the instruments reaches, as found and as left.
    pub doubts: [Option<Amount>; 2],
    /// The verdict that counts: as left, else as found.
    pub judged: Option<(Phase, &'f Judged)>,
}

/// A value of a figure.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Value<'f> {
    /// A reading.
    Read(&'f Reading),
    /// Worked out.
    Worked(Amount),
}

/// Figures in the order in which hands move round a unit, pressures first; worked-out figures behind them.
pub fn lines(facts: &UnitFacts) -> Vec<FigureLine<'_>> {
    let mut quantities: Vec<Quantity> = Quantity::ALL.to_vec();
    quantities.sort_by_key(|quantity| (quantity.station(), quantity.code()));
    let mut found = vec![];
    for quantity in quantities {
        let value = |phase| facts.last(quantity, phase).map(|(_, reading)| Value::Read(reading));
        let (as_found, as_left) = (value(Phase::AsFound), value(Phase::AsLeft));
        if as_found.is_some() || as_left.is_some() {
            found.push(line(facts, quantity.key(), as_found, as_left));
        }
    }
    for key in crate::saying::DERIVED {
        let value = |block: &Block| {
            let shown = block.figures.iter().find(|shown| shown.key == *key);
            shown.map(|shown| shown.amount)
        };
        let (as_found, as_left) = (value(&facts.found), value(&facts.left));
        if as_found.is_some() || as_left.is_some() {
            let worked = |own: Option<Amount>| own.map(Value::Worked);
            found.push(line(facts, key, worked(as_found), worked(as_left)));
        }
    }
    found
}

fn line<'f>(
    facts: &'f UnitFacts,
    key: &'static str,
    found: Option<Value<'f>>,
    left: Option<Value<'f>>,
) -> FigureLine<'f> {
    let doubts = [&facts.found_doubts, &facts.left_doubts];
    let doubts = doubts.map(|doubts| doubts.get(key).copied());
    FigureLine { key, found, left, doubts, judged: judged(facts, key) }
}

/// The verdict of a figure that counts: as left where there is one, else as found.
pub fn judged<'f>(facts: &'f UnitFacts, key: &str) -> Option<(Phase, &'f Judged)> {
    let of = |block: &'f Block, phase| {
        let own = block.verdicts.iter().rfind(|judged| judged.key == key);
        own.map(|judged| (phase, judged))
    };
    of(&facts.left, Phase::AsLeft).or_else(|| of(&facts.found, Phase::AsFound))
}

/// The table of a unit's figures.
pub fn table(sayer: &Sayer<'_>, facts: &UnitFacts) -> Option<Table> {
    let tongue = sayer.tongue;
    let lines = lines(facts);
    if lines.is_empty() {
        return None;
    }
    let rows = lines.iter().map(|line| {
        let (limit, source) = limit(tongue, line.judged.map(|(_, judged)| judged));
        let verdict = match line.judged {
            Some((phase, judged)) => {
                let label = tongue.verdict_label(judged);
                let text = match phase {
                    Phase::AsLeft => Text::words(label),
                    _ => Text::words(label)
                        .and(Text::words(format!(" ({})", tongue.plain("figures-as_found")))),
                };
                Cell::shaped(crate::saying::shape(judged), text)
            }
            None => Cell::from(tongue.plain("figures-no_limit")),
        };
        Row(vec![
            Cell::from(name_with_unit(tongue, line)),
            value(tongue, line.found, line.doubts[0]),
            value(tongue, line.left, line.doubts[1]),
            Cell::from(limit),
            Cell::from(source),
            verdict,
        ])
    });
    Some(Table {
        caption: Text::words(tongue.plain("figures-caption")),
        columns: vec![
            Column::words(tongue.plain("column-figure"), 26),
            Column::figures(tongue.plain("column-found"), 14),
            Column::figures(tongue.plain("column-left"), 14),
            Column::figures(tongue.plain("column-limit"), 14),
            Column::words(tongue.plain("column-source"), 18),
            Column::words(tongue.plain("column-verdict"), 14),
        ],
        rows: rows.collect(),
        dense: true,
    })
}

/// The name of a figure with the unit it is shown in.
pub fn name_with_unit(tongue: Tongue, line: &FigureLine<'_>) -> String {
    let name = tongue.figure_name(line.key);
    let unit = [line.left, line.found].into_iter().flatten().find_map(|value| match value {
        Value::Worked(amount) => Some(tongue.unit(tongue.system.unit_for(amount.unit))),
        Value::Read(reading) => match reading.value {
            Measured::Figure(figure) => {
                tongue.shown_unit(figure.unit).map(|unit| tongue.unit(unit))
            }
            Measured::OverRange(unit) => tongue.shown_unit(unit).map(|unit| tongue.unit(unit)),
            Measured::NotTaken(_) => None,
        },
    });
    match unit.filter(|unit| !unit.is_empty()) {
        Some(unit) => format!("{name}, {unit}"),
        None => name,
    }
}

/// A value without its unit, with the doubt of the instruments; what was not read says so.
pub fn value(tongue: Tongue, value: Option<Value<'_>>, doubt: Option<Amount>) -> Cell {
    let with_doubt = |digits: String| {
        Text::words(match doubt {
            Some(doubt) => format!("{digits} \u{b1}{}", tongue.amount_digits(doubt)),
            None => digits,
        })
    };
    Cell::from(match value {
        Some(Value::Worked(amount)) => with_doubt(tongue.amount_digits(amount)),
        Some(Value::Read(reading)) => match &reading.value {
            Measured::Figure(figure) => with_doubt(tongue.digits(*figure).0),
            other => tongue.measured(other),
        },
        None => Text::words(tongue.plain("not_tested")),
    })
}

/// A limit and its source, each in words.
pub fn limit(tongue: Tongue, judged: Option<&Judged>) -> (String, String) {
    let none = || (tongue.plain("limit-none"), tongue.plain("limit-none"));
    match judged.map(|judged| (&judged.judgement, judged.key)) {
        None => none(),
        Some((Judgement::NoTarget, _)) => {
            (tongue.plain("verdict_label-no_target"), tongue.plain("limit-none"))
        }
        Some((Judgement::CarbonMonoxide(band), key)) => {
            let lines = if key == "ambient_co" { "co_lines-room" } else { "co_lines-flue" };
            (tongue.plain(lines), tongue.plain(&format!("co_source-{}", band.key)))
        }
        Some((Judgement::Against { limit, from, .. }, _)) => {
            (limit_digits(tongue, limit), tongue.limit_source(from))
        }
    }
}

/// A limit without its unit.
pub fn limit_digits(tongue: Tongue, limit: &Limit) -> String {
    use crate::tongue::say;
    let digits = |amount| tongue.amount_digits(amount);
    match (limit.low, limit.high) {
        (Some(low), Some(high)) if low == high => digits(low),
        (Some(low), Some(high)) => {
            say!(tongue, "limit-between", low = digits(low), high = digits(high))
        }
        (Some(low), None) => say!(tongue, "limit-at_least", low = digits(low)),
        (None, Some(high)) => say!(tongue, "limit-at_most", high = digits(high)),
        (None, None) => tongue.plain("limit-none"),
    }
}
