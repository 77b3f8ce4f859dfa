//! What is held only in part: first exchanges, whole documents, rows of the hub, and falling back to a
//! shared place.

use std::collections::BTreeSet;

use automerge::Automerge;

use super::ask::put_note_again;
use super::echo::{drop_head, offer_again};
use super::reply::{ReplyWrong, Report};
use super::shelf::row_only_key;
use super::standing::{
    self, EntryState, Following, StoredSession, half_of, put_following, put_late_changes,
    put_session, put_state,
};
use super::take::expand_rows;
use super::{Device, DeviceError};
use crate::exchange::codec;
use crate::exchange::delivery::{Delivery, DocChanges, Head, signed};
use crate::exchange::frame::{Started, Whole};
use crate::exchange::note::Note;
use crate::exchange::place::{self, Place};
use crate::gate::{self, limit};
use crate::record::doc::Presence;
use crate::record::doc_id::{DocId, DocKind};
use crate::record::id::{DeviceId, SiteId};
use crate::record::inside::inside;
use crate::store::doc_table::{self, DocInfo, DocNumber, unreadable};
use crate::store::{Get, StoreError, Table, Write};

/// A whole document as it came.
struct Came {
    automerge: Automerge,
    overwritten: bool,
    /// Changes of it that arrived before something that they build on.
    waiting: Vec<Vec<u8>>,
}

impl Device {
    /// Begins to follow a site by rows: today's visits whole, then rows of everything, history on
    /// demand. The next exchange fetches it.
    pub fn start(&mut self, site: SiteId) -> Result<(), DeviceError> {
        let following = Following { by_rows: true, cursor: Some(vec![]), ..Following::begin(site) };
        self.follow_as(site, &following)
    }

    /// Begins to follow a site by its whole log.
    pub fn follow(&mut self, site: SiteId) -> Result<(), DeviceError> {
        self.follow_as(site, &Following::begin(site))
    }

    fn follow_as(&mut self, site: SiteId, following: &Following) -> Result<(), DeviceError> {
        let write = self.store.write()?;
        if standing::following(&write, site)?.is_none() {
            put_following(&write, site, following)?;
            if following.by_rows {
                self.in_part(&write, site)?;
            }
            write.commit()?;
        }
        Ok(())
    }

    /// A first exchange by rows leads past arrivals that are never told: until the hub has named what there
    /// is, nobody knows whether a document that was begun here is all there is of it.
    pub(super) fn in_part(&mut self, write: &Write, site: SiteId) -> Result<(), StoreError> {
        for (doc, mut info) in doc_table::of_site(write, site)? {
            if info.whole && doc.kind != DocKind::Company {
                info.whole = false;
                write.put_info(doc, &info)?;
                self.shelf.drop_doc(doc);
            }
        }
        Ok(())
    }

    /// A piece of a first exchange.
    pub(super) fn started(
        &mut self,
        write: &Write,
        site: SiteId,
        following: &mut Following,
        started: &Started,
        report: &mut Report,
    ) -> Result<bool, ReplyWrong> {
        let bytes = place::to_sign(site, &started.place);
        if !signed(&self.identity.hub_key, &bytes, &started.signature) {
            return Err(ReplyWrong::Note(site));
        }
        if following.place.n == 0 && started.place.n > 0 {
            following.place = started.place;
            let key = [&site.0[..], &started.place.n.to_be_bytes()].concat();
            write.put(Table::Chain, &key, &[[0; 32], started.place.chain].concat())?;
        }
        following.place.log = started.place.log;
        put_following(write, site, following)?;
        for row in started.sessions.as_deref().unwrap_or_default() {
            let Some(stored) = standing::certificate(write, row.device)? else { continue };
            let half = half_of(&stored, &row.nonce);
            let session =
                StoredSession { device: row.device, nonce: row.nonce, clocks: row.clocks.clone() };
            put_session(write, half, &session)?;
            self.signers.insert(half, standing::signer(&session, &stored));
        }
        if let Some(late) = &started.late {
            let late: Vec<[u8; 32]> =
                late.chunks_exact(32).filter_map(|hash| hash.try_into().ok()).collect();
            put_late_changes(write, site, &late)?;
            for change in late {
                self.signers.mark_late(change);
            }
        }
        for whole in &started.docs {
            self.whole(write, site, whole, report)?;
        }
        if let Some(rows) = &started.rows {
            report.rows += self.rows(write, site, rows, following, true)?;
        }
        following.cursor = started.cursor.as_ref().map(|cursor| cursor.to_vec());
        if following.cursor.is_none() {
            put_following(write, site, following)?;
            self.begun_since(write, site, report)?;
        }
        report.left = started.left.unwrap_or_default();
        Ok(true)
    }

    /// Everything that existed at the place of a first exchange has been named now. What was not named began
    /// since, so that all of it is here.
    fn begun_since(
        &mut self,
        write: &Write,
        site: SiteId,
        report: &mut Report,
    ) -> Result<(), ReplyWrong> {
        for (doc, info) in doc_table::of_site(write, site)? {
            let named = write.get(Table::RowOnly, &row_only_key(doc))?.is_some();
            if !info.whole && !named {
                let saved = crate::record::doc::first(doc);
                let came = Came { automerge: saved, overwritten: false, waiting: vec![] };
                self.made_whole(write, doc, Some(info), came, report)?;
            }
        }
        Ok(())
    }

