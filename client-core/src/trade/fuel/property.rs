//! Properties of a gas mix by ISO 6976:2016: molar mass, compression factor, heating values,
//! density, relative density, Wobbe index, real and ideal.

use crate::trade::constant::{AIR_MOLAR_MASS, GAS_CONSTANT_ISO_6976, LATENT_60F_KJ};
use crate::trade::fuel::component::Component;
use crate::trade::fuel::iso_table::{CALORIFIC, CALORIFIC_U, SUMMATION, SUMMATION_U};
use crate::trade::fuel::{Fuel, Mix};
use crate::trade::impossible::{Impossible, Range};
use crate::trade::quantity::{
    AbsolutePressure, Amount, Concentration, Density, GasBase, HeatingValue, MolarEnergy,
    MolarMass, Quantity, Ratio, SpecificEnergy, Temperature,
};
use crate::trade::unit::Unit;
use crate::trade::worked::{Formula, Sheet, Worked};

/// Formula of the properties of a gas.
pub const GAS_PROPERTIES: Formula = Formula {
    id: "fuel.gas_properties",
    version: 1,
    name: "heating value, gravity and Wobbe index of a gas",
    expression: "Z = 1 - (p/101.325 kPa) (sum x s)^2; Hv = sum x Hc / (Z R T/p); W = Hv / sqrt(G)",
    source: "ISO 6976:2016, Tables A.2 to A.4",
    range: "90 to 110 kPa, Z over 0.9, the 60 components of the standard",
    function: "fuel::property::properties",
    test: "iso_6976_annex_d",
};

/// Temperature at which the heat of burning is taken.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum CombustionReference {
    /// 0 C.
    C0,
    /// 15 C.
    C15,
    /// 60 F, which the standard prints as 15.55 C.
    F60,
    /// 20 C.
    C20,
    /// 25 C.
    C25,
}

/// Temperature at which the volume is taken.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum MeteringReference {
    /// 0 C.
    C0,
    /// 15 C.
    C15,
    /// 60 F, which the standard prints as 15.55 C.
    F60,
    /// 20 C.
    C20,
}

impl CombustionReference {
    /// The reference of this temperature.
    pub fn at(temperature: Temperature) -> Result<CombustionReference, Impossible> {
        let all = [Self::C0, Self::C15, Self::F60, Self::C20, Self::C25];
        let found = nearest(temperature, [0.0, 15.0, 15.55, 20.0, 25.0]);
        found.map(|at| all[at]).ok_or(Impossible::NotAReference {
            what: "combustion temperature",
            value: temperature.amount(Unit::C),
        })
    }

    const fn index(self) -> usize {
        self as usize
    }
}

impl MeteringReference {
    /// Celsius as the standard prints them.
    const CELSIUS: [f64; 4] = [0.0, 15.0, 15.55, 20.0];
    /// Compression factor of dry air. Source: ISO 6976:2016 Table A.3, note.
    const AIR_Z: [f64; 4] = [0.999419, 0.999595, 0.999601, 0.999645];

    /// The reference of this temperature.
    pub fn at(temperature: Temperature) -> Result<MeteringReference, Impossible> {
        let all = [Self::C0, Self::C15, Self::F60, Self::C20];
        let found = nearest(temperature, Self::CELSIUS);
        found.map(|at| all[at]).ok_or(Impossible::NotAReference {
            what: "metering temperature",
            value: temperature.amount(Unit::C),
        })
    }

    const fn index(self) -> usize {
        self as usize
    }
}

fn nearest<const N: usize>(temperature: Temperature, celsius: [f64; N]) -> Option<usize> {
    // 60 F is 15.556 C exactly and 15.55 C in the standard: both mean the same row.
    celsius.iter().position(|own| (temperature.celsius() - own).abs() < 0.02)
}

/// Heat of vaporisation of water, kJ/mol. Source: ISO 6976:2016 Table A.4, footnote.
const LATENT: [f64; 5] = [45.064, 44.431, LATENT_60F_KJ, 44.222, LATENT_25C_KJ];
/// The same at 25 C. Source: ISO 6976:2016 Table A.4, footnote.
pub(crate) const LATENT_25C_KJ: f64 = 44.013;
/// Standard uncertainty of R. Source: ISO 6976:2016 Table A.1.
const GAS_CONSTANT_U: f64 = 0.0000075;

