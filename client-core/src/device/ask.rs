//! Putting a request together.

use minicbor::bytes::ByteVec;

use super::standing::{self, Following};
use super::{Device, DeviceError};
use crate::exchange::delivery::Delivery;
use crate::exchange::frame::{
    self, Ask, COUNTER_SAID_MAX, Ladder, PATH, PersonRow, SignedNote, SitePack, Step as Rung,
};
use crate::exchange::pack::{pack, pack_plain};
use crate::exchange::place;
use crate::exchange::talk::{Standing, Talk};
use crate::record::id::SiteId;
use crate::store::doc_table::unreadable;
use crate::store::{Get, StoreError, Table, Write};

/// What a device wants beside the usual.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Wish {
    /// The wall clock, seconds since 1970.
    pub clock: i64,
    /// The day by the device's calendar, days since 1970.
    pub today: i32,
}

const DIRECTORY: &[u8] = b"directory version";
/// Key of the note that certifies this device: signature and note.
pub(super) const OWN_CERTIFICATE: &[u8] = b"own certificate";
/// Key of the mark that the hub asked for a site's packs in plain form.
pub(super) fn plain_key(site: SiteId) -> Vec<u8> {
    [b"say unpacked ", &site.0[..]].concat()
}

pub(super) fn directory_version(read: &impl Get) -> Result<u64, StoreError> {
    let stored = read.get(Table::Meta, DIRECTORY)?.unwrap_or_default();
    Ok(<[u8; 8]>::try_from(stored.as_slice()).map_or(0, u64::from_be_bytes))
}

pub(super) fn put_directory_version(write: &Write, version: u64) -> Result<(), StoreError> {
    write.put(Table::Meta, DIRECTORY, &version.to_be_bytes())
}

/// Puts a note, signature first, among those that are handed back to the hub.
pub(super) fn put_note_again(write: &Write, note: &[u8]) -> Result<(), StoreError> {
    if write.under(Table::Notes, &[])?.iter().any(|(_, known)| known == note) {
        return Ok(());
    }
    let last = write.last(Table::Notes, &[], None)?;
    let last = last.and_then(|(key, _)| key.try_into().ok()).map_or(0, u64::from_be_bytes);
    write.put(Table::Notes, &(last + 1).to_be_bytes(), note)
}

impl Device {
    /// The next request of a talk, as it travels. Seals what is unsent first.
    pub fn request(&mut self, talk: &mut Talk, wish: Wish) -> Result<Vec<u8>, DeviceError> {
        if talk.rounds() == 0 {
            self.turned.clear();
        }
        let standing = self.stand(talk, wish)?;
        let ask = frame::encode(&talk.ask(standing));
        Ok(self.signed_request(PATH, wish.clock, &ask))
    }

    /// A request with what waits, to lie outside until a signal comes back and be sent by somebody who cannot
    /// read the store. Seals what is unsent first; none when nothing waits. It counts like any other: once a
    /// later one has arrived the hub takes nothing from it, and what both bring it keeps once. Its reply is
    /// nobody's, and nothing counts as on the hub before the next exchange has heard it.
    pub fn prepared_request(&mut self, wish: Wish) -> Result<Option<Vec<u8>>, DeviceError> {
        let mut talk = Talk::new(vec![]);
        let standing = self.stand(&talk, wish)?;
        if standing.packs.is_empty() {
            return Ok(None);
        }
        let ask = Ask { prepared: Some(true), ..talk.ask(standing) };
        Ok(Some(self.signed_request(PATH, wish.clock, &frame::encode(&ask))))
    }

    /// Any request that the hub takes from enrolled devices, as it travels: an exchange, an order of the
    /// office, the bell.
    pub fn signed_request(&mut self, path: &str, clock: i64, ask: &[u8]) -> Vec<u8> {
        // Higher than any before: the clock in milliseconds, or one more than the last.
        let by_clock = u64::try_from(clock).unwrap_or_default().saturating_mul(1_000);
        self.counter = by_clock.min(COUNTER_SAID_MAX).max(self.counter.saturating_add(1));
        let bytes = frame::to_sign(self.identity.hub, path, self.counter, ask);
        let signature = self.sign(&bytes);
        frame::envelope(self.identity.device(), self.counter, &signature, ask)
    }

