//! Taking a page of arrivals into the view, in one transaction.
//!
//! Before a page is begun, a mark says which. A program that stopped in it goes on one arrival at a time;
//! only an arrival that stopped the program several times by itself is passed over, so that neither a
//! power cut nor a kill makes an honest delivery look guilty.

use std::collections::{BTreeMap, BTreeSet};

use client_core::device::standing::{self, Quarantined, StoredCertificate, StoredSession, signer};
use client_core::exchange::delivery::Delivery;
use client_core::exchange::note::{LastAccepted, Note, Refusal, Says};
use client_core::exchange::place::Place;
use client_core::gate::Turned;
use client_core::record::doc::{Presence, session_actor};
use client_core::record::doc_id::DocId;
use client_core::record::id::{ActorHalf, DeviceId, LogId, SiteId};
use client_core::store::{Get, StoreError, Table, Write};
use minicbor::{Decode, Encode};

use super::{View, ViewError, place_key};
use crate::access::Access;
use crate::log::{Arrival, HubLog, Stored};

/// Bytes of arrivals folded in one transaction.
const FOLD_BYTES: usize = 256 * 1024;
/// Times that an arrival may stop the program by itself before it is passed over.
const STOPS_MAX: u32 = 3;
const ABOUT: &[u8] = b"about to fold";

/// What the program is about to fold.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Encode, Decode)]
#[cbor(map)]
pub(super) struct About {
    #[n(0)]
    site: SiteId,
    /// The first arrival of the page.
    #[n(1)]
    n: u64,
    /// The page holds this arrival alone, for the how-many-th time; zero for a page of many.
    #[n(2)]
    alone: u32,
    /// Up to here arrivals are folded one at a time.
    #[n(3)]
    careful_to: u64,
}

impl View {
    /// Folds a page of what a site's log holds beyond the view; says whether more is left.
    pub fn fold(
        &mut self,
        log: &dyn HubLog,
        access: &Access,
        site: SiteId,
    ) -> Result<bool, ViewError> {
        let end = log.end(site)?;
        let mut place = self.place(site)?.unwrap_or_else(|| Place::begin(log.id(), site));
        // A log that no longer holds what was folded is another log: begin again.
        if log.chain_at(site, place.n)? != Some(place.chain) {
            self.forget(site)?;
            place = Place::begin(log.id(), site);
        }
        if place.n >= end.n {
            return Ok(false);
        }
        let about = self.about(site, place.n + 1, end.n);
        let most = if about.alone > 0 { 1 } else { FOLD_BYTES };
        let page = log.after(site, place.n, most)?;
        let Some(last) = page.last() else { return Ok(false) };
        let mark = self.store.write()?;
        mark.put(Table::Meta, ABOUT, &cbor(&about))?;
        mark.commit()?;
        let outcome = self.fold_page(access, site, &page, about.alone > STOPS_MAX);
        if outcome.is_err() {
            self.shelf.clear();
        }
        outcome?;
        if about.alone > 0 {
            let on = About { n: last.n + 1, alone: 0, ..about };
            self.stopped_in = (last.n < about.careful_to).then_some(on);
        }
        Ok(last.n < end.n)
    }

    /// What is about to be folded, with what is known of earlier stops.
    fn about(&self, site: SiteId, n: u64, end: u64) -> About {
        match self.stopped_in.filter(|stopped| stopped.site == site) {
            None => About { site, n, alone: 0, careful_to: 0 },
            Some(stopped) if stopped.careful_to == 0 => {
                About { site, n, alone: 1, careful_to: end }
            }
            Some(stopped) if stopped.n == n => About { alone: stopped.alone + 1, ..stopped },
            Some(stopped) => About { n, alone: 1, ..stopped },
        }
    }

