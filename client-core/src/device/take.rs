//! Taking one site's part of a reply in.

use std::collections::{BTreeMap, BTreeSet};

use super::act::presence;
use super::echo::{Echo, NOT_YET, NOT_YOURS, echoed, forget_heads, put_head, verdict_on, waiting};
use super::note::{keep, note_in};
use super::offer::short;
use super::reply::{ReplyWrong, Report};
use super::standing::{
    self, Following, Quarantined, StoredSession, half_of, put_following, put_quarantined,
    put_session, take_late,
};
use super::{Device, DeviceError};
use crate::exchange::codec;
use crate::exchange::delivery::{Delivery, Head};
use crate::exchange::frame::{SiteReply, Told};
use crate::exchange::note::{Note, Refusal, Says};
use crate::exchange::pack::unpack;
use crate::record::doc::Presence;
use crate::record::doc_id::DocId;
use crate::record::id::{DeviceId, SiteId};
use crate::record::inside::inside;
use crate::store::doc_table::{DocNumber, unreadable};
use crate::store::{Get, Pair, StoreError, Table, Write};

/// Most bytes of rows of one reply, expanded.
pub(super) const ROWS_BYTES_MAX: usize = 16 * 1024 * 1024;

impl Device {
    pub(super) fn site_in(
        &mut self,
        write: &Write,
        reply: &SiteReply,
        revoked: bool,
        report: &mut Report,
    ) -> Result<bool, ReplyWrong> {
        let site = reply.site;
        let mut moved = false;
        let mut following =
            standing::following(write, site)?.unwrap_or_else(|| Following::begin(site));
        following.met = true;
        if let Some(end) = reply.assigned
            && following.place.n == 0
            && following.cursor.is_none()
            && end > self.sizes.whole_log
        {
            following.by_rows = true;
            following.cursor = Some(vec![]);
            self.in_part(write, site)?;
        }
        for verdict in reply.verdicts.as_deref().unwrap_or_default() {
            if matches!(verdict.answer, NOT_YOURS | NOT_YET) {
                self.turned.insert(verdict.id);
            }
            let untold = following.gone || reply.gone == Some(true) || revoked;
            moved |= verdict_on(write, site, verdict, untold, report)?;
        }
        if let Some(log) = reply.log {
            following.place.log = log;
        }
        if let Some(common) = reply.common {
            moved |= self.fall_back(write, site, &mut following, common)?;
        }
        let begun = reply.started.is_some() && following.place.n == 0;
        if let Some(started) = &reply.started {
            moved |= self.started(write, site, &mut following, started, report)?;
        }
        // A first exchange by rows leads to a place of its own; what came before is not told.
        if let Some(told) = reply.told.as_ref().filter(|_| !begun) {
            moved |= self.told(write, reply, &mut following, told, report)?;
        }
        for whole in reply.docs.as_deref().unwrap_or_default() {
            self.whole(write, site, whole, report)?;
            moved = true;
        }
        self.behind(write, reply, &following, report)?;
        if let Some(rows) = &reply.rows {
            report.rows += self.rows(write, site, rows, &following, false)?;
        }
        if let Some(backed_up) = reply.backed_up {
            forget_heads(write, site, backed_up, self.identity.device())?;
        }
        put_following(write, site, &following)?;
        if reply.gone == Some(true) {
            report.gone.push(site);
        }
        if reply.gone == Some(true) || following.gone {
            self.gone(write, site, &mut following)?;
        }
        Ok(moved)
    }

    /// What the log has of this device's before the place from which it is told.
    fn behind(
        &mut self,
        write: &Write,
        reply: &SiteReply,
        following: &Following,
        report: &mut Report,
    ) -> Result<(), StoreError> {
        if reply.climb == Some(true) {
            // Which log the hub speaks of is not clear yet.
            return Ok(());
        }
        let verdicts = reply.verdicts.as_deref().unwrap_or_default();
        for verdict in verdicts.iter().filter(|verdict| verdict.answer < 2) {
            let Some(n) = verdict.at.filter(|n| *n <= following.place.n) else { continue };
            let sealed = waiting(write, reply.site)?;
            if let Some((id, key)) = sealed.iter().find(|(id, _)| short(id) == verdict.id)
                && !taken_by_another(write, reply.site, n, id)?
            {
                let echo = echoed(write, reply.site, n, key, report)?;
                self.came_late(write, &echo)?;
            }
        }
        Ok(())
    }

