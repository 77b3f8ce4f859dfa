//! Evidence of one unit in one visit: readings, checks, findings, work, parts, photos.

use minicbor::bytes::ByteVec;
use minicbor::{Decode, Encode};

use crate::record::code::{
    CheckItem, CheckResult, Confidence, Gas, GasPartKind, Method, Phase, Quantity, Running, Stage,
    System, WorkKind,
};
use crate::record::id::EntryId;
use crate::record::value::{Figure, Measured};

/// The state of the unit and its surroundings while a reading was taken.
#[derive(Clone, Debug, PartialEq, Eq, Default, Encode, Decode)]
#[cbor(map)]
pub struct Condition {
    /// Firing stage.
    #[n(0)]
    pub stage: Option<Stage>,
    /// Circulating fan.
    #[n(1)]
    pub fan: Option<Running>,
    /// Panels.
    #[n(2)]
    pub panel: Option<Running>,
    /// Other units on the same supply.
    #[n(3)]
    pub others: Option<Running>,
}

/// A measurement. Never edited: an error is repaired by a new reading that corrects it.
#[derive(Clone, Debug, PartialEq, Encode, Decode)]
#[cbor(map)]
pub struct Reading {
    /// What was measured.
    #[n(0)]
    pub quantity: Quantity,
    /// The value as typed, or why there is none.
    #[n(1)]
    pub value: Measured,
    /// When, relative to the work.
    #[n(2)]
    pub phase: Phase,
    /// The test point, when it is not the quantity's usual one.
    #[n(3)]
    pub point: Option<String>,
    /// The instrument.
    #[n(4)]
    pub instrument: Option<EntryId>,
    /// State of the unit.
    #[n(5)]
    pub condition: Option<Condition>,
    /// Minutes at steady state.
    #[n(6)]
    pub steady_min: Option<u16>,
    /// Read before steady state was reached.
    #[n(7)]
    pub early: Option<bool>,
    /// Where the figure comes from, when it was not simply measured.
    #[n(8)]
    pub method: Option<Method>,
    /// The fuel chosen in the instrument, for flue figures.
    #[n(9)]
    pub fuel_set: Option<String>,
    /// Why a value outside the plausible range is meant as typed.
    #[n(10)]
    pub why_unusual: Option<String>,
    /// The reading that this one corrects, and why.
    #[n(11)]
    pub corrects: Option<EntryId>,
    /// Why it was corrected.
    #[n(12)]
    pub why_corrected: Option<String>,
    /// Remark.
    #[n(13)]
    pub note: Option<String>,
    /// Meter dial, for clocking.
    #[n(14)]
    pub dial: Option<Figure>,
    /// Metering pressure, for clocking.
    #[n(15)]
    pub meter_pressure: Option<Figure>,
    /// Gas temperature, for clocking.
    #[n(16)]
    pub gas_temp: Option<Figure>,
    /// Revolutions timed, for clocking; one when not given.
    #[n(17)]
    pub revolutions: Option<u16>,
}

impl Reading {
    /// A plain measurement.
    pub fn new(quantity: Quantity, value: Measured, phase: Phase) -> Reading {
        Reading {
            quantity,
            value,
            phase,
            point: None,
            instrument: None,
            condition: None,
            steady_min: None,
            early: None,
            method: None,
            fuel_set: None,
            why_unusual: None,
            corrects: None,
            why_corrected: None,
            note: None,
            dial: None,
            meter_pressure: None,
            gas_temp: None,
            revolutions: None,
        }
    }

    /// The test point, in words.
    pub fn point(&self) -> &str {
        match &self.point {
            Some(point) => point,
            None => self.quantity.kind().map_or("", |kind| kind.point),
        }
    }
}

/// A check and one person's answer. Two people may answer differently; both stay.
#[derive(Clone, Debug, PartialEq, Eq, Encode, Decode)]
#[cbor(map)]
pub struct Check {
    /// What was checked.
    #[n(0)]
    pub item: CheckItem,
    /// The answer.
    #[n(1)]
    pub result: CheckResult,
    /// How, or the firm's own item in words.
    #[n(2)]
    pub note: Option<String>,
    /// The earlier answer of the same person that this re-test replaces.
    #[n(3)]
    pub corrects: Option<EntryId>,
}

/// An observed condition with its cause.
#[derive(Clone, Debug, PartialEq, Eq, Encode, Decode)]
#[cbor(map)]
pub struct Finding {
    /// Key of the cause, or `other`.
    #[n(0)]
    pub cause: String,
    /// What was seen, in words.
    #[n(1)]
    pub text: Option<String>,
    /// Found or left.
    #[n(2)]
    pub phase: Phase,
    /// How sure.
    #[n(3)]
    pub confidence: Option<Confidence>,
    /// Readings, checks and photos that show it.
    #[n(4)]
    pub evidence: Option<Vec<EntryId>>,
    /// The symptom it explains.
    #[n(5)]
    pub symptom: Option<String>,
}

