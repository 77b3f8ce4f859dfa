//! The hub's log: one append-only row of arrivals for each site. The only thing a hub must not lose;
//! everything else on it is derived.
//!
//! A log does not assume that it has one writer only, nor that the order of appends between sites means
//! anything. Within a site, numbers have no gaps and the chain runs over the ids.

pub mod check;
pub mod copy;
pub mod memory;
pub mod redb;

use client_core::exchange::codec::{CodecWrong, announced, expand, squeeze};
use client_core::exchange::delivery::Delivery;
use client_core::exchange::note::Note;
use client_core::exchange::pack::{PLAIN_BYTES_MAX, PackWrong, pack_plain, unpack};
use client_core::exchange::place::Place;
use client_core::record::id::{HubId, LogId, SiteId};
use client_core::store::StoreError;

/// Something that arrived in a log.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Arrival {
    /// A device's delivery.
    Delivery(Box<Delivery>),
    /// A note of the hub.
    Note(Note),
}

/// Why the log could not do what was asked.
#[derive(Debug, thiserror::Error)]
pub enum LogError {
    /// The store failed.
    #[error("the log could not be read or written")]
    Store(#[from] StoreError),
    /// A stored arrival cannot be read.
    #[error("arrival {n} of site {site} cannot be read: {wrong}")]
    Damaged {
        /// The site.
        site: SiteId,
        /// Which arrival.
        n: u64,
        /// What is wrong.
        wrong: String,
    },
    /// A place does not fit what is stored.
    #[error("the log of site {site} has a gap at arrival {n}")]
    Gap {
        /// The site.
        site: SiteId,
        /// Where.
        n: u64,
    },
}

/// One arrival with its number and the chain hash after it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Stored {
    /// Its number, from 1.
    pub n: u64,
    /// Its id.
    pub id: [u8; 32],
    /// Chain hash after it.
    pub chain: [u8; 32],
    /// What arrived.
    pub arrival: Arrival,
}

/// An append-only log for each site.
pub trait HubLog: Send {
    /// This log's id. A restored log gets another one.
    fn id(&self) -> LogId;

    /// Every site with its end.
    fn sites(&self) -> Result<Vec<(SiteId, Place)>, LogError>;

    /// The end of a site's log; the beginning when nothing has arrived.
    fn end(&self, site: SiteId) -> Result<Place, LogError>;

    /// Appends arrivals, all or none, durable when this returns. Arrivals that are there already are
    /// left out: storing the same thing twice equals storing it once.
    fn append(&mut self, batch: &[(SiteId, Arrival)]) -> Result<(), LogError>;

    /// Arrivals after `n`, in order, until about `most` bytes as stored (at least one), and never so many
    /// that they would not fit one pack when expanded.
    fn after(&self, site: SiteId, n: u64, most: usize) -> Result<Vec<Stored>, LogError>;

    /// The number of an arrival.
    fn number(&self, site: SiteId, id: &[u8; 32]) -> Result<Option<u64>, LogError>;

    /// Chain hash after the first `n` arrivals.
    fn chain_at(&self, site: SiteId, n: u64) -> Result<Option<[u8; 32]>, LogError>;

    /// A backup covers a site's log up to here.
    fn backed_up(&self, site: SiteId) -> Result<u64, LogError>;
}

/// Most bytes of a page of arrivals when they are expanded: half of what one pack may hold, so that a
/// page always fits one, and squeezed arrivals cannot fill the memory.
const PAGE_PLAIN_MAX: u64 = (PLAIN_BYTES_MAX / 2) as u64;

/// How full a page of arrivals is.
struct Page {
    most: usize,
    bytes: usize,
    plain: u64,
}

impl Page {
    const fn new(most: usize) -> Page {
        Page { most, bytes: 0, plain: 0 }
    }

    /// Whether an arrival as stored still goes on the page; the first always does.
    fn takes(&mut self, encoded: &[u8]) -> bool {
        let first = self.bytes == 0;
        self.bytes += encoded.len().max(1);
        self.plain += match encoded.split_first() {
            Some((1, squeezed)) => announced(squeezed).unwrap_or_default(),
            _ => 0,
        };
        first || (self.bytes <= self.most && self.plain <= PAGE_PLAIN_MAX)
    }
}

impl Arrival {
    /// Its id in the chain of a site.
    pub fn id(&self, site: SiteId) -> [u8; 32] {
        match self {
            Arrival::Delivery(delivery) => delivery.id(),
            Arrival::Note(note) => note.id(site),
        }
    }

    /// As the log stores it: kind, then a squeezed plain pack, or signature and note.
    pub fn encode(&self) -> Vec<u8> {
        match self {
            Arrival::Delivery(delivery) => {
                let mut bytes = vec![1];
                bytes.extend_from_slice(&squeeze(&pack_plain(&[delivery.as_ref()])));
                bytes
            }
            Arrival::Note(note) => {
                let mut bytes = vec![2];
                bytes.extend_from_slice(&note.signature);
                bytes.extend_from_slice(&note.bytes);
                bytes
            }
        }
    }

    /// Reads what [`Arrival::encode`] wrote.
    pub fn decode(hub: HubId, site: SiteId, bytes: &[u8]) -> Result<Arrival, ArrivalWrong> {
        match bytes.split_first() {
            Some((1, squeezed)) => {
                let pack = expand(squeezed, PLAIN_BYTES_MAX)?;
                let delivery = unpack(&pack, hub, site, &|_| None)?.pop();
                delivery
                    .map(|delivery| Arrival::Delivery(Box::new(delivery)))
                    .ok_or(ArrivalWrong::Empty)
            }
            Some((2, rest)) => {
                let (signature, note) =
                    rest.split_first_chunk::<64>().ok_or(ArrivalWrong::Empty)?;
                Ok(Arrival::Note(Note { bytes: note.to_vec(), signature: *signature }))
            }
            _ => Err(ArrivalWrong::Empty),
        }
    }
}

/// Why stored bytes are not an arrival.
#[derive(Debug, thiserror::Error)]
pub enum ArrivalWrong {
    /// Nothing there.
    #[error("it holds nothing")]
    Empty,
    /// Damaged.
    #[error(transparent)]
    Codec(#[from] CodecWrong),
    /// Damaged.
    #[error(transparent)]
    Pack(#[from] PackWrong),
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_page_is_bounded_as_stored_and_as_expanded() {
        let dense = [&[1][..], &squeeze(&vec![0; 256 * 1024])].concat();
        assert!(dense.len() < 8 * 1024);
        let mut page = Page::new(usize::MAX);
        let taken = (0..100).filter(|_| page.takes(&dense)).count();
        assert_eq!(taken, 8, "eight times 256 KiB are what a page may expand to");
        let mut page = Page::new(10);
        assert!(page.takes(&[2; 500]), "the first goes on whatever it weighs");
        assert!(!page.takes(&[2; 1]));
    }
}
