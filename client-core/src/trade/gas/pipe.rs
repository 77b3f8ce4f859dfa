//! Pressure drop of gas pipe: by the code's equation, and exact.

use crate::trade::atmosphere::AIR_PRESSURE_RANGE;
use crate::trade::constant::{AIR_MOLAR_MASS, ATMOSPHERE, GAS_CONSTANT, KELVIN_60F};
use crate::trade::gas::{GAS_TEMPERATURE_RANGE, GRAVITY_RANGE};
use crate::trade::impossible::{Impossible, Range};
use crate::trade::quantity::{
    AbsolutePressure, Area, GaugePressure, Length, PressureDifference, Quantity, Ratio, Speed,
    StandardFlow, Temperature, Viscosity,
};
use crate::trade::unit::{CUBIC_FOOT, Unit};
use crate::trade::worked::{Formula, Sheet, Worked};

/// Formula of the pipe drop.
pub const PIPE_DROP: Formula = Formula {
    id: "gas.pipe_drop",
    version: 1,
    name: "pressure drop of a pipe",
    expression: "isothermal flow, Darcy friction of Colebrook; beside D = Q^.381 / (19.17 (dH/(Cr L))^.206)",
    source: "isothermal compressible flow; NFPA 54 6.4.1 / IFGC 402.4.1 (from memory)",
    range: "turbulent flow; Reynolds 2,320 to 4,000 is uncertain by itself",
    function: "gas::pipe::PipeRun::solve",
    test: "golden_tables_hold",
};

/// How the gas flows.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Regime {
    /// Reynolds under 2,320.
    Laminar,
    /// 2,320 to 4,000: either.
    Transitional,
    /// Over 4,000.
    Turbulent,
}

impl Regime {
    /// In one word.
    pub const fn name(self) -> &'static str {
        match self {
            Regime::Laminar => "laminar",
            Regime::Transitional => "transitional",
            Regime::Turbulent => "turbulent",
        }
    }
}

/// A straight run of pipe, fittings as equivalent length.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PipeRun {
    /// Inner diameter.
    pub bore: Length,
    /// Length with the equivalent length of fittings.
    pub length: Length,
    /// Flow at 60 F and one atmosphere.
    pub flow: StandardFlow,
    /// Specific gravity.
    pub gravity: Ratio,
    /// Viscosity of the gas.
    pub viscosity: Viscosity,
    /// Pressure at the inlet, above the air around.
    pub inlet: GaugePressure,
    /// Air pressure at the site.
    pub barometer: AbsolutePressure,
    /// Gas temperature.
    pub temperature: Temperature,
    /// Height of the roughness; 0.00015 ft for steel.
    pub roughness: Length,
}

/// What the run does.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PipeDrop {
    /// Reynolds number.
    pub reynolds: Ratio,
    /// How it flows.
    pub regime: Regime,
    /// Speed at the inlet.
    pub speed: Speed,
    /// Exact drop.
    pub exact: PressureDifference,
    /// Drop by the code's low-pressure equation.
    pub code: PressureDifference,
    /// Drop by Spitzglass.
    pub spitzglass: PressureDifference,
}

/// Roughness of steel pipe. Source: Moody, 0.00015 ft.
pub const STEEL: Length = Length::from_feet(0.00015);
/// Viscosities of the code's equation. Source: NFPA 54 6.4 / IFGC A.4 (symbol list seen).
pub const NATURAL_VISCOSITY: Viscosity = Viscosity::from_centipoise(0.012);
/// Viscosity of propane in the code's equation.
pub const PROPANE_VISCOSITY: Viscosity = Viscosity::from_centipoise(0.008);

pub(super) const BORE: Range = Range {
    what: "pipe bore",
    low: 0.1,
    high: 60.0,
    unit: Unit::In,
    hint: "give the inner diameter",
};
pub(super) const LENGTH: Range = Range {
    what: "pipe length",
    low: 0.1,
    high: 100_000.0,
    unit: Unit::Ft,
    hint: "check feet against metres",
};
pub(super) const FLOW: Range = Range {
    what: "gas flow",
    low: 0.01,
    high: 1e7,
    unit: Unit::Scfh,
    hint: "input over heating value",
};
const VISCOSITY: Range = Range {
    what: "gas viscosity",
    low: 0.003,
    high: 0.05,
    unit: Unit::Cp,
    hint: "natural gas 0.012 cP, propane 0.008 cP",
};
const ROUGHNESS: Range = Range {
    what: "pipe roughness",
    low: 0.0,
    high: 0.02,
    unit: Unit::Ft,
    hint: "steel 0.00015 ft, smooth tube 0.000005 ft",
};
const INLET: Range = Range {
    what: "inlet pressure",
    low: 0.0,
    high: 150.0,
    unit: Unit::Psi,
    hint: "check the figure and the unit",
};