    /// Arrivals after the place.
    fn told(
        &mut self,
        write: &Write,
        reply: &SiteReply,
        following: &mut Following,
        told: &[Told],
        report: &mut Report,
    ) -> Result<bool, ReplyWrong> {
        let site = reply.site;
        self.certificates_ahead(write, site, told)?;
        let mut packed = self.unpacked(write, reply)?.into_iter();
        let mut sealed = waiting(write, site)?;
        let mut batches: BTreeMap<DocId, Vec<(DeviceId, Vec<u8>)>> = BTreeMap::new();
        let mut refusals: Vec<Refusal> = vec![];
        let mut echoed_docs: BTreeSet<DocId> = BTreeSet::new();
        for arrival in told {
            let n = following.place.n + 1;
            let id = match arrival {
                Told::Packed => {
                    let delivery = packed.next().ok_or(ReplyWrong::Chain(site))?;
                    let id = delivery.id();
                    self.delivery(write, n, &delivery, report)?;
                    // A copy of this device may have brought what this one still offers.
                    if let Some(key) = sealed.remove(&id) {
                        echoed_docs.extend(echoed(write, site, n, &key, report)?.docs);
                    }
                    for part in delivery.docs {
                        let batch = batches.entry(part.doc).or_default();
                        let device = delivery.head.device;
                        batch.extend(part.changes.into_iter().map(|change| (device, change)));
                    }
                    id
                }
                Told::Own(id) => {
                    let key = sealed.remove(id).ok_or(ReplyWrong::NotOwn)?;
                    let echo = echoed(write, site, n, &key, report)?;
                    self.came_late(write, &echo)?;
                    echoed_docs.extend(echo.docs);
                    *id
                }
                Told::Note(bytes, signature) => {
                    let note = Note { bytes: bytes.to_vec(), signature: *signature };
                    if !note.signed_by(&self.identity.hub_key, site) {
                        return Err(ReplyWrong::Note(site));
                    }
                    refusals.extend(note_in(write, site, &note, self.identity.device())?);
                    keep(write, site, n, &note)?;
                    note.id(site)
                }
            };
            following.place = following.place.after(&id);
            let key = [&site.0[..], &following.place.n.to_be_bytes()].concat();
            write.put(Table::Chain, &key, &[id, following.place.chain].concat())?;
        }
        if packed.next().is_some() {
            return Err(ReplyWrong::Chain(site));
        }
        if reply.check.is_some_and(|check| check != following.place.chain[..8]) {
            return Err(ReplyWrong::Chain(site));
        }
        put_following(write, site, following)?;
        self.take_batches(write, batches, report)?;
        self.refused(write, site, &refusals)?;
        for doc in echoed_docs {
            self.shelf.rest(write, doc)?;
        }
        Ok(!told.is_empty())
    }

    /// Marks what is here already of a delivery that arrived after its key was revoked: a hub that was
    /// restored may get it so the second time.
    fn came_late(&mut self, write: &Write, echo: &Echo) -> Result<(), StoreError> {
        if echo.late.is_empty() {
            return Ok(());
        }
        for change in &echo.late {
            self.signers.mark_late(*change);
        }
        for doc in &echo.docs {
            self.shelf.make_rows(write, *doc, &self.signers)?;
        }
        Ok(())
    }

    /// Certificates of a page are taken in before its deliveries are read: a device's first delivery may
    /// stand in the same page as its certificate.
    fn certificates_ahead(
        &self,
        write: &Write,
        site: SiteId,
        told: &[Told],
    ) -> Result<(), ReplyWrong> {
        for arrival in told {
            let Told::Note(bytes, signature) = arrival else { continue };
            let note = Note { bytes: bytes.to_vec(), signature: *signature };
            if !note.signed_by(&self.identity.hub_key, site) {
                return Err(ReplyWrong::Note(site));
            }
            if matches!(note.says(), Ok(Says::Certificate(_))) {
                note_in(write, site, &note, self.identity.device())?;
            }
        }
        Ok(())
    }

