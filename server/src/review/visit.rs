//! A visit as its supervisor sees it: what to look at, what holds the sign-off, who signed, questions, and
//! every unit's sheet.

use std::collections::BTreeMap;

use client_core::present::{Names as _, Say};
use client_core::record::body::{Body, Drawn, Kind};
use client_core::record::code::VisitKind;
use client_core::record::contradiction::Contradiction;
use client_core::record::field::FieldValue;
use client_core::record::file::VisitFile;
use client_core::record::id::{ActorHalf, PersonId, SiteId};
use client_core::record::read::Entry;
use serde::Serialize;
use utoipa::ToSchema;

use super::difference::{at, in_visit};
use super::queue::{Item, queue};
use super::sheet::{Line, Sheet, line, sheet};
use super::{Book, Named};

/// What holds the sign-off.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, ToSchema)]
pub struct Holds {
    /// Key: what an exception names.
    pub key: String,
    /// The unit.
    pub unit: Named,
    /// Observation, meaning, next step.
    pub says: String,
    /// A supervisor excepted it, in these words.
    pub excepted: Option<String>,
}

/// A signature under the visit.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, ToSchema)]
pub struct Signature {
    /// The entry.
    pub entry: String,
    /// Who.
    pub person: Named,
    /// In which role.
    pub role: String,
    /// When.
    pub at: String,
    /// The statement.
    pub statement: Option<String>,
    /// The drawn signature, as a path of SVG on the grid of drawings.
    pub drawn: Option<String>,
    /// Why it does not stand any more.
    pub reopened: Option<String>,
}

/// Entries whose key was revoked before they came.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, ToSchema)]
pub struct Waiting {
    /// The last of them.
    pub entry: String,
    /// Whose work it is.
    pub person: Named,
    /// How many.
    pub count: usize,
    /// From when to when, by the clock of the device.
    pub span: String,
}

/// Something that was said differently, and how it ended.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, ToSchema)]
pub struct SettledLine {
    /// The unit.
    pub unit: Option<Named>,
    /// What it was about.
    pub about: String,
    /// Every answer that stood: what, who, when.
    pub answers: Vec<String>,
    /// What settled it, by whom, when.
    pub how: String,
}

/// A question of the reviewer with its replies.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, ToSchema)]
pub struct Query {
    /// The entry.
    pub entry: String,
    /// The question.
    pub says: String,
    /// Who asked.
    pub person: Named,
    /// When.
    pub at: String,
    /// Replies.
    pub replies: Vec<(String, String)>,
}

/// A visit.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, ToSchema)]
pub struct Visit {
    /// The visit.
    pub id: String,
    /// The site.
    pub site: Named,
    /// The day.
    pub day: Option<String>,
    /// Why somebody came.
    pub kind: String,
    /// Reference.
    pub reference: Option<String>,
    /// Who entered something.
    pub people: Vec<Named>,
    /// Readings that count.
    pub readings: usize,
    /// What to look at, in order.
    pub queue: Vec<Item>,
    /// What holds the sign-off; excepted items are in the list and say so.
    pub holds: Vec<Holds>,
    /// Signatures.
    pub signatures: Vec<Signature>,
    /// A supervisor's signature stands.
    pub released: bool,
    /// Entries that no signature shows although one stands.
    pub late: usize,
    /// Entries that wait for a supervisor, by the key that signed them.
    pub waiting: Vec<Waiting>,
    /// What was said differently and is settled.
    pub settled: Vec<SettledLine>,
    /// Questions to the field.
    pub queries: Vec<Query>,
    /// Entries about the visit as a whole.
    pub head: Vec<Line>,
    /// Minutes of labour.
    pub minutes: u64,
    /// Units.
    pub units: Vec<Sheet>,
    /// Every unit of the site, for what belongs to another one.
    pub others: Vec<Named>,
    /// Stands for everything that is shown here: a signature under something else is not taken.
    pub shown: String,
    /// Minutes that clocks at the site are ahead of UTC, as the last entry tells.
    pub offset_min: i16,
}

