//! A count out of a total, and how far the share behind it may lie.

use super::special::beta_quantile;
use super::{Interval, Level, StatsError, real};

/// So many out of so many: "4 of 14 found outside limits".
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Count {
    hits: usize,
    total: usize,
}

impl Count {
    /// `hits` out of `total`; the total is at least 1 and the hits do not exceed it.
    pub fn new(hits: usize, total: usize) -> Result<Self, StatsError> {
        if total == 0 {
            return Err(StatsError::TooFew { what: "observations", have: 0, need: 1 });
        }
        if hits > total {
            return Err(StatsError::OutOfRange {
                what: "count",
                value: real(hits),
                rule: "no more than the total it is counted from",
            });
        }
        Ok(Self { hits, total })
    }

    /// How many were found.
    pub fn hits(self) -> usize {
        self.hits
    }

    /// Out of how many.
    pub fn total(self) -> usize {
        self.total
    }

    /// The share found, 0 to 1.
    pub fn share(self) -> f64 {
        real(self.hits) / real(self.total)
    }

    /// The score interval, good from one observation on. Source: Wilson 1927.
    ///
    /// ```
    /// use client_core::trade::stats::{Level, proportion::Count};
    /// let outside = Count::new(4, 14)?.wilson(Level::P95);
    /// assert!((outside.low - 0.1172).abs() < 5e-5 && (outside.high - 0.5465).abs() < 5e-5);
    /// # Ok::<(), client_core::trade::stats::StatsError>(())
    /// ```
    pub fn wilson(self, level: Level) -> Interval {
        let (n, p, z) = (real(self.total), self.share(), level.deviate());
        let scale = 2.0 * (n + z * z);
        let centre = (2.0 * n * p + z * z) / scale;
        let half = z * (4.0 * n * p * (1.0 - p) + z * z).sqrt() / scale;
        self.closed_at_ends(centre - half, centre + half)
    }

    /// The score interval with continuity correction: wider, for when "at least the stated level" matters.
    /// Source: Newcombe 1998.
    pub fn wilson_corrected(self, level: Level) -> Interval {
        let (n, p, z) = (real(self.total), self.share(), level.deviate());
        let scale = 2.0 * (n + z * z);
        let centre = (2.0 * n * p + z * z) / scale;
        let low = z * (z * z - 2.0 - 1.0 / n + 4.0 * p * (n * (1.0 - p) + 1.0)).max(0.0).sqrt();
        let high = z * (z * z + 2.0 - 1.0 / n + 4.0 * p * (n * (1.0 - p) - 1.0)).max(0.0).sqrt();
        self.closed_at_ends(centre - (1.0 + low) / scale, centre + (1.0 + high) / scale)
    }

    /// The equal-tailed interval of the posterior under Jeffreys' prior, with the end closed where nothing
    /// or everything was found. Source: Brown, Cai and DasGupta 2001.
    pub fn jeffreys(self, level: Level) -> Interval {
        let open = self.jeffreys_open(level);
        self.closed_at_ends(open.low, open.high)
    }

    /// The same interval with both ends left as the posterior gives them.
    pub fn jeffreys_open(self, level: Level) -> Interval {
        let (a, b) = (real(self.hits) + 0.5, real(self.total - self.hits) + 0.5);
        Interval {
            low: beta_quantile(a, b, level.tail()),
            high: beta_quantile(a, b, 1.0 - level.tail()),
        }
    }

    /// The exact binomial interval: never below the stated level. Source: Clopper and Pearson 1934.
    pub fn exact(self, level: Level) -> Interval {
        let (k, rest) = (real(self.hits), real(self.total - self.hits));
        let low = if self.hits == 0 { 0.0 } else { beta_quantile(k, rest + 1.0, level.tail()) };
        let high = if self.hits == self.total {
            1.0
        } else {
            beta_quantile(k + 1.0, rest, 1.0 - level.tail())
        };
        Interval { low, high }
    }

    /// With nothing found, the share that would still be missed one time in twenty: about 3/n. One-sided.
    /// `None` when something was found.
    pub fn rule_of_three(self) -> Option<f64> {
        (self.hits == 0).then(|| 1.0 - 0.05_f64.powf(1.0 / real(self.total)))
    }

    fn closed_at_ends(self, low: f64, high: f64) -> Interval {
        Interval {
            low: if self.hits == 0 { 0.0 } else { low },
            high: if self.hits == self.total { 1.0 } else { high },
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_count_above_its_total_is_refused() {
        assert!(Count::new(3, 2).is_err());
        assert!(Count::new(0, 0).is_err());
    }

    /// Common practice: none in 14 gives about 3/14; the exact one-sided bound is 19 %.
    #[test]
    fn none_in_fourteen_may_still_be_one_in_five() {
        let bound = Count::new(0, 14).unwrap().rule_of_three().unwrap();
        assert!((bound - 0.192_6).abs() < 5e-5, "{bound}");
        assert_eq!(Count::new(1, 14).unwrap().rule_of_three(), None);
    }

    #[test]
    fn intervals_hold_the_share_and_stay_inside_the_unit() {
        for total in [1, 2, 7, 40, 500] {
            for hits in 0..=total {
                let count = Count::new(hits, total).unwrap();
                for interval in [
                    count.wilson(Level::P95),
                    count.wilson_corrected(Level::P95),
                    count.jeffreys(Level::P95),
                    count.exact(Level::P95),
                ] {
                    assert!(interval.contains(count.share()), "{hits} of {total}: {interval:?}");
                    assert!(interval.low >= 0.0 && interval.high <= 1.0, "{hits} of {total}");
                }
            }
        }
    }
}
