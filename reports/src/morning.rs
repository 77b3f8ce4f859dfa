//! The plan of a day: who goes where first and why, what was left last time, what to carry, whom to call.

use std::collections::BTreeMap;

use crate::book::{Book, Source};
use crate::kind::Kind;
use crate::layout::{Block, Cell, Column, Report, Row, Table};
use crate::restock::{CarryLine, carry_blocks};
use crate::saying::Sayer;
use crate::text::Text;
use crate::tongue::{Tongue, say};
use crate::visit::unit;
use crate::visit_head::VisitHead;
use client_core::pattern::morning::{Line, Rank};
use client_core::pattern::van::Carry;
use client_core::present::say::Names as _;
use client_core::record::code::{AdvisorySeverity, Outcome, Status};
use client_core::record::field::{Field, FieldValue, Of};
use client_core::record::id::{ApplianceId, PersonId};
use client_core::record::merged::Merged;
use client_core::record::read::NoteText;
use client_core::record::row::{AdvisoryRow, SheetRow, UnitRow};

/// What the plan is gathered from beside the planned visit.
#[derive(Clone, Copy, Debug)]
pub struct Plan<'a> {
    /// Units of the site.
    pub units: &'a [(ApplianceId, UnitRow)],
    /// The last sheet of each unit.
    pub last: &'a BTreeMap<ApplianceId, SheetRow>,
    /// The order that [`client_core::pattern::morning::order`] proposes, or empty.
    pub order: &'a [Line<'a>],
    /// What [`client_core::pattern::van::carry`] found, or empty.
    pub carry: &'a [Carry<'a>],
}

/// A unit of the plan.
#[derive(Clone, Debug, PartialEq)]
pub struct PlannedUnit {
    /// Its number.
    pub no: String,
    /// Its area.
    pub area: Option<String>,
    /// Its status.
    pub status: Status,
    /// Whether a shut-down record is in force.
    pub tagged: bool,
    /// Open advisories.
    pub advisories: Vec<AdvisoryRow>,
    /// Questions without an answer.
    pub questions: usize,
    /// Registers with two answers.
    pub contested: usize,
    /// To whom it is assigned.
    pub person: Option<PersonId>,
    /// Its place in the walk, where one was set.
    pub walk: Option<f64>,
    /// Why it stands where it stands; none where no order was worked out.
    pub rank: Option<Rank>,
    /// The last visit to it.
    pub last: Option<SheetRow>,
}

/// The plan of a day.
#[derive(Clone, Debug, PartialEq)]
pub struct MorningSheet {
    /// The planned visit.
    pub head: VisitHead,
    /// Its units in the order of the walk.
    pub units: Vec<PlannedUnit>,
    /// Access, hazards and other texts of the site.
    pub notes: Vec<NoteText>,
    /// Muster point and emergency numbers: every answer.
    pub emergency: Vec<(Field, Merged)>,
    /// Parts worth carrying.
    pub carry: Vec<CarryLine>,
    /// Names.
    pub book: Book,
}

impl MorningSheet {
    /// Gathers it.
    pub fn of(source: &Source<'_>, plan: &Plan<'_>) -> MorningSheet {
        let book = Book::of(source);
        let emergency = source.file.site.map(|site| {
            let keys = ["site/muster", "site/emergency"].into_iter().map(Field::named);
            keys.filter_map(|field| Some((field, site.field(&field)?.clone()))).collect()
        });
        let mut units: Vec<PlannedUnit> = plan
            .units
            .iter()
            .filter_map(|(id, row)| planned(source, plan, &book, *id, row))
            .collect();
        let place = |unit: &PlannedUnit| {
            plan.order.iter().position(|line| line.unit == unit.no).unwrap_or(usize::MAX)
        };
        units.sort_by(|one, other| {
            let walk = |unit: &PlannedUnit| unit.walk.unwrap_or(f64::INFINITY);
            let by_walk = walk(one).total_cmp(&walk(other));
            by_walk.then(place(one).cmp(&place(other))).then(one.no.cmp(&other.no))
        });
        MorningSheet {
            head: VisitHead::of(source),
            units,
            notes: source.file.site.map(|site| site.texts.clone()).unwrap_or_default(),
            emergency: emergency.unwrap_or_default(),
            carry: plan.carry.iter().map(CarryLine::from).collect(),
            book,
        }
    }

