//! How much one sender may ask: requests a second with a burst, bytes an hour.
//!
//! Two leaking buckets a sender. A request is let in while its buckets are not empty and may overdraw
//! them, so that no size is refused for ever; what it overdrew has to leak away before the next.

use std::collections::BTreeMap;

/// Senders remembered at once; full buckets are forgotten first.
const SENDERS_MAX: usize = 100_000;
const MS_PER_HOUR: i64 = 3_600_000;

/// How much a sender may ask. Zero stands for no limit.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Quota {
    /// Requests a second, in the long run.
    pub requests_per_s: u32,
    /// Requests at once after a rest.
    pub requests_burst: u32,
    /// Bytes of request bodies an hour.
    pub bytes_per_hour: u64,
}

/// What each sender has used.
#[derive(Debug)]
pub struct Used<K> {
    quota: Quota,
    senders: BTreeMap<K, Buckets>,
}

/// What is left for one sender, in thousandths of a request and in bytes.
#[derive(Clone, Copy, Debug)]
struct Buckets {
    at_ms: i64,
    milli_requests: i64,
    bytes: i64,
}

impl<K: Ord + Clone> Used<K> {
    /// Nobody has used anything.
    pub const fn new(quota: Quota) -> Used<K> {
        Used { quota, senders: BTreeMap::new() }
    }

    /// Whether a sender may ask now; the seconds to wait when not. Counts nothing.
    pub fn may(&self, now_ms: i64, sender: &K) -> Result<(), u32> {
        let Some(buckets) = self.senders.get(sender) else { return Ok(()) };
        let left = self.leaked(*buckets, now_ms);
        let mut wait_ms = 0;
        if self.quota.requests_per_s > 0 && left.milli_requests <= 0 {
            wait_ms = 1 + -left.milli_requests / i64::from(self.quota.requests_per_s);
        }
        if self.quota.bytes_per_hour > 0 && left.bytes <= 0 {
            let per_hour = clamp(self.quota.bytes_per_hour);
            wait_ms = wait_ms.max(1 + (-left.bytes).saturating_mul(MS_PER_HOUR) / per_hour);
        }
        match wait_ms {
            0 => Ok(()),
            wait_ms => Err(u32::try_from(wait_ms.div_euclid(1_000) + 1).unwrap_or(u32::MAX)),
        }
    }

    /// Counts one request of so many bytes.
    pub fn count(&mut self, now_ms: i64, sender: &K, bytes: usize) {
        if self.quota == Quota::default() {
            return;
        }
        if self.senders.len() >= SENDERS_MAX && !self.senders.contains_key(sender) {
            self.make_room(now_ms);
        }
        let full = self.full(now_ms);
        let known = self.senders.get(sender).copied().unwrap_or(full);
        let mut left = self.leaked(known, now_ms);
        left.milli_requests -= 1_000;
        left.bytes = left.bytes.saturating_sub(i64::try_from(bytes).unwrap_or(i64::MAX));
        self.senders.insert(sender.clone(), left);
    }

    fn full(&self, at_ms: i64) -> Buckets {
        Buckets {
            at_ms,
            milli_requests: i64::from(self.quota.requests_burst.max(1)) * 1_000,
            bytes: clamp(self.quota.bytes_per_hour),
        }
    }

    fn leaked(&self, buckets: Buckets, now_ms: i64) -> Buckets {
        let full = self.full(now_ms);
        // A clock that goes back gives nothing and takes nothing.
        let ms = now_ms.saturating_sub(buckets.at_ms).clamp(0, 2 * MS_PER_HOUR);
        let requests = ms.saturating_mul(i64::from(self.quota.requests_per_s));
        let bytes = ms.saturating_mul(clamp(self.quota.bytes_per_hour)) / MS_PER_HOUR;
        Buckets {
            at_ms: now_ms,
            milli_requests: (buckets.milli_requests.saturating_add(requests))
                .min(full.milli_requests),
            bytes: buckets.bytes.saturating_add(bytes).min(full.bytes),
        }
    }

    /// Forgets senders whose buckets are full again; when there are none, all: rather that than memory
    /// that strangers fill.
    fn make_room(&mut self, now_ms: i64) {
        let full = self.full(now_ms);
        let rested: Vec<K> = self
            .senders
            .iter()
            .filter(|(_, buckets)| {
                let left = self.leaked(**buckets, now_ms);
                left.milli_requests >= full.milli_requests && left.bytes >= full.bytes
            })
            .map(|(sender, _)| sender.clone())
            .collect();
        for sender in &rested {
            self.senders.remove(sender);
        }
        if rested.is_empty() {
            self.senders.clear();
        }
    }
}

/// A limit as a signed number, small enough to be multiplied by an hour of milliseconds.
fn clamp(bytes: u64) -> i64 {
    i64::try_from(bytes).unwrap_or(i64::MAX).min(i64::MAX / (4 * MS_PER_HOUR))
}

#[cfg(test)]
mod tests {
    use super::*;

    const QUOTA: Quota =
        Quota { requests_per_s: 10, requests_burst: 50, bytes_per_hour: 20_000_000 };

    #[test]
    fn a_burst_then_ten_a_second() {
        let mut used = Used::new(QUOTA);
        let asked = |used: &mut Used<u8>, now| {
            let may = used.may(now, &1);
            used.count(now, &1, 100);
            may
        };
        for _ in 0..50 {
            assert_eq!(asked(&mut used, 0), Ok(()));
        }
        assert_eq!(used.may(0, &1), Err(1));
        assert_eq!(used.may(0, &2), Ok(()), "another sender");
        for second in 1..=3 {
            for _ in 0..10 {
                assert_eq!(asked(&mut used, second * 1_000), Ok(()));
            }
            assert_eq!(used.may(second * 1_000, &1), Err(1));
        }
        assert_eq!(used.may(-5_000, &1), Err(1), "a clock that went back");
    }

    #[test]
    fn bytes_leak_over_the_hour_and_no_size_is_refused_for_ever() {
        let mut used = Used::new(QUOTA);
        used.count(0, &1, 30_000_000);
        let wait = used.may(0, &1).unwrap_err();
        assert!((1_800..1_805).contains(&wait), "{wait}");
        assert_eq!(used.may(1_801_000, &1), Ok(()));
    }

    #[test]
    fn zero_is_no_limit_and_strangers_fill_no_memory() {
        let mut free: Used<u32> = Used::new(Quota::default());
        for _ in 0..1_000 {
            assert_eq!(free.may(0, &1), Ok(()));
            free.count(0, &1, usize::MAX);
        }
        let mut used = Used::new(QUOTA);
        for sender in 0..250_000u32 {
            used.count(0, &sender, 1);
        }
        assert!(used.senders.len() <= SENDERS_MAX);
    }
}
