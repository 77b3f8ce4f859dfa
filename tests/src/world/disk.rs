//! A disk that fails as disks do: writes that were not synced survive a crash in part, out of order and
//! torn at sector borders; a write can find the disk full or broken at any operation.

use std::io;
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};

use client_core::store::Bytes;

use super::Seeded;

/// Bytes that a disk writes at once or not at all.
pub const SECTOR: usize = 512;

/// What goes wrong at an operation.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Fault {
    /// The power goes: this operation and all later ones fail until [`Disk::crash`].
    Power,
    /// The operation fails, once.
    Broken,
    /// The operation and all later ones find the disk full, until [`Disk::mend`].
    Full,
}

/// How what was not synced survives a crash.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Tear {
    /// Nothing of it.
    Nothing,
    /// All of it.
    Everything,
    /// A first part of the operations, the last of them torn.
    Prefix,
    /// Any of the operations, each whole.
    Subset,
    /// Any sectors of any operation.
    Sectors,
}

impl Tear {
    /// Every way.
    pub const ALL: [Tear; 5] =
        [Tear::Nothing, Tear::Everything, Tear::Prefix, Tear::Subset, Tear::Sectors];
}

/// A disk. Clones share it.
#[derive(Clone, Debug, Default)]
pub struct Disk(Arc<Mutex<Platter>>);

#[derive(Debug, Default)]
struct Platter {
    live: Vec<u8>,
    safe: Vec<u8>,
    pending: Vec<Pending>,
    ops: u64,
    faults: Vec<(u64, Fault)>,
    dead: bool,
    full: bool,
    struck: Vec<Fault>,
}

#[derive(Clone, Debug)]
enum Pending {
    Write(usize, Vec<u8>),
    Length(usize),
}

impl Disk {
    /// A disk with this content, all of it safe.
    pub fn with(content: Vec<u8>) -> Disk {
        let platter = Platter { live: content.clone(), safe: content, ..Platter::default() };
        Disk(Arc::new(Mutex::new(platter)))
    }

    /// What a reader sees now.
    pub fn content(&self) -> Vec<u8> {
        self.platter().live.clone()
    }

    /// What is safe now.
    pub fn safe(&self) -> Vec<u8> {
        self.platter().safe.clone()
    }

    /// Writes, syncs and changes of length so far, counted from 1.
    pub fn ops(&self) -> u64 {
        self.platter().ops
    }

    /// Lets something go wrong at an operation.
    pub fn plan(&self, at: u64, fault: Fault) {
        self.platter().faults.push((at, fault));
    }

    /// Faults that have struck since the last time this was asked.
    pub fn struck(&self) -> Vec<Fault> {
        std::mem::take(&mut self.platter().struck)
    }

    /// Whether the power is gone.
    pub fn is_dead(&self) -> bool {
        self.platter().dead
    }

    /// Room again, and nothing planned any more.
    pub fn mend(&self) {
        let mut platter = self.platter();
        platter.full = false;
        platter.faults.clear();
    }

    /// The power goes and comes back: of what was not synced, this survives. Says whether something was
    /// lost that had been written.
    pub fn crash(&self, tear: Tear, random: &mut Seeded) -> bool {
        let mut platter = self.platter();
        let pending = std::mem::take(&mut platter.pending);
        let before = platter.live.clone();
        let kept = random.index(pending.len() + 1);
        let mut bytes = std::mem::take(&mut platter.safe);
        for (index, op) in pending.iter().enumerate() {
            let whole = match tear {
                Tear::Nothing | Tear::Sectors => false,
                Tear::Everything => true,
                Tear::Prefix => index < kept,
                Tear::Subset => random.percent(50),
            };
            if whole {
                put(&mut bytes, op);
            } else if tear == Tear::Sectors || (tear == Tear::Prefix && index == kept) {
                put_sectors(&mut bytes, op, random);
            }
        }
        platter.safe.clone_from(&bytes);
        let lost = before != bytes;
        platter.live = bytes;
        platter.dead = false;
        platter.full = false;
        platter.faults.clear();
        lost
    }

    fn platter(&self) -> MutexGuard<'_, Platter> {
        self.0.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

fn put(bytes: &mut Vec<u8>, op: &Pending) {
    match op {
        Pending::Length(length) => bytes.resize(*length, 0),
        Pending::Write(offset, data) => {
            let end = offset + data.len();
            if bytes.len() < end {
                bytes.resize(end, 0);
            }
            bytes[*offset..end].copy_from_slice(data);
        }
    }
}

fn put_sectors(bytes: &mut Vec<u8>, op: &Pending, random: &mut Seeded) {
    match op {
        Pending::Length(_) => {
            if random.percent(50) {
                put(bytes, op);
            }
        }
        Pending::Write(offset, data) => {
            let mut at = 0;
            while at < data.len() {
                let next = SECTOR - (offset + at) % SECTOR;
                let end = (at + next).min(data.len());
                if random.percent(50) {
                    put(bytes, &Pending::Write(offset + at, data[at..end].to_vec()));
                }
                at = end;
            }
        }
    }
}

impl Platter {
    fn alive(&self) -> io::Result<()> {
        if self.dead { Err(io::Error::other("the power is gone")) } else { Ok(()) }
    }

