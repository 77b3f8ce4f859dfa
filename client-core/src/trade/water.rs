//! Water: saturation pressure over liquid and ice, dew point, and the enthalpy of the liquid.
//!
//! Source: IAPWS SR1-86(1992) (Wagner and Pruss 1993) for the liquid line, within 0.008 % of
//! IAPWS-95 from 0 to 127 C; IAPWS R14-08(2011) for ice.

#![expect(clippy::many_single_char_names, reason = "coefficients keep the letters of their source")]

use crate::trade::constant::{GAS_CONSTANT, KELVIN_60F, LATENT_60F_KJ, WATER_MOLAR_MASS};
use crate::trade::impossible::{Impossible, Range};
use crate::trade::quantity::{AbsolutePressure, Temperature};
use crate::trade::species::H2O;
use crate::trade::unit::Unit;

/// Where saturation is worked out.
pub const SATURATION_RANGE: Range = Range {
    what: "temperature",
    low: -90.0,
    high: 370.0,
    unit: Unit::C,
    hint: "check the figure and whether it is F or C",
};

/// Critical temperature, K. Source: IAPWS.
const CRITICAL_K: f64 = 647.096;
/// Critical pressure, Pa. Source: IAPWS.
const CRITICAL_PA: f64 = 22_064_000.0;
/// Critical density, kg/m3. Source: IAPWS.
const CRITICAL_DENSITY: f64 = 322.0;
/// Triple point, K and Pa. Source: IAPWS R14-08.
const TRIPLE_K: f64 = 273.16;
const TRIPLE_PA: f64 = 611.657;
/// Coefficients of the vapour pressure. Source: IAPWS SR1-86(1992) equation 1.
const PRESSURE: [f64; 6] =
    [-7.85951783, 1.84408259, -11.7866497, 22.6807411, -15.9618719, 1.80122502];
/// Coefficients of the liquid density. Source: IAPWS SR1-86(1992) equation 2.
const DENSITY: [f64; 6] =
    [1.99274064, 1.09965342, -0.510839303, -1.75493479, -45.5170352, -6.74694450e5];
/// Coefficients of the auxiliary function of enthalpy. Source: IAPWS SR1-86(1992) equation 4.
const ENTHALPY: [f64; 5] = [-5.65134998e-8, 2690.66631, 127.287297, -135.003439, 0.981825814];
const ENTHALPY_START: f64 = -1135.905627715;
/// Enthalpy of the liquid at 60 F, J/mol: `liquid_enthalpy(60 F)`, checked by a test.
const LIQUID_60F: f64 = 1176.52789;

/// Pressure of water vapour in balance with water, or with ice below 0.01 C.
///
/// ```
/// use client_core::trade::{quantity::Temperature, water};
/// let p = water::saturation_pressure(Temperature::from_celsius(50.0)).unwrap();
/// assert!((p.pascals() / 12351.3 - 1.0).abs() < 2e-4); // IAPWS-95 prints 12.3513 kPa
/// ```
pub fn saturation_pressure(at: Temperature) -> Result<AbsolutePressure, Impossible> {
    SATURATION_RANGE.check(at)?;
    Ok(AbsolutePressure::from_pascals(saturation(at.kelvin())))
}

/// Temperature at which vapour of this partial pressure begins to wet a surface.
pub fn dew_point(partial: AbsolutePressure) -> Result<Temperature, Impossible> {
    const PARTIAL: Range = Range {
        what: "vapour pressure",
        low: 0.01,
        high: 21e6,
        unit: Unit::Pa,
        hint: "the gas is dry, or the figure is off",
    };
    PARTIAL.check(partial)?;
    Ok(Temperature::from_kelvin(saturated_at(partial.pascals())))
}

/// Saturation pressure in pascals at kelvin.
pub(crate) fn saturation(kelvin: f64) -> f64 {
    if kelvin < TRIPLE_K { over_ice(kelvin) } else { CRITICAL_PA * log_liquid(kelvin).0.exp() }
}

/// Saturation temperature in kelvin at pascals.
pub(crate) fn saturated_at(pascals: f64) -> f64 {
    let target = pascals.ln();
    let ice = pascals < TRIPLE_PA;
    // Magnus starts within half a kelvin over water; Newton on the logarithm does the rest.
    let magnus = (pascals / 611.2).ln();
    let mut kelvin = if ice {
        273.15 + 272.62 * magnus / (22.46 - magnus)
    } else {
        (273.15 + 243.12 * magnus / (17.62 - magnus)).clamp(TRIPLE_K, 640.0)
    };
    for _ in 0..12 {
        let (log, slope) = if ice { log_ice(kelvin) } else { log_liquid(kelvin) };
        let start = if ice { TRIPLE_PA.ln() } else { CRITICAL_PA.ln() };
        let step = (start + log - target) / slope;
        kelvin -= step;
        if step.abs() < 1e-9 {
            break;
        }
    }
    kelvin
}