    /// The sheet in a tongue.
    pub fn report(&self, tongue: Tongue) -> Report {
        let sayer = Sayer::new(tongue, &self.book);
        let mut masthead = self.head.masthead(tongue, &self.book);
        masthead.what = Text::words(say!(tongue, "morning-what", when = self.head.when(tongue)));
        let tagged = self.units.iter().filter(|unit| unit.tagged).count();
        let mut blocks = vec![
            Block::Masthead(masthead),
            Block::Lead(Text::words(say!(tongue, "morning-lead", count = self.units.len()))),
        ];
        if tagged > 0 {
            let tagged: Vec<Text> = self
                .units
                .iter()
                .filter(|unit| unit.tagged)
                .map(|unit| Text::name(&unit.no))
                .collect();
            let tagged = Text::join(tagged, ", ");
            blocks
                .push(Block::Caution(tongue.phrase("morning-tagged").text("units", tagged).said()));
        }
        blocks.push(Block::Caution(Text::words(tongue.plain("morning-caution"))));
        blocks.extend(self.emergency(&sayer));
        for person in self.people() {
            blocks.push(Block::Heading(
                2,
                match person {
                    Some(person) => Text::name(self.book.person(person)),
                    None => Text::words(tongue.plain("morning-unassigned")),
                },
            ));
            blocks.push(Block::Table(self.walk(&sayer, person)));
        }
        blocks.push(Block::Heading(2, Text::words(tongue.plain("restock-carry"))));
        blocks.extend(carry_blocks(tongue, &self.carry));
        if !self.notes.is_empty() {
            blocks.push(Block::Heading(2, Text::words(tongue.plain("morning-notes"))));
            blocks.extend(unit::notes(&sayer, &self.notes));
        }
        Report {
            kind: Kind::Morning,
            tongue,
            title: say!(tongue, "morning-title", when = self.head.when(tongue)),
            blocks,
            foot: self.head.foot(tongue),
        }
    }

    fn people(&self) -> Vec<Option<PersonId>> {
        let mut found: Vec<Option<PersonId>> = vec![];
        for unit in &self.units {
            if !found.contains(&unit.person) {
                found.push(unit.person);
            }
        }
        // Those without a person last.
        found.sort_by_key(Option::is_none);
        found
    }

    fn walk(&self, sayer: &Sayer<'_>, person: Option<PersonId>) -> Table {
        let tongue = sayer.tongue;
        let own = self.units.iter().filter(|unit| unit.person == person);
        let rows = own.enumerate().map(|(at, unit)| {
            let place = match &unit.area {
                Some(area) => {
                    Text::name(&unit.no).to_strong().and(Text::words(", ")).and(Text::name(area))
                }
                None => Text::name(&unit.no),
            };
            Row(vec![
                Cell::from(tongue.count(at + 1)),
                Cell::shaped(unit::status_shape(unit.status), place),
                Cell::from(why(tongue, unit)),
                Cell::from(last(sayer, unit)),
                Cell::from(open(sayer, unit)),
            ])
        });
        Table {
            caption: Text::words(tongue.plain("morning-caption")),
            columns: vec![
                Column::figures(tongue.plain("column-number"), 5),
                Column::words(tongue.plain("column-unit"), 23),
                Column::words(tongue.plain("column-why"), 18),
                Column::words(tongue.plain("column-last_time"), 26),
                Column::words(tongue.plain("column-open"), 28),
            ],
            rows: rows.collect(),
            dense: false,
        }
    }

