//! How far each device has counted its requests, kept over a restart.

use client_core::record::id::DeviceId;
use client_core::store::{Get, Store, StoreError, Table};

use super::Access;

const COUNTER: &[u8] = b"counter ";
const HEARD: &[u8] = b"heard ";
const FLOOR: &[u8] = b"order floor";

/// When a device was heard last and how its clock stood.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Heard {
    /// Seconds since 1970, by the hub's clock.
    pub at: i64,
    /// Seconds that the device's clock was ahead then.
    pub ahead_s: i64,
}

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

    /// Keeps counters, and when each device was heard last. When this returns they outlive the program.
    pub fn keep_counters(
        &self,
        counters: impl IntoIterator<Item = (DeviceId, u64, Option<Heard>)>,
    ) -> Result<(), StoreError> {
        let write = self.store.write()?;
        for (device, counter, heard) in counters {
            write.put(Table::Access, &[COUNTER, &device.0].concat(), &counter.to_be_bytes())?;
            if let Some(heard) = heard {
                let value = [heard.at.to_be_bytes(), heard.ahead_s.to_be_bytes()].concat();
                write.put(Table::Access, &[HEARD, &device.0].concat(), &value)?;
            }
        }
        write.commit()
    }

    /// When each device was heard last, as it was kept last.
    pub fn heard(&self) -> Result<Vec<(DeviceId, Heard)>, StoreError> {
        let kept = self.store.read()?.under(Table::Access, HEARD)?;
        let one = |(key, value): &(Vec<u8>, Vec<u8>)| {
            let device = DeviceId::from_slice(key.get(HEARD.len()..)?)?;
            let (at, ahead_s) = value.split_at_checked(8)?;
            let number = |bytes: &[u8]| Some(i64::from_be_bytes(bytes.try_into().ok()?));
            Some((device, Heard { at: number(at)?, ahead_s: number(ahead_s)? }))
        };
        Ok(kept.iter().filter_map(one).collect())
    }
}
