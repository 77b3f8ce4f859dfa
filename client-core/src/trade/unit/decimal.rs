//! A number exactly as a person typed it: digits and where the point stands.

use std::fmt;

/// An exact decimal: `mantissa` divided by ten to the `places`. Trailing zeros typed are kept.
///
/// ```
/// use client_core::trade::unit::Decimal;
/// let typed = Decimal::new(350, 2);
/// assert_eq!(typed.to_string(), "3.50");
/// assert_eq!(typed.to_f64(), 3.5);
/// ```
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Decimal {
    mantissa: i64,
    places: u8,
}

/// Most decimal places kept.
pub const PLACES_MAX: u8 = 9;

impl Decimal {
    /// `mantissa` with `places` digits behind the point; more than nine places are cut to nine.
    pub const fn new(mantissa: i64, places: u8) -> Decimal {
        let mut decimal = Decimal { mantissa, places };
        while decimal.places > PLACES_MAX {
            decimal.mantissa /= 10;
            decimal.places -= 1;
        }
        decimal
    }

    /// A computed number rounded half away from zero to so many places. None where the digits do not fit,
    /// or where it is no number.
    ///
    /// ```
    /// use client_core::trade::unit::Decimal;
    /// assert_eq!(Decimal::rounded(80.4519, 1), Some(Decimal::new(805, 1)));
    /// assert_eq!(Decimal::rounded(f64::NAN, 1), None);
    /// ```
    pub fn rounded(value: f64, places: u8) -> Option<Decimal> {
        let places = places.min(PLACES_MAX);
        let text = format!(
            "{:.*}",
            usize::from(places),
            (value * 10f64.powi(places.into())).round() / 10f64.powi(places.into())
        );
        let digits: String = text.chars().filter(|letter| *letter != '.').collect();
        Some(Decimal { mantissa: digits.parse().ok()?, places })
    }

    /// The digits without the point, signed.
    pub const fn mantissa(self) -> i64 {
        self.mantissa
    }

    /// How many of the digits stand behind the point.
    pub const fn places(self) -> u8 {
        self.places
    }

    /// The nearest floating-point value, for sums.
    pub fn to_f64(self) -> f64 {
        // Parsing the text rounds once; a division of two converted integers could round twice.
        self.to_string().parse().expect("a decimal prints as a number")
    }
}

impl fmt::Display for Decimal {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        let places = usize::from(self.places);
        let digits = format!("{:0width$}", self.mantissa.unsigned_abs(), width = places + 1);
        let (whole, behind) = digits.split_at(digits.len() - places);
        let sign = if self.mantissa < 0 { "-" } else { "" };
        match places {
            0 => write!(out, "{sign}{whole}"),
            _ => write!(out, "{sign}{whole}.{behind}"),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn rounds_half_away_and_refuses_what_has_no_digits() {
        for (value, places, text) in [
            (0.25, 1, "0.3"),
            (-0.25, 1, "-0.3"),
            (2.5, 0, "3"),
            (99.96, 1, "100.0"),
            (0.0, 2, "0.00"),
        ] {
            assert_eq!(Decimal::rounded(value, places).unwrap().to_string(), text);
        }
        for value in [f64::NAN, f64::INFINITY, 1e300] {
            assert_eq!(Decimal::rounded(value, 2), None);
        }
    }

    #[test]
    fn prints_as_typed() {
        for (mantissa, places, text) in [
            (350, 2, "3.50"),
            (-62, 2, "-0.62"),
            (5, 0, "5"),
            (0, 1, "0.0"),
            (-5, 3, "-0.005"),
            (i64::MIN, 0, "-9223372036854775808"),
        ] {
            assert_eq!(Decimal::new(mantissa, places).to_string(), text);
        }
    }
}
