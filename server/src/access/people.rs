//! The directory: names and contacts of persons, outside the signed log so that they can be erased.

use client_core::exchange::frame::PersonRow;
use client_core::record::id::PersonId;
use client_core::store::{Get, Store, StoreError, Table, Write};

use super::Access;

const VERSION: &[u8] = b"directory version";
/// Versions left out when a backup is restored: devices that know later ones than the backup holds must
/// still hear of what comes next.
const RESTORE_STEP: u64 = 1_000_000;

/// A page of the directory.
#[derive(Debug, Default, PartialEq, Eq)]
pub struct PeoplePage {
    /// Rows, in the order of their versions.
    pub rows: Vec<PersonRow>,
    /// The version that a device has with them.
    pub version: u64,
    /// More rows follow.
    pub more: bool,
}

impl Access {
    /// Version of the directory.
    pub fn directory_version(&self) -> Result<u64, StoreError> {
        version(&self.store.read()?)
    }

    /// A person's row.
    pub fn person(&self, person: PersonId) -> Result<Option<PersonRow>, StoreError> {
        let found = self.store.read()?.get(Table::Directory, &person.0)?;
        Ok(found.and_then(|bytes| read(&bytes)).map(|(_, row)| row))
    }

    /// Writes persons into the directory; each row gets a version of its own.
    pub fn put_people(&self, people: &[PersonRow]) -> Result<(), StoreError> {
        if people.is_empty() {
            return Ok(());
        }
        let write = self.store.write()?;
        let mut version = version(&write)?;
        for person in people {
            version += 1;
            let value = minicbor::to_vec((version, person)).expect("memory takes it");
            write.put(Table::Directory, &person.person.0, &value)?;
        }
        put_version(&write, version)?;
        write.commit()
    }

    /// Persons of the directory that changed after a version, oldest change first, until about `most`
    /// bytes (at least one).
    pub fn people_after(&self, known: u64, most: usize) -> Result<PeoplePage, StoreError> {
        let stored = self.store.read()?;
        let end = version(&stored)?;
        let mut rows = vec![];
        stored.scan(Table::Directory, &[], None, &mut |_, value| {
            let row = read(value).filter(|(version, _)| *version > known);
            rows.extend(row.map(|(version, row)| (version, value.len(), row)));
            true
        })?;
        rows.sort_by_key(|(version, _, _)| *version);
        let mut page = PeoplePage { rows: vec![], version: end, more: false };
        let mut bytes = 0;
        let mut last = known;
        for (version, length, row) in rows {
            bytes += length;
            if bytes > most && !page.rows.is_empty() {
                return Ok(PeoplePage { version: last, more: true, ..page });
            }
            last = version;
            page.rows.push(row);
        }
        Ok(page)
    }
}

/// After a restore: what comes next is newer than anything that devices may know.
pub fn step_over_lost_versions(store: &Store) -> Result<(), StoreError> {
    let write = store.write()?;
    put_version(&write, version(&write)? + RESTORE_STEP)?;
    write.commit()
}

fn read(value: &[u8]) -> Option<(u64, PersonRow)> {
    minicbor::decode(value).ok()
}

fn version(store: &impl Get) -> Result<u64, StoreError> {
    let stored = store.get(Table::Access, VERSION)?.unwrap_or_default();
    Ok(<[u8; 8]>::try_from(stored.as_slice()).map_or(0, u64::from_be_bytes))
}

fn put_version(write: &Write, version: u64) -> Result<(), StoreError> {
    write.put(Table::Access, VERSION, &version.to_be_bytes())
}
