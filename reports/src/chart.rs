//! A chart as data: points, limits and bands, every label already said. A face draws it.

use crate::layout::Table;
use crate::text::Text;

/// A chart of one figure over firing hours or days.
#[derive(Clone, Debug, PartialEq)]
pub struct Chart {
    /// What it shows, with its unit.
    pub title: Text,
    /// What somebody hears who does not see it, and reads below it.
    pub sentence: Text,
    /// Word for a point as found.
    pub found: Text,
    /// Word for a point as left.
    pub left: Text,
    /// What the caps on a point are.
    pub caps: Text,
    /// The same points in a table, for those who do not see the drawing.
    pub table: Table,
    /// Points in the order of time.
    pub points: Vec<Point>,
    /// Losses between visits: from a point to a point, by place.
    pub losses: Vec<(usize, usize)>,
    /// Limits.
    pub limits: Vec<LimitLine>,
    /// Marks of the horizontal axis.
    pub x_marks: Vec<(f64, String)>,
    /// Marks of the vertical axis.
    pub y_marks: Vec<(f64, String)>,
    /// Least and most of the horizontal axis.
    pub x_range: (f64, f64),
    /// Least and most of the vertical axis.
    pub y_range: (f64, f64),
}

/// A point.
#[derive(Clone, Debug, PartialEq)]
pub struct Point {
    /// Where along.
    pub x: f64,
    /// The value.
    pub y: f64,
    /// How far the instrument's doubt reaches either way; none when it is not known.
    pub half: Option<f64>,
    /// As left; else as found.
    pub left: bool,
    /// The value, said.
    pub label: String,
}

/// A limit: a line, or a band between two.
#[derive(Clone, Debug, PartialEq)]
pub struct LimitLine {
    /// Lower end.
    pub low: Option<f64>,
    /// Upper end.
    pub high: Option<f64>,
    /// From where along it holds; none for all along.
    pub from_x: Option<f64>,
    /// The limit and its source, said.
    pub label: String,
    /// How it is drawn: the plate dashed, the firm dotted, others as a filled band.
    pub style: LimitStyle,
}

/// How a limit is drawn.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum LimitStyle {
    /// Dashes: the plate and what stands on the unit.
    Dashed,
    /// Dots: the firm's own line and the unit's own baseline.
    Dotted,
    /// Filled: the maker's band.
    Filled,
}

impl Chart {
    /// Every text.
    pub fn texts(&self) -> Vec<&Text> {
        vec![&self.title, &self.sentence, &self.found, &self.left, &self.caps]
    }
}

/// Steps of 1, 2 or 5 that part an axis into four to eight.
pub fn marks(low: f64, high: f64) -> Vec<f64> {
    let span = high - low;
    if !span.is_finite() || span <= 0.0 {
        return vec![low];
    }
    let rough = span / 6.0;
    let power = 10_f64.powf(rough.log10().floor());
    let step = [1.0, 2.0, 5.0, 10.0].into_iter().map(|step| step * power);
    let step = step.into_iter().find(|step| *step >= rough).unwrap_or(rough);
    let mut at = (low / step).ceil() * step;
    let mut found = vec![];
    while at <= high + step * 1e-9 && found.len() < 20 {
        found.push(if at.abs() < step * 1e-9 { 0.0 } else { at });
        at += step;
    }
    found
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn axes_are_parted_evenly() {
        assert_eq!(marks(0.0, 5.0), [0.0, 1.0, 2.0, 3.0, 4.0, 5.0]);
        assert_eq!(marks(-0.2, 0.3).len(), 6);
        assert_eq!(marks(3.0, 3.0), [3.0]);
        assert_eq!(marks(0.0, f64::NAN), [0.0]);
        assert!(marks(0.0, 1e9).len() < 12);
    }
}
