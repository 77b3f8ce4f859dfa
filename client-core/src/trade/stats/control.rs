//! Whether a unit has moved from its own baseline: individuals chart, EWMA and CUSUM.
//!
//! Source: NIST/SEMATECH e-Handbook of Statistical Methods 6.3.2; Montgomery, Introduction to Statistical
//! Quality Control (constants from memory).

use super::{StatsError, finite, real};

/// Mean moving range of two neighbours over the standard deviation of a normal process.
const D2: f64 = 1.128;
/// Upper limit of the moving range over its mean.
const D4: f64 = 3.267;
/// Weight of the newest value in the moving average.
const EWMA_WEIGHT: f64 = 0.2;
/// Width of the moving average's limits in standard deviations.
const EWMA_WIDTH: f64 = 2.7;
/// Slack of the cumulative sum, in standard deviations.
const CUSUM_SLACK: f64 = 0.5;
/// Cumulative sum that signals, in standard deviations.
const CUSUM_SIGNAL: f64 = 5.0;
/// Consecutive values on one side of the mean that signal.
const RUN: usize = 8;

/// Limits set by a baseline, in the unit of the values.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Limits {
    /// Mean of the baseline.
    pub mean: f64,
    /// Standard deviation from the mean moving range.
    pub sigma: f64,
    /// Mean moving range of the baseline.
    pub mean_range: f64,
}

impl Limits {
    /// Limits from a baseline of at least two values in the order they were taken.
    pub fn from_baseline(baseline: &[f64]) -> Result<Self, StatsError> {
        if baseline.len() < 2 {
            return Err(StatsError::TooFew {
                what: "baseline values",
                have: baseline.len(),
                need: 2,
            });
        }
        for &value in baseline {
            finite("baseline value", value)?;
        }
        let ranges: f64 = baseline.windows(2).map(|pair| (pair[1] - pair[0]).abs()).sum();
        let mean_range = ranges / real(baseline.len() - 1);
        if mean_range <= 0.0 {
            return Err(StatsError::NoSpread { what: "baseline values" });
        }
        let mean = baseline.iter().sum::<f64>() / real(baseline.len());
        Ok(Self { mean, sigma: mean_range / D2, mean_range })
    }

    /// Upper limit of a single value.
    pub fn high(&self) -> f64 {
        self.mean + 3.0 * self.sigma
    }

    /// Lower limit of a single value.
    pub fn low(&self) -> f64 {
        self.mean - 3.0 * self.sigma
    }

    /// Upper limit of the step between two neighbours.
    pub fn range_high(&self) -> f64 {
        D4 * self.mean_range
    }

    /// Walks the values in order, baseline included.
    pub fn walk(&self, values: &[f64]) -> Result<Vec<Point>, StatsError> {
        let mut points: Vec<Point> = Vec::with_capacity(values.len());
        let mut decay = 1.0;
        for (index, &value) in values.iter().enumerate() {
            finite("value", value)?;
            decay *= (1.0 - EWMA_WEIGHT) * (1.0 - EWMA_WEIGHT);
            let before = points.last();
            let ewma = EWMA_WEIGHT * value
                + (1.0 - EWMA_WEIGHT) * before.map_or(self.mean, |point| point.ewma);
            let half = EWMA_WIDTH
                * self.sigma
                * (EWMA_WEIGHT / (2.0 - EWMA_WEIGHT) * (1.0 - decay)).sqrt();
            let off = (value - self.mean) / self.sigma;
            let cusum_high = before.map_or(0.0, |point| point.cusum_high) + off - CUSUM_SLACK;
            let cusum_low = before.map_or(0.0, |point| point.cusum_low) - off - CUSUM_SLACK;
            points.push(Point {
                value,
                moving_range: (index > 0).then(|| (value - values[index - 1]).abs()),
                beyond: (value - self.mean).abs() > 3.0 * self.sigma,
                run: run_length(before, values, index, self.mean),
                ewma,
                ewma_half: half,
                ewma_signal: (ewma - self.mean).abs() > half,
                cusum_high: cusum_high.max(0.0),
                cusum_low: cusum_low.max(0.0),
            });
        }
        Ok(points)
    }
}

/// One value on the chart.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Point {
    /// The value.
    pub value: f64,
    /// Distance from the value before; `None` for the first.
    pub moving_range: Option<f64>,
    /// Farther than three standard deviations from the mean.
    pub beyond: bool,
    /// How many values in a row, this one last, lie on the same side of the mean; 0 on the mean itself.
    pub run: usize,
    /// Moving average that forgets by 0.8 at each value.
    pub ewma: f64,
    /// Half width of the moving average's limits about the mean.
    pub ewma_half: f64,
    /// The moving average has left its limits.
    pub ewma_signal: bool,
    /// Cumulative sum of excess above the mean, in standard deviations.
    pub cusum_high: f64,
    /// Cumulative sum of shortfall below the mean, in standard deviations.
    pub cusum_low: f64,
}

impl Point {
    /// The eighth or later value in a row on one side of the mean.
    pub fn run_signal(&self) -> bool {
        self.run >= RUN
    }

    /// A cumulative sum has passed five standard deviations.
    pub fn cusum_signal(&self) -> bool {
        self.cusum_high > CUSUM_SIGNAL || self.cusum_low > CUSUM_SIGNAL
    }

    /// Any of the four signals.
    pub fn moved(&self) -> bool {
        self.beyond || self.run_signal() || self.ewma_signal || self.cusum_signal()
    }
}

fn run_length(before: Option<&Point>, values: &[f64], index: usize, mean: f64) -> usize {
    let side = |value: f64| value.partial_cmp(&mean).filter(|order| order.is_ne());
    match side(values[index]) {
        None => 0,
        Some(order) => {
            let same = index > 0 && side(values[index - 1]) == Some(order);
            1 + if same { before.map_or(0, |point| point.run) } else { 0 }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_slow_fall_signals_before_any_single_value_is_out() {
        let baseline = [4.1, 4.0, 4.2, 4.1, 4.0, 4.2, 4.1, 4.0];
        let limits = Limits::from_baseline(&baseline).unwrap();
        let mut values = baseline.to_vec();
        values.extend([3.95, 3.9, 3.9, 3.85, 3.85]);
        let points = limits.walk(&values).unwrap();
        let first_move = points.iter().position(Point::moved).unwrap();
        assert!(first_move >= baseline.len());
        assert!(!points[first_move].beyond);
    }

    #[test]
    fn a_baseline_that_never_varies_is_refused() {
        assert!(Limits::from_baseline(&[4.0]).is_err());
        assert!(Limits::from_baseline(&[4.0, 4.0, 4.0]).is_err());
        assert!(Limits::from_baseline(&[4.0, f64::NAN]).is_err());
    }
}
