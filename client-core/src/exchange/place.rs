//! Where in a site's log somebody stands.

use minicbor::{Decode, Encode};
use sha2::{Digest, Sha256};

use crate::record::id::{LogId, SiteId};

/// A place in one log: after the first `n` arrivals, whose ids hash to `chain`.
///
/// The chain is over ids, so payloads can be compacted or erased without moving a place.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Encode, Decode)]
#[cbor(map)]
pub struct Place {
    /// Which log. A restored or relayed log is another one.
    #[n(0)]
    pub log: LogId,
    /// How many arrivals.
    #[n(1)]
    pub n: u64,
    /// Chain hash over their ids.
    #[n(2)]
    #[cbor(with = "minicbor::bytes")]
    pub chain: [u8; 32],
}

impl Place {
    /// Before the first arrival of a site's log.
    pub fn begin(log: LogId, site: SiteId) -> Place {
        Place { log, n: 0, chain: begin(site) }
    }

    /// After one more arrival.
    #[must_use]
    pub fn after(self, arrival: &[u8; 32]) -> Place {
        Place { log: self.log, n: self.n + 1, chain: next(&self.chain, arrival) }
    }
}

/// Chain hash of a site's empty log. It depends on the site only, so that a restored log, which has
/// another log id, still shares its chain with the lost one as far as both go.
pub fn begin(site: SiteId) -> [u8; 32] {
    Sha256::new().chain_update(b"dripleg log 1").chain_update(site.0).finalize().into()
}

/// Chain hash after one more arrival.
pub fn next(chain: &[u8; 32], arrival: &[u8; 32]) -> [u8; 32] {
    Sha256::new().chain_update(chain).chain_update(arrival).finalize().into()
}

/// One digest over all places of a device, sorted by site, and the version of the directory: equal
/// digests mean nothing to tell.
pub fn digest<'a>(
    places: impl IntoIterator<Item = &'a (SiteId, Place)>,
    directory: u64,
) -> [u8; 16] {
    let mut sorted: Vec<&(SiteId, Place)> = places.into_iter().collect();
    sorted.sort_by_key(|(site, _)| *site);
    let mut hash = Sha256::new();
    hash.update(b"dripleg places 1");
    for (site, place) in sorted {
        hash.update(site.0);
        hash.update(place.log.0);
        hash.update(place.n.to_be_bytes());
        hash.update(place.chain);
    }
    hash.update(directory.to_be_bytes());
    let mut out = [0; 16];
    out.copy_from_slice(&hash.finalize()[..16]);
    out
}

/// Which n a device offers when places differ: n, then n-1, n-2, n-4 and so on down to 0.
pub fn ladder(n: u64) -> Vec<u64> {
    let mut steps = vec![n];
    let doubled = std::iter::successors(Some(1u64), |back| back.checked_mul(2));
    steps.extend(doubled.take_while(|back| *back <= n).map(|back| n - back));
    if steps.last() != Some(&0) {
        steps.push(0);
    }
    steps
}

#[cfg(test)]
mod tests {
    use super::*;

    const LOG: LogId = LogId([1; 8]);

    #[test]
    fn the_chain_depends_on_every_arrival_and_the_site() {
        let one = Place::begin(LOG, SiteId([1; 8]));
        let other = Place::begin(LOG, SiteId([2; 8]));
        assert_ne!(one.chain, other.chain);
        assert_eq!(one.chain, Place::begin(LogId([9; 8]), SiteId([1; 8])).chain);
        let ab = one.after(&[1; 32]).after(&[2; 32]);
        let ba = one.after(&[2; 32]).after(&[1; 32]);
        assert_eq!((ab.n, ba.n), (2, 2));
        assert_ne!(ab.chain, ba.chain);
    }

    #[test]
    fn the_ladder_reaches_the_bottom_in_few_steps() {
        assert_eq!(ladder(0), [0]);
        assert_eq!(ladder(1), [1, 0]);
        assert_eq!(ladder(10), [10, 9, 8, 6, 2, 0]);
        assert!(ladder(u64::MAX).len() < 70);
    }

    #[test]
    fn the_digest_does_not_depend_on_the_order() {
        let one = (SiteId([1; 8]), Place::begin(LOG, SiteId([1; 8])));
        let two = (SiteId([2; 8]), Place::begin(LOG, SiteId([2; 8])));
        assert_eq!(digest(&[one, two], 3), digest(&[two, one], 3));
        assert_ne!(digest(&[one], 3), digest(&[two], 3));
        assert_ne!(digest(&[one], 3), digest(&[one], 4));
    }
}
