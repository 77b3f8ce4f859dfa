//! Advice and questions that are open, with their age in days.

use client_core::present::say::Names as _;
use client_core::record::body::Body;
use client_core::record::code::QuestionState;
use client_core::record::id::EntryId;
use client_core::record::value::Day;
use serde_json::{Value, json};

use super::table::{Cell, Table};
use crate::unit_facts::{Told, UnitFacts};
use crate::visit::{VisitRecord, question_state};

/// Columns, in their order.
pub const COLUMNS: &[&str] =
    &["id", "site", "unit", "kind", "class", "words", "person", "raised", "due", "age_days"];

/// Something that is open.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Open {
    /// The entry.
    pub id: EntryId,
    /// Site.
    pub site: String,
    /// Unit no.
    pub unit: String,
    /// `advice`, `question`, `shut_down`.
    pub kind: &'static str,
    /// Severity of the advice, state of the question.
    pub class: &'static str,
    /// As typed.
    pub words: String,
    /// Who raised it.
    pub person: String,
    /// When.
    pub raised: Day,
    /// By when.
    pub due: Option<Day>,
    /// Days from then to the day asked for.
    pub age_days: i32,
}

/// What a visit knows as open on a day, the oldest first.
pub fn open(record: &VisitRecord, on: Day) -> Vec<Open> {
    let mut found: Vec<Open> =
        record.units.iter().flat_map(|unit| of_unit(record, unit, on)).collect();
    found.sort_by(|one, other| one.raised.cmp(&other.raised).then(one.id.cmp(&other.id)));
    found
}

fn of_unit(record: &VisitRecord, unit: &UnitFacts, on: Day) -> Vec<Open> {
    let make = |told: &Told, kind, class, words: &str, due| {
        let raised = told.at.day();
        Open {
            id: told.id,
            site: record.head.site.clone().unwrap_or_default(),
            unit: unit.no.clone(),
            kind,
            class,
            words: words.to_owned(),
            person: record.book.person(told.person),
            raised,
            due,
            age_days: on.0.saturating_sub(raised.0),
        }
    };
    let mut found = vec![];
    if let Some(tag) = &unit.tag {
        found.push(make(&tag.told, "shut_down", "in_force", &tag.tag.reason, None));
    }
    for advisory in unit.open_advisories() {
        let class = advisory.severity.key();
        let words = &advisory.advisory.text;
        found.push(make(&advisory.told, "advice", class, words, advisory.due));
    }
    for told in unit.own.iter().filter(|told| told.counts) {
        let Body::Question(question) = &told.body else { continue };
        let state = question_state(unit, told.id);
        if matches!(state, QuestionState::Open | QuestionState::Sent) {
            found.push(make(told, "question", state.key(), &question.asked, None));
        }
    }
    found
}

/// As a table for spreadsheets.
pub fn table(open: &[Open]) -> Table {
    let row = |own: &Open| {
        let text = |text: &str| Cell::Text(text.to_owned());
        vec![
            Cell::Text(own.id.to_string()),
            text(&own.site),
            text(&own.unit),
            text(own.kind),
            text(own.class),
            text(&own.words),
            text(&own.person),
            Cell::Text(own.raised.to_string()),
            own.due.map_or(Cell::Empty, |due| Cell::Text(due.to_string())),
            Cell::Number(own.age_days.to_string()),
        ]
    };
    Table { columns: COLUMNS, rows: open.iter().map(row).collect() }
}

/// As JSON.
pub fn json(open: &[Open], on: Day) -> Value {
    let row = |own: &Open| {
        json!({
            "id": own.id.to_string(),
            "site": own.site,
            "unit": own.unit,
            "kind": own.kind,
            "class": own.class,
            "words": own.words,
            "person": own.person,
            "raised": own.raised.to_string(),
            "due": own.due.map(|due| due.to_string()),
            "age_days": own.age_days,
        })
    };
    json!({
        "format": "dripleg.open/1",
        "on": on.to_string(),
        "open": open.iter().map(row).collect::<Vec<_>>(),
    })
}
