//! Reading a document: everything that can be read, and a list of what cannot.

mod history;
mod text;

use automerge::iter::MapRangeItem;
use automerge::{ChangeHash, ObjId, ROOT, ReadDoc, ScalarValue, ScalarValueRef, ValueRef};

use crate::record::body::{self, Body, EntryWrong, Kind};
use crate::record::code::Role;
use crate::record::doc::{Doc, SCHEMA_VERSION, actor_of};
use crate::record::doc_id::DocId;
use crate::record::field::Field;
use crate::record::id::{ActorHalf, EntryId, PersonId};
use crate::record::key::{self, Key};
use crate::record::merged::{self, Merged};
use crate::record::signer::{Signers, Standing};
use crate::record::stamp::Stamp;

use history::History;

pub(crate) use history::unusual;
pub use text::{NoteText, Version, versions};

/// Order of entries: by causality, as part, operation counter and actor extend it. Never by clock.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Order {
    /// Part of the document.
    pub part: u16,
    /// automerge's operation counter.
    pub counter: u64,
    /// Half of the actor, to break ties the same way everywhere.
    pub actor: ActorHalf,
}

/// One entry as read.
#[derive(Clone, Debug)]
pub struct Entry {
    /// Its number.
    pub id: EntryId,
    /// The document part it stands in.
    pub doc: DocId,
    /// Its place in the order.
    pub order: Order,
    /// Who and when.
    pub stamp: Stamp,
    /// What it says.
    pub body: Body,
    /// How the signature behind it stands.
    pub standing: Standing,
    /// The entry that takes it out of the count.
    pub voided_by: Option<EntryId>,
    /// The entry that corrects it.
    pub corrected_by: Option<EntryId>,
    op: ObjId,
}

impl Entry {
    /// Whether it counts: neither voided nor corrected nor waiting for a supervisor.
    pub fn counts(&self) -> bool {
        self.voided_by.is_none() && self.corrected_by.is_none() && self.shown()
    }

    /// Whether it is shown among the others at all.
    pub fn shown(&self) -> bool {
        self.standing != Standing::Waiting
    }

    /// The person whose work it is.
    pub fn person(&self) -> PersonId {
        self.stamp.person()
    }

    /// The document key.
    pub fn key(&self) -> String {
        key::entry(self.body.kind(), self.id)
    }
}

/// A part of a document that cannot be read or was not written as it should be. Never fatal.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum Problem {
    /// An entry cannot be read.
    #[error("{key}: {wrong}")]
    Entry {
        /// The document key.
        key: String,
        /// What is wrong.
        wrong: EntryWrong,
    },
    /// A key under another person's actor.
    #[error("{key} was written by another session than its name says; it is not counted")]
    AnothersKey {
        /// The document key.
        key: String,
    },
    /// Somebody put or deleted evidence that stood already. What stood first is shown.
    #[error("{key} was overwritten or deleted by {by}; what stood first is shown")]
    Overwritten {
        /// The document key.
        key: String,
        /// Half of the actor that did it.
        by: ActorHalf,
    },
    /// A register whose value cannot be read.
    #[error("{key} holds a value that this program cannot read")]
    Register {
        /// The document key.
        key: String,
    },
    /// Keys of a newer version. They are kept.
    #[error("{count} keys are of a newer version; they are kept and not shown")]
    Newer {
        /// How many.
        count: usize,
    },
    /// The record's version is newer than this program.
    #[error("record version {found}, this program reads up to {SCHEMA_VERSION}")]
    Schema {
        /// Version found.
        found: u64,
    },
    /// An entry in a document of another kind.
    #[error("{key} does not belong into this document; it is not counted")]
    NotAtHome {
        /// The document key.
        key: String,
    },
}

/// Everything that could be read of a document, all its parts joined.
#[derive(Clone, Debug, Default)]
pub struct Read {
    /// Entries in order.
    pub entries: Vec<Entry>,
    /// Registers that were ever set.
    pub fields: Vec<(Field, Merged)>,
    /// Texts.
    pub texts: Vec<NoteText>,
    /// What could not be read.
    pub problems: Vec<Problem>,
}

