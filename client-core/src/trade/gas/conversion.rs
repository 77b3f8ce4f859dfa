//! From one gas to another at the same heat: the right bore for each.

use crate::trade::gas::BurnerGas;
use crate::trade::gas::drill::{Drill, Series};
use crate::trade::gas::orifice::Orifice;
use crate::trade::impossible::Impossible;
use crate::trade::quantity::{
    AbsolutePressure, GaugePressure, HeatRate, Length, Quantity, Ratio, Temperature,
};
use crate::trade::unit::Unit;
use crate::trade::worked::{Formula, Sheet, Worked};

/// Formula of the conversion.
pub const CONVERSION: Formula = Formula {
    id: "gas.orifice_conversion",
    version: 1,
    name: "orifice for another gas",
    expression: "bore from the compressible orifice flow of each gas at the same heat",
    source: "isentropic nozzle; drills of ASME B94.11M",
    range: "up to 5 psig, same number of orifices and same discharge coefficient",
    function: "gas::conversion::Conversion::solve",
    test: "golden_tables_hold",
};

/// Two gases, each at its manifold pressure, and the heat of one orifice.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Conversion {
    /// Heat of one orifice.
    pub heat: HeatRate,
    /// The gas now.
    pub from: BurnerGas,
    /// Its manifold pressure.
    pub from_pressure: GaugePressure,
    /// The gas to come.
    pub to: BurnerGas,
    /// Its manifold pressure.
    pub to_pressure: GaugePressure,
    /// Discharge coefficient of both.
    pub discharge: Ratio,
    /// Air pressure at the site.
    pub barometer: AbsolutePressure,
    /// Gas temperature.
    pub temperature: Temperature,
}

/// The bores, the ratio, and the drill for the gas to come.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Converted {
    /// Bore for the gas now.
    pub from_bore: Length,
    /// Bore for the gas to come.
    pub to_bore: Length,
    /// The one over the other.
    pub ratio: Ratio,
    /// The same by the trade's rule.
    pub rule: Ratio,
    /// Largest number drill not larger, and the heat it passes; none where all are larger.
    pub drill: Option<(Drill, HeatRate)>,
}

impl Conversion {
    /// Works it out.
    ///
    /// ```
    /// use client_core::trade::gas::{conversion::Conversion, orifice::USUAL_DISCHARGE, BurnerGas};
    /// use client_core::trade::quantity::*;
    /// let found = Conversion {
    ///     heat: HeatRate::from_btu_per_hour(25_000.0),
    ///     from: BurnerGas::NATURAL,
    ///     from_pressure: GaugePressure::from_inches_wc(3.5),
    ///     to: BurnerGas::PROPANE,
    ///     to_pressure: GaugePressure::from_inches_wc(10.0),
    ///     discharge: USUAL_DISCHARGE,
    ///     barometer: AbsolutePressure::STANDARD,
    ///     temperature: Temperature::BASE_60F,
    /// }
    /// .solve()
    /// .unwrap();
    /// assert!((found.ratio.ratio() - 0.622).abs() < 1e-3);
    /// ```
    pub fn solve(&self) -> Result<Converted, Impossible> {
        let orifice = |gas: BurnerGas, pressure| Orifice {
            bore: Length::from_inches(0.1),
            pressure,
            gas,
            discharge: self.discharge,
            barometer: self.barometer,
            temperature: self.temperature,
        };
        let from_bore = orifice(self.from, self.from_pressure).bore_for(self.heat)?;
        let next = orifice(self.to, self.to_pressure);
        let to_bore = next.bore_for(self.heat)?;
        let over = |one: f64, other: f64, power: f64| (one / other).powf(power);
        let rule = over(
            self.from.heating_value.btu_per_cubic_foot(),
            self.to.heating_value.btu_per_cubic_foot(),
            0.5,
        ) * over(self.from_pressure.pascals(), self.to_pressure.pascals(), 0.25)
            * over(self.to.gravity.ratio(), self.from.gravity.ratio(), 0.25);
        let drill = match Drill::largest_not_over(to_bore, &[Series::Number]) {
            Ok(drill) => Some((drill, Orifice { bore: drill.bore(), ..next }.solve()?.heat)),
            Err(_) => None,
        };
        Ok(Converted {
            from_bore,
            to_bore,
            ratio: to_bore / from_bore,
            rule: Ratio::from_ratio(rule),
            drill,
        })
    }

    /// Works it out with its sheet.
    pub fn worked(&self) -> Result<Worked<Converted>, Impossible> {
        let value = self.solve()?;
        let mut sheet = Sheet::new(&CONVERSION)
            .input("heat", "heat of one orifice", self.heat, Unit::BtuH)
            .input("from_pressure", "manifold now", self.from_pressure, Unit::InWc)
            .input("from_gravity", "gravity now", self.from.gravity, Unit::Ratio)
            .input("from_heat", "heating value now", self.from.heating_value, Unit::BtuFt3)
            .input("to_pressure", "manifold then", self.to_pressure, Unit::InWc)
            .input("to_gravity", "gravity then", self.to.gravity, Unit::Ratio)
            .input("to_heat", "heating value then", self.to.heating_value, Unit::BtuFt3)
            .input("barometer", "air pressure", self.barometer, Unit::Psia)
            .result("from_bore", "bore now", value.from_bore, Unit::In)
            .result("to_bore", "bore then", value.to_bore, Unit::In)
            .result("ratio", "bore then over bore now", value.ratio, Unit::Ratio)
            .rule(
                "ratio",
                "sqrt(H1/H2) (p1/p2)^1/4 (S2/S1)^1/4",
                value.rule.amount(Unit::Ratio),
                "common practice",
            )
            .caution(
                "convert only with the maker's listed kit: bore, spring, label and air setting",
            );
        if let Some((drill, heat)) = value.drill {
            let over = Ratio::from_ratio((heat / self.heat).ratio() - 1.0);
            sheet = sheet
                .finding(format!("drill not larger: {drill}"))
                .result("with_drill", "heat with that drill", heat, Unit::BtuH)
                .result("drill_error", "over the heat wanted", over, Unit::Pct);
        }
        Ok(Worked { value, sheet })
    }
}
