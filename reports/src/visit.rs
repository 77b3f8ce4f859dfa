//! The supervisor's record of a visit: everything, in the order in which it has to be looked at.

mod signed;
pub(crate) mod two;
pub(crate) mod unit;

use crate::book::{Book, Source};
use crate::customer::State;
use crate::difference::Difference;
use crate::kind::Kind;
use crate::layout::{Block, Cell, Column, Report, Row, Shape, Table};
use crate::saying::{Sayer, shape};
use crate::text::Text;
use crate::tongue::{Tongue, say};
use crate::unit_facts::{Told, UnitFacts};
use crate::visit_head::VisitHead;
use client_core::present::say::Names as _;
use client_core::record::blocker::Blocker;
use client_core::record::body::Body;
use client_core::record::code::{Phase, QuestionState};
use client_core::record::derived::signed::Moved;
use client_core::record::field::{Field, FieldValue, Of};
use client_core::record::id::EntryId;
use client_core::record::merged::Merged;
use client_core::record::read::NoteText;
use client_core::record::value::Day;

pub use signed::SignedCopy;

/// An instrument that was past due on the day of a reading.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Overdue {
    /// The instrument.
    pub instrument: EntryId,
    /// Since when.
    pub since: Day,
    /// Readings taken with it in this visit.
    pub readings: usize,
}

/// The supervisor's record of a visit.
#[derive(Clone, Debug, PartialEq)]
pub struct VisitRecord {
    /// The visit.
    pub head: VisitHead,
    /// Its units, by number; those merged into others too.
    pub units: Vec<UnitFacts>,
    /// Everything that two people said differently, open first.
    pub differences: Vec<Difference>,
    /// What blocks the sign-off; excepted items say so.
    pub blockers: Vec<Blocker>,
    /// Instruments overdue.
    pub overdue: Vec<Overdue>,
    /// Entries of the head: hours, arrivals, queries, replies.
    pub entries: Vec<Told>,
    /// Texts of the head.
    pub notes: Vec<NoteText>,
    /// Copies of figures in the sign-offs.
    pub signed: Vec<SignedCopy>,
    /// What differs now from the last sign-off; none where there is no such.
    pub moved: Option<Vec<Moved>>,
    /// Parts of the head that cannot be read.
    pub problems: Vec<String>,
    /// Names.
    pub book: Book,
}

impl VisitRecord {
    /// Gathers it.
    pub fn of(source: &Source<'_>) -> VisitRecord {
        use client_core::record::mark::Marker;
        let file = source.file;
        let book = Book::of(source);
        let marker = Marker::new(file);
        let units = UnitFacts::all(source, &book);
        let head = &file.head;
        let entries = head.read.entries.iter().filter(|entry| entry.shown());
        VisitRecord {
            overdue: overdue(&units),
            differences: Difference::all(file),
            blockers: file.blockers(),
            entries: entries.map(|entry| Told::of(entry, marker.marks(head, entry))).collect(),
            notes: head.read.texts.clone(),
            signed: signed::copies(file),
            moved: client_core::record::derived::signed::since_last(file).map(|(_, moved)| moved),
            problems: head.read.problems.iter().map(ToString::to_string).collect(),
            head: VisitHead::of(source),
            units,
            book,
        }
    }

    /// The record in a tongue.
    pub fn report(&self, tongue: Tongue) -> Report {
        let sayer = Sayer::new(tongue, &self.book);
        let mut blocks = vec![
            Block::Masthead(self.head.masthead(tongue, &self.book)),
            Block::Lead(crate::customer::lead_sentence(tongue, &self.standing())),
            Block::Paragraph(
                self.head.signatures(tongue, &self.book).capital().and(Text::words(".")),
            ),
        ];
        blocks.extend(self.shut_down(&sayer));
        blocks.extend(self.blocking(&sayer));
        blocks.extend(two::blocks(&sayer, &self.differences));
        blocks.extend(self.outside(&sayer));
        blocks.extend(self.missing(&sayer));
        blocks.extend(self.instruments(&sayer));
        blocks.extend(self.questions(&sayer));
        blocks.extend(signed::blocks(&sayer, self));
        blocks.push(Block::Heading(2, Text::words(tongue.plain("record-units"))));
        for unit in &self.units {
            blocks.extend(unit::blocks(&sayer, unit));
        }
        blocks.extend(self.rest(&sayer));
        blocks.push(Block::Small(Text::words(tongue.plain("authority"))));
        let when = self.head.when(tongue);
        Report {
            kind: Kind::Visit,
            tongue,
            title: say!(tongue, "record-title", when = when),
            blocks,
            foot: self.head.foot(tongue),
        }
    }