/// The code's factor Cr. Source: NFPA 54 6.4.1 (from memory), T of 520 R.
pub(super) fn code_factor(gravity: Ratio, viscosity: Viscosity) -> f64 {
    let gravity = gravity.ratio();
    0.00354 * gravity * 520.0 * (viscosity.centipoise() / gravity).powf(0.152)
}

impl PipeRun {
    pub(super) fn check(&self) -> Result<(), Impossible> {
        BORE.check(self.bore)?;
        LENGTH.check(self.length)?;
        FLOW.check(self.flow)?;
        GRAVITY_RANGE.check(self.gravity)?;
        VISCOSITY.check(self.viscosity)?;
        INLET.check(self.inlet)?;
        AIR_PRESSURE_RANGE.check(self.barometer)?;
        GAS_TEMPERATURE_RANGE.check(self.temperature)?;
        ROUGHNESS.check(self.roughness)?;
        Ok(())
    }

    /// Works it out.
    ///
    /// ```
    /// use client_core::trade::gas::pipe::{PipeRun, NATURAL_VISCOSITY, STEEL};
    /// use client_core::trade::quantity::*;
    /// let run = PipeRun {
    ///     bore: Length::from_inches(1.049),
    ///     length: Length::from_feet(60.0),
    ///     flow: StandardFlow::from_scfh(678.0),
    ///     gravity: Ratio::from_ratio(0.60),
    ///     viscosity: NATURAL_VISCOSITY,
    ///     inlet: GaugePressure::from_inches_wc(14.0),
    ///     barometer: AbsolutePressure::STANDARD,
    ///     temperature: Temperature::BASE_60F,
    ///     roughness: STEEL,
    /// };
    /// // IFGC Table 402.4(3) lets 678 cfh through 60 ft of 1 in pipe at 3.0 in w.c.
    /// assert!((run.solve().unwrap().code.inches_wc() - 3.0).abs() < 0.1);
    /// ```
    pub fn solve(&self) -> Result<PipeDrop, Impossible> {
        self.check()?;
        let specific =
            GAS_CONSTANT / (self.gravity.ratio() * AIR_MOLAR_MASS.grams_per_mole() / 1000.0);
        let bore = self.bore.metres();
        let (standard, kelvin) = (KELVIN_60F, self.temperature.kelvin());
        let volume = self.flow.scfh() * CUBIC_FOOT / 3600.0;
        let mass = volume * ATMOSPHERE / (specific * standard);
        let area: Area = self.bore.circle();
        let reynolds = 4.0 * mass / (std::f64::consts::PI * bore * self.viscosity.pascal_seconds());
        let friction = friction(reynolds, self.roughness.metres() / bore);
        let inlet = self.barometer.plus(self.inlet).pascals();
        let flux = mass / area.square_metres();
        let per_length = friction * self.length.metres() / bore;
        let outlet = isothermal_outlet(inlet, flux * flux * specific * kelvin, per_length);
        let too_small = || Impossible::PipeTooSmall { inlet: self.inlet.amount(Unit::InWc) };
        let outlet = outlet.ok_or_else(too_small)?;
        if outlet < self.barometer.pascals() {
            return Err(too_small());
        }
        let speed = volume * (ATMOSPHERE / inlet) * (kelvin / standard) / area.square_metres();
        Ok(PipeDrop {
            reynolds: Ratio::from_ratio(reynolds),
            regime: if reynolds < 2320.0 {
                Regime::Laminar
            } else if reynolds < 4000.0 {
                Regime::Transitional
            } else {
                Regime::Turbulent
            },
            speed: Speed::from_metres_per_second(speed),
            exact: PressureDifference::from_pascals(inlet - outlet),
            code: self.code_drop(),
            spitzglass: self.spitzglass_drop(),
        })
    }

