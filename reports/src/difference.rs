//! What two people said differently, both sides with person, instrument and time, and how it ended.

use client_core::record::body::{Body, Kind};
use client_core::record::contradiction::{Contradiction, Past};
use client_core::record::doc_id::DocId;
use client_core::record::field::{Field, FieldValue, Said};
use client_core::record::file::{Papers, VisitFile};
use client_core::record::id::{ApplianceId, EntryId, PersonId};
use client_core::record::mark::{Mark, Marker};
use client_core::record::read::{Entry, versions};
use client_core::record::value::Moment;

/// What a side says.
#[derive(Clone, Debug, PartialEq)]
pub enum Says {
    /// An entry.
    Entry(Box<Body>),
    /// An answer in a register, with its reason.
    Answer(Field, FieldValue, Option<String>),
    /// A text as one writer left it.
    Version(String),
}

/// One side.
#[derive(Clone, Debug, PartialEq)]
pub struct Side {
    /// The entry, where the side is one.
    pub entry: Option<EntryId>,
    /// Whose it is; none where no certificate tells.
    pub person: Option<PersonId>,
    /// When, by the clock of that person's device.
    pub at: Option<Moment>,
    /// The moment is that of the entry before it: edits of a text carry no stamp.
    pub after: bool,
    /// What it says.
    pub says: Says,
    /// The instrument of a reading.
    pub instrument: Option<EntryId>,
    /// Remarks beside it.
    pub marks: Vec<Mark>,
    /// Whether it governs, or was chosen.
    pub governs: bool,
}

/// How a difference ended.
#[derive(Clone, Debug, PartialEq)]
pub struct Settled {
    /// The entry that ended it.
    pub entry: EntryId,
    /// Who.
    pub person: PersonId,
    /// When.
    pub at: Moment,
    /// What it says.
    pub body: Body,
    /// The value that stands now, for a register.
    pub value: Option<(Field, FieldValue)>,
}

/// A difference.
#[derive(Clone, Debug, PartialEq)]
pub struct Difference {
    /// What it is about.
    pub about: Contradiction,
    /// What a settlement names.
    pub key: String,
    /// The unit.
    pub unit: Option<ApplianceId>,
    /// Every side.
    pub sides: Vec<Side>,
    /// How it ended; none while it is open.
    pub settled: Option<Settled>,
}

impl Difference {
    /// Every difference of a visit, open ones first, each kind in the order of the visit's units.
    pub fn all(file: &VisitFile<'_>) -> Vec<Difference> {
        let marker = Marker::new(file);
        let mut all: Vec<Difference> =
            file.differences().iter().map(|past| of(file, &marker, past)).collect();
        all.sort_by_key(|difference| difference.settled.is_some());
        all
    }
}

fn of(file: &VisitFile<'_>, marker: &Marker<'_>, past: &Past) -> Difference {
    let unit = match &past.about {
        Contradiction::RemovedWithEvidence { appliance, .. } => Some(*appliance),
        other => other.doc().and_then(DocId::appliance),
    };
    Difference {
        about: past.about.clone(),
        key: past.about.key(),
        unit,
        sides: sides(file, marker, past),
        settled: past.settled_by.and_then(|id| settled(file, past, id)),
    }
}

fn settled(file: &VisitFile<'_>, past: &Past, id: EntryId) -> Option<Settled> {
    let entry = find(file, id).map(|(_, entry)| entry);
    let entry = entry.or_else(|| file.site?.entry(id))?;
    let value = match &past.about {
        Contradiction::Field { field, merged, .. } => {
            merged.governs().map(|said| (*field, said.value.clone()))
        }
        _ => None,
    };
    Some(Settled {
        entry: id,
        person: entry.person(),
        at: entry.stamp.at(),
        body: entry.body.clone(),
        value,
    })
}

fn find<'f>(file: &'f VisitFile<'_>, id: EntryId) -> Option<(&'f Papers<'f>, &'f Entry)> {
    file.papers().find_map(|papers| Some((papers, papers.read.entry(id)?)))
}

