//! The family of a fuel, which picks the constants that rules of thumb go by.

use crate::trade::fuel::{Component, Mix};

/// Families of fuels as the trade sorts them.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Family {
    /// Pipeline natural gas, also with some hydrogen.
    NaturalGas,
    /// Propane, butane and their mixes, also thinned with air.
    LiquefiedPetroleum,
    /// Digester and landfill gas: methane with much carbon dioxide or nitrogen.
    Biogas,
    /// Gases mostly of hydrogen and carbon monoxide.
    TownGas,
    /// Distillate heating oil.
    Oil,
}

impl Family {
    /// Sorts a mix by what burns in it and how much of it does not.
    pub(crate) fn of(mix: &Mix) -> Family {
        let share = |key: &str| {
            Component::from_key(key).map_or(0.0, |component| mix.share(component).fraction())
        };
        let carbons = |least: f64| {
            mix.parts()
                .filter(|(component, _)| {
                    let atoms = component.row().atoms;
                    atoms.hydrogen > 0.0 && atoms.carbon >= least
                })
                .map(|(_, share)| share.fraction())
                .sum::<f64>()
        };
        let town = share("H2") + share("CO");
        let idle = share("N2") + share("CO2") + share("O2") + share("H2O");
        let burning = (1.0 - idle).max(1e-9);
        if town / burning > 0.4 {
            Family::TownGas
        } else if carbons(3.0) / burning > 0.5 {
            Family::LiquefiedPetroleum
        } else if idle > 0.2 {
            Family::Biogas
        } else {
            Family::NaturalGas
        }
    }

    /// Name in words of the trade.
    pub const fn name(self) -> &'static str {
        match self {
            Family::NaturalGas => "natural gas",
            Family::LiquefiedPetroleum => "LP gas",
            Family::Biogas => "biogas",
            Family::TownGas => "town gas",
            Family::Oil => "oil",
        }
    }
}
