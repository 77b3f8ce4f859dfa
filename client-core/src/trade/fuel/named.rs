//! Named fuels for when nobody has an analysis at hand.

use crate::trade::fuel::{Component, Fuel, Mix, OilAnalysis};
use crate::trade::quantity::{Concentration, Ratio, SpecificEnergy};

/// A named default.
#[derive(Debug)]
pub struct Named {
    /// Its key.
    pub key: &'static str,
    /// Other words for it.
    pub also: &'static [&'static str],
    /// What it is and where the composition comes from.
    pub note: &'static str,
    /// Mole shares by component key; empty for an oil.
    parts: &'static [(&'static str, f64)],
}

/// Every named default.
pub const NAMED: &[Named] = &[
    Named {
        key: "natural_gas",
        also: &["natural", "natural gas", "ng"],
        note: "a middling pipeline gas, 1,027 Btu/ft3 and gravity 0.589 (assumed; take the bill's)",
        parts: &[("CH4", 0.939), ("C2H6", 0.036), ("C3H8", 0.005), ("N2", 0.013), ("CO2", 0.007)],
    },
    Named { key: "methane", also: &[], note: "pure methane", parts: &[("CH4", 1.0)] },
    Named {
        key: "ng_lean",
        also: &["gulf coast"],
        note: "AGA 8 'Gulf Coast' reference composition (from memory)",
        parts: &[
            ("CH4", 0.965222),
            ("C2H6", 0.018186),
            ("C3H8", 0.004596),
            ("iC4H10", 0.000977),
            ("nC4H10", 0.001007),
            ("iC5H12", 0.000473),
            ("nC5H12", 0.000324),
            ("nC6H14", 0.000664),
            ("N2", 0.002595),
            ("CO2", 0.005956),
        ],
    },
    Named {
        key: "ng_amarillo",
        also: &["amarillo"],
        note: "AGA 8 'Amarillo' reference composition (from memory, heating value seen on a sheet)",
        parts: &[
            ("CH4", 0.906724),
            ("C2H6", 0.045279),
            ("C3H8", 0.008280),
            ("iC4H10", 0.001037),
            ("nC4H10", 0.001563),
            ("iC5H12", 0.000321),
            ("nC5H12", 0.000443),
            ("nC6H14", 0.000393),
            ("N2", 0.031284),
            ("CO2", 0.004676),
        ],
    },
    Named {
        key: "ng_rich",
        also: &["ekofisk"],
        note: "AGA 8 'Ekofisk' reference composition (from memory)",
        parts: &[
            ("CH4", 0.859063),
            ("C2H6", 0.084919),
            ("C3H8", 0.023015),
            ("iC4H10", 0.003486),
            ("nC4H10", 0.003506),
            ("iC5H12", 0.000509),
            ("nC5H12", 0.000480),
            ("N2", 0.010068),
            ("CO2", 0.014954),
        ],
    },
    Named {
        key: "ng_iso_ex1",
        also: &[],
        note: "ISO 6976:2016 Annex D.2, example 1",
        parts: &[
            ("CH4", 0.933212),
            ("C2H6", 0.025656),
            ("C3H8", 0.015368),
            ("N2", 0.010350),
            ("CO2", 0.015414),
        ],
    },
    Named {
        key: "ng_h2_20",
        also: &["hydrogen blend"],
        note: "the middling pipeline gas with 20 % hydrogen by volume",
        parts: &[
            ("CH4", 0.7512),
            ("C2H6", 0.0288),
            ("C3H8", 0.004),
            ("N2", 0.0104),
            ("CO2", 0.0056),
            ("H2", 0.2),
        ],
    },
    Named { key: "propane", also: &["lp", "lpg"], note: "pure propane", parts: &[("C3H8", 1.0)] },
    Named {
        key: "hd5_like",
        also: &["hd5", "hd-5"],
        note: "commercial propane of 93 % (limits of ASTM D1835 from memory)",
        parts: &[
            ("C3H8", 0.930),
            ("C3H6", 0.040),
            ("C2H6", 0.015),
            ("nC4H10", 0.009),
            ("iC4H10", 0.006),
        ],
    },
    Named { key: "n_butane", also: &["butane"], note: "pure n-butane", parts: &[("nC4H10", 1.0)] },
    Named {
        key: "lp_air",
        also: &["propane-air", "lp-air"],
        note: "propane-air of 56 % propane by mole, for a natural-gas system",
        parts: &[
            ("C3H8", 0.56),
            ("N2", 0.44 * 0.780878),
            ("O2", 0.44 * 0.209390),
            ("Ar", 0.44 * 0.009332),
            ("CO2", 0.44 * 0.0004),
        ],
    },
    Named {
        key: "biogas",
        also: &["digester gas"],
        note: "digester gas, dry",
        parts: &[("CH4", 0.60), ("CO2", 0.385), ("N2", 0.012), ("O2", 0.003)],
    },
    Named {
        key: "landfill_gas",
        also: &[],
        note: "landfill gas with air drawn in (assumed)",
        parts: &[("CH4", 0.50), ("CO2", 0.35), ("N2", 0.14), ("O2", 0.01)],
    },
    Named {
        key: "oil2",
        also: &["no. 2 oil", "oil", "no2_oil"],
        note: "No. 2 oil: C .868, H .131, S .001 by mass, 45,500 kJ/kg gross (assumed)",
        parts: &[],
    },
];

/// Gross heating value assumed for No. 2 oil.
pub const OIL2_GROSS: SpecificEnergy = SpecificEnergy::from_kilojoules_per_kilogram(45_500.0);

pub(super) fn find(name: &str) -> Option<Fuel> {
    let folded = name.trim().to_lowercase();
    let named = NAMED
        .iter()
        .find(|named| named.key == folded || named.also.iter().any(|also| *also == folded))?;
    if named.parts.is_empty() {
        let analysis = OilAnalysis {
            carbon: Ratio::from_ratio(0.868),
            hydrogen: Ratio::from_ratio(0.131),
            sulphur: Ratio::from_ratio(0.001),
            gross: OIL2_GROSS,
        };
        return Fuel::oil(named.key, analysis).ok();
    }
    let part = |(key, share): &(&str, f64)| {
        Component::from_key(key).map(|component| (component, Concentration::from_fraction(*share)))
    };
    let parts: Option<Vec<_>> = named.parts.iter().map(part).collect();
    Mix::new(&parts?).and_then(|mix| Fuel::gas(named.key, mix)).ok()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_name_makes_a_fuel() {
        for named in NAMED {
            let fuel = Fuel::named(named.key).unwrap_or_else(|| panic!("{}", named.key));
            assert_eq!(fuel.name(), named.key);
            for also in named.also {
                assert_eq!(Fuel::named(also), Some(fuel.clone()), "{also}");
            }
        }
        assert!(Fuel::named("coal").is_none());
    }
}
