//! A report as a web page: a fragment for a page of the hub, or a whole page in one file.
//!
//! The page works without scripts and refuses them. Every text is escaped by the template; a piece that a
//! person typed stands in `bdi`, so that writing from right to left does not turn its surroundings.

use std::fmt::Write as _;

use base64::Engine as _;
use base64::engine::general_purpose::STANDARD;
use maud::{DOCTYPE, Markup, PreEscaped, html};

use crate::chart::Chart;
use crate::face::drawing;
use crate::layout::{Block, Cell, Masthead, Report, Row, Table};
use crate::slip::Slip;
use crate::text::{Span, Text};

/// The style of a report: for a page in one file, or as a stylesheet of its own.
pub const STYLE: &str = include_str!("page/style.css");

/// The text face, shared with the phone's pages.
const FACE: &[u8] = include_bytes!("../../../server/phone/static/fonts/hyper.woff2");
/// The face of slips.
const MONO: &[u8] = include_bytes!("../../../server/phone/static/fonts/hyper-mono.woff2");

/// A page in one file may load nothing and run nothing.
const POLICY: &str = "default-src 'none'; style-src 'unsafe-inline'; font-src data:; base-uri 'none'; form-action 'none'";

/// The whole page in one file: style and faces in it, nothing loaded from anywhere.
pub fn document(report: &Report) -> String {
    let narrow = report.kind.narrow();
    let mut style = String::new();
    font(&mut style, "Hyper", FACE);
    if narrow {
        font(&mut style, "HyperMono", MONO);
    }
    style.push_str("html,body{margin:0}body{background:#f7f5ec}@media (prefers-color-scheme:dark){body{background:#10140f}}@media print{body{background:#fff}}\n");
    style.push_str(STYLE);
    let page = html! {
        (DOCTYPE)
        html lang=(report.tongue.language.key()) {
            head {
                meta charset="utf-8";
                meta name="viewport" content="width=device-width, initial-scale=1";
                meta http-equiv="Content-Security-Policy" content=(POLICY);
                meta name="color-scheme" content="light dark";
                title { (report.title) }
                style { (PreEscaped(style)) }
            }
            body { main { (body(report)) } }
        }
    };
    format!("{}\n", page.into_string())
}

fn font(style: &mut String, family: &str, bytes: &[u8]) {
    let data = STANDARD.encode(bytes);
    writeln!(
        style,
        "@font-face{{font-family:{family};font-weight:200 800;src:url(data:font/woff2;base64,{data})}}"
    )
    .expect("writing to memory does not fail");
}

/// The report as a fragment: one `article`, its headings from level 1 on.
pub fn body(report: &Report) -> Markup {
    let mut charts = 0;
    html! {
        article class="report" lang=(report.tongue.language.key()) aria-label=(report.title) {
            @for block in &report.blocks { (self::block(block, &mut charts)) }
            @if !report.kind.narrow() { footer { p { (text(&report.foot)) } } }
        }
    }
}

fn block(block: &Block, charts: &mut usize) -> Markup {
    html! {
        @match block {
            Block::Masthead(head) => { (masthead(head)) }
            Block::Lead(own) => { p class="lead" { (text(own)) } }
            Block::Heading(level, own) => {
                @if *level < 3 { h2 { (text(own)) } } @else { h3 { (text(own)) } }
            }
            Block::Paragraph(own) => { p { (text(own)) } }
            Block::Small(own) => { p class="small" { (text(own)) } }
            Block::Caution(own) => { p class="caution" { (text(own)) } }
            Block::Items(items) => { ul { @for item in items { li { (text(item)) } } } }
            Block::Table(own) => { (table(own)) }
            Block::Chart(own) => {
                @let () = *charts += 1;
                (chart(own, *charts))
            }
            Block::Signatures(names) => {
                div class="sign" { @for name in names { p { (text(name)) } } }
            }
            Block::Lines(count, own) => {
                p class="small" { (text(own)) }
                div class="lines" aria-hidden="true" { @for _ in 0..*count { p {} } }
            }
            Block::Slip(own) => { (slip(own)) }
        }
    }
}

fn masthead(head: &Masthead) -> Markup {
    html! {
        header {
            div {
                @if !head.firm.is_empty() { p class="firm" { (text(&head.firm)) } }
                h1 { (text(&head.what)) }
            }
            ul { @for line in &head.aside { li { (text(line)) } } }
        }
    }
}

fn table(table: &Table) -> Markup {
    let class = if table.dense { "dense stack" } else { "stack" };
    html! {
        div class="scroll" {
            table class=(class) {
                @if !table.caption.is_empty() { caption class=[(!table.dense).then_some("heard")] { (text(&table.caption)) } }
                thead {
                    tr {
                        @for column in &table.columns {
                            th scope="col" class=[column.figures.then_some("figures")] { (text(&column.head)) }
                        }
                    }
                }
                tbody { @for row in &table.rows { (self::row(table, row)) } }
            }
        }
    }
}

fn row(table: &Table, row: &Row) -> Markup {
    html! {
        tr {
            @for (at, (cell, column)) in row.0.iter().zip(&table.columns).enumerate() {
                @let head = column.head.joined();
                @let class = column.figures.then_some("figures");
                @if at == 0 {
                    th scope="row" class=[class] data-head=(head) { (self::cell(cell)) }
                } @else {
                    td class=[class] data-head=(head) { (self::cell(cell)) }
                }
            }
        }
    }
}

fn cell(cell: &Cell) -> Markup {
    html! {
        @if let Some(shape) = cell.shape {
            span class=(format!("shape-{}", shape.key())) { (drawing::shape(shape)) }
        }
        (text(&cell.text))
        @if !cell.dots.is_empty() { (drawing::dots(&cell.dots)) }
    }
}

fn chart(chart: &Chart, number: usize) -> Markup {
    html! {
        figure {
            figcaption { (text(&chart.title)) }
            div class="scroll" tabindex="0" role="group" aria-label=(chart.title.joined()) {
                (drawing::chart(chart, number))
            }
            (table(&chart.table))
        }
    }
}

fn slip(slip: &Slip) -> Markup {
    let class = if slip.banner.is_some() { "slip stop" } else { "slip" };
    html! {
        div class=(class) {
            @if let Some(banner) = &slip.banner { p class="banner" { (text(banner)) } }
            @for line in &slip.lines { p { (line.joined()) } }
        }
    }
}

/// A text: our own words as they are, what must be read first strong, names and typed pieces apart.
fn text(text: &Text) -> Markup {
    html! {
        @for span in &text.0 {
            @match span {
                Span::Words(words) => { (words) }
                Span::Strong(words) => { strong { (words) } }
                Span::Name(name) => { bdi { (name) } }
                Span::Typed(typed) => { bdi class="typed" { (typed) } }
            }
        }
    }
}
