//! What an instrument's owner typed about its accuracy, and what it is worth in an uncertainty.

use crate::trade::quantity::Amount;
use crate::trade::unit::{Dimension, TypedWrong, Unit, parse};

/// Limits of error of an instrument. Where both parts are given the larger one holds.
#[derive(Clone, Copy, Debug, PartialEq, Default)]
pub struct Accuracy {
    /// Fixed part.
    pub absolute: Option<Amount>,
    /// Part of the reading, in percent.
    pub percent: Option<f64>,
    /// Least step shown.
    pub resolution: Option<Amount>,
}

/// Whether the instrument's calibration was in date when it read.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default)]
pub enum Calibration {
    /// In date.
    Current,
    /// Past due: the stated accuracy is not supported any more, and counts twice (our setting).
    Overdue,
    /// Nobody noted it.
    #[default]
    Unknown,
}

impl Accuracy {
    /// A fixed limit of error and a least step, in one unit.
    pub const fn fixed(limit: f64, step: f64, unit: Unit) -> Accuracy {
        Accuracy {
            absolute: Some(Amount::new(limit, unit)),
            percent: None,
            resolution: Some(Amount::new(step, unit)),
        }
    }

    /// With a part of the reading, in percent; the larger part holds.
    #[must_use]
    pub const fn or_percent(mut self, percent: f64) -> Accuracy {
        self.percent = Some(percent);
        self
    }

    /// Limit of error at a reading, in the reading's unit.
    pub fn limit(&self, reading: Amount) -> f64 {
        let fixed = self.absolute.and_then(|own| own.to(difference(reading.unit, own.unit)));
        let fixed = fixed.map_or(0.0, |own| own.value.abs());
        let relative = self.percent.map_or(0.0, |percent| percent / 100.0 * reading.value.abs());
        fixed.max(relative)
    }

    /// Standard uncertainty of a reading, in its unit.
    ///
    /// Limits of error and the least step are taken as rectangular. Source: JCGM 100:2008 4.3.7 and
    /// F.2.2.1.
    ///
    /// ```
    /// use client_core::trade::quantity::Amount;
    /// use client_core::trade::uncertainty::{Accuracy, Calibration};
    /// use client_core::trade::unit::Unit;
    /// let cell = Accuracy::fixed(0.2, 0.1, Unit::Pct);
    /// let u = cell.standard(Amount::new(8.4, Unit::Pct), Calibration::Current);
    /// assert!((u - 0.119).abs() < 0.001);
    /// ```
    pub fn standard(&self, reading: Amount, calibration: Calibration) -> f64 {
        let limit = self.limit(reading) / 3.0_f64.sqrt();
        let step = self.resolution.and_then(|own| own.to(difference(reading.unit, own.unit)));
        let step = step.map_or(0.0, |own| own.value.abs()) / 12.0_f64.sqrt();
        let times = match calibration {
            Calibration::Overdue => 2.0,
            Calibration::Current | Calibration::Unknown => 1.0,
        };
        times * limit.hypot(step)
    }

    /// Reads what an owner types: "0.2", "5 ppm or 5 %", "±1 %, 0.05 in wc".
    ///
    /// ```
    /// use client_core::trade::quantity::Amount;
    /// use client_core::trade::uncertainty::Accuracy;
    /// use client_core::trade::unit::Unit;
    /// let cell = Accuracy::typed("±5 ppm or 5 %", Unit::Ppm).unwrap();
    /// assert_eq!(cell.limit(Amount::new(20.0, Unit::Ppm)), 5.0);
    /// assert_eq!(cell.limit(Amount::new(400.0, Unit::Ppm)), 20.0);
    /// ```
    pub fn typed(text: &str, unit: Unit) -> Result<Accuracy, TypedWrong> {
        let mut accuracy = Accuracy::default();
        let plain = text.replace(" or ", ";").replace(", ", ";");
        for part in plain.split(';') {
            let part = part.trim().trim_start_matches(['±', '+', '-', '/', ' ']);
            let typed = parse(part)?;
            let value = typed.value.to_f64();
            let own = difference(typed.unit.unwrap_or(unit), unit);
            let share = own == Unit::Pct && unit != Unit::Pct;
            if share {
                accuracy.percent = Some(value);
            } else if own.convert(value, difference(unit, own)).is_some() {
                accuracy.absolute = Some(Amount::new(value, own));
            } else {
                return Err(TypedWrong::WrongKind { typed: own.key(), field: unit.key() });
            }
        }
        Ok(accuracy)
    }
}

/// The unit of a difference that goes with a scale: 4 F of error is not a temperature of 4 F.
fn difference(unit: Unit, beside: Unit) -> Unit {
    let scale = unit.dimension() == Dimension::Temperature
        && (beside.dimension() == Dimension::TemperatureDifference
            || beside.dimension() == Dimension::Temperature);
    match unit {
        Unit::F if scale => Unit::DeltaF,
        Unit::C | Unit::K if scale => Unit::DeltaC,
        other => other,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_error_of_4_f_is_a_difference() {
        let probe = Accuracy::typed("4 F", Unit::F).unwrap();
        assert_eq!(probe.absolute, Some(Amount::new(4.0, Unit::DeltaF)));
        assert!((probe.limit(Amount::new(300.0, Unit::F)) - 4.0).abs() < 1e-9);
        let celsius = probe.limit(Amount::new(150.0, Unit::C));
        assert!((celsius - 4.0 / 1.8).abs() < 1e-9);
    }

    #[test]
    fn overdue_counts_twice() {
        let gauge = Accuracy::fixed(0.05, 0.01, Unit::InWc);
        let read = Amount::new(3.5, Unit::InWc);
        let current = gauge.standard(read, Calibration::Current);
        assert!((gauge.standard(read, Calibration::Overdue) / current - 2.0).abs() < 1e-12);
    }

    #[test]
    fn accuracy_of_another_kind_is_refused() {
        assert!(Accuracy::typed("4 F", Unit::InWc).is_err());
        assert!(Accuracy::typed("good", Unit::InWc).is_err());
    }
}
