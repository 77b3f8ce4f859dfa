//! Ideal-gas heat of the species in flue gas and air.
//!
//! Source: NASA Glenn seven-coefficient polynomials, low range (200 or 300 to 1000 K), as
//! distributed with Cantera 3.2.0 in `nasa_gas.yaml`.

#![expect(clippy::many_single_char_names, reason = "coefficients keep the letters of their source")]

use crate::trade::constant::{GAS_CONSTANT, dry_air};

/// Coefficients a1 to a6 of one species: heat capacity over R, and enthalpy over R.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Heat(pub(crate) [f64; 6]);

impl Heat {
    pub(crate) const NONE: Heat = Heat([0.0; 6]);

    /// Enthalpy over the gas constant, kelvin, with the heat of formation inside.
    pub(crate) fn enthalpy(&self, t: f64) -> f64 {
        let [a, b, c, d, e, f] = self.0;
        f + t * (a + t * (b / 2.0 + t * (c / 3.0 + t * (d / 4.0 + t * e / 5.0))))
    }

    /// Heat from `low` to `high`, J/mol.
    pub(crate) fn between(&self, low: f64, high: f64) -> f64 {
        GAS_CONSTANT * (self.enthalpy(high) - self.enthalpy(low))
    }

    /// Heat capacity at constant pressure, J/(mol K).
    pub(crate) fn capacity(&self, t: f64) -> f64 {
        let [a, b, c, d, e, _] = self.0;
        GAS_CONSTANT * (a + t * (b + t * (c + t * (d + t * e))))
    }

    /// Adds so many moles of a species to a mixture.
    pub(crate) fn add(&mut self, moles: f64, species: &Heat) {
        for (sum, own) in self.0.iter_mut().zip(species.0) {
            *sum += moles * own;
        }
    }
}

pub(crate) const CO2: Heat = Heat([
    2.35677352,
    0.00898459677,
    -7.12356269e-06,
    2.45919022e-09,
    -1.43699548e-13,
    -48371.9697,
]);
pub(crate) const H2O: Heat =
    Heat([4.19864056, -0.0020364341, 6.52040211e-06, -5.48797062e-09, 1.77197817e-12, -30293.7267]);
pub(crate) const N2: Heat = Heat([
    3.53100528,
    -0.000123660987,
    -5.02999437e-07,
    2.43530612e-09,
    -1.40881235e-12,
    -1046.97628,
]);
pub(crate) const O2: Heat =
    Heat([3.78245636, -0.00299673415, 9.847302e-06, -9.68129508e-09, 3.24372836e-12, -1063.94356]);
/// Argon; helium and neon are the same to this.
pub(crate) const AR: Heat = Heat([2.5, 0.0, 0.0, 0.0, 0.0, -745.375]);
pub(crate) const CO: Heat =
    Heat([3.57953347, -0.00061035368, 1.01681433e-06, 9.07005884e-10, -9.04424499e-13, -14344.086]);
pub(crate) const SO2: Heat =
    Heat([3.2665338, 0.0053237902, 6.8437552e-07, -5.2810047e-09, 2.5590454e-12, -36908.148]);

/// One mole of dry air.
pub(crate) const fn air() -> Heat {
    let mut sum = [0.0; 6];
    let mut at = 0;
    while at < 6 {
        sum[at] = dry_air::N2 * N2.0[at]
            + dry_air::O2 * O2.0[at]
            + dry_air::AR * AR.0[at]
            + dry_air::CO2 * CO2.0[at];
        at += 1;
    }
    Heat(sum)
}

/// Dry air.
pub(crate) const AIR: Heat = air();

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn capacities_match_tables_at_25_c() {
        // Source: JANAF tables at 298.15 K, J/(mol K), from memory.
        for (heat, published) in
            [(CO2, 37.13), (H2O, 33.59), (N2, 29.12), (O2, 29.38), (AR, 20.79), (CO, 29.14)]
        {
            let got = heat.capacity(298.15);
            assert!((got / published - 1.0).abs() < 0.001, "{got} against {published}");
        }
    }
}