impl Read {
    /// A register, if it was ever set.
    pub fn field(&self, field: &Field) -> Option<&Merged> {
        self.fields.iter().find(|(known, _)| known == field).map(|(_, merged)| merged)
    }

    /// A register without a subject, by its key.
    pub fn named(&self, key: &str) -> Option<&Merged> {
        self.field(&Field::named(key))
    }

    /// An entry.
    pub fn entry(&self, id: EntryId) -> Option<&Entry> {
        self.entries.iter().find(|entry| entry.id == id)
    }

    /// Entries of one kind that count, in order.
    pub fn counted(&self, kind: Kind) -> impl Iterator<Item = &Entry> {
        self.entries.iter().filter(move |entry| entry.body.kind() == kind && entry.counts())
    }

    /// Entries of one kind that are shown, counted or not, in order.
    pub fn shown(&self, kind: Kind) -> impl Iterator<Item = &Entry> {
        self.entries.iter().filter(move |entry| entry.body.kind() == kind && entry.shown())
    }
}

/// Stamp and body of one entry.
pub fn entry(document: &Doc, kind: Kind, id: EntryId) -> Option<(Stamp, Body)> {
    let (value, _) = document.automerge().get(ROOT, key::entry(kind, id)).ok().flatten()?;
    let automerge::Value::Scalar(scalar) = value else { return None };
    let ScalarValue::Bytes(bytes) = scalar.as_ref() else { return None };
    body::decode(kind, bytes).ok()
}

/// Reads all parts of a document, first part first.
pub fn read(parts: &[&Doc], signers: &Signers) -> Read {
    let mut out = Read::default();
    let mut newer = 0;
    let mut fields: Vec<Field> = vec![];
    let histories: Vec<Option<History>> =
        parts.iter().map(|document| History::where_needed(document, signers)).collect();
    for (document, history) in parts.iter().zip(&histories) {
        for item in document.automerge().map_range(ROOT, ..) {
            let key = item.key.to_string();
            match Key::of(&key) {
                Key::First | Key::Text(_) => {}
                Key::Schema => schema(&item, &mut out.problems),
                Key::Entry(..) if history.is_some() => {}
                Key::Entry(kind, id) => add(&mut out, document, signers, (kind, id), &item),
                Key::Other => match Field::from_key(&key) {
                    Some(field) if field.def.home.takes(document.id().kind) => {
                        if !fields.contains(&field) {
                            fields.push(field);
                        }
                    }
                    Some(_) => out.problems.push(Problem::NotAtHome { key }),
                    None => newer += 1,
                },
            }
        }
        if let Some(history) = history {
            for (kind, id, bytes, op) in history.entries(signers, &mut out.problems) {
                push(&mut out, document, signers, (kind, id), &bytes, op);
            }
            // Registers that somebody took away stand in the history only.
            fields.extend(
                history.fields().filter(|field| !fields.contains(field)).collect::<Vec<_>>(),
            );
        }
    }
    if newer > 0 {
        out.problems.push(Problem::Newer { count: newer });
    }
    out.entries.sort_by_key(|entry| (entry.order, entry.id.n));
    relate(&mut out, signers);
    registers(&mut out, fields, parts, &histories, signers);
    out.texts = text::texts(parts, &histories, &out);
    out
}

