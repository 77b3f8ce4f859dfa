//! Documents and rows folded from the log. Derived: may be deleted and rebuilt at any time.
//!
//! Each site's fold notes its place in the transaction that writes the documents, and a mark "about to
//! fold" before it begins: an arrival that stops the program twice is refused and the rest goes on.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

use client_core::device::shelf::Shelf;
use client_core::device::sizes::Sizes;
use client_core::device::standing::{StoredCertificate, StoredSession, signer};
use client_core::exchange::frame::Whole;
use client_core::exchange::note::{Refusal, Says};
use client_core::exchange::place::Place;
use client_core::gate::Turned;
use client_core::record::doc::{Presence, session_actor};
use client_core::record::doc_id::{DocId, DocKind};
use client_core::record::id::{ActorHalf, ApplianceId, SiteId, VisitId};
use client_core::record::inside::inside;
use client_core::record::row;
use client_core::record::signer::Signers;
use client_core::record::value::Day;
use client_core::store::{Get, Store, StoreError, Table, Write, doc_table};
use minicbor::bytes::ByteVec;

use crate::access::Access;
use crate::hub::squeeze_rows;
use crate::log::{Arrival, HubLog, LogError, Stored};

/// Bytes of arrivals folded in one transaction.
const FOLD_BYTES: usize = 512 * 1024;
const ABOUT: &[u8] = b"about to fold";

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
    /// What the program was about to fold when it stopped the last time.
    stopped_at: Option<(SiteId, u64)>,
}

/// Where a first exchange goes on.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Cursor {
    /// Documents of today's visits, from the n-th on.
    Today(u32),
    /// Rows, from behind a key.
    Rows(Vec<u8>),
}

/// A piece of a first exchange.
#[derive(Debug, Default)]
pub struct Piece {
    /// Whole documents.
    pub docs: Vec<Whole>,
    /// Rows.
    pub rows: Vec<(Vec<u8>, Vec<u8>)>,
    /// Where to go on.
    pub next: Option<Cursor>,
    /// About how many pieces are left.
    pub left: u64,
}

impl Cursor {
    /// Reads a cursor; an empty or foreign one begins.
    pub fn read(bytes: &[u8]) -> Cursor {
        match bytes.split_first() {
            Some((1, key)) => Cursor::Rows(key.to_vec()),
            Some((0, at)) => {
                Cursor::Today(at.try_into().map(u32::from_be_bytes).unwrap_or_default())
            }
            _ => Cursor::Today(0),
        }
    }

    /// Writes a cursor.
    pub fn write(&self) -> Vec<u8> {
        match self {
            Cursor::Today(at) => [&[0][..], &at.to_be_bytes()].concat(),
            Cursor::Rows(key) => [&[1][..], key].concat(),
        }
    }
}

/// Rows as they travel: squeezed CBOR pairs.
pub fn rows_bytes(rows: &[(Vec<u8>, Vec<u8>)]) -> Vec<u8> {
    let pairs: Vec<(ByteVec, ByteVec)> =
        rows.iter().map(|(key, value)| (key.clone().into(), value.clone().into())).collect();
    squeeze_rows(&minicbor::to_vec(&pairs).expect("writing to memory does not fail"))
}

fn place_key(site: SiteId) -> Vec<u8> {
    [b"folded ", &site.0[..]].concat()
}