    /// Shows the hub, which says that it does not know this device, the certificate that it once gave: a hub
    /// that was restored from a backup may have lost it. The next request carries it. Says whether there is
    /// one; without it the device has to join again.
    pub fn introduce(&mut self) -> Result<bool, DeviceError> {
        let write = self.store.write()?;
        let own = write.get(Table::Meta, OWN_CERTIFICATE)?;
        if let Some(note) = &own {
            put_note_again(&write, note)?;
            write.commit()?;
        }
        Ok(own.is_some())
    }

    /// Counts on from what a hub said: the next request's counter is higher. What no hub says is not
    /// counted on from; says whether it was.
    pub const fn count_on(&mut self, counter: u64) -> bool {
        if counter > COUNTER_SAID_MAX {
            return false;
        }
        if self.counter < counter {
            self.counter = counter;
        }
        true
    }

    fn stand(&mut self, talk: &Talk, wish: Wish) -> Result<Standing, DeviceError> {
        let company = self.identity.company();
        let read = self.store.read()?;
        let mut following = standing::all_following(&read)?;
        if !following.iter().any(|(site, _)| *site == company) {
            following.insert(0, (company, Following::begin(company)));
        }
        drop(read);
        let mut packs = vec![];
        let mut room = self.sizes.offer_bytes;
        for (site, _) in &following {
            self.seal(*site)?;
            if talk.climbing().contains(site) || room == 0 {
                continue;
            }
            let offers = self.offers(*site, room)?;
            if offers.is_empty() {
                continue;
            }
            let bytes: usize = offers
                .iter()
                .flat_map(|one| &one.docs)
                .flat_map(|part| &part.changes)
                .map(Vec::len)
                .sum();
            room = room.saturating_sub(bytes);
            let offers: Vec<&Delivery> = offers.iter().collect();
            let plain = self.store.read()?.get(Table::Meta, &plain_key(*site))?.is_some();
            let pack = match plain {
                true => pack_plain(&offers),
                false => pack(*site, &offers).map_err(|wrong| unreadable(Table::Sealed, wrong))?,
            };
            packs.push(SitePack { site: *site, pack: ByteVec::from(pack) });
        }
        let read = self.store.read()?;
        let ladders =
            talk.climbing().iter().map(|site| ladder(&read, *site)).collect::<Result<_, _>>()?;
        let cursors = following
            .iter()
            .filter_map(|(site, following)| Some((*site, following.cursor.clone()?)))
            .collect();
        let followed = following.iter().filter(|(_, following)| !following.gone);
        Ok(Standing {
            clock: wish.clock,
            today: wish.today,
            places: followed.map(|(site, following)| (*site, following.place)).collect(),
            packs,
            ladders,
            cursors,
            by_rows: following
                .iter()
                .filter(|(_, following)| following.by_rows)
                .map(|(site, _)| *site)
                .collect(),
            directory: directory_version(&read)?,
            people: waiting_people(&read)?,
            notes: waiting_notes(&read)?,
        })
    }
}

/// Steps of a site's chain that this device kept, falling.
fn ladder(read: &impl Get, site: SiteId) -> Result<Ladder, StoreError> {
    let following = standing::following(read, site)?;
    let n = following.map_or(0, |following| following.place.n);
    let mut steps = vec![];
    for n in place::ladder(n) {
        if n == 0 {
            steps.push(Rung { n, chain: place::begin(site) });
            continue;
        }
        let key = [&site.0[..], &n.to_be_bytes()].concat();
        let stored = read.get(Table::Chain, &key)?;
        let chain = stored.and_then(|stored| stored.get(32..64)?.try_into().ok());
        steps.extend(chain.map(|chain| Rung { n, chain }));
    }
    Ok(Ladder { site, steps })
}

/// Notes of the hub that wait to be handed back to it.
fn waiting_notes(read: &impl Get) -> Result<Vec<SignedNote>, StoreError> {
    let waiting = read.under(Table::Notes, &[])?;
    let note = |(_, value): &(Vec<u8>, Vec<u8>)| {
        let (signature, bytes) = value.split_first_chunk::<64>()?;
        Some(SignedNote { bytes: bytes.to_vec().into(), signature: *signature })
    };
    Ok(waiting.iter().filter_map(note).collect())
}

/// Additions to the directory that wait for the hub.
pub(super) fn waiting_people(read: &impl Get) -> Result<Vec<PersonRow>, StoreError> {
    let waiting = read.under(Table::Requests, &[])?;
    waiting
        .iter()
        .map(|(_, bytes)| {
            minicbor::decode(bytes).map_err(|wrong| unreadable(Table::Requests, wrong))
        })
        .collect()
}
