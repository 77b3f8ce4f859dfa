//! The only writer: data to standard output, talk to standard error. Everything that people typed is
//! cleaned before it reaches a terminal, lines fit 80 columns, and colour is never the only signal.

use std::fmt::Write as _;
use std::io::{BufRead, Write};

use anstyle::{AnsiColor, Style};
use client_core::present::plain;
use serde_json::Value;
use textwrap::core::display_width;

use crate::error::Trouble;

/// Columns that output fits.
pub const COLUMNS: usize = 80;

/// A count with its noun: one of them, or several.
pub fn counted(count: impl std::fmt::Display, one: &str, many: &str) -> String {
    let count = count.to_string();
    let noun = if count == "1" { one } else { many };
    format!("{count} {noun}")
}

/// What a word is marked as. The word itself says the same: colour only helps the eye.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Tone {
    /// As usual.
    Plain,
    /// A heading.
    Head,
    /// Wants a person's attention.
    Look,
    /// Dangerous or refused.
    Stop,
    /// Beside the point.
    Dim,
}

/// When colours are used.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, clap::ValueEnum)]
pub enum Colour {
    /// On a terminal, unless NO_COLOR is set.
    #[default]
    Auto,
    /// Always.
    Always,
    /// Never.
    Never,
}

/// How a command speaks.
#[derive(Clone, Copy, Debug)]
#[expect(clippy::struct_excessive_bools, reason = "each is asked about by itself")]
pub struct Manners {
    /// Data as JSON.
    pub json: bool,
    /// Colours on standard output.
    pub colour: bool,
    /// Colours on standard error.
    pub colour_err: bool,
    /// Progress lines are written over each other.
    pub live: bool,
}

/// The writer.
pub struct Ui<'u> {
    out: &'u mut (dyn Write + 'u),
    err: &'u mut (dyn Write + 'u),
    input: &'u mut (dyn BufRead + 'u),
    asks: bool,
    /// How to speak.
    pub manners: Manners,
    progress: usize,
}

impl std::fmt::Debug for Ui<'_> {
    fn fmt(&self, out: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        out.debug_struct("Ui").field("manners", &self.manners).finish_non_exhaustive()
    }
}

