//! Reading a document by its whole history: where somebody overwrote or deleted what stood, wrote under
//! another session's keys, or wrote after their key was revoked.
//!
//! Only a foreign, broken or revoked program does that. It costs a pass over all changes, so it is done
//! only for documents that the gate marked or in which something late stands.

use std::collections::{BTreeMap, BTreeSet};

use automerge::legacy::{Key as LegacyKey, ObjectId, OpType};
use automerge::{ActorId, ObjId, ObjType, ScalarValue};

use super::{Problem, Vouches, same_device};
use crate::record::body::Kind;
use crate::record::doc::{Doc, actor_of};
use crate::record::field::{self, Field, Said};
use crate::record::id::{ActorHalf, EntryId};
use crate::record::key::{self, Key};
use crate::record::signer::Signers;

type OpId = (u64, ActorId);
type Found = (Kind, EntryId, Vec<u8>, ObjId);

/// One operation on a root key.
#[derive(Debug)]
struct Write {
    id: OpId,
    replaces: Vec<OpId>,
    change: [u8; 32],
    what: What,
}

#[derive(Debug)]
enum What {
    Bytes(Vec<u8>),
    Text,
    Other,
}

/// Every operation on every root key, in an order in which each follows what it builds on.
#[derive(Debug)]
pub(super) struct History {
    keys: BTreeMap<String, Vec<Write>>,
}

impl Write {
    fn half(&self) -> ActorHalf {
        actor_of(&self.id.1).half()
    }

    fn object(&self) -> ObjId {
        ObjId::Id(self.id.0, self.id.1.clone(), 0)
    }
}

impl History {
    /// The history of a document that cannot be read as it stands.
    pub(super) fn where_needed(document: &Doc, signers: &Signers) -> Option<History> {
        let late = || {
            let metas = document.automerge().get_changes_meta(&[]);
            metas.iter().any(|meta| signers.is_late(&meta.hash.0))
        };
        let needed = document.overwritten() || (signers.any_late() && late());
        needed.then(|| History::of(document))
    }

    fn of(document: &Doc) -> History {
        let mut keys: BTreeMap<String, Vec<Write>> = BTreeMap::new();
        for change in document.automerge().get_changes(&[]) {
            let (actor, hash) = (change.actor_id().clone(), change.hash().0);
            let start = change.start_op().get();
            for (index, op) in change.decode().operations.into_iter().enumerate() {
                let (ObjectId::Root, LegacyKey::Map(key)) = (&op.obj, &op.key) else { continue };
                let id = (start + u64::try_from(index).unwrap_or(u64::MAX), actor.clone());
                let replaces = op.pred.iter().map(|id| (id.counter(), id.actor().clone()));
                let what = match op.action {
                    OpType::Put(ScalarValue::Bytes(bytes)) => What::Bytes(bytes),
                    OpType::Make(ObjType::Text) => What::Text,
                    _ => What::Other,
                };
                let write = Write { id, replaces: replaces.collect(), change: hash, what };
                keys.entry(key.to_string()).or_default().push(write);
            }
        }
        History { keys }
    }

    /// Every entry that its own session ever wrote, as it first stood; where that one is not there, as a
    /// later session of the same device entered it again.
    pub(super) fn entries(&self, signers: &Signers, problems: &mut Vec<Problem>) -> Vec<Found> {
        let mut found = vec![];
        for (key, writes) in &self.keys {
            let Key::Entry(kind, id) = Key::of(key) else { continue };
            let own =
                |write: &&Write| matches!(write.what, What::Bytes(_)) && write.half() == id.actor;
            let again = |write: &&Write| {
                matches!(write.what, What::Bytes(_)) && same_device(signers, write.half(), id.actor)
            };
            let first = writes.iter().find(own).or_else(|| writes.iter().find(again));
            for write in writes {
                let same = same_device(signers, write.half(), id.actor)
                    && matches!((&write.what, first.map(|first| &first.what)),
                        (What::Bytes(one), Some(What::Bytes(other))) if one == other);
                let itself = first.is_some_and(|first| first.id == write.id);
                if !itself && !same {
                    problems.push(Problem::Overwritten { key: key.clone(), by: write.half() });
                }
            }
            if let Some(Write { what: What::Bytes(bytes), .. }) = first {
                let op = first.map_or(automerge::ROOT, Write::object);
                found.push((kind, id, bytes.clone(), op));
            }
        }
        found
    }

