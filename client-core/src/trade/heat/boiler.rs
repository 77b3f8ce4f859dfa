//! Boiler water flow from its temperature rise.

use crate::trade::gas::INPUT_RANGE;
use crate::trade::impossible::{Impossible, Range};
use crate::trade::quantity::{
    Amount, HeatRate, MassFlow, Quantity, Temperature, TemperatureDifference, WaterFlow,
};
use crate::trade::unit::Unit;
use crate::trade::water;
use crate::trade::worked::{Formula, Sheet, Worked};

/// Formula of the boiler flow.
pub const BOILER_FLOW: Formula = Formula {
    id: "heat.boiler_flow",
    version: 1,
    name: "boiler flow from water rise",
    expression: "m = Q / (h supply - h return); gpm at the return's density",
    source: "IAPWS SR1-86 liquid water",
    range: "plain water 32 to 250 F; glycol carries less heat",
    function: "heat::boiler::BoilerFlow::solve",
    test: "boiler_flow_lies_by_the_500_rule",
};

/// A boiler with its output and water temperatures.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct BoilerFlow {
    /// Heat into the water.
    pub heat: HeatRate,
    /// Water out of the boiler.
    pub supply: Temperature,
    /// Water into the boiler.
    pub returned: Temperature,
}

/// Water moved.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Pumped {
    /// Rise.
    pub rise: TemperatureDifference,
    /// By mass.
    pub mass: MassFlow,
    /// By volume at the return.
    pub flow: WaterFlow,
    /// By the trade's rule.
    pub rule: WaterFlow,
}

const WATER: Range = Range {
    what: "water temperature",
    low: 32.0,
    high: 300.0,
    unit: Unit::F,
    hint: "check the figure and whether it is F or C",
};

impl BoilerFlow {
    /// Works it out.
    pub fn solve(&self) -> Result<Pumped, Impossible> {
        INPUT_RANGE.check(self.heat)?;
        WATER.check(self.supply)?;
        WATER.check(self.returned)?;
        if self.supply <= self.returned {
            return Err(Impossible::NoRise {
                inlet: self.returned.amount(Unit::F),
                out: self.supply.amount(Unit::F),
            });
        }
        let (hot, cold) = (self.supply.kelvin(), self.returned.kelvin());
        let gain = water::liquid_joules(hot) - water::liquid_joules(cold);
        let mass = self.heat.watts() / gain;
        let rise = self.supply.above(self.returned);
        let rule = self.heat.btu_per_hour() / (500.0 * rise.fahrenheit());
        Ok(Pumped {
            rise,
            mass: MassFlow::from_kilograms_per_second(mass),
            flow: WaterFlow::from_cubic_metres_per_second(mass / water::liquid_density(cold)),
            rule: WaterFlow::from_gpm(rule),
        })
    }

    /// Works it out with its sheet.
    pub fn worked(&self) -> Result<Worked<Pumped>, Impossible> {
        let value = self.solve()?;
        let sheet = Sheet::new(&BOILER_FLOW)
            .input("heat", "heat into the water", self.heat, Unit::BtuH)
            .input("supply", "water out", self.supply, Unit::F)
            .input("returned", "water in", self.returned, Unit::F)
            .step("rise", "rise", value.rise.amount(Unit::DeltaF), "out - in")
            .result("flow", "water flow", value.flow, Unit::Gpm)
            .result("mass", "by mass", value.mass, Unit::LbH)
            .rule(
                "flow",
                "Q / (500 rise)",
                Amount::new(value.rule.gpm(), Unit::Gpm),
                "common practice: 500 = 8.33 x 60",
            )
            .caution("glycol carries less heat: the flow is higher than this");
        Ok(Worked { value, sheet })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn boiler_flow_lies_by_the_500_rule() {
        let boiler = BoilerFlow {
            heat: HeatRate::from_mbh(350.0),
            supply: Temperature::from_fahrenheit(160.0),
            returned: Temperature::from_fahrenheit(140.0),
        };
        let found = boiler.solve().unwrap();
        assert!((found.rule.gpm() - 35.0).abs() < 1e-9);
        let gap = (found.rule / found.flow).ratio() - 1.0;
        assert!((-0.02..0.0).contains(&gap), "at 140 F the rule is a little low: {gap}");
        let back = BoilerFlow { supply: boiler.returned, returned: boiler.supply, ..boiler };
        assert!(matches!(back.solve(), Err(Impossible::NoRise { .. })));
    }
}