    /// Counts an operation; an error when something goes wrong at it.
    fn strike(&mut self) -> io::Result<()> {
        self.alive()?;
        self.ops += 1;
        let ops = self.ops;
        let at = self.faults.iter().position(|(at, _)| *at <= ops);
        if let Some(at) = at {
            let (_, fault) = self.faults.remove(at);
            self.struck.push(fault);
            match fault {
                Fault::Power => {
                    self.dead = true;
                    return self.alive();
                }
                Fault::Broken => return Err(io::Error::other("the disk failed")),
                Fault::Full => self.full = true,
            }
        }
        Ok(())
    }

    fn room(&self) -> io::Result<()> {
        if self.full { Err(io::ErrorKind::StorageFull.into()) } else { Ok(()) }
    }
}

fn outside() -> io::Error {
    io::Error::new(io::ErrorKind::UnexpectedEof, "behind the end of the disk's file")
}

fn index(number: u64) -> io::Result<usize> {
    usize::try_from(number).map_err(|_| outside())
}

impl Bytes for Disk {
    fn len(&self) -> io::Result<u64> {
        let platter = self.platter();
        platter.alive()?;
        u64::try_from(platter.live.len()).map_err(|_| outside())
    }

    fn read(&self, offset: u64, out: &mut [u8]) -> io::Result<()> {
        let platter = self.platter();
        platter.alive()?;
        let from = index(offset)?;
        let end = from.checked_add(out.len()).ok_or_else(outside)?;
        out.copy_from_slice(platter.live.get(from..end).ok_or_else(outside)?);
        Ok(())
    }

    fn set_len(&self, length: u64) -> io::Result<()> {
        let mut platter = self.platter();
        let op = Pending::Length(index(length)?);
        let struck = platter.strike();
        // What the power cut short may still have reached the disk.
        if struck.is_err() && platter.dead {
            platter.pending.push(op);
            return struck;
        }
        struck?;
        if index(length)? > platter.live.len() {
            platter.room()?;
        }
        put(&mut platter.live, &op);
        platter.pending.push(op);
        Ok(())
    }

    fn sync(&self) -> io::Result<()> {
        let mut platter = self.platter();
        platter.strike()?;
        platter.room()?;
        let pending = std::mem::take(&mut platter.pending);
        for op in &pending {
            put(&mut platter.safe, op);
        }
        Ok(())
    }

    fn write(&self, offset: u64, data: &[u8]) -> io::Result<()> {
        let mut platter = self.platter();
        let from = index(offset)?;
        let op = Pending::Write(from, data.to_vec());
        let struck = platter.strike();
        if struck.is_err() && platter.dead {
            platter.pending.push(op);
            return struck;
        }
        struck?;
        platter.room()?;
        let end = from.checked_add(data.len()).ok_or_else(outside)?;
        if platter.live.len() < end {
            return Err(outside());
        }
        put(&mut platter.live, &op);
        platter.pending.push(op);
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn written() -> Disk {
        let disk = Disk::with(vec![1; 4 * SECTOR]);
        disk.write(0, &[2; 2 * SECTOR]).unwrap();
        disk.write(u64::try_from(3 * SECTOR).unwrap(), &[3; SECTOR]).unwrap();
        disk
    }

    #[test]
    fn only_what_was_synced_is_sure_to_survive() {
        let mut random = Seeded::new(1);
        let disk = written();
        assert!(disk.crash(Tear::Nothing, &mut random));
        assert_eq!(disk.content(), vec![1; 4 * SECTOR]);
        let disk = written();
        disk.sync().unwrap();
        for tear in Tear::ALL {
            assert!(!disk.crash(tear, &mut random), "{tear:?}");
        }
    }

    #[test]
    fn a_torn_write_leaves_whole_sectors() {
        let mut met = std::collections::BTreeSet::new();
        for seed in 0..60 {
            let disk = written();
            disk.crash(Tear::Sectors, &mut Seeded::new(seed));
            let content = disk.content();
            let sectors: Vec<u8> = content.chunks(SECTOR).map(|sector| sector[0]).collect();
            assert!(content.chunks(SECTOR).all(|sector| sector.iter().all(|b| *b == sector[0])));
            met.insert(sectors);
        }
        assert_eq!(met.len(), 8, "every one of the eight outcomes is met: {met:?}");
    }

    #[test]
    fn faults_strike_where_they_were_planned() {
        let disk = Disk::with(vec![0; SECTOR]);
        disk.plan(2, Fault::Broken);
        disk.plan(4, Fault::Full);
        assert!(disk.write(0, &[1]).is_ok());
        assert!(disk.write(0, &[1]).is_err());
        assert!(disk.write(0, &[1]).is_ok());
        for _ in 0..2 {
            let full = disk.write(0, &[1]).unwrap_err();
            assert_eq!(full.kind(), io::ErrorKind::StorageFull);
        }
        disk.mend();
        assert!(disk.write(0, &[1]).is_ok());
        disk.plan(0, Fault::Power);
        assert!(disk.sync().is_err() && disk.len().is_err() && disk.is_dead());
        assert_eq!(disk.struck(), [Fault::Broken, Fault::Full, Fault::Power]);
        disk.crash(Tear::Nothing, &mut Seeded::new(1));
        assert_eq!(disk.len().unwrap(), 512);
    }
}
