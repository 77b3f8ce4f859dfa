//! Where things stand: places, sessions, certificates, what is unsent, what is in quarantine.

use std::collections::BTreeSet;

use minicbor::{Decode, Encode};

use crate::device::identity::Identity;
use crate::exchange::delivery::{Delivery, device_id};
use crate::exchange::note::{Certificate, Late};
use crate::exchange::place::Place;
use crate::gate::scan;
use crate::record::doc::session_actor;
use crate::record::doc_id::DocId;
use crate::record::id::{ActorHalf, DeviceId, EntryId, LogId, SiteId};
use crate::record::signer::{ClockSpan, Signer, Signers};
use crate::store::doc_table::unreadable;
use crate::store::{Get, StoreError, Table, Write};

/// How a device follows a site.
#[derive(Clone, Debug, PartialEq, Eq, Encode, Decode)]
#[cbor(map)]
pub struct Following {
    /// The place in the hub's log.
    #[n(0)]
    pub place: Place,
    /// The first exchange began with rows: documents may be held as rows only.
    #[n(1)]
    pub by_rows: bool,
    /// Where the first exchange goes on; none when everything was told.
    #[n(2)]
    #[cbor(with = "minicbor::bytes")]
    pub cursor: Option<Vec<u8>>,
    /// The hub has told something of this site.
    #[n(3)]
    pub met: bool,
    /// The site is not this device's any more.
    #[n(4)]
    pub gone: bool,
}

impl Following {
    /// Nothing of the site's log is known yet.
    pub fn begin(site: SiteId) -> Following {
        let place = Place::begin(LogId([0; 8]), site);
        Following { place, by_rows: false, cursor: None, met: false, gone: false }
    }
}

/// A session as stored: who signs for it.
#[derive(Clone, Debug, PartialEq, Eq, Encode, Decode)]
#[cbor(map)]
pub struct StoredSession {
    /// The device.
    #[n(0)]
    pub device: DeviceId,
    /// The nonce.
    #[n(1)]
    #[cbor(with = "minicbor::bytes")]
    pub nonce: [u8; 16],
    /// Spans of entries made under a wrong clock.
    #[n(2)]
    pub clocks: Vec<ClockSpan>,
}

impl StoredSession {
    /// A session of which nothing else is known yet.
    pub const fn new(device: DeviceId, nonce: [u8; 16]) -> StoredSession {
        StoredSession { device, nonce, clocks: vec![] }
    }

    /// Adds a span of a wrong clock; the same span twice is one.
    pub fn add_clock(&mut self, span: ClockSpan) {
        if !self.clocks.contains(&span) {
            self.clocks.push(span);
        }
    }
}

/// A certificate as stored, with what became of it.
#[derive(Clone, Debug, PartialEq, Eq, Encode, Decode)]
#[cbor(map)]
pub struct StoredCertificate {
    /// The certificate.
    #[n(0)]
    pub certificate: Certificate,
    /// Reason of the revocation, when it was revoked.
    #[n(1)]
    pub revoked: Option<String>,
}

/// Where one entry is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum EntryState {
    /// On this device only.
    Here,
    /// Sealed and offered; the hub has not echoed it yet.
    Sealed,
    /// On the hub: its log has echoed it.
    OnHub,
}

/// What is unsent at one site.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Unsent {
    /// Changes that are not sealed yet.
    pub changes: u64,
    /// Sealed deliveries that the hub has not echoed.
    pub deliveries: u64,
}

/// A refused change, kept with its reason.
#[derive(Clone, Debug, PartialEq, Eq, Encode, Decode)]
#[cbor(map)]
pub struct Quarantined {
    /// The document, as bytes.
    #[n(0)]
    #[cbor(with = "minicbor::bytes")]
    pub doc: Vec<u8>,
    /// Key of the reason.
    #[n(1)]
    pub reason: String,
    /// The reason in words.
    #[n(2)]
    pub words: String,
    /// The change, as it came.
    #[n(3)]
    #[cbor(with = "minicbor::bytes")]
    pub bytes: Vec<u8>,
    /// Who delivered it.
    #[n(4)]
    pub device: Option<DeviceId>,
    /// Its entries were entered again on accepted ground.
    #[n(5)]
    pub reentered: bool,
    /// The hub's log says so: every device follows it.
    #[n(6)]
    pub binding: Option<bool>,
}

fn read_cbor<T>(bytes: &[u8], table: Table) -> Result<T, StoreError>
where
    T: for<'b> Decode<'b, ()>,
{
    minicbor::decode(bytes).map_err(|wrong| unreadable(table, wrong))
}

pub(super) fn cbor<T: Encode<()>>(value: &T) -> Vec<u8> {
    minicbor::to_vec(value).expect("writing to memory does not fail")
}

