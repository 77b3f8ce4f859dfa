//! Last places of devices, so that a digest alone is enough for the next request.

use std::collections::BTreeMap;

use client_core::exchange::place::Place;
use client_core::record::id::{DeviceId, SiteId};

/// Places remembered at once, of all devices together: about 12 MiB.
const PLACES_MAX: usize = 200_000;

/// Last places of devices. When there are too many, the device that was heard longest ago is forgotten:
/// it says its places in full then, one round trip more.
#[derive(Debug, Default)]
pub(super) struct Remembered {
    devices: BTreeMap<DeviceId, Heard>,
    places: usize,
    turn: u64,
}

#[derive(Debug)]
struct Heard {
    turn: u64,
    places: Vec<(SiteId, Place)>,
}

impl Remembered {
    /// The places of a device as they were after its last exchange.
    pub(super) fn places(&self, device: DeviceId) -> Option<&[(SiteId, Place)]> {
        self.devices.get(&device).map(|heard| heard.places.as_slice())
    }

    /// Remembers the places of a device.
    pub(super) fn remember(&mut self, device: DeviceId, places: Vec<(SiteId, Place)>) {
        self.forget(device);
        self.turn += 1;
        self.places += places.len();
        self.devices.insert(device, Heard { turn: self.turn, places });
        while self.places > PLACES_MAX && self.devices.len() > 1 {
            let oldest = self.devices.iter().min_by_key(|(_, heard)| heard.turn);
            let Some(oldest) = oldest.map(|(device, _)| *device) else { return };
            self.forget(oldest);
        }
    }

    fn forget(&mut self, device: DeviceId) {
        if let Some(heard) = self.devices.remove(&device) {
            self.places -= heard.places.len();
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use client_core::record::id::LogId;

    #[test]
    fn what_was_heard_longest_ago_is_forgotten_first() {
        let mut remembered = Remembered::default();
        let site = SiteId([1; 8]);
        let many = vec![(site, Place::begin(LogId([2; 8]), site)); PLACES_MAX / 4];
        for device in 0..4 {
            remembered.remember(DeviceId([device; 16]), many.clone());
        }
        remembered.remember(DeviceId([0; 16]), many.clone());
        remembered.remember(DeviceId([9; 16]), many.clone());
        assert!(remembered.places <= PLACES_MAX);
        assert!(remembered.places(DeviceId([1; 16])).is_none(), "heard longest ago");
        assert!(remembered.places(DeviceId([0; 16])).is_some());
        assert!(remembered.places(DeviceId([9; 16])).is_some());
    }
}