    /// Every register that was ever set.
    pub(super) fn fields(&self) -> impl Iterator<Item = Field> {
        self.keys
            .iter()
            .filter(|(_, writes)| writes.iter().any(|write| said(write).is_some()))
            .filter_map(|(key, _)| Field::from_key(key))
    }

    /// Values of a register that no later value replaces. Only values count that their own session wrote
    /// and that are not waiting for a supervisor; what a value replaced through others that do not count
    /// is replaced all the same.
    pub(super) fn sides(
        &self,
        field: &Field,
        signers: &Signers,
        vouched: &Vouches,
    ) -> Vec<(u64, Said)> {
        let Some(writes) = self.keys.get(&field.key()) else { return vec![] };
        let counts = |write: &Write| {
            said(write).filter(|said| {
                let waits = signers.is_late(&write.change) && !vouched.covers(said.id);
                field.fits(&said.value) && !waits
            })
        };
        let mut replaced: BTreeSet<&OpId> = BTreeSet::new();
        for write in writes.iter().filter(|write| counts(write).is_some()) {
            let mut open: Vec<&OpId> = write.replaces.iter().collect();
            while let Some(id) = open.pop() {
                if replaced.insert(id)
                    && let Some(earlier) = writes.iter().find(|earlier| earlier.id == *id)
                {
                    open.extend(&earlier.replaces);
                }
            }
        }
        let stands = writes.iter().filter(|write| !replaced.contains(&write.id));
        stands.filter_map(|write| Some((write.id.0, counts(write)?))).collect()
    }

    /// The text of a note as its own session made it, whatever was put in its place.
    pub(super) fn text(&self, note: EntryId) -> Option<ObjId> {
        let writes = self.keys.get(&key::text(note))?;
        let own = |write: &&Write| matches!(write.what, What::Text) && write.half() == note.actor;
        writes.iter().find(own).map(Write::object)
    }
}

/// The value that a register's own session wrote.
fn said(write: &Write) -> Option<Said> {
    let What::Bytes(bytes) = &write.what else { return None };
    let said = field::decode(bytes).ok()?;
    (said.id.actor == write.half()).then_some(said)
}

/// Whether a change does something that makes a document readable by its history only: replaces or
/// deletes evidence or texts, writes under another session's keys, deletes anything, or puts into a
/// register what is no value of its own session.
pub(crate) fn unusual(change: &automerge::ExpandedChange) -> bool {
    let half = actor_of(&change.actor_id).half();
    change.operations.iter().any(|op| {
        let (ObjectId::Root, LegacyKey::Map(key)) = (&op.obj, &op.key) else { return false };
        let put = match &op.action {
            OpType::Put(ScalarValue::Bytes(bytes)) => Some(bytes),
            _ => None,
        };
        match Key::of(key) {
            Key::First | Key::Schema => op.action == OpType::Delete,
            Key::Entry(_, id) => put.is_none() || !op.pred.is_empty() || id.actor != half,
            Key::Text(id) => {
                let text = matches!(op.action, OpType::Make(ObjType::Text));
                !text || !op.pred.is_empty() || id.actor != half
            }
            Key::Other => {
                let own =
                    |bytes: &Vec<u8>| field::decode(bytes).is_ok_and(|said| said.id.actor == half);
                Field::from_key(key).is_some() && !put.is_some_and(own)
            }
        }
    })
}