/// How a site is followed.
pub fn following(read: &impl Get, site: SiteId) -> Result<Option<Following>, StoreError> {
    let found = read.get(Table::Places, &site.0)?;
    found.map(|bytes| read_cbor(&bytes, Table::Places)).transpose()
}

/// Every site followed.
pub fn all_following(read: &impl Get) -> Result<Vec<(SiteId, Following)>, StoreError> {
    let mut found = vec![];
    for (key, value) in read.under(Table::Places, &[])? {
        let site = SiteId::from_slice(&key).ok_or_else(|| unreadable(Table::Places, "key"))?;
        found.push((site, read_cbor(&value, Table::Places)?));
    }
    Ok(found)
}

pub(super) fn put_following(
    write: &Write,
    site: SiteId,
    following: &Following,
) -> Result<(), StoreError> {
    write.put(Table::Places, &site.0, &cbor(following))
}

/// The certificate of a device.
pub fn certificate(
    read: &impl Get,
    device: DeviceId,
) -> Result<Option<StoredCertificate>, StoreError> {
    let found = read.get(Table::Certificates, &device.0)?;
    found.map(|bytes| read_cbor(&bytes, Table::Certificates)).transpose()
}

/// Every certificate.
pub fn certificates(read: &impl Get) -> Result<Vec<(DeviceId, StoredCertificate)>, StoreError> {
    let mut found = vec![];
    for (key, value) in read.under(Table::Certificates, &[])? {
        let device = DeviceId::from_slice(&key);
        let device = device.ok_or_else(|| unreadable(Table::Certificates, "key"))?;
        found.push((device, read_cbor(&value, Table::Certificates)?));
    }
    Ok(found)
}

pub(super) fn put_certificate(write: &Write, stored: &StoredCertificate) -> Result<(), StoreError> {
    let device = device_id(&stored.certificate.key);
    write.put(Table::Certificates, &device.0, &cbor(stored))
}

/// A session, by half its actor.
pub fn session(read: &impl Get, half: ActorHalf) -> Result<Option<StoredSession>, StoreError> {
    let found = read.get(Table::Sessions, &half.0)?;
    found.map(|bytes| read_cbor(&bytes, Table::Sessions)).transpose()
}

/// Every session.
pub fn sessions(read: &impl Get) -> Result<Vec<(ActorHalf, StoredSession)>, StoreError> {
    let mut found = vec![];
    for (key, value) in read.under(Table::Sessions, &[])? {
        let half = ActorHalf::from_slice(&key).ok_or_else(|| unreadable(Table::Sessions, "key"))?;
        found.push((half, read_cbor(&value, Table::Sessions)?));
    }
    Ok(found)
}

pub(super) fn put_session(
    write: &Write,
    half: ActorHalf,
    session: &StoredSession,
) -> Result<(), StoreError> {
    write.put(Table::Sessions, &half.0, &cbor(session))
}

/// Who signs for which session. A device stands for its own sessions before its certificate has come
/// back to it in the company's log.
pub fn signers(read: &impl Get, own: Option<&Identity>) -> Result<Signers, StoreError> {
    let certificates = certificates(read)?;
    let mut signers = Signers::new();
    for change in late(read, None)? {
        signers.mark_late(change);
    }
    for (half, session) in sessions(read)? {
        let known = certificates.iter().find(|(device, _)| *device == session.device);
        if let Some((_, stored)) = known {
            signers.insert(half, signer(&session, stored));
        } else if let Some(own) = own.filter(|own| own.device() == session.device) {
            signers.insert(half, own.signer());
        }
    }
    Ok(signers)
}

/// Who signs for a session, by its certificate.
pub fn signer(session: &StoredSession, stored: &StoredCertificate) -> Signer {
    Signer {
        device: session.device,
        person: stored.certificate.person,
        role: stored.certificate.role,
        clocks: session.clocks.clone(),
    }
}

/// The actor half of a session of a device, once its key is known.
pub(super) fn half_of(stored: &StoredCertificate, nonce: &[u8; 16]) -> ActorHalf {
    session_actor(&stored.certificate.key, nonce).half()
}

/// A delivery that arrives after its key was revoked.
const LATE_DELIVERY: u8 = 0;
/// A change that arrived so.
const LATE_CHANGE: u8 = 1;

fn late_key(site: SiteId, kind: u8, hash: &[u8; 32]) -> Vec<u8> {
    [&site.0[..], &[kind], hash].concat()
}

