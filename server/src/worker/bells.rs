//! Who hears the bell at the moment.

use std::collections::{BTreeMap, BTreeSet};

use client_core::record::id::{DeviceId, SiteId};
use tokio::sync::mpsc::error::TrySendError;
use tokio::sync::mpsc::{Receiver, Sender, channel};

use crate::hub::{Hearer, Hub};

/// Rings that may wait for a slow listener; what comes then is told together with the next.
const WAITING: usize = 16;
/// Connections on which one device may listen; the oldest goes for a new one.
const PER_DEVICE: usize = 3;

/// Rings as they come, for one listener. It ends when the device may hear nothing any more, or the hub
/// stops.
pub type Rings = Receiver<BTreeSet<SiteId>>;

/// Everybody who hears the bell.
#[derive(Debug)]
pub(super) struct Bells {
    most: usize,
    next: u64,
    listeners: BTreeMap<u64, Listener>,
}

#[derive(Debug)]
struct Listener {
    device: DeviceId,
    rings: Sender<BTreeSet<SiteId>>,
    /// Sites that rang and could not be told yet.
    untold: BTreeSet<SiteId>,
}

impl Bells {
    pub(super) const fn new(most: usize) -> Bells {
        Bells { most, next: 0, listeners: BTreeMap::new() }
    }

    pub(super) fn len(&self) -> usize {
        self.listeners.len()
    }

    /// Lets a device hear the bell; none when as many hear it as may.
    pub(super) fn hang(&mut self, hearer: Hearer) -> Option<Rings> {
        let device = hearer.device;
        let own = self.listeners.iter().filter(|(_, one)| one.device == device);
        let own: Vec<u64> = own.map(|(number, _)| *number).collect();
        if own.len() >= PER_DEVICE {
            self.listeners.remove(&own[0]);
        }
        if self.listeners.len() >= self.most {
            self.sweep();
        }
        if self.listeners.len() >= self.most {
            return None;
        }
        let (rings, receiver) = channel(WAITING);
        self.next += 1;
        self.listeners.insert(self.next, Listener { device, rings, untold: BTreeSet::new() });
        Some(receiver)
    }

    /// Rings for everybody whose site it is. Who may hear nothing any more is cut off.
    pub(super) fn ring(&mut self, hub: &Hub, rung: &BTreeMap<SiteId, Option<DeviceId>>) {
        self.listeners.retain(|_, one| match hub.heard_by(one.device, rung) {
            Some(sites) => one.tell(sites),
            None => false,
        });
    }

    /// Tells what could not be told, and forgets who has gone.
    pub(super) fn sweep(&mut self) {
        self.listeners.retain(|_, one| one.tell(BTreeSet::new()));
    }
}

impl Listener {
    /// Says whether the listener is still there.
    fn tell(&mut self, sites: BTreeSet<SiteId>) -> bool {
        self.untold.extend(sites);
        if self.untold.is_empty() {
            return !self.rings.is_closed();
        }
        match self.rings.try_send(std::mem::take(&mut self.untold)) {
            Ok(()) => true,
            Err(TrySendError::Full(untold)) => {
                self.untold = untold;
                true
            }
            Err(TrySendError::Closed(_)) => false,
        }
    }
}