/// Lays a visit out.
pub fn visit(file: &VisitFile<'_>, site: SiteId, site_name: &str, book: &Book) -> Visit {
    let read = &file.head.read;
    let text = |key: &str| match read.named(key)?.governs()?.value.clone() {
        FieldValue::Text(text) => Some(text),
        _ => None,
    };
    let kind = match read.named("visit/kind").and_then(|own| own.governs()).map(|own| &own.value) {
        Some(FieldValue::Word(code)) => VisitKind::from_code(*code).says(),
        _ => "visit",
    };
    let holds = file.blockers().into_iter().map(|blocker| Holds {
        key: blocker.key,
        unit: book.named_unit(blocker.appliance),
        says: blocker.says,
        excepted: blocker.excepted,
    });
    let mut units: Vec<Sheet> = file.units.iter().map(|unit| sheet(file, unit, book)).collect();
    units.sort_by(|one, other| one.unit.name.cmp(&other.unit.name));
    let readings = file.units.iter().filter_map(|unit| unit.sheet.as_ref());
    Visit {
        id: file.visit.to_string(),
        site: Named::new(site, site_name),
        day: file.day().map(|day| day.to_string()),
        kind: kind.to_owned(),
        reference: text("visit/reference"),
        people: people(file, book),
        readings: readings.map(|sheet| sheet.read.counted(Kind::Reading).count()).sum(),
        queue: queue(file, book),
        holds: holds.collect(),
        signatures: signatures(file, book),
        released: file.signed().released,
        late: file.late().len(),
        waiting: waiting(file, book),
        settled: settled(file, book),
        queries: queries(file, book),
        head: head(file, book),
        minutes: minutes(file),
        units,
        others: vec![],
        shown: shown(file),
        offset_min: offset(file),
    }
}

/// Stands for all documents of the visit as they are.
pub fn shown(file: &VisitFile<'_>) -> String {
    let mut hash = blake3::Hasher::new();
    for doc in file.to_sign() {
        hash.update(&doc.doc).update(&doc.heads);
    }
    client_core::record::id::encode(&hash.finalize().as_bytes()[..10])
}

fn offset(file: &VisitFile<'_>) -> i16 {
    let entries = file.papers().flat_map(|papers| &papers.read.entries);
    let last = entries.max_by_key(|entry| entry.stamp.secs);
    last.map_or(0, |entry| entry.stamp.offset_min)
}

fn people(file: &VisitFile<'_>, book: &Book) -> Vec<Named> {
    let sheets = file.units.iter().filter_map(|unit| unit.sheet.as_ref());
    let mut found: Vec<PersonId> =
        sheets.flat_map(|sheet| sheet.read.entries.iter().map(Entry::person)).collect();
    found.sort_unstable();
    found.dedup();
    found.into_iter().map(|person| book.named_person(person)).collect()
}

fn signatures(file: &VisitFile<'_>, book: &Book) -> Vec<Signature> {
    let read = &file.head.read;
    let reopened = |id| {
        read.counted(Kind::Reopen).find_map(|entry| match &entry.body {
            Body::Reopen(open) if open.sign_off == id => {
                let who = book.person(entry.person());
                Some(format!("opened again by {who}: {}", open.reason))
            }
            _ => None,
        })
    };
    let standing = file.signed().sign_offs;
    let signed = read.counted(Kind::SignOff).filter_map(|entry| match &entry.body {
        Body::SignOff(sign_off) => {
            let counted = standing.iter().find(|(id, _, _)| *id == entry.id);
            let role = counted.map_or(sign_off.role, |(_, _, role)| *role);
            Some(Signature {
                entry: entry.id.to_string(),
                person: book.named_person(entry.stamp.by),
                role: role.says().to_owned(),
                at: at(entry.stamp.at()),
                statement: sign_off.statement.clone(),
                drawn: sign_off.drawn.as_ref().map(Drawn::path),
                reopened: reopened(entry.id),
            })
        }
        _ => None,
    });
    signed.collect()
}

