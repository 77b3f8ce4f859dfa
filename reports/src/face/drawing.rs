//! Drawings as SVG: charts and the shapes that repeat a word. No script, no style of their own: every
//! line takes the colour of the text round it, or that of its class where a page has one.

use maud::{Markup, html};

use crate::chart::{Chart, LimitLine, LimitStyle, Point};
use crate::layout::{Dot, Shape};
use crate::text::Text;

/// Width of a chart's view box.
const WIDTH: f64 = 720.0;
/// Its height.
const HEIGHT: f64 = 310.0;
/// The field in which points lie: left, top, right, bottom.
const FIELD: (f64, f64, f64, f64) = (56.0, 26.0, 520.0, 252.0);
/// Letters of a limit's label on one line.
const LABEL: usize = 32;
/// Letters of what the caps are on one line.
const CAPS: usize = 66;
/// From one line of a label to the next.
const LINE: f64 = 13.0;

/// Where a value lies in the drawing.
struct Scale<'c>(&'c Chart);

impl Scale<'_> {
    fn x(&self, value: f64) -> f64 {
        between(value, self.0.x_range, (FIELD.0, FIELD.2))
    }

    fn y(&self, value: f64) -> f64 {
        between(value, self.0.y_range, (FIELD.3, FIELD.1))
    }
}

fn between(value: f64, (low, high): (f64, f64), (from, to): (f64, f64)) -> f64 {
    let span = if high > low { high - low } else { 1.0 };
    from + (to - from) * ((value - low) / span).clamp(0.0, 1.0)
}

/// A number as a drawing writes it: a tenth is finer than any eye.
fn n(value: f64) -> String {
    let text = format!("{value:.1}");
    text.strip_suffix(".0").map_or(text.clone(), str::to_owned)
}

/// A chart. `number` tells the charts of one page apart.
pub fn chart(chart: &Chart, number: usize) -> Markup {
    drawn(chart, number, "Canvas")
}

/// A chart whose open shapes are filled with the colour of the ground.
fn drawn(chart: &Chart, number: usize, ground: &str) -> Markup {
    let scale = Scale(chart);
    let (title, sentence) = (format!("chart-{number}-title"), format!("chart-{number}-desc"));
    html! {
        svg xmlns="http://www.w3.org/2000/svg" class="chart" role="img"
            viewBox=(format!("0 0 {} {}", n(WIDTH), n(HEIGHT)))
            aria-labelledby=(title) aria-describedby=(sentence)
            font-size="12" fill="currentColor" {
            title id=(title) { (letters(&chart.title)) }
            desc id=(sentence) { (letters(&chart.sentence)) }
            (bands(chart, &scale))
            (axes(chart, &scale))
            (lines(chart, &scale))
            (labels(chart, &scale))
            (losses(chart, &scale))
            @for point in &chart.points { (mark(point, &scale, ground)) }
            (legend(chart, ground))
        }
    }
}

/// The drawing of a chart as a file of its own.
pub fn chart_file(chart: &Chart) -> String {
    format!(
        "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n{}\n",
        drawn(chart, 1, "#fff").into_string()
    )
}

fn letters(text: &Text) -> String {
    text.joined()
}

/// Where along a limit begins.
fn start(limit: &LimitLine, scale: &Scale<'_>) -> f64 {
    limit.from_x.map_or(FIELD.0, |from| scale.x(from))
}

fn bands(chart: &Chart, scale: &Scale<'_>) -> Markup {
    let filled = |limit: &&LimitLine| limit.style == LimitStyle::Filled;
    html! {
        @for limit in chart.limits.iter().filter(filled) {
            @let top = limit.high.map_or(FIELD.1, |high| scale.y(high));
            @let foot = limit.low.map_or(FIELD.3, |low| scale.y(low));
            @let from = start(limit, scale);
            rect class="band" x=(n(from)) y=(n(top)) width=(n(FIELD.2 - from))
                height=(n((foot - top).max(1.0))) fill-opacity="0.14" {}
        }
    }
}

fn axes(chart: &Chart, scale: &Scale<'_>) -> Markup {
    let stroke = |x1: f64, y1: f64, x2: f64, y2: f64, opacity: &str| {
        html! {
            line x1=(n(x1)) y1=(n(y1)) x2=(n(x2)) y2=(n(y2)) stroke="currentColor"
                stroke-opacity=(opacity) {}
        }
    };
    html! {
        @for (value, words) in &chart.y_marks {
            @let y = scale.y(*value);
            (stroke(FIELD.0, y, FIELD.2, y, "0.18"))
            text x=(n(FIELD.0 - 6.0)) y=(n(y + 4.0)) text-anchor="end" { (words) }
        }
        (stroke(FIELD.0, FIELD.3, FIELD.2, FIELD.3, "1"))
        @for (at, (value, words)) in chart.x_marks.iter().enumerate() {
            @let x = scale.x(*value);
            (stroke(x, FIELD.3, x, FIELD.3 + 5.0, "1"))
            // Every second one a line lower, so that long names of months do not touch.
            @let drop = if at % 2 == 1 && chart.x_marks.len() > 3 { LINE } else { 0.0 };
            text x=(n(x)) y=(n(FIELD.3 + 18.0 + drop)) text-anchor="middle" { (words) }
        }
    }
}

