//! What the customer has to decide or must know: shut-downs first, then advisories by severity and date.

use super::CustomerPage;
use crate::layout::{Block, Cell, Column, Row, Shape, Table};
use crate::saying::Sayer;
use crate::text::Text;
use crate::tongue::{Tongue, say};
use crate::unit_facts::{AdvisoryFacts, TagFacts, UnitFacts};
use client_core::record::body::Body;
use client_core::record::code::AdvisorySeverity;
use client_core::record::value::Day;

pub(super) fn blocks(page: &CustomerPage, tongue: Tongue) -> Vec<Block> {
    let sayer = Sayer::new(tongue, &page.book);
    let mut blocks = vec![];
    let tagged: Vec<(&UnitFacts, &TagFacts)> = page
        .units
        .iter()
        .filter(|unit| super::State::of(unit) == super::State::ShutDown)
        .filter_map(|unit| Some((unit, unit.tag.as_ref()?)))
        .collect();
    for (unit, tag) in &tagged {
        blocks.push(Block::Caution(shut_down(&sayer, page, unit, tag)));
    }
    blocks.push(Block::Heading(2, Text::words(tongue.plain("customer-decide"))));
    let mut open: Vec<(&UnitFacts, &AdvisoryFacts)> = page
        .units
        .iter()
        .flat_map(|unit| unit.open_advisories().map(move |advisory| (unit, advisory)))
        .collect();
    open.sort_by_key(|(unit, advisory)| {
        let careful = u16::MAX - advisory.severity.code();
        (careful, advisory.due.unwrap_or(Day(i32::MAX)), unit.no.clone())
    });
    if open.is_empty() {
        blocks.push(Block::Paragraph(Text::words(tongue.plain("decide-none"))));
        return blocks;
    }
    let rows = open.iter().enumerate();
    let rows = rows.map(|(at, (unit, advisory))| row(&sayer, page, at + 1, unit, advisory));
    blocks.push(Block::Table(Table {
        caption: Text::words(tongue.plain("decide-caption")),
        columns: vec![
            Column::words(tongue.plain("column-number"), 4),
            Column::words(tongue.plain("column-what_and_why"), 48),
            Column::words(tongue.plain("column-by_when"), 19),
            Column::words(tongue.plain("column-if_not"), 18),
            Column::words(tongue.plain("column-photo"), 11),
        ],
        rows: rows.collect(),
        dense: false,
    }));
    blocks
}

/// "UH-08, Battery bay": the unit and where it hangs.
pub(super) fn place(unit: &UnitFacts) -> Text {
    let no = Text::name(&unit.no);
    match &unit.area {
        Some(area) => no.and(Text::words(", ")).and(Text::name(area)),
        None => no,
    }
}

fn shut_down(sayer: &Sayer<'_>, page: &CustomerPage, unit: &UnitFacts, tag: &TagFacts) -> Text {
    use client_core::present::say::Names as _;
    let tongue = sayer.tongue;
    let head = tongue.phrase("decide-shut_down").text("unit", place(unit)).said();
    let by = tongue
        .phrase("decide-tagged_by")
        .name("person", &page.book.person(tag.told.person))
        .with("at", tongue.moment(tag.told.at))
        .said();
    head.to_strong()
        .then(by)
        .then(sayer.tag(&tag.tag).and(Text::words(".")))
        .then(Text::words(tongue.plain("who-shut_down")))
}

fn row(
    sayer: &Sayer<'_>,
    page: &CustomerPage,
    number: usize,
    unit: &UnitFacts,
    advisory: &AdvisoryFacts,
) -> Row {
    let tongue = sayer.tongue;
    let what = place(unit)
        .to_strong()
        .and(Text::words(". "))
        .and(tongue.quoted(&advisory.advisory.text))
        .then(answer(sayer, advisory));
    Row(vec![
        Cell::from(tongue.count(number)),
        Cell::from(what),
        Cell::from(by_when(tongue, page, advisory)),
        Cell::from(Text::words(tongue.plain(if_not(advisory.severity)))),
        photos(tongue, unit),
    ])
}

/// What the customer answered so far.
fn answer(sayer: &Sayer<'_>, advisory: &AdvisoryFacts) -> Text {
    let tongue = sayer.tongue;
    match advisory.acks.last() {
        None => Text::words(tongue.plain("decide-nobody_told")),
        Some((_, ack)) => sayer.ack(ack).capital().and(Text::words(".")),
    }
}

fn by_when(tongue: Tongue, page: &CustomerPage, advisory: &AdvisoryFacts) -> Text {
    let due = match (advisory.due, page.head.last_day()) {
        (None, _) => Text::words(tongue.plain("decide-no_date")),
        (Some(due), Some(last)) if due <= last => {
            Text::words(say!(tongue, "decide-was_due", day = tongue.day(due)))
        }
        (Some(due), _) => Text::words(tongue.day(due)),
    };
    due.to_strong().and(Text::words(". ")).and(Text::words(tongue.plain(who(advisory.severity))))
}

/// Who decides, by the class of the advisory.
const fn who(severity: AdvisorySeverity) -> &'static str {
    match severity {
        AdvisorySeverity::Note => "who-note",
        AdvisorySeverity::Advise => "who-advise",
        AdvisorySeverity::Urgent => "who-urgent",
        AdvisorySeverity::ShutDown | AdvisorySeverity::Newer(_) => "who-shut_down",
    }
}

const fn if_not(severity: AdvisorySeverity) -> &'static str {
    match severity {
        AdvisorySeverity::Note => "if_not-note",
        AdvisorySeverity::Advise => "if_not-advise",
        AdvisorySeverity::Urgent => "if_not-urgent",
        AdvisorySeverity::ShutDown | AdvisorySeverity::Newer(_) => "if_not-shut_down",
    }
}

fn photos(tongue: Tongue, unit: &UnitFacts) -> Cell {
    let photos = unit.counted().filter_map(|told| match &told.body {
        Body::Photo(photo) => Some(tongue.quoted(&photo.subject)),
        _ => None,
    });
    let photos: Vec<Text> = photos.collect();
    match photos.is_empty() {
        true => Cell::shaped(Shape::NotTested, Text::words(tongue.plain("decide-no_photo"))),
        false => Cell::from(Text::join(photos, ", ")),
    }
}
