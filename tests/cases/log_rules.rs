//! Rules that every log of a hub keeps, in memory or on redb: the same arrivals are put into both, and what
//! they answer is held against the rules and against each other.

use std::sync::Arc;

use client_core::exchange::note::Note;
use client_core::exchange::place::{self, Place};
use client_core::record::id::{HubId, LogId, SiteId};
use client_core::store::MemoryBytes;
use server::log::memory::MemoryLog;
use server::log::redb::RedbLog;
use server::log::{Arrival, HubLog, LogError};
use tests::world::hub::{MANNER, store_on};
use tests::world::{Seeded, exchange};

use crate::thread::{NOW, Three, load_site, three};

const LOG: LogId = LogId([1; 8]);
const SITES: [SiteId; 3] = [SiteId([1; 8]), SiteId([2; 8]), SiteId([0xff; 8])];

fn on_redb(bytes: &MemoryBytes, hub: HubId) -> RedbLog {
    RedbLog::open(Arc::new(store_on(bytes.clone(), MANNER).unwrap()), hub, LOG).unwrap()
}

fn note(random: &mut Seeded) -> Arrival {
    let mut bytes = vec![0; 1 + random.index(40)];
    random.fill(&mut bytes);
    Arrival::Note(Note { bytes, signature: [7; 64] })
}

/// Everything that a log answers about one site, once held against the rules.
fn rules(log: &dyn HubLog, site: SiteId) -> Vec<[u8; 32]> {
    let end = log.end(site).unwrap();
    assert_eq!(end.log, log.id());
    assert_eq!(log.chain_at(site, 0).unwrap(), Some(place::begin(site)));
    assert_eq!(log.chain_at(site, end.n).unwrap(), Some(end.chain));
    assert_eq!(log.chain_at(site, end.n + 1).unwrap(), None);
    assert!(log.after(site, end.n, usize::MAX).unwrap().is_empty());
    let mut place = Place::begin(log.id(), site);
    let all = log.after(site, 0, usize::MAX).unwrap();
    for stored in &all {
        place = place.after(&stored.id);
        assert_eq!(stored.id, stored.arrival.id(site));
        assert_eq!((stored.n, stored.chain), (place.n, place.chain), "no gaps, one chain");
        assert_eq!(log.number(site, &stored.id).unwrap(), Some(stored.n));
        assert_eq!(log.chain_at(site, stored.n).unwrap(), Some(stored.chain));
    }
    assert_eq!(place, end);
    for n in 0..end.n {
        let page = log.after(site, n, 1).unwrap();
        assert_eq!(page.len(), 1, "at least one, however small the page");
        assert_eq!(page[0].n, n + 1);
        let page = log.after(site, n, 300).unwrap();
        let from = usize::try_from(n).unwrap();
        assert_eq!(page, all[from..from + page.len()], "a page is a stretch of the whole");
    }
    all.iter().map(|stored| stored.id).collect()
}

fn same(one: &dyn HubLog, other: &dyn HubLog) {
    for site in SITES {
        assert_eq!(rules(one, site), rules(other, site));
    }
    assert_eq!(one.sites().unwrap(), other.sites().unwrap());
}

#[test]
fn logs_in_memory_and_on_disk_keep_the_same_rules() {
    for seed in 0..20 {
        let mut random = Seeded::new(seed);
        let hub = HubId([9; 8]);
        let bytes = MemoryBytes::default();
        let mut memory = MemoryLog::new(LOG);
        let mut disk = on_redb(&bytes, hub);
        same(&memory, &disk);
        let mut known: Vec<(SiteId, Arrival)> = vec![];
        for _ in 0..30 {
            let mut batch = vec![];
            for _ in 0..random.index(5) {
                // Every third is one that is there already, perhaps in this very batch, perhaps at another
                // site, where it is another arrival.
                let again = (random.index(3) == 0 && !known.is_empty())
                    .then(|| known[random.index(known.len())].1.clone());
                let arrival = again.unwrap_or_else(|| note(&mut random));
                let site = SITES[random.index(SITES.len())];
                known.push((site, arrival.clone()));
                batch.push((site, arrival));
            }
            let before: Vec<u64> = SITES.iter().map(|site| disk.end(*site).unwrap().n).collect();
            memory.append(&batch).unwrap();
            disk.append(&batch).unwrap();
            for (site, before) in SITES.iter().zip(before) {
                assert!(disk.end(*site).unwrap().n >= before, "a log only grows");
            }
            let ends = disk.sites().unwrap();
            disk.append(&batch).unwrap();
            assert_eq!(disk.sites().unwrap(), ends, "twice equals once");
            if random.index(6) == 0 {
                drop(disk);
                disk = on_redb(&bytes, hub);
            }
        }
        same(&memory, &disk);
        for (site, arrival) in &known {
            assert!(disk.number(*site, &arrival.id(*site)).unwrap().is_some());
        }
    }
}

#[test]
fn what_devices_sent_comes_back_to_the_byte() {
    let Three { mut hub, mut boss, site, .. } = three(77);
    load_site(&mut boss, site);
    exchange(&mut boss, &mut hub, NOW, NOW, vec![]).unwrap();
    let identity = boss.identity();
    let (id, company) = (identity.hub, identity.company());
    let bytes = MemoryBytes::default();
    let mut memory = MemoryLog::new(LOG);
    let mut disk = on_redb(&bytes, id);
    let mut deliveries = 0;
    for site in [site, company] {
        let arrivals = hub.log().after(site, 0, usize::MAX).unwrap();
        let batch: Vec<(SiteId, Arrival)> =
            arrivals.iter().map(|stored| (site, stored.arrival.clone())).collect();
        deliveries += batch.iter().filter(|(_, one)| matches!(one, Arrival::Delivery(_))).count();
        memory.append(&batch).unwrap();
        disk.append(&batch).unwrap();
        assert_eq!(memory.after(site, 0, usize::MAX).unwrap(), arrivals);
        assert_eq!(disk.after(site, 0, usize::MAX).unwrap(), arrivals);
    }
    assert!(deliveries > 0, "a delivery was among them");
}

#[test]
fn a_hole_in_the_log_is_named() {
    use client_core::store::Table;
    let bytes = MemoryBytes::default();
    let store = Arc::new(store_on(bytes, MANNER).unwrap());
    let mut log = RedbLog::open(Arc::clone(&store), HubId([9; 8]), LOG).unwrap();
    let mut random = Seeded::new(5);
    let batch: Vec<_> = (0..4).map(|_| (SITES[0], note(&mut random))).collect();
    log.append(&batch).unwrap();
    let write = store.write().unwrap();
    write.remove(Table::Log, &[&SITES[0].0[..], &2u64.to_be_bytes()].concat()).unwrap();
    write.commit().unwrap();
    match log.after(SITES[0], 0, usize::MAX) {
        Err(LogError::Gap { site, n }) => assert_eq!((site, n), (SITES[0], 2)),
        other => panic!("{other:?}"),
    }
}