fn lines(chart: &Chart, scale: &Scale<'_>) -> Markup {
    html! {
        @for limit in &chart.limits {
            @let from = start(limit, scale);
            @for value in [limit.low, limit.high].into_iter().flatten() {
                @let y = n(scale.y(value));
                @match limit.style {
                    LimitStyle::Dashed => {
                        line class="limit" x1=(n(from)) y1=(y) x2=(n(FIELD.2)) y2=(y)
                            stroke="currentColor" stroke-width="1.5" stroke-dasharray="10 5" {}
                    }
                    LimitStyle::Dotted => {
                        line class="limit" x1=(n(from)) y1=(y) x2=(n(FIELD.2)) y2=(y)
                            stroke="currentColor" stroke-width="1.5" stroke-dasharray="2 4" {}
                    }
                    LimitStyle::Filled => {
                        line class="limit" x1=(n(from)) y1=(y) x2=(n(FIELD.2)) y2=(y)
                            stroke="currentColor" stroke-width="1" {}
                    }
                }
            }
        }
    }
}

/// The words of every limit at its end, pushed apart where they would cover each other.
fn labels(chart: &Chart, scale: &Scale<'_>) -> Markup {
    let mut found: Vec<(f64, Vec<String>)> = chart
        .limits
        .iter()
        .filter_map(|limit| {
            let ends = [limit.low, limit.high].into_iter().flatten().map(|own| scale.y(own));
            let ends: Vec<f64> = ends.collect();
            let (first, last) = (*ends.first()?, *ends.last()?);
            let words = textwrap::wrap(&limit.label, LABEL);
            let words = words.into_iter().map(std::borrow::Cow::into_owned).collect();
            Some((f64::midpoint(first, last), words))
        })
        .collect();
    found.sort_by(|one, other| one.0.total_cmp(&other.0));
    let mut free = 12.0;
    html! {
        @for (middle, words) in &found {
            @let tall = LINE * f64::from(u32::try_from(words.len()).unwrap_or(1));
            @let top = (middle - tall / 2.0 + 10.0).max(free);
            @let () = free = top + tall;
            @for (at, line) in words.iter().enumerate() {
                @let down = LINE * f64::from(u32::try_from(at).unwrap_or(0));
                text x=(n(FIELD.2 + 8.0)) y=(n(top + down)) font-size="11" { (typed(line)) }
            }
        }
    }
}

/// Microamperes as the trade types them: our face lacks the letter, and a typesetter that takes it from another
/// face takes the whole line from there.
fn typed(line: &str) -> String {
    line.replace('\u{b5}', "u")
}

/// What was lost between visits: dotted, from as left to the next as found. No line goes through points.
fn losses(chart: &Chart, scale: &Scale<'_>) -> Markup {
    html! {
        @for (from, to) in &chart.losses {
            @if let (Some(from), Some(to)) = (chart.points.get(*from), chart.points.get(*to)) {
                line class="loss" x1=(n(scale.x(from.x))) y1=(n(scale.y(from.y)))
                    x2=(n(scale.x(to.x))) y2=(n(scale.y(to.y)))
                    stroke="currentColor" stroke-dasharray="1 5" stroke-linecap="round" {}
            }
        }
    }
}

fn mark(point: &Point, scale: &Scale<'_>, ground: &str) -> Markup {
    let (x, y) = (scale.x(point.x), scale.y(point.y));
    let (class, anchor, aside) =
        if point.left { ("left", "start", 9.0) } else { ("found", "end", -9.0) };
    html! {
        g class=(class) {
            @if let Some(half) = point.half {
                @let (top, foot) = (scale.y(point.y + half), scale.y(point.y - half));
                path d=(caps(x, top, foot)) fill="none" stroke="currentColor" {}
            }
            (sign(point.left, x, y, ground))
            text x=(n(x + aside)) y=(n(y + 4.0)) text-anchor=(anchor) { (point.label) }
        }
    }
}

fn caps(x: f64, top: f64, foot: f64) -> String {
    let (from, to) = (n(x - 4.0), n(x + 4.0));
    let (x, top, foot) = (n(x), n(top), n(foot));
    format!("M{from} {top}H{to}M{x} {top}V{foot}M{from} {foot}H{to}")
}

/// Found: an open diamond. Left: a solid square.
fn sign(left: bool, x: f64, y: f64, ground: &str) -> Markup {
    html! {
        @if left {
            rect x=(n(x - 4.0)) y=(n(y - 4.0)) width="8" height="8" {}
        } @else {
            path d=(format!("M{} {}l5.5 5.5l-5.5 5.5l-5.5 -5.5z", n(x), n(y - 5.5)))
                class="open" fill=(ground) stroke="currentColor" stroke-width="1.6" {}
        }
    }
}

