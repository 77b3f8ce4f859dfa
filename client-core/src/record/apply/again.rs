//! Entering again, on accepted ground, what a refused change had said.

use std::collections::BTreeMap;

use automerge::legacy::{Key as LegacyKey, ObjectId, OpType};
use automerge::transaction::{CommitOptions, Transactable, Transaction};
use automerge::{Automerge, Change, ChangeHash, ObjId, ObjType, ROOT, ReadDoc, ScalarValue};

use super::{Delta, Pen, refused};
use crate::record::doc::{self, Doc};
use crate::record::field;
use crate::record::id::EntryId;
use crate::record::key::Key;
use crate::record::refused::Refused;

/// Enters again what a change of the same device said. `old` is the document as it was with the change,
/// `ground` the accepted part of it that the change's author knew.
///
/// Evidence and texts keep their numbers; a value of a register gets a new one, because it has to be its
/// own session's.
pub fn enter_again(
    old: &Doc,
    ground: &mut Automerge,
    change: &Change,
    pen: &mut Pen,
) -> Result<Option<Delta>, Refused> {
    let mut draft = pen.clone();
    let at = [change.hash()];
    let texts = texts(old.automerge(), &at);
    ground.set_actor(doc::actor(pen.actor));
    let transaction = ground.transaction();
    let writer = Again { transaction, pen: &mut draft, entries: vec![] };
    let (hash, entries) = writer.all(change, &texts)?;
    let made = hash.and_then(|hash| ground.get_change_by_hash(&hash));
    let Some(made) = made else { return Ok(None) };
    *pen = draft;
    let (hash, bytes) = (made.hash().0, made.raw_bytes().to_vec());
    Ok(Some(Delta { doc: old.id(), hash, bytes, entries }))
}

type Object = (u64, Vec<u8>);

/// Every text of a document at some heads: its object, its key, and how it read.
fn texts(automerge: &Automerge, at: &[ChangeHash]) -> BTreeMap<Object, (String, String)> {
    let mut found = BTreeMap::new();
    for key in automerge.keys_at(ROOT, at) {
        if !matches!(Key::of(&key), Key::Text(_)) {
            continue;
        }
        for (_, object) in automerge.get_all_at(ROOT, &key, at).unwrap_or_default() {
            let ObjId::Id(counter, actor, _) = &object else { continue };
            if let Ok(text) = automerge.text_at(&object, at) {
                found.insert((*counter, actor.to_bytes().to_vec()), (key.clone(), text));
            }
        }
    }
    found
}

struct Again<'a> {
    transaction: Transaction<'a>,
    pen: &'a mut Pen,
    entries: Vec<EntryId>,
}

impl Again<'_> {
    fn all(
        mut self,
        change: &Change,
        texts: &BTreeMap<Object, (String, String)>,
    ) -> Result<(Option<ChangeHash>, Vec<EntryId>), Refused> {
        let mut edited: BTreeMap<String, String> = BTreeMap::new();
        for op in change.decode().operations {
            match (&op.obj, &op.key, &op.action) {
                (ObjectId::Root, LegacyKey::Map(key), OpType::Put(value)) => {
                    self.put(key, value)?;
                }
                (ObjectId::Root, LegacyKey::Map(key), OpType::Make(ObjType::Text)) => {
                    self.text(key)?;
                    edited.extend(texts.values().find(|(known, _)| *known == **key).cloned());
                }
                (ObjectId::Id(id), ..) => {
                    let object = (id.counter(), id.actor().to_bytes().to_vec());
                    edited.extend(texts.get(&object).cloned());
                }
                _ => {}
            }
        }
        for (key, text) in edited {
            self.edit(&key, &text)?;
        }
        let (hash, _) = self.transaction.commit_with(CommitOptions::default().with_time(0));
        Ok((hash, self.entries))
    }

    fn put(&mut self, key: &str, value: &ScalarValue) -> Result<(), Refused> {
        let mut value = value.clone();
        match (Key::of(key), &value) {
            (Key::Entry(_, id), _) => self.entries.push(id),
            (Key::Schema, _) if self.transaction.get(ROOT, key).ok().flatten().is_some() => {
                return Ok(());
            }
            (Key::Other, ScalarValue::Bytes(bytes)) => {
                if let Ok(mut said) = field::decode(bytes) {
                    said.id = self.pen.take()?;
                    self.entries.push(said.id);
                    value = ScalarValue::Bytes(field::encode(&said));
                }
            }
            _ => {}
        }
        self.transaction.put(ROOT, key, value).map_err(refused)
    }

    fn text(&mut self, key: &str) -> Result<(), Refused> {
        self.transaction.put_object(ROOT, key, ObjType::Text).map(drop).map_err(refused)
    }

    fn edit(&mut self, key: &str, text: &str) -> Result<(), Refused> {
        match self.transaction.get(ROOT, key).map_err(refused)? {
            Some((value, object)) if value.is_object() => {
                self.transaction.update_text(&object, text).map_err(refused)
            }
            _ => Ok(()),
        }
    }
}
