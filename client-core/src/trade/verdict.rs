//! A figure against a limit: within, outside by so much, too close to call, not tested, or no target.
//!
//! The program informs; the plate, local code and licensed practice decide.

pub mod agreement;
pub mod carbon_monoxide;
pub mod guard;
pub mod words;

pub use agreement::agree;
pub use guard::{Decision, FourWay, Guard};

use crate::trade::impossible::Impossible;
use crate::trade::quantity::{Amount, Quantity};
use crate::trade::uncertainty::Uncertain;
use crate::trade::unit::Unit;
use crate::trade::worked::{Formula, Line, Sheet, Worked};

/// Formula of the verdict.
pub const VERDICT: Formula = Formula {
    id: "verdict.guarded",
    version: 1,
    name: "verdict with guard band",
    expression: "within: low + w <= y <= high - w; outside: beyond a limit by more than w; w = 1.64 u",
    source: "JCGM 106:2012 section 8.3, ILAC-G8:09/2019 section 4",
    range: "normal spread; a false answer at most one time in twenty",
    function: "verdict::judge",
    test: "golden_tables_hold",
};

/// Which side of its limit a figure lies on.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Side {
    /// Under the lower limit.
    Under,
    /// Over the upper limit.
    Over,
}

/// A window with the source that governs it. A limit without a source cannot be made.
#[derive(Clone, Debug, PartialEq)]
pub struct Limit {
    /// Least value allowed.
    pub low: Option<Amount>,
    /// Most value allowed.
    pub high: Option<Amount>,
    /// Where it comes from: plate, written answer, firm's setting with date.
    pub source: String,
}

impl Limit {
    /// At most so much.
    pub fn at_most(high: Amount, source: impl Into<String>) -> Limit {
        Limit { low: None, high: Some(high), source: source.into() }
    }

    /// At least so much.
    pub fn at_least(low: Amount, source: impl Into<String>) -> Limit {
        Limit { low: Some(low), high: None, source: source.into() }
    }

    /// From `low` to `high`.
    pub fn between(low: Amount, high: Amount, source: impl Into<String>) -> Limit {
        Limit { low: Some(low), high: Some(high), source: source.into() }
    }
}

/// What a figure says about its limit.
#[derive(Clone, Debug, PartialEq)]
pub enum Verdict {
    /// Inside, by more than the instrument's doubt.
    Within {
        /// Distance to the nearest limit.
        margin: Amount,
    },
    /// Beyond a limit, by more than the instrument's doubt.
    OutsideBy {
        /// Distance beyond.
        by: Amount,
        /// Beyond which.
        side: Side,
    },
    /// The instrument cannot tell.
    TooCloseToCall {
        /// Distance to the nearest limit, negative when beyond it.
        margin: Amount,
        /// The limit that it is close to.
        side: Side,
        /// Chance that the true value lies inside, in percent.
        chance_inside: f64,
    },
    /// Nobody measured.
    NotTested {
        /// Why, as the record says.
        reason: String,
    },
    /// Measured, but there is nothing to hold it against.
    NoTargetYet {
        /// What the appliance's own baseline says, if it has one.
        against_baseline: Option<Change>,
    },
}

/// A figure beside the appliance's own proved baseline.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Change {
    /// The figure less the baseline.
    pub change: Amount,
    /// Whether the change is more than the two readings' doubt.
    pub beyond_doubt: bool,
    /// Whether it is more than what is commonly let pass for this reading.
    pub beyond_usual: bool,
}

/// Judges a figure.
///
/// ```
/// use client_core::trade::quantity::Amount;
/// use client_core::trade::uncertainty::Uncertain;
/// use client_core::trade::unit::Unit;
/// use client_core::trade::verdict::{judge, Guard, Limit, Verdict};
/// let co = |ppm| Uncertain { amount: Amount::new(ppm, Unit::Ppm), u: 12.0 };
/// let limit = Limit::at_most(Amount::new(400.0, Unit::Ppm), "firm's setting of 2024-10-01");
/// assert!(matches!(judge(co(330.0), &limit, Guard::COMMON), Ok(Verdict::Within { .. })));
/// assert!(matches!(judge(co(604.0), &limit, Guard::COMMON), Ok(Verdict::OutsideBy { .. })));
/// assert!(matches!(judge(co(395.0), &limit, Guard::COMMON), Ok(Verdict::TooCloseToCall { .. })));
/// ```
pub fn judge(read: Uncertain, limit: &Limit, guard: Guard) -> Result<Verdict, Impossible> {
    let unit = read.amount.unit;
    let ends = guard::Ends::of(read, limit)?;
    let band = guard.band(read.u);
    let y = read.amount.value;
    let (below, above) = (y - ends.low, ends.high - y);
    let (nearest, side) = if below < above { (below, Side::Under) } else { (above, Side::Over) };
    if !nearest.is_finite() {
        return Ok(Verdict::NoTargetYet { against_baseline: None });
    }
    Ok(if nearest < 0.0 && -nearest > band {
        Verdict::OutsideBy { by: Amount::new(-nearest, unit), side }
    } else if nearest >= band {
        Verdict::Within { margin: Amount::new(nearest, unit) }
    } else {
        Verdict::TooCloseToCall {
            margin: Amount::new(nearest, unit),
            side,
            chance_inside: 100.0 * ends.chance(read.u, y),
        }
    })
}

