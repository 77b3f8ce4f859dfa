//! A log in memory, for tests of what stands on it.

use std::collections::BTreeMap;

use client_core::exchange::place::{self, Place};
use client_core::record::id::{LogId, SiteId};

use super::{Arrival, HubLog, LogError, Page, Stored};

/// A log in memory.
#[derive(Debug)]
pub struct MemoryLog {
    id: LogId,
    sites: BTreeMap<SiteId, Vec<Stored>>,
}

impl MemoryLog {
    /// An empty log.
    pub const fn new(id: LogId) -> MemoryLog {
        MemoryLog { id, sites: BTreeMap::new() }
    }
}

impl HubLog for MemoryLog {
    fn id(&self) -> LogId {
        self.id
    }

    fn sites(&self) -> Result<Vec<(SiteId, Place)>, LogError> {
        self.sites.keys().map(|site| Ok((*site, self.end(*site)?))).collect()
    }

    fn end(&self, site: SiteId) -> Result<Place, LogError> {
        let last = self.sites.get(&site).and_then(|log| log.last());
        Ok(last.map_or_else(
            || Place::begin(self.id, site),
            |last| Place { log: self.id, n: last.n, chain: last.chain },
        ))
    }

    fn append(&mut self, batch: &[(SiteId, Arrival)]) -> Result<(), LogError> {
        for (site, arrival) in batch {
            let id = arrival.id(*site);
            if self.number(*site, &id)?.is_some() {
                continue;
            }
            let place = self.end(*site)?.after(&id);
            let stored = Stored { n: place.n, id, chain: place.chain, arrival: arrival.clone() };
            self.sites.entry(*site).or_default().push(stored);
        }
        Ok(())
    }

    fn after(&self, site: SiteId, n: u64, most: usize) -> Result<Vec<Stored>, LogError> {
        let mut page = Page::new(most);
        let mut found = vec![];
        for stored in self.sites.get(&site).into_iter().flatten().filter(|stored| stored.n > n) {
            if !page.takes(&stored.arrival.encode()) {
                break;
            }
            found.push(stored.clone());
        }
        Ok(found)
    }

    fn number(&self, site: SiteId, id: &[u8; 32]) -> Result<Option<u64>, LogError> {
        let log = self.sites.get(&site).into_iter().flatten();
        Ok(log.into_iter().find(|stored| stored.id == *id).map(|stored| stored.n))
    }

    fn chain_at(&self, site: SiteId, n: u64) -> Result<Option<[u8; 32]>, LogError> {
        if n == 0 {
            return Ok(Some(place::begin(site)));
        }
        let log = self.sites.get(&site).into_iter().flatten();
        Ok(log.into_iter().find(|stored| stored.n == n).map(|stored| stored.chain))
    }

    fn backed_up(&self, _: SiteId) -> Result<u64, LogError> {
        Ok(0)
    }
}
