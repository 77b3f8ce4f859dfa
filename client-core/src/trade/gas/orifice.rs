//! Flow through a burner orifice (spud) into the open, compressible.

use crate::trade::atmosphere::AIR_PRESSURE_RANGE;
use crate::trade::constant::{AIR_MOLAR_MASS, ATMOSPHERE, GAS_CONSTANT, KELVIN_60F};
use crate::trade::gas::drill::{Drill, Series};
use crate::trade::gas::{BurnerGas, GAS_TEMPERATURE_RANGE, INPUT_RANGE, MANIFOLD_RANGE};
use crate::trade::impossible::{Impossible, Range, finite};
use crate::trade::quantity::{
    AbsolutePressure, GaugePressure, HeatRate, Length, MassFlow, Quantity, Ratio, StandardFlow,
    Temperature,
};
use crate::trade::unit::CUBIC_FOOT;
use crate::trade::unit::Unit;
use crate::trade::worked::{Formula, Sheet, Worked};

/// Formula of the orifice flow.
pub const ORIFICE_FLOW: Formula = Formula {
    id: "gas.orifice_flow",
    version: 1,
    name: "flow through a burner orifice",
    expression: "m = Cd A sqrt(2 g/(g-1) p1 rho1 (r^(2/g) - r^((g+1)/g))), r = p air / p1",
    source: "isentropic nozzle into the open; ISO 5167-3 expansibility agrees to 2e-6",
    range: "up to 5 psig, discharge coefficient 0.5 to 1",
    function: "gas::orifice::Orifice::solve",
    test: "golden_tables_hold",
};

/// The trade's constant: cfh = 1658.5 K A sqrt(h / SG). Source: from memory, NFPA 54 Annex E style.
const TRADE: f64 = 1658.5;

/// An orifice at work.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Orifice {
    /// Bore.
    pub bore: Length,
    /// Pressure before it, above the air around.
    pub pressure: GaugePressure,
    /// The gas.
    pub gas: BurnerGas,
    /// Discharge coefficient; 0.9 by the tables of NFPA 54.
    pub discharge: Ratio,
    /// Air pressure at the site.
    pub barometer: AbsolutePressure,
    /// Gas temperature.
    pub temperature: Temperature,
}

/// What an orifice passes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct OrificeFlow {
    /// Compressible over incompressible flow.
    pub expansibility: Ratio,
    /// Mass flow.
    pub mass: MassFlow,
    /// Volume flow at 60 F and one atmosphere.
    pub flow: StandardFlow,
    /// Heat.
    pub heat: HeatRate,
    /// Volume flow by the trade's rule.
    pub trade: StandardFlow,
}

pub(crate) const BORE: Range = Range {
    what: "orifice bore",
    low: 0.001,
    high: 4.0,
    unit: Unit::In,
    hint: "check inches against millimetres",
};
pub(crate) const DISCHARGE: Range = Range {
    what: "discharge coefficient",
    low: 0.3,
    high: 1.0,
    unit: Unit::Ratio,
    hint: "burner orifices are 0.8 to 0.95",
};

/// Discharge coefficient of the trade's tables. Source: NFPA 54 Annex E, K 0.9.
pub const USUAL_DISCHARGE: Ratio = Ratio::from_ratio(0.9);

impl Orifice {
    /// Works it out.
    ///
    /// ```
    /// use client_core::trade::gas::{orifice::{Orifice, USUAL_DISCHARGE}, BurnerGas};
    /// use client_core::trade::quantity::*;
    /// let orifice = Orifice {
    ///     bore: Length::from_inches(0.0935),
    ///     pressure: GaugePressure::from_inches_wc(3.5),
    ///     gas: BurnerGas::NATURAL,
    ///     discharge: USUAL_DISCHARGE,
    ///     barometer: AbsolutePressure::STANDARD,
    ///     temperature: Temperature::BASE_60F,
    /// };
    /// assert!((orifice.solve().unwrap().flow.scfh() - 24.7).abs() < 0.1);
    /// ```
    pub fn solve(&self) -> Result<OrificeFlow, Impossible> {
        BORE.check(self.bore)?;
        MANIFOLD_RANGE.check(self.pressure)?;
        self.gas.check()?;
        DISCHARGE.check(self.discharge)?;
        AIR_PRESSURE_RANGE.check(self.barometer)?;
        GAS_TEMPERATURE_RANGE.check(self.temperature)?;
        let gravity = self.gas.gravity.ratio();
        let outside = self.barometer.pascals();
        let inside = self.barometer.plus(self.pressure).pascals();
        let molar = gravity * AIR_MOLAR_MASS.grams_per_mole() / 1000.0;
        let density = inside * molar / (GAS_CONSTANT * self.temperature.kelvin());
        let hole = self.discharge.ratio() * self.bore.circle().square_metres();
        let incompressible = hole * (2.0 * density * self.pressure.pascals()).sqrt();
        let expansibility = expansibility(outside / inside, self.gas.isentropic.ratio());
        let mass = finite("orifice flow", incompressible * expansibility)?;
        let standard_density = ATMOSPHERE * molar / (GAS_CONSTANT * KELVIN_60F);
        let flow = StandardFlow::from_scfh(mass / standard_density * 3600.0 / CUBIC_FOOT);
        let trade = TRADE
            * self.discharge.ratio()
            * self.bore.circle().square_inches()
            * (self.pressure.inches_wc() / gravity).sqrt();
        Ok(OrificeFlow {
            expansibility: Ratio::from_ratio(expansibility),
            mass: MassFlow::from_kilograms_per_second(mass),
            flow,
            heat: self.gas.heating_value.times(flow),
            trade: StandardFlow::from_scfh(trade),
        })
    }

