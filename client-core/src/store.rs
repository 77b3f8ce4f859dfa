//! Where a device keeps documents, rows, drafts and everything that waits: one redb file, or any byte
//! backend that the caller brings.
//!
//! Layout: see [`table`]. Every value carries a CRC-32 over its table, key and content, checked when it
//! is read: a bit that flipped in a closed file is found, not shown.
//!
//! Durability: [`Write::commit`] returns after the bytes are safe (redb `Immediate`); nothing may be
//! called saved before. After a failed write the handle is dead: drop it, open again, and what was
//! acknowledged is there.
//!
//! Versions: the format number stands in the meta table. An older store is stepped up when opened, a
//! newer one is refused with both numbers.
//!
//! What this room does not do: it knows no automerge, no network, and no meaning of the bytes.

pub mod backend;
pub mod pictures;
pub mod table;

pub mod doc_table;
mod format;

use std::panic::{AssertUnwindSafe, catch_unwind};
use std::path::Path;

use redb::{Builder, Database, Durability, ReadableDatabase, ReadableTable, TableError};

pub use backend::{Bytes, MemoryBytes};
pub use doc_table::{DocInfo, DocNumber};
pub use format::FORMAT;
pub use table::Table;

/// Why the store could not do what was asked.
#[derive(Debug, thiserror::Error)]
pub enum StoreError {
    /// Another program holds the store.
    #[error("another program has the store open; close it first")]
    Busy,
    /// There is no store at this place.
    #[error("there is no store at {0}")]
    Missing(String),
    /// There is a store already.
    #[error("there is a store at {0} already")]
    Exists(String),
    /// Not a store of ours.
    #[error("the file is a database, but not one of this program")]
    Foreign,
    /// Written by a newer program.
    #[error("the store is format {found}, this program reads up to {known}; use the newer program")]
    Newer {
        /// Format found.
        found: u32,
        /// Newest format known.
        known: u32,
    },
    /// A value does not have its checksum.
    #[error("{table} holds a damaged value; fetch it again from the hub")]
    Damaged {
        /// Table.
        table: &'static str,
        /// Key.
        key: Vec<u8>,
    },
    /// A value cannot be read.
    #[error("{table} holds a value that cannot be read: {wrong}")]
    Unreadable {
        /// Table.
        table: &'static str,
        /// What is wrong.
        wrong: String,
    },
    /// The disk is full.
    #[error("the disk is full; what was typed is kept on the screen, make room and try again")]
    Full,
    /// The file is damaged.
    #[error("the store is damaged: {0}")]
    Corrupted(String),
    /// Reading or writing failed.
    #[error("the store could not be read or written")]
    Io(#[source] Box<redb::Error>),
}

impl<E: Into<redb::Error>> From<E> for StoreError {
    fn from(wrong: E) -> StoreError {
        match wrong.into() {
            redb::Error::DatabaseAlreadyOpen => StoreError::Busy,
            redb::Error::Corrupted(words) => StoreError::Corrupted(words),
            redb::Error::Io(wrong) if wrong.kind() == std::io::ErrorKind::StorageFull => {
                StoreError::Full
            }
            // Cut short, or overwritten by something else: no retry will help.
            redb::Error::Io(wrong)
                if matches!(
                    wrong.kind(),
                    std::io::ErrorKind::InvalidData | std::io::ErrorKind::UnexpectedEof
                ) =>
            {
                StoreError::Corrupted(wrong.to_string())
            }
            other => StoreError::Io(Box::new(other)),
        }
    }
}

/// How a store commits.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Manner {
    /// Two-phase commit: for stores that take in what strangers send.
    pub two_phase: bool,
    /// Keep the allocator's state, so that opening after a crash is fast.
    pub quick_repair: bool,
    /// Bytes of cache.
    pub cache_bytes: usize,
    /// Read the whole file when it is opened, if it is at most this large.
    pub check_up_to_bytes: u64,
}