fn waiting(file: &VisitFile<'_>, book: &Book) -> Vec<Waiting> {
    let mut found: BTreeMap<(ActorHalf, PersonId), Vec<&Entry>> = BTreeMap::new();
    let entries = file.papers().flat_map(|papers| &papers.read.entries);
    for entry in entries.filter(|entry| !entry.shown()) {
        found.entry((entry.id.actor, entry.person())).or_default().push(entry);
    }
    let lines = found.into_iter().filter_map(|((_, person), entries)| {
        let last = entries.iter().max_by_key(|entry| entry.id.n)?;
        let when = |pick: fn(i64, i64) -> bool| {
            let one = entries.iter().reduce(|one, other| {
                if pick(one.stamp.secs, other.stamp.secs) { one } else { other }
            });
            one.map(|entry| at(entry.stamp.at())).unwrap_or_default()
        };
        Some(Waiting {
            entry: last.id.to_string(),
            person: book.named_person(person),
            count: entries.len(),
            span: format!(
                "{} to {}",
                when(|one, other| one <= other),
                when(|one, other| one > other)
            ),
        })
    });
    lines.collect()
}

/// How a difference ended, without the key that the record keeps of it.
fn ended(body: &Body, say: &Say<'_>) -> String {
    match body {
        Body::Settlement(settlement) => format!("settled: {}", settlement.reason),
        Body::TextRead(read) => match &read.reason {
            Some(reason) => format!("read: {reason}"),
            None => "read".to_owned(),
        },
        Body::DoubleMark(mark) if mark.same => format!("one event: {}", mark.reason),
        Body::DoubleMark(mark) => format!("two events: {}", mark.reason),
        other => say.body(other),
    }
}

fn settled(file: &VisitFile<'_>, book: &Book) -> Vec<SettledLine> {
    let say = Say { names: book, system: None };
    let mut found = vec![];
    for past in file.differences() {
        let Some(id) = past.settled_by else { continue };
        let by = file.papers().find_map(|papers| papers.read.entry(id));
        let how = by.map(|entry| {
            let (who, when) = (book.person(entry.person()), at(entry.stamp.at()));
            format!("{who}, {when}: {}", ended(&entry.body, &say))
        });
        let one = in_visit(file, &past.about, book);
        let mut answers: Vec<String> = match &past.about {
            Contradiction::Field { field, .. } => past
                .answers
                .iter()
                .map(|said| {
                    let who = book.person(said.stamp.person());
                    format!("{}, {who}, {}", say.value(field, &said.value), at(said.stamp.at()))
                })
                .collect(),
            _ => one
                .sides
                .iter()
                .take(4)
                .map(|side| format!("{}, {}, {}", side.says, side.person.name, side.at))
                .collect(),
        };
        answers.dedup();
        found.push(SettledLine {
            unit: one.unit,
            about: one.about,
            answers,
            how: how.unwrap_or_else(|| "settled".to_owned()),
        });
    }
    found
}

fn queries(file: &VisitFile<'_>, book: &Book) -> Vec<Query> {
    let read = &file.head.read;
    let say = Say { names: book, system: None };
    let asked = read.counted(Kind::Query).map(|entry| {
        let replies = read.counted(Kind::Reply).filter_map(|other| match &other.body {
            Body::Reply(reply) if reply.query == entry.id => {
                let who = format!("{}, {}", book.person(other.person()), at(other.stamp.at()));
                Some((reply.text.clone(), who))
            }
            _ => None,
        });
        Query {
            entry: entry.id.to_string(),
            says: say.body(&entry.body),
            person: book.named_person(entry.person()),
            at: at(entry.stamp.at()),
            replies: replies.collect(),
        }
    });
    asked.collect()
}

fn head(file: &VisitFile<'_>, book: &Book) -> Vec<Line> {
    let shown =
        |kind: Kind| !matches!(kind, Kind::SignOff | Kind::Query | Kind::Reply | Kind::Reopen);
    let entries = file.head.read.entries.iter();
    entries
        .filter(|entry| shown(entry.body.kind()))
        .map(|entry| line(entry, vec![], book))
        .collect()
}

fn minutes(file: &VisitFile<'_>) -> u64 {
    let doubles = client_core::record::contradiction::counted_twice(&file.head.read);
    let labour = file.head.read.counted(Kind::Labour);
    labour
        .filter(|entry| !doubles.contains(&entry.id))
        .map(|entry| match &entry.body {
            Body::Labour(labour) => u64::from(labour.minutes),
            _ => 0,
        })
        .sum()
}
