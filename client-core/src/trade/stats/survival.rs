//! Time to an event with units still fine counted as "at least": the product-limit estimate.

use super::special::normal_quantile;
use super::{Interval, StatsError, positive, real};

/// One unit's time to the event, or the time it has lasted so far. The unit of time is the caller's.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Lifetime {
    /// How long, above 0.
    pub time: f64,
    /// Whether the event came at that time; `false` is "at least so long".
    pub ended: bool,
}

/// The curve at one event time.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Step {
    /// When the events came.
    pub time: f64,
    /// Units still being watched just before.
    pub at_risk: usize,
    /// Events at this time.
    pub events: usize,
    /// Share expected to last beyond this time.
    pub survival: f64,
    /// Greenwood's sum up to here; infinite once nobody is left.
    variance_sum: f64,
}

impl Step {
    /// Standard error of the survival by Greenwood's formula; `None` once nobody is left.
    pub fn standard_error(&self) -> Option<f64> {
        (self.survival > 0.0).then(|| self.survival * self.variance_sum.sqrt())
    }

    /// The 95 % interval on the log(-log) scale, which stays between 0 and 1. `None` once nobody is left.
    pub fn interval(&self) -> Option<Interval> {
        if self.survival <= 0.0 || self.survival >= 1.0 {
            return None;
        }
        let width = normal_quantile(0.975) * self.variance_sum.sqrt() / -self.survival.ln();
        Some(Interval {
            low: self.survival.powf(width.exp()),
            high: self.survival.powf((-width).exp()),
        })
    }
}

/// The product-limit curve. Source: Kaplan and Meier 1958.
#[derive(Debug, Clone, PartialEq)]
pub struct Curve {
    lifetimes: Vec<Lifetime>,
    steps: Vec<Step>,
}

impl Curve {
    /// The curve of these units; a unit that ends at a time is still at risk at that time.
    ///
    /// ```
    /// use client_core::trade::stats::survival::{Curve, Lifetime};
    /// let seen = [(10.0, true), (32.0, true), (50.0, false), (56.0, true)];
    /// let curve = Curve::new(seen.map(|(time, ended)| Lifetime { time, ended }).to_vec())?;
    /// assert!((curve.survival(40.0) - 0.5).abs() < 1e-12);
    /// # Ok::<(), client_core::trade::stats::StatsError>(())
    /// ```
    pub fn new(mut lifetimes: Vec<Lifetime>) -> Result<Self, StatsError> {
        if lifetimes.is_empty() {
            return Err(StatsError::TooFew { what: "units", have: 0, need: 1 });
        }
        for life in &lifetimes {
            positive("time", life.time)?;
        }
        lifetimes.sort_by(|a, b| a.time.total_cmp(&b.time));
        let mut steps = Vec::new();
        let (mut survival, mut variance_sum) = (1.0, 0.0);
        for group in lifetimes.chunk_by(|a, b| a.time.total_cmp(&b.time).is_eq()) {
            let time = group[0].time;
            let events = group.iter().filter(|life| life.ended).count();
            if events == 0 {
                continue;
            }
            let at_risk = at_risk(&lifetimes, time);
            let (n, d) = (real(at_risk), real(events));
            survival *= 1.0 - d / n;
            // The last unit's event leaves nobody, and the sum has no end.
            variance_sum += if at_risk > events { d / (n * (n - d)) } else { f64::INFINITY };
            steps.push(Step { time, at_risk, events, survival, variance_sum });
        }
        Ok(Self { lifetimes, steps })
    }

    /// The event times in order.
    pub fn steps(&self) -> &[Step] {
        &self.steps
    }

    /// How many units are behind the curve.
    pub fn units(&self) -> usize {
        self.lifetimes.len()
    }

    /// How many of them had the event.
    pub fn events(&self) -> usize {
        self.lifetimes.iter().filter(|life| life.ended).count()
    }

    /// The last step at or before `time`; `None` before the first event.
    pub fn at(&self, time: f64) -> Option<&Step> {
        self.steps.iter().take_while(|step| step.time <= time).last()
    }

    /// Share expected to last beyond `time`.
    pub fn survival(&self, time: f64) -> f64 {
        self.at(time).map_or(1.0, |step| step.survival)
    }

    /// Units still being watched just before `time`.
    pub fn at_risk(&self, time: f64) -> usize {
        at_risk(&self.lifetimes, time)
    }

    /// The first time by which half have had the event; `None` when more than half have not yet.
    pub fn median(&self) -> Option<f64> {
        self.steps.iter().find(|step| step.survival <= 0.5).map(|step| step.time)
    }

    /// Mean time without the event up to the last event seen; 0 when there was none.
    pub fn mean_to_last_event(&self) -> f64 {
        let (mut mean, mut before, mut survival) = (0.0, 0.0, 1.0);
        for step in &self.steps {
            mean += survival * (step.time - before);
            (before, survival) = (step.time, step.survival);
        }
        mean
    }
}

fn at_risk(sorted: &[Lifetime], time: f64) -> usize {
    sorted.len() - sorted.partition_point(|life| life.time < time)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn nobody_left_has_no_standard_error() {
        let curve = Curve::new(vec![Lifetime { time: 3.0, ended: true }]).unwrap();
        assert!(curve.survival(3.0).abs() < 1e-15);
        assert_eq!(curve.steps()[0].standard_error(), None);
        assert_eq!(curve.steps()[0].interval(), None);
    }

    #[test]
    fn units_still_fine_give_a_curve_without_steps() {
        let curve = Curve::new(vec![Lifetime { time: 3.0, ended: false }]).unwrap();
        assert_eq!((curve.steps().len(), curve.events(), curve.units()), (0, 0, 1));
        assert_eq!(curve.median(), None);
        assert!((curve.survival(100.0) - 1.0).abs() < 1e-15);
    }

    #[test]
    fn impossible_times_are_refused() {
        assert!(Curve::new(Vec::new()).is_err());
        for time in [0.0, -1.0, f64::NAN, f64::INFINITY] {
            assert!(Curve::new(vec![Lifetime { time, ended: true }]).is_err(), "{time}");
        }
    }
}
