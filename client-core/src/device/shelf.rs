//! Documents on a store: loading them, taking changes in, keeping rows and snapshots in step. The same
//! on a device and behind a hub's log.

use std::cell::Cell;
use std::collections::{BTreeMap, BTreeSet};

use automerge::{Automerge, Change, ChangeHash, ReadDoc};

use super::standing;
use crate::gate::{self, Admission, Ground, Turned, limit};
use crate::record::doc::{Doc, Presence};
use crate::record::doc_id::{DocId, DocKind};
use crate::record::file::Papers;
use crate::record::id::{ApplianceId, SiteId, VisitId};
use crate::record::row;
use crate::record::signer::Signers;
use crate::store::doc_table::{self, DocInfo, DocNumber};
use crate::store::{Get, StoreError, Table, Write};

/// A document in memory with what the store knows about it.
#[derive(Debug)]
pub struct Held {
    /// The document.
    pub doc: Doc,
    /// What the store knows.
    pub info: DocInfo,
    used: u64,
}

/// Documents held in memory, the least used dropped first.
#[derive(Debug)]
pub struct Shelf {
    held: BTreeMap<DocId, Held>,
    clock: u64,
    most: usize,
    rest_changes: u32,
    loaded: u64,
}

impl Shelf {
    /// A shelf that holds at most so many documents and lets a document rest after so many changes.
    pub fn new(most: usize, rest_changes: u32) -> Shelf {
        Shelf { held: BTreeMap::new(), clock: 0, most: most.max(4), rest_changes, loaded: 0 }
    }

    /// How many documents were opened so far.
    pub const fn loaded(&self) -> u64 {
        self.loaded
    }

    /// Drops everything: after a failed append the store is the truth.
    pub fn clear(&mut self) {
        self.held.clear();
    }

    /// Drops one document.
    pub fn drop_doc(&mut self, id: DocId) {
        self.held.remove(&id);
    }

    /// The document, loaded when it is not in memory; none when nothing of it is here.
    pub fn get(&mut self, store: &impl Get, id: DocId) -> Result<Option<&mut Held>, StoreError> {
        self.clock += 1;
        if !self.held.contains_key(&id) {
            let Some(info) = doc_table::info(store, id)? else { return Ok(None) };
            let doc = load(store, id, &info)?;
            self.loaded += 1;
            self.hold(id, doc, info);
        }
        let Some(held) = self.held.get_mut(&id) else { return Ok(None) };
        held.used = self.clock;
        Ok(Some(held))
    }

    /// The document as it is in memory.
    pub fn peek(&self, id: DocId) -> Option<&Held> {
        self.held.get(&id)
    }

    /// The document, begun when nothing of it is here.
    pub fn get_or_begin(
        &mut self,
        write: &Write,
        id: DocId,
        presence: Presence,
    ) -> Result<&mut Held, StoreError> {
        if self.get(write, id)?.is_none() {
            let doc = Doc::begin(id, presence);
            let info = write.begin_doc(id, presence == Presence::Whole, &heads(&doc))?;
            self.hold(id, doc, info);
        }
        Ok(self.held.get_mut(&id).expect("it was loaded or begun just now"))
    }

    fn hold(&mut self, id: DocId, doc: Doc, info: DocInfo) {
        while self.held.len() >= self.most {
            let oldest = self.held.iter().min_by_key(|(_, held)| held.used).map(|(id, _)| *id);
            let Some(oldest) = oldest else { break };
            self.held.remove(&oldest);
        }
        self.held.insert(id, Held { doc, info, used: self.clock });
    }

    /// Puts a whole document, as the hub sent it, in the place of what is here.
    pub fn put_whole(
        &mut self,
        write: &Write,
        id: DocId,
        automerge: Automerge,
        overwritten: bool,
    ) -> Result<(), StoreError> {
        let doc = Doc::from_parts(id, automerge, Presence::Whole, overwritten);
        let saved = doc.automerge().save_nocompress();
        let mut info = write.begin_doc(id, true, &heads(&doc))?;
        info.overwritten = overwritten;
        info.changes = count(doc.changes());
        info.next = 1;
        write.replace_by_snapshot(&mut info, 1, &saved)?;
        write.put_info(id, &info)?;
        self.held.remove(&id);
        self.hold(id, doc, info);
        Ok(())
    }