impl Manner {
    /// A technician's device.
    pub const DEVICE: Manner = Manner {
        two_phase: false,
        quick_repair: true,
        cache_bytes: 8 * 1024 * 1024,
        check_up_to_bytes: 32 * 1024 * 1024,
    };
    /// A hub.
    pub const HUB: Manner = Manner {
        two_phase: true,
        quick_repair: true,
        cache_bytes: 8 * 1024 * 1024,
        check_up_to_bytes: u64::MAX,
    };
}

/// An open store.
#[derive(Debug)]
pub struct Store {
    database: Database,
    manner: Manner,
}

impl Store {
    /// Makes a store at a path: written under another name, synced, then renamed, so that a crash while
    /// making it leaves no file that never opens.
    pub fn create_file(path: &Path, manner: Manner) -> Result<Store, StoreError> {
        let shown = || path.display().to_string();
        if path.exists() {
            return Err(StoreError::Exists(shown()));
        }
        let mut name = path.as_os_str().to_owned();
        name.push(".making");
        let making = Path::new(&name);
        match std::fs::remove_file(making) {
            Err(wrong) if wrong.kind() != std::io::ErrorKind::NotFound => return Err(io(wrong)),
            _ => {}
        }
        let database = builder(manner, 0).create(making)?;
        let store = Store { database, manner };
        format::begin(&store)?;
        drop(store);
        std::fs::rename(making, path).map_err(io)?;
        if let Some(folder) = path.parent().filter(|folder| !folder.as_os_str().is_empty()) {
            std::fs::File::open(folder).and_then(|folder| folder.sync_all()).map_err(io)?;
        }
        Store::open_file(path, manner)
    }

    /// Opens the store at a path. Never makes one: an empty or missing file is an answer of its own.
    pub fn open_file(path: &Path, manner: Manner) -> Result<Store, StoreError> {
        let size = match std::fs::metadata(path) {
            Ok(meta) => meta.len(),
            Err(wrong) if wrong.kind() == std::io::ErrorKind::NotFound => {
                return Err(StoreError::Missing(path.display().to_string()));
            }
            Err(wrong) => return Err(io(wrong)),
        };
        let database = guarded(|| builder(manner, size).open(path))?;
        let store = Store { database, manner };
        format::open(&store)?;
        Ok(store)
    }

    /// Makes a store on bytes that the caller brings.
    pub fn create(bytes: impl Bytes, manner: Manner) -> Result<Store, StoreError> {
        let database =
            builder(manner, 0).create_with_backend(backend::Adapter::new(Box::new(bytes)))?;
        let store = Store { database, manner };
        format::begin(&store)?;
        Ok(store)
    }

    /// Opens a store on bytes that the caller brings; they must hold one.
    pub fn open(bytes: impl Bytes, manner: Manner) -> Result<Store, StoreError> {
        let size = bytes.len().map_err(io)?;
        if size == 0 {
            return Err(StoreError::Missing("the bytes given".to_owned()));
        }
        let bytes = backend::Adapter::new(Box::new(bytes));
        let database = guarded(|| builder(manner, size).create_with_backend(bytes))?;
        let store = Store { database, manner };
        format::open(&store)?;
        Ok(store)
    }

    /// A view of the store as it stands now.
    pub fn read(&self) -> Result<Read, StoreError> {
        Ok(Read { transaction: self.database.begin_read()? })
    }

    /// Begins to write. One writer at a time; nothing shows before the commit.
    pub fn write(&self) -> Result<Write, StoreError> {
        let mut transaction = self.database.begin_write()?;
        transaction.set_durability(Durability::Immediate)?;
        transaction.set_two_phase_commit(self.manner.two_phase);
        transaction.set_quick_repair(self.manner.quick_repair);
        Ok(Write { transaction })
    }

    /// Gives unused pages back. Blocked by open readers.
    pub fn compact(&mut self) -> Result<bool, StoreError> {
        Ok(self.database.compact()?)
    }
}