impl<'u> Ui<'u> {
    /// The writer on streams. `asks` says that a person sits there and can be asked.
    pub fn new(
        out: &'u mut (dyn Write + 'u),
        err: &'u mut (dyn Write + 'u),
        input: &'u mut (dyn BufRead + 'u),
        manners: Manners,
        asks: bool,
    ) -> Ui<'u> {
        Ui { out, err, input, asks, manners, progress: 0 }
    }

    /// A line of data, wrapped at 80 columns; what follows the first line is indented.
    pub fn line(&mut self, text: &str) -> Result<(), Trouble> {
        self.toned(Tone::Plain, text)
    }

    /// A line of data with a tone.
    pub fn toned(&mut self, tone: Tone, text: &str) -> Result<(), Trouble> {
        for one in wrapped(text) {
            let painted = paint(tone, &one, self.manners.colour);
            writeln!(self.out, "{painted}")?;
        }
        Ok(())
    }

    /// Text as it is, for files that another program reads.
    pub fn raw(&mut self, text: &str) -> Result<(), Trouble> {
        self.out.write_all(text.as_bytes())?;
        Ok(())
    }

    /// A table: a heading and rows. The last column takes what is left and wraps.
    pub fn table(&mut self, heads: &[&str], rows: &[Vec<String>]) -> Result<(), Trouble> {
        let cell =
            |row: &[String], column: usize| plain::line(row.get(column).map_or("", |own| own));
        let last = heads.len().saturating_sub(1);
        let mut widths: Vec<usize> = heads.iter().map(|head| display_width(head)).collect();
        for row in rows {
            for (column, width) in widths.iter_mut().enumerate().take(last) {
                *width = (*width).max(display_width(&cell(row, column)).min(CELL_MAX));
            }
        }
        shrink(&mut widths, last);
        let before: usize = widths.iter().take(last).map(|width| width + 2).sum();
        let room = COLUMNS.saturating_sub(before).max(LAST_MIN);
        let head: Vec<String> = heads.iter().map(|head| (*head).to_owned()).collect();
        self.row(Tone::Head, &head, &widths, room)?;
        for row in rows {
            let cells: Vec<String> = (0..heads.len()).map(|column| cell(row, column)).collect();
            self.row(Tone::Plain, &cells, &widths, room)?;
        }
        Ok(())
    }

    fn row(
        &mut self,
        tone: Tone,
        cells: &[String],
        widths: &[usize],
        room: usize,
    ) -> Result<(), Trouble> {
        let last = cells.len().saturating_sub(1);
        let columns: Vec<Vec<String>> = cells
            .iter()
            .enumerate()
            .map(|(column, cell)| {
                let width = if column == last { room } else { widths[column] };
                split(cell, width)
            })
            .collect();
        let height = columns.iter().map(Vec::len).max().unwrap_or(0).max(1);
        for at in 0..height {
            let mut text = String::new();
            for (column, lines) in columns.iter().enumerate() {
                let piece = lines.get(at).map_or("", |piece| piece.as_str());
                text.push_str(piece);
                if column < last {
                    let gap = widths[column] + 2 - display_width(piece).min(widths[column]);
                    text.extend(std::iter::repeat_n(' ', gap));
                }
            }
            let painted = paint(tone, text.trim_end(), self.manners.colour);
            writeln!(self.out, "{painted}")?;
        }
        Ok(())
    }

    /// A value as JSON on one line. Marks that a terminal would obey are written as escapes: the value
    /// is the same.
    pub fn json(&mut self, value: &Value) -> Result<(), Trouble> {
        let text = escaped(&value.to_string());
        writeln!(self.out, "{text}")?;
        Ok(())
    }

    /// Talk: what happened, beside the data.
    pub fn talk(&mut self, tone: Tone, text: &str) {
        self.end_progress();
        for one in wrapped(text) {
            let painted = paint(tone, &one, self.manners.colour_err);
            // A listener that went away has nothing more to be told; the data is what counts.
            drop(writeln!(self.err, "{painted}"));
        }
    }

    /// How far a long step has come: written over the last one on a terminal, not at all elsewhere.
    pub fn progress(&mut self, text: &str) {
        if self.manners.live {
            let text: String = plain::line(text).chars().take(COLUMNS - 1).collect();
            let width = display_width(&text);
            let blanks = " ".repeat(self.progress.saturating_sub(width));
            drop(write!(self.err, "\r{text}{blanks}").and_then(|()| self.err.flush()));
            self.progress = width;
        }
    }

    fn end_progress(&mut self) {
        if self.progress > 0 {
            drop(writeln!(self.err));
            self.progress = 0;
        }
    }

    /// Whether a person can be asked.
    pub const fn asks(&self) -> bool {
        self.asks
    }

    /// Asks a person; none when nothing was typed.
    pub fn ask(&mut self, question: &str) -> Option<String> {
        self.end_progress();
        let question = wrapped(question).join("\n");
        drop(write!(self.err, "{question}\n> ").and_then(|()| self.err.flush()));
        let mut answer = String::new();
        self.input.read_line(&mut answer).ok()?;
        let answer = answer.trim();
        (!answer.is_empty()).then(|| answer.to_owned())
    }

    /// The next line of standard input; none at its end. A person at a terminal is shown that a line is
    /// waited for.
    pub fn read_line(&mut self) -> Result<Option<String>, Trouble> {
        self.out.flush()?;
        if self.asks {
            self.end_progress();
            drop(write!(self.err, "dripleg> ").and_then(|()| self.err.flush()));
        }
        let mut line = String::new();
        let read = self.input.read_line(&mut line)?;
        Ok((read > 0).then_some(line))
    }

    /// Everything that waits on standard input.
    pub fn read_all(&mut self) -> Result<String, Trouble> {
        let mut text = String::new();
        self.input.read_to_string(&mut text)?;
        Ok(text)
    }

    /// Ends: everything written reaches its reader.
    pub fn end(&mut self) -> Result<(), Trouble> {
        self.end_progress();
        self.out.flush()?;
        Ok(())
    }
}

