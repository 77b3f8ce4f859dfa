//! What a change holds, for lists of news, clocks, and judging revoked work.

use std::panic::{AssertUnwindSafe, catch_unwind};

use automerge::legacy::{Key as LegacyKey, ObjectId, OpType};
use automerge::{Change, ScalarValue};

use crate::record::body::{self, Kind};
use crate::record::field;
use crate::record::id::EntryId;
use crate::record::key::Key;
use crate::record::stamp::Stamp;

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

/// Entries and register values in a change, in order. Bytes that do not parse hold nothing.
///
/// The change has passed the cheap stages of the gate, which bound what parsing it can take; the parser
/// may still panic on it, and then it holds nothing either.
pub fn inside(change: &[u8]) -> Vec<Inside> {
    catch_unwind(AssertUnwindSafe(|| parse(change))).unwrap_or_default()
}

fn parse(change: &[u8]) -> Vec<Inside> {
    let Ok(change) = Change::from_bytes(change.to_vec()) else { return vec![] };
    let mut found = vec![];
    for op in change.decode().operations {
        let (ObjectId::Root, LegacyKey::Map(key)) = (&op.obj, &op.key) else { continue };
        let OpType::Put(ScalarValue::Bytes(bytes)) = op.action else { continue };
        let (id, kind) = match Key::of(key) {
            Key::Entry(kind, id) => (id, Some(kind)),
            _ => match field::decode(&bytes) {
                Ok(said) => (said.id, None),
                Err(_) => continue,
            },
        };
        found.push(Inside { id, kind, key: key.to_string(), bytes });
    }
    found
}

/// The stamp of the first entry in a change.
pub fn stamp_of(change: &[u8]) -> Option<Stamp> {
    inside(change).into_iter().find_map(|inside| match inside.kind {
        Some(kind) => body::decode(kind, &inside.bytes).ok().map(|(stamp, _)| stamp),
        None => field::decode(&inside.bytes).ok().map(|said| said.stamp),
    })
}