    /// Takes a whole document: what the hub sent, then own additions and whatever lay beside.
    pub(super) fn whole(
        &mut self,
        write: &Write,
        site: SiteId,
        whole: &Whole,
        report: &mut Report,
    ) -> Result<(), ReplyWrong> {
        let doc =
            DocId::from_bytes(site, &whole.doc).map_err(|wrong| unreadable(Table::Docs, wrong))?;
        let known = doc_table::info(write, doc)?;
        if known.as_ref().is_some_and(|info| info.whole) {
            return Ok(());
        }
        let turned = |turned| ReplyWrong::Whole { doc, turned };
        let automerge = if whole.saved.is_empty() {
            crate::record::doc::first(doc)
        } else {
            let saved = codec::expand(&whole.saved, limit::DOC_BYTES_MAX)
                .map_err(|wrong| turned(gate::Turned::Parse(wrong.to_string())))?;
            let heads: Vec<[u8; 32]> =
                whole.heads.chunks_exact(32).filter_map(|head| head.try_into().ok()).collect();
            gate::snapshot::load(&saved, &heads).map_err(turned)?
        };
        let overwritten = whole.overwritten == Some(true);
        let waiting = whole.waiting.iter().flatten().map(|change| change.to_vec()).collect();
        self.made_whole(write, doc, known, Came { automerge, overwritten, waiting }, report)?;
        report.wholes += 1;
        Ok(())
    }

    /// Puts a whole document in the place of what is here of it, own additions and what lay beside joined.
    fn made_whole(
        &mut self,
        write: &Write,
        doc: DocId,
        known: Option<DocInfo>,
        came: Came,
        report: &mut Report,
    ) -> Result<(), ReplyWrong> {
        let mut additions = came.waiting;
        write.remove(Table::RowOnly, &row_only_key(doc))?;
        if let Some(info) = known {
            if let Some(held) = self.shelf.get(write, doc)? {
                let own = held.doc.automerge().get_changes(&[]);
                additions.extend(own.iter().map(|change| change.raw_bytes().to_vec()));
            }
            additions.extend(write.take_beside(DocNumber(info.number))?);
            additions.extend(write.unpark(DocNumber(info.number))?);
            write.forget_doc(doc, &info)?;
            self.shelf.drop_doc(doc);
        }
        self.shelf.put_whole(write, doc, came.automerge, came.overwritten)?;
        if !additions.is_empty() {
            let batch: Vec<(DeviceId, Vec<u8>)> =
                additions.into_iter().map(|change| (self.device_of(&change), change)).collect();
            self.take_doc(write, doc, Presence::Whole, &batch, report)?;
        }
        if let Some(held) = self.shelf.get(write, doc)?
            && held.doc.changes() == 1
            && held.info.beside == 0
            && doc_table::parked(write, DocNumber(held.info.number))?.is_empty()
        {
            // Nothing of it passed: there is no such document.
            let info = held.info.clone();
            write.forget_doc(doc, &info)?;
            self.shelf.drop_doc(doc);
        }
        self.shelf.make_rows(write, doc, &self.signers)?;
        Ok(())
    }

    fn device_of(&self, change: &[u8]) -> DeviceId {
        let half = gate::scan(change).ok().map(|scan| scan.actor.half());
        let signer = half.and_then(|half| self.signers.get(half));
        signer.map_or(self.identity.device(), |signer| signer.device)
    }

    /// Rows are the hub's word; a row of a document that is held whole is this device's own.
    pub(super) fn rows(
        &mut self,
        write: &Write,
        site: SiteId,
        squeezed: &[u8],
        following: &Following,
        first: bool,
    ) -> Result<u64, ReplyWrong> {
        let mut count = 0;
        let mut visits: BTreeSet<DocId> = BTreeSet::new();
        for (key, value) in expand_rows(squeezed)? {
            let Some(own) = key.get(1..9) else { continue };
            if own != site.0 || !(1..=5).contains(&key[0]) {
                continue;
            }
            if let Some(doc) = doc_of_row(site, &key) {
                let info = doc_table::info(write, doc)?;
                if info.as_ref().is_some_and(|info| info.whole) {
                    continue;
                }
                if first {
                    write.put(Table::RowOnly, &row_only_key(doc), &[])?;
                }
                if let Some(mut info) = info {
                    info.row_n = Some(following.place.n);
                    write.put_info(doc, &info)?;
                    self.shelf.drop_doc(doc);
                }
                if let DocKind::Sheet(visit, _) = doc.kind {
                    visits.insert(DocId::new(site, DocKind::Visit(visit)));
                }
            }
            write.put(Table::Rows, &key, &value)?;
            count += 1;
        }
        // A visit's own row sums up its sheets.
        for visit in visits {
            if doc_table::info(write, visit)?.is_some_and(|info| info.whole) {
                self.shelf.make_rows(write, visit, &self.signers)?;
            }
        }
        Ok(count)
    }

