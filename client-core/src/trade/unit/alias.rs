//! The spellings of units that people type, beside the stable keys.

use crate::trade::unit::Unit;

/// Spellings after folding: lower case, no spaces, no full stops, typographic signs made plain.
const SPELLINGS: &[(&str, Unit)] = &[
    ("inwc", Unit::InWc),
    ("in_wc", Unit::InWc),
    ("\"wc", Unit::InWc),
    ("inh2o", Unit::InWc),
    ("\"h2o", Unit::InWc),
    ("wc", Unit::InWc),
    ("iwc", Unit::InWc),
    ("inwg", Unit::InWc),
    ("\"wg", Unit::InWc),
    ("incheswc", Unit::InWc),
    ("inchwc", Unit::InWc),
    ("inchesofwater", Unit::InWc),
    ("incheswatercolumn", Unit::InWc),
    ("mmwc", Unit::MmWc),
    ("mmh2o", Unit::MmWc),
    ("lb/in2", Unit::Psi),
    ("lbs", Unit::Lb),
    ("pounds", Unit::Lb),
    ("pound", Unit::Lb),
    ("oz", Unit::OzIn2),
    ("oz/in2", Unit::OzIn2),
    ("osi", Unit::OzIn2),
    ("hpa", Unit::Mbar),
    ("mb", Unit::Mbar),
    ("\"hg", Unit::Inhg),
    ("degf", Unit::F),
    ("°f", Unit::F),
    ("fahrenheit", Unit::F),
    ("degc", Unit::C),
    ("°c", Unit::C),
    ("celsius", Unit::C),
    ("kelvin", Unit::K),
    ("ft3/h", Unit::Cfh),
    ("ft3/hr", Unit::Cfh),
    ("cf/h", Unit::Cfh),
    ("cuft/h", Unit::Cfh),
    ("ft3/min", Unit::Cfm),
    ("cf/min", Unit::Cfm),
    ("m3/h", Unit::M3H),
    ("m3/s", Unit::M3S),
    ("sm3/h", Unit::Sm3H),
    ("l/s", Unit::LS),
    ("l/min", Unit::LMin),
    ("gal/min", Unit::Gpm),
    ("btu/h", Unit::BtuH),
    ("btu/hr", Unit::BtuH),
    ("btuh", Unit::BtuH),
    ("mbtuh", Unit::Mbh),
    ("mbtu/h", Unit::Mbh),
    ("kbtu/h", Unit::Mbh),
    ("kbtuh", Unit::Mbh),
    ("mmbtu/h", Unit::MmbtuH),
    ("mmbtuh", Unit::MmbtuH),
    ("watt", Unit::W),
    ("watts", Unit::W),
    ("kj/h", Unit::KjH),
    ("therms", Unit::Therm),
    ("btu/ft3", Unit::BtuFt3),
    ("btu/cf", Unit::BtuFt3),
    ("btu/scf", Unit::BtuFt3),
    ("mj/m3", Unit::MjM3),
    ("kwh/m3", Unit::KwhM3),
    ("btu/lb", Unit::BtuLb),
    ("kj/kg", Unit::KjKg),
    ("kj/mol", Unit::KjMol),
    ("\"", Unit::In),
    ("inch", Unit::In),
    ("inches", Unit::In),
    ("'", Unit::Ft),
    ("foot", Unit::Ft),
    ("feet", Unit::Ft),
    ("metre", Unit::M),
    ("meter", Unit::M),
    ("sqin", Unit::In2),
    ("sqft", Unit::Ft2),
    ("cf", Unit::Ft3),
    ("cuft", Unit::Ft3),
    ("gallon", Unit::Gal),
    ("gallons", Unit::Gal),
    ("lb/h", Unit::LbH),
    ("kg/h", Unit::KgH),
    ("kg/s", Unit::KgS),
    ("lb/ft3", Unit::LbFt3),
    ("kg/m3", Unit::KgM3),
    ("g/mol", Unit::GMol),
    ("pas", Unit::PaS),
    ("microamp", Unit::Ua),
    ("microamps", Unit::Ua),
    ("uadc", Unit::Ua),
    ("milliamp", Unit::Ma),
    ("milliamps", Unit::Ma),
    ("amp", Unit::A),
    ("amps", Unit::A),
    ("mvdc", Unit::Mv),
    ("millivolts", Unit::Mv),
    ("volt", Unit::V),
    ("volts", Unit::V),
    ("vac", Unit::V),
    ("vdc", Unit::V),
    ("ohms", Unit::Ohm),
    ("ω", Unit::Ohm),
    ("kω", Unit::Kohm),
    ("mω", Unit::Mohm),
    ("megohm", Unit::Mohm),
    ("megohms", Unit::Mohm),
    ("sec", Unit::S),
    ("secs", Unit::S),
    ("seconds", Unit::S),
    ("minute", Unit::Min),
    ("minutes", Unit::Min),
    ("hr", Unit::H),
    ("hrs", Unit::H),
    ("hour", Unit::H),
    ("hours", Unit::H),
    ("days", Unit::Day),
    ("m/s", Unit::MS),
    ("km/h", Unit::KmH),
    ("ft/min", Unit::Fpm),
    ("%", Unit::Pct),
    ("percent", Unit::Pct),
    ("%dry", Unit::Pct),
    ("pct_dry", Unit::Pct),
    ("ppm_dry", Unit::Ppm),
    ("ppmdry", Unit::Ppm),
    ("%lel", Unit::PctLel),
    ("lel", Unit::PctLel),
    ("ft3/mmbtu", Unit::Ft3Mmbtu),
    ("m3/j", Unit::M3J),
    ("gr/lb", Unit::GrLb),
    ("kg/kg", Unit::KgKg),
];

