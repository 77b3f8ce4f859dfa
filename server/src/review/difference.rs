//! A difference between two halves of a record, with everything that is needed to settle it on a page.

use client_core::present::Names as _;
use client_core::present::Say;
use client_core::present::both::{Both, of_papers, of_visit};
use client_core::record::contradiction::Contradiction;
use client_core::record::doc_id::DocId;
use client_core::record::field::{Field, FieldValue};
use client_core::record::file::{Papers, VisitFile};
use client_core::record::id::{ApplianceId, EntryId};
use client_core::record::merged::less_careful;
use client_core::record::read::had_seen;
use client_core::record::stamp::Stamp;
use serde::Serialize;
use utoipa::ToSchema;

use super::{Book, Named};

/// One side.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, ToSchema)]
pub struct Side {
    /// The entry.
    pub entry: String,
    /// What it says.
    pub says: String,
    /// Whose work it is.
    pub person: Named,
    /// Day and time by the clock of that person's device.
    pub at: String,
    /// The instrument, for a reading.
    pub instrument: Option<String>,
    /// Remarks beside it.
    pub marks: Vec<String>,
    /// It governs until somebody settles.
    pub governs: bool,
    /// Choosing it would lower a safety word.
    pub lowers: bool,
    /// What its author had seen of the others when it was entered.
    pub knew: Vec<String>,
}

/// What settles a difference.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum Way {
    /// One side is chosen, with a reason.
    Choose,
    /// One side may be chosen; a reason is enough.
    Words,
    /// Two entries are one event, or two.
    OneOrTwo,
    /// The text is read once.
    Text,
    /// A sign-off that shows the late entries.
    SignOff,
    /// The unit is proved again and released again, at the unit.
    Release,
    /// A unit that was taken off the roster belongs to another one, or stays by itself.
    Merge,
}

/// A difference.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, ToSchema)]
pub struct Difference {
    /// What a settlement names.
    pub key: String,
    /// The unit.
    pub unit: Option<Named>,
    /// What it is about.
    pub about: String,
    /// A safety word, or an answer that a sign-off waits for.
    pub cautious: bool,
    /// Every side.
    pub sides: Vec<Side>,
    /// What governs until it is settled.
    pub governs: String,
    /// What settles it.
    pub next: String,
    /// How it is settled on a page.
    pub way: Way,
    /// For a text: as it reads now.
    pub text: Option<String>,
    /// Stands for the sides on the table: a settlement of other sides is not taken.
    pub table: String,
}

/// Lays a difference of a visit out.
pub fn in_visit(file: &VisitFile<'_>, one: &Contradiction, book: &Book) -> Difference {
    let say = Say { names: book, system: None };
    let both = of_visit(file, one, &say);
    let papers: Vec<&Papers<'_>> = file.papers().collect();
    let mut found = lay_out(one, both, &papers, book);
    match one {
        Contradiction::Field { merged, .. } => {
            let unit = unit_of(one).and_then(|unit| file.unit(unit));
            let sheet = unit.and_then(|unit| unit.sheet.as_ref());
            for (side, said) in found.sides.iter_mut().zip(merged.sides()) {
                side.knew.extend(sheet.map(|sheet| own_before(sheet, &said.stamp)));
            }
        }
        Contradiction::Late { sign_off, entries } => {
            let signed = file.head.read.entry(*sign_off).map(|entry| {
                format!("{} signed {}", book.person(entry.person()), at(entry.stamp.at()))
            });
            let signed = signed.unwrap_or_else(|| "the visit was signed".to_owned());
            let came = match entries.len() {
                1 => "1 entry was not in the record".to_owned(),
                n => format!("{n} entries were not in the record"),
            };
            found.about = format!("{came} when {signed}");
        }
        _ => {}
    }
    found
}

/// What the author of an answer had entered for the unit by then, which was on their own device for certain.
fn own_before(sheet: &Papers<'_>, stamp: &Stamp) -> String {
    let own = sheet
        .read
        .entries
        .iter()
        .filter(|entry| entry.person() == stamp.person() && entry.stamp.secs <= stamp.secs);
    match own.clone().count() {
        0 => "no entry of their own for this unit in this visit yet".to_owned(),
        1 => "one entry of their own for this unit in this visit".to_owned(),
        n => format!("{n} entries of their own for this unit in this visit"),
    }
}

/// Lays a difference of one document out.
pub fn in_document(papers: &Papers<'_>, one: &Contradiction, book: &Book) -> Difference {
    let say = Say { names: book, system: None };
    lay_out(one, of_papers(papers, one, &say), &[papers], book)
}

