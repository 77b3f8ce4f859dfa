//! Readings of one quantity by day: found an open diamond, left a solid square, caps the instrument's own
//! doubt, the figures they are held against labelled with their source. A table beside it says the same.

use maud::{Markup, html};

use crate::review::history::{Held, Point, Series, day_word};

const WIDTH: f64 = 900.0;
const HEIGHT: f64 = 210.0;
const LEFT: f64 = 52.0;
const RIGHT: f64 = 230.0;
const TOP: f64 = 14.0;
const FOOT: f64 = 28.0;
/// How far a left reading stands beside the found one of the same day.
const ASIDE: f64 = 14.0;

/// Ends of an axis and the step between its lines.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Scale {
    low: f64,
    high: f64,
    step: f64,
}

impl Scale {
    /// An axis round these figures, with three to seven lines at round figures.
    fn round(figures: impl Iterator<Item = f64>) -> Option<Scale> {
        let figures: Vec<f64> = figures.filter(|figure| figure.is_finite()).collect();
        let low = figures.iter().copied().reduce(f64::min)?;
        let high = figures.iter().copied().reduce(f64::max)?;
        let span = (high - low).max(high.abs().max(low.abs()) * 0.05).max(1e-6);
        let power = 10_f64.powf((span / 4.0).log10().floor());
        let rough = span / 4.0 / power;
        let step = power
            * match rough {
                rough if rough <= 1.0 => 1.0,
                rough if rough <= 2.0 => 2.0,
                rough if rough <= 5.0 => 5.0,
                _ => 10.0,
            };
        let low = ((low - span * 0.05) / step).floor() * step;
        let high = ((high + span * 0.05) / step).ceil() * step;
        Some(Scale { low, high, step })
    }

    fn lines(self) -> Vec<f64> {
        let mut lines = vec![];
        let mut at = self.low;
        while at <= self.high + self.step * 0.5 && lines.len() < 20 {
            lines.push(at);
            at += self.step;
        }
        lines
    }

    fn places(self) -> usize {
        [0_u16, 1, 2, 3, 4]
            .into_iter()
            .find(|places| {
                let scaled = self.step * 10_f64.powi(i32::from(*places));
                (scaled - scaled.round()).abs() < 1e-6
            })
            .map_or(4, usize::from)
    }
}

/// Where things stand in the drawing.
struct Frame {
    y: Scale,
    first: i32,
    last: i32,
}

impl Frame {
    fn x(&self, day: i32) -> f64 {
        let span = f64::from((self.last - self.first).max(1));
        let at = f64::from(day.clamp(self.first, self.last) - self.first) / span;
        let room = WIDTH - LEFT - RIGHT - 90.0;
        LEFT + 24.0 + at * room
    }

    fn y(&self, value: f64) -> f64 {
        let room = HEIGHT - TOP - FOOT;
        TOP + room * (1.0 - (value - self.y.low) / (self.y.high - self.y.low))
    }
}

fn held_ends(held: &Held) -> impl Iterator<Item = f64> {
    held.low.into_iter().chain(held.high)
}

/// A chart; nothing where nothing was read.
pub fn chart(series: &Series) -> Markup {
    let figures = series
        .points
        .iter()
        .flat_map(|point| doubt_of(series, point))
        .chain(series.held.iter().flat_map(held_ends));
    let days = series.points.iter().map(|point| point.day);
    let (Some(y), Some(first), Some(last)) =
        (Scale::round(figures), days.clone().min(), days.max())
    else {
        return html! {};
    };
    let frame = Frame { y, first, last };
    let name = format!("{}, {} by day", series.quantity, series.unit);
    html! {
        figure.chart {
            figcaption { b { (name) } }
            svg viewBox={ "0 0 " (WIDTH) " " (HEIGHT) } role="img" aria-label={ (name) "; the table below says the same" } {
                @for held in &series.held { (band(&frame, held)) }
                @for line in y.lines() {
                    path.grid d={ "M" (LEFT) " " (px(frame.y(line))) "H" (WIDTH - RIGHT) } {}
                    text.end x=(LEFT - 8.0) y=(px(frame.y(line) + 4.0)) { (format!("{line:.*}", y.places())) }
                }
                @for held in &series.held { (limits(&frame, held)) }
                (slopes(&frame, &series.points))
                @for point in &series.points { (mark(&frame, point, doubt_of(series, point))) }
                (labels(&frame, &series.held))
                @for day in ends(&series.points) {
                    text.mid x=(px(frame.x(day) + ASIDE / 2.0)) y=(HEIGHT - 8.0) { (day_word(day)) }
                }
            }
            (table(series))
        }
    }
}

fn px(at: f64) -> String {
    format!("{at:.1}")
}

/// Days that are written under the chart: as many as fit beside each other.
fn ends(points: &[Point]) -> Vec<i32> {
    let mut days: Vec<i32> = points.iter().map(|point| point.day).collect();
    days.sort_unstable();
    days.dedup();
    let every = days.len().div_ceil(5).max(1);
    days.into_iter().step_by(every).collect()
}

fn band(frame: &Frame, held: &Held) -> Markup {
    let (Some(low), Some(high)) = (held.low, held.high) else { return html! {} };
    let x = held.from.map_or(LEFT, |from| if from <= frame.first { LEFT } else { frame.x(from) });
    let (top, foot) = (frame.y(high), frame.y(low));
    html! { rect.band x=(px(x)) y=(px(top)) width=(px(WIDTH - RIGHT - x)) height=(px(foot - top)) {} }
}

