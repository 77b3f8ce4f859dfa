//! Constants that several sums share, each with its source.

use crate::trade::quantity::{AbsolutePressure, Density, MolarMass, SpecificEnergy, Temperature};

/// Molar gas constant, J/(mol K). Source: SI of 2019 (CODATA 2018), exact.
pub const GAS_CONSTANT: f64 = 8.31446261815324;
/// Molar gas constant inside ISO 6976:2016, J/(mol K). Source: ISO 6976:2016 Table A.1.
pub const GAS_CONSTANT_ISO_6976: f64 = 8.3144621;
/// Standard gravity, m/s2. Source: CGPM 1901, exact.
pub const GRAVITY: f64 = 9.80665;
/// Molar mass of dry air. Source: ISO 6976:2016 Table A.1.
pub const AIR_MOLAR_MASS: MolarMass = MolarMass::from_grams_per_mole(28.96546);
/// Molar mass of water. Source: ISO 6976:2016 Table A.2.
pub const WATER_MOLAR_MASS: MolarMass = MolarMass::from_grams_per_mole(18.01528);
/// One standard atmosphere, Pa. Source: ISO 2533, exact.
pub(crate) const ATMOSPHERE: f64 = AbsolutePressure::STANDARD.pascals();
/// 60 F in kelvin. Source: the Fahrenheit scale, exact.
pub(crate) const KELVIN_60F: f64 = Temperature::BASE_60F.kelvin();

/// Dry air by volume. Source: CIPM-2007 (Picard et al. 2008), its 0.003 % of rare gases put to nitrogen.
pub(crate) mod dry_air {
    /// Nitrogen.
    pub(crate) const N2: f64 = 0.780878;
    /// Oxygen.
    pub(crate) const O2: f64 = 0.209390;
    /// Argon.
    pub(crate) const AR: f64 = 0.009332;
    /// Carbon dioxide.
    pub(crate) const CO2: f64 = 0.000400;
}

/// Oxygen of fresh dry air, percent. Source: CIPM-2007; the trade says 20.9.
pub const FRESH_AIR_O2_PERCENT: f64 = 100.0 * dry_air::O2;
/// Density of the trade's "standard air". Source: ASHRAE Fundamentals (from memory), 0.075 lb/ft3.
pub const STANDARD_AIR_DENSITY: Density = Density::from_pounds_per_cubic_foot(0.075);
/// Heat of vaporisation of water at 60 F, kJ/mol. Source: ISO 6976:2016 Table A.4, footnote.
pub(crate) const LATENT_60F_KJ: f64 = 44.408;
/// Heat of burning carbon monoxide at 60 F, kJ/mol. Source: ISO 6976:2016 Table A.4.
pub(crate) const CO_HEAT_60F_KJ: f64 = 282.91;
/// Heat of vaporisation of propane at 60 F, from memory about 150 Btu/lb near its boiling point.
pub const PROPANE_LATENT: SpecificEnergy = SpecificEnergy::from_btu_per_pound(150.0);
