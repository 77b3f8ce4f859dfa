//! Shares of several causes at once: Dirichlet posterior over counts.

use super::special::{beta_quantile, gamma_cdf, gamma_quantile};
use super::{Interval, Level, StatsError, positive};

/// Weights of several categories: counts seen, each with what the prior adds. All above 0.
///
/// With few records the prior decides much of the answer, so the caller shows both.
#[derive(Debug, Clone, PartialEq)]
pub struct Shares {
    weights: Vec<f64>,
    total: f64,
}

impl Shares {
    /// Counts with the same prior weight added to each: 0.5 (Jeffreys), 1 (uniform) or 1/categories.
    ///
    /// ```
    /// use client_core::trade::stats::shares::Shares;
    /// let shares = Shares::with_equal_prior(&[3.0, 1.0, 0.0], 0.5)?;
    /// assert!((shares.mean(0) - 3.5 / 5.5).abs() < 1e-12);
    /// # Ok::<(), client_core::trade::stats::StatsError>(())
    /// ```
    pub fn with_equal_prior(counts: &[f64], prior: f64) -> Result<Self, StatsError> {
        Self::with_prior(counts, &vec![prior; counts.len()])
    }

    /// Counts with a prior weight for each category, in the same order.
    pub fn with_prior(counts: &[f64], prior: &[f64]) -> Result<Self, StatsError> {
        if counts.len() != prior.len() {
            return Err(StatsError::Unpaired {
                left: "counts",
                left_len: counts.len(),
                right: "prior weights",
                right_len: prior.len(),
            });
        }
        if counts.len() < 2 {
            return Err(StatsError::TooFew { what: "categories", have: counts.len(), need: 2 });
        }
        for &count in counts {
            if !(count >= 0.0 && count.is_finite()) {
                return Err(StatsError::OutOfRange {
                    what: "count",
                    value: count,
                    rule: "0 or more",
                });
            }
        }
        let weights = counts
            .iter()
            .zip(prior)
            .map(|(count, prior)| Ok(count + positive("prior weight", *prior)?))
            .collect::<Result<Vec<f64>, StatsError>>()?;
        let total = weights.iter().sum();
        Ok(Self { weights, total })
    }

    /// How many categories there are.
    pub fn categories(&self) -> usize {
        self.weights.len()
    }

    /// Expected share of one category. Panics on an index past [`Self::categories`].
    pub fn mean(&self, category: usize) -> f64 {
        self.weights[category] / self.total
    }

    /// Equal-tailed interval of one category's share (its marginal is a beta distribution).
    pub fn interval(&self, category: usize, level: Level) -> Interval {
        let a = self.weights[category];
        let b = self.total - a;
        Interval {
            low: beta_quantile(a, b, level.tail()),
            high: beta_quantile(a, b, 1.0 - level.tail()),
        }
    }

    /// Chance that one category has the largest share of all.
    ///
    /// A Dirichlet vector is a set of independent gamma variables scaled to sum to 1, so this is one integral
    /// over the category's own quantile. Double-exponential quadrature, better than 1e-6.
    pub fn chance_largest(&self, category: usize) -> f64 {
        let own = self.weights[category];
        integrate_unit(|share| {
            let x = gamma_quantile(own, share);
            let others = self.weights.iter().enumerate().filter(|(other, _)| *other != category);
            others.map(|(_, weight)| gamma_cdf(*weight, x)).product()
        })
    }
}

/// Integral over 0 to 1 by the tanh-sinh rule, which bears steep ends.
/// Source: Takahasi and Mori 1974.
fn integrate_unit(f: impl Fn(f64) -> f64) -> f64 {
    const STEP: f64 = 1.0 / 16.0;
    let mut sum = 0.0;
    for node in -52..=52 {
        let t = f64::from(node) * STEP;
        let bend = std::f64::consts::FRAC_PI_2 * t.sinh();
        let at = 1.0 / (1.0 + (-2.0 * bend).exp());
        let weight = std::f64::consts::FRAC_PI_4 * t.cosh() / bend.cosh().powi(2);
        if at > 0.0 && at < 1.0 {
            sum += weight * f(at);
        }
    }
    sum * STEP
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn chances_of_being_largest_sum_to_one() {
        for counts in
            [vec![0.0; 4], vec![3.0, 1.0, 0.0], vec![60.0, 44.0, 31.0, 2.0], vec![100.0, 0.0]]
        {
            for prior in [0.1, 0.5, 1.0] {
                let shares = Shares::with_equal_prior(&counts, prior).unwrap();
                let sum: f64 = (0..counts.len()).map(|i| shares.chance_largest(i)).sum();
                assert!((sum - 1.0).abs() < 2e-6, "{counts:?} {prior}: {sum}");
            }
        }
    }

    #[test]
    fn one_category_or_a_negative_count_is_refused() {
        assert!(Shares::with_equal_prior(&[3.0], 0.5).is_err());
        assert!(Shares::with_equal_prior(&[3.0, -1.0], 0.5).is_err());
        assert!(Shares::with_equal_prior(&[3.0, 1.0], 0.0).is_err());
        assert!(Shares::with_prior(&[3.0, 1.0], &[1.0]).is_err());
    }
}