/// Widest cell of a column that is not the last.
const CELL_MAX: usize = 28;
/// Least width of the last column.
const LAST_MIN: usize = 12;

/// Makes the columns before the last give way, the widest first, until the last has room.
fn shrink(widths: &mut [usize], last: usize) {
    loop {
        let before: usize = widths.iter().take(last).map(|width| width + 2).sum();
        if before + LAST_MIN <= COLUMNS {
            return;
        }
        let widest = widths.iter_mut().take(last).max();
        match widest {
            Some(width) if *width > 6 => *width -= 1,
            _ => return,
        }
    }
}

/// A cleaned text in pieces no wider than this; a word that is wider is broken.
fn split(text: &str, width: usize) -> Vec<String> {
    let options = textwrap::Options::new(width.max(1)).break_words(true);
    textwrap::wrap(text, options).into_iter().map(std::borrow::Cow::into_owned).collect()
}

/// A cleaned text in lines of at most 80 columns; what is indented stays so.
pub(crate) fn wrapped(text: &str) -> Vec<String> {
    let mut lines = vec![];
    for one in plain::paragraph(text).split('\n') {
        let indent: String = one.chars().take_while(|letter| *letter == ' ').collect();
        if indent.len() > COLUMNS / 2 || one.trim().is_empty() {
            lines.push(String::new());
            continue;
        }
        let hanging = format!("{indent}    ");
        let options = textwrap::Options::new(COLUMNS)
            .initial_indent(&indent)
            .subsequent_indent(&hanging)
            .break_words(true);
        let body = one.trim_start();
        lines.extend(textwrap::wrap(body, options).into_iter().map(std::borrow::Cow::into_owned));
    }
    lines
}

/// Columns that a text takes.
pub fn width(text: &str) -> usize {
    display_width(text)
}

fn paint(tone: Tone, text: &str, colour: bool) -> String {
    let style = match tone {
        Tone::Plain => return text.to_owned(),
        Tone::Head => Style::new().bold(),
        Tone::Look => Style::new().fg_color(Some(AnsiColor::Yellow.into())),
        Tone::Stop => Style::new().bold().fg_color(Some(AnsiColor::Red.into())),
        Tone::Dim => Style::new().dimmed(),
    };
    if colour && !text.is_empty() { format!("{style}{text}{style:#}") } else { text.to_owned() }
}

/// JSON text with everything that a terminal could obey as an escape of JSON.
fn escaped(json: &str) -> String {
    let mut out = String::with_capacity(json.len());
    let mut units = [0; 2];
    for letter in json.chars() {
        let clean = plain::line(letter.encode_utf8(&mut [0; 4]));
        let obeyed = letter.is_control() || clean.starts_with(plain::TAKEN_OUT);
        if letter != plain::TAKEN_OUT && obeyed {
            for unit in letter.encode_utf16(&mut units) {
                write!(out, "\\u{unit:04x}").expect("writing to memory does not fail");
            }
        } else {
            out.push(letter);
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lines_fit_and_words_that_do_not_are_broken() {
        let long = format!("  {} end", "x".repeat(200));
        for one in wrapped(&long) {
            assert!(display_width(&one) <= COLUMNS, "{one}");
        }
        assert_eq!(wrapped("a\n\nb"), ["a", "", "b"]);
    }

    #[test]
    fn json_keeps_its_value_and_obeys_nothing() {
        let value = serde_json::json!({"note": "a\u{1b}[2J\u{9b}b\u{202e}c\u{e0041}d\u{fffd}"});
        let text = escaped(&value.to_string());
        assert!(!text.contains(['\u{1b}', '\u{9b}', '\u{202e}', '\u{e0041}']), "{text:?}");
        assert_eq!(serde_json::from_str::<Value>(&text).unwrap(), value);
    }

    #[test]
    fn colour_is_only_round_the_words() {
        assert_eq!(paint(Tone::Stop, "outside", false), "outside");
        assert!(paint(Tone::Stop, "outside", true).contains("outside"));
    }
}