impl View {
    /// Opens a view. A mark "about to fold" tells that the program stopped in it.
    pub fn open(store: Arc<Store>) -> Result<View, StoreError> {
        let read = store.read()?;
        let mark = read.get(Table::Meta, ABOUT)?;
        let stopped_at = mark.and_then(|mark| {
            let (site, n) = mark.split_first_chunk::<8>()?;
            Some((SiteId(*site), u64::from_be_bytes(n.try_into().ok()?)))
        });
        drop(read);
        Ok(View {
            store,
            shelf: Shelf::new(Sizes::USUAL.shelf, Sizes::USUAL.rest_changes),
            signers: Signers::new(),
            stopped_at,
        })
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

    /// Sessions met so far.
    pub fn sessions(&self) -> Result<Vec<(ActorHalf, StoredSession)>, StoreError> {
        client_core::device::standing::sessions(&self.store.read()?)
    }

    /// Folds what a site's log holds beyond the view; gives what the gate refused.
    pub fn fold(
        &mut self,
        log: &dyn HubLog,
        access: &Access,
        site: SiteId,
    ) -> Result<Vec<Refusal>, ViewError> {
        let mut refused = vec![];
        loop {
            let end = log.end(site)?;
            let mut place = self.place(site)?.unwrap_or_else(|| Place::begin(log.id(), site));
            // A log that no longer holds what was folded is another log: begin again.
            if log.chain_at(site, place.n)? != Some(place.chain) {
                self.forget(site)?;
                place = Place::begin(log.id(), site);
            }
            if place.n >= end.n {
                return Ok(refused);
            }
            let careful = self.stopped_at.is_some_and(|(at, _)| at == site);
            let most = if careful { 1 } else { FOLD_BYTES };
            let page = log.after(site, place.n, most)?;
            refused.extend(self.fold_page(access, site, &page)?);
        }
    }

    fn fold_page(
        &mut self,
        access: &Access,
        site: SiteId,
        page: &[Stored],
    ) -> Result<Vec<Refusal>, ViewError> {
        let Some(last) = page.last() else { return Ok(vec![]) };
        let culprit = self.stopped_at == page.first().map(|first| (site, first.n));
        let mark = self.store.write()?;
        mark.put(Table::Meta, ABOUT, &[&site.0[..], &page[0].n.to_be_bytes()].concat())?;
        mark.commit()?;
        let write = self.store.write()?;
        let outcome = self.take_page(&write, access, site, page, culprit);
        let refused = match outcome {
            Ok(refused) => refused,
            Err(wrong) => {
                self.shelf.clear();
                return Err(wrong.into());
            }
        };
        let place =
            Place { log: client_core::record::id::LogId([0; 8]), n: last.n, chain: last.chain };
        let bytes = minicbor::to_vec(place).expect("writing to memory does not fail");
        write.put(Table::Meta, &place_key(site), &bytes)?;
        write.remove(Table::Meta, ABOUT)?;
        if let Err(wrong) = write.commit() {
            self.shelf.clear();
            return Err(wrong.into());
        }
        if culprit {
            self.stopped_at = None;
        }
        Ok(refused)
    }

    fn take_page(
        &mut self,
        write: &Write,
        access: &Access,
        site: SiteId,
        page: &[Stored],
        culprit: bool,
    ) -> Result<Vec<Refusal>, StoreError> {
        let mut batches: BTreeMap<DocId, Vec<(u64, Vec<u8>)>> = BTreeMap::new();
        for stored in page {
            match &stored.arrival {
                Arrival::Note(note) => {
                    if let Ok(Says::Clock(clock)) = note.says()
                        && let Some(key) = access.key(clock.device)
                    {
                        let half = session_actor(&key, &clock.nonce).half();
                        let known = client_core::device::standing::session(write, half)?;
                        let mut session =
                            known.unwrap_or_else(|| StoredSession::new(clock.device, clock.nonce));
                        session.add_clock(clock.span);
                        put_session(write, half, &session)?;
                    }
                }
                Arrival::Delivery(delivery) => {
                    session_of(write, access, site, stored.n, delivery)?;
                    for part in &delivery.docs {
                        let batch = batches.entry(part.doc).or_default();
                        batch.extend(part.changes.iter().map(|change| (stored.n, change.clone())));
                    }
                }
            }
        }
        self.signers = signers(write, access)?;
        let mut refused = vec![];
        let mut touched: BTreeSet<DocId> = BTreeSet::new();
        for (doc, changes) in batches {
            if culprit {
                refused.extend(
                    changes.iter().map(|(n, change)| refusal(*n, doc, change, &Turned::Stopped)),
                );
                continue;
            }
            let bytes: Vec<Vec<u8>> = changes.iter().map(|(_, change)| change.clone()).collect();
            let admission = self.shelf.take_in(write, doc, Presence::Whole, &bytes)?;
            for (hash, turned) in &admission.refused {
                let from = changes.iter().find(|(_, change)| {
                    client_core::gate::scan(change).is_ok_and(|scan| scan.hash == *hash)
                });
                if let Some((n, change)) = from {
                    refused.push(refusal(*n, doc, change, turned));
                }
            }
            touched.insert(doc.with_part(1));
        }
        let mut touched: Vec<DocId> = touched.into_iter().collect();
        touched.sort_by_key(|doc| std::cmp::Reverse(doc.kind));
        for doc in touched {
            self.shelf.make_rows(write, doc, &self.signers)?;
            self.shelf.rest(write, doc)?;
        }
        Ok(refused)
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
            if let Some(held) = self.shelf.get(&read, part)? {
                let saved = held.doc.automerge().save_nocompress();
                found.push(Whole {
                    doc: part.to_bytes().into(),
                    heads: held.info.heads.clone().into(),
                    saved: client_core::exchange::codec::squeeze(&saved).into(),
                    overwritten: held.info.overwritten.then_some(true),
                });
            }
        }
        Ok(found)
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

    /// The next piece of a first exchange: documents of today's visits, then rows of everything.
    pub fn piece(
        &mut self,
        site: SiteId,
        cursor: &Cursor,
        today: i32,
        most: usize,
    ) -> Result<Piece, StoreError> {
        match cursor {
            Cursor::Today(at) => self.today(site, *at, Day(today), most),
            Cursor::Rows(key) => self.rows_after(site, key, most),
        }
    }

    fn today(
        &mut self,
        site: SiteId,
        at: u32,
        today: Day,
        most: usize,
    ) -> Result<Piece, StoreError> {
        let docs = self.docs_of_today(site, today)?;
        let mut piece = Piece::default();
        let mut bytes = 0;
        let from = usize::try_from(at).unwrap_or(usize::MAX).min(docs.len());
        let mut next = from;
        for doc in &docs[from..] {
            if bytes > most {
                break;
            }
            for whole in self.wholes(*doc)? {
                bytes += whole.saved.len();
                piece.docs.push(whole);
            }
            next += 1;
        }
        let more = next < docs.len();
        piece.next = Some(match more {
            true => Cursor::Today(u32::try_from(next).unwrap_or(u32::MAX)),
            false => Cursor::Rows(vec![]),
        });
        piece.left = 1 + self.rows_left(site, &[])? / 1_000;
        Ok(piece)
    }

    /// The site itself, then today's and unsigned visits with their sheets and appliances.
    fn docs_of_today(&self, site: SiteId, today: Day) -> Result<Vec<DocId>, StoreError> {
        let read = self.store.read()?;
        let mut docs = vec![DocId::new(site, DocKind::Site)];
        let prefix = row::visit_key(site, None);
        for (key, value) in read.under(Table::Rows, &prefix)? {
            let visit: Option<row::VisitRow> = row::decode(&value);
            let id = VisitId::from_slice(&key[prefix.len()..]);
            let (Some(visit), Some(id)) = (visit, id) else { continue };
            if visit.day != Some(today) {
                continue;
            }
            docs.push(DocId::new(site, DocKind::Visit(id)));
            let sheets = row::sheet_key(site, id, None);
            for (key, _) in read.under(Table::Rows, &sheets)? {
                if let Some(appliance) = ApplianceId::from_slice(&key[sheets.len()..]) {
                    docs.push(DocId::new(site, DocKind::Sheet(id, appliance)));
                    docs.push(DocId::new(site, DocKind::Appliance(appliance)));
                }
            }
        }
        let mut seen = BTreeSet::new();
        docs.retain(|doc| seen.insert(*doc));
        Ok(docs)
    }

    fn rows_after(&self, site: SiteId, key: &[u8], most: usize) -> Result<Piece, StoreError> {
        let read = self.store.read()?;
        let mut piece = Piece::default();
        let mut bytes = 0;
        for kind in 1..=5u8 {
            let prefix = [&[kind][..], &site.0].concat();
            if key.first().is_some_and(|done| *done > kind) {
                continue;
            }
            let from = match key.first() {
                // Behind the key itself.
                Some(same) if *same == kind => [key, &[0]].concat(),
                _ => prefix.clone(),
            };
            let end = client_core::store::after(&prefix);
            let mut full = false;
            read.scan(Table::Rows, &from, end.as_deref(), &mut |key, value| {
                bytes += key.len() + value.len();
                piece.rows.push((key.to_vec(), value.to_vec()));
                // Rows squeeze to about a fifth.
                full = bytes > most * 4;
                !full
            })?;
            if full {
                let last = piece.rows.last().map(|(key, _)| key.clone()).unwrap_or_default();
                piece.left = self.rows_left(site, &last)? / 1_000;
                piece.next = Some(Cursor::Rows(last));
                return Ok(piece);
            }
        }
        Ok(piece)
    }

    fn rows_left(&self, site: SiteId, key: &[u8]) -> Result<u64, StoreError> {
        let read = self.store.read()?;
        let mut left = 0;
        for kind in 1..=5u8 {
            if key.first().is_none_or(|done| *done <= kind) {
                left += read.count(Table::Rows, &[&[kind][..], &site.0].concat())?;
            }
        }
        Ok(left)
    }
}

fn refusal(n: u64, doc: DocId, change: &[u8], turned: &Turned) -> Refusal {
    let hash = client_core::gate::scan(change).map(|scan| scan.hash).unwrap_or([0; 32]);
    Refusal {
        n,
        doc: doc.to_bytes(),
        change: hash,
        reason: turned.key().to_owned(),
        words: turned.to_string(),
    }
}

fn put_session(write: &Write, half: ActorHalf, session: &StoredSession) -> Result<(), StoreError> {
    let bytes = minicbor::to_vec(session).expect("writing to memory does not fail");
    write.put(Table::Sessions, &half.0, &bytes)
}

/// Notes the session of a delivery, and from where on it waits when its key was revoked.
fn session_of(
    write: &Write,
    access: &Access,
    site: SiteId,
    n: u64,
    delivery: &client_core::exchange::delivery::Delivery,
) -> Result<(), StoreError> {
    let head = &delivery.head;
    let Some(enrolled) = access.device(head.device) else { return Ok(()) };
    let half = session_actor(&enrolled.certificate.key, &head.nonce).half();
    let known = client_core::device::standing::session(write, half)?;
    let mut session = known.unwrap_or_else(|| StoredSession::new(head.device, head.nonce));
    let last = enrolled.last.iter().find(|last| last.site == site).map_or(0, |last| last.n);
    if enrolled.revoked.is_some() && n > last {
        let changes = delivery.docs.iter().flat_map(|part| &part.changes);
        let first = changes.flat_map(|change| inside(change)).map(|inside| inside.id.n).min();
        session.waits_from = session.waits_from.into_iter().chain(first).min();
    }
    put_session(write, half, &session)
}

fn signers(read: &impl Get, access: &Access) -> Result<Signers, StoreError> {
    let mut signers = Signers::new();
    for (half, session) in client_core::device::standing::sessions(read)? {
        if let Some(enrolled) = access.device(session.device) {
            let stored = StoredCertificate {
                certificate: enrolled.certificate.clone(),
                revoked: enrolled.revoked.clone(),
                last: enrolled.last.clone(),
            };
            signers.insert(half, signer(&session, &stored));
        }
    }
    Ok(signers)
}
