//! Packing deliveries for the wire: what the receiver can recompute is left out, what is alike stands
//! together, and the whole is squeezed.
//!
//! Layout of a pack (one site, any number of deliveries):
//! ```text
//! squeezed( [number of streams] [id, length] ... streams ) | raw
//! ```
//! A pack in plain form, for a receiver that could not read the packed one, begins with a zero:
//! ```text
//! 0 | CBOR [[head, signature, [[change ...] ...]] ...]
//! ```
//! Streams: 0 heads, 1 change headers, 2 keys, 3 words (new keys in full), `16 + n` the data of the n-th
//! kind of column met. `raw` holds what does not squeeze: signatures, nonces, hashes, new ids.
//! The receiver rebuilds every change, computes hashes and digests, and checks the signature: a pack that
//! was altered or read wrongly cannot pass.

mod column;
mod plain;
mod read;
mod write;

use std::collections::BTreeMap;

pub use plain::pack_plain;
pub use read::unpack;
pub use write::pack;

use crate::exchange::codec::{self, CodecWrong, uleb};
use crate::exchange::delivery::DeliveryWrong;

/// Most bytes of a pack when expanded. A page of 256 KiB of changes with its heads stays far below.
pub const PLAIN_BYTES_MAX: usize = 4 * 1024 * 1024;

const HEADS: u32 = 0;
const CHANGES: u32 = 1;
const KEYS: u32 = 2;
const WORDS: u32 = 3;
const COLUMNS: u32 = 16;

/// Bytes that a pack takes when it is expanded, as it announces it: a receiver of many packs adds up
/// before it expands any.
pub fn announced(pack: &[u8]) -> Option<u64> {
    if pack.first() == Some(&0) {
        return u64::try_from(pack.len()).ok();
    }
    let (_, rest) = codec::read_uleb(pack)?;
    codec::announced(rest)
}