    /// Goes back to the last place that the hub shares; everything after it that can be put together
    /// again is offered once more, a lost colleague's work included.
    pub(super) fn fall_back(
        &mut self,
        write: &Write,
        site: SiteId,
        following: &mut Following,
        common: u64,
    ) -> Result<bool, ReplyWrong> {
        if common >= following.place.n {
            return Ok(false);
        }
        let mut again = vec![];
        for (key, value) in write.under(Table::Heads, &site.0)? {
            let n = key.get(8..16).and_then(|n| n.try_into().ok()).map(u64::from_be_bytes);
            if n.is_some_and(|n| n > common) {
                match self.put_together(write, &key, &value)? {
                    Some(delivery) => again.push(delivery),
                    None if is_note(&value) => put_note_again(write, &value)?,
                    None => {}
                }
                drop_head(write, &key)?;
            }
        }
        for (key, _) in write.under(Table::Chain, &site.0)? {
            let n = key.get(8..16).and_then(|n| n.try_into().ok()).map(u64::from_be_bytes);
            if n.is_some_and(|n| n > common) {
                write.remove(Table::Chain, &key)?;
            }
        }
        for delivery in again {
            if delivery.head.device == self.identity.device() {
                for change in delivery.docs.iter().flat_map(|part| &part.changes) {
                    for inside in inside(change) {
                        put_state(write, site, inside.id, EntryState::Sealed)?;
                    }
                }
            }
            offer_again(write, site, delivery)?;
        }
        let key = [&site.0[..], &common.to_be_bytes()].concat();
        let stored = write.get(Table::Chain, &key)?;
        let chain = stored.and_then(|stored| stored.get(32..64)?.try_into().ok());
        following.place.n = common;
        following.place.chain = chain.unwrap_or_else(|| place::begin(site));
        if chain.is_none() && common > 0 {
            following.place = Place::begin(following.place.log, site);
        }
        if following.place.n == 0
            && let Some(cursor) = &mut following.cursor
        {
            // It leads to another place now: what came before the cursor is told once more.
            cursor.clear();
            self.in_part(write, site)?;
        }
        Ok(true)
    }

    /// A delivery from what is kept of it and the changes that it brought; none when one of them is not here
    /// any more.
    fn put_together(
        &mut self,
        write: &Write,
        key: &[u8],
        stored: &[u8],
    ) -> Result<Option<Delivery>, StoreError> {
        let Some((signature, head)) = stored.split_first_chunk::<64>() else { return Ok(None) };
        let Ok(head) = Head::from_bytes(head) else { return Ok(None) };
        let signer = match standing::certificate(write, head.device)? {
            Some(stored) => stored.certificate.key,
            None if head.device == self.identity.device() => self.identity.public(),
            None => return Ok(None),
        };
        let hashes = write.get(Table::HeadChanges, key)?.unwrap_or_default();
        let mut hashes = hashes.chunks_exact(32).filter_map(|hash| hash.try_into().ok());
        let mut docs = vec![];
        for part in &head.docs {
            let mut changes = vec![];
            for _ in 0..part.changes {
                let Some(hash) = hashes.next() else { return Ok(None) };
                let Some(change) = self.change(write, part.doc, &hash)? else { return Ok(None) };
                changes.push(change);
            }
            docs.push(DocChanges { doc: part.doc, changes });
        }
        let delivery = Delivery { head, signature: *signature, docs };
        Ok(delivery.check(&signer).is_ok().then_some(delivery))
    }

    /// A change of a document, wherever it is here, in quarantine too.
    pub(super) fn change(
        &mut self,
        write: &Write,
        doc: DocId,
        hash: &[u8; 32],
    ) -> Result<Option<Vec<u8>>, StoreError> {
        if let Some(change) = self.shelf.change(write, doc, hash)? {
            return Ok(Some(change));
        }
        let kept = standing::quarantined(write, doc.site, hash)?;
        Ok(kept.map(|kept| kept.bytes).filter(|bytes| !bytes.is_empty()))
    }
}

/// Whether what is kept is a note of the hub.
fn is_note(kept: &[u8]) -> bool {
    let bytes = kept.get(64..).unwrap_or_default().to_vec();
    Note { bytes, signature: [0; 64] }.says().is_ok()
}

/// The document whose row a key names.
fn doc_of_row(site: SiteId, key: &[u8]) -> Option<DocId> {
    use crate::record::id::{ApplianceId, VisitId};
    let ids = &key[9..];
    let kind = match (key[0], ids.len()) {
        (1, 0) => DocKind::Site,
        (2, 8) => DocKind::Appliance(ApplianceId::from_slice(ids)?),
        (3, 8) => DocKind::Visit(VisitId::from_slice(ids)?),
        (4, 16) => {
            DocKind::Sheet(VisitId::from_slice(&ids[..8])?, ApplianceId::from_slice(&ids[8..])?)
        }
        _ => return None,
    };
    Some(DocId::new(site, kind))
}
