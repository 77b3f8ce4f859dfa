//! Text of eighty columns: for terminals, mail and paper without a printer driver.
//!
//! A text carries no colour and no escape sequence. What people typed was cleaned when it entered its
//! [`Text`], so nothing here can move a cursor or turn the direction of writing.

use textwrap::core::display_width;

use crate::chart::Chart;
use crate::layout::{Block, Cell, Dot, Masthead, Report, Shape, Table};
use crate::slip::{COLUMNS as SLIP, Slip};
use crate::text::Text;
use crate::tongue::JOINT;

/// Columns of a line.
pub const COLUMNS: usize = 80;
/// Blank columns between two cells.
const GAP: usize = 2;

/// Heads up to this width are not broken.
const HEAD: usize = 8;

/// A report as text. Every line has at most [`COLUMNS`] columns and none ends in a blank.
pub fn text(report: &Report) -> String {
    let mut page = Page::default();
    if report.kind.narrow() {
        for block in &report.blocks {
            if let Block::Slip(slip) = block {
                page.slip(slip);
            }
        }
        return page.out;
    }
    for block in &report.blocks {
        page.block(block);
    }
    page.rule('-');
    page.wrapped(&report.foot, "", "");
    page.out
}

#[derive(Default)]
struct Page {
    out: String,
}

impl Page {
    fn line(&mut self, line: &str) {
        self.out.push_str(&line.replace(JOINT, " "));
        let end = self.out.trim_end_matches(' ').len();
        self.out.truncate(end);
        self.out.push('\n');
    }

    fn blank(&mut self) {
        if !self.out.is_empty() && !self.out.ends_with("\n\n") {
            self.out.push('\n');
        }
    }

    fn rule(&mut self, letter: char) {
        self.blank();
        self.line(&letter.to_string().repeat(COLUMNS));
    }

    fn wrapped(&mut self, text: &Text, first: &str, rest: &str) {
        let options = textwrap::Options::new(COLUMNS).initial_indent(first).subsequent_indent(rest);
        for line in textwrap::wrap(&text.joined(), options.break_words(true)) {
            self.line(&line);
        }
    }

    fn block(&mut self, block: &Block) {
        match block {
            Block::Masthead(head) => self.masthead(head),
            Block::Heading(level, text) => self.heading(*level, text),
            Block::Lead(text) | Block::Paragraph(text) | Block::Small(text) => {
                self.blank();
                self.wrapped(text, "", "");
            }
            Block::Caution(text) => {
                self.blank();
                self.line(&"!".repeat(COLUMNS));
                self.wrapped(text, "! ", "! ");
                self.line(&"!".repeat(COLUMNS));
            }
            Block::Items(items) => {
                self.blank();
                for item in items {
                    self.wrapped(item, "* ", "  ");
                }
            }
            Block::Table(table) => self.table(table),
            Block::Chart(chart) => self.chart(chart),
            Block::Signatures(names) => {
                for name in names {
                    self.blank();
                    self.line("");
                    self.line(&"_".repeat(COLUMNS / 2));
                    self.wrapped(name, "", "");
                }
            }
            Block::Lines(count, text) => {
                self.blank();
                self.wrapped(text, "", "");
                for _ in 0..*count {
                    self.line("");
                    self.line(&"_".repeat(COLUMNS));
                }
            }
            Block::Slip(slip) => self.slip(slip),
        }
    }

    fn masthead(&mut self, head: &Masthead) {
        if !head.firm.is_empty() {
            self.wrapped(&head.firm, "", "");
        }
        self.line(&"=".repeat(COLUMNS));
        self.wrapped(&head.what, "", "");
        for text in &head.aside {
            self.wrapped(text, "", "");
        }
    }

    fn heading(&mut self, level: u8, text: &Text) {
        self.blank();
        if level < 3 {
            self.out.push('\n');
        }
        self.wrapped(text, "", "");
        let under = if level < 3 { '=' } else { '-' };
        let width = display_width(&text.joined()).min(COLUMNS);
        self.line(&under.to_string().repeat(width));
    }

    fn chart(&mut self, chart: &Chart) {
        self.blank();
        self.wrapped(&chart.title, "", "");
        self.wrapped(&chart.sentence, "", "");
        self.table(&chart.table);
    }

    fn table(&mut self, table: &Table) {
        self.blank();
        // A table that stands alone under its heading needs no second one.
        if table.dense && !table.caption.is_empty() {
            self.wrapped(&table.caption, "", "");
        }
        let widths = widths(table);
        if table.columns.len() > 8 {
            self.list(table);
            return;
        }
        let heads: Vec<Cell> =
            table.columns.iter().map(|column| Cell::from(column.head.clone())).collect();
        self.cells(table, &widths, &heads);
        let rule: Vec<String> = widths.iter().map(|width| "-".repeat(*width)).collect();
        self.line(&rule.join(&" ".repeat(GAP)));
        let mut apart = false;
        for (at, row) in table.rows.iter().enumerate() {
            let tall = tall(&row.0, &widths);
            if at > 0 && (tall || apart) {
                self.line("");
            }
            self.cells(table, &widths, &row.0);
            apart = tall;
        }
    }

