//! Drill sizes: number, letter, fraction and metric.

use crate::trade::impossible::Impossible;
use crate::trade::quantity::{Amount, Length, Quantity};
use crate::trade::unit::{Unit, parse};
use std::fmt;

/// A series of drills.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Series {
    /// Numbers 80 to 1.
    Number,
    /// Letters A to Z.
    Letter,
    /// Sixty-fourths of an inch.
    Fraction,
    /// Twentieths of a millimetre.
    Metric,
}

/// A drill of a series.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Drill {
    series: Series,
    /// Number, letter counted from A, sixty-fourths, or twentieths of a millimetre.
    size: u16,
}

/// Diameters of number drills 1 to 80, inch. Source: ASME B94.11M; 54, 55, 57 to 80 seen in a public
/// sheet, the rest from memory.
#[rustfmt::skip]
const NUMBERS: [f64; 80] = [
    0.2280, 0.2210, 0.2130, 0.2090, 0.2055, 0.2040, 0.2010, 0.1990, 0.1960, 0.1935,
    0.1910, 0.1890, 0.1850, 0.1820, 0.1800, 0.1770, 0.1730, 0.1695, 0.1660, 0.1610,
    0.1590, 0.1570, 0.1540, 0.1520, 0.1495, 0.1470, 0.1440, 0.1405, 0.1360, 0.1285,
    0.1200, 0.1160, 0.1130, 0.1110, 0.1100, 0.1065, 0.1040, 0.1015, 0.0995, 0.0980,
    0.0960, 0.0935, 0.0890, 0.0860, 0.0820, 0.0810, 0.0785, 0.0760, 0.0730, 0.0700,
    0.0670, 0.0635, 0.0595, 0.0550, 0.0520, 0.0465, 0.0430, 0.0420, 0.0410, 0.0400,
    0.0390, 0.0380, 0.0370, 0.0360, 0.0350, 0.0330, 0.0320, 0.0310, 0.0292, 0.0280,
    0.0260, 0.0250, 0.0240, 0.0225, 0.0210, 0.0200, 0.0180, 0.0160, 0.0145, 0.0135,
];
/// Diameters of letter drills, inch. Source: ASME B94.11M, from memory.
#[rustfmt::skip]
const LETTERS: [f64; 26] = [
    0.2340, 0.2380, 0.2420, 0.2460, 0.2500, 0.2570, 0.2610, 0.2660, 0.2720, 0.2770, 0.2810, 0.2900,
    0.2950, 0.3020, 0.3160, 0.3230, 0.3320, 0.3390, 0.3480, 0.3580, 0.3680, 0.3770, 0.3860, 0.3970,
    0.4040, 0.4130,
];

impl Drill {
    /// Its bore.
    pub fn bore(self) -> Length {
        let size = usize::from(self.size);
        match self.series {
            Series::Number => Length::from_inches(NUMBERS[size - 1]),
            Series::Letter => Length::from_inches(LETTERS[size]),
            Series::Fraction => Length::from_inches(f64::from(self.size) / 64.0),
            Series::Metric => Length::from_millimetres(f64::from(self.size) / 20.0),
        }
    }

    /// Its series.
    pub fn series(self) -> Series {
        self.series
    }

