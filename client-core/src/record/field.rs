//! Settled values: one register for each flat root key, and what is known about each key.
//!
//! Layout: key `<group>/<name>` or `<group>/<of>/<name>`; the value is a bytes scalar of one version
//! byte and a CBOR array of the stamp and a map {entry id, value, reason, over}. It carries its own
//! entry id, person and time, so that no two writes are ever equal bytes: automerge would turn a put
//! of the shown value into a bare delete of the losers, and a settlement would vanish.

mod table;
mod value;

use std::fmt;

pub use table::FIELDS;
pub use value::{FieldValue, Said, TEXT_MAX, ValueWrong, decode, encode};

use crate::record::body::Home;
use crate::record::id::{ApplianceId, EntryId, PersonId};
use crate::trade::unit::Unit;

/// What a register holds.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Holds {
    /// Words of at most 2,000 characters.
    Text,
    /// A figure in a unit of this kind, plausible between the two numbers of the definition.
    Figure(Unit),
    /// A word of a list.
    Word(WordList),
    /// A day.
    Day,
    /// A person of the directory.
    Person,
    /// An entry: an area, a position, a photo, a found block.
    Entry,
    /// An appliance.
    Appliance,
    /// Yes or no.
    Flag,
}

/// Which list a word register takes its words from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum WordList {
    /// [`crate::record::code::Status`].
    Status,
    /// [`crate::record::code::Gas`].
    Gas,
    /// [`crate::record::code::Family`].
    Family,
    /// [`crate::record::code::AdvisorySeverity`].
    Severity,
    /// [`crate::record::code::VentCategory`].
    Vent,
    /// [`crate::record::code::Mount`].
    Mount,
    /// [`crate::record::code::Outcome`].
    Outcome,
    /// [`crate::record::code::VisitKind`].
    VisitKind,
    /// [`crate::record::code::QuestionState`].
    QuestionState,
    /// [`crate::record::code::Role`].
    Role,
    /// [`crate::record::code::Root`].
    Root,
    /// [`crate::record::code::Decision`].
    Decision,
}

/// Which of two unsettled values governs.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Merge {
    /// Both are shown; the one with the higher operation counter stands first.
    Plain,
    /// The more careful word governs, by this order: the first of the list is the most careful.
    Careful(&'static [u16]),
    /// The smaller figure governs.
    Smaller,
    /// The larger figure governs.
    Larger,
    /// The figure farther from zero governs.
    Farther,
    /// No value governs until it is settled; what depends on it is not judged.
    Undecided,
}

impl Merge {
    /// Whether this is a safety field, whose caution may be raised by anyone and lowered only with a
    /// reason.
    pub const fn cautious(self) -> bool {
        !matches!(self, Merge::Plain)
    }
}

/// What is known about a register.
#[derive(Debug)]
pub struct FieldDef {
    /// Key; `{}` stands for what it is about.
    pub key: &'static str,
    /// The document it lives in.
    pub home: Home,
    /// What it holds.
    pub holds: Holds,
    /// How two values join.
    pub merge: Merge,
    /// Least and greatest plausible figure, in the unit of `holds`. A question, never a hard stop.
    pub range: Option<(f64, f64)>,
    /// What a person reads.
    pub says: &'static str,
}

/// What a register is about, within its document.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Of {
    /// An entry: an area, an advisory, a question, a finding, an instrument.
    Entry(EntryId),
    /// An appliance, in the plan of a visit.
    Appliance(ApplianceId),
    /// A person.
    Person(PersonId),
}

impl fmt::Display for Of {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Of::Entry(entry) => write!(out, "{}.{}", entry.actor.hex(), entry.n),
            Of::Appliance(appliance) => write!(out, "{appliance}"),
            Of::Person(person) => write!(out, "{person}"),
        }
    }
}

/// One register of one document.
#[derive(Clone, Copy, Debug)]
pub struct Field {
    /// What is known about it.
    pub def: &'static FieldDef,
    /// What it is about, for keys with `{}`.
    pub of: Option<Of>,
}

impl PartialEq for Field {
    fn eq(&self, other: &Field) -> bool {
        self.def.key == other.def.key && self.of == other.of
    }
}

impl Field {
    /// The register with this key pattern.
    ///
    /// # Panics
    /// If the table has no such key: callers name keys of the table.
    pub fn named(key: &str) -> Field {
        let def = FIELDS.iter().find(|def| def.key == key);
        Field {
            def: def.expect("the table of fields holds every key that the program names"),
            of: None,
        }
    }

    /// The same register, about something.
    #[must_use]
    pub fn about(self, of: Of) -> Field {
        Field { of: Some(of), ..self }
    }

    /// The document key.
    pub fn key(&self) -> String {
        match self.of {
            Some(of) => self.def.key.replace("{}", &of.to_string()),
            None => self.def.key.to_owned(),
        }
    }

    /// The register of a document key, if this version knows one.
    pub fn from_key(key: &str) -> Option<Field> {
        if let Some(def) = FIELDS.iter().find(|def| def.key == key) {
            return Some(Field { def, of: None });
        }
        let (group, rest) = key.split_once('/')?;
        let (middle, name) = rest.split_once('/')?;
        let def = FIELDS.iter().find(|def| {
            def.key.split_once("/{}/").is_some_and(|(known, of)| known == group && of == name)
        })?;
        let field = Field { def, of: Some(of(group, middle)?) };
        (field.key() == key).then_some(field)
    }
}

fn of(group: &str, text: &str) -> Option<Of> {
    if let Some((actor, n)) = text.split_once('.') {
        let actor = crate::record::id::ActorHalf::from_hex(actor)?;
        return Some(Of::Entry(EntryId { actor, n: n.parse().ok()? }));
    }
    match group {
        "person" => text.parse().ok().map(Of::Person),
        _ => text.parse().ok().map(Of::Appliance),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::record::id::ActorHalf;

    #[test]
    fn keys_are_unique_and_found_again() {
        let mut seen = std::collections::BTreeSet::new();
        for def in FIELDS {
            assert!(seen.insert(def.key), "{} twice", def.key);
            let field = Field { def, of: None };
            let field = if def.key.contains("{}") {
                field.about(Of::Entry(EntryId { actor: ActorHalf([9; 8]), n: 7 }))
            } else {
                field
            };
            assert_eq!(Field::from_key(&field.key()), Some(field), "{}", def.key);
        }
        assert_eq!(Field::from_key("plate/none_such"), None);
    }

    #[test]
    fn ranges_stand_only_with_figures() {
        for def in FIELDS {
            assert_eq!(def.range.is_some(), matches!(def.holds, Holds::Figure(_)), "{}", def.key);
            if let Some((least, most)) = def.range {
                assert!(least < most, "{}", def.key);
            }
        }
    }

    #[test]
    fn no_register_shares_a_group_with_evidence() {
        for def in FIELDS {
            let group = def.key.split('/').next().unwrap();
            assert!(crate::record::body::Kind::from_root(group).is_none(), "{group}");
        }
    }
}
