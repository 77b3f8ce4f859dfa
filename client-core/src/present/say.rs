//! The one who says things: knows names, and in which units a person reads.

use crate::record::field::{Field, FieldValue};
use crate::record::id::{ApplianceId, EntryId, PersonId};
use crate::record::phrase::{English, Phrase, Tongue};
use crate::record::value::{Figure, Measured};
use crate::trade::quantity::Amount;
use crate::trade::unit::System;
use crate::trade::unit::show::places;

/// Names for what records only number.
pub trait Names {
    /// A person's name, or the short id where none is known.
    fn person(&self, person: PersonId) -> String;
    /// A unit's number on the column, or the short id where none is known.
    fn unit(&self, appliance: ApplianceId) -> String;
    /// What an entry is called by people: an area's label, an instrument's.
    fn entry(&self, entry: EntryId) -> Option<String>;
    /// The language that things are said in.
    fn tongue(&self) -> &dyn Tongue {
        &English
    }
}

/// Says things in words.
#[derive(Clone, Copy)]
pub struct Say<'a> {
    /// Names.
    pub names: &'a dyn Names,
    /// Units to show figures in; none shows each figure as it was typed.
    pub system: Option<System>,
}

impl std::fmt::Debug for Say<'_> {
    fn fmt(&self, out: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        out.debug_struct("Say").field("system", &self.system).finish_non_exhaustive()
    }
}

/// An entry's number, short: six characters of its session and its count there.
pub fn short(entry: EntryId) -> String {
    let session: String = entry.actor.to_string().chars().take(6).collect();
    format!("{session}.{}", entry.n)
}

/// A figure in the units of a system: digits as typed where the unit is one of the system's own.
pub fn figure(figure: Figure, system: Option<System>) -> String {
    let typed = figure.to_string();
    let (Some(system), Some(unit)) = (system, figure.unit.unit()) else { return typed };
    let own = system.unit_for(unit);
    if own == unit {
        return typed;
    }
    match unit.convert(figure.digits.to_f64(), own) {
        Some(value) => Amount::new(value, own).show(digits(value, places(own))),
        None => typed,
    }
}

/// An amount in the units of a system.
pub fn amount(amount: Amount, system: Option<System>) -> String {
    let own = system.and_then(|system| amount.to(system.unit_for(amount.unit))).unwrap_or(amount);
    own.show(digits(own.value, places(own.unit)))
}

/// Enough decimals that a small figure keeps two digits that say something.
fn digits(value: f64, usual: u8) -> u8 {
    let mut digits = usual;
    while digits < 8 && value != 0.0 && value.abs() < 10_f64.powi(1 - i32::from(digits)) {
        digits += 1;
    }
    digits
}

impl Say<'_> {
    /// A figure.
    pub fn figure(&self, of: Figure) -> String {
        figure(of, self.system)
    }

    /// An amount.
    pub fn amount(&self, of: Amount) -> String {
        amount(of, self.system)
    }

    /// One of the program's own words.
    pub fn t<'w>(&self, english: &'w str) -> &'w str {
        self.names.tongue().word(english)
    }

    /// Words with gaps.
    pub fn fill(&self, english: &str, with: &[&str]) -> String {
        self.names.tongue().fill(english, with)
    }

    /// A sentence of the core.
    pub fn phrase(&self, phrase: &Phrase) -> String {
        phrase.say(self.names.tongue())
    }

    /// A measured value.
    pub fn measured(&self, value: &Measured) -> String {
        match value {
            Measured::Figure(of) => self.figure(*of),
            Measured::OverRange(unit) => self.fill("over range ({})", &[&unit.symbol()]),
            Measured::NotTaken(why) => self.fill("could not take: {}", &[self.t(why)]),
        }
    }

    /// A register's value.
    pub fn value(&self, field: &Field, value: &FieldValue) -> String {
        match value {
            FieldValue::Figure(of) => self.figure(*of),
            FieldValue::Person(person) => self.names.person(*person),
            FieldValue::Appliance(appliance) => self.names.unit(*appliance),
            FieldValue::Entry(entry) => self.entry(*entry),
            other => self.t(&field.show(other)).to_owned(),
        }
    }

    /// An entry by its name, or its short number.
    pub fn entry(&self, entry: EntryId) -> String {
        self.names.entry(entry).unwrap_or_else(|| short(entry))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::record::code::unit::UnitCode;

    #[test]
    fn digits_stay_as_typed_in_their_own_system() {
        let typed = Figure::new(350, 2, UnitCode(1));
        assert_eq!(figure(typed, None), "3.50 in w.c.");
        assert_eq!(figure(typed, Some(System::Us)), "3.50 in w.c.");
        assert_eq!(figure(typed, Some(System::Si)), "8.72 mbar");
        assert_eq!(figure(Figure::new(72, 0, UnitCode(15)), Some(System::Si)), "22 C");
        assert_eq!(figure(Figure::new(7, 0, UnitCode(999)), Some(System::Si)), "7 unit 999");
    }
}