fn lay_out(one: &Contradiction, both: Both, papers: &[&Papers<'_>], book: &Book) -> Difference {
    let of = papers.iter().find(|papers| papers.id() == one.doc()).copied();
    let sides = both.sides.iter().map(|side| Side {
        entry: side.entry.to_string(),
        says: side.says.clone(),
        person: book.named_person(side.person),
        at: at(side.at),
        instrument: side.instrument.clone(),
        marks: side.marks.clone(),
        governs: side.governs,
        lowers: lowers(one, side.entry),
        knew: knew(papers, one, side.entry, book),
    });
    let text = match one {
        Contradiction::Text { note, .. } => of.and_then(|papers| {
            papers.read.texts.iter().find(|text| text.note == *note).map(|text| text.text.clone())
        }),
        _ => None,
    };
    Difference {
        sides: sides.collect(),
        unit: both.unit.map(|unit| book.named_unit(unit)),
        about: both.about,
        cautious: cautious(one),
        governs: both.governs,
        next: both.next,
        way: way(one),
        text,
        table: table(one),
        key: both.key,
    }
}

/// A moment as pages show it.
pub fn at(moment: client_core::record::value::Moment) -> String {
    format!("{} {}", moment.day(), moment.clock())
}

/// The unit that a difference is about.
pub fn unit_of(one: &Contradiction) -> Option<ApplianceId> {
    match one {
        Contradiction::RemovedWithEvidence { appliance, .. } => Some(*appliance),
        other => other.doc().and_then(DocId::appliance),
    }
}

/// Stands for the sides on the table: sixteen letters that change when a side comes, goes or says something
/// else.
pub fn table(one: &Contradiction) -> String {
    let mut hash = blake3::Hasher::new();
    hash.update(one.key().as_bytes());
    for side in one.sides() {
        hash.update(&side.actor.0).update(&side.n.to_be_bytes());
    }
    client_core::record::id::encode(&hash.finalize().as_bytes()[..10])
}

/// Whether a difference has this key.
pub fn key_fits(one: &Contradiction, key: &str) -> bool {
    one.key() == key
}

/// Whether somebody's safety hangs on it.
pub const fn cautious(one: &Contradiction) -> bool {
    match one {
        Contradiction::Field { field, .. } => field.def.merge.cautious(),
        Contradiction::Check { .. }
        | Contradiction::Release { .. }
        | Contradiction::Lock { .. } => true,
        _ => false,
    }
}

const fn way(one: &Contradiction) -> Way {
    match one {
        Contradiction::Field { .. } => Way::Choose,
        Contradiction::Check { .. }
        | Contradiction::Readings { .. }
        | Contradiction::Clock { .. }
        | Contradiction::Lock { .. } => Way::Words,
        Contradiction::Text { .. } => Way::Text,
        Contradiction::Double { .. } => Way::OneOrTwo,
        Contradiction::Late { .. } => Way::SignOff,
        Contradiction::Release { .. } => Way::Release,
        Contradiction::RemovedWithEvidence { .. } => Way::Merge,
    }
}

/// The register and the value of a side of it.
pub fn value_of(one: &Contradiction, entry: EntryId) -> Option<(Field, FieldValue)> {
    let Contradiction::Field { field, merged, .. } = one else { return None };
    let side = merged.sides().iter().find(|side| side.id == entry)?;
    Some((*field, side.value.clone()))
}

/// Whether a side is less careful than another one.
fn lowers(one: &Contradiction, entry: EntryId) -> bool {
    let (Some((field, own)), Contradiction::Field { merged, .. }) = (value_of(one, entry), one)
    else {
        return false;
    };
    field.def.merge.cautious()
        && merged.sides().iter().any(|side| less_careful(&field, &own, &side.value))
}

/// What the author of a side had seen of the other sides.
fn knew(papers: &[&Papers<'_>], one: &Contradiction, entry: EntryId, book: &Book) -> Vec<String> {
    if let Contradiction::Field { .. } = one {
        // Two answers stand side by side only where neither had seen the other.
        return vec!["the other answer had not been seen".to_owned()];
    }
    let found = papers.iter().find_map(|papers| Some((*papers, papers.read.entry(entry)?)));
    let Some((own, side)) = found else { return vec![] };
    let others = one.sides().into_iter().filter(|other| *other != entry);
    others
        .filter_map(|other| own.read.entry(other))
        .map(|other| {
            let who = book.person(other.person());
            let seen = had_seen(&own.parts, side, other);
            let words = if seen { "had been seen" } else { "had not been seen" };
            format!("the entry of {who} {words}")
        })
        .collect()
}
