//! A range with the confidence behind it.

use super::StatsError;

/// A range from `low` to `high`, in the unit of what it describes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Interval {
    /// The lower end.
    pub low: f64,
    /// The upper end.
    pub high: f64,
}

impl Interval {
    /// Whether `value` lies in the range, ends included.
    pub fn contains(self, value: f64) -> bool {
        self.low <= value && value <= self.high
    }
}

/// A two-sided confidence level between 0 and 1, ends excluded: 0.95 leaves 2.5 % outside at each end.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Level(f64);

impl Level {
    /// 80 %: for planning, where being wrong one time in five is cheap.
    pub const P80: Self = Self(0.80);
    /// 95 %: for anything that is said as a fact about a building.
    pub const P95: Self = Self(0.95);

    /// A level given as a fraction.
    pub fn new(fraction: f64) -> Result<Self, StatsError> {
        if fraction > 0.0 && fraction < 1.0 {
            Ok(Self(fraction))
        } else {
            Err(StatsError::OutOfRange {
                what: "confidence level",
                value: fraction,
                rule: "between 0 and 1, for example 0.95",
            })
        }
    }

    /// The fraction inside.
    pub fn fraction(self) -> f64 {
        self.0
    }

    /// The fraction left outside at each end.
    pub fn tail(self) -> f64 {
        (1.0 - self.0) / 2.0
    }

    /// The standard normal deviate of this level: 1.96 at 95 %.
    pub fn deviate(self) -> f64 {
        super::special::normal_quantile(0.5 + self.0 / 2.0)
    }
}
