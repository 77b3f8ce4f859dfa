//! Quantities: one canonical SI unit each, constructed and read by unit, never by a bare number.

pub mod concentration;
pub mod electric;
pub mod flow;
pub mod geometry;
pub mod heat;
pub mod mass;
pub mod money;
pub mod pressure;
pub mod temperature;
pub mod time;

pub use concentration::{
    Acidity, Concentration, Count, ExplosiveShare, FlueVolume, HumidityRatio, Ratio,
    RelativeHumidity,
};
pub use electric::{Current, Resistance, Voltage};
pub use flow::{ActualFlow, GasBase, StandardFlow, WaterFlow};
pub use geometry::{Area, Length, Volume};
pub use heat::{Energy, HeatRate, HeatingValue, MolarEnergy, SpecificEnergy};
pub use mass::{Density, Mass, MassFlow, MolarMass, Viscosity};
pub use money::{Money, Price};
pub use pressure::{AbsolutePressure, GaugePressure, PressureDifference};
pub use temperature::{DegreeDays, Temperature, TemperatureDifference};
pub use time::{RotationSpeed, Speed, TimeSpan};

use crate::trade::unit::show::{figure, places};
use crate::trade::unit::{Dimension, Unit};
use std::fmt;

/// A physical quantity held in its SI unit.
pub trait Quantity: Copy {
    /// What it measures.
    const DIMENSION: Dimension;

    /// The value in the SI unit of the dimension.
    fn si(self) -> f64;

    /// From a value in the SI unit of the dimension.
    fn from_si(si: f64) -> Self;

    /// The value with a unit, for printing.
    fn amount(self, unit: Unit) -> Amount {
        Amount { value: unit.from_si(self.si()), unit }
    }

    /// From a value with a unit, or `None` where the unit measures something else.
    fn from_amount(amount: Amount) -> Option<Self> {
        let si = amount.unit.to_si(amount.value);
        amount.unit.measures(Self::DIMENSION).then(|| Self::from_si(si))
    }
}

/// A value with its unit: what is typed, printed, and handed to a judgement.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Amount {
    /// The number.
    pub value: f64,
    /// Its unit.
    pub unit: Unit,
}

impl Amount {
    /// A number of a unit.
    pub const fn new(value: f64, unit: Unit) -> Amount {
        Amount { value, unit }
    }

    /// The same amount in another unit, or `None` where it measures something else.
    pub fn to(self, unit: Unit) -> Option<Amount> {
        self.unit.convert(self.value, unit).map(|value| Amount { value, unit })
    }

    /// The number with `places` decimals and the unit's symbol.
    pub fn show(self, places: u8) -> String {
        let number = figure(self.value, places);
        match self.unit.symbol() {
            "" => number,
            symbol => format!("{number} {symbol}"),
        }
    }
}

impl fmt::Display for Amount {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        out.write_str(&self.show(places(self.unit)))
    }
}

/// Declares one quantity: its doc, its dimension, and its constructor and reader for each unit.
macro_rules! quantity {
    ($(#[$doc:meta])* $name:ident $dimension:ident { $($from:ident $read:ident $unit:ident,)* }) => {
        $(#[$doc])*
        #[derive(Clone, Copy, Debug, PartialEq, PartialOrd)]
        pub struct $name(f64);

        impl $name {
            $(
                #[doc = concat!("From a number of `", stringify!($unit), "`.")]
                pub const fn $from(value: f64) -> Self {
                    Self($crate::trade::unit::Unit::$unit.to_si(value))
                }

                #[doc = concat!("The number of `", stringify!($unit), "`.")]
                pub const fn $read(self) -> f64 {
                    $crate::trade::unit::Unit::$unit.from_si(self.0)
                }
            )*
        }

        impl $crate::trade::quantity::Quantity for $name {
            const DIMENSION: $crate::trade::unit::Dimension =
                $crate::trade::unit::Dimension::$dimension;
            fn si(self) -> f64 { self.0 }
            fn from_si(si: f64) -> Self { Self(si) }
        }
    };
}

/// Sums, differences and multiples, for quantities that have them.
macro_rules! additive {
    ($($name:ident),*) => { $(
        impl std::ops::Add for $name {
            type Output = Self;
            fn add(self, other: Self) -> Self { Self(self.0 + other.0) }
        }
        impl std::ops::Sub for $name {
            type Output = Self;
            fn sub(self, other: Self) -> Self { Self(self.0 - other.0) }
        }
        impl std::ops::Mul<$crate::trade::quantity::Ratio> for $name {
            type Output = Self;
            fn mul(self, factor: $crate::trade::quantity::Ratio) -> Self {
                Self(self.0 * factor.ratio())
            }
        }
        impl std::ops::Div for $name {
            type Output = $crate::trade::quantity::Ratio;
            fn div(self, other: Self) -> $crate::trade::quantity::Ratio {
                $crate::trade::quantity::Ratio::from_ratio(self.0 / other.0)
            }
        }
        impl std::ops::Neg for $name {
            type Output = Self;
            fn neg(self) -> Self { Self(-self.0) }
        }
    )* };
}

pub(crate) use {additive, quantity};

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_quantity_reads_back_what_it_was_made_of() {
        let pressure = GaugePressure::from_inches_wc(3.5);
        assert!((pressure.inches_wc() - 3.5).abs() < 1e-12);
        assert!((pressure.pascals() - 871.811_185).abs() < 1e-9);
        assert!((Temperature::from_fahrenheit(32.0).celsius()).abs() < 1e-10);
    }

    #[test]
    fn an_amount_of_the_wrong_kind_is_refused() {
        assert!(GaugePressure::from_amount(Amount::new(70.0, Unit::F)).is_none());
        assert!(AbsolutePressure::from_amount(Amount::new(1.0, Unit::Psig)).is_none());
        assert!(AbsolutePressure::from_amount(Amount::new(29.92, Unit::Inhg)).is_some());
    }
}
