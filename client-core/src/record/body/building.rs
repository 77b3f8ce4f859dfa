//! Evidence about the building, its appliances and the company's instruments.

use minicbor::{Decode, Encode};

use crate::record::code::{Gas, InstrumentKind, Quantity, Stage, TargetSource};
use crate::record::id::{ApplianceId, EntryId, PersonId, VisitId};
use crate::record::value::{Day, Figure};

/// A part of the building. Its name and use are registers `area/<entry>/...`.
#[derive(Clone, Debug, PartialEq, Eq, Encode, Decode)]
#[cbor(map)]
pub struct Area {
    /// Short label, for example `A3`.
    #[n(0)]
    pub label: String,
}

/// A place where an appliance hangs; the paper label on the column belongs to it.
#[derive(Clone, Debug, PartialEq, Eq, Encode, Decode)]
#[cbor(map)]
pub struct Position {
    /// Unit no. on the column.
    #[n(0)]
    pub label: String,
    /// The area.
    #[n(1)]
    pub area: Option<EntryId>,
}

/// An appliance belongs to the site.
#[derive(Clone, Debug, PartialEq, Eq, Encode, Decode)]
#[cbor(map)]
pub struct Roster {
    /// The appliance.
    #[n(0)]
    pub appliance: ApplianceId,
    /// Unit no. at the time, so that a list has a name before the document has arrived.
    #[n(1)]
    pub unit_no: String,
}

/// A member of a collection: `contact`, `contaminant`, `hazard`, `spare_wish`, `visit_wish`.
#[derive(Clone, Debug, PartialEq, Eq, Encode, Decode)]
#[cbor(map)]
pub struct Member {
    /// The collection.
    #[n(0)]
    pub set: String,
    /// What it is about: an area, a position; none for the whole site.
    #[n(1)]
    pub of: Option<EntryId>,
    /// A word of the collection's list, or free words.
    #[n(2)]
    pub text: Option<String>,
    /// A person of the directory, for contacts: names never stand in documents.
    #[n(3)]
    pub person: Option<PersonId>,
    /// The member that this one replaces.
    #[n(4)]
    pub replaces: Option<EntryId>,
}

/// Something that happened to an appliance, often by other hands.
#[derive(Clone, Debug, PartialEq, Eq, Encode, Decode)]
#[cbor(map)]
pub struct Event {
    /// `installed`, `retired`, `changed`, `shut_down`, ...
    #[n(0)]
    pub kind: String,
    /// In words.
    #[n(1)]
    pub text: String,
    /// The day, or the first day of the month when only that is known.
    #[n(2)]
    pub day: Option<Day>,
    /// The day is known to the month only.
    #[n(3)]
    pub month_only: Option<bool>,
    /// By whom, in words.
    #[n(4)]
    pub by_whom: Option<String>,
    /// The appliance it continues, for a unit that was moved or replaced.
    #[n(5)]
    pub continues: Option<ApplianceId>,
}

/// A question to a manufacturer. Its state is the register `question/<entry>/state`.
#[derive(Clone, Debug, PartialEq, Eq, Encode, Decode)]
#[cbor(map)]
pub struct Question {
    /// What is asked.
    #[n(0)]
    pub asked: String,
    /// To whom, in words.
    #[n(1)]
    pub to: Option<String>,
    /// The visit.
    #[n(2)]
    pub visit: Option<VisitId>,
    /// Quantities for which an answer becomes a target.
    #[n(3)]
    pub about: Option<Vec<Quantity>>,
}

/// A manufacturer's answer.
#[derive(Clone, Debug, PartialEq, Eq, Encode, Decode)]
#[cbor(map)]
pub struct Answer {
    /// The question.
    #[n(0)]
    pub question: EntryId,
    /// The answer as received.
    #[n(1)]
    pub text: String,
    /// How it came.
    #[n(2)]
    pub source: TargetSource,
    /// The day on it.
    #[n(3)]
    pub day: Option<Day>,
    /// Who gave it, in words.
    #[n(4)]
    pub from: Option<String>,
}

