//! Bytes that a store can live on: the joint for a phone's private file, a test's failing disk, or
//! plain memory.

use std::fmt;
use std::io;
use std::sync::{Arc, Mutex, PoisonError};

use redb::StorageBackend;

/// A growing row of bytes with a sync. Implementations must refuse reads behind the end.
pub trait Bytes: Send + Sync + fmt::Debug + 'static {
    /// Bytes there are.
    fn len(&self) -> io::Result<u64>;
    /// Whether there are none.
    fn is_empty(&self) -> io::Result<bool> {
        self.len().map(|length| length == 0)
    }
    /// Fills `out` with the bytes from `offset` on.
    fn read(&self, offset: u64, out: &mut [u8]) -> io::Result<()>;
    /// Cuts or grows with zeros.
    fn set_len(&self, length: u64) -> io::Result<()>;
    /// Returns when everything written is safe.
    fn sync(&self) -> io::Result<()>;
    /// Writes `data` from `offset` on.
    fn write(&self, offset: u64, data: &[u8]) -> io::Result<()>;
    /// Gives the bytes up. Called once, last.
    fn close(&self) -> io::Result<()> {
        Ok(())
    }
}

/// Bytes in memory. Clones share them.
#[derive(Clone, Debug, Default)]
pub struct MemoryBytes(Arc<Mutex<Vec<u8>>>);

impl MemoryBytes {
    /// Bytes with this content.
    pub fn with(content: Vec<u8>) -> MemoryBytes {
        MemoryBytes(Arc::new(Mutex::new(content)))
    }

    /// A copy of the content.
    pub fn content(&self) -> Vec<u8> {
        self.lock().clone()
    }

    fn lock(&self) -> std::sync::MutexGuard<'_, Vec<u8>> {
        self.0.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

fn outside() -> io::Error {
    io::Error::new(io::ErrorKind::UnexpectedEof, "behind the end of the bytes")
}

fn place(offset: u64, length: usize) -> io::Result<std::ops::Range<usize>> {
    let from = usize::try_from(offset).map_err(|_| outside())?;
    Ok(from..from.checked_add(length).ok_or_else(outside)?)
}

impl Bytes for MemoryBytes {
    fn len(&self) -> io::Result<u64> {
        u64::try_from(self.lock().len()).map_err(|_| outside())
    }

    fn read(&self, offset: u64, out: &mut [u8]) -> io::Result<()> {
        let bytes = self.lock();
        out.copy_from_slice(bytes.get(place(offset, out.len())?).ok_or_else(outside)?);
        Ok(())
    }

    fn set_len(&self, length: u64) -> io::Result<()> {
        self.lock().resize(usize::try_from(length).map_err(|_| outside())?, 0);
        Ok(())
    }

    fn sync(&self) -> io::Result<()> {
        Ok(())
    }

    fn write(&self, offset: u64, data: &[u8]) -> io::Result<()> {
        let mut bytes = self.lock();
        let range = place(offset, data.len())?;
        bytes.get_mut(range).ok_or_else(outside)?.copy_from_slice(data);
        Ok(())
    }
}

/// redb's view of our bytes.
#[derive(Debug)]
pub(super) struct Adapter(Box<dyn Bytes>);

impl Adapter {
    pub(super) fn new(bytes: Box<dyn Bytes>) -> Adapter {
        Adapter(bytes)
    }
}

impl StorageBackend for Adapter {
    fn len(&self) -> io::Result<u64> {
        self.0.len()
    }

    fn read(&self, offset: u64, out: &mut [u8]) -> io::Result<()> {
        self.0.read(offset, out)
    }

    fn set_len(&self, len: u64) -> io::Result<()> {
        self.0.set_len(len)
    }

    fn sync_data(&self) -> io::Result<()> {
        self.0.sync()
    }

    fn write(&self, offset: u64, data: &[u8]) -> io::Result<()> {
        self.0.write(offset, data)
    }

    fn close(&self) -> io::Result<()> {
        self.0.close()
    }
}
