//! A whole visit as JSON: every entry with who, when and whether it counts, every register with all its
//! answers, every difference with both sides, every signature with the figures signed.

use client_core::present::say::Names as _;
use client_core::record::body::Body;
use client_core::record::code::Phase;
use client_core::record::derived::block::{Block, Judgement};
use client_core::record::field::Field;
use client_core::record::merged::Merged;
use client_core::record::read::NoteText;
use client_core::record::value::{Figure, Measured};
use client_core::trade::quantity::Amount;
use client_core::trade::verdict::Verdict;
use serde_json::{Map, Value, json};

use super::line::state;
use crate::difference::{Difference, Side};
use crate::doubt::Doubts;
use crate::saying::{Sayer, side_says};
use crate::tongue::Tongue;
use crate::unit_facts::{Told, UnitFacts};
use crate::visit::{SignedCopy, VisitRecord};

/// A visit as JSON.
pub fn json(record: &VisitRecord, tongue: Tongue) -> Value {
    let sayer = Sayer::new(tongue, &record.book);
    let head = &record.head;
    let people = |list: &[client_core::record::id::PersonId]| {
        list.iter().map(|own| record.book.person(*own)).collect::<Vec<_>>()
    };
    json!({
        "format": "dripleg.visit/1",
        "language": tongue.language.key(),
        "visit": {
            "id": head.visit.to_string(),
            "reference": head.reference,
            "site": head.site,
            "customer": head.customer,
            "kind": head.kind.map(client_core::record::code::VisitKind::key),
            "first_day": head.days.map(|(first, _)| first.to_string()),
            "last_day": head.last_day().map(|last| last.to_string()),
            "crew": people(&head.crew),
            "released": head.released,
        },
        "sign_offs": record.signed.iter().map(|own| signed(&sayer, own)).collect::<Vec<_>>(),
        "blocks_sign_off": record.blockers.iter().map(|own| json!({
            "key": own.key,
            "unit": record.book.unit(own.appliance),
            "excepted": own.excepted,
        })).collect::<Vec<_>>(),
        "differences":
            record.differences.iter().map(|own| difference(&sayer, own)).collect::<Vec<_>>(),
        "entries": record.entries.iter().map(|own| entry(&sayer, own)).collect::<Vec<_>>(),
        "notes": record.notes.iter().map(note).collect::<Vec<_>>(),
        "units": record.units.iter().map(|own| unit(&sayer, own)).collect::<Vec<_>>(),
    })
}

fn figure(figure: Figure) -> Value {
    json!({ "value": figure.digits.to_string(), "unit": figure.unit.key() })
}

fn amount(amount: Amount) -> Value {
    // Six significant digits: more than any instrument here carries, and the same on every machine.
    let rounded: f64 = format!("{:.5e}", amount.value).parse().unwrap_or(amount.value);
    json!({ "value": rounded, "unit": amount.unit.key() })
}

fn entry(sayer: &Sayer<'_>, told: &Told) -> Value {
    let tongue = sayer.tongue;
    let mut own = Map::new();
    let mut put = |key: &str, value: Value| own.insert(key.to_owned(), value);
    put("id", json!(told.id.to_string()));
    put("kind", json!(told.body.kind().root()));
    put("state", json!(state(told)));
    put("person", json!(sayer.book.person(told.person)));
    put("entered_by", json!(told.entered_by.map(|by| sayer.book.person(by))));
    put("at", json!(told.at.to_string()));
    put("withdrawn_by", json!(told.voided_by.map(|id| id.to_string())));
    put("corrected_by", json!(told.corrected_by.map(|id| id.to_string())));
    let marks: Vec<String> = told.marks.iter().map(|mark| tongue.mark(mark)).collect();
    put("remarks", json!(marks));
    put("says", json!(sayer.body(&told.body).joined()));
    if let Body::Reading(reading) = &told.body {
        put(
            "reading",
            json!({
                "quantity": reading.quantity.key(),
                "phase": reading.phase.key(),
                "figure": match &reading.value {
                    Measured::Figure(own) => figure(*own),
                    Measured::OverRange(_) | Measured::NotTaken(_) => Value::Null,
                },
                "over_range": matches!(reading.value, Measured::OverRange(_)),
                "not_taken": match &reading.value {
                    Measured::NotTaken(why) => Some(why),
                    _ => None,
                },
                "instrument": reading.instrument.map(|own| sayer.book.entry_or_short(own)),
            }),
        );
    }
    Value::Object(own)
}

fn note(note: &NoteText) -> Value {
    json!({ "subject": note.subject, "text": note.text, "writers": note.writers.len() })
}

fn register(sayer: &Sayer<'_>, field: &Field, merged: &Merged) -> Value {
    let sides: Vec<Value> = merged
        .sides()
        .iter()
        .map(|said| {
            json!({
                "entry": said.id.to_string(),
                "value": field.key_of(&said.value),
                "says": sayer.value(field, &said.value).joined(),
                "person": sayer.book.person(said.stamp.person()),
                "at": said.stamp.at().to_string(),
                "reason": said.reason,
            })
        })
        .collect();
    json!({
        "key": field.key(),
        "settled": !merged.contested(),
        "value": merged.governs().map(|said| field.key_of(&said.value)),
        "sides": sides,
    })
}

