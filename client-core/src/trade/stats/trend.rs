//! A reading that falls with time: straight line, its robust twin, and when a limit is met.

use super::special::{normal_quantile, student_quantile, student_two_sided};
use super::{Interval, StatsError, finite, real};

/// Readings against time, at least two times apart. Time and readings keep the caller's units.
#[derive(Debug, Clone, PartialEq)]
pub struct Trend {
    times: Vec<f64>,
    values: Vec<f64>,
    slope: f64,
    intercept: f64,
    /// Sum of squares of the times about their mean.
    spread: f64,
    residual: f64,
}

impl Trend {
    /// Least squares through at least three readings. Times come in the order they were taken.
    pub fn new(times: &[f64], values: &[f64]) -> Result<Self, StatsError> {
        if times.len() != values.len() {
            return Err(StatsError::Unpaired {
                left: "times",
                left_len: times.len(),
                right: "readings",
                right_len: values.len(),
            });
        }
        if times.len() < 3 {
            return Err(StatsError::TooFew { what: "readings", have: times.len(), need: 3 });
        }
        for (&time, &value) in times.iter().zip(values) {
            finite("time", time)?;
            finite("reading", value)?;
        }
        let n = real(times.len());
        let (mean_t, mean_y) = (times.iter().sum::<f64>() / n, values.iter().sum::<f64>() / n);
        let pairs = || times.iter().zip(values);
        let spread: f64 = times.iter().map(|t| (t - mean_t).powi(2)).sum();
        if spread <= 0.0 {
            return Err(StatsError::NoSpread { what: "times" });
        }
        let slope = pairs().map(|(t, y)| (t - mean_t) * (y - mean_y)).sum::<f64>() / spread;
        let intercept = mean_y - slope * mean_t;
        let residual = pairs().map(|(t, y)| (y - mean_y - slope * (t - mean_t)).powi(2)).sum();
        Ok(Self {
            times: times.to_vec(),
            values: values.to_vec(),
            slope,
            intercept,
            spread,
            residual,
        })
    }

    /// How many readings.
    pub fn readings(&self) -> usize {
        self.times.len()
    }

    /// Change of the reading in one unit of time.
    pub fn slope(&self) -> f64 {
        self.slope
    }

    /// The line's value at time 0.
    pub fn intercept(&self) -> f64 {
        self.intercept
    }

    /// Standard error of the slope.
    pub fn slope_error(&self) -> f64 {
        (self.residual / self.freedom() / self.spread).sqrt()
    }

    /// 95 % interval of the slope (Student's t).
    pub fn slope_interval(&self) -> Interval {
        let half = student_quantile(self.freedom(), 0.025) * self.slope_error();
        Interval { low: self.slope - half, high: self.slope + half }
    }

    /// Chance of so steep a line if there were no trend.
    pub fn chance_if_level(&self) -> f64 {
        student_two_sided(self.slope / self.slope_error(), self.freedom())
    }

    /// Time from the last reading until the line meets `limit`; negative when it has passed it or moves
    /// away, `None` when the line is level.
    pub fn time_to(&self, limit: f64) -> Option<f64> {
        let last = self.times[self.times.len() - 1];
        let time = (limit - self.intercept) / self.slope - last;
        time.is_finite().then_some(time)
    }

    /// Median of the slopes between all pairs: one wild reading does not turn it. Source: Sen 1968.
    pub fn robust_slope(&self) -> f64 {
        let slopes = self.pair_slopes();
        let middle = slopes.len() / 2;
        if slopes.len() % 2 == 1 {
            slopes[middle]
        } else {
            f64::midpoint(slopes[middle - 1], slopes[middle])
        }
    }

    /// 95 % interval of the robust slope from the ranks of the pair slopes. Source: Sen 1968.
    pub fn robust_slope_interval(&self) -> Interval {
        let slopes = self.pair_slopes();
        let n = self.times.len();
        let tied = |groups: Vec<usize>| -> f64 {
            groups.iter().map(|&k| real(k * (k - 1) * (2 * k + 5))).sum()
        };
        let all = real(n * (n - 1) * (2 * n + 5));
        let variance = (all - tied(ties(&self.times)) - tied(ties(&self.values))) / 18.0;
        let reach = normal_quantile(0.975) * variance.max(0.0).sqrt();
        let count = real(slopes.len());
        // Half ranks go to the even neighbour, as the reference libraries do.
        let rank = |x: f64| x.round_ties_even();
        let high = rank(f64::midpoint(count, reach)).min(count - 1.0);
        let low = (rank(f64::midpoint(count, -reach)) - 1.0).max(0.0);
        let at = |rank: f64| slopes[whole(rank).min(slopes.len() - 1)];
        Interval { low: at(low), high: at(high) }
    }

    /// Kendall's tau-b between time and reading: -1 falls at every step, 1 rises at every step. `None` when
    /// every reading is the same.
    pub fn kendall_tau(&self) -> Option<f64> {
        let order = self.order();
        let (pairs, tied_t, tied_y) = (order.pairs(), order.tied_times, order.tied_values);
        let scale = ((pairs - tied_t) * (pairs - tied_y)).sqrt();
        (scale > 0.0).then(|| order.balance() / scale)
    }

