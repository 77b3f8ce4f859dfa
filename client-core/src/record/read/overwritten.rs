//! Reading a document in which somebody overwrote or deleted evidence: by its whole history.
//!
//! Only a foreign or broken program does that. It costs a pass over all changes, so it is done only
//! for documents that the gate marked.

use std::collections::BTreeMap;

use automerge::{ObjId, ObjType, ScalarValue};

use super::Problem;
use crate::record::body::Kind;
use crate::record::doc::{Doc, actor_of};
use crate::record::id::EntryId;
use crate::record::key::Key;

type Found = (Kind, EntryId, Vec<u8>, ObjId);

/// Every entry that its own session ever wrote, as it first stood.
pub(super) fn entries(document: &Doc, problems: &mut Vec<Problem>) -> Vec<Found> {
    let mut found: BTreeMap<String, Found> = BTreeMap::new();
    for change in document.automerge().get_changes(&[]) {
        let actor = change.actor_id().clone();
        let half = actor_of(&actor).half();
        let expanded = change.decode();
        for (index, op) in expanded.operations.iter().enumerate() {
            if op.obj != automerge::legacy::ObjectId::Root {
                continue;
            }
            let automerge::legacy::Key::Map(key) = &op.key else { continue };
            let Key::Entry(kind, id) = Key::of(key) else { continue };
            if let Some((_, known, _, _)) = found.get(key.as_str()) {
                if half != known.actor || !op.pred.is_empty() {
                    problems.push(Problem::Overwritten { key: key.to_string(), by: half });
                }
                continue;
            }
            let automerge::legacy::OpType::Put(ScalarValue::Bytes(bytes)) = &op.action else {
                continue;
            };
            if half == id.actor {
                let counter = change.start_op().get() + u64::try_from(index).unwrap_or(u64::MAX);
                let op = ObjId::Id(counter, actor.clone(), 0);
                found.insert(key.to_string(), (kind, id, bytes.clone(), op));
            }
        }
    }
    found.into_values().collect()
}

/// Whether a change puts or deletes a root key of evidence that has a predecessor: the mark.
pub(crate) fn overwrites(change: &automerge::ExpandedChange) -> bool {
    change.operations.iter().any(|op| {
        let automerge::legacy::Key::Map(key) = &op.key else { return false };
        let root = op.obj == automerge::legacy::ObjectId::Root;
        let guarded = matches!(Key::of(key), Key::Entry(..) | Key::Text(_));
        let object =
            matches!(op.action, automerge::legacy::OpType::Make(kind) if kind != ObjType::Text);
        root && guarded && (!op.pred.is_empty() || object)
    })
}
