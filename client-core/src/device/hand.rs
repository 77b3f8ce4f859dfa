//! Hand-over: what waits on this device as one file, and another device's file taken in. For two devices in
//! a building where neither reaches the hub.
//!
//! The file holds the same signed deliveries that the hub would get, with the certificates of their devices.
//! They lie in it in plain form, because a file cannot be asked to say it again. They pass the same gate. Whoever takes a file in also carries it: the deliveries are offered to the hub
//! until its log echoes them, whoever brings them first.

use std::collections::{BTreeMap, BTreeSet};

use minicbor::{Decode, Encode};

use super::ask::OWN_CERTIFICATE;
use super::echo::{offer_again, waiting};
use super::note::note_in;
use super::reply::{ReplyWrong, Report};
use super::standing::{self, EntryState, put_state};
use super::{Device, DeviceError};
use crate::exchange::delivery::{Delivery, device_id};
use crate::exchange::frame::{self, FrameWrong, SignedNote, SitePack};
use crate::exchange::note::{Note, Says};
use crate::exchange::pack::{pack_plain, unpack};
use crate::record::doc_id::DocId;
use crate::record::id::{DeviceId, HubId, SiteId};
use crate::record::inside::inside;
use crate::store::{Get, StoreError, Table, Write};

/// First bytes of the file: its kind and the version of its layout.
const MAGIC: &[u8; 8] = b"DRIPLEG1";
/// Most bytes of a file that is taken in.
pub const HAND_OVER_BYTES_MAX: usize = 16 * 1024 * 1024;
/// Most bytes of changes in one pack.
const PACK_BYTES: usize = 1024 * 1024;
/// Most notes in a file: a team, not a city.
const NOTES_MAX: usize = 256;

fn handed_key(device: DeviceId) -> Vec<u8> {
    [b"handed certificate ", &device.0[..]].concat()
}

/// A hand-over file after its first bytes.
#[derive(Debug, Encode, Decode)]
#[cbor(map)]
struct HandOver {
    /// The hub that both devices joined.
    #[n(0)]
    hub: HubId,
    /// Certificates of the devices that signed the deliveries, as the hub signed them.
    #[n(1)]
    certificates: Vec<SignedNote>,
    /// Deliveries, site by site.
    #[n(2)]
    packs: Vec<SitePack>,
}