    /// Takes changes of one document in: through the gate, then into the store. What builds on something
    /// that is not here is parked beside it; what was refused is in the answer.
    pub fn take_in(
        &mut self,
        write: &Write,
        id: DocId,
        presence: Presence,
        batch: &[Vec<u8>],
        signers: &Signers,
    ) -> Result<Admission, StoreError> {
        let begun = doc_table::info(write, id)?.is_none();
        let held = self.get_or_begin(write, id, presence)?;
        let number = DocNumber(held.info.number);
        let mut all: Vec<Vec<u8>> = write.unpark(number)?;
        all.extend_from_slice(batch);
        let device = |half| signers.get(half).map(|signer| signer.device);
        let failed = Cell::new(None);
        let barred = |hash: &[u8; 32]| match standing::quarantined(write, id.site, hash) {
            Ok(known) => known.is_some_and(|known| known.binding == Some(true)),
            Err(wrong) => {
                failed.set(Some(wrong));
                false
            }
        };
        let ground = Ground { barred: &barred, device: &device };
        let mut admission = gate::admit(&mut held.doc, &all, ground);
        if let Some(wrong) = failed.take() {
            return Err(wrong);
        }
        over_orphans(write, &all, &mut admission, signers)?;
        for change in taken(&held.doc, &admission) {
            write.add_change(&mut held.info, change.raw_bytes())?;
        }
        for position in &admission.parked {
            if let Ok(scan) = gate::scan(&all[*position]) {
                write.park(number, &scan.hash, &all[*position])?;
            }
        }
        if begun && admission.taken.is_empty() && admission.parked.is_empty() {
            // Nothing of it passed: there is no such document here.
            let info = held.info.clone();
            write.forget_doc(id, &info)?;
            self.drop_doc(id);
            return Ok(admission);
        }
        held.info.heads = heads(&held.doc);
        held.info.overwritten = held.doc.overwritten();
        write.put_info(id, &held.info)?;
        Ok(admission)
    }

    /// Takes a change out of a document, and everything that builds on it: the hub's log says that it was
    /// refused. Gives the document as it was, and what was taken out, in order.
    pub fn expel(
        &mut self,
        write: &Write,
        id: DocId,
        hash: &[u8; 32],
    ) -> Result<Option<(Doc, Vec<Change>)>, StoreError> {
        let Some(held) = self.get(write, id)? else { return Ok(None) };
        let number = DocNumber(held.info.number);
        write.drop_waiting(number, hash)?;
        let old = held.doc.clone();
        let mut gone: BTreeSet<ChangeHash> = BTreeSet::from([ChangeHash(*hash)]);
        let (out, stay): (Vec<Change>, Vec<Change>) =
            old.automerge().get_changes(&[]).into_iter().partition(|change| {
                let goes = gone.contains(&change.hash())
                    || change.deps().iter().any(|dep| gone.contains(dep));
                if goes {
                    gone.insert(change.hash());
                }
                goes
            });
        if out.is_empty() {
            return Ok(None);
        }
        let damaged = |wrong: automerge::AutomergeError| {
            doc_table::unreadable(Table::Docs, format!("{id}: {wrong}"))
        };
        let mut automerge = crate::record::doc::first(id);
        automerge.apply_changes(stay).map_err(damaged)?;
        held.doc = Doc::from_parts(id, automerge, old.presence(), old.overwritten());
        self.rewrite(write, id)?;
        Ok(Some((old, out)))
    }

    /// Stores a document as it is in memory, in the place of what is stored of it.
    pub fn rewrite(&mut self, write: &Write, id: DocId) -> Result<(), StoreError> {
        let Some(held) = self.get(write, id)? else { return Ok(()) };
        let saved = held.doc.automerge().save_nocompress();
        let upto = held.info.next;
        write.replace_by_snapshot(&mut held.info, upto, &saved)?;
        held.info.changes = count(held.doc.changes());
        held.info.heads = heads(&held.doc);
        held.info.overwritten = held.doc.overwritten();
        write.put_info(id, &held.info)
    }

