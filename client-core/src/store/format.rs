//! The store's format number, and the steps from older ones.

use super::{Get, Store, StoreError, Table};

/// Format of stores that this program writes.
///
/// 1: the tables of [`super::table`].
pub const FORMAT: u32 = 1;

const MAGIC_KEY: &[u8] = b"what";
const MAGIC: &[u8] = b"dripleg store";
const FORMAT_KEY: &[u8] = b"format";

/// Makes every table, so that a reader never meets a missing one, and writes the format.
pub(super) fn begin(store: &Store) -> Result<(), StoreError> {
    let write = store.write()?;
    for table in Table::ALL {
        write.transaction.open_table(table.definition())?;
    }
    write.put(Table::Meta, MAGIC_KEY, MAGIC)?;
    write.put(Table::Meta, FORMAT_KEY, &FORMAT.to_be_bytes())?;
    write.commit()
}

/// Checks the format; steps an older store up, refuses a newer one.
pub(super) fn open(store: &Store) -> Result<(), StoreError> {
    let read = store.read()?;
    if read.get(Table::Meta, MAGIC_KEY)?.as_deref() != Some(MAGIC) {
        return Err(StoreError::Foreign);
    }
    let stored = read.get(Table::Meta, FORMAT_KEY)?.unwrap_or_default();
    let found = <[u8; 4]>::try_from(stored.as_slice()).map(u32::from_be_bytes);
    match found {
        Ok(FORMAT) => Ok(()),
        Ok(found) if found > FORMAT => Err(StoreError::Newer { found, known: FORMAT }),
        // There is no older format yet; the first step up goes here.
        _ => Err(StoreError::Foreign),
    }
}
