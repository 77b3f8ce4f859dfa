//! Numbers as each language writes them.

use super::{JOINT, Language};
use client_core::trade::unit::Unit;
use client_core::trade::unit::show::{figure, places};

/// The minus sign of running text.
pub(super) const MINUS: char = '\u{2212}';

/// Digits with a point, as a language writes them: decimal comma in French and Spanish, long whole parts in
/// groups of three. A group is parted by a blank there, never by a point, so that no 1.160 is read as 1.16.
pub(super) fn local(language: Language, digits: &str) -> String {
    let (sign, digits) = match digits.strip_prefix('-') {
        Some(rest) => (MINUS.to_string(), rest),
        None => (String::new(), digits),
    };
    let (whole, behind) = digits.split_once('.').map_or((digits, None), |(a, b)| (a, Some(b)));
    if !whole.bytes().all(|letter| letter.is_ascii_digit()) {
        return format!("{sign}{digits}");
    }
    let (comma, least, between) = match language {
        Language::English => ('.', 4, ','),
        Language::French | Language::Spanish => (',', 5, JOINT),
    };
    let whole = if whole.len() >= least { grouped(whole, between) } else { whole.to_owned() };
    match behind {
        Some(behind) => format!("{sign}{whole}{comma}{behind}"),
        None => format!("{sign}{whole}"),
    }
}

fn grouped(whole: &str, between: char) -> String {
    let mut out = String::new();
    for (at, letter) in whole.chars().enumerate() {
        if at > 0 && (whole.len() - at).is_multiple_of(3) {
            out.push(between);
        }
        out.push(letter);
    }
    out
}

/// A value with the decimals that suit its unit, and more where a small figure would lose its digits.
pub(super) fn shown(value: f64, unit: Unit) -> String {
    let mut digits = places(unit);
    while digits < 8 && value != 0.0 && value.abs() < 10_f64.powi(1 - i32::from(digits)) {
        digits += 1;
    }
    figure(value, digits)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_language_writes_numbers_its_own_way() {
        let all = |digits| Language::ALL.map(|language| local(language, digits));
        assert_eq!(all("3.50"), ["3.50", "3,50", "3,50"]);
        assert_eq!(all("-0.92"), ["\u{2212}0.92", "\u{2212}0,92", "\u{2212}0,92"]);
        assert_eq!(all("1160"), ["1,160", "1160", "1160"]);
        assert_eq!(all("186000"), ["186,000", "186\u{a0}000", "186\u{a0}000"]);
        assert_eq!(all("no figure"), ["no figure"; 3]);
    }

    #[test]
    fn a_small_figure_keeps_its_digits() {
        assert_eq!(shown(0.028 * 2.4908891, Unit::Mbar), "0.070");
        assert_eq!(shown(8.718, Unit::Mbar), "8.72");
    }
}
