//! How far a set pressure or a clocked input may stand from the plate before it is set again.
//!
//! Source: common practice, no published source; the plate and the firm's setting win.

use crate::trade::quantity::Amount;
use crate::trade::unit::Unit;
use crate::trade::verdict::Limit;

/// Gas of a manifold band: LP runs at higher pressures and is allowed a little more.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum BandGas {
    /// Natural gas.
    Natural,
    /// LP.
    Lp,
}

/// The band round a plate manifold pressure: 5 %, or 0.2 in w.c. (LP 0.3) where that is more.
///
/// ```
/// use client_core::trade::gas::band::{BandGas, manifold};
/// use client_core::trade::{quantity::Amount, unit::Unit};
/// let limit = manifold(Amount::new(3.5, Unit::InWc), BandGas::Natural).unwrap();
/// assert_eq!(limit.low.unwrap().show(2), "3.30 in w.c.");
/// ```
pub fn manifold(plate: Amount, gas: BandGas) -> Option<Limit> {
    let plate = plate.to(Unit::InWc).filter(|plate| plate.value.is_finite())?;
    let fixed = match gas {
        BandGas::Natural => 0.2,
        BandGas::Lp => 0.3,
    };
    Some(around(plate, f64::max(0.05 * plate.value.abs(), fixed), "plate manifold"))
}

/// The band round a plate input: 5 %.
pub fn input(plate: Amount) -> Option<Limit> {
    let plate = plate.to(Unit::Mbh).filter(|plate| plate.value.is_finite())?;
    Some(around(plate, 0.05 * plate.value.abs(), "plate input"))
}

fn around(plate: Amount, width: f64, what: &str) -> Limit {
    let edge = |value| Amount::new(value, plate.unit);
    let source = format!("{what} {}, band common practice", plate.show(2));
    Limit::between(edge(plate.value - width), edge(plate.value + width), source)
}
