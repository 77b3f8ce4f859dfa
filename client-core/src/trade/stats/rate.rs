//! Events over exposure: lockouts in so many unit-years.

use super::special::gamma_quantile;
use super::{Interval, Level, StatsError, positive, real};

/// Events seen over an exposure. The unit of exposure is the caller's (unit-years, 1,000 firing hours).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Rate {
    events: usize,
    exposure: f64,
}

impl Rate {
    /// `events` in `exposure`, which is above 0.
    pub fn new(events: usize, exposure: f64) -> Result<Self, StatsError> {
        Ok(Self { events, exposure: positive("exposure", exposure)? })
    }

    /// How many events.
    pub fn events(self) -> usize {
        self.events
    }

    /// Over how much.
    pub fn exposure(self) -> f64 {
        self.exposure
    }

    /// Events in one unit of exposure.
    pub fn each(self) -> f64 {
        real(self.events) / self.exposure
    }

    /// The exact interval of the rate. Source: Garwood 1936.
    ///
    /// ```
    /// use client_core::trade::stats::{Level, rate::Rate};
    /// // Three lockouts in one season: between about 1 and 9 are expected in another such season.
    /// let another = Rate::new(3, 1.0)?.exact(Level::P95);
    /// assert!((another.low - 0.62).abs() < 0.005 && (another.high - 8.77).abs() < 0.005);
    /// # Ok::<(), client_core::trade::stats::StatsError>(())
    /// ```
    pub fn exact(self, level: Level) -> Interval {
        let k = real(self.events);
        let low = if self.events == 0 { 0.0 } else { gamma_quantile(k, level.tail()) };
        let high = gamma_quantile(k + 1.0, 1.0 - level.tail());
        Interval { low: low / self.exposure, high: high / self.exposure }
    }

    /// The rate updated from a prior.
    pub fn posterior(self, prior: Prior) -> Posterior {
        Posterior { shape: prior.shape + real(self.events), rate: prior.rate + self.exposure }
    }
}

/// What was believed before: as if `shape` events had been seen over `rate` units of exposure.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Prior {
    shape: f64,
    rate: f64,
}

impl Prior {
    /// Jeffreys' prior for a rate: half an event in no exposure.
    pub const JEFFREYS: Self = Self { shape: 0.5, rate: 0.0 };

    /// As if `events` (above 0) had been seen over `exposure` (0 or more).
    pub fn new(events: f64, exposure: f64) -> Result<Self, StatsError> {
        if !(exposure >= 0.0 && exposure.is_finite()) {
            return Err(StatsError::OutOfRange {
                what: "prior exposure",
                value: exposure,
                rule: "0 or more",
            });
        }
        Ok(Self { shape: positive("prior events", events)?, rate: exposure })
    }
}

/// A gamma distribution of the rate after the records have spoken.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Posterior {
    shape: f64,
    rate: f64,
}

impl Posterior {
    /// Expected rate.
    pub fn mean(self) -> f64 {
        self.shape / self.rate
    }

    /// Equal-tailed interval of the rate.
    pub fn interval(self, level: Level) -> Interval {
        Interval {
            low: gamma_quantile(self.shape, level.tail()) / self.rate,
            high: gamma_quantile(self.shape, 1.0 - level.tail()) / self.rate,
        }
    }

    /// Chance of at least one event in another `exposure`, the rate itself being uncertain.
    pub fn chance_of_one(self, exposure: f64) -> f64 {
        -f64::exp_m1(-self.shape * (exposure / self.rate).ln_1p())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Source: exact Poisson limits as tabulated in Garwood 1936, 95 %.
    #[test]
    fn published_limits_for_small_counts() {
        for (events, low, high) in
            [(0, 0.0, 3.689), (1, 0.0253, 5.572), (3, 0.619, 8.767), (6, 2.202, 13.059)]
        {
            let limits = Rate::new(events, 1.0).unwrap().exact(Level::P95);
            assert!(
                (limits.low - low).abs() < 5e-4 && (limits.high - high).abs() < 1e-3,
                "{limits:?}"
            );
        }
    }

    #[test]
    fn no_exposure_is_refused() {
        assert!(Rate::new(0, 0.0).is_err());
        assert!(Rate::new(0, f64::NAN).is_err());
        assert!(Prior::new(0.0, 1.0).is_err());
    }
}