    fn fold_page(
        &mut self,
        access: &Access,
        site: SiteId,
        page: &[Stored],
        pass_over: bool,
    ) -> Result<(), StoreError> {
        let write = self.store.write()?;
        let mut sessions: Vec<(ActorHalf, StoredSession)> = vec![];
        let mut refusals: Vec<Refusal> = vec![];
        let mut batches: BTreeMap<DocId, Vec<(From, Vec<u8>)>> = BTreeMap::new();
        for stored in page {
            match &stored.arrival {
                Arrival::Note(note) => match note_in(&write, access, site, note)? {
                    Told::Session(half, session) => sessions.push((half, session)),
                    Told::Refusal(refusal) => refusals.push(refusal),
                    Told::Nothing => {}
                },
                Arrival::Delivery(delivery) => {
                    sessions.extend(session_of(&write, access, site, delivery)?);
                    for change in standing::take_late(&write, delivery)? {
                        self.signers.mark_late(change);
                    }
                    for part in &delivery.docs {
                        let batch = batches.entry(part.doc).or_default();
                        let from = From { n: stored.n, device: delivery.head.device };
                        batch.extend(part.changes.iter().map(|change| (from, change.clone())));
                    }
                }
            }
        }
        self.learn(&write, access, &sessions)?;
        let mut touched: BTreeSet<DocId> = BTreeSet::new();
        for (doc, changes) in batches {
            if pass_over {
                for (from, change) in &changes {
                    keep(&write, site, &refusal(*from, doc, change, &Turned::Stopped))?;
                }
                continue;
            }
            let bytes: Vec<Vec<u8>> = changes.iter().map(|(_, change)| change.clone()).collect();
            let admission =
                self.shelf.take_in(&write, doc, Presence::Whole, &bytes, &self.signers)?;
            for (hash, turned) in &admission.refused {
                let from = changes.iter().find(|(_, change)| {
                    client_core::gate::scan(change).is_ok_and(|scan| scan.hash == *hash)
                });
                if let Some((from, change)) = from {
                    keep(&write, site, &refusal(*from, doc, change, turned))?;
                }
            }
            touched.insert(doc.with_part(1));
        }
        // What the log says was refused stands nowhere, also where this fold would have let it pass.
        for refusal in refusals {
            let Ok(doc) = DocId::from_bytes(site, &refusal.doc) else { continue };
            if self.shelf.expel(&write, doc, &refusal.change)?.is_some() {
                touched.insert(doc.with_part(1));
            }
        }
        let mut touched: Vec<DocId> = touched.into_iter().collect();
        touched.sort_by_key(|doc| std::cmp::Reverse(doc.kind));
        for doc in touched {
            self.shelf.make_rows(&write, doc, &self.signers)?;
            self.shelf.rest(&write, doc)?;
        }
        if let Some(last) = page.last() {
            let place = Place { log: LogId([0; 8]), n: last.n, chain: last.chain };
            write.put(Table::Meta, &place_key(site), &cbor(&place))?;
        }
        write.remove(Table::Meta, ABOUT)?;
        write.commit()
    }

    /// Learns who signs for these sessions; for all, when a certificate has changed.
    fn learn(
        &mut self,
        write: &Write,
        access: &Access,
        sessions: &[(ActorHalf, StoredSession)],
    ) -> Result<(), StoreError> {
        let all = match self.signers_at == Some(access.version()) {
            true => None,
            false => {
                for change in standing::late(write, None)? {
                    self.signers.mark_late(change);
                }
                Some(standing::sessions(write)?)
            }
        };
        for (half, session) in all.as_deref().unwrap_or(sessions) {
            if let Some(enrolled) = access.device(session.device) {
                let stored = StoredCertificate {
                    certificate: enrolled.certificate.clone(),
                    revoked: enrolled.revoked.clone(),
                };
                self.signers.insert(*half, signer(session, &stored));
            }
        }
        self.signers_at = Some(access.version());
        Ok(())
    }

    /// Refusals of the gate that the log does not tell of. Only known at the end of a site's log: a view
    /// that is folded anew meets the notes of its first time further on.
    pub fn unnoted(&self, site: SiteId) -> Result<Vec<Refusal>, StoreError> {
        let kept = self.store.read()?.under(Table::Meta, &[REFUSED, &site.0].concat())?;
        Ok(kept.iter().filter_map(|(_, value)| minicbor::decode(value).ok()).collect())
    }

    /// The last delivery of each session of a device at each site, as far as the view is folded.
    pub fn last_of(&self, device: DeviceId) -> Result<Vec<LastAccepted>, StoreError> {
        let read = self.store.read()?;
        let mut found = vec![];
        for (key, seq) in read.under(Table::Meta, AT)? {
            let Some((site, half)) = key.get(AT.len()..).and_then(|rest| rest.split_first_chunk())
            else {
                continue;
            };
            let half = ActorHalf::from_slice(half);
            let session = match half {
                Some(half) => standing::session(&read, half)?,
                None => None,
            };
            let seq = seq.try_into().map(u32::from_be_bytes);
            if let (Some(session), Ok(seq)) = (session.filter(|one| one.device == device), seq) {
                found.push(LastAccepted { site: SiteId(*site), nonce: session.nonce, seq });
            }
        }
        Ok(found)
    }

    /// Changes at a site that arrived after their key was revoked.
    pub fn late_at(&self, site: SiteId) -> Result<Vec<[u8; 32]>, StoreError> {
        standing::late(&self.store.read()?, Some(site))
    }

    /// Sessions that wrote at a site.
    pub fn sessions_at(&self, site: SiteId) -> Result<Vec<StoredSession>, StoreError> {
        let read = self.store.read()?;
        let mut found = vec![];
        let prefix = [AT, &site.0].concat();
        for (key, _) in read.under(Table::Meta, &prefix)? {
            let half = key.get(prefix.len()..).and_then(ActorHalf::from_slice);
            if let Some(half) = half {
                found.extend(standing::session(&read, half)?);
            }
        }
        Ok(found)
    }
}