    /// Bore that passes this heat, everything else as it is.
    pub fn bore_for(&self, heat: HeatRate) -> Result<Length, Impossible> {
        INPUT_RANGE.check(heat)?;
        let trial = Orifice { bore: Length::from_inches(0.1), ..*self };
        let passes = trial.solve()?.heat;
        let bore = 0.1 * (heat / passes).ratio().sqrt();
        Ok(Length::from_inches(finite("orifice bore", bore)?))
    }

    /// Works it out with its sheet; `count` orifices share the burner.
    pub fn worked(&self) -> Result<Worked<OrificeFlow>, Impossible> {
        let value = self.solve()?;
        let sheet = Sheet::new(&ORIFICE_FLOW)
            .input("bore", "bore", self.bore, Unit::In)
            .input("pressure", "pressure before it", self.pressure, Unit::InWc)
            .input("gravity", "specific gravity", self.gas.gravity, Unit::Ratio)
            .input("isentropic", "isentropic exponent", self.gas.isentropic, Unit::Ratio)
            .input("heating_value", "gross heating value", self.gas.heating_value, Unit::BtuFt3)
            .input("discharge", "discharge coefficient", self.discharge, Unit::Ratio)
            .input("barometer", "air pressure", self.barometer, Unit::Psia)
            .input("temperature", "gas temperature", self.temperature, Unit::F)
            .step("area", "area of the bore", self.bore.circle().amount(Unit::In2), "pi/4 d^2")
            .step(
                "expansibility",
                "expansibility",
                value.expansibility.amount(Unit::Ratio),
                "compressible over incompressible",
            )
            .result("flow", "flow at 60 F, 14.696 psia", value.flow, Unit::Scfh)
            .result("mass", "mass flow", value.mass, Unit::LbH)
            .result("heat", "heat", value.heat, Unit::BtuH)
            .rule(
                "flow",
                "1658.5 K A sqrt(h / SG)",
                value.trade.amount(Unit::Scfh),
                "from memory, NFPA 54 Annex E style",
            )
            .outside(self.pressure.psi() > 5.0, "over 5 psig the jet nears the speed of sound")
            .caution("orifices come with the maker's listed parts; the plate governs");
        Ok(Worked { value, sheet })
    }
}

/// Formula of the orifice size.
pub const ORIFICE_SIZE: Formula = Formula {
    id: "gas.orifice_size",
    version: 1,
    name: "orifice for a heat",
    expression: "bore of the compressible orifice flow at the heat wanted; largest drill not larger",
    source: "isentropic nozzle; drills of ASME B94.11M",
    range: "up to 5 psig",
    function: "gas::orifice::size_worked",
    test: "an_orifice_sized_for_a_heat_passes_it",
};

/// The bore for a heat with its sheet, and the largest drill of some series that is not larger.
pub fn size_worked(
    orifice: &Orifice,
    heat: HeatRate,
    series: &[Series],
) -> Result<Worked<Length>, Impossible> {
    let value = orifice.bore_for(heat)?;
    let mut sheet = Sheet::new(&ORIFICE_SIZE)
        .input("heat", "heat of one orifice", heat, Unit::BtuH)
        .input("pressure", "pressure before it", orifice.pressure, Unit::InWc)
        .input("gravity", "specific gravity", orifice.gas.gravity, Unit::Ratio)
        .input("heating_value", "gross heating value", orifice.gas.heating_value, Unit::BtuFt3)
        .input("discharge", "discharge coefficient", orifice.discharge, Unit::Ratio)
        .input("barometer", "air pressure", orifice.barometer, Unit::Psia)
        .result("bore", "bore", value, Unit::In)
        .caution("orifices come with the maker's listed parts; the plate governs");
    if let Ok(drill) = Drill::largest_not_over(value, series) {
        let passes = Orifice { bore: drill.bore(), ..*orifice }.solve()?.heat;
        let over = Ratio::from_ratio((passes / heat).ratio() - 1.0);
        sheet = sheet
            .finding(format!("drill not larger: {drill}"))
            .result("with_drill", "heat with that drill", passes, Unit::BtuH)
            .result("drill_error", "over the heat wanted", over, Unit::Pct);
    }
    Ok(Worked { value, sheet })
}

/// Compressible over incompressible flow of an ideal nozzle from rest.
pub(crate) fn expansibility(ratio: f64, isentropic: f64) -> f64 {
    let drop = 1.0 - ratio;
    if drop < 1e-7 {
        return 1.0;
    }
    let power = (isentropic - 1.0) / isentropic;
    // 1 - r^((g-1)/g) loses digits near r = 1 unless it is taken by its logarithm.
    let cooled = -(power * ratio.ln()).exp_m1();
    (ratio.powf(2.0 / isentropic) * cooled / (power * drop)).sqrt()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_orifice_sized_for_a_heat_passes_it() {
        let orifice = Orifice {
            bore: Length::from_inches(0.1),
            pressure: GaugePressure::from_inches_wc(3.5),
            gas: BurnerGas::NATURAL,
            discharge: USUAL_DISCHARGE,
            barometer: AbsolutePressure::from_kilopascals(84.3),
            temperature: Temperature::BASE_60F,
        };
        let heat = HeatRate::from_mbh(25.0);
        let sized = size_worked(&orifice, heat, &[Series::Number]).unwrap();
        let passes = Orifice { bore: sized.value, ..orifice }.solve().unwrap().heat;
        assert!((passes / heat).ratio() - 1.0 < 1e-12);
        assert!(sized.sheet.findings[0].contains('#'));
    }
}
