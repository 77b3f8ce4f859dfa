//! What a report says, as the data that the template reads, and the drawings beside it.

use serde_json::{Value, json};

use super::{Lines, Paper};
use crate::face::drawing;
use crate::layout::{Block, Cell, Dot, Report, Shape, Table};
use crate::text::{Span, Text};

/// The data and the drawings by file name.
pub(super) struct Data {
    /// What `report.json` holds.
    pub(super) report: Value,
    /// Drawings: name and SVG.
    pub(super) drawings: Vec<(String, String)>,
}

/// A report as data.
pub(super) fn of(report: &Report, paper: Paper, lines: Lines) -> Data {
    let mut drawings: Vec<(String, String)> = Shape::ALL
        .iter()
        .map(|shape| (format!("shape-{}.svg", shape.key()), drawing::shape(*shape).into_string()))
        .collect();
    let mut charts = 0;
    let blocks: Vec<Value> =
        report.blocks.iter().map(|own| block(own, &mut drawings, &mut charts)).collect();
    let firm = report.blocks.iter().find_map(|block| match block {
        Block::Masthead(head) => Some(head.firm.joined()),
        _ => None,
    });
    Data {
        report: json!({
            "title": report.title,
            "firm": firm.unwrap_or_default(),
            "lang": report.tongue.language.key(),
            "paper": paper.key(),
            "narrow": report.kind.narrow(),
            "close": lines as u8,
            "foot": text(&report.foot),
            "blocks": blocks,
        }),
        drawings,
    }
}

fn text(text: &Text) -> Value {
    let span = |span: &Span| match span {
        Span::Words(words) => json!(["words", words]),
        Span::Strong(words) => json!(["strong", words]),
        Span::Name(words) | Span::Typed(words) => json!(["typed", words]),
    };
    text.0.iter().map(span).collect()
}

fn block(block: &Block, drawings: &mut Vec<(String, String)>, charts: &mut usize) -> Value {
    let plain = |kind: &str, own: &Text| json!({ "kind": kind, "text": text(own) });
    match block {
        Block::Masthead(head) => json!({
            "kind": "masthead",
            "firm": text(&head.firm),
            "what": text(&head.what),
            "aside": head.aside.iter().map(text).collect::<Vec<_>>(),
        }),
        Block::Lead(own) => plain("lead", own),
        Block::Heading(level, own) => {
            json!({ "kind": "heading", "level": level, "text": text(own) })
        }
        Block::Paragraph(own) => plain("paragraph", own),
        Block::Small(own) => plain("small", own),
        Block::Caution(own) => plain("caution", own),
        Block::Items(items) => {
            json!({ "kind": "items", "items": items.iter().map(text).collect::<Vec<_>>() })
        }
        Block::Table(own) => table(own, drawings),
        Block::Chart(own) => {
            *charts += 1;
            drawings.push((format!("chart-{charts}.svg"), drawing::chart_file(own)));
            json!({
                "kind": "chart",
                "number": charts,
                "title": text(&own.title),
                "sentence": own.sentence.joined(),
                "table": table(&own.table, drawings),
            })
        }
        Block::Signatures(names) => {
            json!({ "kind": "signatures", "names": names.iter().map(text).collect::<Vec<_>>() })
        }
        Block::Lines(count, own) => {
            json!({ "kind": "lines", "count": count, "text": text(own) })
        }
        Block::Slip(slip) => json!({
            "kind": "slip",
            "banner": slip.banner.as_ref().map_or_else(|| json!([]), text),
            "lines": slip.lines.iter().map(Text::joined).collect::<Vec<_>>(),
        }),
    }
}

fn table(table: &Table, drawings: &mut Vec<(String, String)>) -> Value {
    let columns: Vec<Value> = table
        .columns
        .iter()
        .map(|column| {
            json!({
                "head": text(&column.head),
                "share": column.share,
                "figures": column.figures,
            })
        })
        .collect();
    let rows: Vec<Vec<Value>> = table
        .rows
        .iter()
        .map(|row| row.0.iter().map(|own| cell(own, drawings)).collect())
        .collect();
    json!({
        "kind": "table",
        "caption": text(&table.caption),
        "dense": table.dense,
        "columns": columns,
        "rows": rows,
    })
}

fn cell(cell: &Cell, drawings: &mut Vec<(String, String)>) -> Value {
    let dots = (!cell.dots.is_empty()).then(|| {
        let letter = |dot: &Dot| match dot {
            Dot::Happened => 'h',
            Dot::Not => 'n',
            Dot::NotOpened => 'x',
        };
        let name = format!("dots-{}", cell.dots.iter().map(letter).collect::<String>());
        let file = format!("{name}.svg");
        if !drawings.iter().any(|(known, _)| *known == file) {
            drawings.push((file, drawing::dots(&cell.dots).into_string()));
        }
        name
    });
    json!({
        "shape": cell.shape.map(Shape::key),
        "text": text(&cell.text),
        "dots": dots,
    })
}
