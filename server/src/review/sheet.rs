//! One unit's sheet of a visit: found beside left with what they come to, and every entry with its author.

use client_core::device::Listed;
use client_core::present::Names as _;
use client_core::present::Say;
use client_core::record::body::{Body, Drawn};
use client_core::record::code::{Phase, Quantity};
use client_core::record::derived::block::{Block, Judgement, block};
use client_core::record::file::{Papers, UnitInVisit, VisitFile};
use client_core::record::id::ApplianceId;
use client_core::record::mark::{Mark, Marker};
use client_core::record::read::Entry;
use client_core::store::pictures::digits;
use client_core::trade::verdict::Verdict;
use serde::Serialize;
use utoipa::ToSchema;

use super::difference::at;
use super::{Book, Named};

/// How a figure lies to its limits, for a bracket.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum Lies {
    /// Within.
    Within,
    /// At the edge: the instrument cannot tell.
    Edge,
    /// Above.
    Above,
    /// Below.
    Below,
    /// Nothing to compare with.
    NoLimit,
    /// Nobody measured.
    NotTested,
}

/// A quantity of a unit: found beside left.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, ToSchema)]
pub struct FoundLeft {
    /// What was measured.
    pub quantity: String,
    /// As found; none when it was not tested then.
    pub found: Option<String>,
    /// As left, likewise.
    pub left: Option<String>,
    /// How the later one lies to its limit.
    pub lies: Lies,
    /// The sentence with the limit and its source.
    pub sentence: Option<String>,
}

/// An entry in words.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, ToSchema)]
pub struct Line {
    /// The entry.
    pub entry: String,
    /// What kind of entry.
    pub kind: String,
    /// What it says.
    pub says: String,
    /// Whose work.
    pub person: Named,
    /// When, by the clock of that person's device.
    pub at: String,
    /// The instrument.
    pub instrument: Option<String>,
    /// Remarks.
    pub marks: Vec<String>,
    /// Why it does not count: withdrawn, corrected, waiting.
    pub out: Option<String>,
    /// A drawn signature, as a path of SVG on the grid of drawings.
    pub drawn: Option<String>,
}

/// A text that people wrote together.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, ToSchema)]
pub struct Text {
    /// The note.
    pub note: String,
    /// What it is about.
    pub subject: String,
    /// The text.
    pub text: String,
}

/// A photo that was taken.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, ToSchema)]
pub struct Picture {
    /// BLAKE3 of the picture, in hexadecimal digits.
    pub hash: String,
    /// The same of a small picture, where one was made.
    pub small: Option<String>,
    /// What it shows.
    pub subject: String,
    /// Found or left.
    pub phase: Option<String>,
    /// Who took it.
    pub person: Named,
    /// When, by the clock of that person's device.
    pub at: String,
    /// The picture has come to the hub.
    pub here: bool,
    /// The small picture has.
    pub small_here: bool,
    /// Why it does not count: withdrawn, waiting.
    pub out: Option<String>,
}

/// A unit's sheet.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, ToSchema)]
pub struct Sheet {
    /// The unit.
    pub unit: Named,
    /// Status that governs.
    pub status: String,
    /// Key of the status, for its shape.
    pub status_key: String,
    /// A shut-down record is in force.
    pub tagged: bool,
    /// A figure of the flue was read.
    pub flue: bool,
    /// How the turn ended.
    pub outcome: Option<String>,
    /// Found beside left.
    pub readings: Vec<FoundLeft>,
    /// Figures that follow from the readings, with their formula.
    pub derived: Vec<(String, String, String)>,
    /// What cannot be worked out or judged, and why.
    pub missing: Vec<String>,
    /// Photos.
    pub photos: Vec<Picture>,
    /// Every entry.
    pub lines: Vec<Line>,
    /// Entries about the unit itself that name this visit: shut-downs, padlocks, advice and who was told.
    pub about_unit: Vec<Line>,
    /// Texts.
    pub texts: Vec<Text>,
    /// What could not be read.
    pub problems: Vec<String>,
}

/// Figures of which a slip of a flue test is made.
const FLUE: [Quantity; 4] =
    [Quantity::FlueO2, Quantity::FlueCo, Quantity::FlueCo2, Quantity::StackTemp];