    /// Two-sided chance of so strong an order if there were none: exact up to 33 readings without ties,
    /// else by the normal approximation with ties counted. Source: Kendall, Rank Correlation Methods.
    pub fn kendall_chance(&self) -> Option<f64> {
        self.kendall_tau()?;
        let order = self.order();
        let untied = order.tied_times <= 0.0 && order.tied_values <= 0.0;
        let fewest = order.rising.min(order.falling);
        if untied && (self.times.len() <= 33 || fewest <= 1.0) {
            return Some(exact_order_chance(self.times.len(), whole(fewest)));
        }
        let readings = real(self.times.len());
        let sum = |groups: &[usize], term: &dyn Fn(f64) -> f64| -> f64 {
            groups.iter().map(|&size| term(real(size))).sum()
        };
        let (tied_times, tied_values) = (ties(&self.times), ties(&self.values));
        let third = |size: f64| size * (size - 1.0) * (size - 2.0);
        let fifth = |size: f64| size * (size - 1.0) * (2.0 * size + 5.0);
        let pairs = readings * (readings - 1.0);
        let variance =
            (pairs * (2.0 * readings + 5.0) - sum(&tied_times, &fifth) - sum(&tied_values, &fifth))
                / 18.0
                + 2.0 * order.tied_times * order.tied_values / pairs
                + sum(&tied_times, &third) * sum(&tied_values, &third)
                    / (9.0 * pairs * (readings - 2.0));
        let z = order.balance().abs() / variance.sqrt();
        Some(2.0 * super::special::normal_cdf(-z))
    }

    fn freedom(&self) -> f64 {
        real(self.times.len() - 2)
    }

    /// Slopes between all pairs of different times, ascending; at least one, because the times differ.
    fn pair_slopes(&self) -> Vec<f64> {
        let mut slopes = Vec::new();
        for later in 0..self.times.len() {
            for earlier in 0..later {
                let step = self.times[later] - self.times[earlier];
                if step != 0.0 {
                    slopes.push((self.values[later] - self.values[earlier]) / step);
                }
            }
        }
        slopes.sort_by(f64::total_cmp);
        slopes
    }

    fn order(&self) -> Order {
        let mut order = Order::default();
        for later in 0..self.times.len() {
            for earlier in 0..later {
                let t = (self.times[later] - self.times[earlier]).partial_cmp(&0.0);
                let y = (self.values[later] - self.values[earlier]).partial_cmp(&0.0);
                let (t_tied, y_tied) =
                    (t == Some(std::cmp::Ordering::Equal), y == Some(std::cmp::Ordering::Equal));
                order.tied_times += f64::from(u8::from(t_tied));
                order.tied_values += f64::from(u8::from(y_tied));
                order.tied_both += f64::from(u8::from(t_tied && y_tied));
                if !t_tied && !y_tied {
                    if t == y {
                        order.rising += 1.0;
                    } else {
                        order.falling += 1.0;
                    }
                }
            }
        }
        order
    }
}

/// Pairs of readings by how they stand to each other.
#[derive(Debug, Default, Clone, Copy)]
struct Order {
    rising: f64,
    falling: f64,
    tied_times: f64,
    tied_values: f64,
    tied_both: f64,
}

impl Order {
    fn pairs(&self) -> f64 {
        self.rising + self.falling + self.tied_times + self.tied_values - self.tied_both
    }

    fn balance(&self) -> f64 {
        self.rising - self.falling
    }
}

/// Sizes of the groups of equal values that hold two or more.
fn ties(values: &[f64]) -> Vec<usize> {
    let mut sorted = values.to_vec();
    sorted.sort_by(f64::total_cmp);
    let groups = sorted.chunk_by(|a, b| a.total_cmp(b).is_eq());
    groups.map(<[f64]>::len).filter(|&size| size > 1).collect()
}

/// Twice the chance that a random order of `n` readings has at most `inversions` falling pairs.
fn exact_order_chance(n: usize, inversions: usize) -> f64 {
    let mut chances = vec![0.0; inversions + 1];
    chances[0] = 1.0;
    for size in 2..=n {
        let mut next = vec![0.0; inversions + 1];
        let mut window = 0.0;
        for (k, slot) in next.iter_mut().enumerate() {
            window += chances[k];
            if k >= size {
                window -= chances[k - size];
            }
            *slot = window / real(size);
        }
        chances = next;
    }
    (2.0 * chances.iter().sum::<f64>()).min(1.0)
}

/// A count held in a float, back as a count.
#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "only ever called with whole numbers from 0 up"
)]
fn whole(value: f64) -> usize {
    value.max(0.0) as usize
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_level_line_never_meets_its_limit() {
        let level = Trend::new(&[0.0, 10.0, 20.0], &[4.0, 4.0, 4.0]).unwrap();
        assert_eq!(level.time_to(1.0), None);
        assert_eq!(level.kendall_tau(), None);
    }

    #[test]
    fn one_wild_reading_does_not_turn_the_robust_slope() {
        let times = [0.0, 100.0, 200.0, 300.0, 400.0];
        let trend = Trend::new(&times, &[4.0, 3.9, 3.8, 9.0, 3.6]).unwrap();
        assert!(trend.slope() > 0.0);
        assert!((trend.robust_slope() + 0.001).abs() < 1e-12);
    }

    #[test]
    fn readings_that_cannot_carry_a_line_are_refused() {
        assert!(Trend::new(&[0.0, 1.0], &[1.0, 2.0]).is_err());
        assert!(Trend::new(&[5.0, 5.0, 5.0], &[1.0, 2.0, 3.0]).is_err());
        assert!(Trend::new(&[0.0, 1.0, 2.0], &[1.0, 2.0]).is_err());
        assert!(Trend::new(&[0.0, 1.0, f64::NAN], &[1.0, 2.0, 3.0]).is_err());
    }
}
