//! A question to a manufacturer on one sheet: unit, gas, altitude, every figure of the visit, and room for
//! the answer.

use crate::book::{Book, Source};
use crate::dossier::plate;
use crate::figures;
use crate::kind::Kind;
use crate::layout::{Block, Report};
use crate::saying::Sayer;
use crate::text::Text;
use crate::tongue::{Tongue, say};
use crate::unit_facts::{Told, UnitFacts};
use crate::visit::{pairs, question_state};
use crate::visit_head::VisitHead;
use client_core::present::say::Names as _;
use client_core::record::body::{Body, Question};
use client_core::record::code::QuestionState;
use client_core::record::field::Field;
use client_core::record::id::EntryId;
use client_core::record::merged::Merged;

/// A question to a manufacturer.
#[derive(Clone, Debug, PartialEq)]
pub struct QuestionSheet {
    /// The visit.
    pub head: VisitHead,
    /// The unit.
    pub unit: UnitFacts,
    /// The entry of the question.
    pub told: Told,
    /// What is asked.
    pub question: Question,
    /// How it stands.
    pub state: QuestionState,
    /// Registers of the site about gas and altitude.
    pub site: Vec<(Field, Merged)>,
    /// Names.
    pub book: Book,
}

/// Registers of a site that a manufacturer needs.
const SITE: &[&str] = &[
    "site/gas_kind",
    "site/elevation",
    "site/heating_value",
    "site/specific_gravity",
    "site/co2_max",
    "site/gas_composition",
    "site/building_pressure",
];

impl QuestionSheet {
    /// Gathers it; none when no unit of the visit has such a question.
    pub fn of(source: &Source<'_>, question: EntryId) -> Option<QuestionSheet> {
        let book = Book::of(source);
        let marker = client_core::record::mark::Marker::new(source.file);
        let holds = |unit: &&client_core::record::file::UnitInVisit<'_>| {
            unit.unit.as_ref().is_some_and(|own| own.read.entry(question).is_some())
        };
        let unit = source.file.units.iter().find(holds)?;
        let unit = UnitFacts::of(source, unit, &book, &marker);
        let told = unit.own.iter().find(|told| told.id == question)?.clone();
        let Body::Question(asked) = told.body.clone() else { return None };
        let site = source.file.site.map(|site| {
            let known = SITE.iter().map(|key| Field::named(key));
            known.filter_map(|field| Some((field, site.field(&field)?.clone()))).collect()
        });
        Some(QuestionSheet {
            head: VisitHead::of(source),
            state: question_state(&unit, question),
            unit,
            told,
            question: asked,
            site: site.unwrap_or_default(),
            book,
        })
    }

    /// The sheet in a tongue.
    pub fn report(&self, tongue: Tongue) -> Report {
        let sayer = Sayer::new(tongue, &self.book);
        let mut masthead = self.head.masthead(tongue, &self.book);
        masthead.what = Text::words(match &self.question.to {
            Some(_) => tongue.plain("question-what_to"),
            None => tongue.plain("question-what"),
        });
        if let Some(to) = &self.question.to {
            masthead.what = masthead.what.and(Text::words(" ")).and(tongue.quoted(to));
        }
        let mut blocks = vec![
            Block::Masthead(masthead),
            Block::Lead(tongue.quoted(&self.question.asked)),
            Block::Paragraph(
                tongue
                    .phrase("question-asked_by")
                    .name("person", &self.book.person(self.told.person))
                    .with("at", tongue.moment(self.told.at))
                    .name("unit", &self.unit.no)
                    .with("state", tongue.word(self.state))
                    .said(),
            ),
            Block::Heading(2, Text::words(tongue.plain("question-unit"))),
            plate(&sayer, &self.unit),
            Block::Heading(2, Text::words(tongue.plain("question-site"))),
            self.site(&sayer),
            Block::Heading(2, Text::words(tongue.plain("question-figures"))),
        ];
        blocks.push(match figures::table(&sayer, &self.unit) {
            Some(table) => Block::Table(table),
            None => Block::Paragraph(Text::words(tongue.plain("unit-no_figures"))),
        });
        let seen = self.seen(&sayer);
        if !seen.is_empty() {
            blocks.push(Block::Items(seen));
        }
        blocks.extend(self.answers(&sayer));
        blocks.push(Block::Heading(2, Text::words(tongue.plain("question-your_answer"))));
        blocks.push(Block::Lines(3, Text::words(tongue.plain("question-answer_lines"))));
        blocks.push(Block::Small(Text::words(tongue.plain("question-use"))));
        blocks.push(Block::Small(Text::words(tongue.plain("authority"))));
        Report {
            kind: Kind::Question,
            tongue,
            title: say!(tongue, "question-title", unit = self.unit.no.as_str()),
            blocks,
            foot: self.head.foot(tongue),
        }
    }

    fn site(&self, sayer: &Sayer<'_>) -> Block {
        let tongue = sayer.tongue;
        let rows = self.site.iter().map(|(field, merged)| {
            let values = merged.sides().iter().map(|said| sayer.value(field, &said.value));
            let mut value = Text::join(values, " / ");
            if merged.contested() {
                value =
                    value.then(Text::strong(format!("({})", tongue.plain("plate-two_answers"))));
            }
            (Text::words(tongue.field(field)), value)
        });
        let rows: Vec<(Text, Text)> = rows.collect();
        match rows.is_empty() {
            true => Block::Paragraph(Text::words(tongue.plain("question-no_site"))),
            false => pairs(
                Text::words(tongue.plain("question-site_caption")),
                [tongue.plain("column-register"), tongue.plain("column-value")],
                rows,
            ),
        }
    }

    /// Findings, gas parts and photos of the visit.
    fn seen(&self, sayer: &Sayer<'_>) -> Vec<Text> {
        let wanted = |body: &Body| {
            matches!(body, Body::Finding(_) | Body::GasPart(_) | Body::Photo(_) | Body::Symptom(_))
        };
        let seen = self.unit.counted().filter(|told| wanted(&told.body));
        seen.map(|told| sayer.body(&told.body).capital()).collect()
    }

    /// Answers that came.
    fn answers(&self, sayer: &Sayer<'_>) -> Vec<Block> {
        let of = |told: &&Told| {
            told.counts
                && matches!(&told.body, Body::Answer(answer) if answer.question == self.told.id)
        };
        let answers: Vec<Text> =
            self.unit.own.iter().filter(of).map(|told| sayer.body(&told.body)).collect();
        match answers.is_empty() {
            true => vec![],
            false => vec![
                Block::Heading(2, Text::words(sayer.tongue.plain("question-answers"))),
                Block::Items(answers),
            ],
        }
    }
}
