//! Dew point of flue gas: where vents drip and condensing begins.

use crate::trade::atmosphere::AIR_PRESSURE_RANGE;
use crate::trade::flue::balance::Products;
use crate::trade::flue::excess::solve as excess_of;
use crate::trade::flue::{AIR_RANGE, Dilution, FRESH_AIR, HUMIDITY_RANGE};
use crate::trade::fuel::Fuel;
use crate::trade::impossible::Impossible;
use crate::trade::quantity::{
    AbsolutePressure, Amount, Concentration, Quantity, RelativeHumidity, Temperature,
};
use crate::trade::unit::Unit;
use crate::trade::water;
use crate::trade::worked::{Formula, Sheet, Worked};

/// Formula of the dew point.
pub const DEW_POINT: Formula = Formula {
    id: "flue.dew_point",
    version: 1,
    name: "dew point of flue gas",
    expression: "T where saturation = p x H2O in the wet gas",
    source: "atom balance; IAPWS saturation; no acid (sulphur-free gas)",
    range: "5 to 70 C; real-gas enhancement (about 0.1 K) left out",
    function: "flue::dew_point::FlueDew::solve",
    test: "golden_tables_hold",
};

/// A flue gas with the air that made it.
#[derive(Clone, Copy, Debug)]
pub struct FlueDew<'a> {
    /// Fuel.
    pub fuel: &'a Fuel,
    /// How thinned the flue gas is where it might drip.
    pub dilution: Dilution,
    /// Combustion air temperature.
    pub air: Temperature,
    /// Humidity of the combustion air.
    pub humidity: RelativeHumidity,
    /// Air pressure at the site.
    pub pressure: AbsolutePressure,
}

impl FlueDew<'_> {
    /// The dew point, or none in a gas without water.
    ///
    /// ```
    /// use client_core::trade::flue::{dew_point::FlueDew, Dilution};
    /// use client_core::trade::fuel::Fuel;
    /// use client_core::trade::quantity::*;
    /// let methane = Fuel::named("methane").unwrap();
    /// let dew = FlueDew {
    ///     fuel: &methane,
    ///     dilution: Dilution::ExcessAir(Ratio::from_percent(0.0)),
    ///     air: Temperature::from_celsius(20.0),
    ///     humidity: RelativeHumidity::from_percent(0.0),
    ///     pressure: AbsolutePressure::STANDARD,
    /// };
    /// assert!((dew.solve().unwrap().unwrap().celsius() - 59.2).abs() < 0.05);
    /// ```
    pub fn solve(&self) -> Result<Option<Temperature>, Impossible> {
        Ok(self.partial()?.map(|partial| Temperature::from_kelvin(water::saturated_at(partial))))
    }

    /// Pressure of the water vapour, pascals.
    fn partial(&self) -> Result<Option<f64>, Impossible> {
        AIR_RANGE.check(self.air)?;
        HUMIDITY_RANGE.check(self.humidity)?;
        AIR_PRESSURE_RANGE.check(self.pressure)?;
        let none = Concentration::from_ppm(0.0);
        let excess = excess_of(self.fuel, self.dilution, none, FRESH_AIR)?;
        let pressure = self.pressure.pascals();
        let vapour = self.humidity.fraction() * water::saturation(self.air.kelvin());
        let products = Products::of(self.fuel, excess, 0.0, vapour / (pressure - vapour))?;
        let partial = pressure * products.h2o / products.wet();
        Ok((partial > 0.1).then_some(partial))
    }

    /// The dew point with its sheet, beside the surface that might drip.
    pub fn worked(
        &self,
        surface: Option<Temperature>,
    ) -> Result<Worked<Option<Temperature>>, Impossible> {
        let value = self.solve()?;
        let partial = self.partial()?.unwrap_or(0.0);
        let mut sheet = Sheet::new(&DEW_POINT)
            .input("air", "combustion air", self.air, Unit::F)
            .input("humidity", "humidity of the air", self.humidity, Unit::Pct)
            .input("pressure", "air pressure", self.pressure, Unit::Psia)
            .step(
                "partial",
                "pressure of the water vapour",
                Amount::new(partial / 1000.0, Unit::Kpa),
                format!("share of water in the wet flue gas of {}", self.fuel.name()),
            );
        let Some(dew) = value else {
            return Ok(Worked { value, sheet: sheet.finding("no water in this flue gas") });
        };
        sheet = sheet.result("dew_point", "dew point", dew, Unit::F);
        if partial > 0.0 {
            // Magnus, as most charts in the trade were drawn. Source: WMO constants, from memory.
            let log = (partial / 611.2).ln();
            let magnus = Temperature::from_celsius(243.12 * log / (17.62 - log));
            sheet = sheet.rule(
                "dew_point",
                "Magnus",
                magnus.amount(Unit::F),
                "WMO constants, from memory",
            );
        }
        if let Some(surface) = surface {
            sheet = sheet.input("surface", "coldest surface", surface, Unit::F).result(
                "margin",
                "surface above the dew point",
                surface.above(dew),
                Unit::DeltaF,
            );
            sheet = if surface < dew {
                sheet.finding(
                    "the surface lies under the dew point: it drips, condensation explains it",
                )
            } else {
                sheet.finding(
                    "the surface lies above the dew point: look for another source of water",
                )
            };
        }
        Ok(Worked { value, sheet })
    }
}
