//! What another gas does to a burner left as it is: the Wobbe index.

use crate::trade::fuel::Fuel;
use crate::trade::impossible::{Impossible, Range};
use crate::trade::quantity::{GasBase, GaugePressure, HeatingValue, Quantity, Ratio};
use crate::trade::unit::Unit;
use crate::trade::worked::{Formula, Sheet, Worked};

/// Formula of the interchange check.
pub const INTERCHANGE: Formula = Formula {
    id: "fuel.interchange",
    version: 1,
    name: "interchange of gases (Wobbe)",
    expression: "input changes as W2 / W1; pressure that holds the input: p1 (W1 / W2)^2",
    source: "ISO 6976:2016 for W; orifice law for the rest",
    range: "same orifice, low pressure; lifting, yellow tips and flashback are not covered",
    function: "fuel::interchange::Interchange::solve",
    test: "interchange_of_natural_gas_and_propane",
};

/// The gas that a burner was set for, the gas that comes now, and the manifold.
#[derive(Clone, Debug)]
pub struct Interchange<'a> {
    /// The gas that it was set for.
    pub set_for: &'a Fuel,
    /// The gas that comes now.
    pub supplied: &'a Fuel,
    /// Manifold pressure as set.
    pub manifold: GaugePressure,
}

/// What the other gas does.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Interchanged {
    /// Wobbe index of the gas that it was set for.
    pub wobbe_set: HeatingValue,
    /// Wobbe index of the gas that comes.
    pub wobbe_supplied: HeatingValue,
    /// Input on the new gas over input on the old, nothing touched.
    pub input_factor: Ratio,
    /// Air needed for the new input over air needed before.
    pub air_factor: Ratio,
    /// Manifold pressure that would hold the input.
    pub holding_pressure: GaugePressure,
    /// Whether the change is within 5 %, where gases are commonly taken to interchange.
    pub within_five_percent: bool,
}

const MANIFOLD: Range = Range {
    what: "manifold pressure",
    low: 0.05,
    high: 60.0,
    unit: Unit::InWc,
    hint: "check the figure and the unit",
};

impl Interchange<'_> {
    /// Works it out.
    pub fn solve(&self) -> Result<Interchanged, Impossible> {
        MANIFOLD.check(self.manifold)?;
        let set = self.set_for.at_base(GasBase::ATMOSPHERE_60F)?;
        let supplied = self.supplied.at_base(GasBase::ATMOSPHERE_60F)?;
        let factor = supplied.wobbe_gross / set.wobbe_gross;
        let air = |fuel: &Fuel| fuel.stoichiometry.air / fuel.gross;
        let hold = self.manifold.pascals() / (factor.ratio() * factor.ratio());
        Ok(Interchanged {
            wobbe_set: set.wobbe_gross,
            wobbe_supplied: supplied.wobbe_gross,
            input_factor: factor,
            air_factor: Ratio::from_ratio(factor.ratio() * air(self.supplied) / air(self.set_for)),
            holding_pressure: GaugePressure::from_pascals(hold),
            within_five_percent: (factor.ratio() - 1.0).abs() <= 0.05,
        })
    }

    /// Works it out with its sheet.
    pub fn worked(&self) -> Result<Worked<Interchanged>, Impossible> {
        let value = self.solve()?;
        let fit = if value.within_five_percent {
            "the Wobbe indices lie within 5 %: orifice and pressure suggest about the same input"
        } else {
            "the Wobbe indices lie more than 5 % apart: orifice and pressure are for another gas"
        };
        let sheet = Sheet::new(&INTERCHANGE)
            .input("manifold", "manifold pressure", self.manifold, Unit::InWc)
            .result("wobbe_set", "Wobbe, gas set for", value.wobbe_set, Unit::BtuFt3)
            .result("wobbe_supplied", "Wobbe, gas supplied", value.wobbe_supplied, Unit::BtuFt3)
            .result("input_factor", "input over input before", value.input_factor, Unit::Ratio)
            .result("air_factor", "air needed over air before", value.air_factor, Unit::Ratio)
            .result("hold", "manifold that holds input", value.holding_pressure, Unit::InWc)
            .step(
                "change",
                "change of the Wobbe index",
                Ratio::from_ratio(value.input_factor.ratio() - 1.0).amount(Unit::Pct),
                "W2 / W1 - 1",
            )
            .finding(fit)
            .caution("a change of gas is made with the maker's listed kit, not by pressure alone");
        Ok(Worked { value, sheet })
    }
}
