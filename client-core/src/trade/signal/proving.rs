//! Air proving: how far past its setpoint a pressure switch is held.

use crate::trade::impossible::{Impossible, Range};
use crate::trade::quantity::PressureDifference;
use crate::trade::reading::usual;
use crate::trade::uncertainty::propagate;
use crate::trade::unit::Unit;
use crate::trade::worked::{Formula, Sheet, Worked};

/// Formula of the draft margin.
pub const DRAFT_MARGIN: Formula = Formula {
    id: "signal.draft_margin",
    version: 1,
    name: "pressure-switch margin",
    expression: "margin = |measured| - |setpoint|, same sense of pressure",
    source: "common practice: 0.10 in w.c. to spare; the switch's marking is the setpoint",
    range: "hot vent, steady fire, at the switch's own tee",
    function: "signal::proving::DraftMargin::solve",
    test: "draft_margin_has_three_bands",
};

/// A proving pressure with its setpoint.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct DraftMargin {
    /// Measured at the switch's tee.
    pub measured: PressureDifference,
    /// Setpoint of the switch, same sign.
    pub setpoint: PressureDifference,
}

/// Bands of the margin.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum DraftBand {
    /// 0.10 in w.c. or more past the setpoint.
    Healthy,
    /// Past the setpoint by less: wind or a cold start may open it.
    Thin,
    /// Not past the setpoint.
    Short,
}

/// Margin wanted. Source: common practice.
pub const WANTED: PressureDifference = PressureDifference::from_inches_wc(0.10);

impl DraftMargin {
    /// Works it out.
    pub fn solve(&self) -> Result<(PressureDifference, DraftBand), Impossible> {
        const READ: Range = Range {
            what: "proving pressure",
            low: -10.0,
            high: 10.0,
            unit: Unit::InWc,
            hint: "check sign and unit",
        };
        READ.check(self.measured)?;
        READ.check(self.setpoint)?;
        let (measured, setpoint) = (self.measured.pascals(), self.setpoint.pascals());
        // A pressure of the other sense never holds the switch, however large it is.
        let along = if setpoint < 0.0 { -measured } else { measured };
        let margin = PressureDifference::from_pascals(along - setpoint.abs());
        let band = if margin >= WANTED {
            DraftBand::Healthy
        } else if margin.pascals() > 0.0 {
            DraftBand::Thin
        } else {
            DraftBand::Short
        };
        Ok((margin, band))
    }

    /// Works it out with its sheet.
    pub fn worked(&self) -> Result<Worked<PressureDifference>, Impossible> {
        let (value, band) = self.solve()?;
        let words = match band {
            DraftBand::Healthy => "past the setpoint with margin",
            DraftBand::Thin => {
                "past the setpoint with little to spare: look at vent, wheel, tubes and drain before \
                 winter"
            }
            DraftBand::Short => "not past the setpoint: the switch stays open",
        };
        let read = usual("draft_differential", self.measured, Unit::InWc);
        let mut sheet = Sheet::new(&DRAFT_MARGIN)
            .input("measured", "measured", self.measured, Unit::InWc)
            .input("setpoint", "setpoint", self.setpoint, Unit::InWc)
            .result("margin", "margin", value, Unit::InWc)
            .finding(words)
            .outside(
                self.measured.pascals() * self.setpoint.pascals() < 0.0,
                "measured and setpoint differ in sign: is a minus missing, or are the tubes swapped",
            )
            .caution("a switch is replaced by one of the same setpoint, never held shut");
        let margin = |x: &[f64]| {
            let measured = PressureDifference::from_inches_wc(x[0]);
            let moved = DraftMargin { measured, ..*self };
            moved.solve().ok().map(|(margin, _)| margin.inches_wc())
        };
        sheet.spreads = propagate(&[read], margin)
            .map(|found| found.spread("margin", Unit::InWc, &["manometer"]))
            .into_iter()
            .collect();
        Ok(Worked { value, sheet })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn draft_margin_has_three_bands() {
        let solve = |measured, setpoint| {
            let margin = DraftMargin {
                measured: PressureDifference::from_inches_wc(measured),
                setpoint: PressureDifference::from_inches_wc(setpoint),
            };
            margin.solve().unwrap()
        };
        assert_eq!(solve(-0.97, -0.65).1, DraftBand::Healthy);
        assert!((solve(-0.97, -0.65).0.inches_wc() - 0.32).abs() < 1e-9);
        assert_eq!(solve(-0.70, -0.65).1, DraftBand::Thin);
        assert_eq!(solve(-0.60, -0.65).1, DraftBand::Short);
        assert_eq!(solve(0.97, -0.65).1, DraftBand::Short);
    }
}
