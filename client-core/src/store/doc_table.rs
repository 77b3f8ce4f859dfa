//! Documents in the store: what is known about each, its changes, and the snapshot that may stand for
//! the older ones.

use std::collections::BTreeSet;

use minicbor::{Decode, Encode};

use super::{Get, StoreError, Table, Write};
use crate::record::doc_id::DocId;
use crate::record::id::SiteId;

/// A document's number in this store, for short keys. Never leaves the device.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct DocNumber(pub u32);

/// What the store knows about a document.
#[derive(Clone, Debug, PartialEq, Eq, Encode, Decode)]
#[cbor(map)]
pub struct DocInfo {
    /// Its number here.
    #[n(0)]
    pub number: u32,
    /// Everything up to the place in the log is held.
    #[n(1)]
    pub whole: bool,
    /// Somebody overwrote evidence in it.
    #[n(2)]
    pub overwritten: bool,
    /// Positions used: the next change goes here.
    #[n(3)]
    pub next: u32,
    /// Positions below this one are in the snapshot.
    #[n(4)]
    pub snapshot: u32,
    /// Heads, 32 bytes each, sorted.
    #[n(5)]
    #[cbor(with = "minicbor::bytes")]
    pub heads: Vec<u8>,
    /// Changes in it, the first one included.
    #[n(6)]
    pub changes: u32,
    /// Raw changes from others that wait beside it until it is opened whole.
    #[n(7)]
    pub beside: u32,
    /// Place in the hub's log up to which the row that is shown was folded, where the hub sent it.
    #[n(8)]
    pub row_n: Option<u64>,
}

const NEXT_NUMBER: &[u8] = b"next document number";

fn key(doc: DocId) -> Vec<u8> {
    [&doc.site.0[..], &doc.to_bytes()].concat()
}

fn change_key(doc: DocNumber, position: u32) -> [u8; 8] {
    let mut key = [0; 8];
    key[..4].copy_from_slice(&doc.0.to_be_bytes());
    key[4..].copy_from_slice(&position.to_be_bytes());
    key
}

fn hash_key(doc: DocNumber, hash: &[u8; 32]) -> Vec<u8> {
    [&doc.0.to_be_bytes()[..], hash].concat()
}

/// A change that waits beside a document or for what it builds on, by its hash.
pub fn waiting(
    store: &impl Get,
    doc: DocNumber,
    hash: &[u8; 32],
) -> Result<Option<Vec<u8>>, StoreError> {
    match store.get(Table::Beside, &hash_key(doc, hash))? {
        Some(bytes) => Ok(Some(bytes)),
        None => store.get(Table::Parked, &hash_key(doc, hash)),
    }
}

/// Changes of a document that wait for what they build on.
pub fn parked(store: &impl Get, doc: DocNumber) -> Result<Vec<Vec<u8>>, StoreError> {
    let found = store.under(Table::Parked, &doc.0.to_be_bytes())?;
    Ok(found.into_iter().map(|(_, value)| value).collect())
}

/// Documents of a site of which something waits for what it builds on. Hardly ever any.
pub fn with_parked(store: &impl Get, site: SiteId) -> Result<Vec<DocId>, StoreError> {
    let mut numbers = BTreeSet::new();
    store.scan(Table::Parked, &[], None, &mut |key, _| {
        numbers.extend(key.first_chunk().copied().map(u32::from_be_bytes));
        true
    })?;
    if numbers.is_empty() {
        return Ok(vec![]);
    }
    let docs = of_site(store, site)?.into_iter();
    Ok(docs.filter(|(_, info)| numbers.contains(&info.number)).map(|(doc, _)| doc).collect())
}

pub(crate) fn unreadable(table: Table, wrong: impl ToString) -> StoreError {
    StoreError::Unreadable { table: table.name(), wrong: wrong.to_string() }
}

/// What is known about a document; none when nothing of it is here.
pub fn info(store: &impl Get, doc: DocId) -> Result<Option<DocInfo>, StoreError> {
    let found = store.get(Table::Docs, &key(doc))?;
    found
        .map(|bytes| minicbor::decode(&bytes).map_err(|wrong| unreadable(Table::Docs, wrong)))
        .transpose()
}

/// Every document of a site that is here, with what is known about it.
pub fn of_site(store: &impl Get, site: SiteId) -> Result<Vec<(DocId, DocInfo)>, StoreError> {
    let mut found = vec![];
    for (key, value) in store.under(Table::Docs, &site.0)? {
        let doc =
            DocId::from_bytes(site, &key[8..]).map_err(|wrong| unreadable(Table::Docs, wrong))?;
        let info = minicbor::decode(&value).map_err(|wrong| unreadable(Table::Docs, wrong))?;
        found.push((doc, info));
    }
    Ok(found)
}

/// Changes from a position on, in order.
pub fn changes(store: &impl Get, doc: DocNumber, from: u32) -> Result<Vec<Vec<u8>>, StoreError> {
    let mut found = vec![];
    let end = super::after(&doc.0.to_be_bytes());
    store.scan(Table::Changes, &change_key(doc, from), end.as_deref(), &mut |_, value| {
        found.push(value.to_vec());
        true
    })?;
    Ok(found)
}