fn sides(file: &VisitFile<'_>, marker: &Marker<'_>, past: &Past) -> Vec<Side> {
    match &past.about {
        Contradiction::Field { field, merged, .. } => {
            let governs = merged.governs().map(|said| said.id);
            let settling = merged.governs().filter(|said| said.settles).map(|said| said.id);
            // The settlement itself is told below the sides, not as a third opinion.
            let answers = past.answers.iter().filter(|said| Some(said.id) != settling);
            let asked: Vec<&Said> = match settling {
                Some(_) => contested_sides(merged.governs(), answers.collect()),
                None => answers.collect(),
            };
            let side = |said: &&Said| answer(field, said, governs == Some(said.id));
            asked.iter().map(side).collect()
        }
        Contradiction::Text { note, .. } => texts(file, *note),
        Contradiction::Late { entries, .. } => {
            let one = |id: &EntryId| entry_side(file, marker, *id, false);
            entries.iter().filter_map(one).collect()
        }
        other => {
            let chosen = chosen(file, past);
            let one = |id: EntryId| entry_side(file, marker, id, chosen == Some(id));
            other.sides().into_iter().filter_map(one).collect()
        }
    }
}

/// The answers that a settlement names, where it names them.
fn contested_sides<'s>(settled: Option<&Said>, answers: Vec<&'s Said>) -> Vec<&'s Said> {
    let over = settled.map(|said| said.over.clone()).unwrap_or_default();
    let named: Vec<&Said> =
        answers.iter().filter(|said| over.contains(&said.id)).copied().collect();
    if named.len() > 1 { named } else { answers }
}

fn chosen(file: &VisitFile<'_>, past: &Past) -> Option<EntryId> {
    let named = past.settled_by.and_then(|id| match &find(file, id)?.1.body {
        Body::Settlement(settlement) => settlement.chosen,
        Body::DoubleMark(mark) if mark.same => Some(mark.keep),
        _ => None,
    });
    named.or(match &past.about {
        Contradiction::Readings { governs, .. } => *governs,
        _ => None,
    })
}

fn answer(field: &Field, said: &Said, governs: bool) -> Side {
    Side {
        entry: Some(said.id),
        person: Some(said.stamp.person()),
        at: Some(said.stamp.at()),
        after: false,
        says: Says::Answer(*field, said.value.clone(), said.reason.clone()),
        instrument: None,
        marks: vec![],
        governs,
    }
}

fn entry_side(
    file: &VisitFile<'_>,
    marker: &Marker<'_>,
    id: EntryId,
    governs: bool,
) -> Option<Side> {
    let found = find(file, id);
    let entry = found.map(|(_, entry)| entry).or_else(|| file.site?.entry(id))?;
    let instrument = match &entry.body {
        Body::Reading(reading) => reading.instrument,
        _ => None,
    };
    Some(Side {
        entry: Some(id),
        person: Some(entry.person()),
        at: Some(entry.stamp.at()),
        after: false,
        says: Says::Entry(Box::new(entry.body.clone())),
        instrument,
        marks: found.map(|(papers, entry)| marker.marks(papers, entry)).unwrap_or_default(),
        governs,
    })
}

fn texts(file: &VisitFile<'_>, note: EntryId) -> Vec<Side> {
    let papers = file.papers().find(|papers| papers.read.entry(note).is_some());
    let Some(papers) = papers else { return vec![] };
    let text = papers.read.texts.iter().find(|text| text.note == note);
    let Some(text) = text else { return vec![] };
    let found = versions(&papers.parts, &papers.read, text);
    found
        .into_iter()
        .map(|version| {
            let before = version.after.and_then(|id| papers.read.entry(id));
            let own = version.actor == note.actor;
            let signer = file.signers.get(version.actor).map(|signer| signer.person);
            Side {
                entry: own.then_some(note),
                person: signer.or_else(|| before.map(Entry::person)),
                at: before.map(|entry| entry.stamp.at()),
                after: before.is_some_and(|entry| entry.body.kind() != Kind::Note),
                says: Says::Version(version.text),
                instrument: None,
                marks: vec![],
                governs: false,
            }
        })
        .collect()
}
