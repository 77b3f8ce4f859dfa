//! How far each device has counted its requests, kept over a restart.

use client_core::record::id::DeviceId;
use client_core::store::{Get, Store, StoreError, Table};

use super::Access;

const COUNTER: &[u8] = b"counter ";
const FLOOR: &[u8] = b"order floor";

/// After a restore: orders that the lost log had answered must not be carried out again.
pub fn raise_order_floor(store: &Store, floor: u64) -> Result<(), StoreError> {
    let write = store.write()?;
    write.put(Table::Access, FLOOR, &floor.to_be_bytes())?;
    write.commit()
}

impl Access {
    /// Counters as they were kept last.
    pub fn counters(&self) -> Result<Vec<(DeviceId, u64)>, StoreError> {
        let kept = self.store.read()?.under(Table::Access, COUNTER)?;
        let one = |(key, value): &(Vec<u8>, Vec<u8>)| {
            let device = DeviceId::from_slice(key.get(COUNTER.len()..)?)?;
            Some((device, u64::from_be_bytes(value.as_slice().try_into().ok()?)))
        };
        Ok(kept.iter().filter_map(one).collect())
    }

    /// Orders with a counter at or below this were answered by a log that is lost.
    pub fn order_floor(&self) -> Result<u64, StoreError> {
        let kept = self.store.read()?.get(Table::Access, FLOOR)?.unwrap_or_default();
        Ok(kept.as_slice().try_into().map_or(0, u64::from_be_bytes))
    }

    /// Keeps counters. When this returns they outlive the program.
    pub fn keep_counters(
        &self,
        counters: impl IntoIterator<Item = (DeviceId, u64)>,
    ) -> Result<(), StoreError> {
        let write = self.store.write()?;
        for (device, counter) in counters {
            write.put(Table::Access, &[COUNTER, &device.0].concat(), &counter.to_be_bytes())?;
        }
        write.commit()
    }
}