fn limits(frame: &Frame, held: &Held) -> Markup {
    html! {
        @if held.low.is_none() || held.high.is_none() {
            @for end in held_ends(held) {
                path.limit d={ "M" (LEFT) " " (px(frame.y(end))) "H" (WIDTH - RIGHT) } {}
            }
        }
    }
}

/// Names of the figures at the end of the lines, moved apart where they would lie on each other.
fn labels(frame: &Frame, held: &[Held]) -> Markup {
    let middle = |held: &Held| {
        let ends: Vec<f64> = held_ends(held).collect();
        let count = f64::from(u32::try_from(ends.len().max(1)).unwrap_or(1));
        ends.iter().sum::<f64>() / count
    };
    let mut places: Vec<(f64, &Held)> =
        held.iter().map(|held| (frame.y(middle(held)) + 4.0, held)).collect();
    places.sort_by(|one, other| one.0.total_cmp(&other.0));
    let mut last = -20.0;
    for place in &mut places {
        place.0 = place.0.max(last + 34.0);
        last = place.0;
    }
    let x = WIDTH - RIGHT + 8.0;
    html! {
        @for (y, held) in places {
            text.b x=(x) y=(px(y - 6.0)) { (held.figure) }
            text x=(x) y=(px(y + 9.0)) { (held.source) }
        }
    }
}

/// From a left reading to the found one of the next visit: what was lost in between. No line through all.
fn slopes(frame: &Frame, points: &[Point]) -> Markup {
    let pairs = points.windows(2).filter(|pair| pair[0].left && !pair[1].left);
    html! {
        @for pair in pairs {
            path.slope d={ "M" (px(frame.x(pair[0].day) + ASIDE)) " " (px(frame.y(pair[0].value)))
                "L" (px(frame.x(pair[1].day))) " " (px(frame.y(pair[1].value))) } {}
        }
    }
}

/// Between what a reading may lie by its instrument. Nothing is less than none of it, whatever the doubt.
fn doubt_of(series: &Series, point: &Point) -> [f64; 2] {
    let [low, high] = [point.value - 2.0 * point.u, point.value + 2.0 * point.u];
    let at_least_none = matches!(series.unit.as_str(), "ppm" | "%" | "uA") && point.value >= 0.0;
    [if at_least_none { low.max(0.0) } else { low }, high]
}

fn mark(frame: &Frame, point: &Point, [low, high]: [f64; 2]) -> Markup {
    let x = frame.x(point.day) + if point.left { ASIDE } else { 0.0 };
    let y = frame.y(point.value);
    let (top, foot) = (frame.y(high), frame.y(low));
    let class = if point.left { "left-c" } else { "found-c" };
    html! {
        g class=(class) {
            @if point.moved { circle.ring cx=(px(x)) cy=(px(y)) r="12" {} }
            @if foot - top > 2.0 {
                path.thin d={ "M" (px(x)) " " (px(top)) "V" (px(foot)) "M" (px(x - 6.0)) " " (px(top)) "H" (px(x + 6.0))
                    "M" (px(x - 6.0)) " " (px(foot)) "H" (px(x + 6.0)) } {}
            }
            @if point.left { rect.solid x=(px(x - 5.0)) y=(px(y - 5.0)) width="10" height="10" {} }
            @else { path.open d={ "M" (px(x)) " " (px(y - 7.0)) "L" (px(x + 7.0)) " " (px(y)) "L" (px(x)) " " (px(y + 7.0)) "L" (px(x - 7.0)) " " (px(y)) "Z" } {} }
        }
        text.figure x=(px(x + if point.left { 10.0 } else { -10.0 })) y=(px(y - 9.0)) .end[!point.left] { (point.shown) }
    }
}

fn table(series: &Series) -> Markup {
    let doubt = series.points.iter().any(|point| point.u > 0.0);
    let moved = series.points.iter().any(|point| point.moved);
    html! {
        details {
            summary { "The same as a table" }
            div.scroll { table {
                thead { tr { th scope="col" { "Day" } th scope="col" { "Phase" } th.r scope="col" { (series.unit) }
                    @if doubt { th.r scope="col" { "± (twice the standard uncertainty)" } }
                    @if moved { th scope="col" { "Against the limits" } } } }
                tbody { @for point in &series.points { tr {
                    td.nowrap { (day_word(point.day)) }
                    td { @if point.left { "left" } @else { "found" } }
                    td.r { (point.shown) }
                    @if doubt { td.r { (format!("{:.2}", 2.0 * point.u)) } }
                    @if moved { td { @if point.moved { "moved" } @else { "inside" } } }
                } } }
            } }
            @for held in &series.held { p.dim { (held.figure) " (" (held.source) ")" } }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn axes_stand_at_round_figures_and_hold_every_reading() {
        for figures in
            [vec![0.7, 4.1], vec![3.5], vec![0.0], vec![-0.03, -0.028], vec![12.0, 604.0]]
        {
            let scale = Scale::round(figures.iter().copied()).unwrap();
            assert!(scale.low < scale.high && scale.lines().len() <= 20, "{figures:?} {scale:?}");
            assert!(figures.iter().all(|own| scale.low <= *own && *own <= scale.high), "{scale:?}");
        }
        assert_eq!(Scale::round(std::iter::empty()), None);
        assert_eq!(Scale::round([f64::NAN].into_iter()), None);
    }
}
