//! Flow through an orifice plate in a pipe, by ISO 5167-2.

use crate::trade::constant::{AIR_MOLAR_MASS, GAS_CONSTANT};
use crate::trade::gas::{GAS_TEMPERATURE_RANGE, GRAVITY_RANGE, ISENTROPIC_RANGE};
use crate::trade::impossible::{Impossible, Range, finite};
use crate::trade::quantity::{
    AbsolutePressure, Length, MassFlow, PressureDifference, Quantity, Ratio, Temperature, Viscosity,
};
use crate::trade::unit::Unit;
use crate::trade::worked::{Formula, Sheet, Worked};

/// Formula of the plate.
pub const METERING_PLATE: Formula = Formula {
    id: "gas.metering_plate",
    version: 1,
    name: "flow through an orifice plate",
    expression: "m = C e / sqrt(1 - b^4) pi/4 d^2 sqrt(2 dp rho1)",
    source: "ISO 5167-2:2003 (Reader-Harris/Gallagher), low-Reynolds terms of Reader-Harris 2015",
    range: "pipe 50 to 1,000 mm, beta 0.1 to 0.75, Reynolds from 5,000, dp up to a quarter of p1",
    function: "gas::metering_plate::MeteringPlate::solve",
    test: "golden_tables_hold",
};

/// Where the pressure is tapped.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Taps {
    /// In the corners.
    Corner,
    /// An inch from the plate.
    Flange,
    /// A diameter before and half a one behind.
    DAndHalfD,
}

/// A plate in a pipe.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct MeteringPlate {
    /// Inner diameter of the pipe.
    pub pipe: Length,
    /// Bore of the plate.
    pub bore: Length,
    /// Pressure before it.
    pub inlet: AbsolutePressure,
    /// Pressure difference.
    pub difference: PressureDifference,
    /// Gas temperature.
    pub temperature: Temperature,
    /// Specific gravity.
    pub gravity: Ratio,
    /// Isentropic exponent.
    pub isentropic: Ratio,
    /// Viscosity.
    pub viscosity: Viscosity,
    /// Taps.
    pub taps: Taps,
}

/// What the plate says.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PlateFlow {
    /// Discharge coefficient.
    pub discharge: Ratio,
    /// Expansibility.
    pub expansibility: Ratio,
    /// Mass flow.
    pub mass: MassFlow,
    /// Reynolds number of the pipe.
    pub reynolds: Ratio,
}

impl MeteringPlate {
    fn check(&self) -> Result<f64, Impossible> {
        const PIPE: Range = Range {
            what: "pipe bore",
            low: 12.0,
            high: 1500.0,
            unit: Unit::Mm,
            hint: "give the inner diameter",
        };
        const BETA: Range = Range {
            what: "bore over pipe",
            low: 0.05,
            high: 0.85,
            unit: Unit::Ratio,
            hint: "the standard takes 0.1 to 0.75",
        };
        const INLET: Range = Range {
            what: "pressure before the plate",
            low: 20.0,
            high: 20_000.0,
            unit: Unit::Kpa,
            hint: "give it above vacuum",
        };
        const SHARE: Range = Range {
            what: "pressure difference over inlet pressure",
            low: 0.0,
            high: 0.45,
            unit: Unit::Ratio,
            hint: "the standard takes up to 0.25",
        };
        const VISCOSITY: Range = Range {
            what: "gas viscosity",
            low: 0.003,
            high: 0.1,
            unit: Unit::Cp,
            hint: "natural gas 0.011 cP",
        };
        PIPE.check(self.pipe)?;
        let beta = BETA.check(self.bore / self.pipe)?.ratio();
        INLET.check(self.inlet)?;
        SHARE.check(Ratio::from_ratio(self.difference.pascals() / self.inlet.pascals()))?;
        GAS_TEMPERATURE_RANGE.check(self.temperature)?;
        GRAVITY_RANGE.check(self.gravity)?;
        ISENTROPIC_RANGE.check(self.isentropic)?;
        VISCOSITY.check(self.viscosity)?;
        Ok(beta)
    }

