//! Flame current: how far above the minimum, and how fast it falls.

use crate::trade::impossible::{Impossible, Range};
use crate::trade::quantity::{Current, Ratio, TimeSpan};
use crate::trade::reading::usual;
use crate::trade::uncertainty::{Propagated, propagate};
use crate::trade::unit::Unit;
use crate::trade::worked::{Formula, Sheet, Worked};

/// Formula of the margin.
pub const FLAME_MARGIN: Formula = Formula {
    id: "signal.flame_margin",
    version: 1,
    name: "flame-current margin",
    expression: "margin = measured / minimum of the control",
    source: "common practice: twice the minimum is healthy; the control's sheet governs",
    range: "steady flame, meter in series, DC",
    function: "signal::flame::FlameMargin::solve",
    test: "flame_margin_has_three_bands",
};

/// Formula of the fouling rate.
pub const FOULING: Formula = Formula {
    id: "signal.fouling",
    version: 1,
    name: "flame-current loss per 1,000 h",
    expression: "(as-left - next as-found) / burner hours x 1,000",
    source: "difference of two readings on the same rod",
    range: "same rod, same position, same instrument kind; at least 100 h",
    function: "signal::flame::Fouling::solve",
    test: "fouling_gives_hours_to_twice_the_minimum",
};

/// A flame current with the control's minimum.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FlameMargin {
    /// Flame current measured.
    pub measured: Current,
    /// Least current of the control.
    pub minimum: Current,
}

/// Bands of the margin.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum FlameBand {
    /// Twice the minimum or more.
    Healthy,
    /// Between the minimum and twice it: clean now or next visit.
    Thin,
    /// Under the minimum.
    Under,
}

const CURRENT: Range = Range {
    what: "flame current",
    low: 0.0,
    high: 100.0,
    unit: Unit::Ua,
    hint: "flame currents are microamperes: check the meter's range",
};
const MINIMUM: Range = Range {
    what: "least flame current",
    low: 0.05,
    high: 20.0,
    unit: Unit::Ua,
    hint: "take it off the control's sheet",
};

impl FlameMargin {
    /// Works it out.
    pub fn solve(&self) -> Result<(Ratio, FlameBand), Impossible> {
        CURRENT.check(self.measured)?;
        MINIMUM.check(self.minimum)?;
        let ratio = self.measured / self.minimum;
        let band = if ratio.ratio() >= 2.0 {
            FlameBand::Healthy
        } else if ratio.ratio() >= 1.0 {
            FlameBand::Thin
        } else {
            FlameBand::Under
        };
        Ok((ratio, band))
    }

    /// Works it out with its sheet.
    pub fn worked(&self) -> Result<Worked<Ratio>, Impossible> {
        let (value, band) = self.solve()?;
        let words = match band {
            FlameBand::Healthy => "twice the minimum or more",
            FlameBand::Thin => {
                "under twice the minimum: look at rod, ground and flame now or next visit"
            }
            FlameBand::Under => "under the minimum of the control: it will lock out",
        };
        let found = propagate(&[usual("flame_current", self.measured, Unit::Ua)], |x| {
            Some(x[0] / self.minimum.microamperes())
        });
        let mut sheet = Sheet::new(&FLAME_MARGIN)
            .input("measured", "flame current", self.measured, Unit::Ua)
            .input("minimum", "least of the control", self.minimum, Unit::Ua)
            .result("margin", "over the minimum", value, Unit::Ratio)
            .finding(words)
            .caution("the control's sheet governs; there is no one figure for all");
        sheet.spreads = found
            .map(|found| found.spread("margin", Unit::Ratio, &["meter"]))
            .into_iter()
            .collect();
        Ok(Worked { value, sheet })
    }
}

/// Two flame currents with the hours between them.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Fouling {
    /// As left.
    pub as_left: Current,
    /// As found next time.
    pub as_found: Current,
    /// Burner hours between.
    pub hours: TimeSpan,
    /// Least current of the control.
    pub minimum: Current,
}

/// How fast it falls.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Fouled {
    /// Loss in 1,000 burner hours; negative where it rose.
    pub per_thousand_hours: Current,
    /// Standard uncertainty of the loss.
    pub doubt: Current,
    /// Burner hours from as-left until twice the minimum; none where it does not fall for sure.
    pub until_twice_minimum: Option<TimeSpan>,
}

