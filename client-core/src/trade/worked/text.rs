//! A sheet as plain lines, for a terminal or a slip.

use crate::trade::quantity::Amount;
use crate::trade::unit::System;
use crate::trade::unit::show::places;
use crate::trade::worked::{Line, Region, Sheet};

/// Width of the column of names.
const NAMES: usize = 38;

/// The sheet in the units that a person reads, a line each.
///
/// ```
/// use client_core::trade::calc::run;
/// use client_core::trade::unit::System;
/// use client_core::trade::worked::text::lines;
/// let sheet = run("output", &[("input", "200 MBH"), ("efficiency", "79.5")]).unwrap();
/// let text = lines(&sheet, System::Us).join("\n");
/// assert!(text.contains("output") && text.contains("159000 Btu/h"), "{text}");
/// ```
pub fn lines(sheet: &Sheet, system: System) -> Vec<String> {
    let mut text = vec![format!("{} ({})", sheet.formula.name, sheet.formula.stamp())];
    section(&mut text, "from", &sheet.inputs, system);
    for (key, default) in &sheet.defaults {
        text.push(format!("    {key} was not typed: {default} stands in"));
    }
    section(&mut text, "steps", &sheet.steps, system);
    if !sheet.results.is_empty() {
        text.push("  comes to".to_owned());
    }
    for line in &sheet.results {
        text.push(one(line, system));
        let spread = sheet.spreads.iter().find(|spread| spread.key == line.key);
        if let Some(spread) = spread {
            let width = if spread.drawn {
                format!("{} to {}", shown(spread.low, system), shown(spread.high, system))
            } else {
                format!("give or take {}", difference(spread.expanded, line.amount, system))
            };
            let mostly = match &spread.mostly {
                Some((name, share)) => format!(", mostly {name} ({share:.0} %)"),
                None => String::new(),
            };
            text.push(format!("      {width}, 95 in 100 ({}{mostly})", spread.method));
        }
        for rule in sheet.rules.iter().filter(|rule| rule.beside == line.key) {
            text.push(format!(
                "      rule of thumb, {}: {}, {} from it ({})",
                rule.name,
                shown(rule.amount, system),
                difference(rule.gap, line.amount, system),
                rule.source,
            ));
        }
    }
    for finding in &sheet.findings {
        text.push(format!("  {finding}"));
    }
    text.push(format!("  formula: {}", sheet.formula.expression));
    text.push(format!("  source: {}", sheet.formula.source));
    text.push(format!("  holds for: {}", sheet.formula.range));
    if let Region::Outside(why) = sheet.region {
        text.push(format!("  outside its range: {why}"));
    }
    for caution in &sheet.cautions {
        text.push(format!("  note: {caution}"));
    }
    text
}

fn section(text: &mut Vec<String>, title: &str, lines: &[Line], system: System) {
    if !lines.is_empty() {
        text.push(format!("  {title}"));
        text.extend(lines.iter().map(|line| one(line, system)));
    }
}

fn one(line: &Line, system: System) -> String {
    let amount = shown(line.amount, system);
    let how = if line.how.is_empty() { String::new() } else { format!("   {}", line.how) };
    format!("    {:NAMES$} {amount}{how}", line.name)
}

fn shown(amount: Amount, system: System) -> String {
    let own = amount.to(system.unit_for(amount.unit)).unwrap_or(amount);
    own.show(digits(own))
}

/// Enough decimals that a small figure keeps two digits that say something.
fn digits(amount: Amount) -> u8 {
    let mut digits = places(amount.unit);
    while digits < 8
        && amount.value != 0.0
        && amount.value.abs() < 10_f64.powi(1 - i32::from(digits))
    {
        digits += 1;
    }
    digits
}

/// A width beside an amount, in the unit in which the amount is shown: no offset of a scale in it.
fn difference(width: Amount, beside: Amount, system: System) -> String {
    let unit = system.unit_for(beside.unit);
    let to = |value: f64| width.unit.convert(value, unit).unwrap_or(value);
    let own = Amount::new(to(width.value) - to(0.0), unit);
    own.show(digits(own))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::trade::unit::Unit;

    #[test]
    fn a_width_on_a_temperature_scale_has_no_offset() {
        let width = Amount::new(9.0, Unit::F);
        assert_eq!(difference(width, Amount::new(212.0, Unit::F), System::Si), "5.0 C");
    }

    #[test]
    fn small_figures_keep_digits() {
        assert_eq!(shown(Amount::new(0.0421, Unit::Pct), System::Us), "0.042 %");
        assert_eq!(shown(Amount::new(0.0, Unit::Pct), System::Us), "0.0 %");
    }
}