/// Lays a unit of a visit out.
pub fn sheet(file: &VisitFile<'_>, unit: &UnitInVisit<'_>, book: &Book) -> Sheet {
    let marker = Marker::new(file);
    let found = block(file, unit, Phase::AsFound);
    let left = block(file, unit, Phase::AsLeft);
    let own = unit.sheet.as_ref();
    let lines = own.into_iter().flat_map(|sheet| {
        let marker = &marker;
        sheet.read.entries.iter().map(move |entry| {
            let marks = marker.marks(sheet, entry).iter().map(Mark::says).collect();
            line(entry, marks, book)
        })
    });
    let texts = own.into_iter().flat_map(|sheet| &sheet.read.texts);
    let blocks = [("found", &found), ("left", &left)];
    Sheet {
        unit: book.named_unit(unit.appliance),
        status: unit.status().says().to_owned(),
        status_key: unit.status().key().to_owned(),
        tagged: unit.tag_in_force().is_some(),
        flue: FLUE.iter().any(|own| {
            [Phase::AsFound, Phase::AsLeft].iter().any(|phase| unit.last(*own, *phase).is_some())
        }),
        outcome: outcome(unit),
        readings: readings(unit, &found, &left, book),
        derived: blocks.iter().flat_map(|(phase, block)| derived(phase, block, book)).collect(),
        missing: blocks
            .iter()
            .flat_map(|(phase, block)| {
                block.missing.iter().map(move |why| format!("{phase}: {why}"))
            })
            .collect(),
        photos: own.into_iter().flat_map(|sheet| pictures(sheet, book)).collect(),
        lines: lines.collect(),
        about_unit: about_unit(file, unit, book),
        texts: texts
            .map(|text| Text {
                note: text.note.to_string(),
                subject: text.subject.clone(),
                text: text.text.clone(),
            })
            .collect(),
        problems: own
            .into_iter()
            .flat_map(|sheet| sheet.read.problems.iter().map(ToString::to_string))
            .collect(),
    }
}

fn pictures(sheet: &Papers<'_>, book: &Book) -> Vec<Picture> {
    let digits = |hash: &[u8]| hash.try_into().ok().map(|hash| digits(&hash));
    let entries = sheet.read.entries.iter().filter_map(|entry| {
        let Body::Photo(photo) = &entry.body else { return None };
        Some(Picture {
            hash: digits(&photo.hash)?,
            small: photo.small.as_ref().and_then(|small| digits(small)),
            subject: photo.subject.clone(),
            phase: photo.phase.map(|phase| phase.says().to_owned()),
            person: book.named_person(entry.person()),
            at: at(entry.stamp.at()),
            here: false,
            small_here: false,
            out: out_of_count(entry),
        })
    });
    entries.collect()
}

fn about_unit(file: &VisitFile<'_>, unit: &UnitInVisit<'_>, book: &Book) -> Vec<Line> {
    let Some(own) = &unit.unit else { return vec![] };
    let visit_of = |entry: &Entry| match &entry.body {
        Body::Tag(tag) => tag.visit,
        Body::Lock(lock) => lock.visit,
        Body::Advisory(advisory) => advisory.visit,
        _ => None,
    };
    let of_visit = |entry: &&Entry| {
        let about = match &entry.body {
            Body::Ack(ack) => own.read.entry(ack.of),
            _ => Some(*entry),
        };
        about.and_then(visit_of) == Some(file.visit)
    };
    own.read.entries.iter().filter(of_visit).map(|entry| line(entry, vec![], book)).collect()
}

/// How the turn of a unit ended.
pub fn outcome(unit: &UnitInVisit<'_>) -> Option<String> {
    let merged = unit.sheet.as_ref()?.read.named("sheet/outcome")?;
    let field = client_core::record::field::Field::named("sheet/outcome");
    match merged.governs() {
        Some(said) => {
            let reason = said.reason.as_ref().map(|why| format!(": {why}")).unwrap_or_default();
            Some(format!("{}{reason}", field.show(&said.value)))
        }
        None => Some("two answers".to_owned()),
    }
}