fn unit(sayer: &Sayer<'_>, unit: &UnitFacts) -> Value {
    let blocks = [
        (Phase::AsFound, &unit.found, &unit.found_doubts),
        (Phase::AsLeft, &unit.left, &unit.left_doubts),
    ];
    let registers = unit.registers.iter();
    json!({
        "id": unit.appliance.to_string(),
        "unit_no": unit.no,
        "area": unit.area,
        "status": unit.status.key(),
        "status_settled": unit.status_settled,
        "shut_down": unit.tag.as_ref().map(|tag| tag.told.id.to_string()),
        "merged_into": unit.merged_into.map(|own| own.to_string()),
        "outcome": unit.outcome.as_ref().map(|(outcome, _)| outcome.key()),
        "outcome_reason": unit.outcome.as_ref().and_then(|(_, reason)| reason.clone()),
        "registers":
            registers.map(|(field, own)| register(sayer, field, own)).collect::<Vec<_>>(),
        "derived": blocks.iter().flat_map(|(phase, own, doubts)| derived(*phase, own, doubts)).collect::<Vec<_>>(),
        "verdicts": blocks.iter().flat_map(|(phase, own, _)| verdicts(sayer, *phase, own)).collect::<Vec<_>>(),
        "entries": unit.entries.iter().map(|own| entry(sayer, own)).collect::<Vec<_>>(),
        "own_entries": unit.own.iter().map(|own| entry(sayer, own)).collect::<Vec<_>>(),
        "notes": unit.notes.iter().map(note).collect::<Vec<_>>(),
    })
}

fn derived(phase: Phase, block: &Block, doubts: &Doubts) -> Vec<Value> {
    let one = |shown: &client_core::record::derived::block::Shown| {
        json!({
            "phase": phase.key(),
            "key": shown.key,
            "figure": amount(shown.amount),
            "expanded_uncertainty": doubts.get(shown.key).map(|own| amount(*own)),
            "formula": shown.formula,
        })
    };
    block.figures.iter().map(one).collect()
}

fn verdicts(sayer: &Sayer<'_>, phase: Phase, block: &Block) -> Vec<Value> {
    let tongue = sayer.tongue;
    let one = |judged: &client_core::record::derived::block::Judged| {
        let (verdict, limit, source) = match &judged.judgement {
            Judgement::NoTarget => ("no_target", None, None),
            Judgement::CarbonMonoxide(band) => {
                ("carbon_monoxide", None, Some(tongue.plain(&format!("co_source-{}", band.key))))
            }
            Judgement::Against { verdict, limit, from } => {
                let key = match verdict {
                    Verdict::Within { .. } => "within",
                    Verdict::OutsideBy { .. } => "outside",
                    Verdict::TooCloseToCall { .. } => "cannot_tell",
                    Verdict::NotTested { .. } => "not_tested",
                    Verdict::NoTargetYet { .. } => "no_target",
                };
                let ends = json!({ "low": limit.low.map(amount), "high": limit.high.map(amount) });
                (key, Some(ends), Some(tongue.limit_source(from)))
            }
        };
        json!({
            "phase": phase.key(),
            "key": judged.key,
            "verdict": verdict,
            "limit": limit,
            "source": source,
            "says": tongue.verdict(judged).joined(),
        })
    };
    block.verdicts.iter().map(one).collect()
}

fn difference(sayer: &Sayer<'_>, difference: &Difference) -> Value {
    let side = |side: &Side| {
        json!({
            "entry": side.entry.map(|id| id.to_string()),
            "person": side.person.map(|own| sayer.book.person(own)),
            "at": side.at.map(|at| at.to_string()),
            "says": side_says(sayer, side).joined(),
            "instrument": side.instrument.map(|own| sayer.book.entry_or_short(own)),
            "governs": side.governs,
        })
    };
    json!({
        "key": difference.key,
        "unit": difference.unit.map(|unit| sayer.book.unit(unit)),
        "about": sayer.about(difference).what.joined(),
        "settled": difference.settled.is_some(),
        "ended": sayer.ended(difference).map(|text| text.joined()),
        "sides": difference.sides.iter().map(side).collect::<Vec<_>>(),
    })
}

fn signed(sayer: &Sayer<'_>, copy: &SignedCopy) -> Value {
    let figures = copy.figures.as_ref().map(|figures| {
        figures
            .iter()
            .map(|own| {
                json!({
                    "unit": sayer.book.unit(own.appliance),
                    "phase": own.phase.key(),
                    "key": own.key,
                    "figure": figure(own.figure),
                    "formula": own.formula,
                    "verdict": own.verdict,
                })
            })
            .collect::<Vec<_>>()
    });
    json!({
        "entry": copy.entry.to_string(),
        "person": sayer.book.person(copy.person),
        "role": copy.role.key(),
        "at": copy.at.to_string(),
        "statement": copy.statement,
        "documents": copy.documents,
        "figures": figures,
    })
}