/// Judges a figure, with the sheet.
pub fn judge_worked(
    name: &str,
    read: Uncertain,
    limit: &Limit,
    guard: Guard,
) -> Result<Worked<Verdict>, Impossible> {
    let value = judge(read, limit, guard)?;
    let unit = read.amount.unit;
    let decision = guard::decide(read, limit, guard)?;
    let line = |key, name, amount: Amount| Line { key, name, amount, how: String::new() };
    let mut sheet = Sheet::new(&VERDICT);
    sheet.inputs.push(line("figure", "figure", read.amount));
    sheet.inputs.push(line("u", "its standard uncertainty", Amount::new(read.u, unit)));
    let ends = [("low", "lower limit", limit.low), ("high", "upper limit", limit.high)];
    for (key, name, end) in ends {
        sheet.inputs.extend(end.map(|end| line(key, name, end)));
    }
    let chance = decision.chance.amount(Unit::Pct);
    let sheet = sheet
        .step("band", "guard band", Amount::new(decision.band, unit), "0.82 x 2 u = 1.64 u")
        .step("chance", "chance that it lies inside", chance, "normal spread")
        .finding(value.sentence(name, Some(limit)))
        .caution(words::AUTHORITY);
    Ok(Worked { value, sheet })
}

/// A figure without a target, beside its own baseline.
///
/// `usual` is the change commonly let pass, in the figure's unit.
pub fn against_baseline(
    read: Uncertain,
    baseline: Uncertain,
    usual: Option<Amount>,
) -> Result<Verdict, Impossible> {
    let unit = read.amount.unit;
    let missing = Impossible::NoFigure { what: "baseline in the same unit" };
    let before = baseline.amount.to(unit).filter(|own| own.value.is_finite()).ok_or(missing)?;
    let scale = before.value / baseline.amount.value;
    let doubt_before = if scale.is_finite() { baseline.u * scale.abs() } else { baseline.u };
    let change = read.amount.value - before.value;
    if !change.is_finite() || !read.u.is_finite() {
        return Err(Impossible::NoFigure { what: "reading" });
    }
    let usual = usual.and_then(|own| own.to(unit)).map(|own| own.value.abs());
    Ok(Verdict::NoTargetYet {
        against_baseline: Some(Change {
            change: Amount::new(change, unit),
            beyond_doubt: change.abs() > 2.0 * read.u.hypot(doubt_before),
            beyond_usual: usual.is_some_and(|usual| change.abs() > usual),
        }),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn manifold(value: f64) -> Uncertain {
        Uncertain { amount: Amount::new(value, Unit::InWc), u: 0.03 }
    }

    fn window() -> Limit {
        let inches = |value| Amount::new(value, Unit::InWc);
        Limit::between(inches(3.3), inches(3.7), "plate 3.5, 0.2 either way")
    }

    #[test]
    fn a_window_has_two_sides() {
        let verdict = |value| judge(manifold(value), &window(), Guard::COMMON).unwrap();
        assert!(matches!(verdict(3.5), Verdict::Within { .. }));
        assert!(matches!(verdict(3.06), Verdict::OutsideBy { side: Side::Under, .. }));
        assert!(matches!(verdict(4.12), Verdict::OutsideBy { side: Side::Over, .. }));
        assert!(matches!(verdict(3.68), Verdict::TooCloseToCall { side: Side::Over, .. }));
        assert!(matches!(verdict(3.72), Verdict::TooCloseToCall { side: Side::Over, .. }));
    }

    #[test]
    fn units_of_figure_and_limit_may_differ() {
        let read = Uncertain { amount: Amount::new(8.72, Unit::Mbar), u: 0.05 };
        let verdict = judge(read, &window(), Guard::COMMON).unwrap();
        assert!(matches!(verdict, Verdict::Within { .. }), "{verdict:?}");
        let wrong = Uncertain { amount: Amount::new(72.0, Unit::F), u: 1.0 };
        assert!(judge(wrong, &window(), Guard::COMMON).is_err());
    }

    #[test]
    fn no_figure_is_never_within() {
        let none = Uncertain { amount: Amount::new(f64::NAN, Unit::InWc), u: 0.03 };
        assert!(judge(none, &window(), Guard::COMMON).is_err());
        let doubt = Uncertain { amount: Amount::new(3.5, Unit::InWc), u: f64::NAN };
        assert!(judge(doubt, &window(), Guard::COMMON).is_err());
    }

    #[test]
    fn a_change_within_doubt_is_no_change() {
        let o2 = |value| Uncertain { amount: Amount::new(value, Unit::Pct), u: 0.12 };
        let usual = Some(Amount::new(1.0, Unit::Pct));
        let verdict = against_baseline(o2(8.5), o2(8.4), usual).unwrap();
        let Verdict::NoTargetYet { against_baseline: Some(change) } = verdict else { panic!() };
        assert!(!change.beyond_doubt && !change.beyond_usual);
        let verdict = against_baseline(o2(6.9), o2(8.4), usual).unwrap();
        let Verdict::NoTargetYet { against_baseline: Some(change) } = verdict else { panic!() };
        assert!(change.beyond_doubt && change.beyond_usual);
    }
}
