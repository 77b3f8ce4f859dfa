//! The log in a redb store.
//!
//! Layout: table `log`, key site 8 and n 8 (big-endian), value id 32, chain hash 32, then the arrival;
//! table `arrivals`, key site and id, value n; table `logs`, key site, value log id 8, n 8, chain 32.
//! Two-phase commit (the store's manner): what strangers send must not be able to forge a commit.

use std::sync::Arc;

use client_core::exchange::place::{self, Place};
use client_core::record::id::{HubId, LogId, SiteId};
use client_core::store::{Get, Store, StoreError, Table, Write};

use super::{Arrival, HubLog, LogError, Page, Stored};

const LOG_ID: &[u8] = b"log id";
const BACKED_UP: &[u8] = b"backed up ";

/// A log in a redb store.
#[derive(Debug)]
pub struct RedbLog {
    store: Arc<Store>,
    hub: HubId,
    id: LogId,
}

/// Key of an arrival.
pub(super) fn key(site: SiteId, n: u64) -> Vec<u8> {
    [&site.0[..], &n.to_be_bytes()].concat()
}

fn number(bytes: &[u8]) -> Option<u64> {
    bytes.try_into().ok().map(u64::from_be_bytes)
}

/// The end of a site's log as it is stored: how many arrivals, and the chain hash after them.
pub(super) fn end_of(value: &[u8]) -> Option<(u64, [u8; 32])> {
    Some((value.get(8..16).and_then(number)?, value.get(16..48)?.try_into().ok()?))
}

impl RedbLog {
    /// The log of a store. A store without one gets this id.
    pub fn open(store: Arc<Store>, hub: HubId, new: LogId) -> Result<RedbLog, LogError> {
        let stored = store.read()?.get(Table::Meta, LOG_ID)?;
        let id = match stored.and_then(|bytes| LogId::from_slice(&bytes)) {
            Some(id) => id,
            None => {
                let write = store.write()?;
                write.put(Table::Meta, LOG_ID, &new.0)?;
                write.commit()?;
                new
            }
        };
        Ok(RedbLog { store, hub, id })
    }

    /// Gives the log another id: after a restore it is another log.
    pub fn rename(store: &Store, new: LogId) -> Result<(), StoreError> {
        let write = store.write()?;
        write.put(Table::Meta, LOG_ID, &new.0)?;
        write.commit()
    }

    /// Notes that a backup covers these sites' logs up to these ends: the ones that stand in the backup,
    /// not the ones of now.
    pub fn note_backup(store: &Store, ends: &[(SiteId, u64)]) -> Result<(), StoreError> {
        let write = store.write()?;
        for (site, n) in ends {
            let key = [BACKED_UP, &site.0].concat();
            let known = write.get(Table::Meta, &key)?.and_then(|n| number(&n));
            if known.is_none_or(|known| known < *n) {
                write.put(Table::Meta, &key, &n.to_be_bytes())?;
            }
        }
        write.commit()
    }

    fn end_in(&self, store: &impl Get, site: SiteId) -> Result<Place, LogError> {
        match store.get(Table::Logs, &site.0)? {
            Some(value) => self.end_of(site, &value),
            None => Ok(Place::begin(self.id, site)),
        }
    }

    fn end_of(&self, site: SiteId, value: &[u8]) -> Result<Place, LogError> {
        let (n, chain) = end_of(value).ok_or(LogError::Gap { site, n: 0 })?;
        Ok(Place { log: self.id, n, chain })
    }

    fn append_one(&self, write: &Write, site: SiteId, arrival: &Arrival) -> Result<(), LogError> {
        let id = arrival.id(site);
        let known = [&site.0[..], &id].concat();
        if write.get(Table::Arrivals, &known)?.is_some() {
            return Ok(());
        }
        let place = self.end_in(write, site)?.after(&id);
        let value = [&id[..], &place.chain, &arrival.encode()].concat();
        write.put(Table::Log, &key(site, place.n), &value)?;
        write.put(Table::Arrivals, &known, &place.n.to_be_bytes())?;
        let end = [&self.id.0[..], &place.n.to_be_bytes(), &place.chain].concat();
        write.put(Table::Logs, &site.0, &end)?;
        Ok(())
    }

    fn stored(&self, site: SiteId, n: u64, value: &[u8]) -> Result<Stored, LogError> {
        let damaged = |wrong: String| LogError::Damaged { site, n, wrong };
        let (id, rest) =
            value.split_first_chunk::<32>().ok_or_else(|| damaged("it ends early".to_owned()))?;
        let (chain, arrival) =
            rest.split_first_chunk::<32>().ok_or_else(|| damaged("it ends early".to_owned()))?;
        let arrival =
            Arrival::decode(self.hub, site, arrival).map_err(|wrong| damaged(wrong.to_string()))?;
        Ok(Stored { n, id: *id, chain: *chain, arrival })
    }
}

impl HubLog for RedbLog {
    fn id(&self) -> LogId {
        self.id
    }

    fn sites(&self) -> Result<Vec<(SiteId, Place)>, LogError> {
        let read = self.store.read()?;
        let mut found = vec![];
        for (site, value) in read.under(Table::Logs, &[])? {
            if let Some(site) = SiteId::from_slice(&site) {
                found.push((site, self.end_of(site, &value)?));
            }
        }
        Ok(found)
    }

    fn end(&self, site: SiteId) -> Result<Place, LogError> {
        self.end_in(&self.store.read()?, site)
    }

    fn append(&mut self, batch: &[(SiteId, Arrival)]) -> Result<(), LogError> {
        if batch.is_empty() {
            return Ok(());
        }
        let write = self.store.write()?;
        for (site, arrival) in batch {
            self.append_one(&write, *site, arrival)?;
        }
        Ok(write.commit()?)
    }

    fn after(&self, site: SiteId, n: u64, most: usize) -> Result<Vec<Stored>, LogError> {
        let read = self.store.read()?;
        let mut raw: Vec<(u64, Vec<u8>)> = vec![];
        let mut page = Page::new(most);
        let end = client_core::store::after(&site.0);
        read.scan(Table::Log, &key(site, n + 1), end.as_deref(), &mut |key, value| {
            if !page.takes(value.get(64..).unwrap_or_default()) {
                return false;
            }
            let n = key.get(8..16).and_then(number).unwrap_or_default();
            raw.push((n, value.to_vec()));
            true
        })?;
        let mut found: Vec<Stored> = vec![];
        for (at, value) in raw {
            let wanted = found.last().map_or(n + 1, |last| last.n + 1);
            if at != wanted {
                return Err(LogError::Gap { site, n: wanted });
            }
            found.push(self.stored(site, at, &value)?);
        }
        Ok(found)
    }

    fn number(&self, site: SiteId, id: &[u8; 32]) -> Result<Option<u64>, LogError> {
        let found = self.store.read()?.get(Table::Arrivals, &[&site.0[..], id].concat())?;
        Ok(found.and_then(|n| number(&n)))
    }

    fn chain_at(&self, site: SiteId, n: u64) -> Result<Option<[u8; 32]>, LogError> {
        if n == 0 {
            return Ok(Some(place::begin(site)));
        }
        let found = self.store.read()?.get(Table::Log, &key(site, n))?;
        Ok(found.and_then(|value| value.get(32..64)?.try_into().ok()))
    }

    fn backed_up(&self, site: SiteId) -> Result<u64, LogError> {
        let found = self.store.read()?.get(Table::Meta, &[BACKED_UP, &site.0].concat())?;
        Ok(found.and_then(|n| number(&n)).unwrap_or_default())
    }
}
