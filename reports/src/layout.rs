//! The intermediate document: what every face lays out, word for word.

use crate::chart::Chart;
use crate::kind::Kind;
use crate::slip::Slip;
use crate::text::Text;
use crate::tongue::Tongue;

/// A report in one language and one system of units.
#[derive(Clone, Debug, PartialEq)]
pub struct Report {
    /// Which report.
    pub kind: Kind,
    /// In which language and units.
    pub tongue: Tongue,
    /// The title, for a window, a file, a reader that speaks.
    pub title: String,
    /// Everything on it, in order.
    pub blocks: Vec<Block>,
    /// What stands at the foot of each sheet of paper.
    pub foot: Text,
}

/// A block.
#[derive(Clone, Debug, PartialEq)]
pub enum Block {
    /// The head of the first sheet.
    Masthead(Masthead),
    /// The sentence that somebody reads who reads nothing else.
    Lead(Text),
    /// A heading: level 2 of a part, 3 of a unit or a subject in it.
    Heading(u8, Text),
    /// A paragraph.
    Paragraph(Text),
    /// A paragraph of lesser weight.
    Small(Text),
    /// Something that must not be overlooked. Set off by a frame.
    Caution(Text),
    /// Sentences one below the other.
    Items(Vec<Text>),
    /// A table.
    Table(Table),
    /// A chart with its sentence.
    Chart(Box<Chart>),
    /// Places to sign.
    Signatures(Vec<Text>),
    /// Lines to be written on by hand, with what belongs there.
    Lines(u8, Text),
    /// A narrow slip.
    Slip(Slip),
}

/// The head of the first sheet.
#[derive(Clone, Debug, PartialEq)]
pub struct Masthead {
    /// The firm.
    pub firm: Text,
    /// What this is, of when.
    pub what: Text,
    /// Site, customer, who came.
    pub aside: Vec<Text>,
}

/// A table. Figures stand to the right edge; a cell is never empty without a word for it.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Table {
    /// What it is, for a reader that speaks and as a small heading.
    pub caption: Text,
    /// Columns.
    pub columns: Vec<Column>,
    /// Rows; each has as many cells as there are columns.
    pub rows: Vec<Row>,
    /// Set small: many figures beside each other.
    pub dense: bool,
}

impl Table {
    /// Every text.
    pub fn texts(&self) -> Vec<&Text> {
        let mut all = vec![&self.caption];
        all.extend(self.columns.iter().map(|column| &column.head));
        all.extend(self.rows.iter().flat_map(|row| &row.0).map(|cell| &cell.text));
        all
    }
}

/// A column.
#[derive(Clone, Debug, PartialEq)]
pub struct Column {
    /// Its head.
    pub head: Text,
    /// Share of the width.
    pub share: u8,
    /// Figures stand to the right.
    pub figures: bool,
}

impl Column {
    /// A column of words.
    pub fn words(head: impl Into<Text>, share: u8) -> Column {
        Column { head: head.into(), share, figures: false }
    }

    /// A column of figures.
    pub fn figures(head: impl Into<Text>, share: u8) -> Column {
        Column { head: head.into(), share, figures: true }
    }
}

/// A row.
#[derive(Clone, Debug, PartialEq)]
pub struct Row(pub Vec<Cell>);

/// A cell: a shape, words, dots.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Cell {
    /// A shape before the words. It repeats them, and is never alone.
    pub shape: Option<Shape>,
    /// The words.
    pub text: Text,
    /// One dot a unit, behind the words.
    pub dots: Vec<Dot>,
}

impl From<Text> for Cell {
    fn from(text: Text) -> Cell {
        Cell { text, ..Cell::default() }
    }
}

impl From<String> for Cell {
    fn from(words: String) -> Cell {
        Cell::from(Text::words(words))
    }
}

impl Cell {
    /// Words behind a shape.
    pub fn shaped(shape: Shape, text: impl Into<Text>) -> Cell {
        Cell { shape: Some(shape), text: text.into(), dots: vec![] }
    }
}

/// A unit in a strip of dots.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Dot {
    /// It happened.
    Happened,
    /// It was looked for and did not happen.
    Not,
    /// The unit was not opened.
    NotOpened,
}

/// Shapes that repeat a word. A bracket is the limits, the dot in it the reading.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Shape {
    /// Within the limits entered.
    Within,
    /// The instrument cannot tell.
    TooClose,
    /// Above.
    Above,
    /// Below.
    Below,
    /// No figure to compare with.
    NoFigure,
    /// Not tested.
    NotTested,
    /// As found.
    Found,
    /// As left.
    Left,
    /// Two answers.
    TwoAnswers,
    /// In service.
    InService,
    /// In service, a part awaited.
    PartAwaited,
    /// On watch.
    Watch,
    /// Shut down, tagged.
    ShutDown,
    /// Not known, or stopped by its own control.
    Unknown,
    /// Not reached.
    NotReached,
    /// Removed.
    Removed,
}

impl Shape {
    /// Every shape.
    pub const ALL: [Shape; 16] = [
        Shape::Within,
        Shape::TooClose,
        Shape::Above,
        Shape::Below,
        Shape::NoFigure,
        Shape::NotTested,
        Shape::Found,
        Shape::Left,
        Shape::TwoAnswers,
        Shape::InService,
        Shape::PartAwaited,
        Shape::Watch,
        Shape::ShutDown,
        Shape::Unknown,
        Shape::NotReached,
        Shape::Removed,
    ];

    /// Its name in pages and files.
    pub const fn key(self) -> &'static str {
        match self {
            Shape::Within => "within",
            Shape::TooClose => "too-close",
            Shape::Above => "above",
            Shape::Below => "below",
            Shape::NoFigure => "no-figure",
            Shape::NotTested => "not-tested",
            Shape::Found => "found",
            Shape::Left => "left",
            Shape::TwoAnswers => "two-answers",
            Shape::InService => "in-service",
            Shape::PartAwaited => "part-awaited",
            Shape::Watch => "watch",
            Shape::ShutDown => "shut-down",
            Shape::Unknown => "unknown",
            Shape::NotReached => "not-reached",
            Shape::Removed => "removed",
        }
    }
}

impl Report {
    /// Every text on the report, in order, for checks over all of them.
    pub fn texts(&self) -> Vec<&Text> {
        let mut all = vec![&self.foot];
        for block in &self.blocks {
            match block {
                Block::Masthead(head) => {
                    all.extend([&head.firm, &head.what]);
                    all.extend(&head.aside);
                }
                Block::Lead(text)
                | Block::Heading(_, text)
                | Block::Paragraph(text)
                | Block::Small(text)
                | Block::Caution(text)
                | Block::Lines(_, text) => all.push(text),
                Block::Items(items) | Block::Signatures(items) => all.extend(items),
                Block::Table(table) => all.extend(table.texts()),
                Block::Chart(chart) => {
                    all.extend(chart.texts());
                    all.extend(chart.table.texts());
                }
                Block::Slip(slip) => all.extend(slip.texts()),
            }
        }
        all
    }
}