/// An entry in words.
pub fn line(entry: &Entry, marks: Vec<String>, book: &Book) -> Line {
    let say = Say { names: book, system: None };
    let instrument = match &entry.body {
        Body::Reading(reading) => reading.instrument.map(|instrument| say.entry(instrument)),
        _ => None,
    };
    let phase = match &entry.body {
        Body::Reading(reading) => format!("{}: ", reading.phase.says()),
        _ => String::new(),
    };
    let drawn = match &entry.body {
        Body::Ack(ack) => ack.drawn.as_ref(),
        Body::SignOff(sign_off) => sign_off.drawn.as_ref(),
        _ => None,
    };
    let mut marks = marks;
    if entry.stamp.entered_for.is_some() {
        marks.push(format!("typed by {}", book.person(entry.stamp.by)));
    }
    Line {
        entry: entry.id.to_string(),
        kind: entry.body.kind().root().replace('_', " "),
        says: format!("{phase}{}", say.body(&entry.body)),
        person: book.named_person(entry.person()),
        at: at(entry.stamp.at()),
        instrument,
        marks,
        out: out_of_count(entry),
        drawn: drawn.map(Drawn::path),
    }
}

/// Why an entry does not count; none when it does.
fn out_of_count(entry: &Entry) -> Option<String> {
    let why = match () {
        () if !entry.shown() => "waits for a supervisor: its key was revoked before",
        () if entry.voided_by.is_some() => "withdrawn",
        () if entry.corrected_by.is_some() => "corrected by a later entry",
        () => return None,
    };
    Some(why.to_owned())
}

fn readings(unit: &UnitInVisit<'_>, found: &Block, left: &Block, book: &Book) -> Vec<FoundLeft> {
    let say = Say { names: book, system: None };
    let value = |quantity: Quantity, phase: Phase| match &unit.last(quantity, phase)?.body {
        Body::Reading(reading) => Some(say.measured(&reading.value)),
        _ => None,
    };
    let mut rows = vec![];
    for quantity in Quantity::ALL {
        let (was, is) = (value(*quantity, Phase::AsFound), value(*quantity, Phase::AsLeft));
        if was.is_none() && is.is_none() {
            continue;
        }
        let block = if is.is_some() { left } else { found };
        let judged = block.verdicts.iter().find(|judged| judged.key == quantity.key());
        let lies = judged.map_or(Lies::NoLimit, |judged| lies(&judged.judgement));
        rows.push(FoundLeft {
            quantity: quantity.says().to_owned(),
            found: was,
            left: is,
            lies,
            sentence: judged.map(|judged| judged.sentence.clone()),
        });
    }
    rows
}

fn lies(judgement: &Judgement) -> Lies {
    use client_core::trade::verdict::Side;
    match judgement {
        Judgement::Against { verdict, .. } => match verdict {
            Verdict::Within { .. } => Lies::Within,
            Verdict::OutsideBy { side: Side::Over, .. } => Lies::Above,
            Verdict::OutsideBy { side: Side::Under, .. } => Lies::Below,
            Verdict::TooCloseToCall { .. } => Lies::Edge,
            Verdict::NotTested { .. } => Lies::NotTested,
            Verdict::NoTargetYet { .. } => Lies::NoLimit,
        },
        Judgement::NoTarget | Judgement::CarbonMonoxide(_) => Lies::NoLimit,
    }
}

/// What a verdict is on, where that is no reading.
fn judged_name(key: &str) -> String {
    match key {
        "co_air_free" => "CO air-free".to_owned(),
        other => other.replace('_', " "),
    }
}

fn derived(phase: &str, block: &Block, book: &Book) -> Vec<(String, String, String)> {
    let say = Say { names: book, system: None };
    let of_readings = |key: &str| Quantity::from_key(key).is_some();
    let figures = block.figures.iter().map(|shown| {
        (format!("{}, {phase}", shown.name), say.amount(shown.amount), shown.formula.clone())
    });
    let verdicts = block.verdicts.iter().filter(|judged| !of_readings(judged.key));
    let verdicts = verdicts.map(|judged| {
        (format!("{}, {phase}", judged_name(judged.key)), judged.sentence.clone(), String::new())
    });
    figures.chain(verdicts).collect()
}

/// Names of units, in a list of rows.
pub fn unit_names<R>(units: &[Listed<ApplianceId, R>], book: &Book) -> Vec<Named> {
    units.iter().map(|unit| Named::new(unit.id, book.unit(unit.id))).collect()
}