    /// Every drill of these series.
    pub fn all(series: &[Series]) -> impl Iterator<Item = Drill> + '_ {
        series.iter().copied().flat_map(|series| {
            let sizes = match series {
                Series::Number => 1..81,
                Series::Letter => 0..26,
                Series::Fraction => 1..33,
                Series::Metric => 6..261,
            };
            sizes.map(move |size| Drill { series, size })
        })
    }

    /// The drill of a name: "42", "#42", "D", "1/8", "2.30 mm".
    ///
    /// ```
    /// use client_core::trade::gas::drill::Drill;
    /// assert!((Drill::named("#42").unwrap().bore().inches() - 0.0935).abs() < 1e-9);
    /// assert_eq!(Drill::named("1/8 in").unwrap().to_string(), "1/8 in");
    /// assert!(Drill::named("81").is_none());
    /// ```
    pub fn named(name: &str) -> Option<Drill> {
        let name = name.trim();
        let upper = name.to_uppercase();
        if let [letter @ b'A'..=b'Z'] = upper.as_bytes() {
            return Some(Drill { series: Series::Letter, size: u16::from(letter - b'A') });
        }
        let bare = upper.trim_start_matches(['#', ' ']).trim_start_matches("NO.").trim();
        if let Ok(size @ 1..=80) = bare.parse::<u16>() {
            return Some(Drill { series: Series::Number, size });
        }
        let typed = parse(name).ok()?;
        let bore = match typed.unit {
            Some(unit) => Length::from_amount(Amount::new(typed.value.to_f64(), unit))?,
            None if name.contains('/') => Length::from_inches(typed.value.to_f64()),
            None => return None,
        };
        let metric = matches!(typed.unit, Some(Unit::Mm | Unit::Cm));
        let own = if metric { Series::Metric } else { Series::Fraction };
        Drill::all(&[own]).find(|drill| (drill.bore().inches() - bore.inches()).abs() < 1e-9)
    }

    /// The largest drill not larger than a bore: too small can be opened, too large cannot be shut.
    pub fn largest_not_over(bore: Length, series: &[Series]) -> Result<Drill, Impossible> {
        let least = Drill::all(series).map(|drill| drill.bore().inches()).fold(f64::MAX, f64::min);
        let fits = Drill::all(series).filter(|drill| drill.bore() <= bore);
        fits.max_by(|one, other| one.bore().inches().total_cmp(&other.bore().inches())).ok_or(
            Impossible::NoDrill {
                wanted: bore.amount(Unit::In),
                least: Amount::new(least, Unit::In),
            },
        )
    }

    /// The drill nearest to a bore.
    pub fn nearest(bore: Length, series: &[Series]) -> Option<Drill> {
        let off = |drill: &Drill| (drill.bore().inches() - bore.inches()).abs();
        Drill::all(series).min_by(|one, other| off(one).total_cmp(&off(other)))
    }

    /// The number of a number drill.
    pub fn number(self) -> Option<u16> {
        (self.series == Series::Number).then_some(self.size)
    }
}

impl fmt::Display for Drill {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self.series {
            Series::Number => write!(out, "#{}", self.size),
            Series::Letter => {
                let letter = u8::try_from(self.size).map_or('?', |size| char::from(b'A' + size));
                write!(out, "{letter}")
            }
            Series::Fraction => {
                let mut parts = (self.size, 64);
                while parts.0 % 2 == 0 && parts.1 > 1 {
                    parts = (parts.0 / 2, parts.1 / 2);
                }
                write!(out, "{}/{} in", parts.0, parts.1)
            }
            Series::Metric => write!(out, "{:.2} mm", f64::from(self.size) / 20.0),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_run_down_and_letters_run_up() {
        assert!(NUMBERS.windows(2).all(|pair| pair[0] > pair[1]));
        assert!(LETTERS.windows(2).all(|pair| pair[0] < pair[1]));
    }

    #[test]
    fn every_drill_is_found_by_its_own_name() {
        let series = [Series::Number, Series::Letter, Series::Fraction, Series::Metric];
        for drill in Drill::all(&series) {
            assert_eq!(Drill::named(&drill.to_string()), Some(drill), "{drill}");
        }
    }

    #[test]
    fn the_smaller_neighbour_is_chosen() {
        let bore = Length::from_inches(0.0564);
        assert_eq!(Drill::largest_not_over(bore, &[Series::Number]).unwrap().number(), Some(54));
        assert!(Drill::largest_not_over(Length::from_inches(0.01), &[Series::Number]).is_err());
    }
}