/// Properties of a gas at one pair of references.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct GasProperties {
    /// Molar mass.
    pub molar_mass: MolarMass,
    /// Compression factor Z.
    pub compression: Ratio,
    /// Gross heating value by mole.
    pub molar_gross: MolarEnergy,
    /// Net heating value by mole.
    pub molar_net: MolarEnergy,
    /// Gross heating value by mass.
    pub mass_gross: SpecificEnergy,
    /// Gross heating value by volume of the real gas.
    pub gross: HeatingValue,
    /// Net heating value by volume of the real gas.
    pub net: HeatingValue,
    /// Gross heating value by volume as an ideal gas.
    pub gross_ideal: HeatingValue,
    /// Net heating value by volume as an ideal gas.
    pub net_ideal: HeatingValue,
    /// Density of the real gas.
    pub density: Density,
    /// Relative density (specific gravity) of the real gas.
    pub relative_density: Ratio,
    /// Relative density as an ideal gas.
    pub relative_density_ideal: Ratio,
    /// Gross Wobbe index.
    pub wobbe_gross: HeatingValue,
    /// Net Wobbe index.
    pub wobbe_net: HeatingValue,
    /// Whether the pressure lies where the standard is valid.
    pub inside: bool,
}

/// Pressures worked out at all; the standard is valid from 90 to 110 kPa.
const PRESSURE: Range = Range {
    what: "metering pressure",
    low: 50.0,
    high: 130.0,
    unit: Unit::Kpa,
    hint: "a base is near 14.7 psia or 101 kPa",
};

pub(crate) fn molar_gross(mix: &Mix, at: CombustionReference) -> f64 {
    mix.weighed(|component| CALORIFIC[component.index()][at.index()])
}

/// Properties of a mix at a combustion and a metering reference.
///
/// ```
/// use client_core::trade::fuel::{property, CombustionReference, Fuel, MeteringReference};
/// use client_core::trade::quantity::AbsolutePressure;
/// // ISO 6976:2016 Annex D.2 prints 38.410611 MJ/m3.
/// let gas = Fuel::named("ng_iso_ex1").unwrap();
/// let found = property::properties(
///     gas.mix().unwrap(),
///     CombustionReference::C15,
///     MeteringReference::C15,
///     AbsolutePressure::STANDARD,
/// )
/// .unwrap();
/// assert!((found.gross.megajoules_per_cubic_metre() - 38.410611).abs() < 1e-6);
/// ```
pub fn properties(
    mix: &Mix,
    burning: CombustionReference,
    metering: MeteringReference,
    pressure: AbsolutePressure,
) -> Result<GasProperties, Impossible> {
    PRESSURE.check(pressure)?;
    let at = metering.index();
    let bars = pressure.pascals() / AbsolutePressure::STANDARD.pascals();
    let grams = mix.weighed(|component| component.row().grams);
    let summation = mix.weighed(|component| SUMMATION[component.index()][at]);
    let z = 1.0 - bars * summation * summation;
    if z <= 0.9 {
        return Err(Impossible::NearLiquid { z: Amount::new(z, Unit::Ratio) });
    }
    let kelvin = 273.15 + MeteringReference::CELSIUS[at];
    let molar_volume = GAS_CONSTANT_ISO_6976 * kelvin / pressure.pascals();
    let gross = molar_gross(mix, burning);
    let net = gross - mix.atoms().hydrogen / 2.0 * LATENT[burning.index()];
    let per_volume = |kilojoules: f64| HeatingValue::from_si(1000.0 * kilojoules / molar_volume);
    let ideal_gravity = grams / AIR_MOLAR_MASS.grams_per_mole();
    let air_z = 1.0 - bars * (1.0 - MeteringReference::AIR_Z[at]);
    let gravity = ideal_gravity * air_z / z;
    let wobbe = |kilojoules: f64| per_volume(kilojoules / z / gravity.sqrt());
    Ok(GasProperties {
        molar_mass: MolarMass::from_grams_per_mole(grams),
        compression: Ratio::from_ratio(z),
        molar_gross: MolarEnergy::from_kilojoules_per_mole(gross),
        molar_net: MolarEnergy::from_kilojoules_per_mole(net),
        mass_gross: SpecificEnergy::from_kilojoules_per_kilogram(1000.0 * gross / grams),
        gross: per_volume(gross / z),
        net: per_volume(net / z),
        gross_ideal: per_volume(gross),
        net_ideal: per_volume(net),
        density: Density::from_kilograms_per_cubic_metre(grams / 1000.0 / molar_volume / z),
        relative_density: Ratio::from_ratio(gravity),
        relative_density_ideal: Ratio::from_ratio(ideal_gravity),
        wobbe_gross: wobbe(gross),
        wobbe_net: wobbe(net),
        inside: (90.0..=110.0).contains(&pressure.kilopascals()),
    })
}

