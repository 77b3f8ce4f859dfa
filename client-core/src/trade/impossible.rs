//! Inputs that cannot be: each says what is wrong, with which figure, and what to do next.

use crate::trade::quantity::{Amount, Quantity};
use crate::trade::unit::Unit;

/// Why a sum refuses its inputs. Worded for the person who holds the instrument.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
pub enum Impossible {
    /// A figure that is no number.
    #[error("{what} has no figure: enter it or leave the sum out")]
    NoFigure {
        /// The input.
        what: &'static str,
    },
    /// A figure below what can be.
    #[error("{what} {value} is under {low}: {hint}")]
    Under {
        /// The input.
        what: &'static str,
        /// Its value.
        value: Amount,
        /// The least that can be.
        low: Amount,
        /// What to do next.
        hint: &'static str,
    },
    /// A figure above what can be.
    #[error("{what} {value} is over {high}: {hint}")]
    Over {
        /// The input.
        what: &'static str,
        /// Its value.
        value: Amount,
        /// The most that can be.
        high: Amount,
        /// What to do next.
        hint: &'static str,
    },
    /// More oxygen than the air has.
    #[error(
        "o2 {o2} is not below the fresh-air reading {air}: the probe is in fresh air or the cell \
         is off, zero the instrument outdoors and take it again"
    )]
    OxygenOfAir {
        /// The oxygen read.
        o2: Amount,
        /// The oxygen of fresh air on the same instrument.
        air: Amount,
    },
    /// More carbon dioxide than the fuel can make.
    #[error(
        "co2 {co2} is over the most that this fuel can make, {most}: check the fuel chosen in the \
         instrument and the figure"
    )]
    CarbonDioxideOverMost {
        /// The carbon dioxide read.
        co2: Amount,
        /// The most at no excess air.
        most: Amount,
    },
    /// More carbon monoxide than the fuel's carbon allows.
    #[error("co {co} is more than the carbon of this fuel can make: check the figure and the unit")]
    CarbonMonoxideOverCarbon {
        /// The carbon monoxide read.
        co: Amount,
    },
    /// Flue gas colder than the air that goes in.
    #[error(
        "flue {flue} is colder than the combustion air {air}: swap the two, or wait until the \
         burner is steady and take both again"
    )]
    FlueColderThanAir {
        /// Flue temperature.
        flue: Amount,
        /// Combustion air temperature.
        air: Amount,
    },
    /// Air leaves no warmer than it came.
    #[error("air out {out} is not warmer than air in {inlet}: swap the two or check the probes")]
    NoRise {
        /// Temperature going in.
        inlet: Amount,
        /// Temperature coming out.
        out: Amount,
    },
    /// Pressure at or under vacuum.
    #[error("{what} comes to {value} absolute, which cannot be: check sign and unit")]
    UnderVacuum {
        /// The input.
        what: &'static str,
        /// Its value.
        value: Amount,
    },
    /// Shares of a mix that do not make a whole.
    #[error("the mix adds up to {sum}, not 100 %: check the shares")]
    MixNotWhole {
        /// What they add up to.
        sum: Amount,
    },
    /// A component that the standard does not list.
    #[error("the mix names a component that ISO 6976 does not list: check its name")]
    UnknownComponent,
    /// A mix that does not burn.
    #[error("this mix does not burn: nothing to work out")]
    DoesNotBurn,
    /// A gas too far from ideal for the standard's equation.
    #[error("compression factor {z} is outside ISO 6976 (over 0.9): this is a vapour near liquid")]
    NearLiquid {
        /// The compression factor.
        z: Amount,
    },
    /// A reference temperature that the standard does not print.
    #[error(
        "{what} {value} is not a reference of ISO 6976: take 0, 15, 15.55, 20 or (burning) 25 C"
    )]
    NotAReference {
        /// Which temperature.
        what: &'static str,
        /// Its value.
        value: Amount,
    },
    /// Flow that the pipe cannot pass.
    #[error("the pipe cannot pass this flow from {inlet}: choose a larger pipe or a shorter run")]
    PipeTooSmall {
        /// Gauge pressure at the inlet.
        inlet: Amount,
    },
    /// No stock size fits.
    #[error("no drill size fits {wanted}: the smallest is {least}")]
    NoDrill {
        /// The bore wanted.
        wanted: Amount,
        /// The smallest in the list.
        least: Amount,
    },
    /// Two ends of a window the wrong way round.
    #[error("{what} runs from {low} up to {high}: swap its ends")]
    WindowReversed {
        /// The window.
        what: &'static str,
        /// Its lower end.
        low: Amount,
        /// Its upper end.
        high: Amount,
    },
    /// Not enough readings for the question.
    #[error("{what} needs {need} readings, {got} given: take more")]
    TooFew {
        /// The question.
        what: &'static str,
        /// Readings needed.
        need: u32,
        /// Readings given.
        got: u32,
    },
    /// A sum that leaves the numbers: stopped before it could be shown.
    #[error("{what} does not come to a figure with these inputs: check them for slips")]
    NoResult {
        /// The result.
        what: &'static str,
    },
}

/// What one input may be at most and at least, with what to do when it is not.
#[derive(Clone, Copy, Debug)]
pub struct Range {
    /// Name of the input.
    pub what: &'static str,
    /// Least value, in `unit`.
    pub low: f64,
    /// Most value, in `unit`.
    pub high: f64,
    /// Unit of both.
    pub unit: Unit,
    /// What to do next.
    pub hint: &'static str,
}

impl Range {
    /// The quantity itself, if it lies inside.
    pub fn check<Q: Quantity>(&self, quantity: Q) -> Result<Q, Impossible> {
        let value = self.unit.from_si(quantity.si());
        // A conversion may miss the end of the range by one bit; that is not the person's slip.
        let slack = 1e-9 * (1.0 + self.low.abs() + self.high.abs());
        if value >= self.low - slack && value <= self.high + slack {
            return Ok(quantity);
        }
        Err(self.reason(value))
    }

    #[cold]
    fn reason(&self, value: f64) -> Impossible {
        let amount = |value| Amount::new(value, self.unit);
        let (what, hint) = (self.what, self.hint);
        if !value.is_finite() {
            Impossible::NoFigure { what }
        } else if value < self.low {
            Impossible::Under { what, value: amount(value), low: amount(self.low), hint }
        } else {
            Impossible::Over { what, value: amount(value), high: amount(self.high), hint }
        }
    }
}

/// A result that is a number, or the refusal to show it.
pub(crate) fn finite(what: &'static str, value: f64) -> Result<f64, Impossible> {
    if value.is_finite() { Ok(value) } else { Err(Impossible::NoResult { what }) }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::trade::quantity::GaugePressure;

    const MANIFOLD: Range =
        Range { what: "manifold", low: 0.0, high: 28.0, unit: Unit::InWc, hint: "check the unit" };

    #[test]
    fn a_range_names_input_value_and_end() {
        let over = MANIFOLD.check(GaugePressure::from_inches_wc(96.9)).unwrap_err();
        assert_eq!(
            over.to_string(),
            "manifold 96.90 in w.c. is over 28.00 in w.c.: check the unit"
        );
        let none = MANIFOLD.check(GaugePressure::from_inches_wc(f64::NAN)).unwrap_err();
        assert_eq!(none, Impossible::NoFigure { what: "manifold" });
        let endless = MANIFOLD.check(GaugePressure::from_inches_wc(f64::INFINITY)).unwrap_err();
        assert_eq!(endless, Impossible::NoFigure { what: "manifold" });
        assert!(MANIFOLD.check(GaugePressure::from_inches_wc(28.0)).is_ok());
    }
}