    /// Lets a snapshot stand for the changes of a document that has rested, after proving that it gives
    /// back the same bytes. Says whether it did.
    pub fn rest(&mut self, write: &Write, id: DocId) -> Result<bool, StoreError> {
        let rest_changes = self.rest_changes;
        let Some(held) = self.get(write, id)? else { return Ok(false) };
        if held.info.next - held.info.snapshot < rest_changes {
            return Ok(false);
        }
        let saved = held.doc.automerge().save_nocompress();
        let stored = doc_table::changes(write, DocNumber(held.info.number), held.info.snapshot)?;
        if !gives_back(&saved, &stored) {
            return Ok(false);
        }
        let upto = held.info.next;
        write.replace_by_snapshot(&mut held.info, upto, &saved)?;
        write.put_info(id, &held.info)?;
        Ok(true)
    }

    /// A change of a document, wherever it is here: in the document, beside it, or waiting for what it builds
    /// on.
    pub fn change(
        &mut self,
        store: &impl Get,
        id: DocId,
        hash: &[u8; 32],
    ) -> Result<Option<Vec<u8>>, StoreError> {
        let Some(held) = self.get(store, id)? else { return Ok(None) };
        match held.doc.automerge().get_change_by_hash(&ChangeHash(*hash)) {
            Some(change) => Ok(Some(change.raw_bytes().to_vec())),
            None => doc_table::waiting(store, DocNumber(held.info.number), hash),
        }
    }

    /// Parts of a document that are here, first first.
    pub fn parts(&self, store: &impl Get, id: DocId) -> Result<Vec<DocId>, StoreError> {
        let mut parts = vec![];
        for part in 1..=u16::MAX {
            let id = id.with_part(part);
            if !self.held.contains_key(&id) && doc_table::info(store, id)?.is_none() {
                break;
            }
            parts.push(id);
        }
        Ok(parts)
    }

    /// Loads all parts of a document that are here; gives them for reading.
    pub fn family(&mut self, store: &impl Get, id: DocId) -> Result<Vec<&Doc>, StoreError> {
        let parts = self.parts(store, id)?;
        self.most = self.most.max(parts.len() + 4);
        for part in &parts {
            self.get(store, *part)?;
        }
        Ok(parts.iter().filter_map(|part| self.held.get(part)).map(|held| &held.doc).collect())
    }

    /// Loads several documents with all their parts, so that they can be read together.
    pub fn hold_all(&mut self, store: &impl Get, ids: &[DocId]) -> Result<(), StoreError> {
        self.most = self.most.max(ids.len() * 2 + 4);
        for id in ids {
            self.family(store, *id)?;
        }
        Ok(())
    }

    /// Parts in memory of a document, first first.
    pub fn held_parts(&self, id: DocId) -> Vec<&Doc> {
        let from = id.with_part(1);
        let to = id.with_part(u16::MAX);
        self.held.range(from..=to).map(|(_, held)| &held.doc).collect()
    }

