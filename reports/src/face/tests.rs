use client_core::trade::unit::System;

use super::{drawing, page, terminal};
use crate::chart::{Chart, LimitLine, LimitStyle, Point};
use crate::kind::Kind;
use crate::layout::{Block, Cell, Column, Dot, Masthead, Report, Row, Shape, Table};
use crate::slip::Slip;
use crate::text::Text;
use crate::tongue::{Language, Tongue};

/// What people can type: markup of three kinds, escapes, writing from right to left, one endless word.
fn hostile() -> Vec<String> {
    let mut all: Vec<String> = [
        "<script>alert(1)</script><img src=x onerror=alert(1)>",
        "\"'><svg onload=alert(1)>&amp;&#60;",
        "#panic(\"set\") #eval(\"1\") $x^2$ *b* _i_ `r` <label> @ref // /* \\ #{",
        "=HYPERLINK(\"x\")",
        "\u{1b}[2J\u{9b}31m\u{7}\u{8}",
        "\u{202e}gnitirw\u{202c} \u{5e9}\u{5dc}\u{5d5}\u{5dd} \u{627}\u{644}",
        "{ $count -> [one] x } { \"\" }",
        "]]><!--",
    ]
    .map(str::to_owned)
    .into();
    all.push("x".repeat(4_000));
    all.push("\u{1f525}\u{200d}\u{4e2d}\u{6587} ".repeat(60));
    all
}

fn table(typed: &Text) -> Table {
    let cell = Cell { shape: Some(Shape::Above), text: typed.clone(), dots: vec![Dot::Not] };
    Table {
        caption: typed.clone(),
        columns: vec![Column::words(typed.clone(), 60), Column::figures(typed.clone(), 40)],
        rows: vec![Row(vec![cell.clone(), cell])],
        dense: true,
    }
}

fn chart(typed: &Text, letters: &str) -> Chart {
    let point = |x, left| Point { x, y: 1.0, half: Some(0.5), left, label: letters.to_owned() };
    Chart {
        title: typed.clone(),
        sentence: typed.clone(),
        found: typed.clone(),
        left: typed.clone(),
        caps: typed.clone(),
        table: table(typed),
        points: vec![point(1.0, false), point(2.0, true)],
        losses: vec![(0, 1), (7, 9)],
        limits: [LimitStyle::Dashed, LimitStyle::Dotted, LimitStyle::Filled]
            .map(|style| LimitLine {
                low: Some(0.5),
                high: Some(1.5),
                from_x: None,
                label: letters.to_owned(),
                style,
            })
            .into(),
        x_marks: vec![(1.0, letters.to_owned())],
        y_marks: vec![(1.0, letters.to_owned())],
        x_range: (0.0, 3.0),
        y_range: (0.0, 2.0),
    }
}

/// A report with the same letters at every place where a text can stand.
fn everywhere(kind: Kind, letters: &str) -> Report {
    let typed = Text::typed(letters);
    let clean = typed.joined();
    Report {
        kind,
        tongue: Tongue::new(Language::English, System::Us),
        title: clean.clone(),
        blocks: vec![
            Block::Masthead(Masthead {
                firm: typed.clone(),
                what: typed.clone(),
                aside: vec![typed.clone()],
            }),
            Block::Lead(typed.clone()),
            Block::Heading(2, typed.clone()),
            Block::Heading(3, typed.clone()),
            Block::Paragraph(typed.clone()),
            Block::Small(typed.clone()),
            Block::Caution(typed.clone()),
            Block::Items(vec![typed.clone()]),
            Block::Table(table(&typed)),
            Block::Chart(Box::new(chart(&typed, &clean))),
            Block::Lines(2, typed.clone()),
            Block::Signatures(vec![typed.clone()]),
            Block::Slip(Slip { banner: Some(typed.clone()), lines: vec![typed.clone()] }),
        ],
        foot: typed,
    }
}

#[test]
fn nothing_typed_becomes_markup_on_a_page() {
    for letters in hostile() {
        let page = page::body(&everywhere(Kind::Visit, &letters)).into_string();
        // Every tag of the page is one of ours.
        for (at, _) in page.match_indices('<') {
            let name: String =
                page[at + 1..].chars().take_while(char::is_ascii_alphanumeric).collect();
            let ours = [
                "",
                "article",
                "header",
                "div",
                "p",
                "h1",
                "h2",
                "h3",
                "ul",
                "li",
                "table",
                "caption",
                "thead",
                "tbody",
                "tr",
                "th",
                "td",
                "figure",
                "figcaption",
                "span",
                "strong",
                "bdi",
                "svg",
                "title",
                "desc",
                "rect",
                "line",
                "text",
                "g",
                "path",
                "circle",
                "footer",
            ];
            assert!(ours.contains(&name.as_str()), "{name} from {letters:?}");
        }
        assert!(!page.contains("onerror=alert(1)>") && !page.contains("<script"), "{letters:?}");
    }
}

#[test]
fn nothing_typed_moves_a_terminal_or_leaves_its_columns() {
    for letters in hostile() {
        let text = terminal::text(&everywhere(Kind::Visit, &letters));
        for line in text.lines() {
            // A slip is cut before it gets here; here it is made too wide on purpose.
            let slip = line.starts_with('#');
            let width = textwrap::core::display_width(line);
            assert!(slip || width <= terminal::COLUMNS, "{width}: {line}");
        }
        let obeyed = |letter: char| {
            letter.is_control() && letter != '\n' || ('\u{202a}'..='\u{202e}').contains(&letter)
        };
        assert!(!text.contains(obeyed), "{letters:?}");
    }
}

#[test]
fn a_drawing_speaks_and_stays_in_its_field() {
    let words = Text::words("Flame current");
    let drawn = drawing::chart(&chart(&words, "1.0"), 3).into_string();
    for wanted in ["role=\"img\"", "<title id=\"chart-3-title\">", "<desc id=\"chart-3-desc\">"] {
        assert!(drawn.contains(wanted), "{wanted}");
    }
    assert!(!drawn.contains("NaN") && !drawn.contains("inf"));
}

#[test]
fn a_page_in_one_file_loads_and_runs_nothing() {
    let page = page::document(&everywhere(Kind::Visit, "plain"));
    assert!(page.contains("default-src 'none'"));
    for never in ["http://", "https://", "<script", "<link", "javascript:", "@import"] {
        let found = page.replace("http://www.w3.org/2000/svg", "");
        assert!(!found.contains(never), "{never}");
    }
}

#[cfg(feature = "pdf")]
mod paper {
    use super::*;
    use crate::face::paper::{Paper, PaperWrong, pdf};

    #[test]
    fn what_looks_like_markup_is_set_as_it_stands_and_the_bytes_are_the_same() {
        for letters in hostile() {
            let report = everywhere(Kind::Visit, &letters);
            for paper in [Paper::A4, Paper::Letter] {
                let one =
                    pdf(&report, paper).unwrap_or_else(|wrong| panic!("{letters:?}: {wrong}"));
                assert!(one.starts_with(b"%PDF-1.7"));
                assert_eq!(one, pdf(&report, paper).unwrap(), "{letters:?}");
            }
        }
    }

    #[test]
    fn a_slip_goes_on_a_roll_and_nothing_else_does() {
        let slip = everywhere(Kind::Column, "plain");
        assert!(matches!(pdf(&slip, Paper::A4), Err(PaperWrong::Fits)));
        assert!(matches!(
            pdf(&everywhere(Kind::Visit, "plain"), Paper::Roll58),
            Err(PaperWrong::Fits)
        ));
    }
}