/// Something done to the unit. The first one closes the found block.
#[derive(Clone, Debug, PartialEq, Eq, Encode, Decode)]
#[cbor(map)]
pub struct Work {
    /// What kind.
    #[n(0)]
    pub kind: WorkKind,
    /// In words.
    #[n(1)]
    pub text: Option<String>,
    /// The finding it answers.
    #[n(2)]
    pub finding: Option<EntryId>,
    /// What it touched; decides which proofs sign-off asks for.
    #[n(3)]
    pub touched: Vec<System>,
    /// Minutes spent.
    #[n(4)]
    pub minutes: Option<u16>,
}

/// A setting that was changed: one entry holds the pair.
#[derive(Clone, Debug, PartialEq, Encode, Decode)]
#[cbor(map)]
pub struct Adjustment {
    /// What was set.
    #[n(0)]
    pub quantity: Quantity,
    /// Before.
    #[n(1)]
    pub before: Option<Figure>,
    /// After.
    #[n(2)]
    pub after: Figure,
    /// The finding it answers.
    #[n(3)]
    pub finding: Option<EntryId>,
    /// Remark.
    #[n(4)]
    pub note: Option<String>,
}

/// A part that belongs to one gas, as it was seen.
#[derive(Clone, Debug, PartialEq, Eq, Encode, Decode)]
#[cbor(map)]
pub struct GasPart {
    /// Which part.
    #[n(0)]
    pub part: GasPartKind,
    /// Marking as read.
    #[n(1)]
    pub marking: String,
    /// How many.
    #[n(2)]
    pub count: u16,
    /// The gas it is for.
    #[n(3)]
    pub for_gas: Gas,
    /// Found or left.
    #[n(4)]
    pub phase: Phase,
    /// A photo of it.
    #[n(5)]
    pub photo: Option<EntryId>,
    /// Remark.
    #[n(6)]
    pub note: Option<String>,
}

/// A part used: one line for each event, the total is a sum.
#[derive(Clone, Debug, PartialEq, Encode, Decode)]
#[cbor(map)]
pub struct Part {
    /// The part in words.
    #[n(0)]
    pub part: String,
    /// Number as printed on it.
    #[n(1)]
    pub number: Option<String>,
    /// The gas it is for.
    #[n(2)]
    pub for_gas: Option<Gas>,
    /// Setpoint, ohms, size.
    #[n(3)]
    pub rating: Option<String>,
    /// How many or how much.
    #[n(4)]
    pub quantity: Figure,
    /// The truck or store it came from.
    #[n(5)]
    pub source: Option<String>,
    /// The part that came out.
    #[n(6)]
    pub old: Option<OldPart>,
    /// Remark.
    #[n(7)]
    pub note: Option<String>,
}

/// The part that came out.
#[derive(Clone, Debug, PartialEq, Eq, Encode, Decode)]
#[cbor(map)]
pub struct OldPart {
    /// Its condition.
    #[n(0)]
    pub condition: Option<String>,
    /// Its rating as printed.
    #[n(1)]
    pub rating: Option<String>,
    /// Whether it was kept.
    #[n(2)]
    pub kept: Option<bool>,
}

/// Most bytes of a picture that travels.
pub const PHOTO_BYTES_MAX: u64 = 4 * 1024 * 1024;

/// A photo. The picture itself lies beside the records under its hash.
#[derive(Clone, Debug, PartialEq, Eq, Encode, Decode)]
#[cbor(map)]
pub struct Photo {
    /// Hash of the picture.
    #[n(0)]
    #[cbor(with = "minicbor::bytes")]
    pub hash: Vec<u8>,
    /// What it shows: plate, part, meter dial, printout, ...
    #[n(1)]
    pub subject: String,
    /// Found or left.
    #[n(2)]
    pub phase: Option<Phase>,
    /// Bytes of the picture.
    #[n(3)]
    pub size: Option<u64>,
    /// The entry it belongs to.
    #[n(4)]
    pub of: Option<EntryId>,
    /// Hash of a small picture of the same, which travels first.
    #[n(5)]
    pub small: Option<ByteVec>,
}

impl Photo {
    /// Whether a picture is this one, or the small one of the same.
    pub fn names(&self, hash: &[u8]) -> bool {
        self.hash == hash || self.small.as_ref().is_some_and(|small| small.as_slice() == hash)
    }
}

/// A complaint or symptom. Two symptoms are two symptoms.
#[derive(Clone, Debug, PartialEq, Eq, Encode, Decode)]
#[cbor(map)]
pub struct Symptom {
    /// Key of the symptom, or `other`.
    #[n(0)]
    pub symptom: String,
    /// In words.
    #[n(1)]
    pub text: Option<String>,
}

/// "I am working here." Advisory only; it never blocks anybody.
#[derive(Clone, Debug, PartialEq, Eq, Encode, Decode)]
#[cbor(map)]
pub struct Claim {
    /// True when starting, false when leaving the unit.
    #[n(0)]
    pub here: bool,
}

/// A test of the fault tables that gives no figure, and what it gave. It is no check: neither result is a
/// pass, and a result that points to a fault fails nothing.
#[derive(Clone, Debug, PartialEq, Eq, Encode, Decode)]
#[cbor(map)]
pub struct Tested {
    /// Key of the test.
    #[n(0)]
    pub test: String,
    /// The result as the tables word it.
    #[n(1)]
    pub outcome: String,
    /// Remark.
    #[n(2)]
    pub note: Option<String>,
}