    /// Makes the rows of a document anew. While only a part of it is here, the hub's row stays.
    pub fn make_rows(
        &mut self,
        write: &Write,
        id: DocId,
        signers: &Signers,
    ) -> Result<(), StoreError> {
        let id = id.with_part(1);
        let site = id.site;
        if let Some(info) = doc_table::info(write, id)?
            && !info.whole
            && (info.row_n.is_some() || write.get(Table::RowOnly, &row_only_key(id))?.is_some())
        {
            return Ok(());
        }
        let parts = self.family(write, id)?;
        if parts.is_empty() {
            return Ok(());
        }
        if parts.iter().all(|part| part.changes() <= 1) {
            return no_rows(write, id);
        }
        let papers = Papers::of(parts, signers);
        match id.kind {
            DocKind::Company => Ok(()),
            DocKind::Site => {
                write.put(Table::Rows, &row::site_key(site), &row::encode(&row::site(&papers)))
            }
            DocKind::Appliance(appliance) => {
                let made = row::encode(&row::unit(appliance, papers));
                write.put(Table::Rows, &row::unit_key(site, Some(appliance)), &made)
            }
            DocKind::Visit(visit) => {
                let made = row::visit(&papers, &sheet_rows(write, id)?);
                write.put(Table::Rows, &row::visit_key(site, Some(visit)), &row::encode(&made))
            }
            DocKind::Sheet(visit, appliance) => {
                let made = row::sheet(&papers);
                let key = row::sheet_key(site, visit, Some(appliance));
                write.put(Table::Rows, &key, &row::encode(&made))?;
                let key = row::history_key(site, appliance, Some(visit));
                write.put(Table::Rows, &key, &[])?;
                sum_up(write, id.site, visit)
            }
        }
    }
}

/// The rows of a document of which nothing is here: only what waits for something else, or what was all
/// refused. There is no such document, whoever looks.
fn no_rows(write: &Write, id: DocId) -> Result<(), StoreError> {
    let site = id.site;
    let remove = |key: Vec<u8>| write.remove(Table::Rows, &key).map(drop);
    match id.kind {
        DocKind::Company => Ok(()),
        DocKind::Site => remove(row::site_key(site)),
        DocKind::Appliance(appliance) => remove(row::unit_key(site, Some(appliance))),
        DocKind::Visit(visit) => {
            // What its sheets say of it stays.
            remove(row::visit_key(site, Some(visit)))?;
            sum_up(write, site, visit)
        }
        DocKind::Sheet(visit, appliance) => {
            remove(row::sheet_key(site, visit, Some(appliance)))?;
            remove(row::history_key(site, appliance, Some(visit)))?;
            sum_up(write, site, visit)
        }
    }
}

/// Puts into a visit's row what its sheets say.
fn sum_up(write: &Write, site: SiteId, visit: VisitId) -> Result<(), StoreError> {
    let key = row::visit_key(site, Some(visit));
    let head = DocId::new(site, DocKind::Visit(visit));
    let sheets = sheet_rows(write, head)?;
    let known = write.get(Table::Rows, &key)?;
    let known = known.and_then(|bytes| row::decode::<row::VisitRow>(&bytes));
    let here = doc_table::info(write, head)?.is_some_and(|info| info.changes > 1)
        || write.get(Table::RowOnly, &row_only_key(head))?.is_some();
    let made = row::with_sheets(known.unwrap_or_default(), &sheets);
    if sheets.is_empty() && !here && made == row::VisitRow::default() {
        return write.remove(Table::Rows, &key).map(drop);
    }
    write.put(Table::Rows, &key, &row::encode(&made))
}

/// Rows of all sheets of the visit that a document belongs to.
pub fn sheet_rows(
    store: &impl Get,
    id: DocId,
) -> Result<Vec<(ApplianceId, row::SheetRow)>, StoreError> {
    let Some(visit) = id.visit() else { return Ok(vec![]) };
    let rows = store.under(Table::Rows, &row::sheet_key(id.site, visit, None))?;
    let read = |(key, bytes): &(Vec<u8>, Vec<u8>)| {
        let (_, appliance) = key.split_last_chunk()?;
        Some((ApplianceId(*appliance), row::decode(bytes)?))
    };
    Ok(rows.iter().filter_map(read).collect())
}

