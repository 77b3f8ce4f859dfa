//! The language and the units of a report, and everything that is said in them.
//!
//! All words stand in Fluent files beside this room, one folder a language, compiled in. What a person typed
//! is never translated: it goes through as it is and is marked as typed.

mod bundle;
mod number;
mod phrase;

pub use phrase::Phrase;
pub(crate) use phrase::say;

use crate::text::Text;
use crate::vocabulary::Word;
use client_core::present::plain;
use client_core::record::code::unit::UnitCode;
use client_core::record::field::Field;
use client_core::record::value::{Day, Figure, Measured, Moment};
use client_core::trade::quantity::Amount;
use client_core::trade::unit::{Decimal, System, Unit};

/// A language in which reports exist.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Language {
    /// English of North America.
    English,
    /// French that is read in Canada and in France.
    French,
    /// Spanish of the Americas.
    Spanish,
}

impl Language {
    /// Every language.
    pub const ALL: [Language; 3] = [Language::English, Language::French, Language::Spanish];

    /// The code of ISO 639-1, as commands, pages and files name it.
    pub const fn key(self) -> &'static str {
        match self {
            Language::English => "en",
            Language::French => "fr",
            Language::Spanish => "es",
        }
    }

    /// The language with this code.
    ///
    /// ```
    /// use reports::Language;
    /// assert_eq!(Language::from_key("fr"), Some(Language::French));
    /// assert_eq!(Language::from_key("tlh"), None);
    /// ```
    pub fn from_key(key: &str) -> Option<Language> {
        Language::ALL.into_iter().find(|language| language.key() == key)
    }
}

/// Who says a report: a language, and the units in which figures are shown.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Tongue {
    /// The language.
    pub language: Language,
    /// The units. A figure that was typed in one of them keeps its digits.
    pub system: System,
}

/// Joins a number and its unit, so that no line ends between them.
pub const JOINT: char = '\u{a0}';

impl Tongue {
    /// A tongue.
    pub const fn new(language: Language, system: System) -> Tongue {
        Tongue { language, system }
    }

    /// The message with this key, without arguments. A key that no file has comes back in angle brackets.
    pub fn plain(self, key: &str) -> String {
        bundle::message(self.language, key, None)
    }

    /// Whether there is such a message.
    pub fn knows(self, key: &str) -> bool {
        bundle::has(self.language, key)
    }

    /// A word of a closed list.
    pub fn word<W: Word>(self, word: W) -> String {
        match word.key() {
            Some(key) => self.plain(&format!("{}-{key}", W::LIST)),
            None => self.plain("newer-word"),
        }
    }

    /// The name of a register.
    pub fn field(self, field: &Field) -> String {
        self.plain(&format!("field-{}", field_key(field.def.key)))
    }

    /// A cause of the fault tables, as the trade says it. A key that the tables do not have comes as typed.
    pub fn cause(self, key: &str) -> Text {
        self.of_table("cause", key)
    }

    /// A symptom of the fault tables.
    pub fn symptom(self, key: &str) -> Text {
        self.of_table("symptom", key)
    }

    /// A cause in words for somebody who does not repair heaters.
    pub fn plain_cause(self, key: &str) -> Text {
        self.of_table("plain", key)
    }

    fn of_table(self, list: &str, key: &str) -> Text {
        let message = format!("{list}-{key}");
        let tidy = key.chars().all(|letter| letter.is_ascii_alphanumeric() || letter == '_');
        if tidy && self.knows(&message) {
            Text::words(self.plain(&message))
        } else {
            self.quoted(key)
        }
    }

    /// What a person typed, in the quotation marks of the language.
    pub fn quoted(self, typed: &str) -> Text {
        let (open, close) = match self.language {
            Language::English => ("\u{201c}".to_owned(), "\u{201d}".to_owned()),
            Language::French => (format!("\u{ab}{JOINT}"), format!("{JOINT}\u{bb}")),
            Language::Spanish => ("\u{ab}".to_owned(), "\u{bb}".to_owned()),
        };
        Text::words(open).and(Text::typed(typed)).and(Text::words(close))
    }

    /// A figure in the tongue's units: digits as typed where the unit is one of the system's own.
    pub fn figure(self, figure: Figure) -> String {
        match self.in_system(figure) {
            Some((digits, unit)) => self.with_unit(&digits, unit),
            None => format!(
                "{}{JOINT}{}",
                number::local(self.language, &figure.digits.to_string()),
                plain::line(&figure.unit.symbol())
            ),
        }
    }

    /// The digits of a figure alone, and the unit they are in.
    pub fn digits(self, figure: Figure) -> (String, Option<Unit>) {
        match self.in_system(figure) {
            Some((digits, unit)) => (number::local(self.language, &digits), Some(unit)),
            None => (number::local(self.language, &figure.digits.to_string()), None),
        }
    }

    fn in_system(self, figure: Figure) -> Option<(String, Unit)> {
        let unit = figure.unit.unit()?;
        let own = self.system.unit_for(unit);
        if own == unit {
            return Some((figure.digits.to_string(), unit));
        }
        let value = unit.convert(figure.digits.to_f64(), own)?;
        Some((number::shown(value, own), own))
    }