/// One change.
pub fn change(
    store: &impl Get,
    doc: DocNumber,
    position: u32,
) -> Result<Option<Vec<u8>>, StoreError> {
    store.get(Table::Changes, &change_key(doc, position))
}

/// The snapshot.
pub fn snapshot(store: &impl Get, doc: DocNumber) -> Result<Option<Vec<u8>>, StoreError> {
    store.get(Table::Snapshots, &doc.0.to_be_bytes())
}

impl Write {
    /// Takes a document up: a number, nothing but the first change.
    pub fn begin_doc(&self, doc: DocId, whole: bool, heads: &[u8]) -> Result<DocInfo, StoreError> {
        let number = match self.get(Table::Meta, NEXT_NUMBER)? {
            None => 1,
            Some(bytes) => <[u8; 4]>::try_from(bytes.as_slice())
                .map(u32::from_be_bytes)
                .map_err(|wrong| unreadable(Table::Meta, wrong))?,
        };
        self.put(Table::Meta, NEXT_NUMBER, &(number + 1).to_be_bytes())?;
        let info = DocInfo {
            number,
            whole,
            overwritten: false,
            next: 0,
            snapshot: 0,
            heads: heads.to_vec(),
            changes: 1,
            beside: 0,
            row_n: None,
        };
        self.put_info(doc, &info)?;
        Ok(info)
    }

    /// Writes what is known about a document.
    pub fn put_info(&self, doc: DocId, info: &DocInfo) -> Result<(), StoreError> {
        let bytes = minicbor::to_vec(info).expect("writing to memory does not fail");
        self.put(Table::Docs, &key(doc), &bytes)
    }

    /// Appends a change and gives its position; the caller writes the info afterwards.
    pub fn add_change(&self, info: &mut DocInfo, bytes: &[u8]) -> Result<u32, StoreError> {
        let position = info.next;
        self.put(Table::Changes, &change_key(DocNumber(info.number), position), bytes)?;
        info.next += 1;
        info.changes += 1;
        Ok(position)
    }

    /// Lets a snapshot stand for every change before `upto`.
    ///
    /// The caller has proved that the snapshot gives back the same bytes.
    pub fn replace_by_snapshot(
        &self,
        info: &mut DocInfo,
        upto: u32,
        snapshot: &[u8],
    ) -> Result<(), StoreError> {
        let number = DocNumber(info.number);
        self.put(Table::Snapshots, &number.0.to_be_bytes(), snapshot)?;
        for position in info.snapshot..upto {
            self.remove(Table::Changes, &change_key(number, position))?;
        }
        info.snapshot = upto;
        Ok(())
    }

    /// Takes a document away with everything that belongs to it.
    pub fn forget_doc(&self, doc: DocId, info: &DocInfo) -> Result<(), StoreError> {
        let number = info.number.to_be_bytes();
        self.clear(Table::Changes, &number)?;
        self.clear(Table::Parked, &number)?;
        self.clear(Table::Beside, &number)?;
        self.remove(Table::Snapshots, &number)?;
        self.remove(Table::Docs, &key(doc))?;
        Ok(())
    }

    /// Keeps a change that builds on something that is not here.
    pub fn park(&self, doc: DocNumber, hash: &[u8; 32], bytes: &[u8]) -> Result<(), StoreError> {
        self.put(Table::Parked, &hash_key(doc, hash), bytes)
    }

    /// Keeps a change beside a document that is not held whole; says whether it is new.
    pub fn put_beside(
        &self,
        doc: DocNumber,
        hash: &[u8; 32],
        bytes: &[u8],
    ) -> Result<bool, StoreError> {
        let key = hash_key(doc, hash);
        let new = self.get(Table::Beside, &key)?.is_none();
        if new {
            self.put(Table::Beside, &key, bytes)?;
        }
        Ok(new)
    }

    /// Takes what lay beside a document.
    pub fn take_beside(&self, doc: DocNumber) -> Result<Vec<Vec<u8>>, StoreError> {
        self.take_all(Table::Beside, doc)
    }

    /// Forgets a change that waits beside a document or for what it builds on.
    pub fn drop_waiting(&self, doc: DocNumber, hash: &[u8; 32]) -> Result<(), StoreError> {
        self.remove(Table::Beside, &hash_key(doc, hash))?;
        self.remove(Table::Parked, &hash_key(doc, hash)).map(drop)
    }

    /// Takes what was parked beside a document.
    pub fn unpark(&self, doc: DocNumber) -> Result<Vec<Vec<u8>>, StoreError> {
        self.take_all(Table::Parked, doc)
    }

    fn take_all(&self, table: Table, doc: DocNumber) -> Result<Vec<Vec<u8>>, StoreError> {
        let found = self.under(table, &doc.0.to_be_bytes())?;
        for (key, _) in &found {
            self.remove(table, key)?;
        }
        Ok(found.into_iter().map(|(_, value)| value).collect())
    }
}