fn legend(chart: &Chart, ground: &str) -> Markup {
    let y = HEIGHT - 18.0;
    let caps = letters(&chart.caps);
    let caps = textwrap::wrap(&caps, CAPS);
    html! {
        g class="found" {
            (sign(false, FIELD.0 + 6.0, y - 4.0, ground))
            text x=(n(FIELD.0 + 18.0)) y=(n(y)) { (letters(&chart.found)) }
        }
        g class="left" {
            (sign(true, FIELD.0 + 116.0, y - 4.0, ground))
            text x=(n(FIELD.0 + 128.0)) y=(n(y)) { (letters(&chart.left)) }
        }
        @if chart.points.iter().any(|point| point.half.is_some()) {
            @for (at, line) in caps.iter().enumerate() {
                @let down = LINE * f64::from(u32::try_from(at).unwrap_or(0));
                text x=(n(FIELD.0 + 216.0)) y=(n(y + down)) font-size="11" { (line) }
            }
        }
    }
}

/// A shape before a word. It repeats the word, so it is hidden from readers that speak.
pub fn shape(shape: Shape) -> Markup {
    html! {
        svg class="shape" xmlns="http://www.w3.org/2000/svg" viewBox="0 0 24 16" width="24" height="16"
            aria-hidden="true" focusable="false" fill="none" stroke="currentColor"
            stroke-width="1.8" {
            path d=(outline(shape)) {}
            @if let Some(x) = dot(shape) { circle cx=(x) cy="8" r="2.4" fill="currentColor" stroke="none" {} }
            @if let Some(fill) = filled(shape) { path d=(fill) fill="currentColor" stroke="none" {} }
        }
    }
}

const fn outline(shape: Shape) -> &'static str {
    match shape {
        Shape::Within | Shape::Above | Shape::Below => "M7 2H4V14H7M17 2H20V14H17",
        Shape::TooClose => "M7 2H4V14H7M17 2H20V14H17M16 8H24",
        Shape::NoFigure => "M4 2V4M4 7V9M4 12V14M20 2V4M20 7V9M20 12V14",
        Shape::NotTested => "M7 2H4V14H7M17 2H20V14H17M9 8H15",
        Shape::Found => "M12 2L18 8L12 14L6 8Z",
        Shape::Left => "M6 2H18V14H6Z",
        Shape::TwoAnswers => "M3 2H9V14H3M21 2H15V14H21",
        Shape::InService | Shape::PartAwaited | Shape::Watch | Shape::Unknown => {
            "M12 2A6 6 0 1 1 12 14A6 6 0 1 1 12 2Z"
        }
        Shape::ShutDown => "M6 2H18V14H9L6 11ZM9 5L15 11M15 5L9 11",
        Shape::NotReached => {
            "M12 2A6 6 0 0 1 16 3.5M18 8A6 6 0 0 1 16 12.5M12 14A6 6 0 0 1 8 12.5M6 8A6 6 0 0 1 8 3.5"
        }
        Shape::Removed => "M6 8H18",
    }
}

const fn dot(shape: Shape) -> Option<&'static str> {
    match shape {
        Shape::Within | Shape::NoFigure | Shape::PartAwaited => Some("12"),
        Shape::TooClose => Some("16"),
        Shape::Above => Some("22"),
        Shape::Below => Some("2"),
        _ => None,
    }
}

const fn filled(shape: Shape) -> Option<&'static str> {
    match shape {
        Shape::Left => Some("M6 2H18V14H6Z"),
        Shape::InService => Some("M12 2A6 6 0 1 1 12 14A6 6 0 1 1 12 2Z"),
        Shape::Watch => Some("M12 2A6 6 0 0 0 12 14Z"),
        _ => None,
    }
}

/// Dots, one a unit. The words before them say the same.
pub fn dots(dots: &[Dot]) -> Markup {
    let wide = 14 * dots.len().max(1);
    html! {
        svg class="dots" xmlns="http://www.w3.org/2000/svg" viewBox=(format!("0 0 {wide} 14"))
            width=(wide) height="14" aria-hidden="true" focusable="false" {
            @for (at, dot) in dots.iter().enumerate() {
                @let x = 7 + 14 * at;
                @match dot {
                    Dot::Happened => { circle cx=(x) cy="7" r="5" fill="currentColor" {} }
                    Dot::Not => {
                        circle cx=(x) cy="7" r="4.4" fill="none" stroke="currentColor"
                            stroke-width="1.2" {}
                    }
                    Dot::NotOpened => {
                        circle cx=(x) cy="7" r="4.4" fill="none" stroke="currentColor"
                            stroke-width="1.2" stroke-dasharray="1.5 2" {}
                    }
                }
            }
        }
    }
}
