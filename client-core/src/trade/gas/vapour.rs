//! How much gas a propane tank gives off by itself on a cold morning.

use crate::trade::gas::INPUT_RANGE;
use crate::trade::impossible::{Impossible, Range};
use crate::trade::quantity::{HeatRate, Length, Ratio, Temperature};
use crate::trade::unit::Unit;
use crate::trade::worked::{Formula, Sheet, Worked};

/// Formula of the vaporisation margin.
pub const VAPORISATION: Formula = Formula {
    id: "gas.propane_vaporisation",
    version: 1,
    name: "propane vaporisation margin",
    expression: "Btu/h = D L K m: diameter and length in inches, K by fill, m by air temperature",
    source: "rule of the LP trade (from memory): K 100 at 60 % to 45 at 10 %; m 1 at 0 F, +1 each 20 F",
    range: "tanks above ground, 10 to 60 % full, -15 to 60 F, steady draw",
    function: "gas::vapour::Tank::solve",
    test: "vaporisation_of_a_500_gallon_tank",
};

/// A tank above ground with its load.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Tank {
    /// Diameter.
    pub diameter: Length,
    /// Length.
    pub length: Length,
    /// Liquid by volume.
    pub fill: Ratio,
    /// Air temperature.
    pub air: Temperature,
    /// Load at full fire.
    pub load: HeatRate,
}

/// What the tank gives.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Vaporised {
    /// Heat that evaporates by itself.
    pub capacity: HeatRate,
    /// Capacity over load.
    pub margin: Ratio,
}

/// Wetted-surface factor by fill, percent. Source: rule of the LP trade, from memory.
const FILL: [(f64, f64); 6] =
    [(10.0, 45.0), (20.0, 60.0), (30.0, 70.0), (40.0, 80.0), (50.0, 90.0), (60.0, 100.0)];

impl Tank {
    /// Works it out.
    pub fn solve(&self) -> Result<Vaporised, Impossible> {
        const SIZE: Range = Range {
            what: "tank size",
            low: 5.0,
            high: 2000.0,
            unit: Unit::In,
            hint: "diameter and length over all",
        };
        const FULL: Range = Range {
            what: "tank fill",
            low: 5.0,
            high: 80.0,
            unit: Unit::Pct,
            hint: "tanks are filled to 80 % at most",
        };
        const AIR: Range = Range {
            what: "air temperature",
            low: -40.0,
            high: 120.0,
            unit: Unit::F,
            hint: "check the figure and whether it is F or C",
        };
        SIZE.check(self.diameter)?;
        SIZE.check(self.length)?;
        FULL.check(self.fill)?;
        AIR.check(self.air)?;
        INPUT_RANGE.check(self.load)?;
        let surface = self.diameter.inches() * self.length.inches();
        let warm = (1.0 + self.air.fahrenheit() / 20.0).max(0.0);
        let capacity = HeatRate::from_btu_per_hour(surface * by_fill(self.fill.percent()) * warm);
        Ok(Vaporised { capacity, margin: capacity / self.load })
    }

    /// Works it out with its sheet.
    pub fn worked(&self) -> Result<Worked<Vaporised>, Impossible> {
        let value = self.solve()?;
        let air = self.air.fahrenheit();
        let words = if value.margin.ratio() < 1.0 {
            "the tank suggests less gas than the load takes: pressure will fall on a long cold run"
        } else {
            "the tank suggests enough gas for this load at this temperature"
        };
        let sheet = Sheet::new(&VAPORISATION)
            .input("diameter", "tank diameter", self.diameter, Unit::In)
            .input("length", "tank length", self.length, Unit::In)
            .input("fill", "fill", self.fill, Unit::Pct)
            .input("air", "air temperature", self.air, Unit::F)
            .input("load", "load at full fire", self.load, Unit::BtuH)
            .result("capacity", "gas given off by itself", value.capacity, Unit::BtuH)
            .result("margin", "capacity over load", value.margin, Unit::Ratio)
            .finding(words)
            .outside(
                !(-15.0..=60.0).contains(&air) || !(10.0..=60.0).contains(&self.fill.percent()),
                "outside -15 to 60 F or 10 to 60 % the rule is stretched",
            )
            .caution("frost on the tank, snow and sun change it; the supplier's table governs");
        Ok(Worked { value, sheet })
    }
}

fn by_fill(percent: f64) -> f64 {
    let percent = percent.clamp(FILL[0].0, FILL[FILL.len() - 1].0);
    let upper = FILL.iter().position(|(fill, _)| *fill >= percent).unwrap_or(FILL.len() - 1).max(1);
    let ((low, at_low), (high, at_high)) = (FILL[upper - 1], FILL[upper]);
    at_low + (at_high - at_low) * (percent - low) / (high - low)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn vaporisation_of_a_500_gallon_tank() {
        // Common practice, no source: a 500 gallon tank (37 x 119 in) half full at 0 F gives about
        // 400,000 Btu/h.
        let tank = Tank {
            diameter: Length::from_inches(37.0),
            length: Length::from_inches(119.0),
            fill: Ratio::from_percent(50.0),
            air: Temperature::from_fahrenheit(0.0),
            load: HeatRate::from_mbh(300.0),
        };
        let found = tank.solve().unwrap();
        assert!((found.capacity.mbh() - 396.3).abs() < 0.1);
        assert!(found.margin.ratio() > 1.0);
        let colder = Tank { air: Temperature::from_fahrenheit(-10.0), ..tank };
        assert!(colder.solve().unwrap().margin.ratio() < 1.0);
    }
}