    fn standing(&self) -> Vec<UnitFacts> {
        self.units.iter().filter(|unit| unit.stands()).cloned().collect()
    }

    fn shut_down(&self, sayer: &Sayer<'_>) -> Vec<Block> {
        let shut = self.units.iter().filter(|unit| State::of(unit) == State::ShutDown);
        let blocks = shut.map(|unit| {
            Block::Caution(match &unit.tag {
                Some(tag) => unit::tag_text(sayer, unit, tag),
                None => {
                    sayer.tongue.phrase("record-shut_down_no_tag").name("unit", &unit.no).said()
                }
            })
        });
        blocks.collect()
    }

    /// What blocks the sign-off, and what a supervisor let pass.
    fn blocking(&self, sayer: &Sayer<'_>) -> Vec<Block> {
        let tongue = sayer.tongue;
        let mut blocks = vec![Block::Heading(2, Text::words(tongue.plain("record-blocking")))];
        let item = |blocker: &Blocker| {
            let head = Text::name(self.book.unit(blocker.appliance))
                .to_strong()
                .and(Text::words(tongue.plain("colon")))
                .and(Text::words(tongue.blocker(blocker)));
            match &blocker.excepted {
                Some(reason) => {
                    head.then(tongue.phrase("record-excepted").typed("reason", reason).said())
                }
                None => head,
            }
        };
        match self.blockers.is_empty() {
            true => {
                blocks.push(Block::Paragraph(Text::words(tongue.plain("record-nothing_blocks"))));
            }
            false => blocks.push(Block::Items(self.blockers.iter().map(item).collect())),
        }
        blocks
    }

    /// Figures as left that lie outside, or of which the instrument cannot tell.
    fn outside(&self, sayer: &Sayer<'_>) -> Vec<Block> {
        let tongue = sayer.tongue;
        let mut items = vec![];
        for unit in &self.units {
            for judged in &unit.left.verdicts {
                if matches!(shape(judged), Shape::Above | Shape::Below | Shape::TooClose) {
                    let place = Text::name(&unit.no).and(Text::words(tongue.plain("colon")));
                    items.push(place.and(tongue.verdict(judged)).and(Text::words(".")));
                }
            }
        }
        listed(tongue, "record-outside", items, "record-outside_none")
    }

    /// Units that were worked on and not measured as left.
    fn missing(&self, sayer: &Sayer<'_>) -> Vec<Block> {
        let tongue = sayer.tongue;
        let mut items = vec![];
        for unit in self.units.iter().filter(|unit| unit.stands()) {
            let worked = unit.work().next().is_some();
            if worked && !unit.read_in(Phase::AsLeft) {
                items.push(tongue.phrase("record-as_left_missing").name("unit", &unit.no).said());
            } else if !unit.opened() {
                items.push(tongue.phrase("record-not_opened").name("unit", &unit.no).said());
            }
        }
        listed(tongue, "record-missing", items, "record-missing_none")
    }

    fn instruments(&self, sayer: &Sayer<'_>) -> Vec<Block> {
        let tongue = sayer.tongue;
        let item = |overdue: &Overdue| {
            tongue
                .phrase("record-overdue")
                .name("instrument", &self.book.entry_or_short(overdue.instrument))
                .with("since", tongue.day(overdue.since))
                .with("count", overdue.readings)
                .said()
        };
        let items = self.overdue.iter().map(item).collect();
        listed(tongue, "record-instruments", items, "record-instruments_none")
    }

