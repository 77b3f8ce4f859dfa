//! The number pad: digits fill a figure whose point is fixed by what is measured.

use client_core::record::code::Quantity;
use client_core::record::code::unit::UnitCode;
use client_core::record::value::Figure;
use client_core::trade::unit::Unit;
use client_core::trade::unit::show::{System, places};
use minicbor::{Decode, Encode};

/// More digits than any quantity has.
const DIGITS_MAX: usize = 7;

/// What was typed for one figure.
#[derive(Clone, Debug, Default, PartialEq, Eq, Encode, Decode)]
#[cbor(map)]
pub struct Typed {
    /// Digits, most significant first, no point.
    #[n(0)]
    pub digits: String,
    /// Below zero.
    #[n(1)]
    pub minus: bool,
}

/// The unit and the decimal places in which a quantity is typed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Form {
    /// Unit.
    pub unit: Unit,
    /// Digits behind the point.
    pub places: u8,
    /// Whether the quantity can lie below zero.
    pub signed: bool,
}

impl Form {
    /// The form of a quantity in somebody's units. None for a quantity of a newer version.
    pub fn of(quantity: Quantity, system: System) -> Option<Form> {
        let kind = quantity.kind()?;
        let unit = system.unit_for(kind.unit);
        let digits = match quantity {
            Quantity::VentStatic
            | Quantity::DraftHood
            | Quantity::OverfireDraft
            | Quantity::BuildingDp => 3,
            Quantity::RodToGround | Quantity::IgniterAmps | Quantity::ContactDrop => 2,
            Quantity::ThermopileMv | Quantity::BurnerHours => 0,
            _ => places(unit),
        };
        Some(Form { unit, places: digits, signed: kind.low < 0.0 })
    }

    /// A figure of this form, as it is stored.
    pub fn figure(self, typed: &Typed) -> Option<Figure> {
        let digits: i64 = typed.digits.parse().ok()?;
        let mantissa = if typed.minus { -digits } else { digits };
        Some(Figure::new(mantissa, self.places, UnitCode::of(self.unit)?))
    }

    /// What stands on the screen: `0.35` while `3 5` of `3.50` is typed.
    pub fn shown(self, typed: &Typed) -> String {
        if typed.digits.is_empty() {
            return if typed.minus { "\u{2212}".to_owned() } else { String::new() };
        }
        let sign = if typed.minus { "\u{2212}" } else { "" };
        let places = usize::from(self.places);
        let digits = format!("{:0>width$}", typed.digits, width = places + 1);
        let (whole, part) = digits.split_at(digits.len() - places);
        if part.is_empty() { format!("{sign}{whole}") } else { format!("{sign}{whole}.{part}") }
    }

    /// A stored figure as if it had been typed here; none where it does not fit without loss.
    pub fn typed(self, figure: Figure) -> Option<Typed> {
        let value = figure.in_unit(self.unit)?;
        let scaled = value * 10_f64.powi(i32::from(self.places));
        let rounded = scaled.round();
        let fits = rounded.is_finite() && rounded.abs() < 10_f64.powi(7);
        fits.then(|| Typed { digits: format!("{:.0}", rounded.abs()), minus: rounded < 0.0 })
    }
}

impl Typed {
    /// One digit more. Zeros in front are left out; a full pad takes no more.
    pub fn push(&mut self, digit: u8) {
        if digit > 9 || self.digits.len() >= DIGITS_MAX {
            return;
        }
        if self.digits == "0" {
            self.digits.clear();
        }
        self.digits.push(char::from(b'0' + digit));
    }

    /// The last digit is wiped.
    pub fn wipe(&mut self) {
        self.digits.pop();
    }

    /// Whether nothing was typed.
    pub const fn is_empty(&self) -> bool {
        self.digits.is_empty()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn typed(keys: &[u8]) -> Typed {
        let mut own = Typed::default();
        for digit in keys {
            own.push(*digit);
        }
        own
    }

    #[test]
    fn the_point_is_fixed_by_the_quantity() {
        let form = Form::of(Quantity::ManifoldHigh, System::Us).unwrap();
        assert_eq!(form.shown(&typed(&[3])), "0.03");
        assert_eq!(form.shown(&typed(&[3, 5, 0])), "3.50");
        assert_eq!(form.figure(&typed(&[3, 5, 0])).unwrap().to_string(), "3.50 in w.c.");
        let form = Form::of(Quantity::StackTemp, System::Us).unwrap();
        assert_eq!(form.shown(&typed(&[4, 1, 6])), "416");
        assert_eq!(form.shown(&Typed::default()), "");
        assert_eq!(form.figure(&Typed::default()), None);
    }

    #[test]
    fn a_draft_has_a_sign_and_a_pad_an_end() {
        let form = Form::of(Quantity::DraftDifferential, System::Us).unwrap();
        assert!(form.signed);
        let mut own = typed(&[7, 4]);
        own.minus = true;
        assert_eq!(form.shown(&own), "\u{2212}0.74");
        assert_eq!(form.figure(&own).unwrap().to_string(), "-0.74 in w.c.");
        assert_eq!(typed(&[9; 20]).digits.len(), DIGITS_MAX);
        assert_eq!(typed(&[0, 0, 7]).digits, "7");
    }

    #[test]
    fn the_plates_figure_is_typed_with_one_key() {
        let form = Form::of(Quantity::ManifoldHigh, System::Us).unwrap();
        let plate = Figure::new(35, 1, UnitCode::of(Unit::InWc).unwrap());
        assert_eq!(form.shown(&form.typed(plate).unwrap()), "3.50");
        let si = Form::of(Quantity::ManifoldHigh, System::Si).unwrap();
        assert_eq!((si.unit, si.shown(&si.typed(plate).unwrap())), (Unit::Mbar, "8.72".to_owned()));
    }
}
