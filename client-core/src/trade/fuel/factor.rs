//! Flue gas and carbon dioxide per heat: the F-factors of emission rules.

use crate::trade::constant::{ATMOSPHERE, GAS_CONSTANT};
use crate::trade::fuel::Fuel;
use crate::trade::quantity::{FlueVolume, Ratio};
use crate::trade::worked::Formula;

/// Formula of the F-factors.
pub const F_FACTORS: Formula = Formula {
    id: "fuel.f_factors",
    version: 1,
    name: "flue gas per heat (F-factors)",
    expression: "Fd = dry flue x V / HHV, Fw = wet flue x V / HHV, Fc = carbon x V / HHV at 68 F",
    source: "40 CFR 60 Appendix A, Method 19 section 12 (from memory)",
    range: "any fuel; ideal gas at 68 F and one atmosphere, heating value at 60 F",
    function: "fuel::Fuel::f_factors",
    test: "f_factors_lie_by_the_published_ones",
};

/// Volumes of flue gas at 68 F and one atmosphere per gross heat.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FlueFactors {
    /// Dry flue gas, Fd.
    pub dry: FlueVolume,
    /// Wet flue gas, Fw.
    pub wet: FlueVolume,
    /// Carbon dioxide of the fuel, Fc.
    pub carbon: FlueVolume,
    /// Fo, the ratio that tells fuels apart by O2 and CO2.
    pub ratio: Ratio,
}

impl Fuel {
    /// The F-factors of this fuel.
    ///
    /// ```
    /// use client_core::trade::fuel::Fuel;
    /// // 40 CFR 60 Method 19 prints 8,710 dscf/MMBtu for natural gas.
    /// let dry = Fuel::named("natural_gas").unwrap().f_factors().dry.cubic_feet_per_mmbtu();
    /// assert!((dry / 8710.0 - 1.0).abs() < 0.015);
    /// ```
    pub fn f_factors(&self) -> FlueFactors {
        let molar_volume = GAS_CONSTANT * 293.15 / ATMOSPHERE;
        let per_heat =
            |moles: f64| FlueVolume::from_cubic_metres_per_joule(moles * molar_volume / self.gross);
        let dry = per_heat(self.stoichiometry.dry_flue);
        let carbon = per_heat(self.atoms.carbon);
        FlueFactors {
            dry,
            wet: per_heat(self.stoichiometry.wet_flue),
            carbon,
            ratio: Ratio::from_ratio(
                0.209 * self.stoichiometry.dry_flue / self.atoms.carbon.max(1e-12),
            ),
        }
    }

    /// Heat bound in the water of the flue gas, per gross heat.
    pub fn latent_share(&self) -> Ratio {
        Ratio::from_ratio(1.0 - self.net / self.gross)
    }

    /// Gross over net heating value.
    pub fn gross_over_net(&self) -> Ratio {
        Ratio::from_ratio(self.gross / self.net)
    }
}
