//! The atom balance: moles of every species in the flue gas.
//!
//! Carbon monoxide is fuel carbon that found too little oxygen; no soot and no hydrogen are left.

use crate::trade::constant::{AIR_MOLAR_MASS, GAS_CONSTANT, WATER_MOLAR_MASS, dry_air};
use crate::trade::fuel::Fuel;
use crate::trade::impossible::Impossible;
use crate::trade::quantity::{Amount, Density};
use crate::trade::species::{AR, CO, CO2, Heat, N2, O2, SO2};
use crate::trade::unit::Unit;

/// Moles per mole of gas, or per kilogram of oil.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Products {
    pub(crate) co2: f64,
    pub(crate) co: f64,
    pub(crate) o2: f64,
    pub(crate) n2: f64,
    pub(crate) argon: f64,
    pub(crate) so2: f64,
    pub(crate) h2o: f64,
    pub(crate) dry: f64,
    /// Dry air supplied.
    pub(crate) air: f64,
    /// Water that the air brought.
    pub(crate) air_moisture: f64,
}

impl Products {
    /// Products at an excess of air, a dry share of carbon monoxide, and moles of water per mole of
    /// dry air.
    pub(crate) fn of(
        fuel: &Fuel,
        excess: f64,
        co_dry: f64,
        moisture: f64,
    ) -> Result<Products, Impossible> {
        let (atoms, need) = (&fuel.atoms, &fuel.stoichiometry);
        let air = (1.0 + excess) * need.air;
        let n2 = air * dry_air::N2 + atoms.nitrogen / 2.0;
        let argon = air * dry_air::AR + atoms.inert;
        let carbon = atoms.carbon + air * dry_air::CO2;
        let oxygen = excess * need.oxygen;
        let complete = n2 + argon + carbon + atoms.sulphur + oxygen;
        let co = co_dry * complete / (1.0 - co_dry / 2.0);
        if co > atoms.carbon.max(1e-12) {
            return Err(Impossible::CarbonMonoxideOverCarbon {
                co: Amount::new(1e6 * co_dry, Unit::Ppm),
            });
        }
        let air_moisture = moisture * air;
        Ok(Products {
            co2: carbon - co,
            co,
            // Rounding may leave a trace below nothing where excess and carbon monoxide meet.
            o2: (oxygen + co / 2.0).max(0.0),
            n2,
            argon,
            so2: atoms.sulphur,
            h2o: atoms.hydrogen / 2.0 + air_moisture,
            dry: complete + co / 2.0,
            air,
            air_moisture,
        })
    }

    pub(crate) fn wet(&self) -> f64 {
        self.dry + self.h2o
    }

    /// Heat of all but the water.
    pub(crate) fn dry_heat(&self) -> Heat {
        let mut heat = Heat::NONE;
        heat.add(self.co2, &CO2);
        heat.add(self.co, &CO);
        heat.add(self.o2, &O2);
        heat.add(self.n2, &N2);
        heat.add(self.argon, &AR);
        heat.add(self.so2, &SO2);
        heat
    }

    /// Molar mass of the wet gas, kg/mol. Source: ISO 6976:2016 Table A.2.
    pub(crate) fn molar_mass(&self) -> f64 {
        let grams = 44.0095 * self.co2
            + 28.0101 * self.co
            + 31.9988 * self.o2
            + 28.0134 * self.n2
            + 39.948 * self.argon
            + 64.0638 * self.so2
            + WATER_MOLAR_MASS.grams_per_mole() * self.h2o;
        grams / 1000.0 / self.wet()
    }

    /// Density of the wet gas as an ideal gas.
    pub(crate) fn density(&self, kelvin: f64, pascals: f64) -> Density {
        let density = pascals * self.molar_mass() / (GAS_CONSTANT * kelvin);
        Density::from_kilograms_per_cubic_metre(density)
    }
}

/// Density of moist air as an ideal gas, kg/m3, from moles of water per mole of dry air.
pub(crate) fn air_density(kelvin: f64, pascals: f64, moisture: f64) -> f64 {
    let dry = AIR_MOLAR_MASS.grams_per_mole();
    let grams = (dry + moisture * WATER_MOLAR_MASS.grams_per_mole()) / (1.0 + moisture);
    pascals * grams / 1000.0 / (GAS_CONSTANT * kelvin)
}
