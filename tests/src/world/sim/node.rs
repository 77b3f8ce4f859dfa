//! Machines of the world: devices and the hub, each a program on a disk that may fail.

use std::sync::Arc;

use client_core::device::sizes::Sizes;
use client_core::device::{Device, DeviceError, Report};
use client_core::exchange::talk::Talk;
use client_core::record::id::{DeviceId, LogId};
use client_core::store::{Bytes, Manner, Store, StoreError};
use server::access::Access;
use server::hub::Hub;
use server::identity::HubIdentity;
use server::log::redb::RedbLog;
use server::view::View;

use crate::world::hub::MANNER;
use crate::world::{Disk, Fault, Seeded, Tear};

/// A device's store in the world: the manner of devices with a small cache.
pub const DEVICE: Manner = Manner { cache_bytes: 256 * 1024, ..Manner::DEVICE };

/// A device.
#[derive(Debug)]
pub struct Node {
    /// What the trace calls it.
    pub name: String,
    /// Its disk.
    pub disk: Disk,
    /// Its program, while it runs.
    pub device: Option<Device>,
    /// The device's id; copies of one device share it.
    pub id: DeviceId,
    /// How far its clock is ahead.
    pub ahead: i64,
    /// Old contents of its disk.
    pub backups: Vec<Vec<u8>>,
    /// The exchange it is in.
    pub call: Option<Call>,
    /// No signal.
    pub cut: bool,
    /// Its key was revoked.
    pub revoked: bool,
    /// How many restores of the hub it has heard of.
    pub restores_met: u32,
}

/// An exchange under way.
#[derive(Debug, Default)]
pub struct Call {
    /// The talk.
    pub talk: Talk,
    /// The request that is out.
    pub serial: u64,
    /// What it did.
    pub report: Report,
}

impl Node {
    /// Opens the device on what the disk holds.
    ///
    /// # Errors
    /// When the store cannot be opened.
    pub fn open(&mut self, sizes: Sizes, random: &mut Seeded) -> Result<(), DeviceError> {
        self.call = None;
        self.device = None;
        let store = Store::open(self.disk.clone(), DEVICE)?;
        let mut device = Device::open(store, random.fork().source())?;
        device.set_sizes(sizes);
        self.device = Some(device);
        Ok(())
    }
}

/// The hub and its two files.
#[derive(Debug)]
pub struct HubNode {
    /// The log's disk.
    pub log: Disk,
    /// The view's disk.
    pub view: Disk,
    /// The program, while it runs.
    pub hub: Option<Hub>,
    store: Option<Arc<Store>>,
    /// How far its clock is ahead.
    pub ahead: i64,
    /// Old contents of the log's disk.
    pub backups: Vec<Vec<u8>>,
    /// How often it was restored.
    pub restores: u32,
    /// Bytes of a page.
    pub page_bytes: usize,
}

fn store_on(disk: &Disk) -> Result<Store, StoreError> {
    match disk.is_empty().map_err(client_core::store::io_error)? {
        true => Store::create(disk.clone(), MANNER),
        false => Store::open(disk.clone(), MANNER),
    }
}

impl HubNode {
    /// A hub on empty disks.
    pub fn new(page_bytes: usize) -> HubNode {
        HubNode {
            log: Disk::default(),
            view: Disk::default(),
            hub: None,
            store: None,
            ahead: 0,
            backups: vec![],
            restores: 0,
            page_bytes,
        }
    }

    /// Opens the hub on what its disks hold. A view that does not open is begun anew: it is derived.
    /// Says whether that was so.
    ///
    /// # Errors
    /// When the log cannot be opened.
    pub fn open(
        &mut self,
        sizes: Sizes,
        random: &mut Seeded,
    ) -> Result<bool, Box<dyn std::error::Error>> {
        self.close();
        let store = Arc::new(store_on(&self.log)?);
        self.store = Some(Arc::clone(&store));
        let mut bytes = [0; 40];
        random.fill(&mut bytes);
        let identity = HubIdentity::open(&store, HubIdentity::new(&bytes))?;
        let mut id = [0; 8];
        random.fill(&mut id);
        let log = RedbLog::open(Arc::clone(&store), identity.hub, LogId(id))?;
        let access = Access::open(store, &log, identity.company())?;
        let (store, anew) = match store_on(&self.view) {
            Ok(store) => (store, false),
            Err(_) => {
                self.view = Disk::default();
                (store_on(&self.view)?, true)
            }
        };
        let mut view = View::open(Arc::new(store))?;
        view.set_sizes(sizes);
        let mut hub = Hub::new(identity, Box::new(log), access, view, random.fork().source());
        hub.set_page_bytes(self.page_bytes);
        self.hub = Some(hub);
        Ok(anew)
    }

    /// Ends the program.
    pub fn close(&mut self) {
        self.hub = None;
        self.store = None;
    }

    /// Copies the log's disk, then notes that a backup covers it.
    ///
    /// # Errors
    /// When the note cannot be written.
    pub fn back_up(&mut self) -> Result<(), StoreError> {
        if let (Some(store), Some(hub)) = (&self.store, &self.hub) {
            let ends = hub.log().sites().map_err(|_| StoreError::Missing("the log".to_owned()))?;
            self.backups.push(self.log.content());
            let ends: Vec<_> = ends.into_iter().map(|(site, end)| (site, end.n)).collect();
            RedbLog::note_backup(store, &ends)?;
        }
        Ok(())
    }

    /// Whether the power is gone.
    pub fn is_dead(&self) -> bool {
        self.log.is_dead() || self.view.is_dead()
    }

    /// The power goes and comes back. Says whether something was lost that had been written.
    pub fn crash(&mut self, random: &mut Seeded) -> bool {
        for disk in [&self.log, &self.view] {
            if !disk.is_dead() {
                disk.plan(0, Fault::Power);
            }
        }
        self.close();
        let tear = |random: &mut Seeded| Tear::ALL[random.index(Tear::ALL.len())];
        let log = tear(random);
        let lost = self.log.crash(log, random);
        let view = tear(random);
        self.view.crash(view, random) || lost
    }
}