/// Reads every register. What a revoked key wrote does not count until a supervisor answers for it, and a
/// value that somebody signed in another's name is shown as entered for them.
fn registers(
    out: &mut Read,
    fields: Vec<Field>,
    parts: &[&Doc],
    histories: &[Option<History>],
    signers: &Signers,
) {
    let vouched = vouches(&out.entries, signers);
    for field in fields {
        let mut sides = merged::Sides::default();
        for (part, (document, history)) in parts.iter().zip(histories).enumerate() {
            match history {
                None => sides.add_current(part, document, &field),
                Some(history) => sides.add(part, history.sides(&field, signers, &vouched)),
            }
        }
        let mut sides = sides.standing();
        for said in &mut sides {
            let signer = signers.get(said.id.actor);
            if let Some(signer) = signer.filter(|signer| signer.person != said.stamp.by) {
                said.stamp.entered_for.get_or_insert(said.stamp.by);
                said.stamp.by = signer.person;
            }
        }
        match merged::join(&field, sides) {
            Some(merged) => out.fields.push((field, merged)),
            None => out.problems.push(Problem::Register { key: field.key() }),
        }
    }
}

fn schema(item: &MapRangeItem<'_>, problems: &mut Vec<Problem>) {
    if let ValueRef::Scalar(ScalarValueRef::Uint(found)) = item.value
        && found > SCHEMA_VERSION
    {
        problems.push(Problem::Schema { found });
    }
}

fn add(
    out: &mut Read,
    document: &Doc,
    signers: &Signers,
    (kind, id): (Kind, EntryId),
    item: &MapRangeItem<'_>,
) {
    let bytes = match &item.value {
        ValueRef::Scalar(ScalarValueRef::Bytes(bytes)) => bytes.to_vec(),
        _ => {
            let wrong = EntryWrong::Broken("it is not bytes".to_owned());
            out.problems.push(Problem::Entry { key: item.key.to_string(), wrong });
            return;
        }
    };
    push(out, document, signers, (kind, id), &bytes, item.id());
}

fn push(
    out: &mut Read,
    document: &Doc,
    signers: &Signers,
    (kind, id): (Kind, EntryId),
    bytes: &[u8],
    op: ObjId,
) {
    let key = || key::entry(kind, id);
    let ObjId::Id(counter, actor, _) = &op else { return };
    let writer = actor_of(actor).half();
    if writer != id.actor && !same_device(signers, writer, id.actor) {
        out.problems.push(Problem::AnothersKey { key: key() });
        return;
    }
    if !kind.home().takes(document.id().kind) {
        out.problems.push(Problem::NotAtHome { key: key() });
        return;
    }
    match body::decode(kind, bytes) {
        Err(wrong) => out.problems.push(Problem::Entry { key: key(), wrong }),
        Ok((stamp, body)) => {
            let order = Order { part: document.id().part, counter: *counter, actor: id.actor };
            let change = || document.automerge().hash_for_opid(&op);
            let late = signers.any_late() && change().is_some_and(|hash| signers.is_late(&hash.0));
            let standing = standing(signers, id, &stamp, late);
            out.entries.push(Entry {
                id,
                doc: document.id(),
                order,
                stamp,
                body,
                standing,
                voided_by: None,
                corrected_by: None,
                op,
            });
        }
    }
}

/// A device may enter its own evidence again under the same number in a later session, when what it had
/// built on was refused.
pub(super) fn same_device(signers: &Signers, one: ActorHalf, other: ActorHalf) -> bool {
    let device = |half| signers.get(half).map(|signer| signer.device);
    device(one).is_some() && device(one) == device(other)
}

fn standing(signers: &Signers, id: EntryId, stamp: &Stamp, late: bool) -> Standing {
    match signers.get(id.actor) {
        _ if late => Standing::Waiting,
        None => Standing::Unknown,
        Some(signer) if signer.person != stamp.by => Standing::AnotherPerson,
        Some(_) => Standing::Good,
    }
}

/// Sessions for which a supervisor answers, each up to an entry.
fn vouches(entries: &[Entry], signers: &Signers) -> Vouches {
    let by_supervisor = |entry: &&Entry| {
        let signer = signers.get(entry.id.actor);
        entry.shown() && signer.is_some_and(|signer| signer.role == Role::Supervisor)
    };
    let vouch = |entry: &Entry| match &entry.body {
        Body::Vouch(vouch) => Some((vouch.actor, vouch.up_to)),
        _ => None,
    };
    Vouches(entries.iter().filter(by_supervisor).filter_map(vouch).collect())
}