    /// An amount in the tongue's units, with the decimals that suit its usual instrument.
    pub fn amount(self, amount: Amount) -> String {
        let own = amount.to(self.system.unit_for(amount.unit)).unwrap_or(amount);
        self.with_unit(&number::shown(own.value, own.unit), own.unit)
    }

    /// The digits of an amount alone.
    pub fn amount_digits(self, amount: Amount) -> String {
        let own = amount.to(self.system.unit_for(amount.unit)).unwrap_or(amount);
        number::local(self.language, &number::shown(own.value, own.unit))
    }

    /// A number of its own, for example a count.
    pub fn count(self, count: usize) -> String {
        number::local(self.language, &count.to_string())
    }

    /// An exact decimal without a unit.
    pub fn decimal(self, decimal: Decimal) -> String {
        number::local(self.language, &decimal.to_string())
    }

    /// A plain number with so many decimals.
    pub fn number(self, value: f64, places: u8) -> String {
        number::local(self.language, &client_core::trade::unit::show::figure(value, places))
    }

    fn with_unit(self, digits: &str, unit: Unit) -> String {
        let digits = number::local(self.language, digits);
        match self.unit(unit) {
            symbol if symbol.is_empty() => digits,
            symbol => format!("{digits}{JOINT}{symbol}"),
        }
    }

    /// The symbol of a unit; empty for counts and ratios.
    pub fn unit(self, unit: Unit) -> String {
        match unit {
            Unit::N | Unit::Ratio => String::new(),
            unit if self.knows(&format!("unit-{}", unit.key())) => {
                self.plain(&format!("unit-{}", unit.key()))
            }
            unit => unit.symbol().to_owned(),
        }
    }

    /// A unit in full, for people who do not measure; the symbol where there are no such words.
    pub fn unit_in_full(self, unit: Unit) -> String {
        let key = format!("unit_plain-{}", unit.key());
        if self.knows(&key) { self.plain(&key) } else { self.unit(unit) }
    }

    /// The unit in which a figure of this stored unit is shown.
    pub fn shown_unit(self, unit: UnitCode) -> Option<Unit> {
        unit.unit().map(|unit| self.system.unit_for(unit))
    }

    /// A measured value: a figure, "over range", or why there is none.
    pub fn measured(self, value: &Measured) -> Text {
        match value {
            Measured::Figure(figure) => Text::words(self.figure(*figure)),
            Measured::OverRange(_) => Text::words(self.plain("measured-over_range")),
            Measured::NotTaken(why) => Text::words(self.plain("measured-not_taken"))
                .and(Text::words(" "))
                .and(self.quoted(why)),
        }
    }

    /// A day in full: "14 October 2025". The month is a word, so that no order is mistaken.
    pub fn day(self, day: Day) -> String {
        let (year, month, of_month) = day.ymd();
        let month = self.plain(&format!("month-{month}"));
        let first = of_month == 1 && self.language == Language::French;
        let of_month = if first { "1er".to_owned() } else { of_month.to_string() };
        match self.language {
            Language::Spanish => format!("{of_month}{JOINT}de {month} de {year}"),
            _ => format!("{of_month}{JOINT}{month} {year}"),
        }
    }

    /// A month and year: "Oct 2025".
    pub fn month(self, day: Day) -> String {
        let (year, month, _) = day.ymd();
        format!("{}{JOINT}{year}", self.plain(&format!("month_short-{month}")))
    }

    /// One or two days in full.
    pub fn days(self, first: Day, last: Option<Day>) -> String {
        match last.filter(|last| *last > first) {
            None => self.day(first),
            Some(last) => {
                let (first, last) = (self.day(first), self.day(last));
                say!(self, "days-from_to", first = first, last = last)
            }
        }
    }

    /// A moment by the clock of the one who entered it, to the minute: "14 Oct 2025, 10:20".
    pub fn moment(self, moment: Moment) -> String {
        let (year, month, of_month) = moment.day().ymd();
        let month = self.plain(&format!("month_short-{month}"));
        format!("{of_month}{JOINT}{month}{JOINT}{year}, {}", self.clock(moment))
    }

    /// The time of day alone.
    pub fn clock(self, moment: Moment) -> String {
        let clock = moment.clock();
        match self.language {
            Language::French => clock.replace(':', &format!("{JOINT}h{JOINT}")),
            _ => clock,
        }
    }

    /// Words joined by commas and an "and".
    pub fn list(self, parts: &[String]) -> String {
        match parts {
            [] => String::new(),
            [one] => one.clone(),
            [first @ .., last] => {
                say!(self, "list-and", first = first.join(", "), last = last.clone())
            }
        }
    }

    /// Begins a sentence whose arguments may be what a person typed.
    pub fn phrase(self, key: &'static str) -> Phrase {
        Phrase::new(self, key)
    }
}

/// The part of a message's key that names a register.
pub(crate) fn field_key(key: &str) -> String {
    key.replace("/{}/", "_").replace('/', "_")
}

#[cfg(test)]
mod tests;