    /// Drop by the code's low-pressure equation (under 1.5 psi). Source: NFPA 54 6.4.1 (from memory).
    fn code_drop(&self) -> PressureDifference {
        let factor = code_factor(self.gravity, self.viscosity);
        let base = self.flow.scfh().powf(0.381) / (19.17 * self.bore.inches());
        PressureDifference::from_inches_wc(factor * self.length.feet() * base.powf(1.0 / 0.206))
    }

    /// Drop by Spitzglass under 1 psi. Source: handbook form, from memory.
    fn spitzglass_drop(&self) -> PressureDifference {
        let bore = self.bore.inches();
        let shape = 1.0 + 3.6 / bore + 0.03 * bore;
        let flow = (self.flow.scfh() / 3550.0).powi(2);
        let drop = flow * self.gravity.ratio() * self.length.feet() * shape / bore.powi(5);
        PressureDifference::from_inches_wc(drop)
    }

    /// Works it out with its sheet.
    pub fn worked(&self) -> Result<Worked<PipeDrop>, Impossible> {
        let value = self.solve()?;
        let left = GaugePressure::from_pascals(self.inlet.pascals() - value.exact.pascals());
        let sheet = Sheet::new(&PIPE_DROP)
            .input("bore", "inner diameter", self.bore, Unit::In)
            .input("length", "length with fittings", self.length, Unit::Ft)
            .input("flow", "flow at 60 F, 14.696 psia", self.flow, Unit::Scfh)
            .input("gravity", "specific gravity", self.gravity, Unit::Ratio)
            .input("viscosity", "viscosity", self.viscosity, Unit::Cp)
            .input("inlet", "inlet pressure", self.inlet, Unit::InWc)
            .input("barometer", "air pressure", self.barometer, Unit::Psia)
            .input("temperature", "gas temperature", self.temperature, Unit::F)
            .step(
                "reynolds",
                "Reynolds number",
                value.reynolds.amount(Unit::Ratio),
                "4 m / (pi d mu)",
            )
            .step("speed", "speed at the inlet", value.speed.amount(Unit::Fpm), "flow / area")
            .result("drop", "drop, exact", value.exact, Unit::InWc)
            .result("left", "pressure left", left, Unit::InWc)
            .rule(
                "drop",
                "code's low-pressure equation",
                value.code.amount(Unit::InWc),
                "NFPA 54 6.4.1 / IFGC 402.4.1 (from memory)",
            )
            .rule(
                "drop",
                "Spitzglass",
                value.spitzglass.amount(Unit::InWc),
                "handbook form, from memory",
            )
            .finding(format!("the flow is {}", value.regime.name()))
            .outside(
                value.regime != Regime::Turbulent,
                "not turbulent: the drop is uncertain by itself, the code's equation more so",
            )
            .outside(self.inlet.psi() >= 1.5, "from 1.5 psi the code has another equation")
            .caution("pipe is sized by the code's tables and a licensed person");
        Ok(Worked { value, sheet })
    }
}

/// Darcy friction factor. Source: Colebrook (1939); 64/Re under Reynolds 2,320.
pub(super) fn friction(reynolds: f64, relative: f64) -> f64 {
    if reynolds < 2320.0 {
        return 64.0 / reynolds;
    }
    // Haaland starts within 2 %; Newton on 1/sqrt(f) settles in a few steps.
    let start = (relative / 3.7).powf(1.11) + 6.9 / reynolds;
    let mut root = -1.8 * start.log10();
    for _ in 0..50 {
        let inner = relative / 3.7 + 2.51 * root / reynolds;
        let value = root + 2.0 * inner.log10();
        let slope = 1.0 + 2.0 * 2.51 / (reynolds * inner * std::f64::consts::LN_10);
        let step = value / slope;
        root -= step;
        if step.abs() < 1e-13 * root {
            break;
        }
    }
    1.0 / (root * root)
}

/// Outlet pressure of isothermal flow, `None` where the pipe chokes.
fn isothermal_outlet(inlet: f64, inertia: f64, per_length: f64) -> Option<f64> {
    let mut outlet = inlet;
    for _ in 0..200 {
        let square = inlet * inlet - inertia * (per_length + 2.0 * (inlet / outlet).ln());
        if square <= 0.0 {
            return None;
        }
        let next = square.sqrt();
        if (next - outlet).abs() < 1e-9 {
            return Some(next);
        }
        outlet = next;
    }
    None
}