    fn cells(&mut self, table: &Table, widths: &[usize], cells: &[Cell]) {
        let columns: Vec<Vec<String>> =
            cells.iter().zip(widths).map(|(cell, width)| split(cell, *width)).collect();
        let height = columns.iter().map(Vec::len).max().unwrap_or(0);
        for at in 0..height {
            let mut line = String::new();
            for (place, (lines, width)) in columns.iter().zip(widths).enumerate() {
                let piece = lines.get(at).map_or("", String::as_str);
                let blanks = " ".repeat(width.saturating_sub(display_width(piece)));
                let figures = table.columns.get(place).is_some_and(|column| column.figures);
                if place > 0 {
                    line.push_str(&" ".repeat(GAP));
                }
                let (first, second) =
                    if figures { (blanks.as_str(), piece) } else { (piece, blanks.as_str()) };
                line.push_str(first);
                line.push_str(second);
            }
            self.line(&line);
        }
    }

    /// A table whose columns have no room beside each other: one cell a line, with the column's head.
    fn list(&mut self, table: &Table) {
        for row in &table.rows {
            for (place, (column, cell)) in table.columns.iter().zip(&row.0).enumerate() {
                let text = Text::words(format!("{}: ", column.head.joined()))
                    .and(Text::words(cell_text(cell)));
                self.wrapped(&text, if place == 0 { "* " } else { "  " }, "    ");
            }
        }
    }

    fn slip(&mut self, slip: &Slip) {
        let edge = if slip.banner.is_some() { '#' } else { '-' };
        self.line(&format!("+{}+", edge.to_string().repeat(SLIP + 2)));
        for text in slip.banner.iter().chain(&slip.lines) {
            let letters = text.joined().replace(JOINT, " ");
            let blanks = " ".repeat(SLIP.saturating_sub(display_width(&letters)));
            let side = if slip.banner.is_some() { '#' } else { '|' };
            self.line(&format!("{side} {letters}{blanks} {side}"));
        }
        self.line(&format!("+{}+", edge.to_string().repeat(SLIP + 2)));
    }
}

/// Widths of a table's columns: by their shares, narrower where what is in them is narrower, and what
/// that frees goes to the columns that wrap.
fn widths(table: &Table) -> Vec<usize> {
    let room = COLUMNS.saturating_sub(GAP * table.columns.len().saturating_sub(1));
    let shares: usize = table.columns.iter().map(|column| usize::from(column.share)).sum();
    let wanted: Vec<usize> = table
        .columns
        .iter()
        .enumerate()
        .map(|(place, column)| {
            let cells = table.rows.iter().filter_map(|row| row.0.get(place));
            let widest = cells.map(|cell| display_width(&cell_text(cell))).max().unwrap_or(0);
            widest.max(display_width(&column.head.joined()))
        })
        .collect();
    let mut widths: Vec<usize> = table
        .columns
        .iter()
        .zip(&wanted)
        .map(|(column, wanted)| {
            let share = room * usize::from(column.share) / shares.max(1);
            // A short head stays whole.
            (*wanted).min(share.max(display_width(&column.head.joined()).min(HEAD)))
        })
        .collect();
    loop {
        let free = room.saturating_sub(widths.iter().sum());
        let most = (0..widths.len())
            .filter(|place| widths[*place] < wanted[*place])
            .max_by_key(|place| wanted[*place] * 100 / widths[*place].max(1));
        match most {
            Some(place) if free > 0 => widths[place] += 1,
            _ => return widths,
        }
    }
}

fn tall(cells: &[Cell], widths: &[usize]) -> bool {
    cells.iter().zip(widths).any(|(cell, width)| split(cell, *width).len() > 1)
}

fn split(cell: &Cell, width: usize) -> Vec<String> {
    let options = textwrap::Options::new(width.max(1)).break_words(true);
    let text = cell_text(cell);
    textwrap::wrap(&text, options).into_iter().map(std::borrow::Cow::into_owned).collect()
}

/// Shape, words and dots of a cell.
fn cell_text(cell: &Cell) -> String {
    let mut parts: Vec<String> = vec![];
    parts.extend(cell.shape.map(|shape| sign(shape).to_owned()));
    let words = cell.text.joined();
    parts.extend((!words.is_empty()).then_some(words));
    let dots: String = cell.dots.iter().map(|dot| mark(*dot)).collect();
    parts.extend((!dots.is_empty()).then_some(dots));
    parts.join(" ")
}

/// A shape as a sign of characters: a bracket is the limits, the dot in it the reading.
const fn sign(shape: Shape) -> &'static str {
    match shape {
        Shape::Within => "[.]",
        Shape::TooClose => "[ .-",
        Shape::Above => "[ ].",
        Shape::Below => ".[ ]",
        Shape::NoFigure => ": . :",
        Shape::NotTested => "[-]",
        Shape::Found => "<>",
        Shape::Left => "[#]",
        Shape::TwoAnswers => "][",
        Shape::InService => "(*)",
        Shape::PartAwaited => "(.)",
        Shape::Watch => "(/)",
        Shape::ShutDown => "[X]",
        Shape::Unknown => "( )",
        Shape::NotReached => "(:)",
        Shape::Removed => "-",
    }
}

const fn mark(dot: Dot) -> char {
    match dot {
        Dot::Happened => '\u{25cf}',
        Dot::Not => '\u{25cb}',
        Dot::NotOpened => '\u{25cc}',
    }
}
