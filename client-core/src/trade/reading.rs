//! Kinds of reading that a technician takes: unit, least step, accuracy, plausible range, and the
//! slips that a plausible range catches.
//!
//! Source: common practice for field instruments, no source; an instrument's own figures win.

mod kinds;

pub use kinds::KINDS;

use crate::trade::quantity::{Amount, Quantity};
use crate::trade::uncertainty::{Accuracy, Calibration, Uncertain};
use crate::trade::unit::Unit;

/// A kind of reading.
#[derive(Debug)]
pub struct Kind {
    /// Stable key, as records store it.
    pub key: &'static str,
    /// Where it is taken.
    pub point: &'static str,
    /// Unit of the field.
    pub unit: Unit,
    /// Accuracy of a usual field instrument.
    pub accuracy: Accuracy,
    /// Least plausible figure.
    pub low: f64,
    /// Most plausible figure.
    pub high: f64,
}

/// A likely slip of typing, worded as a question.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Slip {
    /// The point stands a digit off.
    Decimal,
    /// The figure fits another unit of the field.
    Unit(Unit),
    /// The sign is missing.
    Sign,
    /// Outside what is plausible, for no reason known here.
    Implausible,
}

impl Slip {
    /// The question to ask. An answer "yes, so it is" keeps the figure.
    pub const fn words(self) -> &'static str {
        match self {
            Slip::Decimal => "is the point one place off",
            Slip::Unit(_) => "is this figure in another unit",
            Slip::Sign => "is a minus sign missing",
            Slip::Implausible => "this is outside what is usual here: is it so",
        }
    }
}

/// The kind of this key.
///
/// ```
/// use client_core::trade::{reading, unit::Unit};
/// assert_eq!(reading::kind("manifold_high").unwrap().unit, Unit::InWc);
/// ```
pub fn kind(key: &str) -> Option<&'static Kind> {
    KINDS.iter().find(|kind| kind.key == key)
}

impl Kind {
    /// A reading of this kind with its standard uncertainty, by the instrument's own accuracy or the
    /// usual one. `None` where the unit does not belong to the kind.
    pub fn uncertain(
        &self,
        reading: Amount,
        own: Option<Accuracy>,
        calibration: Calibration,
    ) -> Option<Uncertain> {
        reading.to(self.unit)?;
        let u = own.unwrap_or(self.accuracy).standard(reading, calibration);
        Some(Uncertain { amount: reading, u })
    }

    /// Whether a figure lies where such readings lie.
    pub fn plausible(&self, reading: Amount) -> bool {
        let inside = |value: f64| value >= self.low && value <= self.high;
        reading.to(self.unit).is_some_and(|own| inside(own.value))
    }

    /// The likeliest slip behind a figure, given what is expected of it (plate, target, last time).
    ///
    /// ```
    /// use client_core::trade::quantity::Amount;
    /// use client_core::trade::reading::{kind, Slip};
    /// use client_core::trade::unit::Unit;
    /// let manifold = kind("manifold_high").unwrap();
    /// let plate = Some(Amount::new(3.5, Unit::InWc));
    /// assert_eq!(manifold.slip(Amount::new(35.0, Unit::InWc), plate), Some(Slip::Decimal));
    /// assert_eq!(manifold.slip(Amount::new(3.6, Unit::InWc), plate), None);
    /// ```
    pub fn slip(&self, reading: Amount, expected: Option<Amount>) -> Option<Slip> {
        let value = reading.to(self.unit)?.value;
        let expected = expected.and_then(|own| own.to(self.unit)).map(|own| own.value);
        let near = |value: f64, to: f64| (value - to).abs() <= 0.25 * to.abs().max(1e-9);
        if let Some(expected) = expected {
            if near(value, expected) {
                return None;
            }
            if value.abs() > 0.0 && near(-value, expected) {
                return Some(Slip::Sign);
            }
            let decimal = near(value * 10.0, expected) || near(value / 10.0, expected);
            if decimal && value.abs() > 0.0 {
                return Some(Slip::Decimal);
            }
            if let Some(unit) = self.other_unit(value, |own| near(own, expected)) {
                return Some(Slip::Unit(unit));
            }
        }
        if self.plausible(reading) {
            return None;
        }
        let inside = |value: f64| value >= self.low && value <= self.high;
        let unit = self.other_unit(value, inside);
        Some(unit.map_or(Slip::Implausible, Slip::Unit))
    }

    /// Another unit in which the number typed would fit.
    fn other_unit(&self, value: f64, fits: impl Fn(f64) -> bool) -> Option<Unit> {
        const OTHERS: &[Unit] = &[
            Unit::Psi,
            Unit::InWc,
            Unit::Mbar,
            Unit::Kpa,
            Unit::Pa,
            Unit::C,
            Unit::F,
            Unit::Ppm,
            Unit::Pct,
            Unit::Ma,
            Unit::Ua,
            Unit::Mm,
            Unit::In,
        ];
        OTHERS
            .iter()
            .copied()
            .filter(|unit| *unit != self.unit)
            .find(|unit| unit.convert(value, self.unit).is_some_and(&fits))
    }
}

/// Standard uncertainty of a quantity by the usual accuracy of a kind, in `unit`.
pub(crate) fn usual<Q: Quantity>(key: &str, quantity: Q, unit: Unit) -> Uncertain {
    let amount = quantity.amount(unit);
    let found = kind(key).and_then(|kind| kind.uncertain(amount, None, Calibration::Unknown));
    found.unwrap_or(Uncertain::sure(amount))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn kinds_are_unique_and_their_ranges_run_up() {
        let keys: std::collections::BTreeSet<_> = KINDS.iter().map(|kind| kind.key).collect();
        assert_eq!(keys.len(), KINDS.len());
        for kind in KINDS {
            assert!(kind.low < kind.high, "{}", kind.key);
            let middle = Amount::new(f64::midpoint(kind.low, kind.high), kind.unit);
            let limit = kind.accuracy.limit(middle);
            assert!(limit.is_finite() && limit >= 0.0, "{}", kind.key);
        }
    }

    #[test]
    fn a_psi_figure_in_a_water_column_field_is_noticed() {
        let inlet = kind("inlet_flowing").unwrap();
        let expected = Some(Amount::new(7.0, Unit::InWc));
        let slip = inlet.slip(Amount::new(0.25, Unit::InWc), expected);
        assert_eq!(slip, Some(Slip::Unit(Unit::Psi)));
    }

    #[test]
    fn a_lost_sign_on_draft_is_noticed() {
        let draft = kind("draft_differential").unwrap();
        let before = Some(Amount::new(-0.97, Unit::InWc));
        assert_eq!(draft.slip(Amount::new(0.95, Unit::InWc), before), Some(Slip::Sign));
    }

    #[test]
    fn celsius_in_a_fahrenheit_field_is_noticed() {
        let stack = kind("stack_temp").unwrap();
        let before = Some(Amount::new(400.0, Unit::F));
        let slip = stack.slip(Amount::new(204.0, Unit::F), before);
        assert_eq!(slip, Some(Slip::Unit(Unit::C)));
    }
}
