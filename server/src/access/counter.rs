//! How far each device has counted its requests, kept over a restart.

use client_core::record::id::DeviceId;
use client_core::store::{Get, StoreError, Table};

use super::Access;

const COUNTER: &[u8] = b"counter ";

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
