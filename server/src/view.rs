//! Documents and rows folded from the log. Derived: may be deleted and rebuilt at any time.
//!
//! Each site's fold notes its place in the transaction that writes the documents, and a mark "about to
//! fold" before it begins: an arrival that keeps stopping the program is passed over and the rest goes on.

mod draft;
mod fold;
mod open;
mod piece;

use std::collections::BTreeSet;
use std::sync::Arc;

use client_core::device::shelf::Shelf;
use client_core::device::sizes::Sizes;
use client_core::exchange::codec::squeeze;
use client_core::exchange::frame::Whole;
use client_core::exchange::place::Place;
use client_core::record::doc_id::{DocId, DocKind};
use client_core::record::id::SiteId;
use client_core::record::row;
use client_core::record::signer::Signers;
use client_core::store::{DocNumber, Get, Pair, Read, Store, StoreError, Table, doc_table};
use minicbor::bytes::ByteVec;

use crate::log::LogError;

pub use draft::DraftWrong;
pub use piece::{Cursor, Piece, weight};

/// Why the view could not be folded or read.
#[derive(Debug, thiserror::Error)]
pub enum ViewError {
    /// The store failed.
    #[error("the view could not be read or written")]
    Store(#[from] StoreError),
    /// The log failed.
    #[error(transparent)]
    Log(#[from] LogError),
}

/// Documents and rows folded from the log.
#[derive(Debug)]
pub struct View {
    store: Arc<Store>,
    shelf: Shelf,
    signers: Signers,
    /// For which state of the certificates the signers were worked out.
    signers_at: Option<u64>,
    /// What the program was about to fold when it stopped the last time.
    stopped_in: Option<fold::About>,
}

/// Rows as they travel: squeezed CBOR pairs.
pub fn rows_bytes(rows: &[Pair]) -> Vec<u8> {
    let pairs: Vec<(ByteVec, ByteVec)> =
        rows.iter().map(|(key, value)| (key.clone().into(), value.clone().into())).collect();
    squeeze(&minicbor::to_vec(&pairs).expect("writing to memory does not fail"))
}

fn place_key(site: SiteId) -> Vec<u8> {
    [b"folded ", &site.0[..]].concat()
}

impl View {
    /// Opens a view. A mark "about to fold" tells that the program stopped in it.
    pub fn open(store: Arc<Store>) -> Result<View, StoreError> {
        let stopped_in = fold::stopped_in(&store.read()?)?;
        let shelf = Shelf::new(Sizes::USUAL.shelf, Sizes::USUAL.rest_changes);
        Ok(View { store, shelf, signers: Signers::new(), signers_at: None, stopped_in })
    }

    /// Takes other sizes than the usual ones.
    pub fn set_sizes(&mut self, sizes: Sizes) {
        self.shelf = Shelf::new(sizes.shelf, sizes.rest_changes);
    }

    /// How far a site is folded.
    pub fn place(&self, site: SiteId) -> Result<Option<Place>, StoreError> {
        let found = self.store.read()?.get(Table::Meta, &place_key(site))?;
        Ok(found.and_then(|bytes| minicbor::decode(&bytes).ok()))
    }

    /// The store of the view.
    pub fn store(&self) -> &Arc<Store> {
        &self.store
    }

    /// Who signs for which session, as far as the log told.
    pub const fn signers(&self) -> &Signers {
        &self.signers
    }

    /// Forgets a site's documents and rows: they will be folded anew.
    fn forget(&mut self, site: SiteId) -> Result<(), StoreError> {
        let write = self.store.write()?;
        for (doc, info) in doc_table::of_site(&write, site)? {
            write.forget_doc(doc, &info)?;
        }
        for kind in 1..=5u8 {
            write.clear(Table::Rows, &[&[kind][..], &site.0].concat())?;
        }
        fold::forget(&write, site)?;
        write.remove(Table::Meta, &place_key(site))?;
        write.commit()?;
        self.shelf.clear();
        Ok(())
    }

    /// All parts of a document, whole.
    pub fn wholes(&mut self, doc: DocId) -> Result<Vec<Whole>, StoreError> {
        let read = self.store.read()?;
        let mut found = vec![];
        for part in self.shelf.parts(&read, doc.with_part(1))? {
            found.extend(self.whole(&read, part)?);
        }
        if found.is_empty() {
            // A later part may be here before the first.
            found.extend(self.whole(&read, doc)?);
        }
        Ok(found)
    }

    /// One part of a document, with what waits for something that has not arrived.
    fn whole(&mut self, read: &Read, part: DocId) -> Result<Option<Whole>, StoreError> {
        let Some(held) = self.shelf.get(read, part)? else { return Ok(None) };
        let saved = held.doc.automerge().save_nocompress();
        let waiting = doc_table::parked(read, DocNumber(held.info.number))?;
        let waiting: Vec<ByteVec> = waiting.into_iter().map(ByteVec::from).collect();
        Ok(Some(Whole {
            doc: part.to_bytes().into(),
            heads: held.info.heads.clone().into(),
            saved: squeeze(&saved).into(),
            overwritten: held.info.overwritten.then_some(true),
            waiting: (!waiting.is_empty()).then_some(waiting),
        }))
    }

    /// Rows of documents, as they travel; none when there are none.
    pub fn rows_of(&self, site: SiteId, docs: &[DocId]) -> Result<Option<ByteVec>, StoreError> {
        let read = self.store.read()?;
        let mut keys: BTreeSet<Vec<u8>> = BTreeSet::new();
        for doc in docs {
            match doc.kind {
                DocKind::Company => {}
                DocKind::Site => drop(keys.insert(row::site_key(site))),
                DocKind::Appliance(id) => drop(keys.insert(row::unit_key(site, Some(id)))),
                DocKind::Visit(id) => drop(keys.insert(row::visit_key(site, Some(id)))),
                DocKind::Sheet(visit, id) => {
                    keys.insert(row::sheet_key(site, visit, Some(id)));
                    keys.insert(row::history_key(site, id, Some(visit)));
                    keys.insert(row::visit_key(site, Some(visit)));
                }
            }
        }
        let mut rows = vec![];
        for key in keys {
            if let Some(value) = read.get(Table::Rows, &key)? {
                rows.push((key, value));
            }
        }
        Ok((!rows.is_empty()).then(|| rows_bytes(&rows).into()))
    }
}
