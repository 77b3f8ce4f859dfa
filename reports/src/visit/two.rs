//! Two answers, side by side: who, when, with what, what they said, and how it ended.

use crate::difference::Difference;
use crate::layout::{Block, Cell, Column, Row, Shape, Table};
use crate::saying::{Sayer, side_says};
use crate::text::Text;
use client_core::present::say::Names as _;
use client_core::record::contradiction::Contradiction;

/// The part of a record about differences; says that there are none where there are none.
pub(crate) fn blocks(sayer: &Sayer<'_>, differences: &[Difference]) -> Vec<Block> {
    let tongue = sayer.tongue;
    let mut blocks = vec![Block::Heading(2, Text::words(tongue.plain("record-differences")))];
    if differences.is_empty() {
        blocks.push(Block::Paragraph(Text::words(tongue.plain("record-differences_none"))));
    }
    for difference in differences {
        blocks.extend(one(sayer, difference));
    }
    blocks
}

/// Sides of late evidence are told by unit from this many on.
const MANY: usize = 12;

/// One difference.
pub(crate) fn one(sayer: &Sayer<'_>, difference: &Difference) -> Vec<Block> {
    let tongue = sayer.tongue;
    let about = sayer.about(difference);
    let unit = match difference.unit {
        Some(unit) => Text::name(sayer.book.unit(unit)),
        None => Text::words(tongue.plain("difference-visit")),
    };
    let head = unit.and(Text::words(tongue.plain("colon"))).and(about.what);
    let mut blocks = vec![Block::Heading(3, head)];
    let shown = difference.sides.iter().take(MANY);
    let rows: Vec<Row> = shown
        .map(|side| {
            let (person, at, with) = sayer.side_who(side);
            let mut marks: Vec<Text> =
                side.marks.iter().map(|mark| Text::words(tongue.mark(mark))).collect();
            if side.governs {
                marks.insert(0, Text::strong(tongue.plain("side-governs")));
            }
            let marks = match marks.is_empty() {
                true => Text::words(tongue.plain("none")),
                false => Text::join(marks, ", "),
            };
            Row(vec![
                Cell::shaped(Shape::TwoAnswers, person),
                Cell::from(at),
                Cell::from(with),
                Cell::from(side_says(sayer, side)),
                Cell::from(marks),
            ])
        })
        .collect();
    if !rows.is_empty() {
        blocks.push(Block::Table(Table {
            caption: Text::words(tongue.plain("difference-caption")),
            columns: vec![
                Column::words(tongue.plain("column-who"), 16),
                Column::words(tongue.plain("column-when"), 18),
                Column::words(tongue.plain("column-with"), 12),
                Column::words(tongue.plain("column-says"), 34),
                Column::words(tongue.plain("column-remarks"), 20),
            ],
            rows,
            dense: true,
        }));
    }
    let more = difference.sides.len().saturating_sub(MANY);
    if more > 0 {
        let words = tongue.phrase("difference-more").with("count", more).words();
        blocks.push(Block::Small(Text::words(words)));
    }
    if matches!(difference.about, Contradiction::Text { .. }) {
        blocks.push(Block::Small(Text::words(tongue.plain("difference-text_merged"))));
    }
    match sayer.ended(difference) {
        Some(ended) => blocks.push(Block::Paragraph(ended)),
        None => blocks.push(Block::Paragraph(
            Text::strong(tongue.plain("difference-open"))
                .then(about.governs.and(Text::words("; ")))
                .and(about.next)
                .and(Text::words(".")),
        )),
    }
    blocks
}
