//! Guard bands: how far inside a limit a figure must lie before it counts as inside.

use crate::trade::impossible::Impossible;
use crate::trade::quantity::{Amount, Ratio};
use crate::trade::uncertainty::Uncertain;
use crate::trade::verdict::Limit;
use statrs::function::erf::erfc;

/// A guard band of `multiplier` times the expanded uncertainty `coverage` u.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Guard {
    /// Times the expanded uncertainty.
    pub multiplier: Ratio,
    /// Coverage factor k.
    pub coverage: Ratio,
}

impl Guard {
    /// One-sided 5 %: 1.64 u. Source: JCGM 106:2012 8.3; the normal distribution.
    pub const COMMON: Guard =
        Guard { multiplier: Ratio::from_ratio(0.82), coverage: Ratio::from_ratio(2.0) };
    /// The full expanded uncertainty. Source: ILAC-G8:09/2019 4.2.3, w = U.
    pub const STRICT: Guard =
        Guard { multiplier: Ratio::from_ratio(1.0), coverage: Ratio::from_ratio(2.0) };
    /// None: simple acceptance.
    pub const NONE: Guard =
        Guard { multiplier: Ratio::from_ratio(0.0), coverage: Ratio::from_ratio(2.0) };

    /// Width of the band for a standard uncertainty, in the same unit.
    pub fn band(self, u: f64) -> f64 {
        self.multiplier.ratio() * self.coverage.ratio() * u
    }
}

/// Ends of a window in the figure's unit, infinite where there is none.
#[derive(Clone, Copy, Debug)]
pub(super) struct Ends {
    pub(super) low: f64,
    pub(super) high: f64,
}

impl Ends {
    pub(super) fn of(read: Uncertain, limit: &Limit) -> Result<Ends, Impossible> {
        if !read.amount.value.is_finite() || !read.u.is_finite() || read.u < 0.0 {
            return Err(Impossible::NoFigure { what: "reading or its uncertainty" });
        }
        let end = |end: Option<Amount>, none: f64| match end {
            None => Ok(none),
            Some(end) => end
                .to(read.amount.unit)
                .map(|own| own.value)
                .filter(|value| value.is_finite())
                .ok_or(Impossible::NoFigure { what: "limit in the unit of the reading" }),
        };
        let (low, high) = (end(limit.low, f64::NEG_INFINITY)?, end(limit.high, f64::INFINITY)?);
        if low > high {
            let unit = read.amount.unit;
            return Err(Impossible::WindowReversed {
                what: "the limit",
                low: Amount::new(low, unit),
                high: Amount::new(high, unit),
            });
        }
        Ok(Ends { low, high })
    }

    /// Chance that the true value lies inside, for a normal spread about the figure.
    pub(super) fn chance(self, u: f64, y: f64) -> f64 {
        if u <= 0.0 {
            return if y >= self.low && y <= self.high { 1.0 } else { 0.0 };
        }
        (normal((self.high - y) / u) - normal((self.low - y) / u)).clamp(0.0, 1.0)
    }
}

/// Standard normal chance of a value at or below `z`.
fn normal(z: f64) -> f64 {
    if z.is_infinite() {
        return if z > 0.0 { 1.0 } else { 0.0 };
    }
    0.5 * erfc(-z / std::f64::consts::SQRT_2)
}

/// Four answers of a guarded window. Source: ILAC-G8:09/2019 4.2.4.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum FourWay {
    /// Inside by more than the band.
    Pass,
    /// Inside, within the band.
    ConditionalPass,
    /// Outside, within the band.
    ConditionalFail,
    /// Outside by more than the band.
    Fail,
    /// The two bands leave no room between them.
    Undecidable,
}

/// Everything that JCGM 106 says of a figure in a window.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Decision {
    /// Expanded uncertainty, in the figure's unit.
    pub expanded: f64,
    /// Width of the guard band, in the figure's unit.
    pub band: f64,
    /// Chance that the true value lies inside.
    pub chance: Ratio,
    /// Whether the figure as read lies inside.
    pub inside: bool,
    /// The four-way answer.
    pub four: FourWay,
}

/// Decides on a figure.
pub fn decide(read: Uncertain, limit: &Limit, guard: Guard) -> Result<Decision, Impossible> {
    let Ends { low, high } = Ends::of(read, limit)?;
    let (y, band) = (read.amount.value, guard.band(read.u));
    let (accept_low, accept_high) = (low + band, high - band);
    let inside = y >= low && y <= high;
    let four = if accept_low > accept_high {
        FourWay::Undecidable
    } else if y >= accept_low && y <= accept_high {
        FourWay::Pass
    } else if inside {
        FourWay::ConditionalPass
    } else if y >= low - band && y <= high + band {
        FourWay::ConditionalFail
    } else {
        FourWay::Fail
    };
    Ok(Decision {
        expanded: guard.coverage.ratio() * read.u,
        band,
        chance: Ratio::from_ratio(Ends { low, high }.chance(read.u, y)),
        inside,
        four,
    })
}
