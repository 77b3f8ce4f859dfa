//! Moist air: humidity ratio, dew point, wet bulb, density, enthalpy.

use crate::trade::atmosphere::AIR_PRESSURE_RANGE;
use crate::trade::constant::STANDARD_AIR_DENSITY;
use crate::trade::flue::HUMIDITY_RANGE;
use crate::trade::impossible::{Impossible, Range, finite};
use crate::trade::quantity::{
    AbsolutePressure, Density, HumidityRatio, Quantity, Ratio, RelativeHumidity, SpecificEnergy,
    Temperature,
};
use crate::trade::unit::Unit;
use crate::trade::water;
use crate::trade::worked::{Formula, Sheet, Worked};

/// Formula of moist air.
pub const MOIST_AIR: Formula = Formula {
    id: "air.moist",
    version: 1,
    name: "moist air",
    expression: "W = 0.621945 pw / (p - pw); v = 0.287042 T (1 + 1.607858 W) / p; h = 1.006 t + W (2501 + 1.86 t)",
    source: "ASHRAE Fundamentals chapter 1 (2017); saturation of IAPWS",
    range: "-40 to 80 C, 50 to 110 kPa",
    function: "air::moist::MoistAir::solve",
    test: "golden_tables_hold",
};

/// Air with its moisture.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct MoistAir {
    /// Dry-bulb temperature.
    pub dry_bulb: Temperature,
    /// Relative humidity.
    pub humidity: RelativeHumidity,
    /// Air pressure at the site.
    pub pressure: AbsolutePressure,
}

/// Properties of moist air.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct MoistProperties {
    /// Water per dry air by mass.
    pub humidity_ratio: HumidityRatio,
    /// Dew or frost point; none in dry air.
    pub dew_point: Option<Temperature>,
    /// Wet-bulb temperature.
    pub wet_bulb: Temperature,
    /// Density of the moist air.
    pub density: Density,
    /// Density over the trade's standard 0.075 lb/ft3.
    pub density_ratio: Ratio,
    /// Enthalpy per dry air, from dry air at 0 C and liquid water.
    pub enthalpy: SpecificEnergy,
}

pub(crate) const DRY_BULB: Range = Range {
    what: "air temperature",
    low: -60.0,
    high: 130.0,
    unit: Unit::C,
    hint: "check the figure and whether it is F or C",
};

/// Ratio of the molar masses of water and dry air. Source: ASHRAE Fundamentals chapter 1.
const MOLAR: f64 = 0.621945;

impl MoistAir {
    /// Works it out.
    ///
    /// ```
    /// use client_core::trade::air::moist::MoistAir;
    /// use client_core::trade::quantity::*;
    /// let air = MoistAir {
    ///     dry_bulb: Temperature::from_celsius(25.0),
    ///     humidity: RelativeHumidity::from_percent(50.0),
    ///     pressure: AbsolutePressure::STANDARD,
    /// };
    /// let found = air.solve().unwrap();
    /// assert!((found.wet_bulb.celsius() - 17.9).abs() < 0.1);
    /// assert!((found.humidity_ratio.kg_per_kg() - 0.00988).abs() < 5e-5);
    /// ```
    pub fn solve(&self) -> Result<MoistProperties, Impossible> {
        DRY_BULB.check(self.dry_bulb)?;
        HUMIDITY_RANGE.check(self.humidity)?;
        AIR_PRESSURE_RANGE.check(self.pressure)?;
        let (celsius, pressure) = (self.dry_bulb.celsius(), self.pressure.pascals());
        let vapour = self.humidity.fraction() * water::saturation(self.dry_bulb.kelvin());
        if vapour >= 0.9 * pressure {
            return Err(Impossible::NoResult { what: "moist air this hot and wet" });
        }
        let ratio = MOLAR * vapour / (pressure - vapour);
        let volume = 287.042 * self.dry_bulb.kelvin() * (1.0 + 1.607858 * ratio) / pressure;
        let density = Density::from_kilograms_per_cubic_metre((1.0 + ratio) / volume);
        let enthalpy = 1.006 * celsius + ratio * (2501.0 + 1.86 * celsius);
        let dew_point =
            (vapour > 0.1).then(|| Temperature::from_kelvin(water::saturated_at(vapour)));
        Ok(MoistProperties {
            humidity_ratio: HumidityRatio::from_kg_per_kg(ratio),
            dew_point,
            wet_bulb: Temperature::from_celsius(wet_bulb(celsius, dew_point, ratio, pressure)?),
            density,
            density_ratio: density / STANDARD_AIR_DENSITY,
            enthalpy: SpecificEnergy::from_kilojoules_per_kilogram(enthalpy),
        })
    }

