//! A hub on bytes that the world owns.

use std::sync::Arc;

use client_core::record::id::LogId;
use client_core::store::{Bytes, Manner, MemoryBytes, Store, StoreError};
use server::access::Access;
use server::hub::Hub;
use server::identity::HubIdentity;
use server::log::redb::RedbLog;
use server::view::View;

use super::Seeded;

/// The two files of a hub: its log, and the view that may be lost.
#[derive(Clone, Debug, Default)]
pub struct HubDisk {
    /// The log.
    pub log: MemoryBytes,
    /// The view.
    pub view: MemoryBytes,
}

/// A hub in the manner of tests: one-phase commits of a small cache are as safe on a simulated disk.
pub const MANNER: Manner =
    Manner { two_phase: true, quick_repair: false, cache_bytes: 1024 * 1024, check_up_to_bytes: 0 };

/// Opens or makes a store on bytes.
pub fn store_on(bytes: impl Bytes + Clone, manner: Manner) -> Result<Store, StoreError> {
    if bytes.is_empty().map_err(client_core::store::io_error)? {
        Store::create(bytes, manner)
    } else {
        Store::open(bytes, manner)
    }
}

/// Opens or makes a hub on its two files.
///
/// # Errors
/// When a file cannot be opened; a view that cannot is made anew by the caller.
pub fn hub_on(
    log: impl Bytes + Clone,
    view: impl Bytes + Clone,
    random: &mut Seeded,
) -> Result<Hub, Box<dyn std::error::Error>> {
    let store = Arc::new(store_on(log, MANNER)?);
    let mut bytes = [0; 40];
    random.fill(&mut bytes);
    let identity = HubIdentity::open(&store, HubIdentity::new(&bytes))?;
    let mut id = [0; 8];
    random.fill(&mut id);
    let log = RedbLog::open(Arc::clone(&store), identity.hub, LogId(id))?;
    let access = Access::open(store, &log, identity.company())?;
    let view = View::open(Arc::new(store_on(view, MANNER)?))?;
    Ok(Hub::new(identity, Box::new(log), access, view, random.fork().source()))
}
