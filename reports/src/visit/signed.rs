//! Sign-offs: who, when, what they said, and the figures exactly as signed, with formula and version.

use super::VisitRecord;
use crate::layout::{Block, Cell, Column, Row, Table};
use crate::saying::Sayer;
use crate::text::Text;
use crate::tongue::say;
use client_core::present::say::Names as _;
use client_core::record::body::Body;
use client_core::record::body::signed::SignedFigure;
use client_core::record::code::Role;
use client_core::record::derived::signed::Moved;
use client_core::record::file::VisitFile;
use client_core::record::id::{EntryId, PersonId};
use client_core::record::value::Moment;

/// One sign-off with its copy of figures.
#[derive(Clone, Debug, PartialEq)]
pub struct SignedCopy {
    /// The entry.
    pub entry: EntryId,
    /// Who.
    pub person: PersonId,
    /// In which role, by the certificate.
    pub role: Role,
    /// When.
    pub at: Moment,
    /// What they stated.
    pub statement: Option<String>,
    /// How many documents were named.
    pub documents: usize,
    /// Figures as signed; none where the sign-off holds no copy.
    pub figures: Option<Vec<SignedFigure>>,
}

pub(super) fn copies(file: &VisitFile<'_>) -> Vec<SignedCopy> {
    let signed = file.signed();
    let one = |(id, person, role): &(EntryId, PersonId, Role)| {
        let entry = file.head.read.entry(*id)?;
        let Body::SignOff(sign_off) = &entry.body else { return None };
        Some(SignedCopy {
            entry: *id,
            person: *person,
            role: *role,
            at: entry.stamp.at(),
            statement: sign_off.statement.clone(),
            documents: sign_off.docs.len(),
            figures: sign_off.shown.as_ref().map(client_core::record::body::SignedFigures::figures),
        })
    };
    signed.sign_offs.iter().filter_map(one).collect()
}

pub(super) fn blocks(sayer: &Sayer<'_>, record: &VisitRecord) -> Vec<Block> {
    let tongue = sayer.tongue;
    let mut blocks = vec![Block::Heading(2, Text::words(tongue.plain("record-signed")))];
    if record.signed.is_empty() {
        blocks.push(Block::Paragraph(Text::words(tongue.plain("visit-unsigned")).capital()));
        return blocks;
    }
    let items = record.signed.iter().map(|copy| sentence(sayer, copy)).collect();
    blocks.push(Block::Items(items));
    if let Some(moved) = &record.moved {
        blocks.push(match moved.is_empty() {
            true => Block::Paragraph(Text::words(tongue.plain("signed-nothing_moved"))),
            false => Block::Items(moved.iter().map(|one| moved_text(sayer, one)).collect()),
        });
    }
    let last =
        record.signed.iter().rev().find_map(|copy| copy.figures.as_ref().map(|own| (copy, own)));
    match last {
        Some((copy, figures)) => blocks.push(Block::Table(table(sayer, copy, figures))),
        None => blocks.push(Block::Paragraph(Text::words(tongue.plain("signed-no_figures")))),
    }
    blocks
}

fn sentence(sayer: &Sayer<'_>, copy: &SignedCopy) -> Text {
    let tongue = sayer.tongue;
    let head = tongue
        .phrase("visit-signed")
        .name("person", &sayer.book.person(copy.person))
        .with("role", tongue.word(copy.role))
        .with("at", tongue.moment(copy.at))
        .said()
        .capital();
    let documents = Text::words(say!(tongue, "signed-documents", count = copy.documents));
    let figures = Text::words(match &copy.figures {
        Some(figures) => say!(tongue, "signed-figures", count = figures.len()),
        None => tongue.plain("signed-without_figures"),
    });
    let statement = copy.statement.as_ref().map(|own| tongue.quoted(own));
    Text::join([Some(head), Some(documents), Some(figures), statement].into_iter().flatten(), "; ")
}

fn table(sayer: &Sayer<'_>, copy: &SignedCopy, figures: &[SignedFigure]) -> Table {
    let tongue = sayer.tongue;
    let row = |one: &SignedFigure| {
        Row(vec![
            Cell::from(Text::name(sayer.book.unit(one.appliance))),
            Cell::from(tongue.word(one.phase)),
            Cell::from(tongue.figure_name(&one.key)),
            Cell::from(tongue.figure(one.figure)),
            Cell::from(Text::name(&one.formula)),
            Cell::from(verdict(sayer, one.verdict.as_deref())),
        ])
    };
    let person = sayer.book.person(copy.person);
    let mut sorted: Vec<&SignedFigure> = figures.iter().collect();
    sorted.sort_by_key(|one| sayer.book.unit(one.appliance));
    Table {
        caption: tongue
            .phrase("signed-caption")
            .name("person", &person)
            .with("at", tongue.moment(copy.at))
            .said(),
        columns: vec![
            Column::words(tongue.plain("column-unit"), 12),
            Column::words(tongue.plain("column-phase"), 12),
            Column::words(tongue.plain("column-figure"), 26),
            Column::figures(tongue.plain("column-value"), 16),
            Column::words(tongue.plain("column-formula"), 20),
            Column::words(tongue.plain("column-verdict"), 14),
        ],
        rows: sorted.into_iter().map(row).collect(),
        dense: true,
    }
}

/// A verdict as it was stored: the words of the version that signed.
fn verdict(sayer: &Sayer<'_>, stored: Option<&str>) -> Text {
    let tongue = sayer.tongue;
    let key = match stored {
        None => "signed-no_limit",
        Some("within") => "verdict_label-within",
        Some("outside") => "signed-outside",
        Some("too close to call") => "verdict_label-too_close",
        Some("no target yet") => "verdict_label-no_target",
        Some("not tested") => "verdict_label-not_tested",
        Some("see words") => "signed-see_words",
        Some(other) => return tongue.quoted(other),
    };
    Text::words(tongue.plain(key))
}

fn moved_text(sayer: &Sayer<'_>, moved: &Moved) -> Text {
    let tongue = sayer.tongue;
    let now = match &moved.now {
        Some(now) => tongue.figure(now.figure),
        None => tongue.plain("signed-gone"),
    };
    let why = match moved.by_formula() {
        true => tongue.plain("signed-by_formula"),
        false => tongue.plain("signed-by_readings"),
    };
    tongue
        .phrase("signed-moved")
        .name("unit", &sayer.book.unit(moved.signed.appliance))
        .with("figure", tongue.figure_name(&moved.signed.key))
        .with("phase", tongue.word(moved.signed.phase))
        .with("signed", tongue.figure(moved.signed.figure))
        .with("now", now)
        .with("why", why)
        .said()
}
