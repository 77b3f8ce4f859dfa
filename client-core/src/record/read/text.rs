//! Texts that several people may edit.

use automerge::{Automerge, ChangeHash, ObjId, ROOT, ReadDoc};

use super::history::History;
use super::{Entry, Read, change_of};
use crate::record::body::{Body, Kind};
use crate::record::doc::{Doc, actor_of};
use crate::record::id::{ActorHalf, EntryId};
use crate::record::key;

/// A text as it stands.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct NoteText {
    /// The note.
    pub note: EntryId,
    /// What it is about.
    pub subject: String,
    /// The entry it is about.
    pub about: Option<EntryId>,
    /// The text, all edits merged.
    pub text: String,
    /// Sessions whose characters stand in it, the note's own first.
    pub writers: Vec<ActorHalf>,
    /// Whether somebody said that they read it as it stands now.
    pub read: bool,
    /// The text in its document.
    pub(crate) object: ObjId,
}

/// A text as one of its writers left it, before the edits of others had joined.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Version {
    /// The session.
    pub actor: ActorHalf,
    /// The text as that session last knew it.
    pub text: String,
    /// The last entry that the session made in this document before it wrote, if any. Edits of a text carry
    /// no stamp of their own.
    pub after: Option<EntryId>,
}

/// What each writer of a text left, the note's own first.
pub fn versions(parts: &[&Doc], read: &Read, text: &NoteText) -> Vec<Version> {
    let Some(entry) = read.entry(text.note) else { return vec![] };
    let Some(document) = parts.iter().find(|document| document.id() == entry.doc) else {
        return vec![];
    };
    let automerge = document.automerge();
    let object = &text.object;
    let mut last: Vec<(ActorHalf, ObjId, u64)> = vec![];
    for item in automerge.list_range(object, ..) {
        let id = item.id();
        let ObjId::Id(counter, actor, _) = &id else { continue };
        let (half, counter) = (actor_of(actor).half(), *counter);
        match last.iter_mut().find(|(known, _, _)| *known == half) {
            Some((_, at, newest)) if *newest < counter => (*at, *newest) = (id.clone(), counter),
            Some(_) => {}
            None => last.push((half, id.clone(), counter)),
        }
    }
    last.sort_by_key(|(half, _, counter)| (*half != text.note.actor, *counter));
    let version = |(actor, op, counter): (ActorHalf, ObjId, u64)| {
        let change = automerge.hash_for_opid(&op)?;
        let own = read.entries.iter().filter(|entry| entry.id.actor == actor);
        let mut before =
            own.filter(|entry| entry.doc == document.id() && entry.order.counter < counter);
        Some(Version {
            actor,
            text: automerge.text_at(object, &[change]).ok()?,
            after: before.next_back().map(|entry| entry.id),
        })
    };
    last.into_iter().filter_map(version).collect()
}

/// Every text of the document.
pub(super) fn texts(parts: &[&Doc], histories: &[Option<History>], read: &Read) -> Vec<NoteText> {
    read.counted(Kind::Note).filter_map(|entry| note(parts, histories, read, entry)).collect()
}

fn note(
    parts: &[&Doc],
    histories: &[Option<History>],
    read: &Read,
    entry: &Entry,
) -> Option<NoteText> {
    let Body::Note(note) = &entry.body else { return None };
    let at = parts.iter().position(|document| document.id() == entry.doc)?;
    let automerge = parts[at].automerge();
    let object = object(automerge, histories.get(at)?.as_ref(), entry)?;
    let text = automerge.text(&object).ok()?;
    let mut writers = vec![entry.id.actor];
    for item in automerge.list_range(&object, ..) {
        if let ObjId::Id(_, actor, _) = item.id() {
            let half = actor_of(&actor).half();
            if !writers.contains(&half) {
                writers.push(half);
            }
        }
    }
    let unchanged_since =
        |change: ChangeHash| automerge.text_at(&object, &[change]).is_ok_and(|then| then == text);
    let was_read = read.counted(Kind::TextRead).any(|reader| {
        matches!(&reader.body, Body::TextRead(mark) if mark.note == entry.id)
            && change_of(parts, reader).is_some_and(unchanged_since)
    });
    Some(NoteText {
        note: entry.id,
        subject: note.subject.clone(),
        about: note.about,
        text,
        writers,
        read: was_read,
        object,
    })
}

/// The text object of a note: the one that the same session made as the note.
fn object(automerge: &Automerge, history: Option<&History>, entry: &Entry) -> Option<ObjId> {
    let ObjId::Id(_, writer, _) = &entry.op else { return None };
    if let Some(object) = history.and_then(|history| history.text(entry.id)) {
        return Some(object);
    }
    let all = automerge.get_all(ROOT, key::text(entry.id)).ok()?;
    all.into_iter().find_map(|(value, object)| {
        let ObjId::Id(_, actor, _) = &object else { return None };
        (value.is_object() && actor == writer).then_some(object)
    })
}