/// Notes that a delivery arrives after its key was revoked. The hub says so before it tells of it.
pub fn put_late(write: &Write, site: SiteId, late: &Late) -> Result<(), StoreError> {
    let known = late.known.as_deref().map(Vec::as_slice).unwrap_or_default();
    write.put(Table::Late, &late_key(site, LATE_DELIVERY, &late.delivery), known)
}

/// Notes the changes of a delivery as late, if it is, without those that had arrived before; gives them.
pub fn take_late(write: &Write, delivery: &Delivery) -> Result<Vec<[u8; 32]>, StoreError> {
    let site = delivery.head.site;
    let late = write.get(Table::Late, &late_key(site, LATE_DELIVERY, &delivery.id()))?;
    let Some(known) = late else { return Ok(vec![]) };
    let known: BTreeSet<&[u8]> = known.chunks_exact(32).collect();
    let changes = delivery.docs.iter().flat_map(|part| &part.changes);
    let hashes = changes.filter_map(|change| scan(change).ok()).map(|scan| scan.hash);
    let hashes: Vec<[u8; 32]> = hashes.filter(|hash| !known.contains(&hash[..])).collect();
    put_late_changes(write, site, &hashes)?;
    Ok(hashes)
}

/// Notes changes of a site as late.
pub fn put_late_changes(
    write: &Write,
    site: SiteId,
    changes: &[[u8; 32]],
) -> Result<(), StoreError> {
    changes
        .iter()
        .try_for_each(|change| write.put(Table::Late, &late_key(site, LATE_CHANGE, change), &[]))
}

/// Late changes of a site, or of every site.
pub fn late(read: &impl Get, site: Option<SiteId>) -> Result<Vec<[u8; 32]>, StoreError> {
    let prefix = site.map(|site| site.0.to_vec()).unwrap_or_default();
    let found = read.under(Table::Late, &prefix)?;
    let changes = found.iter().filter(|(key, _)| key.get(8) == Some(&LATE_CHANGE));
    Ok(changes.filter_map(|(key, _)| key.get(9..)?.try_into().ok()).collect())
}

/// What is unsent at a site.
pub fn unsent(read: &impl Get, site: SiteId) -> Result<Unsent, StoreError> {
    Ok(Unsent {
        changes: read.count(Table::Unsent, &site.0)?,
        deliveries: read.count(Table::Sealed, &site.0)?,
    })
}

/// Everything in quarantine: site, hash, what and why.
pub fn quarantine(read: &impl Get) -> Result<Vec<(SiteId, [u8; 32], Quarantined)>, StoreError> {
    let mut found = vec![];
    for (key, value) in read.under(Table::Quarantine, &[])? {
        let wrong = || unreadable(Table::Quarantine, "key");
        let (site, hash) = key.split_first_chunk::<8>().ok_or_else(wrong)?;
        let hash = <[u8; 32]>::try_from(hash).map_err(|_| wrong())?;
        found.push((SiteId(*site), hash, read_cbor(&value, Table::Quarantine)?));
    }
    Ok(found)
}

/// What is in quarantine under a hash.
pub fn quarantined(
    read: &impl Get,
    site: SiteId,
    hash: &[u8; 32],
) -> Result<Option<Quarantined>, StoreError> {
    let found = read.get(Table::Quarantine, &[&site.0[..], hash].concat())?;
    found.map(|bytes| read_cbor(&bytes, Table::Quarantine)).transpose()
}

/// Puts a refused change into quarantine.
pub fn put_quarantined(
    write: &Write,
    site: SiteId,
    hash: &[u8; 32],
    quarantined: &Quarantined,
) -> Result<(), StoreError> {
    write.put(Table::Quarantine, &[&site.0[..], hash].concat(), &cbor(quarantined))
}

/// Where an entry of a document is.
pub fn state_of(read: &impl Get, doc: DocId, entry: EntryId) -> Result<EntryState, StoreError> {
    let key = [&doc.site.0[..], &entry.actor.0, &entry.n.to_be_bytes()].concat();
    Ok(match read.get(Table::EntryStates, &key)?.as_deref() {
        Some([0]) => EntryState::Here,
        Some([1]) => EntryState::Sealed,
        _ => EntryState::OnHub,
    })
}

/// Notes where an entry is; on the hub nothing needs to be kept.
pub(super) fn put_state(
    write: &Write,
    site: SiteId,
    entry: EntryId,
    state: EntryState,
) -> Result<(), StoreError> {
    let key = [&site.0[..], &entry.actor.0, &entry.n.to_be_bytes()].concat();
    match state {
        EntryState::Here => write.put(Table::EntryStates, &key, &[0]),
        EntryState::Sealed => write.put(Table::EntryStates, &key, &[1]),
        EntryState::OnHub => write.remove(Table::EntryStates, &key).map(drop),
    }
}
