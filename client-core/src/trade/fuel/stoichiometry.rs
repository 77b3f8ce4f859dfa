//! Air that a fuel needs and flue gas that it makes at no excess air.
//!
//! Source: atom balance; dry air of CIPM-2007, whose carbon dioxide goes through.

use crate::trade::constant::dry_air;
use crate::trade::fuel::component::Atoms;
use crate::trade::quantity::{Concentration, Ratio};

/// Moles per mole of gas, or per kilogram of oil.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Stoichiometry {
    pub(crate) oxygen: f64,
    pub(crate) air: f64,
    pub(crate) dry_flue: f64,
    pub(crate) wet_flue: f64,
    pub(crate) co2_max: f64,
    pub(crate) co2_max_fuel_alone: f64,
}

impl Stoichiometry {
    pub(crate) fn of(atoms: &Atoms) -> Stoichiometry {
        let oxygen = atoms.carbon + atoms.hydrogen / 4.0 + atoms.sulphur - atoms.oxygen / 2.0;
        let air = oxygen / dry_air::O2;
        let rest = dry_air::N2 + dry_air::AR + dry_air::CO2;
        let dry_flue =
            air * rest + atoms.nitrogen / 2.0 + atoms.carbon + atoms.sulphur + atoms.inert;
        Stoichiometry {
            oxygen,
            air,
            dry_flue,
            wet_flue: dry_flue + atoms.hydrogen / 2.0,
            co2_max: (atoms.carbon + air * dry_air::CO2) / dry_flue,
            co2_max_fuel_alone: atoms.carbon / dry_flue,
        }
    }

    /// Oxygen needed.
    pub fn oxygen(&self) -> Ratio {
        Ratio::from_ratio(self.oxygen)
    }

    /// Dry air needed; for a gas also cubic feet per cubic foot.
    pub fn air(&self) -> Ratio {
        Ratio::from_ratio(self.air)
    }

    /// Dry flue gas made.
    pub fn dry_flue(&self) -> Ratio {
        Ratio::from_ratio(self.dry_flue)
    }

    /// Wet flue gas made with dry air.
    pub fn wet_flue(&self) -> Ratio {
        Ratio::from_ratio(self.wet_flue)
    }

    /// Most carbon dioxide in dry flue gas, with that of the air.
    pub fn co2_max(&self) -> Concentration {
        Concentration::from_fraction(self.co2_max)
    }

    /// Most carbon dioxide as text books print it, without that of the air.
    pub fn co2_max_fuel_alone(&self) -> Concentration {
        Concentration::from_fraction(self.co2_max_fuel_alone)
    }
}
