//! The gas side: what comes in, through which hole, through which pipe, at which elevation.

pub mod altitude;
pub mod band;
pub mod clock;
pub mod conversion;
pub mod drill;
pub mod kit;
pub mod manifold;
pub mod metering_plate;
pub mod orifice;
pub mod pilot;
pub mod pipe;
pub mod sag;
pub mod sizing;
pub mod vapour;

use crate::trade::constant::{GAS_CONSTANT, KELVIN_60F};
use crate::trade::fuel::Fuel;
use crate::trade::impossible::{Impossible, Range};
use crate::trade::quantity::{GasBase, HeatingValue, Ratio};
use crate::trade::unit::Unit;

/// What an orifice needs to know of a gas.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct BurnerGas {
    /// Relative density (specific gravity), air 1.
    pub gravity: Ratio,
    /// Isentropic exponent.
    pub isentropic: Ratio,
    /// Gross heating value at 60 F and one atmosphere.
    pub heating_value: HeatingValue,
}

/// Gravities that burner gases have; hydrogen is 0.07.
pub const GRAVITY_RANGE: Range = Range {
    what: "specific gravity",
    low: 0.05,
    high: 3.0,
    unit: Unit::Ratio,
    hint: "natural gas is near 0.60, propane near 1.52",
};
/// Isentropic exponents.
pub(crate) const ISENTROPIC_RANGE: Range = Range {
    what: "isentropic exponent",
    low: 1.02,
    high: 1.7,
    unit: Unit::Ratio,
    hint: "natural gas is near 1.30, propane near 1.13",
};
/// Heating values by volume.
pub const HEATING_VALUE_RANGE: Range = Range {
    what: "heating value",
    low: 80.0,
    high: 4500.0,
    unit: Unit::BtuFt3,
    hint: "natural gas is near 1,030 Btu/ft3, propane near 2,516",
};

impl BurnerGas {
    /// Natural gas as the trade takes it. Source: NFPA 54 Annex E gravity, 1.30 from memory.
    pub const NATURAL: BurnerGas = BurnerGas {
        gravity: Ratio::from_ratio(0.60),
        isentropic: Ratio::from_ratio(1.30),
        heating_value: HeatingValue::from_btu_per_cubic_foot(1030.0),
    };
    /// Propane as the trade takes it. Source: 40 CFR 98 Table C-1 heat, gravity by common practice.
    pub const PROPANE: BurnerGas = BurnerGas {
        gravity: Ratio::from_ratio(1.522),
        isentropic: Ratio::from_ratio(1.13),
        heating_value: HeatingValue::from_btu_per_cubic_foot(2516.0),
    };

    /// The figures of a fuel gas at 60 F and one atmosphere.
    ///
    /// ```
    /// use client_core::trade::{fuel::Fuel, gas::BurnerGas};
    /// let propane = BurnerGas::of(&Fuel::named("propane").unwrap()).unwrap();
    /// assert!((propane.gravity.ratio() - 1.5496).abs() < 1e-4);
    /// assert!((propane.isentropic.ratio() - 1.13).abs() < 0.01);
    /// ```
    pub fn of(fuel: &Fuel) -> Result<BurnerGas, Impossible> {
        let found = fuel.at_base(GasBase::ATMOSPHERE_60F)?;
        let capacity = fuel.heat.capacity(KELVIN_60F);
        Ok(BurnerGas {
            gravity: found.relative_density,
            isentropic: Ratio::from_ratio(capacity / (capacity - GAS_CONSTANT)),
            heating_value: found.gross,
        })
    }

    pub(crate) fn check(&self) -> Result<(), Impossible> {
        GRAVITY_RANGE.check(self.gravity)?;
        ISENTROPIC_RANGE.check(self.isentropic)?;
        HEATING_VALUE_RANGE.check(self.heating_value)?;
        Ok(())
    }
}

/// Manifold and inlet pressures that low-pressure burners see.
pub const MANIFOLD_RANGE: Range = Range {
    what: "manifold pressure",
    low: 0.0,
    high: 140.0,
    unit: Unit::InWc,
    hint: "check the figure and the unit: 1 psi is 27.7 in w.c.",
};
/// Gas temperatures.
pub const GAS_TEMPERATURE_RANGE: Range = Range {
    what: "gas temperature",
    low: -60.0,
    high: 180.0,
    unit: Unit::F,
    hint: "check the figure and whether it is F or C",
};
/// Inputs.
pub const INPUT_RANGE: Range = Range {
    what: "input",
    low: 0.05,
    high: 200_000.0,
    unit: Unit::Mbh,
    hint: "check Btu/h against MBH",
};