/// Sessions for which a supervisor answers.
#[derive(Debug)]
struct Vouches(Vec<(ActorHalf, u32)>);

impl Vouches {
    fn covers(&self, id: EntryId) -> bool {
        self.0.iter().any(|(actor, up_to)| *actor == id.actor && id.n <= *up_to)
    }
}

/// Fills in what entries say about each other: vouches, voids, corrections.
fn relate(out: &mut Read, signers: &Signers) {
    let vouched = vouches(&out.entries, signers);
    for entry in &mut out.entries {
        if entry.standing == Standing::Waiting && vouched.covers(entry.id) {
            entry.standing = Standing::Vouched;
        }
    }
    let mut relations: Vec<(EntryId, EntryId, bool)> = vec![];
    for entry in out.entries.iter().filter(|entry| entry.shown()) {
        match &entry.body {
            Body::Void(void) => relations.push((void.entry, entry.id, true)),
            Body::Reading(reading) => {
                relations.extend(reading.corrects.map(|old| (old, entry.id, false)));
            }
            Body::Check(check) => {
                relations.extend(check.corrects.map(|old| (old, entry.id, false)));
            }
            _ => {}
        }
    }
    // Only the person themselves and a supervisor take evidence out of the count.
    relations.retain(|(old, new, _)| may_relate(out, signers, *old, *new));
    // A correction that was itself taken out of the count corrects nothing any more.
    let voided: Vec<EntryId> =
        relations.iter().filter(|(_, _, void)| *void).map(|(old, _, _)| *old).collect();
    for (old, new, void) in relations {
        let counts = !voided.contains(&new);
        if let Some(entry) = out.entries.iter_mut().find(|entry| entry.id == old)
            && counts
        {
            let slot = if void { &mut entry.voided_by } else { &mut entry.corrected_by };
            slot.get_or_insert(new);
        }
    }
}

/// Whether the author of one entry may void or correct another: the same person, or a supervisor.
fn may_relate(out: &Read, signers: &Signers, old: EntryId, new: EntryId) -> bool {
    let (Some(old), Some(new)) = (out.entry(old), out.entry(new)) else { return false };
    let signer = signers.get(new.id.actor);
    let supervisor = signer.is_some_and(|signer| signer.role == Role::Supervisor);
    let by = signer.map_or(new.stamp.by, |signer| signer.person);
    supervisor || by == old.stamp.by || by == old.person()
}

/// The change that made an entry.
pub fn change_of(parts: &[&Doc], entry: &Entry) -> Option<ChangeHash> {
    let document = parts.iter().find(|document| document.id() == entry.doc)?;
    document.automerge().hash_for_opid(&entry.op)
}

/// Whether the author of `later` had seen `earlier` when writing. Same document only.
pub fn had_seen(parts: &[&Doc], later: &Entry, earlier: &Entry) -> bool {
    let Some(document) = parts.iter().find(|document| document.id() == later.doc) else {
        return false;
    };
    if earlier.doc != later.doc {
        return seen_in_other_part(parts, later, earlier);
    }
    if earlier.order.counter > later.order.counter {
        return false;
    }
    match document.automerge().hash_for_opid(&later.op) {
        Some(change) => document.stood_at(&earlier.key(), &[change]),
        None => false,
    }
}

/// Parts do not share a change graph: an entry of a later part names the heads of the part before that
/// its author held.
fn seen_in_other_part(parts: &[&Doc], later: &Entry, earlier: &Entry) -> bool {
    let named = crate::record::file::seen_heads(later, parts);
    let heads = named.into_iter().find(|(doc, _)| *doc == earlier.doc).map(|(_, heads)| heads);
    let document = parts.iter().find(|document| document.id() == earlier.doc);
    match (document, heads) {
        (Some(document), Some(heads)) => document.stood_at(&earlier.key(), &heads),
        _ => earlier.doc.part < later.doc.part,
    }
}
