//! What people type into a number field: "3.5", "3.5 in wc", "8.7 mbar", "1 1/2 in", "3,5 mbar".
//!
//! The digits come back exactly as typed, so that a record can show them again unchanged.
//! Nothing here panics, whatever the text.

use crate::trade::unit::alias::spelled;
use crate::trade::unit::decimal::PLACES_MAX;
use crate::trade::unit::{Decimal, Dimension, Unit};

/// A number as typed, with the unit typed behind it, if any.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Typed {
    /// The digits as typed.
    pub value: Decimal,
    /// The unit as typed.
    pub unit: Option<Unit>,
}

/// Why a text is not a number with a unit.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum TypedWrong {
    /// Nothing but blanks.
    #[error("nothing typed: enter a number, for example 3.5")]
    Empty,
    /// No number at the front.
    #[error("'{0}' does not begin with a number: type the figure first, then the unit")]
    NoNumber(String),
    /// A comma that may be a decimal sign or a thousands sign.
    #[error("'{0}' can be read two ways: type a point for decimals and no comma for thousands")]
    TwoWays(String),
    /// A letter group behind the number that is no known unit.
    #[error("'{0}' is not a unit known here: pick one from the list, for example in w.c., psi, F")]
    UnknownUnit(String),
    /// A unit of another kind than the field takes.
    #[error("{typed} does not fit a field in {field}: check the unit or the field")]
    WrongKind {
        /// Key of the unit typed.
        typed: &'static str,
        /// Key of the field's unit.
        field: &'static str,
    },
    /// A fraction without an exact decimal, or over zero.
    #[error("'{0}' has no exact decimal: type it as a decimal figure")]
    Fraction(String),
    /// More digits than any instrument shows.
    #[error("'{0}' has too many digits: type what the instrument shows")]
    TooLong(String),
}

/// Most characters looked at.
const TEXT_MAX: usize = 64;

/// Reads a number and the unit behind it, if one is typed.
///
/// ```
/// use client_core::trade::unit::{parse, Unit};
/// let typed = parse("3.50 in wc").unwrap();
/// assert_eq!(typed.value.to_string(), "3.50");
/// assert_eq!(typed.unit, Some(Unit::InWc));
/// assert_eq!(parse("1 1/2 in").unwrap().value.to_string(), "1.5");
/// assert_eq!(parse("3,5 mbar").unwrap().value.to_string(), "3.5");
/// ```
pub fn parse(text: &str) -> Result<Typed, TypedWrong> {
    let text = text.trim();
    if text.is_empty() {
        return Err(TypedWrong::Empty);
    }
    if text.chars().count() > TEXT_MAX {
        return Err(TypedWrong::TooLong(text.chars().take(TEXT_MAX).collect()));
    }
    let (negative, unsigned) = sign(text);
    let end = unsigned
        .char_indices()
        .find(|(_, letter)| !number_letter(*letter))
        .map_or(unsigned.len(), |(at, _)| at);
    let (front, rest) = unsigned.split_at(end);
    let front = front.trim_end();
    if !front.chars().any(|letter| letter.is_ascii_digit() || vulgar(letter).is_some()) {
        return Err(TypedWrong::NoNumber(text.to_owned()));
    }
    let (mantissa, places, clock) = number(front)?;
    let mantissa = i64::try_from(if negative { -mantissa } else { mantissa })
        .map_err(|_| TypedWrong::TooLong(text.to_owned()))?;
    let value = Decimal::new(mantissa, places);
    let rest = rest.trim();
    let unit = match (rest.is_empty(), clock) {
        (true, true) => Some(Unit::S),
        (true, false) => None,
        (false, _) => Some(spelled(rest).ok_or_else(|| TypedWrong::UnknownUnit(rest.to_owned()))?),
    };
    if clock && unit != Some(Unit::S) {
        return Err(TypedWrong::NoNumber(text.to_owned()));
    }
    Ok(Typed { value, unit })
}

/// Reads a number for a field whose unit is `field`; a unit typed wins if it measures the same.
///
/// ```
/// use client_core::trade::unit::{parse_in, Unit};
/// let (value, unit) = parse_in("0.87 kPa", Unit::InWc).unwrap();
/// assert_eq!((value.to_string().as_str(), unit), ("0.87", Unit::Kpa));
/// assert_eq!(parse_in("-0.62", Unit::InWc).unwrap().1, Unit::InWc);
/// assert!(parse_in("72 F", Unit::InWc).is_err());
/// ```
pub fn parse_in(text: &str, field: Unit) -> Result<(Decimal, Unit), TypedWrong> {
    let typed = parse(text)?;
    let Some(unit) = typed.unit else { return Ok((typed.value, field)) };
    let unit = meant(unit, field.dimension());
    if unit.measures(field.dimension()) || field.measures(unit.dimension()) {
        Ok((typed.value, unit))
    } else {
        Err(TypedWrong::WrongKind { typed: unit.key(), field: field.key() })
    }
}

