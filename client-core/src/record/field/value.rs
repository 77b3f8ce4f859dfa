//! Values of registers and their bytes.

use std::fmt;

use minicbor::{Decode, Decoder, Encode, Encoder, decode as dec, encode as enc};

use super::{Field, Holds, WordList};
use crate::record::body::{ENTRY_VERSION, EntryWrong};
use crate::record::code::unit::UnitCode;
use crate::record::code::{
    AdvisorySeverity, Decision, Family, Gas, Mount, Outcome, QuestionState, Role, Root, Status,
    VentCategory, VisitKind,
};
use crate::record::id::{ApplianceId, EntryId, PersonId};
use crate::record::stamp::Stamp;
use crate::record::value::{Day, DayWrong, Figure};
use crate::trade::unit::{TypedWrong, parse_in};

/// Most characters of a text register.
pub const TEXT_MAX: usize = 2_000;

/// What a register may hold.
#[derive(Clone, Debug, PartialEq)]
pub enum FieldValue {
    /// Words.
    Text(String),
    /// A figure as typed.
    Figure(Figure),
    /// The number of a word.
    Word(u16),
    /// A day.
    Day(Day),
    /// A person.
    Person(PersonId),
    /// An entry.
    Entry(EntryId),
    /// An appliance.
    Appliance(ApplianceId),
    /// Yes or no.
    Flag(bool),
}

impl<C> Encode<C> for FieldValue {
    fn encode<W: enc::Write>(
        &self,
        out: &mut Encoder<W>,
        ctx: &mut C,
    ) -> Result<(), enc::Error<W::Error>> {
        out.array(2)?;
        match self {
            FieldValue::Text(text) => out.u8(0)?.str(text)?.ok(),
            FieldValue::Figure(figure) => out.u8(1)?.encode_with(figure, ctx)?.ok(),
            FieldValue::Word(code) => out.u8(2)?.u16(*code)?.ok(),
            FieldValue::Day(day) => out.u8(3)?.encode_with(day, ctx)?.ok(),
            FieldValue::Person(person) => out.u8(4)?.encode_with(person, ctx)?.ok(),
            FieldValue::Entry(entry) => out.u8(5)?.encode_with(entry, ctx)?.ok(),
            FieldValue::Appliance(appliance) => out.u8(6)?.encode_with(appliance, ctx)?.ok(),
            FieldValue::Flag(flag) => out.u8(7)?.bool(*flag)?.ok(),
        }
    }
}

impl<'b, C> Decode<'b, C> for FieldValue {
    fn decode(input: &mut Decoder<'b>, ctx: &mut C) -> Result<Self, dec::Error> {
        if input.array()? != Some(2) {
            return Err(dec::Error::message("not a register's value"));
        }
        Ok(match input.u8()? {
            0 => FieldValue::Text(input.str()?.to_owned()),
            1 => FieldValue::Figure(input.decode_with(ctx)?),
            2 => FieldValue::Word(input.u16()?),
            3 => FieldValue::Day(input.decode_with(ctx)?),
            4 => FieldValue::Person(input.decode_with(ctx)?),
            5 => FieldValue::Entry(input.decode_with(ctx)?),
            6 => FieldValue::Appliance(input.decode_with(ctx)?),
            7 => FieldValue::Flag(input.bool()?),
            _ => return Err(dec::Error::message("a register's value of a newer version")),
        })
    }
}

/// A value as somebody said it.
#[derive(Clone, Debug, PartialEq)]
pub struct Said {
    /// Who and when.
    pub stamp: Stamp,
    /// The entry.
    pub id: EntryId,
    /// The value.
    pub value: FieldValue,
    /// Why, where a reason was given.
    pub reason: Option<String>,
    /// Sides that this one settles or replaces, as the writer saw them.
    pub over: Vec<EntryId>,
    /// True when this was written to settle a difference.
    pub settles: bool,
}

#[derive(Encode, Decode)]
#[cbor(map)]
struct Stored {
    #[n(0)]
    id: EntryId,
    #[n(1)]
    value: FieldValue,
    #[n(2)]
    reason: Option<String>,
    #[n(3)]
    over: Option<Vec<EntryId>>,
    #[n(4)]
    settles: Option<bool>,
}

/// Writes a register's scalar.
pub fn encode(said: &Said) -> Vec<u8> {
    let mut bytes = vec![ENTRY_VERSION];
    let stored = Stored {
        id: said.id,
        value: said.value.clone(),
        reason: said.reason.clone(),
        over: (!said.over.is_empty()).then(|| said.over.clone()),
        settles: said.settles.then_some(true),
    };
    minicbor::encode((&said.stamp, stored), &mut bytes).expect("writing to memory does not fail");
    bytes
}

