//! Uncertainty of a result from the accuracy of what was read.
//!
//! First order by JCGM 100:2008 5.1.2; where the curve bends too much for that, Monte Carlo by
//! JCGM 101:2008 with a seeded generator of our own, so that the same inputs give the same figure.

pub mod accuracy;
pub mod random;

pub use accuracy::{Accuracy, Calibration};

use crate::trade::quantity::Amount;
use crate::trade::uncertainty::random::Random;
use crate::trade::unit::Unit;
use crate::trade::worked::{Formula, Spread};

/// Formula of the propagation.
pub const PROPAGATION: Formula = Formula {
    id: "uncertainty.propagation",
    version: 1,
    name: "uncertainty of a result",
    expression: "u^2 = sum (df/dx u(x))^2; U = 2 u",
    source: "JCGM 100:2008 5.1.2 and 6.3; JCGM 101:2008 where the curve bends",
    range: "independent inputs; first order where the bend brings under 10 % of the spread",
    function: "uncertainty::propagate",
    test: "golden_tables_hold",
};

/// A figure with its standard uncertainty.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Uncertain {
    /// The figure.
    pub amount: Amount,
    /// Standard uncertainty, in the figure's unit.
    pub u: f64,
}

impl Uncertain {
    /// A figure known for sure.
    pub const fn sure(amount: Amount) -> Uncertain {
        Uncertain { amount, u: 0.0 }
    }
}

/// How a spread was worked out.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Method {
    /// First order.
    FirstOrder,
    /// Monte Carlo.
    MonteCarlo,
}

impl Method {
    /// In words.
    pub const fn words(self) -> &'static str {
        match self {
            Method::FirstOrder => "JCGM 100, first order",
            Method::MonteCarlo => "JCGM 101, Monte Carlo of 20,000 draws",
        }
    }
}

/// Spread of a result.
#[derive(Clone, Debug, PartialEq)]
pub struct Propagated {
    /// The result at the figures as read.
    pub value: f64,
    /// Standard uncertainty of the result.
    pub u: f64,
    /// Ends of the middle 95 %.
    pub low: f64,
    /// Upper end.
    pub high: f64,
    /// Share of the variance that each input brings, first order.
    pub shares: Vec<f64>,
    /// How.
    pub method: Method,
    /// Share of the draws for which there is no result; nothing in first order.
    pub lost: f64,
}

impl Propagated {
    /// The spread as a sheet shows it, in the unit of the result; names of the inputs in their order.
    pub fn spread(&self, key: &'static str, unit: Unit, names: &[&str]) -> Spread {
        let most = self.shares.iter().zip(names).max_by(|one, other| one.0.total_cmp(other.0));
        let mostly = most.map(|(share, name)| ((*name).to_owned(), 100.0 * share));
        Spread {
            key,
            standard: Amount::new(self.u, unit),
            expanded: Amount::new(2.0 * self.u, unit),
            low: Amount::new(self.low, unit),
            high: Amount::new(self.high, unit),
            drawn: self.method == Method::MonteCarlo,
            method: self.method.words(),
            mostly: mostly.filter(|_| self.u > 0.0),
        }
    }
}

/// Draws of a Monte Carlo.
const DRAWS: u32 = 20_000;
/// Seed of a Monte Carlo: fixed, so that a figure is the same on every face and every day.
const SEED: u64 = 0x6a09_e667_f3bc_c908;
/// Most that the bend may bring, of the spread, before first order is not good enough.
const BEND_MAX: f64 = 0.1;

/// Spread of `f` over inputs read independently; `None` where `f` has no value as read.
///
/// ```
/// use client_core::trade::quantity::Amount;
/// use client_core::trade::uncertainty::{propagate, Uncertain};
/// use client_core::trade::unit::Unit;
/// let inputs = [
///     Uncertain { amount: Amount::new(3.0, Unit::InWc), u: 0.3 },
///     Uncertain { amount: Amount::new(4.0, Unit::InWc), u: 0.4 },
/// ];
/// let sum = propagate(&inputs, |x| Some(x[0] + x[1])).unwrap();
/// assert!((sum.u - 0.5).abs() < 1e-9);
/// ```
pub fn propagate(inputs: &[Uncertain], f: impl Fn(&[f64]) -> Option<f64>) -> Option<Propagated> {
    let (first, bend) = first_order_with_bend(inputs, &f)?;
    let bent = bend > BEND_MAX * first.u && first.u > 0.0;
    let drawn = bent.then(|| monte_carlo(inputs, &f, DRAWS, SEED)).flatten();
    let Some(drawn) = drawn else { return Some(first) };
    Some(Propagated { value: first.value, shares: first.shares, ..drawn })
}

/// Spread of `f` to first order alone, whatever its bend.
pub fn first_order(inputs: &[Uncertain], f: impl Fn(&[f64]) -> Option<f64>) -> Option<Propagated> {
    first_order_with_bend(inputs, &f).map(|(first, _)| first)
}