/// A spelling that two kinds share is read as the kind that the field takes.
fn meant(unit: Unit, field: Dimension) -> Unit {
    match (unit, field) {
        (Unit::F, Dimension::TemperatureDifference) => Unit::DeltaF,
        (Unit::C | Unit::K, Dimension::TemperatureDifference) => Unit::DeltaC,
        (Unit::Lb, Dimension::Pressure | Dimension::GaugePressure) => Unit::Psi,
        (Unit::Pct, Dimension::ExplosiveLimit) => Unit::PctLel,
        (Unit::Cfh, Dimension::StandardFlow) => Unit::Scfh,
        (Unit::Cfm, Dimension::StandardFlow) => Unit::Scfm,
        (Unit::M3H, Dimension::StandardFlow) => Unit::Sm3H,
        (other, _) => other,
    }
}

fn sign(text: &str) -> (bool, &str) {
    let mut letters = text.chars();
    match letters.next() {
        Some('-' | '\u{2212}' | '\u{2013}') => (true, letters.as_str().trim_start()),
        Some('+') => (false, letters.as_str().trim_start()),
        _ => (false, text),
    }
}

fn number_letter(letter: char) -> bool {
    letter.is_ascii_digit()
        || matches!(letter, '.' | ',' | '/' | ' ' | ':' | '-' | '\u{2044}')
        || vulgar(letter).is_some()
}

/// Numerator and denominator of a one-letter fraction.
fn vulgar(letter: char) -> Option<&'static str> {
    Some(match letter {
        '½' => "1/2",
        '¼' => "1/4",
        '¾' => "3/4",
        '⅛' => "1/8",
        '⅜' => "3/8",
        '⅝' => "5/8",
        '⅞' => "7/8",
        _ => return None,
    })
}

/// Mantissa, places, and whether it was minutes and seconds.
fn number(front: &str) -> Result<(i128, u8, bool), TypedWrong> {
    let mut spread = String::new();
    for letter in front.chars() {
        match vulgar(letter) {
            Some(fraction) => {
                spread.push(' ');
                spread.push_str(fraction);
            }
            None => spread.push(if letter == '\u{2044}' { '/' } else { letter }),
        }
    }
    if let Some((minutes, seconds)) = spread.split_once(':') {
        let wrong = || TypedWrong::NoNumber(front.to_owned());
        let minutes = whole(minutes, front)?;
        let (mantissa, places) = plain(seconds.trim())?;
        let scale = 10_i128.pow(u32::from(places));
        if mantissa >= 60 * scale {
            return Err(wrong());
        }
        return Ok((minutes * 60 * scale + mantissa, places, true));
    }
    if !spread.contains('/') {
        let (mantissa, places) = plain(spread.trim())?;
        return Ok((mantissa, places, false));
    }
    let cleaned = spread.replace('-', " ");
    let words: Vec<&str> = cleaned.split_whitespace().collect();
    let (units, fraction) = match words.as_slice() {
        [fraction] => (0, *fraction),
        [units, fraction] => (whole(units, front)?, *fraction),
        _ => return Err(TypedWrong::NoNumber(front.to_owned())),
    };
    let Some((over, under)) = fraction.split_once('/') else {
        return Err(TypedWrong::NoNumber(front.to_owned()));
    };
    let (over, under) = (whole(over, front)?, whole(under, front)?);
    let (mantissa, places) = exact(over, under, front)?;
    Ok((units * 10_i128.pow(u32::from(places)) + mantissa, places, false))
}

fn whole(text: &str, front: &str) -> Result<i128, TypedWrong> {
    let text = text.trim();
    let digits = !text.is_empty() && text.chars().all(|letter| letter.is_ascii_digit());
    match (digits, text.len() > 12) {
        (true, false) => text.parse().map_err(|_| TypedWrong::TooLong(front.to_owned())),
        (true, true) => Err(TypedWrong::TooLong(front.to_owned())),
        (false, _) => Err(TypedWrong::NoNumber(front.to_owned())),
    }
}

/// The exact decimal of a fraction; sixty-fourths and their like have one.
fn exact(over: i128, under: i128, front: &str) -> Result<(i128, u8), TypedWrong> {
    let inexact = || TypedWrong::Fraction(front.to_owned());
    if under == 0 {
        return Err(inexact());
    }
    let mut scale = 1;
    for places in 0..=PLACES_MAX {
        if over * scale % under == 0 {
            return Ok((over * scale / under, places));
        }
        scale *= 10;
    }
    Err(inexact())
}