/// Reads a register's scalar.
pub fn decode(bytes: &[u8]) -> Result<Said, EntryWrong> {
    let (version, rest) =
        bytes.split_first().ok_or_else(|| EntryWrong::Broken("it is empty".to_owned()))?;
    if *version > ENTRY_VERSION {
        return Err(EntryWrong::Newer { found: *version, known: ENTRY_VERSION });
    }
    let mut input = Decoder::new(rest);
    let (stamp, stored): (Stamp, Stored) =
        input.decode().map_err(|wrong| EntryWrong::Broken(wrong.to_string()))?;
    if *version == 0 || input.position() != rest.len() {
        return Err(EntryWrong::Broken("bytes are left over".to_owned()));
    }
    Ok(Said {
        stamp,
        id: stored.id,
        value: stored.value,
        reason: stored.reason,
        over: stored.over.unwrap_or_default(),
        settles: stored.settles.unwrap_or(false),
    })
}

/// Why a text does not fit a register.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum ValueWrong {
    /// Not a number or a wrong unit.
    #[error("{field}: {wrong}")]
    Figure {
        /// The register in words.
        field: &'static str,
        /// What is wrong.
        wrong: TypedWrong,
    },
    /// A unit that records do not store.
    #[error("{field}: figures in {unit} are not kept in records; enter it in {allowed}")]
    Unit {
        /// The register in words.
        field: &'static str,
        /// The unit typed.
        unit: &'static str,
        /// The register's own unit.
        allowed: &'static str,
    },
    /// Not a word of the list.
    #[error("{field}: '{found}' is not one of {allowed}")]
    Word {
        /// The register in words.
        field: &'static str,
        /// What was found.
        found: String,
        /// The list.
        allowed: String,
    },
    /// Not a day.
    #[error("{field}: {wrong}")]
    Day {
        /// The register in words.
        field: &'static str,
        /// What is wrong.
        wrong: DayWrong,
    },
    /// Not an identifier.
    #[error("{field}: '{found}' is not {wanted}")]
    Id {
        /// The register in words.
        field: &'static str,
        /// What was found.
        found: String,
        /// What is wanted.
        wanted: &'static str,
    },
    /// Too many characters.
    #[error("{field}: {found} characters, at most {most} fit; put the rest into a note")]
    Long {
        /// The register in words.
        field: &'static str,
        /// Characters found.
        found: usize,
        /// Characters allowed.
        most: usize,
    },
    /// Nothing typed.
    #[error("{field}: nothing typed")]
    Empty {
        /// The register in words.
        field: &'static str,
    },
}

impl Field {
    /// Reads what a person typed for this register.
    pub fn parse(&self, text: &str) -> Result<FieldValue, ValueWrong> {
        let field = self.def.says;
        let text = text.trim();
        if text.is_empty() {
            return Err(ValueWrong::Empty { field });
        }
        let found = || text.chars().take(80).collect::<String>();
        let id = |wanted| ValueWrong::Id { field, found: found(), wanted };
        Ok(match self.def.holds {
            Holds::Text => {
                let length = text.chars().count();
                if length > TEXT_MAX {
                    return Err(ValueWrong::Long { field, found: length, most: TEXT_MAX });
                }
                FieldValue::Text(text.to_owned())
            }
            Holds::Figure(unit) => {
                let (digits, typed) =
                    parse_in(text, unit).map_err(|wrong| ValueWrong::Figure { field, wrong })?;
                let unit = UnitCode::of(typed).ok_or(ValueWrong::Unit {
                    field,
                    unit: typed.key(),
                    allowed: unit.key(),
                })?;
                FieldValue::Figure(Figure { digits, unit })
            }
            Holds::Word(list) => FieldValue::Word(list.code(text).ok_or_else(|| {
                ValueWrong::Word { field, found: found(), allowed: list.keys().join(", ") }
            })?),
            Holds::Day => {
                FieldValue::Day(Day::parse(text).map_err(|wrong| ValueWrong::Day { field, wrong })?)
            }
            Holds::Person => FieldValue::Person(text.parse().map_err(|_| id("a person id"))?),
            Holds::Entry => FieldValue::Entry(text.parse().map_err(|_| id("an entry id"))?),
            Holds::Appliance => {
                FieldValue::Appliance(text.parse().map_err(|_| id("an appliance id"))?)
            }
            Holds::Flag => FieldValue::Flag(match text {
                "yes" | "true" => true,
                "no" | "false" => false,
                _ => {
                    let allowed = "yes, no".to_owned();
                    return Err(ValueWrong::Word { field, found: found(), allowed });
                }
            }),
        })
    }

