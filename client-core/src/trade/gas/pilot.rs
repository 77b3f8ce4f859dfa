//! The pilot orifice: what it passes and which bore another gas wants.

use crate::trade::gas::BurnerGas;
use crate::trade::gas::drill::{Drill, Series};
use crate::trade::gas::orifice::{Orifice, OrificeFlow};
use crate::trade::impossible::Impossible;
use crate::trade::quantity::{
    AbsolutePressure, GaugePressure, HeatRate, Length, Quantity, Ratio, Temperature,
};
use crate::trade::unit::Unit;
use crate::trade::worked::{Formula, Sheet, Worked};

/// Formula of the pilot.
pub const PILOT: Formula = Formula {
    id: "gas.pilot",
    version: 1,
    name: "pilot orifice",
    expression: "compressible orifice flow at the pilot tap's pressure, main burner on and off",
    source: "isentropic nozzle; discharge coefficient 0.8 for long small bores by common practice",
    range: "bores 0.006 to 0.040 in",
    function: "gas::pilot::Pilot::solve",
    test: "pilot_falls_with_supply",
};

/// Discharge coefficient of small bores. Source: common practice, no source.
pub const PILOT_DISCHARGE: Ratio = Ratio::from_ratio(0.8);

/// A pilot with its pressure in both states of the main burner.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Pilot {
    /// Bore.
    pub bore: Length,
    /// Pressure with the main burner off.
    pub main_off: GaugePressure,
    /// Pressure with the main burner on.
    pub main_on: GaugePressure,
    /// The gas.
    pub gas: BurnerGas,
    /// Air pressure at the site.
    pub barometer: AbsolutePressure,
}

/// What the pilot passes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PilotFlow {
    /// Heat with the main burner off.
    pub off: HeatRate,
    /// Heat with the main burner on.
    pub on: HeatRate,
    /// The one over the other.
    pub kept: Ratio,
    /// Whether the pressure falls so far that supply or filter is in question (by a tenth or more).
    pub starves: bool,
}

impl Pilot {
    fn flow(&self, bore: Length, pressure: GaugePressure) -> Result<OrificeFlow, Impossible> {
        Orifice {
            bore,
            pressure,
            gas: self.gas,
            discharge: PILOT_DISCHARGE,
            barometer: self.barometer,
            temperature: Temperature::BASE_60F,
        }
        .solve()
    }

    /// Works it out.
    pub fn solve(&self) -> Result<PilotFlow, Impossible> {
        let off = self.flow(self.bore, self.main_off)?.heat;
        let on = self.flow(self.bore, self.main_on)?.heat;
        if off.watts() <= 0.0 {
            return Err(Impossible::Under {
                what: "pilot pressure with the main burner off",
                value: self.main_off.amount(Unit::InWc),
                low: GaugePressure::from_inches_wc(0.1).amount(Unit::InWc),
                hint: "measure at the pilot tap with the pilot lit",
            });
        }
        let kept = on / off;
        let starves = (self.main_on / self.main_off).ratio() <= 0.9;
        Ok(PilotFlow { off, on, kept, starves })
    }

    /// Bore that passes the same heat of another gas at another pressure, and the drill not larger.
    pub fn bore_for(
        &self,
        gas: BurnerGas,
        pressure: GaugePressure,
    ) -> Result<(Length, Option<Drill>), Impossible> {
        let heat = self.solve()?.off;
        let next = Orifice {
            bore: self.bore,
            pressure,
            gas,
            discharge: PILOT_DISCHARGE,
            barometer: self.barometer,
            temperature: Temperature::BASE_60F,
        };
        let bore = next.bore_for(heat)?;
        Ok((bore, Drill::largest_not_over(bore, &[Series::Number]).ok()))
    }

    /// Works it out with its sheet.
    pub fn worked(&self) -> Result<Worked<PilotFlow>, Impossible> {
        let value = self.solve()?;
        let words = if value.starves {
            "pilot pressure falls when the main opens: supply, regulator or filter"
        } else {
            "pilot pressure holds: with a weak flame look at the pilot's orifice or tube"
        };
        let sheet = Sheet::new(&PILOT)
            .input("bore", "pilot bore", self.bore, Unit::In)
            .input("main_off", "pilot pressure, main off", self.main_off, Unit::InWc)
            .input("main_on", "pilot pressure, main on", self.main_on, Unit::InWc)
            .result("off", "pilot heat, main off", value.off, Unit::BtuH)
            .result("on", "pilot heat, main on", value.on, Unit::BtuH)
            .result("kept", "heat kept", value.kept, Unit::Pct)
            .finding(words)
            .outside(
                !(0.006..=0.04).contains(&self.bore.inches()),
                "pilot bores are 0.006 to 0.040 in",
            )
            .caution("a pilot orifice is cleaned or replaced by the maker's part, never drilled");
        Ok(Worked { value, sheet })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn pilot_falls_with_supply() {
        let pilot = |on| Pilot {
            bore: Length::from_inches(0.018),
            main_off: GaugePressure::from_inches_wc(6.8),
            main_on: GaugePressure::from_inches_wc(on),
            gas: BurnerGas::NATURAL,
            barometer: AbsolutePressure::STANDARD,
        };
        assert!(!pilot(6.6).solve().unwrap().starves);
        let starved = pilot(3.4).solve().unwrap();
        assert!(starved.starves && (starved.kept.ratio() - 0.5_f64.sqrt()).abs() < 0.01);
        let lp = pilot(6.6).bore_for(BurnerGas::PROPANE, GaugePressure::from_inches_wc(11.0));
        assert!(lp.unwrap().0 < Length::from_inches(0.018));
    }
}