    /// Works it out.
    pub fn solve(&self) -> Result<PlateFlow, Impossible> {
        let beta = self.check()?;
        let (inlet, difference) = (self.inlet.pascals(), self.difference.pascals());
        let molar = self.gravity.ratio() * AIR_MOLAR_MASS.grams_per_mole() / 1000.0;
        let density = inlet * molar / (GAS_CONSTANT * self.temperature.kelvin());
        let four = beta.powi(4);
        let left = 1.0 - difference / inlet;
        let expansibility = 1.0
            - (0.351 + 0.256 * four + 0.93 * four * four)
                * (1.0 - left.powf(1.0 / self.isentropic.ratio()));
        let area = self.bore.circle().square_metres();
        let ideal =
            expansibility / (1.0 - four).sqrt() * area * (2.0 * difference * density).sqrt();
        let per_mass =
            4.0 / (std::f64::consts::PI * self.pipe.metres() * self.viscosity.pascal_seconds());
        let mut discharge = 0.6;
        for _ in 0..100 {
            let reynolds = (discharge * ideal * per_mass).max(1.0);
            let next = self.discharge(beta, reynolds);
            let step = next - discharge;
            discharge = next;
            if step.abs() < 1e-14 {
                break;
            }
        }
        let mass = finite("plate flow", discharge * ideal)?;
        Ok(PlateFlow {
            discharge: Ratio::from_ratio(discharge),
            expansibility: Ratio::from_ratio(expansibility),
            mass: MassFlow::from_kilograms_per_second(mass),
            reynolds: Ratio::from_ratio(mass * per_mass),
        })
    }

    /// Reader-Harris/Gallagher. Source: ISO 5167-2:2003 5.3.2.1; the two maxima from Reader-Harris,
    /// Orifice Plates and Venturi Tubes (2015), which hold under Reynolds 3,700.
    fn discharge(&self, beta: f64, reynolds: f64) -> f64 {
        let pipe = self.pipe.millimetres();
        let (before, behind) = match self.taps {
            Taps::Corner => (0.0, 0.0),
            Taps::Flange => (25.4 / pipe, 25.4 / pipe),
            Taps::DAndHalfD => (1.0, 0.47),
        };
        let a = (19_000.0 * beta / reynolds).powf(0.8);
        let four = beta.powi(4);
        let upstream = (0.043 + 0.080 * (-10.0 * before).exp() - 0.123 * (-7.0 * before).exp())
            * (1.0 - 0.11 * a)
            * four
            / (1.0 - four);
        let m = 2.0 * behind / (1.0 - beta);
        let slow = (3700.0 / reynolds).log10().max(0.0);
        let downstream = -0.031 * (m - 0.8 * m.powf(1.1)) * beta.powf(1.3) * (1.0 + 8.0 * slow);
        let slope = (1e6 / reynolds).powf(0.3).max(22.7 - 0.0047 * reynolds);
        let body = 0.5961 + 0.0261 * beta * beta - 0.216 * four * four
            + 0.000521 * (1e6 * beta / reynolds).powf(0.7)
            + (0.0188 + 0.0063 * a) * beta.powf(3.5) * slope;
        let narrow = if pipe < 71.12 { 0.011 * (0.75 - beta) * (2.8 - pipe / 25.4) } else { 0.0 };
        body + upstream + downstream + narrow
    }

    /// Works it out with its sheet.
    pub fn worked(&self) -> Result<Worked<PlateFlow>, Impossible> {
        let value = self.solve()?;
        let sheet = Sheet::new(&METERING_PLATE)
            .input("pipe", "pipe bore", self.pipe, Unit::Mm)
            .input("bore", "plate bore", self.bore, Unit::Mm)
            .input("inlet", "pressure before it", self.inlet, Unit::Psia)
            .input("difference", "pressure difference", self.difference, Unit::InWc)
            .input("temperature", "gas temperature", self.temperature, Unit::F)
            .input("gravity", "specific gravity", self.gravity, Unit::Ratio)
            .step(
                "discharge",
                "discharge coefficient",
                value.discharge.amount(Unit::Ratio),
                "Reader-Harris/Gallagher",
            )
            .step(
                "expansibility",
                "expansibility",
                value.expansibility.amount(Unit::Ratio),
                "ISO 5167-2",
            )
            .result("mass", "mass flow", value.mass, Unit::KgH)
            .result("reynolds", "Reynolds number", value.reynolds, Unit::Ratio)
            .outside(value.reynolds.ratio() < 5000.0, "under Reynolds 5,000 the standard stops")
            .outside(self.pipe.millimetres() < 50.0, "under 50 mm the standard stops");
        Ok(Worked { value, sheet })
    }
}