    /// The deliveries of a reply, each checked against its device's key.
    fn unpacked(&self, write: &Write, reply: &SiteReply) -> Result<Vec<Delivery>, ReplyWrong> {
        let site = reply.site;
        let Some(pack) = &reply.pack else { return Ok(vec![]) };
        let mut keys: BTreeMap<DeviceId, [u8; 32]> = standing::certificates(write)?
            .into_iter()
            .map(|(device, stored)| (device, stored.certificate.key))
            .collect();
        keys.insert(self.identity.device(), self.identity.public());
        let key = |device: DeviceId| keys.get(&device).copied();
        let deliveries = unpack(pack, self.identity.hub, site, &key)
            .map_err(|wrong| ReplyWrong::Pack { site, wrong })?;
        for delivery in &deliveries {
            let key = key(delivery.head.device).unwrap_or([0; 32]);
            delivery.check(&key).map_err(|wrong| ReplyWrong::Delivery { site, wrong })?;
        }
        Ok(deliveries)
    }

    /// Notes a delivery: its head for re-offering, its session for judging.
    fn delivery(
        &mut self,
        write: &Write,
        n: u64,
        delivery: &Delivery,
        report: &mut Report,
    ) -> Result<(), ReplyWrong> {
        put_head(write, n, delivery)?;
        report.taken += 1;
        for change in take_late(write, delivery)? {
            self.signers.mark_late(change);
        }
        self.session_of(write, delivery)?;
        Ok(())
    }

    /// Notes the session of a delivery, so that its entries can be judged.
    pub(super) fn session_of(
        &mut self,
        write: &Write,
        delivery: &Delivery,
    ) -> Result<(), StoreError> {
        let head = &delivery.head;
        let Some(stored) = standing::certificate(write, head.device)? else { return Ok(()) };
        let half = half_of(&stored, &head.nonce);
        let session = standing::session(write, half)?
            .unwrap_or_else(|| StoredSession::new(head.device, head.nonce));
        put_session(write, half, &session)?;
        self.signers.insert(half, standing::signer(&session, &stored));
        Ok(())
    }

    /// Takes changes in, document by document. A refused change stops no other document.
    pub(super) fn take_batches(
        &mut self,
        write: &Write,
        batches: BTreeMap<DocId, Vec<(DeviceId, Vec<u8>)>>,
        report: &mut Report,
    ) -> Result<(), ReplyWrong> {
        let mut touched: Vec<DocId> = vec![];
        for (doc, changes) in batches {
            let begun = presence(write, doc)?;
            if begun == Presence::Partial {
                self.beside(write, doc, changes.iter().map(|(_, change)| change))?;
                continue;
            }
            self.take_doc(write, doc, begun, &changes, report)?;
            touched.push(doc.with_part(1));
        }
        touched.dedup();
        touched.sort_by_key(|doc| std::cmp::Reverse(doc.kind));
        for doc in touched {
            self.shelf.make_rows(write, doc, &self.signers)?;
            self.shelf.rest(write, doc)?;
        }
        Ok(())
    }

    /// Takes changes of one document in; what is refused goes into quarantine.
    pub(super) fn take_doc(
        &mut self,
        write: &Write,
        doc: DocId,
        presence: Presence,
        changes: &[(DeviceId, Vec<u8>)],
        report: &mut Report,
    ) -> Result<(), StoreError> {
        let bytes: Vec<Vec<u8>> = changes.iter().map(|(_, change)| change.clone()).collect();
        let admission = self.shelf.take_in(write, doc, presence, &bytes, &self.signers)?;
        report.changes_down += u32::try_from(admission.taken.len()).unwrap_or(u32::MAX);
        for (_, change) in changes {
            let taken =
                crate::gate::scan(change).is_ok_and(|scan| admission.taken.contains(&scan.hash));
            if taken {
                self.news(doc, change, report);
            }
        }
        for (hash, turned) in admission.refused {
            report.refused += 1;
            let from = changes
                .iter()
                .find(|(_, change)| crate::gate::scan(change).is_ok_and(|scan| scan.hash == hash));
            let quarantined = Quarantined {
                doc: doc.to_bytes(),
                reason: turned.key().to_owned(),
                words: turned.to_string(),
                bytes: from.map(|(_, change)| change.clone()).unwrap_or_default(),
                device: from.map(|(device, _)| *device),
                reentered: false,
                binding: None,
            };
            put_quarantined(write, doc.site, &hash, &quarantined)?;
        }
        Ok(())
    }

