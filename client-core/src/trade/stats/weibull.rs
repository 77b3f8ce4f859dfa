//! Whether failures come at random or by wear: the Weibull fit with units still fine.

use super::special::{chi_square_1_above, ln_gamma};
use super::survival::Lifetime;
use super::{StatsError, positive, real};

/// The maximum-likelihood fit. A shape near 1 is random failure, above 1 wear, below 1 early failure.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Weibull {
    /// Shape, without unit.
    pub shape: f64,
    /// Scale in the unit of the times: 63 % have failed by then.
    pub scale: f64,
    /// Logarithm of the likelihood at the fit.
    pub log_likelihood: f64,
    /// Mean time if failures came at random (shape 1), in the unit of the times.
    pub random_scale: f64,
    /// Logarithm of the likelihood of that simpler fit.
    pub random_log_likelihood: f64,
}

/// Shapes searched: beyond them a handful of records cannot tell anything apart.
const SHAPE_MIN: f64 = 0.02;
const SHAPE_MAX: f64 = 60.0;

impl Weibull {
    /// Fits the times of at least two events at different times.
    pub fn fit(lifetimes: &[Lifetime]) -> Result<Self, StatsError> {
        for life in lifetimes {
            positive("time", life.time)?;
        }
        let ended: Vec<f64> = lifetimes.iter().filter(|l| l.ended).map(|l| l.time).collect();
        if ended.len() < 2 {
            return Err(StatsError::TooFew { what: "failures", have: ended.len(), need: 2 });
        }
        // Times are scaled by the longest so that no power overflows.
        let longest = lifetimes.iter().fold(0.0_f64, |most, l| most.max(l.time));
        let logs: Vec<f64> = lifetimes.iter().map(|l| (l.time / longest).ln()).collect();
        let events = real(ended.len());
        let mean_log = ended.iter().map(|time| (time / longest).ln()).sum::<f64>() / events;
        // The score of the profile likelihood rises with the shape and crosses zero once.
        let score = |shape: f64| {
            let (mut sum, mut weighted) = (0.0, 0.0);
            for &log in &logs {
                let power = (shape * log).exp();
                sum += power;
                weighted += power * log;
            }
            weighted / sum - 1.0 / shape - mean_log
        };
        if score(SHAPE_MAX) < 0.0 {
            return Err(StatsError::NoSpread { what: "failure times" });
        }
        let shape = root(score);
        let powers: f64 = logs.iter().map(|log| (shape * log).exp()).sum();
        let scale = longest * (powers / events).powf(1.0 / shape);
        let sum_log = ended.iter().map(|time| time.ln()).sum::<f64>();
        let total: f64 = lifetimes.iter().map(|l| l.time).sum();
        let random_scale = total / events;
        Ok(Self {
            shape,
            scale,
            log_likelihood: events * (shape.ln() - shape * scale.ln()) + (shape - 1.0) * sum_log
                - lifetimes.iter().map(|l| (l.time / scale).powf(shape)).sum::<f64>(),
            random_scale,
            random_log_likelihood: -events * random_scale.ln() - total / random_scale,
        })
    }

    /// Mean time to failure.
    pub fn mean(&self) -> f64 {
        self.scale * ln_gamma(1.0 + 1.0 / self.shape).exp()
    }

    /// Time by which half have failed.
    pub fn median(&self) -> f64 {
        self.scale * std::f64::consts::LN_2.powf(1.0 / self.shape)
    }

    /// Twice the gain in log likelihood over random failure.
    pub fn ratio_statistic(&self) -> f64 {
        2.0 * (self.log_likelihood - self.random_log_likelihood)
    }

    /// Chance of so great a gain if failures did come at random (likelihood-ratio test, one degree).
    pub fn chance_if_random(&self) -> f64 {
        chi_square_1_above(self.ratio_statistic())
    }
}

fn root(score: impl Fn(f64) -> f64) -> f64 {
    let (mut low, mut high) = (SHAPE_MIN, SHAPE_MAX);
    for _ in 0..80 {
        let middle = (low * high).sqrt();
        if score(middle) < 0.0 {
            low = middle;
        } else {
            high = middle;
        }
    }
    (low * high).sqrt()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn too_few_or_equal_failures_are_refused() {
        let life = |time, ended| Lifetime { time, ended };
        assert!(Weibull::fit(&[life(3.0, true)]).is_err());
        assert!(Weibull::fit(&[life(3.0, true), life(9.0, false)]).is_err());
        assert!(Weibull::fit(&[life(3.0, true), life(3.0, true)]).is_err());
    }
}