    /// Whether a value is of the kind that this register holds.
    pub fn fits(&self, value: &FieldValue) -> bool {
        match (self.def.holds, value) {
            (Holds::Text, FieldValue::Text(text)) => text.chars().count() <= TEXT_MAX,
            (Holds::Figure(unit), FieldValue::Figure(figure)) => {
                figure.unit.unit().is_none_or(|typed| typed.measures(unit.dimension()))
            }
            (Holds::Word(_), FieldValue::Word(_))
            | (Holds::Day, FieldValue::Day(_))
            | (Holds::Person, FieldValue::Person(_))
            | (Holds::Entry, FieldValue::Entry(_))
            | (Holds::Appliance, FieldValue::Appliance(_))
            | (Holds::Flag, FieldValue::Flag(_)) => true,
            _ => false,
        }
    }

    /// A value of this register in words.
    pub fn show(&self, value: &FieldValue) -> String {
        match (self.def.holds, value) {
            (Holds::Word(list), FieldValue::Word(code)) => list.says(*code).to_owned(),
            (_, value) => value.to_string(),
        }
    }

    /// A value of this register as commands and JSON write it.
    pub fn key_of(&self, value: &FieldValue) -> String {
        match (self.def.holds, value) {
            (Holds::Word(list), FieldValue::Word(code)) => list.key(*code).to_owned(),
            (_, value) => value.to_string(),
        }
    }
}

impl fmt::Display for FieldValue {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            FieldValue::Text(text) => out.write_str(text),
            FieldValue::Figure(figure) => figure.fmt(out),
            FieldValue::Word(code) => write!(out, "word {code}"),
            FieldValue::Day(day) => day.fmt(out),
            FieldValue::Person(person) => person.fmt(out),
            FieldValue::Entry(entry) => entry.fmt(out),
            FieldValue::Appliance(appliance) => appliance.fmt(out),
            FieldValue::Flag(true) => out.write_str("yes"),
            FieldValue::Flag(false) => out.write_str("no"),
        }
    }
}

macro_rules! word_lists {
    ($($name:ident $list:ident;)*) => {
        impl WordList {
            /// Number of the word with this key.
            pub fn code(self, key: &str) -> Option<u16> {
                match self { $(WordList::$name => $list::from_key(key).map($list::code),)* }
            }

            /// Key of the word with this number.
            pub fn key(self, code: u16) -> &'static str {
                match self { $(WordList::$name => $list::from_code(code).key(),)* }
            }

            /// The word with this number, as a person reads it.
            pub fn says(self, code: u16) -> &'static str {
                match self { $(WordList::$name => $list::from_code(code).says(),)* }
            }

            /// Every key of the list.
            pub fn keys(self) -> Vec<&'static str> {
                match self { $(WordList::$name => $list::ALL.iter().map(|word| word.key()).collect(),)* }
            }
        }
    };
}

word_lists! {
    Status Status;
    Gas Gas;
    Family Family;
    Severity AdvisorySeverity;
    Vent VentCategory;
    Mount Mount;
    Outcome Outcome;
    VisitKind VisitKind;
    QuestionState QuestionState;
    Role Role;
    Root Root;
    Decision Decision;
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::record::id::ActorHalf;

    #[test]
    fn typed_text_becomes_a_value_or_a_plain_answer() {
        let input = Field::named("plate/input");
        assert_eq!(input.show(&input.parse("175").unwrap()), "175 MBH");
        assert_eq!(input.show(&input.parse("51.3 kW").unwrap()), "51.3 kW");
        assert!(input.parse("3.5 in wc").unwrap_err().to_string().contains("plate input"));
        let status = Field::named("unit/status");
        assert_eq!(status.show(&status.parse("watch").unwrap()), "watch");
        let wrong = status.parse("fine").unwrap_err().to_string();
        assert!(wrong.starts_with("status: 'fine' is not one of in_service,"), "{wrong}");
        assert!(status.parse("  ").is_err());
    }

    #[test]
    fn scalars_go_there_and_back() {
        let said = Said {
            stamp: Stamp {
                by: PersonId([1; 8]),
                secs: -5,
                offset_min: -300,
                entered_for: None,
                seen: None,
            },
            id: EntryId { actor: ActorHalf([2; 8]), n: 3 },
            value: FieldValue::Word(4),
            reason: Some("photo PH-06".to_owned()),
            over: vec![EntryId { actor: ActorHalf([2; 8]), n: 1 }],
            settles: true,
        };
        let bytes = encode(&said);
        assert_eq!(decode(&bytes), Ok(said));
        for end in 0..bytes.len() {
            assert!(decode(&bytes[..end]).is_err(), "{end}");
        }
        let mut newer = bytes.clone();
        newer[0] = 9;
        assert_eq!(decode(&newer), Err(EntryWrong::Newer { found: 9, known: 1 }));
    }
}