fn builder(manner: Manner, size: u64) -> Builder {
    let mut builder = Builder::new();
    builder.set_cache_size(manner.cache_bytes);
    builder.set_check_integrity_on_open(size > 0 && size <= manner.check_up_to_bytes);
    builder
}

/// Opens a file that may be bent. The database trusts what a header says of lengths when the file is too
/// large to be read through first, and panics on some that cannot be: here that is a damaged file.
fn guarded(
    open: impl FnOnce() -> Result<Database, redb::DatabaseError>,
) -> Result<Database, StoreError> {
    match catch_unwind(AssertUnwindSafe(open)) {
        Ok(opened) => Ok(opened?),
        Err(_) => Err(StoreError::Corrupted("its header does not fit its length".to_owned())),
    }
}

/// An I/O failure as the store reports it.
pub fn io_error(wrong: std::io::Error) -> StoreError {
    StoreError::from(redb::Error::Io(wrong))
}

fn io(wrong: std::io::Error) -> StoreError {
    StoreError::from(redb::Error::Io(wrong))
}

/// A view of the store as it stood when it was taken.
pub struct Read {
    transaction: redb::ReadTransaction,
}

/// A transaction that writes.
pub struct Write {
    transaction: redb::WriteTransaction,
}

impl std::fmt::Debug for Read {
    fn fmt(&self, out: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        out.write_str("Read")
    }
}

impl std::fmt::Debug for Write {
    fn fmt(&self, out: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        out.write_str("Write")
    }
}

/// One key and its value.
pub type Pair = (Vec<u8>, Vec<u8>);

/// Reading, the same from a view and from within a transaction.
pub trait Get {
    /// The value under a key.
    fn get(&self, table: Table, key: &[u8]) -> Result<Option<Vec<u8>>, StoreError>;

    /// Calls `each` for keys from `from` on (excluded: `to`, where given), in order, until it answers
    /// false.
    fn scan(
        &self,
        table: Table,
        from: &[u8],
        to: Option<&[u8]>,
        each: &mut dyn FnMut(&[u8], &[u8]) -> bool,
    ) -> Result<(), StoreError>;

    /// The last key below `to` that begins with `prefix`.
    fn last(
        &self,
        table: Table,
        prefix: &[u8],
        to: Option<&[u8]>,
    ) -> Result<Option<Pair>, StoreError>;

    /// Everything under a prefix, in order.
    fn under(&self, table: Table, prefix: &[u8]) -> Result<Vec<Pair>, StoreError> {
        let mut found = vec![];
        self.scan(table, prefix, after(prefix).as_deref(), &mut |key, value| {
            found.push((key.to_vec(), value.to_vec()));
            true
        })?;
        Ok(found)
    }

    /// How many keys stand under a prefix.
    fn count(&self, table: Table, prefix: &[u8]) -> Result<u64, StoreError> {
        let mut found = 0;
        self.scan(table, prefix, after(prefix).as_deref(), &mut |_, _| {
            found += 1;
            true
        })?;
        Ok(found)
    }
}

/// The first key behind everything that begins with `prefix`; none when nothing lies behind.
pub fn after(prefix: &[u8]) -> Option<Vec<u8>> {
    let end = prefix.iter().rposition(|byte| *byte != 0xff)?;
    let mut next = prefix[..=end].to_vec();
    next[end] += 1;
    Some(next)
}

fn seal(table: Table, key: &[u8], value: &[u8]) -> Vec<u8> {
    let mut sealed = Vec::with_capacity(value.len() + 4);
    sealed.extend_from_slice(&check(table, key, value));
    sealed.extend_from_slice(value);
    sealed
}

fn check(table: Table, key: &[u8], value: &[u8]) -> [u8; 4] {
    let mut crc = crc32fast::Hasher::new();
    crc.update(table.name().as_bytes());
    crc.update(&[0]);
    crc.update(key);
    crc.update(&[0]);
    crc.update(value);
    crc.finalize().to_be_bytes()
}