/// A figure with a point or a comma, thousands set off by commas where that is certain.
fn plain(text: &str) -> Result<(i128, u8), TypedWrong> {
    let wrong = || TypedWrong::NoNumber(text.to_owned());
    if text.contains(' ') || text.contains('-') || text.matches('.').count() > 1 {
        return Err(wrong());
    }
    let commas = text.matches(',').count();
    let figure = match (commas, text.contains('.')) {
        (0, _) => text.to_owned(),
        (_, true) if thousands(text.split('.').next().unwrap_or("")) => text.replace(',', ""),
        (1, false) if thousands(text) => return Err(TypedWrong::TwoWays(text.to_owned())),
        (1, false) => text.replace(',', "."),
        (_, false) if thousands(text) => text.replace(',', ""),
        _ => return Err(wrong()),
    };
    let (units, behind) = figure.split_once('.').unwrap_or((&figure, ""));
    if units.is_empty() && behind.is_empty() {
        return Err(wrong());
    }
    if behind.len() > usize::from(PLACES_MAX) || units.len() > 15 {
        return Err(TypedWrong::TooLong(text.to_owned()));
    }
    let digits: String = [units, behind].concat();
    let mantissa = digits.parse().map_err(|_| wrong())?;
    let places = u8::try_from(behind.len()).map_err(|_| wrong())?;
    Ok((mantissa, places))
}

/// One to three digits, not a lone zero, then groups of exactly three.
fn thousands(text: &str) -> bool {
    let mut groups = text.split(',');
    let first = groups.next().unwrap_or("");
    let leads = (1..=3).contains(&first.len()) && !first.starts_with('0');
    leads && groups.all(|group| group.len() == 3)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn check(text: &str, value: &str, unit: Option<Unit>) {
        let typed = parse(text).unwrap_or_else(|wrong| panic!("{text}: {wrong}"));
        assert_eq!((typed.value.to_string().as_str(), typed.unit), (value, unit), "{text}");
    }

    #[test]
    fn reads_what_people_type() {
        check("3.5", "3.5", None);
        check(" 3.50 in wc", "3.50", Some(Unit::InWc));
        check("3.5\" wc", "3.5", Some(Unit::InWc));
        check("3.5″ w.c.", "3.5", Some(Unit::InWc));
        check("8.7 mbar", "8.7", Some(Unit::Mbar));
        check("0.87kPa", "0.87", Some(Unit::Kpa));
        check("1/2 psi", "0.5", Some(Unit::Psi));
        check("½ psi", "0.5", Some(Unit::Psi));
        check("1 1/2 in", "1.5", Some(Unit::In));
        check("1-1/2\"", "1.5", Some(Unit::In));
        check("3/64 in", "0.046875", Some(Unit::In));
        check("3,5 mbar", "3.5", Some(Unit::Mbar));
        check("0,875", "0.875", None);
        check("-0.62", "-0.62", None);
        check("−.62 in. w.c.", "-0.62", Some(Unit::InWc));
        check("1,234,567 Btu/h", "1234567", Some(Unit::BtuH));
        check("12,345.6", "12345.6", None);
        check("72°F", "72", Some(Unit::F));
        check("4.2 µA", "4.2", Some(Unit::Ua));
        check("20 Mohm", "20", Some(Unit::Mohm));
        check("3:29.7", "209.7", Some(Unit::S));
        check("5 %", "5", Some(Unit::Pct));
    }

    #[test]
    fn refuses_with_a_reason() {
        assert_eq!(parse("  "), Err(TypedWrong::Empty));
        assert!(matches!(parse("abc"), Err(TypedWrong::NoNumber(_))));
        assert!(matches!(parse("3,500"), Err(TypedWrong::TwoWays(_))));
        assert!(matches!(parse("3.5 furlong"), Err(TypedWrong::UnknownUnit(_))));
        assert!(matches!(parse("1/3 psi"), Err(TypedWrong::Fraction(_))));
        assert!(matches!(parse("1/0"), Err(TypedWrong::Fraction(_))));
        assert!(matches!(parse("3.5.1"), Err(TypedWrong::NoNumber(_))));
        assert!(matches!(parse("99999999999999999999"), Err(TypedWrong::TooLong(_))));
        assert!(matches!(parse("1e5"), Err(TypedWrong::UnknownUnit(_))));
        assert!(matches!(parse("3 5"), Err(TypedWrong::NoNumber(_))));
        assert!(matches!(parse("nan"), Err(TypedWrong::NoNumber(_))));
    }

    #[test]
    fn a_field_reads_shared_spellings_its_own_way() {
        assert_eq!(parse_in("55 F", Unit::DeltaF).unwrap().1, Unit::DeltaF);
        assert_eq!(parse_in("2 lbs", Unit::InWc).unwrap().1, Unit::Psi);
        assert!(matches!(parse_in("5 psi", Unit::F), Err(TypedWrong::WrongKind { .. })));
    }

    #[test]
    fn no_text_of_hostile_letters_panics() {
        let letters: Vec<char> = "0123456789.,/:-+ ½\"'infpswc%µΩ−\u{2044}\0é".chars().collect();
        let mut state = 7_u64;
        for _ in 0..20_000 {
            let mut text = String::new();
            for _ in 0..state % 12 {
                state = state.wrapping_mul(6364136223846793005).wrapping_add(1442695040888963407);
                let at = usize::try_from(state >> 33).unwrap() % letters.len();
                text.push(letters[at]);
            }
            state = state.wrapping_mul(6364136223846793005).wrapping_add(1442695040888963407);
            if let Ok(typed) = parse(&text) {
                assert!(typed.value.to_f64().is_finite());
            }
        }
    }
}
