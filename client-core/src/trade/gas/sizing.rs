//! The smallest pipe for a run.

use crate::trade::gas::pipe::{PipeRun, STEEL, code_capacity};
use crate::trade::impossible::Impossible;
use crate::trade::quantity::{
    AbsolutePressure, GaugePressure, Length, PressureDifference, Quantity, Ratio, StandardFlow,
    Temperature, Viscosity,
};
use crate::trade::unit::Unit;
use crate::trade::worked::{Formula, Sheet, Worked};

/// Formula of the sizing.
pub const PIPE_SIZING: Formula = Formula {
    id: "gas.pipe_sizing",
    version: 1,
    name: "pipe size for a run",
    expression: "smallest schedule 40 pipe whose capacity by the code's equation takes the flow",
    source: "NFPA 54 6.4.1 / IFGC 402.4.1 (from memory); schedule 40 bores of ASME B36.10M",
    range: "under 1.5 psi, longest-length method",
    function: "gas::sizing::Sizing::solve",
    test: "sizing_follows_the_code_table",
};

/// A nominal pipe.
#[derive(Debug, PartialEq)]
pub struct Pipe {
    /// Nominal size as people say it.
    pub nominal: &'static str,
    /// Inner diameter.
    pub bore: Length,
}

/// Schedule 40 steel pipe. Source: ASME B36.10M, bores as in the code's tables.
pub const SCHEDULE_40: &[Pipe] = &[
    Pipe { nominal: "3/8", bore: Length::from_inches(0.493) },
    Pipe { nominal: "1/2", bore: Length::from_inches(0.622) },
    Pipe { nominal: "3/4", bore: Length::from_inches(0.824) },
    Pipe { nominal: "1", bore: Length::from_inches(1.049) },
    Pipe { nominal: "1-1/4", bore: Length::from_inches(1.380) },
    Pipe { nominal: "1-1/2", bore: Length::from_inches(1.610) },
    Pipe { nominal: "2", bore: Length::from_inches(2.067) },
    Pipe { nominal: "2-1/2", bore: Length::from_inches(2.469) },
    Pipe { nominal: "3", bore: Length::from_inches(3.068) },
    Pipe { nominal: "4", bore: Length::from_inches(4.026) },
    Pipe { nominal: "5", bore: Length::from_inches(5.047) },
    Pipe { nominal: "6", bore: Length::from_inches(6.065) },
];

/// A run to be sized.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Sizing {
    /// Flow at 60 F and one atmosphere.
    pub flow: StandardFlow,
    /// Longest length with fittings.
    pub length: Length,
    /// Drop allowed.
    pub allowed: PressureDifference,
    /// Specific gravity.
    pub gravity: Ratio,
    /// Viscosity.
    pub viscosity: Viscosity,
    /// Pressure at the inlet.
    pub inlet: GaugePressure,
    /// Air pressure at the site.
    pub barometer: AbsolutePressure,
}

/// The size and what it does.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Sized {
    /// The pipe.
    pub pipe: &'static Pipe,
    /// Its capacity by the code at the allowed drop.
    pub capacity: StandardFlow,
    /// Its exact drop at this flow; none where the flow is too much for it.
    pub exact_drop: Option<PressureDifference>,
}

impl Sizing {
    /// Finds the size.
    pub fn solve(&self) -> Result<Sized, Impossible> {
        for pipe in SCHEDULE_40 {
            let capacity =
                code_capacity(pipe.bore, self.length, self.allowed, self.gravity, self.viscosity)?;
            if capacity < self.flow {
                continue;
            }
            let run = PipeRun {
                bore: pipe.bore,
                length: self.length,
                flow: self.flow,
                gravity: self.gravity,
                viscosity: self.viscosity,
                inlet: self.inlet,
                barometer: self.barometer,
                temperature: Temperature::BASE_60F,
                roughness: STEEL,
            };
            run.check()?;
            let exact_drop = run.solve().ok().map(|found| found.exact);
            return Ok(Sized { pipe, capacity, exact_drop });
        }
        Err(Impossible::PipeTooSmall { inlet: self.inlet.amount(Unit::InWc) })
    }

    /// Finds the size, with the sheet.
    pub fn worked(&self) -> Result<Worked<Sized>, Impossible> {
        let value = self.solve()?;
        let mut sheet = Sheet::new(&PIPE_SIZING)
            .input("flow", "flow at 60 F, 14.696 psia", self.flow, Unit::Scfh)
            .input("length", "longest length with fittings", self.length, Unit::Ft)
            .input("allowed", "drop allowed", self.allowed, Unit::InWc)
            .input("gravity", "specific gravity", self.gravity, Unit::Ratio)
            .input("inlet", "inlet pressure", self.inlet, Unit::InWc)
            .result("bore", "inner diameter", value.pipe.bore, Unit::In)
            .result("capacity", "capacity by the code", value.capacity, Unit::Scfh)
            .finding(format!("smallest schedule 40 size: {} in", value.pipe.nominal))
            .caution("pipe is sized by the code's tables and a licensed person");
        if let Some(drop) = value.exact_drop {
            sheet = sheet.result("drop", "exact drop at this flow", drop, Unit::InWc);
        }
        Ok(Worked { value, sheet })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::trade::gas::pipe::NATURAL_VISCOSITY;

    #[test]
    fn sizing_follows_the_code_table() {
        // Source: IFGC 2018 Table 402.4(3): 60 ft, 3.0 in w.c., 1 in takes 678 and 1-1/4 in 1,390 cfh.
        let size = |flow| {
            let sizing = Sizing {
                flow: StandardFlow::from_scfh(flow),
                length: Length::from_feet(60.0),
                allowed: PressureDifference::from_inches_wc(3.0),
                gravity: Ratio::from_ratio(0.60),
                viscosity: NATURAL_VISCOSITY,
                inlet: GaugePressure::from_inches_wc(14.0),
                barometer: AbsolutePressure::STANDARD,
            };
            sizing.solve().unwrap().pipe.nominal
        };
        assert_eq!(size(650.0), "1");
        assert_eq!(size(700.0), "1-1/4");
        assert_eq!(size(1380.0), "1-1/4");
    }
}