    fn emergency(&self, sayer: &Sayer<'_>) -> Vec<Block> {
        let tongue = sayer.tongue;
        if self.emergency.is_empty() {
            return vec![Block::Paragraph(Text::words(tongue.plain("morning-no_emergency")))];
        }
        let item = |(field, merged): &(Field, Merged)| {
            let values = merged.sides().iter().map(|said| sayer.value(field, &said.value));
            let head = Text::words(tongue.field(field)).capital();
            head.and(Text::words(tongue.plain("colon"))).and(Text::join(values, " / "))
        };
        vec![Block::Items(self.emergency.iter().map(item).collect())]
    }
}

fn planned(
    source: &Source<'_>,
    plan: &Plan<'_>,
    book: &Book,
    id: ApplianceId,
    row: &UnitRow,
) -> Option<PlannedUnit> {
    if row.merged_into.is_some() || row.status == Status::Removed {
        return None;
    }
    let head = &source.file.head.read;
    let register = |key: &str| {
        let field = Field::named(key).about(Of::Appliance(id));
        head.field(&field).and_then(Merged::governs).map(|said| said.value.clone())
    };
    let person = match register("assign/{}/person") {
        Some(FieldValue::Person(person)) => Some(person),
        _ => None,
    };
    let walk = match register("assign/{}/order") {
        Some(FieldValue::Figure(figure)) => Some(figure.digits.to_f64()),
        _ => None,
    };
    let rank = plan.order.iter().find(|line| line.unit == row.unit_no).map(|line| line.rank);
    Some(PlannedUnit {
        no: row.unit_no.clone(),
        area: row.area.and_then(|area| book.area(area)).map(str::to_owned),
        status: row.status,
        tagged: row.tagged,
        advisories: row.advisories.clone(),
        questions: usize::try_from(row.questions).unwrap_or(usize::MAX),
        contested: row.contested.len(),
        person,
        walk,
        rank,
        last: plan.last.get(&id).cloned(),
    })
}

fn why(tongue: Tongue, unit: &PlannedUnit) -> Text {
    let key = match unit.rank {
        None => return Text::words(tongue.word(unit.status)),
        Some(rank) => match rank {
            Rank::Urgent => "rank-urgent",
            Rank::Unsettled => "rank-unsettled",
            Rank::NoHeat => "rank-no_heat",
            Rank::Watch => "rank-watch",
            Rank::Falling => "rank-falling",
            Rank::Repeats => "rank-repeats",
            Rank::Missed => "rank-missed",
            Rank::Usual => "rank-usual",
            Rank::Tagged => "rank-tagged",
        },
    };
    Text::words(tongue.plain(key))
}

/// What was found last time.
fn last(sayer: &Sayer<'_>, unit: &PlannedUnit) -> Text {
    let tongue = sayer.tongue;
    let Some(row) = &unit.last else { return Text::words(tongue.plain("morning-never")) };
    let day = match row.day {
        Some(day) => tongue.day(day),
        None => tongue.plain("visit-no_day"),
    };
    let causes = row.causes.iter().map(|cause| tongue.cause(cause));
    let causes = Text::join(causes, "; ");
    let found = match (row.outcome, causes.is_empty()) {
        (Some(Outcome::NotReached), _) => Text::words(tongue.word(Outcome::NotReached)),
        (_, true) => Text::words(tongue.plain("morning-no_cause")),
        (_, false) => causes,
    };
    Text::words(day).and(Text::words(tongue.plain("colon"))).and(found)
}

/// Advisories, questions and two answers that are open.
fn open(sayer: &Sayer<'_>, unit: &PlannedUnit) -> Text {
    let tongue = sayer.tongue;
    let mut parts: Vec<Text> = unit
        .advisories
        .iter()
        .map(|advisory| {
            let severity =
                Text::words(tongue.word::<AdvisorySeverity>(advisory.severity)).to_strong();
            severity.and(Text::words(tongue.plain("colon"))).and(tongue.quoted(&advisory.text))
        })
        .collect();
    if unit.questions > 0 {
        parts.push(Text::words(say!(tongue, "morning-questions", count = unit.questions)));
    }
    if unit.contested > 0 {
        parts.push(Text::words(say!(tongue, "morning-contested", count = unit.contested)));
    }
    match parts.is_empty() {
        true => Text::words(tongue.plain("none")),
        false => Text::join(parts, "; "),
    }
}