/// Unit of a spelling, or `None` where nobody would write a unit so.
///
/// ```
/// use client_core::trade::unit::{alias::spelled, Unit};
/// assert_eq!(spelled("in. W.C."), Some(Unit::InWc));
/// assert_eq!(spelled("µA"), Some(Unit::Ua));
/// ```
pub fn spelled(text: &str) -> Option<Unit> {
    let folded = fold(text);
    let found = SPELLINGS.iter().find(|(spelling, _)| *spelling == folded);
    found.map(|(_, unit)| *unit).or_else(|| Unit::from_key(&folded))
}

fn fold(text: &str) -> String {
    let mut folded = String::with_capacity(text.len());
    for letter in text.chars().flat_map(char::to_lowercase) {
        match letter {
            ' ' | '.' | '\u{a0}' | '\t' => {}
            '\u{201d}' | '\u{201c}' | '\u{2033}' => folded.push('"'),
            '\u{2019}' | '\u{2032}' => folded.push('\''),
            'µ' | 'μ' => folded.push('u'),
            'º' => folded.push('°'),
            '³' => folded.push('3'),
            '²' => folded.push('2'),
            other => folded.push(other),
        }
    }
    folded
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn spellings_are_folded_already_and_unique() {
        let mut seen = std::collections::BTreeSet::new();
        for (spelling, _) in SPELLINGS {
            assert_eq!(fold(spelling), *spelling);
            assert!(seen.insert(*spelling), "{spelling} twice");
        }
    }

    #[test]
    fn every_printed_symbol_is_understood() {
        for unit in Unit::ALL.iter().filter(|unit| !unit.symbol().is_empty()) {
            let unclear = ["in w.c. (39 F)", "in w.c. (60 F)", "F d", "C d", "d", "boiler hp"];
            if unclear.contains(&unit.symbol()) || unit.symbol().starts_with("per ") {
                continue;
            }
            let read = spelled(unit.symbol()).map(Unit::symbol);
            assert_eq!(read, Some(unit.symbol()), "{unit:?}");
        }
    }
}