impl Fouling {
    /// Works it out.
    pub fn solve(&self) -> Result<Fouled, Impossible> {
        const HOURS: Range = Range {
            what: "burner hours",
            low: 1.0,
            high: 100_000.0,
            unit: Unit::H,
            hint: "read the hour meter both times",
        };
        CURRENT.check(self.as_left)?;
        CURRENT.check(self.as_found)?;
        HOURS.check(self.hours)?;
        MINIMUM.check(self.minimum)?;
        let thousands = self.hours.hours() / 1000.0;
        let loss = (self.as_left - self.as_found).microamperes() / thousands;
        let doubt = self.propagated().map_or(0.0, |found| found.u);
        let reserve = self.as_left.microamperes() - 2.0 * self.minimum.microamperes();
        let falls = loss > 2.0 * doubt && reserve > 0.0;
        Ok(Fouled {
            per_thousand_hours: Current::from_microamperes(loss),
            doubt: Current::from_microamperes(doubt),
            until_twice_minimum: falls.then(|| TimeSpan::from_hours(1000.0 * reserve / loss)),
        })
    }

    /// The loss with what two meters of the usual kind leave open.
    fn propagated(&self) -> Option<Propagated> {
        let inputs = [
            usual("flame_current", self.as_left, Unit::Ua),
            usual("flame_current", self.as_found, Unit::Ua),
        ];
        let thousands = self.hours.hours() / 1000.0;
        propagate(&inputs, |x| Some((x[0] - x[1]) / thousands))
    }

    /// Works it out with its sheet.
    pub fn worked(&self) -> Result<Worked<Fouled>, Impossible> {
        let value = self.solve()?;
        let mut sheet = Sheet::new(&FOULING)
            .input("as_left", "flame current as left", self.as_left, Unit::Ua)
            .input("as_found", "flame current as found", self.as_found, Unit::Ua)
            .input("hours", "burner hours between", self.hours, Unit::H)
            .input("minimum", "least of the control", self.minimum, Unit::Ua)
            .result("loss", "loss per 1,000 h", value.per_thousand_hours, Unit::Ua)
            .outside(self.hours.hours() < 100.0, "under 100 h two readings say little");
        sheet = match value.until_twice_minimum {
            Some(hours) => sheet.result("until", "hours until twice the minimum", hours, Unit::H),
            None => sheet.finding("no fall beyond the meter's doubt: no date follows from it"),
        };
        sheet.spreads = self
            .propagated()
            .map(|found| found.spread("loss", Unit::Ua, &["as left", "as found"]))
            .into_iter()
            .collect();
        Ok(Worked { value, sheet })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn flame_margin_has_three_bands() {
        let band = |measured| {
            let margin = FlameMargin {
                measured: Current::from_microamperes(measured),
                minimum: Current::from_microamperes(1.0),
            };
            margin.solve().unwrap().1
        };
        assert_eq!(band(4.3), FlameBand::Healthy);
        assert_eq!(band(1.4), FlameBand::Thin);
        assert_eq!(band(0.6), FlameBand::Under);
    }

    #[test]
    fn fouling_gives_hours_to_twice_the_minimum() {
        let fouling = |found| Fouling {
            as_left: Current::from_microamperes(4.0),
            as_found: Current::from_microamperes(found),
            hours: TimeSpan::from_hours(1000.0),
            minimum: Current::from_microamperes(0.7),
        };
        let fast = fouling(2.0).solve().unwrap();
        assert!((fast.per_thousand_hours.microamperes() - 2.0).abs() < 1e-9);
        assert!((fast.until_twice_minimum.unwrap().hours() - 1300.0).abs() < 1e-6);
        assert_eq!(fouling(3.95).solve().unwrap().until_twice_minimum, None);
        assert_eq!(fouling(4.4).solve().unwrap().until_twice_minimum, None);
    }

    #[test]
    fn milliamperes_are_refused() {
        let margin = FlameMargin {
            measured: Current::from_milliamperes(4.3),
            minimum: Current::from_microamperes(1.0),
        };
        assert!(margin.solve().unwrap_err().to_string().contains("microamperes"));
    }
}
