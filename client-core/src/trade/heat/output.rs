//! Output from input and efficiency.

use crate::trade::gas::INPUT_RANGE;
use crate::trade::impossible::{Impossible, Range};
use crate::trade::quantity::{HeatRate, Ratio};
use crate::trade::unit::Unit;
use crate::trade::worked::{Formula, Sheet, Worked};

/// Formula of the output.
pub const OUTPUT: Formula = Formula {
    id: "heat.output",
    version: 1,
    name: "output",
    expression: "output = input x efficiency on the gross value",
    source: "energy balance; jacket and cycling losses left out",
    range: "steady fire",
    function: "heat::output::output",
    test: "demo_rows_are_reproduced",
};

pub(crate) const EFFICIENCY: Range = Range {
    what: "efficiency",
    low: 1.0,
    high: 112.0,
    unit: Unit::Pct,
    hint: "on the gross value it stays under 100 %",
};

/// Output of an appliance.
///
/// ```
/// use client_core::trade::heat::output::output;
/// use client_core::trade::quantity::{HeatRate, Ratio};
/// let out = output(HeatRate::from_mbh(200.0), Ratio::from_percent(79.5)).unwrap();
/// assert!((out.mbh() - 159.0).abs() < 1e-9);
/// ```
pub fn output(input: HeatRate, efficiency: Ratio) -> Result<HeatRate, Impossible> {
    INPUT_RANGE.check(input)?;
    EFFICIENCY.check(efficiency)?;
    Ok(input * efficiency)
}

/// Output with its sheet.
pub fn worked(input: HeatRate, efficiency: Ratio) -> Result<Worked<HeatRate>, Impossible> {
    let value = output(input, efficiency)?;
    let sheet = Sheet::new(&OUTPUT)
        .input("input", "input", input, Unit::BtuH)
        .input("efficiency", "efficiency, gross", efficiency, Unit::Pct)
        .result("output", "output", value, Unit::BtuH)
        .outside(efficiency.percent() > 100.0, "over 100 % is an efficiency on the net value")
        .caution("a good efficiency at half the input is not a good heater");
    Ok(Worked { value, sheet })
}