/// Why a hand-over file was not taken in. Nothing of it was stored.
#[derive(Debug, thiserror::Error)]
pub enum HandWrong {
    /// Another kind of file.
    #[error(
        "this is no hand-over file of this program's version; have the other phone write it again"
    )]
    Kind,
    /// Not of the layout, or too large.
    #[error("the file cannot be read: {0}; have the other phone write it again")]
    Frame(#[from] FrameWrong),
    /// From another company.
    #[error("the file is from a phone that joined another hub; only phones of one hub hand over")]
    OtherHub,
    /// Nothing in it is for a building that this device has.
    #[error("the file is about buildings that are not on this phone; exchange with the hub first")]
    NotHere,
    /// What is in it did not pass.
    #[error(transparent)]
    Content(#[from] ReplyWrong),
}

impl From<StoreError> for HandWrong {
    fn from(wrong: StoreError) -> HandWrong {
        HandWrong::Content(wrong.into())
    }
}

impl Device {
    /// Everything that the hub does not have yet, as a hand-over file. It may be written any number of times.
    pub fn hand_over(&mut self) -> Result<Vec<u8>, DeviceError> {
        let company = self.identity.company();
        let mut sites: BTreeSet<SiteId> = BTreeSet::from([company]);
        sites.extend(standing::all_following(&self.store.read()?)?.iter().map(|(site, _)| *site));
        let (mut packs, mut signers) = (vec![], BTreeSet::new());
        for site in sites {
            self.seal(site)?;
            let deliveries = self.offers(site, usize::MAX)?;
            signers.extend(deliveries.iter().map(|delivery| delivery.head.device));
            for part in parts(&deliveries) {
                packs.push(SitePack { site, pack: pack_plain(&part).into() });
            }
        }
        let read = self.store.read()?;
        let mut certificates = vec![];
        for device in signers {
            certificates.extend(self.certificate_note(&read, device)?);
        }
        let file = HandOver { hub: self.identity.hub, certificates, packs };
        Ok([&MAGIC[..], &frame::encode(&file)].concat())
    }

    /// The note that certifies a device: its own, one that was handed over, or one of the company's log.
    fn certificate_note(
        &self,
        read: &impl Get,
        device: DeviceId,
    ) -> Result<Option<SignedNote>, StoreError> {
        let own = (device == self.identity.device()).then_some(OWN_CERTIFICATE.to_vec());
        if let Some(note) = read.get(Table::Meta, &own.unwrap_or_else(|| handed_key(device)))? {
            return Ok(taken_apart(&note));
        }
        for (_, kept) in read.under(Table::Heads, &self.identity.company().0)? {
            let Some(note) = taken_apart(&kept) else { continue };
            if certified(&note) == Some(device) {
                return Ok(Some(note));
            }
        }
        Ok(None)
    }

    /// Takes another device's hand-over file in: all of it that is for buildings of this device, or nothing.
    pub fn take_hand_over(&mut self, bytes: &[u8]) -> Result<Report, HandWrong> {
        let body = bytes.strip_prefix(MAGIC).ok_or(HandWrong::Kind)?;
        let file: HandOver = frame::decode(body, HAND_OVER_BYTES_MAX)?;
        if file.hub != self.identity.hub {
            return Err(HandWrong::OtherHub);
        }
        let mut report = Report::default();
        let write = self.store.write()?;
        match self.handed(&write, &file, &mut report) {
            Ok(()) => {
                if let Err(wrong) = write.commit() {
                    self.start_over();
                    return Err(wrong.into());
                }
                self.signers_again()?;
                Ok(report)
            }
            Err(wrong) => {
                // Nothing of it is stored: nothing of it may stay in memory.
                drop(write);
                self.shelf.clear();
                self.signers_again()?;
                Err(wrong)
            }
        }
    }

    fn handed(
        &mut self,
        write: &Write,
        file: &HandOver,
        report: &mut Report,
    ) -> Result<(), HandWrong> {
        let company = self.identity.company();
        for signed in file.certificates.iter().take(NOTES_MAX) {
            let note = Note { bytes: signed.bytes.to_vec(), signature: signed.signature };
            if !note.signed_by(&self.identity.hub_key, company) {
                return Err(ReplyWrong::Note(company).into());
            }
            // Only who may write: what else a hub says of devices comes from its log.
            if let Some(device) = certified(signed) {
                note_in(write, company, &note, self.identity.device())?;
                let kept = [&note.signature[..], &note.bytes].concat();
                write.put(Table::Meta, &handed_key(device), &kept)?;
            }
        }
        let mut strange = 0_usize;
        let mut batches: BTreeMap<DocId, Vec<(DeviceId, Vec<u8>)>> = BTreeMap::new();
        for part in &file.packs {
            let following = standing::following(write, part.site)?;
            if following.is_none_or(|following| following.gone) {
                strange += 1;
                continue;
            }
            self.handed_site(write, part, &mut batches, report)?;
        }
        if strange == file.packs.len() && strange > 0 {
            return Err(HandWrong::NotHere);
        }
        self.take_batches(write, batches, report)?;
        Ok(())
    }

    fn handed_site(
        &mut self,
        write: &Write,
        part: &SitePack,
        batches: &mut BTreeMap<DocId, Vec<(DeviceId, Vec<u8>)>>,
        report: &mut Report,
    ) -> Result<(), HandWrong> {
        let site = part.site;
        let known: BTreeMap<DeviceId, [u8; 32]> = standing::certificates(write)?
            .into_iter()
            .map(|(device, stored)| (device, stored.certificate.key))
            .collect();
        let key = |device: DeviceId| known.get(&device).copied();
        let deliveries = unpack(&part.pack, self.identity.hub, site, &key)
            .map_err(|wrong| ReplyWrong::Pack { site, wrong })?;
        let mut here: BTreeSet<[u8; 32]> = waiting(write, site)?.into_keys().collect();
        here.extend(
            write
                .under(Table::Chain, &site.0)?
                .into_iter()
                .filter_map(|(_, value)| value.first_chunk::<32>().copied()),
        );
        for delivery in deliveries {
            let key = key(delivery.head.device).unwrap_or([0; 32]);
            delivery.check(&key).map_err(|wrong| ReplyWrong::Delivery { site, wrong })?;
            let own = delivery.head.device == self.identity.device();
            if own || !here.insert(delivery.id()) {
                continue;
            }
            self.session_of(write, &delivery)?;
            report.taken += 1;
            for part in &delivery.docs {
                let device = delivery.head.device;
                let batch = batches.entry(part.doc).or_default();
                batch.extend(part.changes.iter().map(|change| (device, change.clone())));
                for entry in part.changes.iter().flat_map(|change| inside(change)) {
                    put_state(write, site, entry.id, EntryState::Sealed)?;
                }
            }
            offer_again(write, site, delivery)?;
        }
        Ok(())
    }
}

/// Deliveries in parts that one pack holds.
fn parts(deliveries: &[Delivery]) -> Vec<Vec<&Delivery>> {
    let mut parts: Vec<Vec<&Delivery>> = vec![];
    let mut room = 0_usize;
    for delivery in deliveries {
        let bytes: usize = delivery.docs.iter().flat_map(|part| &part.changes).map(Vec::len).sum();
        if parts.is_empty() || bytes > room {
            parts.push(vec![]);
            room = PACK_BYTES;
        }
        room = room.saturating_sub(bytes);
        if let Some(last) = parts.last_mut() {
            last.push(delivery);
        }
    }
    parts
}

/// A note as it is kept, signature first.
fn taken_apart(kept: &[u8]) -> Option<SignedNote> {
    let (signature, note) = kept.split_first_chunk::<64>()?;
    Some(SignedNote { bytes: note.to_vec().into(), signature: *signature })
}

/// The device that a note certifies, if that is what it says.
fn certified(signed: &SignedNote) -> Option<DeviceId> {
    let note = Note { bytes: signed.bytes.to_vec(), signature: signed.signature };
    match note.says() {
        Ok(Says::Certificate(certificate)) => Some(device_id(&certificate.key)),
        _ => None,
    }
}