/// Why a pack cannot be read.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum PackWrong {
    /// The squeezed bytes are damaged.
    #[error(transparent)]
    Codec(#[from] CodecWrong),
    /// The pack does not follow its layout.
    #[error("the pack does not follow its layout: {0}")]
    Layout(&'static str),
    /// The deliveries in it do not hold together.
    #[error(transparent)]
    Delivery(#[from] DeliveryWrong),
}

/// Streams being written.
#[derive(Debug, Default)]
struct Streams {
    streams: BTreeMap<u32, Vec<u8>>,
    raw: Vec<u8>,
}

impl Streams {
    fn of(&mut self, id: u32) -> &mut Vec<u8> {
        self.streams.entry(id).or_default()
    }

    fn finish(self) -> Vec<u8> {
        let mut plain = vec![];
        uleb(&mut plain, self.streams.len());
        for (id, stream) in &self.streams {
            codec::uleb64(&mut plain, u64::from(*id));
            uleb(&mut plain, stream.len());
        }
        for stream in self.streams.values() {
            plain.extend_from_slice(stream);
        }
        let squeezed = codec::squeeze(&plain);
        let mut out = vec![];
        uleb(&mut out, squeezed.len());
        out.extend_from_slice(&squeezed);
        out.extend_from_slice(&self.raw);
        out
    }
}

const EARLY: PackWrong = PackWrong::Layout("it ends early");

/// One stream being read.
#[derive(Debug, Default)]
struct Reading {
    bytes: Vec<u8>,
    at: usize,
}

impl Reading {
    fn take(&mut self, length: usize) -> Result<&[u8], PackWrong> {
        let end = self.at.checked_add(length).ok_or(EARLY)?;
        let taken = self.bytes.get(self.at..end).ok_or(EARLY)?;
        self.at = end;
        Ok(taken)
    }

    fn array<const N: usize>(&mut self) -> Result<[u8; N], PackWrong> {
        <[u8; N]>::try_from(self.take(N)?).map_err(|_| EARLY)
    }

    fn byte(&mut self) -> Result<u8, PackWrong> {
        self.array::<1>().map(|[byte]| byte)
    }

    fn uleb(&mut self) -> Result<u64, PackWrong> {
        let rest = self.bytes.get(self.at..).unwrap_or_default();
        let (value, after) = codec::read_uleb(rest).ok_or(EARLY)?;
        self.at = self.bytes.len() - after.len();
        Ok(value)
    }

    fn zigzag(&mut self) -> Result<i64, PackWrong> {
        self.uleb().map(codec::unzigzag)
    }

    /// A count of things that each take at least one byte somewhere in the pack.
    fn count(&mut self, most: usize) -> Result<usize, PackWrong> {
        usize::try_from(self.uleb()?)
            .ok()
            .filter(|count| *count <= most)
            .ok_or(PackWrong::Layout("it names too many of something"))
    }

    fn done(&self) -> bool {
        self.at == self.bytes.len()
    }
}

/// Streams being read.
#[derive(Debug)]
struct Source {
    streams: BTreeMap<u32, Reading>,
    raw: Reading,
}

impl Source {
    fn open(bytes: &[u8]) -> Result<Source, PackWrong> {
        let (length, rest) = codec::read_uleb(bytes).ok_or(EARLY)?;
        let length = usize::try_from(length).map_err(|_| EARLY)?;
        let (squeezed, raw) = rest.split_at_checked(length).ok_or(EARLY)?;
        let mut plain = Reading { bytes: codec::expand(squeezed, PLAIN_BYTES_MAX)?, at: 0 };
        let mut lengths = vec![];
        for _ in 0..plain.count(256)? {
            let id = u32::try_from(plain.uleb()?).map_err(|_| EARLY)?;
            lengths.push((id, plain.count(PLAIN_BYTES_MAX)?));
        }
        let mut streams = BTreeMap::new();
        for (id, length) in lengths {
            let stream = Reading { bytes: plain.take(length)?.to_vec(), at: 0 };
            if streams.insert(id, stream).is_some() {
                return Err(PackWrong::Layout("it has a stream twice"));
            }
        }
        if !plain.done() {
            return Err(PackWrong::Layout("bytes are left over"));
        }
        Ok(Source { streams, raw: Reading { bytes: raw.to_vec(), at: 0 } })
    }

    fn of(&mut self, id: u32) -> &mut Reading {
        self.streams.entry(id).or_default()
    }

    fn close(&self) -> Result<(), PackWrong> {
        match self.raw.done() && self.streams.values().all(Reading::done) {
            true => Ok(()),
            false => Err(PackWrong::Layout("bytes are left over")),
        }
    }
}

/// A growing list that both sides keep alike: an item is named by its number, or new.
#[derive(Debug)]
struct Names<T> {
    known: Vec<T>,
}

impl<T> Default for Names<T> {
    fn default() -> Names<T> {
        Names { known: vec![] }
    }
}

impl<T: PartialEq + Clone> Names<T> {
    /// Number of an item counted from the newest, from 1; zero when it is new (and now known).
    fn number(&mut self, item: &T) -> usize {
        match self.known.iter().rposition(|known| known == item) {
            Some(at) => self.known.len() - at,
            None => {
                self.known.push(item.clone());
                0
            }
        }
    }

    /// The item with this number.
    fn item(&self, number: usize) -> Result<T, PackWrong> {
        let at = self.known.len().checked_sub(number);
        at.and_then(|at| self.known.get(at)).cloned().ok_or(PackWrong::Layout("it names nothing"))
    }

    fn learn(&mut self, item: T) -> T {
        self.known.push(item.clone());
        item
    }
}

/// What both sides know about the changes of one document in this pack.
#[derive(Debug, Default)]
struct DocState {
    /// Hash and next operation number of each change, in order.
    changes: Vec<([u8; 32], u64)>,
    /// Next sequence number of each actor.
    seqs: BTreeMap<[u8; 16], u64>,
}

impl DocState {
    fn next_op(&self, hash: &[u8; 32]) -> Option<u64> {
        self.changes.iter().rev().find(|(known, _)| known == hash).map(|(_, next)| *next)
    }

    fn seq(&self, actor: [u8; 16]) -> u64 {
        self.seqs.get(&actor).copied().unwrap_or(1)
    }

    fn add(&mut self, hash: [u8; 32], next_op: u64, actor: [u8; 16], seq: u64) {
        self.changes.push((hash, next_op));
        self.seqs.insert(actor, seq.saturating_add(1));
    }
}

#[cfg(test)]
mod tests;
