//! What lost efficiency costs in a season. A sum on figures entered, not a promise of savings.

use crate::trade::gas::INPUT_RANGE;
use crate::trade::heat::output::EFFICIENCY;
use crate::trade::impossible::{Impossible, Range};
use crate::trade::quantity::{Energy, HeatRate, Money, Price, Quantity, Ratio, TimeSpan};
use crate::trade::unit::Unit;
use crate::trade::worked::{Formula, Sheet, Worked};

/// Formula of the cost.
pub const LOST_EFFICIENCY: Formula = Formula {
    id: "heat.lost_efficiency",
    version: 1,
    name: "cost of lost efficiency",
    expression: "extra gas = input x hours x (1 - now / proved), at the price entered",
    source: "the same heat delivered at both efficiencies",
    range: "same load; hours at full fire",
    function: "heat::cost::LostEfficiency::solve",
    test: "lost_efficiency_of_two_points",
};

/// An appliance that has lost efficiency.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LostEfficiency {
    /// Input as it burns now.
    pub input: HeatRate,
    /// Hours at full fire.
    pub hours: TimeSpan,
    /// Efficiency now.
    pub now: Ratio,
    /// Efficiency as it was proved.
    pub proved: Ratio,
    /// Price of gas.
    pub price: Price,
}

/// What it costs.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Lost {
    /// Gas burned.
    pub burned: Energy,
    /// Gas that the proved efficiency would have spared; negative where it has gained.
    pub extra: Energy,
    /// Cost of it.
    pub cost: Money,
}

impl LostEfficiency {
    /// Works it out.
    pub fn solve(&self) -> Result<Lost, Impossible> {
        const HOURS: Range = Range {
            what: "burner hours",
            low: 0.0,
            high: 20_000.0,
            unit: Unit::H,
            hint: "read the hour meter or count cycles",
        };
        const PRICE: Range = Range {
            what: "price of gas",
            low: 0.0,
            high: 1000.0,
            unit: Unit::MoneyTherm,
            hint: "take it off the bill, per therm",
        };
        INPUT_RANGE.check(self.input)?;
        HOURS.check(self.hours)?;
        EFFICIENCY.check(self.now)?;
        EFFICIENCY.check(self.proved)?;
        PRICE.check(self.price)?;
        let burned = self.input.over(self.hours);
        let extra = burned * Ratio::from_ratio(1.0 - (self.now.ratio() / self.proved.ratio()));
        Ok(Lost { burned, extra, cost: self.price.times(extra) })
    }

    /// Works it out with its sheet.
    pub fn worked(&self) -> Result<Worked<Lost>, Impossible> {
        let value = self.solve()?;
        let sheet = Sheet::new(&LOST_EFFICIENCY)
            .input("input", "input", self.input, Unit::BtuH)
            .input("hours", "burner hours", self.hours, Unit::H)
            .input("now", "efficiency now", self.now, Unit::Pct)
            .input("proved", "efficiency as proved", self.proved, Unit::Pct)
            .input("price", "price of gas", self.price, Unit::MoneyTherm)
            .step("burned", "gas burned", value.burned.amount(Unit::Therm), "input x hours")
            .result("extra", "gas lost", value.extra, Unit::Therm)
            .result("cost", "cost", value.cost, Unit::Money)
            .outside(value.extra.joules() < 0.0, "efficiency has risen: look at CO and O2 first")
            .caution("an estimate from figures entered, not a saving promised");
        Ok(Worked { value, sheet })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lost_efficiency_of_two_points() {
        let lost = LostEfficiency {
            input: HeatRate::from_mbh(200.0),
            hours: TimeSpan::from_hours(1000.0),
            now: Ratio::from_percent(78.0),
            proved: Ratio::from_percent(80.0),
            price: Price::from_per_therm(1.2),
        };
        let found = lost.solve().unwrap();
        assert!((found.burned.therms() - 2000.0).abs() < 1e-9);
        assert!((found.extra.therms() - 50.0).abs() < 1e-9);
        assert!((found.cost.units() - 60.0).abs() < 1e-9);
    }
}
