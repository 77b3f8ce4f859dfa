//! Printing a value in US or SI units with the resolution that its instrument has.

use crate::trade::unit::{Dimension, Unit};

/// Which units a person reads.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum System {
    /// Inches, Fahrenheit, Btu.
    Us,
    /// Metres, Celsius, watts.
    Si,
}

impl System {
    /// The unit in which this system prints a value entered in `unit`.
    ///
    /// ```
    /// use client_core::trade::unit::{System, Unit};
    /// assert_eq!(System::Si.unit_for(Unit::InWc), Unit::Mbar);
    /// assert_eq!(System::Us.unit_for(Unit::Mbar), Unit::InWc);
    /// ```
    pub const fn unit_for(self, unit: Unit) -> Unit {
        let (us, si) = match unit.dimension() {
            Dimension::Pressure => match unit {
                Unit::Psi | Unit::Bar => (Unit::Psi, Unit::Bar),
                Unit::Inhg | Unit::Mmhg | Unit::Kpa => (Unit::Inhg, Unit::Kpa),
                _ => (Unit::InWc, Unit::Mbar),
            },
            Dimension::GaugePressure => (Unit::Psig, Unit::Bar),
            Dimension::AbsolutePressure => (Unit::Psia, Unit::Kpa),
            Dimension::Temperature => (Unit::F, Unit::C),
            Dimension::TemperatureDifference => (Unit::DeltaF, Unit::DeltaC),
            Dimension::Flow => match unit {
                Unit::Cfm | Unit::LS | Unit::M3S => (Unit::Cfm, Unit::LS),
                Unit::Gpm | Unit::LMin => (Unit::Gpm, Unit::LMin),
                _ => (Unit::Cfh, Unit::M3H),
            },
            Dimension::StandardFlow => (Unit::Scfh, Unit::Sm3H),
            Dimension::HeatRate => match unit {
                Unit::Mbh | Unit::Kw => (Unit::Mbh, Unit::Kw),
                _ => (Unit::BtuH, Unit::Kw),
            },
            Dimension::Energy => (Unit::Therm, Unit::Kwh),
            Dimension::HeatingValue => (Unit::BtuFt3, Unit::MjM3),
            Dimension::SpecificEnergy => (Unit::BtuLb, Unit::KjKg),
            Dimension::Length => match unit {
                Unit::Ft | Unit::M => (Unit::Ft, Unit::M),
                _ => (Unit::In, Unit::Mm),
            },
            Dimension::Area => match unit {
                Unit::Ft2 | Unit::M2 => (Unit::Ft2, Unit::M2),
                _ => (Unit::In2, Unit::Cm2),
            },
            Dimension::Volume => match unit {
                Unit::Gal | Unit::L => (Unit::Gal, Unit::L),
                _ => (Unit::Ft3, Unit::M3),
            },
            Dimension::Mass => (Unit::Lb, Unit::Kg),
            Dimension::MassFlow => (Unit::LbH, Unit::KgH),
            Dimension::Density => (Unit::LbFt3, Unit::KgM3),
            Dimension::Speed => match unit {
                Unit::Fpm => (Unit::Fpm, Unit::MS),
                _ => (Unit::Mph, Unit::MS),
            },
            Dimension::HumidityRatio => (Unit::GrLb, Unit::KgKg),
            Dimension::DegreeDays => (Unit::DdF, Unit::DdC),
            Dimension::Price => (Unit::MoneyTherm, Unit::MoneyKwh),
            _ => (unit, unit),
        };
        match self {
            System::Us => us,
            System::Si => si,
        }
    }
}

/// Decimal places that suit the usual instrument of a unit.
pub const fn places(unit: Unit) -> u8 {
    match unit {
        Unit::InWc
        | Unit::InWc39f
        | Unit::InWc60f
        | Unit::Mbar
        | Unit::Inhg
        | Unit::Kpa
        | Unit::Psi
        | Unit::Psig
        | Unit::Psia
        | Unit::Bar
        | Unit::OzIn2
        | Unit::KwhM3
        | Unit::Therm
        | Unit::Cm
        | Unit::Money => 2,
        Unit::Pct
        | Unit::Ua
        | Unit::S
        | Unit::Mv
        | Unit::V
        | Unit::A
        | Unit::Ph
        | Unit::Gpm
        | Unit::Mbh
        | Unit::Kw
        | Unit::MjM3
        | Unit::Mm
        | Unit::Min
        | Unit::Ohm
        | Unit::MmWc
        | Unit::LbH
        | Unit::KgH
        | Unit::M3H
        | Unit::Sm3H
        | Unit::GrLb => 1,
        Unit::Ratio | Unit::LbFt3 | Unit::KgM3 | Unit::In | Unit::Mohm | Unit::KgKg => 4,
        Unit::MoneyTherm | Unit::MoneyKwh | Unit::GMol | Unit::KjMol | Unit::Cp => 3,
        Unit::KgS | Unit::M3S | Unit::PaS => 6,
        _ => 0,
    }
}

/// A value with `places` decimals, never "-0" and never anything but a number.
///
/// ```
/// use client_core::trade::unit::show::figure;
/// assert_eq!(figure(-0.001, 2), "0.00");
/// assert_eq!(figure(3.456, 1), "3.5");
/// ```
pub fn figure(value: f64, places: u8) -> String {
    if !value.is_finite() {
        return "no figure".to_owned();
    }
    let text = format!("{value:.*}", usize::from(places));
    let zero = text.chars().all(|letter| matches!(letter, '-' | '0' | '.'));
    if zero { text.trim_start_matches('-').to_owned() } else { text }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_systems_unit_measures_the_same_and_stays_put() {
        for unit in Unit::ALL {
            for system in [System::Us, System::Si] {
                let shown = system.unit_for(*unit);
                assert!(unit.convert(1.0, shown).is_some(), "{unit:?} {shown:?}");
                assert_eq!(system.unit_for(shown), shown, "{unit:?}");
            }
        }
    }
}