/// What the program was about to fold when it stopped the last time.
pub(super) fn stopped_in(read: &impl Get) -> Result<Option<About>, StoreError> {
    Ok(read.get(Table::Meta, ABOUT)?.and_then(|mark| minicbor::decode(&mark).ok()))
}

/// Forgets what is kept of a site beside its documents and rows.
pub(super) fn forget(write: &Write, site: SiteId) -> Result<(), StoreError> {
    write.clear(Table::Late, &site.0)?;
    write.clear(Table::Quarantine, &site.0)?;
    write.clear(Table::Meta, &[REFUSED, &site.0].concat())?;
    write.clear(Table::Meta, &[AT, &site.0].concat())
}

/// Key of the index from sites to sessions.
const AT: &[u8] = b"session at ";
/// Key of a refusal that the log does not tell of yet.
const REFUSED: &[u8] = b"refused ";

fn cbor<T: Encode<()>>(value: &T) -> Vec<u8> {
    minicbor::to_vec(value).expect("writing to memory does not fail")
}

/// Where a change came from: the arrival, and the device that delivered it.
#[derive(Clone, Copy)]
struct From {
    n: u64,
    device: DeviceId,
}

/// What a note tells of.
enum Told {
    Nothing,
    Session(ActorHalf, StoredSession),
    Refusal(Refusal),
}

/// What a note means for the view.
fn note_in(write: &Write, access: &Access, site: SiteId, note: &Note) -> Result<Told, StoreError> {
    match note.says() {
        Ok(Says::Clock(clock)) => {
            let Some(key) = access.key(clock.device) else { return Ok(Told::Nothing) };
            let half = session_actor(&key, &clock.nonce).half();
            let mut session = session(write, half, clock.device, clock.nonce)?;
            session.add_clock(clock.span);
            put_session(write, site, half, &session, 0)?;
            Ok(Told::Session(half, session))
        }
        Ok(Says::Refusal(refusal)) => {
            let key = [&site.0[..], &refusal.change].concat();
            let quarantined = Quarantined {
                doc: refusal.doc.clone(),
                reason: refusal.reason.clone(),
                words: refusal.words.clone(),
                bytes: vec![],
                device: refusal.device,
                reentered: false,
                binding: Some(true),
            };
            standing::put_quarantined(write, site, &refusal.change, &quarantined)?;
            write.remove(Table::Meta, &[REFUSED, &key].concat())?;
            Ok(Told::Refusal(refusal))
        }
        Ok(Says::Late(late)) => {
            standing::put_late(write, site, &late)?;
            Ok(Told::Nothing)
        }
        // Certificates and revocations are read by `access`; a note of a newer version says nothing here.
        Ok(Says::Certificate(_) | Says::Revocation(_)) | Err(_) => Ok(Told::Nothing),
    }
}

/// Keeps a refusal until the log tells of it.
fn keep(write: &Write, site: SiteId, refusal: &Refusal) -> Result<(), StoreError> {
    let key = [&site.0[..], &refusal.change].concat();
    if write.get(Table::Quarantine, &key)?.is_some() {
        return Ok(());
    }
    write.put(Table::Meta, &[REFUSED, &key].concat(), &cbor(refusal))
}

/// A session as it is known, or begun.
fn session(
    write: &Write,
    half: ActorHalf,
    device: DeviceId,
    nonce: [u8; 16],
) -> Result<StoredSession, StoreError> {
    let known = standing::session(write, half)?;
    Ok(known.unwrap_or_else(|| StoredSession::new(device, nonce)))
}

fn refusal(from: From, doc: DocId, change: &[u8], turned: &Turned) -> Refusal {
    let hash = client_core::gate::scan(change).map_or([0; 32], |scan| scan.hash);
    Refusal {
        n: from.n,
        doc: doc.to_bytes(),
        change: hash,
        reason: turned.key().to_owned(),
        words: turned.to_string(),
        device: Some(from.device),
    }
}

fn put_session(
    write: &Write,
    site: SiteId,
    half: ActorHalf,
    session: &StoredSession,
    seq: u32,
) -> Result<(), StoreError> {
    let at = [AT, &site.0[..], &half.0].concat();
    let known = write.get(Table::Meta, &at)?.and_then(|known| known.try_into().ok());
    let seq = known.map_or(0, u32::from_be_bytes).max(seq);
    write.put(Table::Meta, &at, &seq.to_be_bytes())?;
    write.put(Table::Sessions, &half.0, &cbor(session))
}

/// Notes the session of a delivery and how far it has counted at the site.
fn session_of(
    write: &Write,
    access: &Access,
    site: SiteId,
    delivery: &Delivery,
) -> Result<Option<(ActorHalf, StoredSession)>, StoreError> {
    let head = &delivery.head;
    let Some(enrolled) = access.device(head.device) else { return Ok(None) };
    let half = session_actor(&enrolled.certificate.key, &head.nonce).half();
    let session = session(write, half, head.device, head.nonce)?;
    put_session(write, site, half, &session, head.seq)?;
    Ok(Some((half, session)))
}
