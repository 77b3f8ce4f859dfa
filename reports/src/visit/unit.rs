//! One unit in a record: state, figures, what they say, findings and work, checks, and every entry.

use crate::figures;
use crate::layout::{Block, Cell, Column, Row, Shape, Table};
use crate::saying::{Sayer, shape};
use crate::text::Text;
use crate::tongue::say;
use crate::unit_facts::{TagFacts, Told, UnitFacts};
use client_core::present::say::{Names as _, short};
use client_core::record::body::Body;
use client_core::record::code::{CheckResult, Phase, Status};
use client_core::record::read::NoteText;

/// Everything about a unit in a visit.
pub(crate) fn blocks(sayer: &Sayer<'_>, unit: &UnitFacts) -> Vec<Block> {
    let tongue = sayer.tongue;
    let head = match &unit.area {
        Some(area) => Text::name(&unit.no).and(Text::words(", ")).and(Text::name(area)),
        None => Text::name(&unit.no),
    };
    let mut blocks = vec![Block::Heading(3, head), Block::Paragraph(state(sayer, unit))];
    if let Some(table) = figures::table(sayer, unit) {
        blocks.push(Block::Table(table));
        let said = sentences(sayer, unit);
        if !said.is_empty() {
            blocks.push(Block::Items(said));
        }
    } else {
        blocks.push(Block::Paragraph(Text::words(tongue.plain("unit-no_figures"))));
    }
    let done = done(sayer, unit);
    if !done.is_empty() {
        blocks.push(Block::Items(done));
    }
    if let Some(table) = checks(sayer, unit) {
        blocks.push(Block::Table(table));
    }
    blocks.extend(notes(sayer, &unit.notes));
    if !unit.entries.is_empty() {
        blocks.push(Block::Table(entries_table(sayer, &unit.entries)));
    }
    let repointed = unit.repointed.iter().map(|(from, told)| {
        tongue
            .phrase("unit-repointed")
            .name("from", &sayer.book.unit(*from))
            .text("says", sayer.body(&told.body))
            .said()
    });
    let repointed: Vec<Text> = repointed.collect();
    if !repointed.is_empty() {
        blocks.push(Block::Items(repointed));
    }
    if !unit.problems.is_empty() {
        blocks.push(Block::Items(unit.problems.iter().map(Text::typed).collect()));
    }
    blocks
}

/// The shape of a status.
pub(crate) const fn status_shape(status: Status) -> Shape {
    match status {
        Status::InService => Shape::InService,
        Status::InServicePartAwaited => Shape::PartAwaited,
        Status::Watch => Shape::Watch,
        Status::ShutDownTagged => Shape::ShutDown,
        Status::Removed => Shape::Removed,
        Status::ControlLockedOut | Status::Unknown | Status::Newer(_) => Shape::Unknown,
    }
}

fn state(sayer: &Sayer<'_>, unit: &UnitFacts) -> Text {
    let tongue = sayer.tongue;
    if let Some(other) = unit.merged_into {
        return tongue.phrase("unit-merged").name("unit", &sayer.book.unit(other)).said();
    }
    let mut parts =
        vec![Text::words(say!(tongue, "unit-status", status = tongue.word(unit.status)))];
    if !unit.status_settled {
        parts.push(Text::words(tongue.plain("unit-status_open")));
    }
    parts.push(match &unit.outcome {
        Some((outcome, reason)) => {
            let head = Text::words(say!(tongue, "unit-outcome", outcome = tongue.word(*outcome)));
            match reason {
                Some(reason) => {
                    head.and(Text::words(tongue.plain("colon"))).and(tongue.quoted(reason))
                }
                None => head,
            }
        }
        None => Text::words(tongue.plain("unit-no_outcome")),
    });
    parts.push(Text::words(match unit.supplied {
        Some(gas) => say!(tongue, "unit-gas", gas = tongue.word(gas)),
        None => tongue.plain("unit-gas_open"),
    }));
    Text::join(parts, "; ").capital().and(Text::words("."))
}

/// A shut-down record in words, with who may release.
pub(crate) fn tag_text(sayer: &Sayer<'_>, unit: &UnitFacts, tag: &TagFacts) -> Text {
    let tongue = sayer.tongue;
    let head = tongue.phrase("record-shut_down").name("unit", &unit.no).said().to_strong();
    let by = tongue
        .phrase("decide-tagged_by")
        .name("person", &sayer.book.person(tag.told.person))
        .with("at", tongue.moment(tag.told.at))
        .said();
    let locks = tag.locks.iter().map(|lock| sayer.body(&lock.body));
    let locks = Text::join(locks, "; ");
    let mut text = head.then(by).then(sayer.tag(&tag.tag).and(Text::words(".")));
    if !locks.is_empty() {
        text = text.then(locks.capital().and(Text::words(".")));
    }
    text.then(Text::words(tongue.plain("who-shut_down")))
}

/// Verdicts in sentences, as found and as left, and what cannot be worked out.
fn sentences(sayer: &Sayer<'_>, unit: &UnitFacts) -> Vec<Text> {
    let tongue = sayer.tongue;
    let mut said = vec![];
    for (block, phase) in [(&unit.found, Phase::AsFound), (&unit.left, Phase::AsLeft)] {
        let head = Text::words(tongue.word(phase)).capital().to_strong();
        let head = head.and(Text::words(tongue.plain("colon")));
        for judged in &block.verdicts {
            if !matches!(shape(judged), Shape::Within) {
                said.push(head.clone().and(tongue.verdict(judged)).and(Text::words(".")));
            }
        }
        for gap in &block.gaps {
            said.push(head.clone().and(tongue.gap(gap)).and(Text::words(".")));
        }
    }
    said
}