fn first_order_with_bend(
    inputs: &[Uncertain],
    f: &impl Fn(&[f64]) -> Option<f64>,
) -> Option<(Propagated, f64)> {
    let read: Vec<f64> = inputs.iter().map(|input| input.amount.value).collect();
    let value = f(&read).filter(|value| value.is_finite())?;
    let mut terms = Vec::with_capacity(inputs.len());
    let mut bend = 0.0_f64;
    for (at, input) in inputs.iter().enumerate() {
        if input.u <= 0.0 {
            terms.push(0.0);
            continue;
        }
        let (slope, second) = slopes(&read, at, input.u, value, f)?;
        terms.push(slope * input.u);
        bend += second;
    }
    let variance: f64 = terms.iter().map(|term| term * term).sum();
    let u = variance.sqrt();
    let share = |term: &f64| if variance > 0.0 { term * term / variance } else { 0.0 };
    let shares: Vec<f64> = terms.iter().map(share).collect();
    let (low, high) = (value - 2.0 * u, value + 2.0 * u);
    let first = Propagated { value, u, low, high, shares, method: Method::FirstOrder, lost: 0.0 };
    Some((first, bend))
}

/// Slope of `f` along one input, and how much its bend brings over two standard uncertainties.
fn slopes(
    read: &[f64],
    at: usize,
    u: f64,
    value: f64,
    f: &impl Fn(&[f64]) -> Option<f64>,
) -> Option<(f64, f64)> {
    let moved = |by: f64| {
        let mut inputs = read.to_vec();
        inputs[at] += by;
        f(&inputs).filter(|value| value.is_finite())
    };
    let small = 0.02 * u;
    // At the end of a range one side may be impossible: the other side gives the slope then.
    let slope = match (moved(small), moved(-small)) {
        (Some(up), Some(down)) => (up - down) / (2.0 * small),
        (Some(up), None) => (up - value) / small,
        (None, Some(down)) => (value - down) / small,
        (None, None) => return None,
    };
    let second = match (moved(2.0 * u), moved(-2.0 * u)) {
        (Some(up), Some(down)) => (up + down - 2.0 * value).abs() / 4.0,
        _ => 0.0,
    };
    Some((slope, second))
}

/// Spread of `f` by `draws` seeded draws; `None` where hardly any draw has a result.
pub fn monte_carlo(
    inputs: &[Uncertain],
    f: &impl Fn(&[f64]) -> Option<f64>,
    draws: u32,
    seed: u64,
) -> Option<Propagated> {
    let mut random = Random::new(seed);
    let mut results = Vec::new();
    let mut drawn = vec![0.0; inputs.len()];
    for _ in 0..draws {
        for (place, input) in drawn.iter_mut().zip(inputs) {
            *place = input.amount.value + input.u * random.normal();
        }
        results.extend(f(&drawn).filter(|value| value.is_finite()));
    }
    let kept = u32::try_from(results.len()).ok()?;
    if kept < draws / 2 || kept < 100 {
        return None;
    }
    results.sort_by(f64::total_cmp);
    let count = f64::from(kept);
    let mean = results.iter().sum::<f64>() / count;
    let variance = results.iter().map(|value| (value - mean).powi(2)).sum::<f64>() / (count - 1.0);
    let quantile =
        |share: u32| results[(results.len() - 1) * usize::try_from(share).unwrap_or(0) / 1000];
    Some(Propagated {
        value: mean,
        u: variance.sqrt(),
        low: quantile(25),
        high: quantile(975),
        shares: Vec::new(),
        method: Method::MonteCarlo,
        lost: 1.0 - count / f64::from(draws),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read(value: f64, u: f64) -> Uncertain {
        Uncertain { amount: Amount::new(value, Unit::Ratio), u }
    }

    #[test]
    fn a_straight_line_stays_first_order() {
        let line = propagate(&[read(5.0, 0.1)], |x| Some(3.0 * x[0])).unwrap();
        assert_eq!(line.method, Method::FirstOrder);
        assert!((line.u - 0.3).abs() < 1e-9);
    }

    #[test]
    fn a_pole_nearby_asks_for_draws() {
        let free = |x: &[f64]| (x[1] < 20.9).then(|| x[0] * 20.9 / (20.9 - x[1]));
        let near = propagate(&[read(50.0, 2.5), read(19.5, 0.3)], free).unwrap();
        assert_eq!(near.method, Method::MonteCarlo);
        assert!(near.high - near.value > near.value - near.low, "the tail lies on the high side");
    }

    #[test]
    fn draws_agree_with_first_order_on_a_plane() {
        let inputs = [read(1.0, 0.2), read(2.0, 0.1)];
        let plane = |x: &[f64]| Some(2.0 * x[0] - x[1]);
        let first = propagate(&inputs, plane).unwrap();
        let drawn = monte_carlo(&inputs, &plane, 40_000, 3).unwrap();
        assert!((drawn.u / first.u - 1.0).abs() < 0.02);
        assert!((drawn.low - (0.0 - 1.96 * first.u)).abs() < 0.03);
    }

    #[test]
    fn the_same_inputs_give_the_same_draws() {
        let inputs = [read(1.0, 0.2)];
        let square = |x: &[f64]| Some(x[0] * x[0]);
        let once = monte_carlo(&inputs, &square, 1000, 9);
        assert_eq!(once, monte_carlo(&inputs, &square, 1000, 9));
    }
}
