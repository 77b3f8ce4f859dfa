//! Exhaust against make-up air of a building.

use crate::trade::impossible::{Impossible, Range};
use crate::trade::quantity::{ActualFlow, PressureDifference, Quantity, Ratio, Volume};
use crate::trade::unit::Unit;
use crate::trade::worked::{Formula, Sheet, Worked};

/// Formula of the balance.
pub const EXHAUST_BALANCE: Formula = Formula {
    id: "air.exhaust_balance",
    version: 1,
    name: "exhaust against make-up air",
    expression: "net = exhaust + combustion air + vent dilution - make-up",
    source: "air balance; under about -0.02 in w.c. natural vents spill (common practice)",
    range: "flows of the fans as they run now",
    function: "air::exhaust::Balance::solve",
    test: "balance_names_a_negative_building",
};

/// Flows out of and into a building.
#[derive(Clone, Copy, Debug)]
pub struct Balance<'a> {
    /// Exhaust fans running.
    pub exhaust: &'a [ActualFlow],
    /// Make-up air units running.
    pub make_up: &'a [ActualFlow],
    /// Air drawn by burners and draft hoods.
    pub combustion: ActualFlow,
    /// Pressure of the building against outdoors, where somebody measured it.
    pub building: Option<PressureDifference>,
    /// Volume of the building, where somebody knows it.
    pub volume: Option<Volume>,
}

/// What the balance says.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Balanced {
    /// All that leaves.
    pub out: ActualFlow,
    /// All that is brought.
    pub brought: ActualFlow,
    /// What must leak in; negative leaks out.
    pub net: ActualFlow,
    /// The same in air changes per hour.
    pub changes: Option<Ratio>,
    /// Whether the building is or is likely under vacuum.
    pub negative: bool,
}

/// Building pressure where natural vents begin to spill. Source: common practice.
pub const SPILLS: PressureDifference = PressureDifference::from_inches_wc(-0.02);

impl Balance<'_> {
    /// Works it out.
    pub fn solve(&self) -> Result<Balanced, Impossible> {
        const FLOW: Range = Range {
            what: "fan flow",
            low: 0.0,
            high: 1e7,
            unit: Unit::Cfm,
            hint: "give every fan as it runs now",
        };
        const BUILDING: Range = Range {
            what: "building pressure",
            low: -5.0,
            high: 5.0,
            unit: Unit::InWc,
            hint: "measure with a hose through a closed door",
        };
        const VOLUME: Range = Range {
            what: "building volume",
            low: 100.0,
            high: 1e10,
            unit: Unit::Ft3,
            hint: "length x width x height in feet",
        };
        for flow in self.exhaust.iter().chain(self.make_up).chain([&self.combustion]) {
            FLOW.check(*flow)?;
        }
        if let Some(building) = self.building {
            BUILDING.check(building)?;
        }
        let sum = |flows: &[ActualFlow]| flows.iter().map(|flow| flow.cfm()).sum::<f64>();
        let out = sum(self.exhaust) + self.combustion.cfm();
        let brought = sum(self.make_up);
        let net = out - brought;
        let changes = match self.volume {
            Some(volume) => Some(60.0 * net / VOLUME.check(volume)?.cubic_feet()),
            None => None,
        };
        Ok(Balanced {
            out: ActualFlow::from_cfm(out),
            brought: ActualFlow::from_cfm(brought),
            net: ActualFlow::from_cfm(net),
            changes: changes.map(Ratio::from_ratio),
            negative: self.building.map_or(net > 0.1 * out && net > 0.0, |read| read <= SPILLS),
        })
    }

    /// Works it out with its sheet.
    pub fn worked(&self) -> Result<Worked<Balanced>, Impossible> {
        let value = self.solve()?;
        let words = match (value.negative, self.building) {
            (true, Some(_)) => {
                "the building is under vacuum: natural vents may spill, burners may starve"
            }
            (true, None) => {
                "more leaves than is brought: measure the building's pressure with all fans on"
            }
            (false, _) => "exhaust and make-up air suggest no strong vacuum with these fans",
        };
        let mut sheet = Sheet::new(&EXHAUST_BALANCE)
            .input("combustion", "burners and draft hoods", self.combustion, Unit::Cfm)
            .step("out", "leaves", value.out.amount(Unit::Cfm), "sum of exhaust and burners")
            .step("brought", "brought", value.brought.amount(Unit::Cfm), "sum of make-up air")
            .result("net", "must leak in", value.net, Unit::Cfm)
            .finding(words)
            .caution("test spillage with every exhaust fan on and doors as they are kept");
        if let Some(changes) = value.changes {
            sheet = sheet.result("changes", "leaking air changes per hour", changes, Unit::Ratio);
        }
        if let Some(building) = self.building {
            sheet = sheet.input("building", "building pressure", building, Unit::InWc);
        }
        Ok(Worked { value, sheet })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn balance_names_a_negative_building() {
        let cfm = ActualFlow::from_cfm;
        let balance = |make_up: f64, building: Option<f64>| {
            let (exhaust, supply) = ([cfm(4000.0), cfm(1500.0)], [cfm(make_up)]);
            Balance {
                exhaust: &exhaust,
                make_up: &supply,
                combustion: cfm(500.0),
                building: building.map(PressureDifference::from_inches_wc),
                volume: Some(Volume::from_cubic_feet(300_000.0)),
            }
            .solve()
            .unwrap()
        };
        assert!(balance(2000.0, None).negative);
        assert!((balance(2000.0, None).changes.unwrap().ratio() - 0.8).abs() < 1e-9);
        assert!(!balance(6500.0, None).negative);
        assert!(!balance(2000.0, Some(-0.01)).negative, "a measured pressure goes first");
        assert!(balance(6500.0, Some(-0.05)).negative);
    }
}
