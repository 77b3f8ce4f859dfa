//! What a change holds, for lists of news and for judging revoked work. Only for changes that passed
//! the cheap stages of the gate: their size and the number of their operations are bounded, and nothing
//! else is sure.

use std::panic::{AssertUnwindSafe, catch_unwind};

use automerge::legacy::{Key as LegacyKey, ObjectId, OpType};
use automerge::{Change, ScalarValue};

use crate::record::body::Kind;
use crate::record::field;
use crate::record::id::EntryId;
use crate::record::key::Key;

/// One thing that a change put under the root.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Inside {
    /// The entry's number.
    pub id: EntryId,
    /// Its kind; none for a register.
    pub kind: Option<Kind>,
    /// The document key.
    pub key: String,
    /// The bytes.
    pub bytes: Vec<u8>,
}

/// Entries and register values in a change, in order. Bytes that do not parse, or on which automerge
/// panics, hold nothing: the gate will refuse them.
pub fn inside(change: &[u8]) -> Vec<Inside> {
    let read = AssertUnwindSafe(|| {
        let change = Change::from_bytes(change.to_vec()).ok()?;
        Some(change.decode().operations.into_iter().filter_map(one).collect())
    });
    catch_unwind(read).ok().flatten().unwrap_or_default()
}

fn one(op: automerge::legacy::Op) -> Option<Inside> {
    let (ObjectId::Root, LegacyKey::Map(key)) = (&op.obj, &op.key) else { return None };
    let OpType::Put(ScalarValue::Bytes(bytes)) = op.action else { return None };
    let (id, kind) = match Key::of(key) {
        Key::Entry(kind, id) => (id, Some(kind)),
        _ => (field::decode(&bytes).ok()?.id, None),
    };
    Some(Inside { id, kind, key: key.to_string(), bytes })
}