/// Capacity by the code's low-pressure equation for a drop.
pub fn code_capacity(
    bore: Length,
    length: Length,
    drop: PressureDifference,
    gravity: Ratio,
    viscosity: Viscosity,
) -> Result<StandardFlow, Impossible> {
    const DROP: Range = Range {
        what: "allowed drop",
        low: 0.001,
        high: 60.0,
        unit: Unit::InWc,
        hint: "check the figure and the unit",
    };
    BORE.check(bore)?;
    LENGTH.check(length)?;
    DROP.check(drop)?;
    GRAVITY_RANGE.check(gravity)?;
    VISCOSITY.check(viscosity)?;
    let slope = drop.inches_wc() / (code_factor(gravity, viscosity) * length.feet());
    let flow = (19.17 * bore.inches() * slope.powf(0.206)).powf(1.0 / 0.381);
    Ok(StandardFlow::from_scfh(flow))
}

/// Capacity by the code's equation from 1.5 psi on. Source: NFPA 54 6.4.2 (from memory).
///
/// The printed IFGC Tables 402.4(5) and (7) lie 10 to 12 % below it from 1 in up.
pub fn code_capacity_high(
    bore: Length,
    length: Length,
    inlet: AbsolutePressure,
    outlet: AbsolutePressure,
    gas: HighPressureGas,
) -> Result<StandardFlow, Impossible> {
    const PRESSURE: Range = Range {
        what: "pressure in the pipe",
        low: 10.0,
        high: 150.0,
        unit: Unit::Psia,
        hint: "give it above vacuum",
    };
    BORE.check(bore)?;
    LENGTH.check(length)?;
    PRESSURE.check(inlet)?;
    PRESSURE.check(outlet)?;
    if outlet >= inlet {
        return Err(Impossible::WindowReversed {
            what: "the pressure",
            low: outlet.amount(Unit::Psia),
            high: inlet.amount(Unit::Psia),
        });
    }
    let (factor, compression) = match gas {
        HighPressureGas::Natural => (0.6094, 0.9992),
        HighPressureGas::Propane => (1.2462, 0.9910),
    };
    let squares = inlet.psia().powi(2) - outlet.psia().powi(2);
    let slope: f64 = squares * compression / (factor * length.feet());
    let flow = (18.93 * bore.inches() * slope.powf(0.206)).powf(1.0 / 0.381);
    Ok(StandardFlow::from_scfh(flow))
}

/// Gases of the code's equation from 1.5 psi on.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum HighPressureGas {
    /// Natural gas of gravity 0.60.
    Natural,
    /// Undiluted propane of gravity 1.50.
    Propane,
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn capacities_match_rows_of_the_code_tables() {
        // Source: IFGC 2018 Table 402.4(3), 3.0 in w.c. drop, 60 ft, sizes 1/2 to 4 in.
        let bores = [0.622, 0.824, 1.049, 1.380, 1.610, 2.067, 2.469, 3.068, 4.026];
        let rows = [172.0, 360.0, 678.0, 1390.0, 2090.0, 4020.0, 6400.0, 11_300.0, 23_100.0];
        for (bore, row) in bores.into_iter().zip(rows) {
            let flow = code_capacity(
                Length::from_inches(bore),
                Length::from_feet(60.0),
                PressureDifference::from_inches_wc(3.0),
                Ratio::from_ratio(0.60),
                NATURAL_VISCOSITY,
            );
            let off = flow.unwrap().scfh() / row - 1.0;
            assert!((-0.001..0.010).contains(&off), "{bore} in: {off}");
        }
    }

    #[test]
    fn colebrook_solves_itself() {
        for (reynolds, relative) in [(3000.0, 0.002), (1e5, 1e-4), (1e7, 0.02), (5000.0, 0.0)] {
            let root = 1.0 / friction(reynolds, relative).sqrt();
            let other = -2.0 * (relative / 3.7 + 2.51 * root / reynolds).log10();
            assert!((root - other).abs() < 1e-10);
        }
    }
}