/// A figure to aim at for one gas, altitude and stage, with its source.
#[derive(Clone, Debug, PartialEq, Encode, Decode)]
#[cbor(map)]
pub struct Target {
    /// The quantity.
    #[n(0)]
    pub quantity: Quantity,
    /// Least.
    #[n(1)]
    pub least: Option<Figure>,
    /// Most.
    #[n(2)]
    pub most: Option<Figure>,
    /// The figure itself, where one is named instead of a band.
    #[n(3)]
    pub aim: Option<Figure>,
    /// Stage it holds for.
    #[n(4)]
    pub stage: Option<Stage>,
    /// Gas it holds for.
    #[n(5)]
    pub gas: Option<Gas>,
    /// Altitude it holds for.
    #[n(6)]
    pub altitude: Option<Figure>,
    /// Source.
    #[n(7)]
    pub source: TargetSource,
    /// Day of the source.
    #[n(8)]
    pub valid_from: Option<Day>,
    /// Page or paragraph.
    #[n(9)]
    pub page: Option<String>,
    /// The answer it comes from.
    #[n(10)]
    pub answer: Option<EntryId>,
    /// True when the CO figure is air-free.
    #[n(11)]
    pub air_free: Option<bool>,
}

impl Target {
    /// The figures of a target in words, with the stage they hold for.
    pub fn figures(&self) -> String {
        let stage = self.stage.map(|stage| format!(", {}", stage.says())).unwrap_or_default();
        let figures = match (self.least, self.most, self.aim) {
            (Some(least), Some(most), _) => format!("{least} to {most}"),
            (Some(least), None, _) => format!("at least {least}"),
            (None, Some(most), _) => format!("at most {most}"),
            (None, None, Some(aim)) => aim.to_string(),
            (None, None, None) => String::new(),
        };
        format!("{figures}{stage}")
    }

    /// Where a target comes from, with the day of the source.
    pub fn origin(&self) -> String {
        let day = self.valid_from.map(|day| format!(", {day}")).unwrap_or_default();
        format!("{}{day}", self.source.says())
    }
}

/// An instrument. Owner and accuracy are registers `instrument/<entry>/...`.
#[derive(Clone, Debug, PartialEq, Eq, Encode, Decode)]
#[cbor(map)]
pub struct Instrument {
    /// What it is.
    #[n(0)]
    pub kind: InstrumentKind,
    /// The firm's own label on it.
    #[n(1)]
    pub label: String,
    /// Serial number as printed.
    #[n(2)]
    pub serial: Option<String>,
}

/// An instrument was calibrated.
#[derive(Clone, Debug, PartialEq, Eq, Encode, Decode)]
#[cbor(map)]
pub struct Calibration {
    /// The instrument.
    #[n(0)]
    pub instrument: EntryId,
    /// The day.
    #[n(1)]
    pub done: Day,
    /// Due again.
    #[n(2)]
    pub due: Option<Day>,
    /// By whom, in words.
    #[n(3)]
    pub by_whom: Option<String>,
    /// The result in words.
    #[n(4)]
    pub result: Option<String>,
}

/// An instrument was bump-tested, zeroed or compared.
#[derive(Clone, Debug, PartialEq, Eq, Encode, Decode)]
#[cbor(map)]
pub struct Bump {
    /// The instrument.
    #[n(0)]
    pub instrument: EntryId,
    /// With what: a test gas, clean air, zero pressure, another instrument.
    #[n(1)]
    pub with: String,
    /// The result in words.
    #[n(2)]
    pub result: String,
    /// The visit.
    #[n(3)]
    pub visit: Option<VisitId>,
}

/// A part as the company names it.
#[derive(Clone, Debug, PartialEq, Eq, Encode, Decode)]
#[cbor(map)]
pub struct CatalogueLine {
    /// The part in words.
    #[n(0)]
    pub part: String,
    /// The office's own code.
    #[n(1)]
    pub code: Option<String>,
    /// Unit in which it is counted, as a unit key.
    #[n(2)]
    pub counted_in: Option<String>,
}
