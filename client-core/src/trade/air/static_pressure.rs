//! Static pressure over a duct system: where the fan's pressure goes.

use crate::trade::impossible::{Impossible, Range};
use crate::trade::quantity::{PressureDifference, Quantity, Ratio};
use crate::trade::unit::Unit;
use crate::trade::worked::{Formula, Sheet, Worked};

/// Formula of the static pressure.
pub const STATIC_PRESSURE: Formula = Formula {
    id: "air.static_pressure",
    version: 1,
    name: "external static pressure",
    expression: "external = supply - return; each part = static before - static behind",
    source: "common practice; the limit is the plate's",
    range: "duct units at steady fan speed",
    function: "air::static_pressure::Statics::solve",
    test: "statics_find_the_filter",
};

/// Static pressures of a duct unit, each against the room.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Statics {
    /// In the return, before the filter. Below the room: negative.
    pub before_filter: PressureDifference,
    /// Between filter and fan.
    pub behind_filter: PressureDifference,
    /// Behind the unit, before any coil.
    pub behind_unit: PressureDifference,
    /// In the supply, behind any coil.
    pub supply: PressureDifference,
    /// Greatest external static pressure of the plate.
    pub plate: Option<PressureDifference>,
}

/// Where it goes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Dropped {
    /// Over filter and everything outside the unit.
    pub external: PressureDifference,
    /// Over the filter.
    pub filter: PressureDifference,
    /// Over the coil.
    pub coil: PressureDifference,
    /// Over supply and return ducts.
    pub ducts: PressureDifference,
    /// External over the plate's.
    pub of_plate: Option<Ratio>,
}

impl Statics {
    /// Works it out.
    pub fn solve(&self) -> Result<Dropped, Impossible> {
        const READ: Range = Range {
            what: "static pressure",
            low: -20.0,
            high: 20.0,
            unit: Unit::InWc,
            hint: "check sign and unit: the return is negative",
        };
        const PLATE: Range = Range {
            what: "external static pressure of the plate",
            low: 0.01,
            high: 20.0,
            unit: Unit::InWc,
            hint: "read it off the plate again",
        };
        for read in [self.before_filter, self.behind_filter, self.behind_unit, self.supply] {
            READ.check(read)?;
        }
        if self.behind_filter > self.before_filter {
            return Err(Impossible::WindowReversed {
                what: "the static pressure over the filter",
                low: self.before_filter.amount(Unit::InWc),
                high: self.behind_filter.amount(Unit::InWc),
            });
        }
        let filter = self.before_filter - self.behind_filter;
        let coil = self.behind_unit - self.supply;
        let external = self.behind_unit - self.behind_filter;
        let ducts = self.supply - self.before_filter;
        let of_plate = match self.plate {
            Some(plate) => Some(external / PLATE.check(plate)?),
            None => None,
        };
        Ok(Dropped { external, filter, coil, ducts, of_plate })
    }

    /// Works it out with its sheet.
    pub fn worked(&self) -> Result<Worked<Dropped>, Impossible> {
        let value = self.solve()?;
        let most = [("filter", value.filter), ("coil", value.coil), ("ducts", value.ducts)]
            .into_iter()
            .max_by(|one, other| one.1.pascals().total_cmp(&other.1.pascals()));
        let mut sheet = Sheet::new(&STATIC_PRESSURE)
            .input("before_filter", "static before the filter", self.before_filter, Unit::InWc)
            .input("behind_filter", "static behind the filter", self.behind_filter, Unit::InWc)
            .input("behind_unit", "static behind the unit", self.behind_unit, Unit::InWc)
            .input("supply", "static in the supply", self.supply, Unit::InWc)
            .step("filter", "over the filter", value.filter.amount(Unit::InWc), "before - behind")
            .step("coil", "over the coil", value.coil.amount(Unit::InWc), "before - behind")
            .step("ducts", "over the ducts", value.ducts.amount(Unit::InWc), "supply - return")
            .result("external", "external static pressure", value.external, Unit::InWc);
        if let Some((name, _)) = most {
            sheet = sheet.finding(format!("most of it lies over the {name}"));
        }
        if let Some(share) = value.of_plate {
            sheet = sheet.result("of_plate", "share of the plate's limit", share, Unit::Pct);
        }
        Ok(Worked { value, sheet })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn statics_find_the_filter() {
        let inches = PressureDifference::from_inches_wc;
        let statics = Statics {
            before_filter: inches(-0.10),
            behind_filter: inches(-0.55),
            behind_unit: inches(0.30),
            supply: inches(0.15),
            plate: Some(inches(0.5)),
        };
        let found = statics.solve().unwrap();
        assert!((found.external.inches_wc() - 0.85).abs() < 1e-9);
        let parts = found.filter + found.coil + found.ducts;
        assert!((parts.inches_wc() - found.external.inches_wc()).abs() < 1e-9);
        assert!((found.of_plate.unwrap().percent() - 170.0).abs() < 1e-6);
        assert!(statics.worked().unwrap().sheet.findings[0].contains("filter"));
    }
}
