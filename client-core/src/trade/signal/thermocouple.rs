//! Thermocouple and pilot magnet: three millivolt readings and what they suggest.

use crate::trade::impossible::{Impossible, Range};
use crate::trade::quantity::{Ratio, Voltage};
use crate::trade::unit::Unit;
use crate::trade::worked::{Formula, Sheet, Worked};

/// Formula of the thermocouple.
pub const THERMOCOUPLE: Formula = Formula {
    id: "signal.thermocouple",
    version: 1,
    name: "thermocouple and magnet",
    expression: "open, loaded and drop-out voltage against their usual bands",
    source: "common practice, no source: open 25-35 mV, loaded 12 mV, drop-out 1-6 mV",
    range: "single thermocouples of standing pilots, five minutes after lighting",
    function: "signal::thermocouple::Thermocouple::solve",
    test: "thermocouple_points_to_one_part_at_a_time",
};

/// Voltages of a standing pilot's proving circuit.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Thermocouple {
    /// At the end of the lead, nothing connected.
    pub open: Voltage,
    /// At the adapter, magnet connected.
    pub loaded: Option<Voltage>,
    /// At the adapter when the magnet lets go.
    pub drop_out: Option<Voltage>,
}

/// What the voltages suggest.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum CouplePoints {
    /// As usual.
    Usual,
    /// Weak already when open: pilot flame or thermocouple.
    FlameOrCouple,
    /// Good open, weak loaded: connection, lead or magnet coil.
    ConnectionOrCoil,
    /// Lets go too early: magnet.
    Magnet,
}

impl Thermocouple {
    /// Works it out, with the reserve of loaded over drop-out voltage where both are known.
    pub fn solve(&self) -> Result<(CouplePoints, Option<Ratio>), Impossible> {
        const READ: Range = Range {
            what: "thermocouple voltage",
            low: 0.0,
            high: 60.0,
            unit: Unit::Mv,
            hint: "a single thermocouple gives millivolts; a thermopile is another part",
        };
        READ.check(self.open)?;
        for read in [self.loaded, self.drop_out].into_iter().flatten() {
            READ.check(read)?;
        }
        let under =
            |read: Option<Voltage>, limit: f64| read.is_some_and(|read| read.millivolts() < limit);
        let early = self.drop_out.is_some_and(|read| read.millivolts() > 6.0);
        let points = if self.open.millivolts() < 25.0 {
            CouplePoints::FlameOrCouple
        } else if under(self.loaded, 12.0) {
            CouplePoints::ConnectionOrCoil
        } else if early {
            CouplePoints::Magnet
        } else {
            CouplePoints::Usual
        };
        let reserve = match (self.loaded, self.drop_out) {
            (Some(loaded), Some(drop_out)) if drop_out.millivolts() > 0.0 => {
                Some(loaded / drop_out)
            }
            _ => None,
        };
        Ok((points, reserve))
    }

    /// Works it out with its sheet.
    pub fn worked(&self) -> Result<Worked<CouplePoints>, Impossible> {
        let (value, reserve) = self.solve()?;
        let words = match value {
            CouplePoints::Usual => "as usual for a standing pilot",
            CouplePoints::FlameOrCouple => {
                "weak when open: look at the pilot flame first, then the thermocouple"
            }
            CouplePoints::ConnectionOrCoil => {
                "good open, weak loaded: look at the connection, then the magnet coil"
            }
            CouplePoints::Magnet => "the magnet lets go early",
        };
        let mut sheet = Sheet::new(&THERMOCOUPLE)
            .input("open", "open", self.open, Unit::Mv)
            .finding(words)
            .caution("these bands are common practice; the maker's sheet governs");
        if let Some(loaded) = self.loaded {
            sheet = sheet.input("loaded", "loaded", loaded, Unit::Mv);
        }
        if let Some(drop_out) = self.drop_out {
            sheet = sheet.input("drop_out", "drop-out", drop_out, Unit::Mv);
        }
        if let Some(reserve) = reserve {
            sheet = sheet.result("reserve", "loaded over drop-out", reserve, Unit::Ratio);
        }
        Ok(Worked { value, sheet })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn thermocouple_points_to_one_part_at_a_time() {
        let mv = Voltage::from_millivolts;
        let points = |open, loaded, drop_out| {
            let couple = Thermocouple {
                open: mv(open),
                loaded: Some(mv(loaded)),
                drop_out: Some(mv(drop_out)),
            };
            couple.solve().unwrap().0
        };
        assert_eq!(points(30.0, 14.0, 3.0), CouplePoints::Usual);
        assert_eq!(points(12.0, 6.0, 3.0), CouplePoints::FlameOrCouple);
        assert_eq!(points(30.0, 7.0, 3.0), CouplePoints::ConnectionOrCoil);
        assert_eq!(points(30.0, 14.0, 9.0), CouplePoints::Magnet);
        let pile = Thermocouple { open: mv(450.0), loaded: None, drop_out: None };
        assert!(pile.solve().is_err());
    }
}
