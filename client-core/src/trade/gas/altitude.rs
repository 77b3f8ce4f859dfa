//! Input at elevation: by the code's rule, read both ways, and by physics.

use crate::trade::atmosphere::standard_pressure;
use crate::trade::gas::orifice::{Orifice, USUAL_DISCHARGE};
use crate::trade::gas::{BurnerGas, GAS_TEMPERATURE_RANGE, INPUT_RANGE};
use crate::trade::impossible::Impossible;
use crate::trade::quantity::{
    AbsolutePressure, GaugePressure, HeatRate, Length, Quantity, Ratio, Temperature,
};
use crate::trade::unit::Unit;
use crate::trade::worked::{Formula, Sheet, Worked};

/// Formula of the altitude derate.
pub const ALTITUDE: Formula = Formula {
    id: "gas.altitude_derate",
    version: 1,
    name: "input at elevation",
    expression: "rule: 4 % less each 1,000 ft above sea level, from 2,000 ft; orifice: compressible flow",
    source: "NFPA 54 11.1.2 / IFGC (from memory); standard atmosphere; isentropic nozzle",
    range: "0 to 12,000 ft; the maker's chart wins",
    function: "gas::altitude::Altitude::solve",
    test: "golden_tables_hold",
};

/// A burner at an elevation.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Altitude {
    /// Elevation of the site.
    pub elevation: Length,
    /// Manifold pressure, held the same.
    pub manifold: GaugePressure,
    /// Gas and air temperature.
    pub temperature: Temperature,
    /// The gas.
    pub gas: BurnerGas,
}

/// What elevation does.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct AtAltitude {
    /// Standard air pressure there.
    pub barometer: AbsolutePressure,
    /// Air density over that at sea level, same temperature.
    pub density: Ratio,
    /// The rule counted from sea level, none below 2,000 ft: the usual reading of the code.
    pub rule_from_sea_level: Ratio,
    /// The rule counted from 2,000 ft only: the other reading.
    pub rule_above_2000_ft: Ratio,
    /// What the same orifice passes at the same manifold pressure.
    pub same_orifice: Ratio,
    /// Input that keeps the excess air of a fan moving the same volume.
    pub same_excess_air: Ratio,
    /// Bore over bore that brings the same orifice down to the usual rule.
    pub bore_for_rule: Ratio,
}

impl Altitude {
    /// Works it out.
    ///
    /// ```
    /// use client_core::trade::gas::{altitude::Altitude, BurnerGas};
    /// use client_core::trade::quantity::*;
    /// let at = Altitude {
    ///     elevation: Length::from_feet(5000.0),
    ///     manifold: GaugePressure::from_inches_wc(3.5),
    ///     temperature: Temperature::BASE_60F,
    ///     gas: BurnerGas::NATURAL,
    /// }
    /// .solve()
    /// .unwrap();
    /// assert!((at.rule_from_sea_level.ratio() - 0.80).abs() < 1e-9);
    /// assert!((at.same_orifice.ratio() - 0.912).abs() < 5e-4);
    /// ```
    pub fn solve(&self) -> Result<AtAltitude, Impossible> {
        GAS_TEMPERATURE_RANGE.check(self.temperature)?;
        let barometer = standard_pressure(self.elevation)?;
        let passes = |barometer| {
            let orifice = Orifice {
                bore: Length::from_inches(0.1),
                pressure: self.manifold,
                gas: self.gas,
                discharge: USUAL_DISCHARGE,
                barometer,
                temperature: self.temperature,
            };
            orifice.solve().map(|found| found.mass.kilograms_per_second())
        };
        let (here, there) = (passes(AbsolutePressure::STANDARD)?, passes(barometer)?);
        let same_orifice = if here > 0.0 { there / here } else { 1.0 };
        let thousands = self.elevation.feet() / 1000.0;
        // The step lies just above 2,000 ft: a site at 2,000 ft exactly is not yet derated.
        let high = self.elevation.feet() > 2000.0 + 1e-6;
        let from_sea = if high { 1.0 - 0.04 * thousands } else { 1.0 };
        let density = barometer.over(AbsolutePressure::STANDARD);
        Ok(AtAltitude {
            barometer,
            density,
            rule_from_sea_level: Ratio::from_ratio(from_sea.max(0.0)),
            rule_above_2000_ft: Ratio::from_ratio(1.0 - 0.04 * (thousands - 2.0).max(0.0)),
            same_orifice: Ratio::from_ratio(same_orifice),
            same_excess_air: density,
            bore_for_rule: Ratio::from_ratio((from_sea.max(0.0) / same_orifice).sqrt()),
        })
    }

    /// Works it out with its sheet, for a plate input.
    pub fn worked(&self, plate: HeatRate) -> Result<Worked<AtAltitude>, Impossible> {
        INPUT_RANGE.check(plate)?;
        let value = self.solve()?;
        let physics = plate * value.same_orifice;
        let sheet = Sheet::new(&ALTITUDE)
            .input("elevation", "elevation", self.elevation, Unit::Ft)
            .input("plate_input", "plate input at sea level", plate, Unit::BtuH)
            .input("manifold", "manifold pressure", self.manifold, Unit::InWc)
            .step(
                "barometer",
                "standard air pressure",
                value.barometer.amount(Unit::Psia),
                "standard atmosphere",
            )
            .step("density", "air density ratio", value.density.amount(Unit::Ratio), "p / p0")
            .result("same_orifice", "the same orifice passes", physics, Unit::BtuH)
            .result(
                "target",
                "input by the code's rule",
                plate * value.rule_from_sea_level,
                Unit::BtuH,
            )
            .rule(
                "same_orifice",
                "4 % each 1,000 ft from sea level",
                (plate * value.rule_from_sea_level).amount(Unit::BtuH),
                "NFPA 54 11.1.2 / IFGC (from memory)",
            )
            .rule(
                "same_orifice",
                "4 % each 1,000 ft above 2,000 ft only",
                (plate * value.rule_above_2000_ft).amount(Unit::BtuH),
                "another reading of the same rule",
            )
            .outside(self.elevation.feet() > 12_000.0, "over 12,000 ft ask the maker")
            .outside(self.elevation.feet() < 0.0, "below sea level nothing is derated")
            .caution("the maker's altitude chart wins over any rule");
        Ok(Worked { value, sheet })
    }
}
