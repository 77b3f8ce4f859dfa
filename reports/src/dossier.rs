//! All evidence for one unit over its visits: plate, targets, charts, every visit, every entry.

mod charts;

use std::collections::BTreeSet;

use crate::book::{Book, Firm, Source};
use crate::difference::Difference;
use crate::kind::Kind;
use crate::layout::{Block, Cell, Column, Masthead, Report, Row, Table};
use crate::saying::Sayer;
use crate::text::Text;
use crate::tongue::{Tongue, say};
use crate::unit_facts::{Told, UnitFacts};
use crate::visit::{two, unit};
use crate::visit_head::VisitHead;
use client_core::present::say::Names as _;
use client_core::record::body::Kind as Entry;
use client_core::record::contradiction::Contradiction;
use client_core::record::id::{ApplianceId, VisitId};
use client_core::record::mark::Marker;

/// One unit in one visit, gathered while that visit is at hand.
#[derive(Clone, Debug, PartialEq)]
pub struct UnitVisit {
    /// The visit.
    pub head: VisitHead,
    /// The unit in it.
    pub facts: UnitFacts,
    /// What two people said differently about it.
    pub differences: Vec<Difference>,
    /// Names.
    pub book: Book,
}

impl UnitVisit {
    /// Gathers it; none when the unit is not in the visit.
    pub fn of(source: &Source<'_>, appliance: ApplianceId) -> Option<UnitVisit> {
        let book = Book::of(source);
        let marker = Marker::new(source.file);
        let facts = UnitFacts::of(source, source.file.unit(appliance)?, &book, &marker);
        let mut differences = Difference::all(source.file);
        differences.retain(|difference| difference.unit == Some(appliance));
        Some(UnitVisit { head: VisitHead::of(source), facts, differences, book })
    }
}

/// All evidence for one unit.
#[derive(Clone, Debug, PartialEq)]
pub struct UnitDossier {
    /// The firm.
    pub firm: Firm,
    /// Its visits, oldest first; at least one. Where only a unit that was merged into it stands in a visit,
    /// that one's comes first and its own, without an entry, after it: the last one is always its own.
    pub visits: Vec<UnitVisit>,
    /// Names of all visits.
    pub book: Book,
}

impl UnitDossier {
    /// Puts visits together, those of one day in the order in which they are given; none without a visit.
    pub fn of(mut visits: Vec<UnitVisit>) -> Option<UnitDossier> {
        visits.sort_by_key(|visit| visit.head.days);
        let firm = visits.last()?.head.firm.clone();
        let mut book = Book::default();
        for visit in &visits {
            book.add(&visit.book);
        }
        Some(UnitDossier { firm, visits, book })
    }

    fn visited(&self) -> usize {
        let visits: BTreeSet<VisitId> = self.visits.iter().map(|visit| visit.head.visit).collect();
        visits.len()
    }

    fn last(&self) -> &UnitVisit {
        self.visits.last().expect("a dossier is only made of at least one visit")
    }

    /// The dossier in a tongue.
    pub fn report(&self, tongue: Tongue) -> Report {
        let sayer = Sayer::new(tongue, &self.book);
        let now = &self.last().facts;
        let title = say!(tongue, "dossier-title", unit = now.no.as_str());
        let mut blocks = vec![
            Block::Masthead(self.masthead(tongue)),
            Block::Lead(
                tongue
                    .phrase("dossier-lead")
                    .name("unit", &now.no)
                    .with("visits", self.visited())
                    .with("status", tongue.word(now.status))
                    .said(),
            ),
        ];
        if let Some(tag) = &now.tag {
            blocks.push(Block::Caution(unit::tag_text(&sayer, now, tag)));
        }
        blocks.push(Block::Heading(2, Text::words(tongue.plain("dossier-plate"))));
        blocks.push(plate(&sayer, now));
        blocks.extend(self.targets(&sayer));
        blocks.extend(charts::blocks(self, &sayer));
        blocks.extend(two::blocks(&sayer, &self.differences()));
        for visit in &self.visits {
            let head = visit.head.what(tongue);
            let reference = Text::name(&visit.head.reference);
            blocks.push(Block::Heading(2, head.and(Text::words(", ")).and(reference)));
            blocks.push(Block::Small(
                visit.head.signatures(tongue, &self.book).capital().and(Text::words(".")),
            ));
            blocks.extend(unit::blocks(&sayer, &visit.facts));
        }
        blocks.push(Block::Heading(2, Text::words(tongue.plain("dossier-own"))));
        if now.own.is_empty() {
            blocks.push(Block::Paragraph(Text::words(tongue.plain("none"))));
        } else {
            blocks.push(Block::Table(unit::entries_table(&sayer, &now.own)));
        }
        blocks.push(Block::Small(Text::words(tongue.plain("authority"))));
        Report {
            kind: Kind::Unit,
            tongue,
            title,
            blocks,
            foot: tongue.phrase("dossier-foot").name("unit", &now.no).said(),
        }
    }

