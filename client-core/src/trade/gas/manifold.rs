//! Input by the square-root law of the manifold pressure: a quick look.

use crate::trade::gas::INPUT_RANGE;
use crate::trade::impossible::{Impossible, Range};
use crate::trade::quantity::{GaugePressure, HeatRate, Quantity, Ratio};
use crate::trade::reading::usual;
use crate::trade::uncertainty::{Uncertain, propagate};
use crate::trade::unit::Unit;
use crate::trade::worked::{Formula, Sheet, Worked};

/// Formula of the square-root input.
pub const SQUARE_ROOT_INPUT: Formula = Formula {
    id: "gas.square_root_input",
    version: 1,
    name: "input from the manifold pressure",
    expression: "plate input x sqrt(measured / plate manifold)",
    source: "orifice law at constant gas, bore and air pressure",
    range: "the plate's gas and orifice; 0.1 to 3 times the plate's manifold pressure",
    function: "gas::manifold::SquareRoot::solve",
    test: "trade_check_values",
};

/// Plate and measured manifold.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SquareRoot {
    /// Input of the plate at this stage of fire.
    pub plate_input: HeatRate,
    /// Manifold pressure of the plate at this stage of fire.
    pub plate: GaugePressure,
    /// Manifold pressure measured.
    pub measured: GaugePressure,
}

/// What the law says.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct RootInput {
    /// Input over plate input.
    pub factor: Ratio,
    /// Input.
    pub input: HeatRate,
}

const PLATE: Range = Range {
    what: "manifold pressure of the plate",
    low: 0.05,
    high: 60.0,
    unit: Unit::InWc,
    hint: "read it off the plate again",
};
const MEASURED: Range = Range {
    what: "manifold pressure",
    low: 0.0,
    high: 60.0,
    unit: Unit::InWc,
    hint: "check the figure and the unit",
};

impl SquareRoot {
    /// Works it out.
    ///
    /// ```
    /// use client_core::trade::gas::manifold::SquareRoot;
    /// use client_core::trade::quantity::{GaugePressure, HeatRate};
    /// let law = SquareRoot {
    ///     plate_input: HeatRate::from_mbh(250.0),
    ///     plate: GaugePressure::from_inches_wc(3.5),
    ///     measured: GaugePressure::from_inches_wc(4.12),
    /// };
    /// assert!((law.solve().unwrap().factor.ratio() - 1.085).abs() < 5e-4);
    /// ```
    pub fn solve(&self) -> Result<RootInput, Impossible> {
        INPUT_RANGE.check(self.plate_input)?;
        PLATE.check(self.plate)?;
        MEASURED.check(self.measured)?;
        let factor = Ratio::from_ratio((self.measured / self.plate).ratio().max(0.0).sqrt());
        Ok(RootInput { factor, input: self.plate_input * factor })
    }

    /// Works it out with its sheet.
    pub fn worked(&self) -> Result<Worked<RootInput>, Impossible> {
        let value = self.solve()?;
        let ratio = (self.measured / self.plate).ratio();
        let read: Uncertain = usual("manifold_high", self.measured, Unit::InWc);
        let found = propagate(&[read], |x| {
            let measured = GaugePressure::from_inches_wc(x[0].max(0.0));
            let moved = SquareRoot { measured, ..*self };
            moved.solve().ok().map(|found| found.input.btu_per_hour())
        });
        let mut sheet = Sheet::new(&SQUARE_ROOT_INPUT)
            .input("plate_input", "plate input", self.plate_input, Unit::BtuH)
            .input("plate", "plate manifold", self.plate, Unit::InWc)
            .input("measured", "manifold measured", self.measured, Unit::InWc)
            .step(
                "factor",
                "factor",
                value.factor.amount(Unit::Ratio),
                format!("sqrt({:.2} / {:.2})", self.measured.inches_wc(), self.plate.inches_wc()),
            )
            .result("input", "input", value.input, Unit::BtuH)
            .outside(
                !(0.1..=3.0).contains(&ratio),
                "far from the plate's pressure: clock the meter",
            )
            .caution("right only with the plate's gas and orifice: clock the meter to prove it")
            .caution("set to the plate, not past it; plate and local code govern");
        sheet.spreads = found
            .map(|found| found.spread("input", Unit::BtuH, &["manifold gauge"]))
            .into_iter()
            .collect();
        Ok(Worked { value, sheet })
    }
}