    fn news(&self, doc: DocId, change: &[u8], report: &mut Report) {
        for inside in inside(change) {
            let Some(signer) = self.signers.get(inside.id.actor) else { continue };
            if signer.person != self.identity.person {
                *report.news.entries.entry((signer.person, doc.with_part(1))).or_default() += 1;
            }
        }
    }

    /// Keeps changes of a document that is not held whole beside it, after the cheap stages.
    pub(super) fn beside<'a>(
        &mut self,
        write: &Write,
        doc: DocId,
        changes: impl Iterator<Item = &'a Vec<u8>>,
    ) -> Result<(), DeviceError> {
        let held = self.shelf.get_or_begin(write, doc, Presence::Partial)?;
        let number = DocNumber(held.info.number);
        for change in changes {
            if let Ok(scan) = crate::gate::scan(change) {
                held.info.beside += u32::from(write.put_beside(number, &scan.hash, change)?);
            }
        }
        let info = held.info.clone();
        write.put_info(doc, &info)?;
        Ok(())
    }

    /// Takes copies of a site away that is not this device's any more, once its own work is on the hub.
    fn gone(
        &mut self,
        write: &Write,
        site: SiteId,
        following: &mut Following,
    ) -> Result<(), DeviceError> {
        following.gone = true;
        put_following(write, site, following)?;
        let unsent = standing::unsent(write, site)?;
        if unsent != standing::Unsent::default() {
            return Ok(());
        }
        for (doc, info) in crate::store::doc_table::of_site(write, site)? {
            write.forget_doc(doc, &info)?;
            self.shelf.drop_doc(doc);
        }
        for kind in 1..=5u8 {
            write.clear(Table::Rows, &[&[kind][..], &site.0].concat())?;
        }
        for table in [
            Table::Chain,
            Table::Heads,
            Table::HeadChanges,
            Table::EntryStates,
            Table::Quarantine,
            Table::Late,
            Table::RowOnly,
        ] {
            write.clear(table, &site.0)?;
        }
        write.remove(Table::Places, &site.0)?;
        Ok(())
    }
}

/// Whether this device was told that another arrival stands at a number of the log: what says otherwise
/// speaks of a log that the hub has lost, or has lost since.
fn taken_by_another(
    write: &Write,
    site: SiteId,
    n: u64,
    id: &[u8; 32],
) -> Result<bool, StoreError> {
    let key = [&site.0[..], &n.to_be_bytes()].concat();
    let told = write.get(Table::Chain, &key)?;
    let told = told.and_then(|told| told.first_chunk::<32>().copied());
    if told.is_some_and(|told| told != [0; 32] && told != *id) {
        return Ok(true);
    }
    let Some(kept) = write.get(Table::Heads, &key)? else { return Ok(false) };
    let head = kept.get(64..).and_then(|head| Head::from_bytes(head).ok());
    Ok(head.is_none_or(|head| head.id() != *id))
}

/// Expands squeezed rows.
pub(super) fn expand_rows(bytes: &[u8]) -> Result<Vec<Pair>, StoreError> {
    let wrong = |words: String| unreadable(Table::Rows, words);
    let plain = codec::expand(bytes, ROWS_BYTES_MAX).map_err(|why| wrong(why.to_string()))?;
    let pairs: Vec<(minicbor::bytes::ByteVec, minicbor::bytes::ByteVec)> =
        minicbor::decode(&plain).map_err(|why| wrong(why.to_string()))?;
    Ok(pairs.into_iter().map(|(key, value)| (key.into(), value.into())).collect())
}