fn unseal<'a>(table: Table, key: &[u8], sealed: &'a [u8]) -> Result<&'a [u8], StoreError> {
    match sealed.split_first_chunk::<4>() {
        Some((sum, value)) if *sum == check(table, key, value) => Ok(value),
        _ => Err(StoreError::Damaged { table: table.name(), key: key.to_vec() }),
    }
}

macro_rules! get {
    ($kind:ty) => {
        impl Get for $kind {
            fn get(&self, table: Table, key: &[u8]) -> Result<Option<Vec<u8>>, StoreError> {
                let raw = match self.transaction.open_table(table.definition()) {
                    Ok(raw) => raw,
                    Err(TableError::TableDoesNotExist(_)) => return Ok(None),
                    Err(wrong) => return Err(wrong.into()),
                };
                let Some(found) = raw.get(key)? else { return Ok(None) };
                unseal(table, key, found.value()).map(|value| Some(value.to_vec()))
            }

            fn scan(
                &self,
                table: Table,
                from: &[u8],
                to: Option<&[u8]>,
                each: &mut dyn FnMut(&[u8], &[u8]) -> bool,
            ) -> Result<(), StoreError> {
                let raw = match self.transaction.open_table(table.definition()) {
                    Ok(raw) => raw,
                    Err(TableError::TableDoesNotExist(_)) => return Ok(()),
                    Err(wrong) => return Err(wrong.into()),
                };
                let pairs = match to {
                    Some(to) if from < to => raw.range::<&[u8]>(from..to)?,
                    Some(_) => return Ok(()),
                    None => raw.range::<&[u8]>(from..)?,
                };
                for pair in pairs {
                    let (key, sealed) = pair?;
                    let value = unseal(table, key.value(), sealed.value())?;
                    if !each(key.value(), value) {
                        break;
                    }
                }
                Ok(())
            }

            fn last(
                &self,
                table: Table,
                prefix: &[u8],
                to: Option<&[u8]>,
            ) -> Result<Option<Pair>, StoreError> {
                let raw = match self.transaction.open_table(table.definition()) {
                    Ok(raw) => raw,
                    Err(TableError::TableDoesNotExist(_)) => return Ok(None),
                    Err(wrong) => return Err(wrong.into()),
                };
                let end = to.map(<[u8]>::to_vec).or_else(|| after(prefix));
                let mut pairs = match end.as_deref() {
                    Some(end) if prefix < end => raw.range::<&[u8]>(prefix..end)?,
                    Some(_) => return Ok(None),
                    None => raw.range::<&[u8]>(prefix..)?,
                };
                let Some(pair) = pairs.next_back() else { return Ok(None) };
                let (key, sealed) = pair?;
                let value = unseal(table, key.value(), sealed.value())?;
                Ok(Some((key.value().to_vec(), value.to_vec())))
            }
        }
    };
}

get!(Read);
get!(Write);

impl Write {
    /// Writes a value.
    pub fn put(&self, table: Table, key: &[u8], value: &[u8]) -> Result<(), StoreError> {
        let mut raw = self.transaction.open_table(table.definition())?;
        raw.insert(key, seal(table, key, value).as_slice())?;
        Ok(())
    }

    /// Takes a value away; says whether there was one.
    pub fn remove(&self, table: Table, key: &[u8]) -> Result<bool, StoreError> {
        let mut raw = self.transaction.open_table(table.definition())?;
        Ok(raw.remove(key)?.is_some())
    }

    /// Takes everything under a prefix away.
    pub fn clear(&self, table: Table, prefix: &[u8]) -> Result<(), StoreError> {
        for (key, _) in self.under(table, prefix)? {
            self.remove(table, &key)?;
        }
        Ok(())
    }

    /// Makes everything written in this transaction durable. Only now may it be called saved.
    pub fn commit(self) -> Result<(), StoreError> {
        Ok(self.transaction.commit()?)
    }
}