    /// Questions to manufacturers, open and answered.
    fn questions(&self, sayer: &Sayer<'_>) -> Vec<Block> {
        let tongue = sayer.tongue;
        let mut items = vec![];
        for unit in &self.units {
            for told in unit.own.iter().filter(|told| told.counts) {
                let Body::Question(_) = &told.body else { continue };
                let state = question_state(unit, told.id);
                let answers = unit.own.iter().filter(|other| {
                    matches!(&other.body, Body::Answer(answer) if answer.question == told.id)
                });
                let head = Text::name(&unit.no).and(Text::words(tongue.plain("colon")));
                let head = head.and(sayer.body(&told.body));
                let head = head.and(Text::words(format!(" ({})", tongue.word(state))));
                let answers = answers.map(|answer| sayer.body(&answer.body));
                items.push(Text::join(std::iter::once(head).chain(answers), ". "));
            }
        }
        listed(tongue, "record-questions", items, "record-questions_none")
    }

    /// Hours, arrivals, queries, notes, and what cannot be read.
    fn rest(&self, sayer: &Sayer<'_>) -> Vec<Block> {
        let tongue = sayer.tongue;
        let mut blocks = vec![Block::Heading(2, Text::words(tongue.plain("record-rest")))];
        if self.entries.is_empty() {
            blocks.push(Block::Paragraph(Text::words(tongue.plain("none"))));
        } else {
            blocks.push(Block::Table(unit::entries_table(sayer, &self.entries)));
        }
        blocks.extend(unit::notes(sayer, &self.notes));
        let problems: Vec<Text> = self.problems.iter().map(Text::typed).collect();
        if !problems.is_empty() {
            blocks.push(Block::Heading(2, Text::words(tongue.plain("record-problems"))));
            blocks.push(Block::Items(problems));
        }
        blocks
    }
}

/// State of a question of a unit.
pub(crate) fn question_state(unit: &UnitFacts, question: EntryId) -> QuestionState {
    let field = Field::named("question/{}/state").about(Of::Entry(question));
    let merged = unit.registers.iter().find(|(known, _)| *known == field).map(|(_, merged)| merged);
    match merged.and_then(Merged::governs).map(|said| &said.value) {
        Some(FieldValue::Word(code)) => QuestionState::from_code(*code),
        _ => QuestionState::Open,
    }
}

/// A heading with its items, or the word that there are none.
fn listed(tongue: Tongue, heading: &str, items: Vec<Text>, none: &str) -> Vec<Block> {
    let heading = Block::Heading(2, Text::words(tongue.plain(heading)));
    match items.is_empty() {
        true => vec![heading, Block::Paragraph(Text::words(tongue.plain(none)))],
        false => vec![heading, Block::Items(items)],
    }
}

fn overdue(units: &[UnitFacts]) -> Vec<Overdue> {
    use client_core::record::mark::Mark;
    let mut found: Vec<Overdue> = vec![];
    for told in units.iter().flat_map(|unit| &unit.entries) {
        let due = told.marks.iter().find_map(|mark| match mark {
            Mark::InstrumentOverdue(due) => Some(*due),
            _ => None,
        });
        let instrument = told.reading().and_then(|reading| reading.instrument);
        if let (Some(since), Some(instrument)) = (due, instrument) {
            match found.iter_mut().find(|known| known.instrument == instrument) {
                Some(known) => known.readings += 1,
                None => found.push(Overdue { instrument, since, readings: 1 }),
            }
        }
    }
    found
}

/// A small table of two columns: what, and what it says.
pub(crate) fn pairs(caption: Text, head: [String; 2], rows: Vec<(Text, Text)>) -> Block {
    let [one, two] = head;
    Block::Table(Table {
        caption,
        columns: vec![Column::words(one, 34), Column::words(two, 66)],
        rows: rows
            .into_iter()
            .map(|(one, two)| Row(vec![Cell::from(one), Cell::from(two)]))
            .collect(),
        dense: true,
    })
}