/// Standard uncertainty of the gross volumetric heating value, from the analysis and the standard's
/// own tables, the shares taken as independent. Source: ISO 6976:2016 clause 11 and Annex B.
pub fn gross_uncertainty(
    mix: &Mix,
    shares: &[(Component, Concentration)],
    burning: CombustionReference,
    metering: MeteringReference,
) -> Result<HeatingValue, Impossible> {
    let found = properties(mix, burning, metering, AbsolutePressure::STANDARD)?;
    let at = metering.index();
    let summation = mix.weighed(|component| SUMMATION[component.index()][at]);
    let z = found.compression.ratio();
    let gross = found.molar_gross.kilojoules_per_mole();
    let mut variance = (GAS_CONSTANT_U / GAS_CONSTANT_ISO_6976).powi(2);
    for (component, share) in shares {
        let index = component.index();
        let by_share =
            CALORIFIC[index][burning.index()] / gross + 2.0 * summation * SUMMATION[index][at] / z;
        variance += (by_share * share.fraction()).powi(2);
    }
    for (component, share) in mix.parts() {
        let (index, share) = (component.index(), share.fraction());
        variance += (share * CALORIFIC_U[index] / gross).powi(2);
        variance += (2.0 * summation * share * SUMMATION_U[index] / z).powi(2);
    }
    Ok(found.gross * Ratio::from_ratio(variance.sqrt()))
}

impl Fuel {
    /// Properties of a gas at 60 F and the pressure of a base.
    pub fn at_base(&self, base: GasBase) -> Result<GasProperties, Impossible> {
        let mix = self.mix().ok_or(Impossible::DoesNotBurn)?;
        let metering = MeteringReference::at(base.temperature)?;
        properties(mix, CombustionReference::F60, metering, base.pressure)
    }

    /// The sheet of a gas at a base.
    pub fn worked_at_base(&self, base: GasBase) -> Result<Worked<GasProperties>, Impossible> {
        let found = self.at_base(base)?;
        let mut sheet = Sheet::new(&GAS_PROPERTIES)
            .input("base_pressure", "base pressure", base.pressure, Unit::Psia)
            .input("base_temperature", "base temperature", base.temperature, Unit::F);
        if let Some(mix) = self.mix() {
            for (component, share) in mix.parts() {
                sheet = sheet.input(component.key(), component.name(), share, Unit::Pct);
            }
        }
        let stoichiometry = self.stoichiometry();
        let sheet = sheet
            .step(
                "z",
                "compression factor",
                found.compression.amount(Unit::Ratio),
                "1 - (p/101.325) (sum x s)^2",
            )
            .result("gross", "gross heating value", found.gross, Unit::BtuFt3)
            .result("net", "net heating value", found.net, Unit::BtuFt3)
            .result("sg", "specific gravity", found.relative_density, Unit::Ratio)
            .result("wobbe", "gross Wobbe index", found.wobbe_gross, Unit::BtuFt3)
            .result("air", "air needed, volumes per volume", stoichiometry.air(), Unit::Ratio)
            .result("co2_max", "most CO2, dry", stoichiometry.co2_max(), Unit::Pct)
            .rule(
                "gross",
                "as an ideal gas",
                found.gross_ideal.amount(Unit::BtuFt3),
                "tables of pure gases; low by the compression factor",
            )
            .outside(!found.inside, "the standard is valid from 90 to 110 kPa")
            .caution("the heating value on the gas bill goes before a named default");
        Ok(Worked { value: found, sheet })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_reference_is_found_by_either_spelling_of_60_f() {
        let exact = Temperature::from_fahrenheit(60.0);
        assert_eq!(MeteringReference::at(exact), Ok(MeteringReference::F60));
        assert_eq!(
            CombustionReference::at(Temperature::from_celsius(15.55)),
            Ok(CombustionReference::F60)
        );
        assert!(MeteringReference::at(Temperature::from_celsius(25.0)).is_err());
    }

    #[test]
    fn annex_d_example_1_gives_its_uncertainty() {
        // Source: ISO 6976:2016 Annex D.2.10, u((Hv)G) = 0.026267 MJ/m3.
        let gas = Fuel::named("ng_iso_ex1").unwrap();
        let shares = [
            ("CH4", 0.000346),
            ("C2H6", 0.000243),
            ("C3H8", 0.000148),
            ("N2", 0.000195),
            ("CO2", 0.000111),
        ]
        .map(|(key, u)| (Component::from_key(key).unwrap(), Concentration::from_fraction(u)));
        let u = gross_uncertainty(
            gas.mix().unwrap(),
            &shares,
            CombustionReference::C15,
            MeteringReference::C15,
        )
        .unwrap();
        assert!((u.megajoules_per_cubic_metre() - 0.026267).abs() < 1e-6, "{u:?}");
    }
}