    /// Works it out with its sheet.
    pub fn worked(&self) -> Result<Worked<MoistProperties>, Impossible> {
        let value = self.solve()?;
        let mut sheet = Sheet::new(&MOIST_AIR)
            .input("dry_bulb", "dry bulb", self.dry_bulb, Unit::F)
            .input("humidity", "relative humidity", self.humidity, Unit::Pct)
            .input("pressure", "air pressure", self.pressure, Unit::Psia)
            .result("humidity_ratio", "humidity ratio", value.humidity_ratio, Unit::GrLb)
            .result("wet_bulb", "wet bulb", value.wet_bulb, Unit::F)
            .result("density", "density", value.density, Unit::LbFt3)
            .result("density_ratio", "density over 0.075 lb/ft3", value.density_ratio, Unit::Ratio)
            .result("enthalpy", "enthalpy per dry air", value.enthalpy, Unit::BtuLb)
            .outside(
                !(-40.0..=80.0).contains(&self.dry_bulb.celsius()),
                "outside -40 to 80 C the constants are stretched",
            );
        if let Some(dew) = value.dew_point {
            sheet = sheet.result("dew_point", "dew point", dew, Unit::F);
        }
        let simple = 0.075 * self.pressure.pascals() / AbsolutePressure::STANDARD.pascals()
            * 529.67
            / (self.dry_bulb.fahrenheit() + 459.67);
        let rule = Density::from_pounds_per_cubic_foot(simple).amount(Unit::LbFt3);
        let sheet = sheet.rule("density", "0.075 x p/p0 x 530/(460 + t)", rule, "common practice");
        Ok(Worked { value, sheet })
    }
}

/// Humidity ratio of air that leaves a wet bulb at `wet`. Source: ASHRAE Fundamentals chapter 1.
fn ratio_at_wet_bulb(celsius: f64, wet: f64, pressure: f64) -> f64 {
    let saturation = water::saturation(wet + 273.15);
    let saturated = MOLAR * saturation / (pressure - saturation);
    if wet >= 0.0 {
        ((2501.0 - 2.326 * wet) * saturated - 1.006 * (celsius - wet))
            / (2501.0 + 1.86 * celsius - 4.186 * wet)
    } else {
        ((2830.0 - 0.24 * wet) * saturated - 1.006 * (celsius - wet))
            / (2830.0 + 1.86 * celsius - 2.1 * wet)
    }
}

/// Around freezing the two equations overlap: a wick may be wet or iced at the same air. Bisecting
/// between dew point and dry bulb picks one of the two, the same one as PsychroLib does.
fn wet_bulb(
    celsius: f64,
    dew_point: Option<Temperature>,
    ratio: f64,
    pressure: f64,
) -> Result<f64, Impossible> {
    let driest = (celsius - 90.0).max(-88.0);
    let (mut low, mut high) = (dew_point.map_or(driest, Temperature::celsius), celsius);
    // Near boiling the saturated ratio runs away; the wet bulb lies far below it there.
    while high > low && water::saturation(high + 273.15) > 0.95 * pressure {
        high -= 1.0;
    }
    for _ in 0..60 {
        let middle = f64::midpoint(low, high);
        if ratio_at_wet_bulb(celsius, middle, pressure) > ratio {
            high = middle;
        } else {
            low = middle;
        }
    }
    finite("wet bulb", f64::midpoint(low, high))
}
