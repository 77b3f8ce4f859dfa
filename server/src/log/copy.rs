//! Copying a log's store, as it stood at one moment, into a fresh file.

use std::path::Path;

use client_core::record::id::SiteId;
use client_core::store::{Get, Manner, Pair, Store, StoreError, Table};

use super::redb::end_of;

/// Bytes written in one transaction.
const CHUNK_BYTES: usize = 4 * 1024 * 1024;

/// Copies every table; gives the ends that the copy holds. Others may write meanwhile: the copy does not
/// see it.
pub fn copy(from: &impl Get, to: &Path, manner: Manner) -> Result<Vec<(SiteId, u64)>, StoreError> {
    let copy = Store::create_file(to, manner)?;
    for table in Table::ALL {
        let mut next = vec![];
        loop {
            let chunk = chunk(from, *table, &next)?;
            let Some((last, _)) = chunk.last() else { break };
            next = [last, &[0][..]].concat();
            let write = copy.write()?;
            for (key, value) in &chunk {
                write.put(*table, key, value)?;
            }
            write.commit()?;
        }
    }
    ends(&copy.read()?)
}

/// Ends of all logs of a store.
pub fn ends(store: &impl Get) -> Result<Vec<(SiteId, u64)>, StoreError> {
    let ends = store.under(Table::Logs, &[])?;
    let one = |(site, value): &Pair| Some((SiteId::from_slice(site)?, end_of(value)?.0));
    Ok(ends.iter().filter_map(one).collect())
}

fn chunk(from: &impl Get, table: Table, next: &[u8]) -> Result<Vec<Pair>, StoreError> {
    let mut found = vec![];
    let mut bytes = 0;
    from.scan(table, next, None, &mut |key, value| {
        bytes += key.len() + value.len();
        found.push((key.to_vec(), value.to_vec()));
        bytes < CHUNK_BYTES
    })?;
    Ok(found)
}
