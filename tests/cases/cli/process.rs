//! Real processes and disks that fail.

use std::fs::File;
use std::io;
use std::os::unix::fs::FileExt;
use std::path::Path;

use client_core::store::{Bytes, Manner, Store, StoreError};

/// A file on a disk that is full: the head of the file can be written over, nothing else.
#[derive(Debug)]
struct FullDisk(File);

impl Bytes for FullDisk {
    fn len(&self) -> io::Result<u64> {
        Ok(self.0.metadata()?.len())
    }

    fn read(&self, offset: u64, out: &mut [u8]) -> io::Result<()> {
        self.0.read_exact_at(out, offset)
    }

    fn set_len(&self, length: u64) -> io::Result<()> {
        if length <= self.len()? { self.0.set_len(length) } else { Err(full()) }
    }

    fn sync(&self) -> io::Result<()> {
        self.0.sync_data()
    }

    fn write(&self, offset: u64, data: &[u8]) -> io::Result<()> {
        if offset == 0 { self.0.write_all_at(data, offset) } else { Err(full()) }
    }
}

fn full() -> io::Error {
    io::Error::from(io::ErrorKind::StorageFull)
}

/// The store of a file on a full disk.
pub(super) fn full_store(file: &Path) -> Result<Store, StoreError> {
    let open = File::options().read(true).write(true).open(file);
    let open = open.map_err(client_core::store::io_error)?;
    Store::open(FullDisk(open), Manner::DEVICE)
}