    fn masthead(&self, tongue: Tongue) -> Masthead {
        let last = self.last();
        let or = |known: Option<&String>, missing| match known {
            Some(name) => Text::name(name),
            None => Text::words(tongue.plain(missing)),
        };
        let make = ["unit/maker", "unit/model", "unit/serial"];
        let make = make.into_iter().filter_map(|key| last.facts.words(key)).map(Text::name);
        let make = Text::join(make, ", ");
        Masthead {
            firm: Text::name(&self.firm.name),
            what: tongue.phrase("dossier-what").name("unit", &last.facts.no).said(),
            aside: vec![
                or(last.head.site.as_ref(), "visit-no_site"),
                or(last.facts.area.as_ref(), "dossier-no_area"),
                if make.is_empty() { Text::words(tongue.plain("dossier-no_make")) } else { make },
            ],
        }
    }

    fn targets(&self, sayer: &Sayer<'_>) -> Vec<Block> {
        let tongue = sayer.tongue;
        let own = &self.last().facts.own;
        let targets = own.iter().filter(|told| told.counts && told.body.kind() == Entry::Target);
        let items: Vec<Text> = targets.map(|told| sayer.body(&told.body)).collect();
        let heading = Block::Heading(2, Text::words(tongue.plain("dossier-targets")));
        match items.is_empty() {
            true => {
                vec![heading, Block::Paragraph(Text::words(tongue.plain("dossier-targets_none")))]
            }
            false => vec![heading, Block::Items(items)],
        }
    }

    /// Differences of all visits; one about a register, which outlives visits, is told once.
    fn differences(&self) -> Vec<Difference> {
        let mut found: Vec<Difference> = vec![];
        for difference in self.visits.iter().flat_map(|visit| &visit.differences) {
            let register = matches!(difference.about, Contradiction::Field { .. });
            if !(register && found.iter().any(|known| known.key == difference.key)) {
                found.push(difference.clone());
            }
        }
        found.sort_by_key(|difference| difference.settled.is_some());
        found
    }

    /// Entries of the unit's own document.
    pub fn own(&self) -> &[Told] {
        &self.last().facts.own
    }
}

/// Registers of a unit with who said them; those with two answers say both.
pub(crate) fn plate(sayer: &Sayer<'_>, facts: &UnitFacts) -> Block {
    let tongue = sayer.tongue;
    let shown = facts.registers.iter().filter(|(field, _)| {
        ["unit/", "plate/"].iter().any(|group| field.def.key.starts_with(group))
    });
    let mut rows: Vec<(String, Row)> = shown
        .map(|(field, merged)| {
            let values = merged.sides().iter().map(|said| sayer.value(field, &said.value));
            let value = match merged.contested() {
                false => Text::join(values, " / "),
                true => Text::join(values, " / ")
                    .then(Text::strong(format!("({})", tongue.plain("plate-two_answers")))),
            };
            let who = merged.sides().iter().map(|said| {
                tongue
                    .phrase("plate-said_by")
                    .name("person", &sayer.book.person(said.stamp.person()))
                    .with("at", tongue.moment(said.stamp.at()))
                    .said()
            });
            let cells = vec![
                Cell::from(tongue.field(field)),
                Cell::from(value),
                Cell::from(Text::join(who, "; ")),
            ];
            (field.def.key.to_owned(), Row(cells))
        })
        .collect();
    rows.sort_by_key(|(key, _)| {
        client_core::record::field::FIELDS.iter().position(|def| def.key == *key)
    });
    if rows.is_empty() {
        return Block::Paragraph(Text::words(tongue.plain("plate-none")));
    }
    Block::Table(Table {
        caption: Text::words(tongue.plain("plate-caption")),
        columns: vec![
            Column::words(tongue.plain("column-register"), 32),
            Column::words(tongue.plain("column-value"), 30),
            Column::words(tongue.plain("column-said_by"), 38),
        ],
        rows: rows.into_iter().map(|(_, row)| row).collect(),
        dense: true,
    })
}