/// Findings, work, adjustments, parts, gas parts, photos, advisories, locks: what was seen and done.
fn done(sayer: &Sayer<'_>, unit: &UnitFacts) -> Vec<Text> {
    let tongue = sayer.tongue;
    let mut items = vec![];
    let mut add = |key: &'static str, told: &Told| {
        let person = sayer.book.person(told.person);
        let mut text =
            tongue.phrase(key).text("says", sayer.body(&told.body)).name("person", &person).said();
        if told.double {
            text = text.then(Text::words(tongue.plain("unit-double")));
        }
        items.push(text);
    };
    for told in unit.counted() {
        match &told.body {
            Body::Symptom(_) => add("unit-symptom", told),
            Body::Tested(_) => add("unit-tested", told),
            Body::Finding(_) => add("unit-finding", told),
            Body::Work(_) | Body::Adjustment(_) => add("unit-work", told),
            Body::Part(_) => add("unit-part", told),
            Body::GasPart(_) => add("unit-gas_part", told),
            Body::Photo(_) => add("unit-photo", told),
            _ => {}
        }
    }
    for advisory in &unit.advisories {
        add("unit-advisory", &advisory.told);
        for (told, _) in &advisory.acks {
            add("unit-ack", told);
        }
        if let Some(closing) = &advisory.closing {
            add("unit-closing", closing);
        }
    }
    items
}

/// Checks with the answer of each person.
fn checks(sayer: &Sayer<'_>, unit: &UnitFacts) -> Option<Table> {
    let tongue = sayer.tongue;
    let rows: Vec<Row> = unit
        .checks
        .iter()
        .map(|(item, governs)| {
            let answers = unit.counted().filter_map(|told| match &told.body {
                Body::Check(check) if check.item == *item => Some(
                    tongue
                        .phrase("check-answer")
                        .name("person", &sayer.book.person(told.person))
                        .with("result", tongue.word(check.result))
                        .with("at", tongue.moment(told.at))
                        .said(),
                ),
                _ => None,
            });
            let cell = match governs {
                CheckResult::NotDone => {
                    Cell::shaped(Shape::NotTested, Text::words(tongue.word(*governs)))
                }
                governs => Cell::from(tongue.word(*governs)),
            };
            Row(vec![Cell::from(tongue.word(*item)), cell, Cell::from(Text::join(answers, "; "))])
        })
        .collect();
    if rows.is_empty() {
        return None;
    }
    Some(Table {
        caption: Text::words(tongue.plain("checks-caption")),
        columns: vec![
            Column::words(tongue.plain("column-check"), 32),
            Column::words(tongue.plain("column-governs"), 16),
            Column::words(tongue.plain("column-answers"), 52),
        ],
        rows,
        dense: true,
    })
}

/// Every entry, counted or not, in the order in which it became known.
pub(crate) fn entries_table(sayer: &Sayer<'_>, entries: &[Told]) -> Table {
    let tongue = sayer.tongue;
    let row = |told: &Told| {
        let with = match told.reading().and_then(|reading| reading.instrument) {
            Some(instrument) => Text::name(sayer.book.entry_or_short(instrument)),
            None => Text::words(tongue.plain("dash")),
        };
        Row(vec![
            Cell::from(tongue.moment(told.at)),
            Cell::from(Text::name(sayer.book.person(told.person))),
            Cell::from(sayer.body(&told.body)),
            Cell::from(with),
            Cell::from(remarks(sayer, told)),
        ])
    };
    Table {
        caption: Text::words(tongue.plain("entries-caption")),
        columns: vec![
            Column::words(tongue.plain("column-when"), 17),
            Column::words(tongue.plain("column-who"), 15),
            Column::words(tongue.plain("column-says"), 40),
            Column::words(tongue.plain("column-with"), 10),
            Column::words(tongue.plain("column-remarks"), 18),
        ],
        rows: entries.iter().map(row).collect(),
        dense: true,
    }
}

fn remarks(sayer: &Sayer<'_>, told: &Told) -> Text {
    let tongue = sayer.tongue;
    let mut parts: Vec<Text> = vec![];
    if let Some(by) = told.corrected_by {
        parts.push(Text::words(say!(tongue, "remark-corrected", entry = short(by))));
    }
    if let Some(by) = told.voided_by {
        parts.push(Text::words(say!(tongue, "remark-withdrawn", entry = short(by))));
    }
    if told.double {
        parts.push(Text::words(tongue.plain("unit-double")));
    }
    if let Some(by) = told.entered_by {
        parts
            .push(tongue.phrase("remark-entered_by").name("person", &sayer.book.person(by)).said());
    }
    parts.extend(told.marks.iter().map(|mark| Text::words(tongue.mark(mark))));
    parts.push(Text::name(short(told.id)));
    Text::join(parts, ", ")
}

/// Texts that people write together.
pub(crate) fn notes(sayer: &Sayer<'_>, notes: &[NoteText]) -> Vec<Block> {
    let tongue = sayer.tongue;
    let text = |note: &NoteText| {
        let writers = note.writers.len();
        let head = tongue.phrase("unit-note").typed("subject", &note.subject).said();
        let head = head.and(Text::words(tongue.plain("colon"))).and(tongue.quoted(&note.text));
        match writers > 1 {
            true => head.then(Text::words(say!(tongue, "unit-note_writers", count = writers))),
            false => head,
        }
    };
    match notes.is_empty() {
        true => vec![],
        false => vec![Block::Items(notes.iter().map(text).collect())],
    }
}
