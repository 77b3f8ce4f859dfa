//! Two stages and modulating fire: does the manifold give the input that the stage should have?

use crate::trade::gas::INPUT_RANGE;
use crate::trade::impossible::{Impossible, Range};
use crate::trade::quantity::{GaugePressure, HeatRate, Quantity, Ratio};
use crate::trade::unit::Unit;
use crate::trade::worked::{Formula, Sheet, Worked};

/// Formula of the stages.
pub const STAGING: Formula = Formula {
    id: "signal.staging",
    version: 1,
    name: "low and modulating fire",
    expression: "manifold at a stage = high manifold x (input at the stage / high input)^2",
    source: "orifice law at the same orifice; a window of 10 % by common practice",
    range: "one set of orifices for all stages; modulating valves at rest",
    function: "signal::staging::Stage::solve",
    test: "low_fire_follows_the_square",
};

/// One stage of a burner.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Stage {
    /// Input at high fire, of the plate.
    pub high_input: HeatRate,
    /// Manifold at high fire, of the plate.
    pub high_manifold: GaugePressure,
    /// Input that this stage should have: of the plate, or as called for by a modulating control.
    pub stage_input: HeatRate,
    /// Manifold measured at this stage.
    pub measured: GaugePressure,
}

/// What the stage does.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Staged {
    /// Manifold that it should have.
    pub expected: GaugePressure,
    /// Input by the measured manifold.
    pub input: HeatRate,
    /// Input over the one it should have.
    pub factor: Ratio,
    /// Highest over this input as it burns.
    pub turndown: Option<Ratio>,
    /// Whether the input lies within 10 % of what it should be.
    pub follows: bool,
}

impl Stage {
    /// Works it out.
    pub fn solve(&self) -> Result<Staged, Impossible> {
        const PLATE: Range = Range {
            what: "high manifold of the plate",
            low: 0.1,
            high: 60.0,
            unit: Unit::InWc,
            hint: "read it off the plate again",
        };
        const MEASURED: Range = Range {
            what: "manifold at this stage",
            low: 0.0,
            high: 60.0,
            unit: Unit::InWc,
            hint: "check the figure and the unit",
        };
        INPUT_RANGE.check(self.high_input)?;
        INPUT_RANGE.check(self.stage_input)?;
        PLATE.check(self.high_manifold)?;
        MEASURED.check(self.measured)?;
        if self.stage_input > self.high_input {
            return Err(Impossible::WindowReversed {
                what: "the input of the stages",
                low: self.stage_input.amount(Unit::BtuH),
                high: self.high_input.amount(Unit::BtuH),
            });
        }
        let share = (self.stage_input / self.high_input).ratio();
        let root = (self.measured / self.high_manifold).ratio().max(0.0).sqrt();
        let input = self.high_input * Ratio::from_ratio(root);
        let factor = input / self.stage_input;
        Ok(Staged {
            expected: GaugePressure::from_pascals(self.high_manifold.pascals() * share * share),
            input,
            factor,
            turndown: (root > 0.0).then(|| Ratio::from_ratio(1.0 / root)),
            follows: (factor.ratio() - 1.0).abs() <= 0.10,
        })
    }

    /// Works it out with its sheet.
    pub fn worked(&self) -> Result<Worked<Staged>, Impossible> {
        let value = self.solve()?;
        let words = if value.follows {
            "the manifold suggests the input of this stage"
        } else {
            "the manifold suggests another input than this stage should have: regulator, modulating \
             valve or its signal"
        };
        let mut sheet = Sheet::new(&STAGING)
            .input("high_input", "input at high fire", self.high_input, Unit::BtuH)
            .input("high_manifold", "manifold at high fire", self.high_manifold, Unit::InWc)
            .input("stage_input", "input of this stage", self.stage_input, Unit::BtuH)
            .input("measured", "manifold measured", self.measured, Unit::InWc)
            .result("expected", "manifold it should have", value.expected, Unit::InWc)
            .result("input", "input by the manifold", value.input, Unit::BtuH)
            .result("factor", "over the stage's input", value.factor, Unit::Ratio)
            .finding(words)
            .caution("set high fire first; low fire by the maker's sheet");
        if let Some(turndown) = value.turndown {
            sheet = sheet.result("turndown", "turndown as it burns", turndown, Unit::Ratio);
        }
        Ok(Worked { value, sheet })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn low_fire_follows_the_square() {
        let stage = |measured| Stage {
            high_input: HeatRate::from_mbh(250.0),
            high_manifold: GaugePressure::from_inches_wc(3.5),
            stage_input: HeatRate::from_mbh(175.0),
            measured: GaugePressure::from_inches_wc(measured),
        };
        let found = stage(1.72).solve().unwrap();
        // Common practice, no source: low fire at 70 % of input is about 1.7 in w.c. natural.
        assert!((found.expected.inches_wc() - 1.715).abs() < 1e-9);
        assert!(found.follows);
        assert!(!stage(2.4).solve().unwrap().follows);
        assert_eq!(stage(0.0).solve().unwrap().turndown, None);
    }
}