/// Logarithm of pressure over the critical one along the liquid, and its slope per kelvin.
fn log_liquid(kelvin: f64) -> (f64, f64) {
    let tau = 1.0 - kelvin / CRITICAL_K;
    let root = tau.max(0.0).sqrt();
    let (two, three) = (tau * tau, tau * tau * tau);
    let [a, b, c, d, e, f] = PRESSURE;
    let sum = a * tau
        + b * tau * root
        + c * three
        + d * three * root
        + e * two * two
        + f * three * three * tau * root;
    let slope = a
        + 1.5 * b * root
        + 3.0 * c * two
        + 3.5 * d * two * root
        + 4.0 * e * three
        + 7.5 * f * three * three * root;
    let log = CRITICAL_K / kelvin * sum;
    (log, -(log + slope) / kelvin)
}

fn over_ice(kelvin: f64) -> f64 {
    TRIPLE_PA * log_ice(kelvin).0.exp()
}

/// Logarithm of pressure over the triple one along ice, and its slope per kelvin.
fn log_ice(kelvin: f64) -> (f64, f64) {
    // Source: IAPWS R14-08(2011) equation 6.
    const A: [f64; 3] = [-21.2144006, 27.3203819, -6.10598130];
    const B: [f64; 3] = [0.00333333333, 1.20666667, 1.70333333];
    let theta = kelvin / TRIPLE_K;
    let mut sum = 0.0;
    let mut slope = 0.0;
    for (a, b) in A.iter().zip(B) {
        let term = a * theta.powf(b);
        sum += term;
        slope += b * term;
    }
    (sum / theta, (slope - sum) / (theta * theta) / TRIPLE_K)
}

/// Density of saturated liquid water, kg/m3.
pub(crate) fn liquid_density(kelvin: f64) -> f64 {
    let third = (1.0 - kelvin.max(TRIPLE_K) / CRITICAL_K).cbrt();
    let [a, b, c, d, e, f] = DENSITY;
    CRITICAL_DENSITY
        * (1.0
            + a * third
            + b * third.powi(2)
            + c * third.powi(5)
            + d * third.powi(16)
            + e * third.powi(43)
            + f * third.powi(110))
}

/// Enthalpy of saturated liquid water, J/kg, zero at the triple point.
pub(crate) fn liquid_joules(kelvin: f64) -> f64 {
    let kelvin = kelvin.max(TRIPLE_K);
    let theta = kelvin / CRITICAL_K;
    let (log, slope) = log_liquid(kelvin);
    let pressure_slope = CRITICAL_PA * log.exp() * slope;
    let [g, h, i, j, k] = ENTHALPY;
    let root = theta.sqrt();
    let four = theta.powi(4);
    let auxiliary = ENTHALPY_START
        + g * theta.powi(-19)
        + h * theta
        + i * four * root
        + j * four * theta
        + k * theta.powi(54) * root;
    1000.0 * auxiliary + kelvin / liquid_density(kelvin) * pressure_slope
}

/// Enthalpy of saturated liquid water, J/mol, zero at the triple point.
fn liquid_enthalpy(kelvin: f64) -> f64 {
    liquid_joules(kelvin) * WATER_MOLAR_MASS.grams_per_mole() / 1000.0
}

/// Heat that one mole of flue-gas water gives up when it condenses at kelvin, J.
///
/// The liquid is tied to ISO 6976 at 60 F, so that full condensing at 60 F gives the gross value.
pub(crate) fn condensing_heat(kelvin: f64) -> f64 {
    let vapour = GAS_CONSTANT * (H2O.enthalpy(kelvin) - H2O.enthalpy(KELVIN_60F));
    vapour + 1000.0 * LATENT_60F_KJ - (liquid_enthalpy(kelvin) - LIQUID_60F)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn saturation_follows_the_release_tables() {
        // Source: IAPWS SR1-86(1992) verification values and R14-08 verification value at 230 K.
        for (kelvin, pascals) in [(273.16, 611.657), (373.1243, 101_325.0), (230.0, 8.94735)] {
            let got = saturation(kelvin);
            assert!((got / pascals - 1.0).abs() < 5e-5, "{kelvin} K: {got} against {pascals}");
        }
    }

    #[test]
    fn dew_point_undoes_saturation() {
        for tenth in -800..3600 {
            let kelvin = 273.15 + f64::from(tenth) / 10.0;
            let back = saturated_at(saturation(kelvin));
            assert!((back - kelvin).abs() < 2e-3, "{kelvin} came back as {back}");
        }
    }

    #[test]
    fn liquid_enthalpy_at_60_f_is_the_constant() {
        assert!((liquid_enthalpy(KELVIN_60F) - LIQUID_60F).abs() < 1e-3);
    }

    #[test]
    fn condensing_at_60_f_gives_the_standards_latent_heat() {
        assert!((condensing_heat(KELVIN_60F) - 44_408.0).abs() < 0.01);
    }
}
