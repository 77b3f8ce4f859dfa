//! Inlet pressure that sags when burners fire: pipe, regulator, or both.

use crate::trade::gas::MANIFOLD_RANGE;
use crate::trade::impossible::{Impossible, Range};
use crate::trade::quantity::{GaugePressure, PressureDifference};
use crate::trade::unit::Unit;
use crate::trade::worked::{Formula, Sheet, Worked};

/// Formula of the sag.
pub const INLET_SAG: Formula = Formula {
    id: "gas.inlet_sag",
    version: 1,
    name: "inlet sag at full fire",
    expression: "static - flowing; lock-up - static; against the pipe's own drop at that flow",
    source: "common practice: under about 0.5 in w.c. on low-pressure systems, lock-up +0.3 to +0.5",
    range: "low-pressure systems, same regulator",
    function: "gas::sag::Sag::solve",
    test: "sag_tells_pipe_from_regulator",
};

/// Inlet pressures of one unit.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Sag {
    /// No flow.
    pub still: GaugePressure,
    /// This unit firing.
    pub flowing: GaugePressure,
    /// All units firing.
    pub all_on: Option<GaugePressure>,
    /// After a quick shut-off.
    pub lockup: Option<GaugePressure>,
    /// Least inlet pressure of the plate.
    pub plate_min: GaugePressure,
    /// Drop that the pipe should have at full fire.
    pub pipe_drop: Option<PressureDifference>,
}

/// What is suggested.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum SagPoints {
    /// Pressure holds.
    Holds,
    /// The pipe alone explains the sag.
    Pipe,
    /// The sag is more than the pipe explains: regulator, meter, filter or a part-shut valve.
    RegulatorOrBlockage,
    /// Sag, and nobody worked out the pipe.
    SagUnexplained,
}

/// The drops and what they suggest.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Sagged {
    /// Static less flowing.
    pub own: PressureDifference,
    /// Static less all on.
    pub all: Option<PressureDifference>,
    /// Rise after a quick shut-off.
    pub lockup_rise: Option<PressureDifference>,
    /// Least pressure seen less the plate's minimum; negative when under it.
    pub over_plate_min: PressureDifference,
    /// What the drops suggest.
    pub points: SagPoints,
}

/// Sag let pass on low-pressure systems. Source: common practice, about 0.5 in w.c.
pub const SAG_USUAL: PressureDifference = PressureDifference::from_inches_wc(0.5);

impl Sag {
    /// Works it out.
    pub fn solve(&self) -> Result<Sagged, Impossible> {
        const PIPE: Range = Range {
            what: "pipe drop",
            low: 0.0,
            high: 60.0,
            unit: Unit::InWc,
            hint: "work the pipe out first",
        };
        let read = [Some(self.still), Some(self.flowing), self.all_on, self.lockup];
        for pressure in read.into_iter().flatten().chain([self.plate_min]) {
            MANIFOLD_RANGE.check(pressure)?;
        }
        if let Some(drop) = self.pipe_drop {
            PIPE.check(drop)?;
        }
        let lowest = self
            .all_on
            .map_or(self.flowing, |all| if all < self.flowing { all } else { self.flowing });
        let most = self.still.drop_to(lowest);
        let points = match self.pipe_drop {
            _ if most <= SAG_USUAL => SagPoints::Holds,
            None => SagPoints::SagUnexplained,
            // Fittings and tables are good to about a third: within that the pipe explains it.
            Some(drop) if most.inches_wc() <= 1.35 * drop.inches_wc() + 0.1 => SagPoints::Pipe,
            Some(_) => SagPoints::RegulatorOrBlockage,
        };
        Ok(Sagged {
            own: self.still.drop_to(self.flowing),
            all: self.all_on.map(|all| self.still.drop_to(all)),
            lockup_rise: self.lockup.map(|lockup| lockup.drop_to(self.still)),
            over_plate_min: lowest.drop_to(self.plate_min),
            points,
        })
    }

    /// Works it out with its sheet.
    pub fn worked(&self) -> Result<Worked<Sagged>, Impossible> {
        let value = self.solve()?;
        let words = match value.points {
            SagPoints::Holds => "the inlet holds at this load",
            SagPoints::Pipe => "the pipe's own drop explains the sag: pipe size or length",
            SagPoints::RegulatorOrBlockage => {
                "the sag is more than the pipe explains: regulator, meter, filter or a part-shut valve"
            }
            SagPoints::SagUnexplained => "the inlet sags: work out the pipe's drop at this flow",
        };
        let mut sheet = Sheet::new(&INLET_SAG)
            .input("still", "inlet, no flow", self.still, Unit::InWc)
            .input("flowing", "inlet, this unit firing", self.flowing, Unit::InWc)
            .input("plate_min", "least inlet of the plate", self.plate_min, Unit::InWc)
            .result("own", "sag, this unit", value.own, Unit::InWc)
            .result("over_plate_min", "over the plate's least", value.over_plate_min, Unit::InWc)
            .finding(words)
            .caution("regulators upstream belong to the utility or the supplier");
        if let (Some(read), Some(all)) = (self.all_on, value.all) {
            sheet = sheet.input("all_on", "inlet, all firing", read, Unit::InWc).result(
                "all",
                "sag, all firing",
                all,
                Unit::InWc,
            );
        }
        if let (Some(read), Some(rise)) = (self.lockup, value.lockup_rise) {
            sheet = sheet.input("lockup", "inlet after shut-off", read, Unit::InWc).result(
                "lockup_rise",
                "rise after shut-off",
                rise,
                Unit::InWc,
            );
        }
        Ok(Worked { value, sheet })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn sag_tells_pipe_from_regulator() {
        let inches = GaugePressure::from_inches_wc;
        let sag = |all_on, pipe: Option<f64>| {
            let sag = Sag {
                still: inches(7.3),
                flowing: inches(7.0),
                all_on: Some(inches(all_on)),
                lockup: Some(inches(7.7)),
                plate_min: inches(5.0),
                pipe_drop: pipe.map(PressureDifference::from_inches_wc),
            };
            sag.solve().unwrap()
        };
        assert_eq!(sag(6.9, None).points, SagPoints::Holds);
        assert_eq!(sag(5.8, Some(1.3)).points, SagPoints::Pipe);
        assert_eq!(sag(4.6, Some(0.4)).points, SagPoints::RegulatorOrBlockage);
        assert!(sag(4.6, None).over_plate_min.inches_wc() < 0.0);
        assert_eq!(sag(4.6, None).points, SagPoints::SagUnexplained);
    }
}