/// Refuses what waits for changes that are not here beyond what one device may leave waiting.
fn over_orphans(
    write: &Write,
    all: &[Vec<u8>],
    admission: &mut Admission,
    signers: &Signers,
) -> Result<(), StoreError> {
    if admission.parked.is_empty() {
        return Ok(());
    }
    let owner = |change: &[u8]| {
        let half = gate::scan(change).ok()?.actor.half();
        Some(signers.get(half).map_or(half.0.to_vec(), |signer| signer.device.0.to_vec()))
    };
    let mut waiting: BTreeMap<Option<Vec<u8>>, (usize, usize)> = BTreeMap::new();
    write.scan(Table::Parked, &[], None, &mut |_, change| {
        let (count, bytes) = waiting.entry(owner(change)).or_default();
        (*count, *bytes) = (*count + 1, *bytes + change.len());
        true
    })?;
    let (most, most_bytes) = (limit::ORPHANS_MAX, limit::ORPHAN_BYTES_MAX);
    let mut parked = vec![];
    for position in std::mem::take(&mut admission.parked) {
        let change = &all[position];
        let (count, bytes) = waiting.entry(owner(change)).or_default();
        (*count, *bytes) = (*count + 1, *bytes + change.len());
        let turned = match () {
            () if *count > most => Turned::Orphans { what: "changes", found: *count, most },
            () if *bytes > most_bytes => {
                Turned::Orphans { what: "bytes of changes", found: *bytes, most: most_bytes }
            }
            () => {
                parked.push(position);
                continue;
            }
        };
        if let Ok(scan) = gate::scan(change) {
            admission.refused.push((scan.hash, turned));
        }
    }
    admission.parked = parked;
    Ok(())
}

/// Key of the mark that only a document's row came in a first exchange.
pub fn row_only_key(doc: DocId) -> Vec<u8> {
    [&doc.site.0[..], &doc.with_part(1).to_bytes()].concat()
}

/// Heads as the store keeps them: sorted, one after the other.
pub fn heads(doc: &Doc) -> Vec<u8> {
    doc.heads().iter().flat_map(|head| head.0).collect()
}

fn count(number: usize) -> u32 {
    u32::try_from(number).unwrap_or(u32::MAX)
}

/// Changes that were taken in, in order.
fn taken(doc: &Doc, admission: &Admission) -> Vec<Change> {
    use automerge::ReadDoc;
    admission
        .taken
        .iter()
        .filter_map(|hash| doc.automerge().get_change_by_hash(&ChangeHash(*hash)))
        .collect()
}

/// Loads a document from its snapshot and changes and compares the heads.
fn load(store: &impl Get, id: DocId, info: &DocInfo) -> Result<Doc, StoreError> {
    let number = DocNumber(info.number);
    let damaged = |wrong: &str| doc_table::unreadable(Table::Docs, format!("{id}: {wrong}"));
    let mut automerge = match doc_table::snapshot(store, number)? {
        Some(saved) => Automerge::load(&saved).map_err(|wrong| damaged(&wrong.to_string()))?,
        None => crate::record::doc::first(id),
    };
    let mut changes = vec![];
    for bytes in doc_table::changes(store, number, info.snapshot)? {
        changes.push(Change::from_bytes(bytes).map_err(|wrong| damaged(&wrong.to_string()))?);
    }
    automerge.apply_changes(changes).map_err(|wrong| damaged(&wrong.to_string()))?;
    let presence = if info.whole { Presence::Whole } else { Presence::Partial };
    let doc = Doc::from_parts(id, automerge, presence, info.overwritten);
    if heads(&doc) == info.heads {
        Ok(doc)
    } else {
        Err(damaged("its heads are not the ones that were stored"))
    }
}

/// Whether a snapshot gives back every one of these changes to the byte.
fn gives_back(saved: &[u8], changes: &[Vec<u8>]) -> bool {
    use automerge::ReadDoc;
    let Ok(loaded) = Automerge::load(saved) else { return false };
    changes.iter().all(|bytes| {
        let hash = gate::scan(bytes).map(|scan| ChangeHash(scan.hash));
        let change = hash.ok().and_then(|hash| loaded.get_change_by_hash(&hash));
        change.is_some_and(|change| change.raw_bytes() == bytes.as_slice())
    })
}

/// Why a whole document from the hub was not put on the shelf.
#[derive(Debug, thiserror::Error)]
pub enum WholeWrong {
    /// The gate refused it.
    #[error(transparent)]
    Turned(#[from] Turned),
    /// The store failed.
    #[error(transparent)]
    Store(#[from] StoreError),
}
