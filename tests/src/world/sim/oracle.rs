//! What must be true whatever happens: the world's own memory of everything that was called saved.

use std::collections::{BTreeMap, BTreeSet};

use client_core::device::shelf::Shelf;
use client_core::exchange::delivery::Head;
use client_core::gate::scan;
use client_core::record::apply::Delta;
use client_core::record::doc_id::DocId;
use client_core::record::id::{Actor, DeviceId, EntryId, SiteId};
use client_core::record::inside::{Inside, inside};
use client_core::store::{Get, Store, StoreError, Table, doc_table};
use server::hub::Hub;
use server::log::{Arrival, LogError};

/// A change that was called saved.
#[derive(Clone, Debug)]
pub(super) struct Saved {
    /// Which machine made it.
    pub(super) node: usize,
    /// The device's id.
    pub(super) device: DeviceId,
    /// The document.
    pub(super) doc: DocId,
    /// Changes it builds on.
    pub(super) deps: Vec<[u8; 32]>,
    /// Its entries.
    pub(super) entries: Vec<EntryId>,
    /// What it put under the root.
    pub(super) inside: Vec<Inside>,
    /// It may be gone: its device's own disk was rolled back before anybody else had it.
    pub(super) excused: bool,
    /// Whether it waits for a supervisor.
    pub(super) waits: Waits,
}

/// Whether a change waits for a supervisor.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Waits {
    /// Its key stands, or was revoked after the hub had it.
    No,
    /// Its key was revoked before the hub had it.
    Yes,
    /// The hub had it before the revocation, and lost it.
    Either,
}

/// A delivery in the hub's log.
#[derive(Clone, Debug)]
pub(super) struct Logged {
    /// Hashes of its changes.
    pub(super) changes: Vec<[u8; 32]>,
}

/// The world's memory.
#[derive(Debug, Default)]
pub(super) struct Oracle {
    /// Every change that was called saved, by its hash.
    pub(super) saved: BTreeMap<[u8; 32], Saved>,
    /// Sessions whose last append failed: it may be on their disk all the same.
    pub(super) uncertain: BTreeSet<Actor>,
    /// Sessions of hostile devices.
    pub(super) hostile: BTreeSet<Actor>,
    /// Documents that a hostile device wrote in.
    pub(super) spoilt: BTreeSet<DocId>,
    /// Deliveries that stand in the hub's log now, by id.
    pub(super) log: BTreeMap<[u8; 32], Logged>,
    /// Every delivery that ever stood in it.
    pub(super) ever: BTreeMap<[u8; 32], Logged>,
    /// Changes in the hub's log now.
    pub(super) on_hub: BTreeSet<[u8; 32]>,
    read: BTreeMap<SiteId, u64>,
}

impl Oracle {
    /// Remembers what a device called saved.
    pub(super) fn saved(&mut self, node: usize, of: (DeviceId, bool), deltas: &[Delta]) {
        let (device, revoked) = of;
        for delta in deltas {
            let deps = scan(&delta.bytes).map(|scan| scan.deps).unwrap_or_default();
            let saved = Saved {
                node,
                device,
                doc: delta.doc,
                deps,
                entries: delta.entries.clone(),
                inside: inside(&delta.bytes),
                excused: false,
                waits: if revoked { Waits::Yes } else { Waits::No },
            };
            self.saved.insert(delta.hash, saved);
        }
    }

    /// Reads what is new in the hub's log.
    ///
    /// # Errors
    /// When the log cannot be read.
    pub(super) fn learn(&mut self, hub: &Hub) -> Result<(), LogError> {
        for (site, end) in hub.log().sites()? {
            let from = self.read.entry(site).or_default();
            while *from < end.n {
                for stored in hub.log().after(site, *from, usize::MAX)? {
                    *from = stored.n;
                    if let Arrival::Delivery(delivery) = &stored.arrival {
                        let changes = delivery.docs.iter().flat_map(|part| &part.changes);
                        let hashes = changes.filter_map(|change| scan(change).ok());
                        let changes: Vec<[u8; 32]> = hashes.map(|scan| scan.hash).collect();
                        self.on_hub.extend(&changes);
                        let logged = Logged { changes };
                        self.log.insert(stored.id, logged.clone());
                        self.ever.insert(stored.id, logged);
                    }
                }
            }
        }
        Ok(())
    }

    /// The hub's log was replaced: what stands in it is read anew.
    ///
    /// # Errors
    /// When the log cannot be read.
    pub(super) fn learn_anew(&mut self, hub: &Hub) -> Result<(), LogError> {
        self.read.clear();
        self.log.clear();
        self.on_hub.clear();
        self.learn(hub)
    }
}

/// What a machine holds of the changes that were called saved.
#[derive(Debug, Default)]
pub(super) struct Holding {
    /// Changes in its documents or beside them.
    pub(super) changes: BTreeSet<[u8; 32]>,
    /// Deliveries that it could offer again.
    pub(super) heads: BTreeSet<[u8; 32]>,
}

/// What a store holds.
///
/// # Errors
/// When the store fails.
pub(super) fn holding(store: &Store, sites: &[SiteId]) -> Result<Holding, StoreError> {
    let read = store.read()?;
    let mut out = Holding::default();
    let mut shelf = Shelf::new(8, u32::MAX);
    for site in sites {
        for (doc, _) in doc_table::of_site(&read, *site)? {
            if let Some(held) = shelf.get(&read, doc)? {
                let metas = held.doc.automerge().get_changes_meta(&[]);
                out.changes.extend(metas.iter().map(|meta| meta.hash.0));
            }
        }
    }
    for table in [Table::Parked, Table::Quarantine] {
        for (key, _) in read.under(table, &[])? {
            out.changes.extend(key.last_chunk::<32>());
        }
    }
    for (_, value) in read.under(Table::Heads, &[])? {
        let head = value.get(64..).and_then(|head| Head::from_bytes(head).ok());
        out.heads.extend(head.map(|head| head.id()));
    }
    Ok(out)
}
