//! Two readings of the same thing: do they agree within what their instruments can tell?

use crate::trade::impossible::Impossible;
use crate::trade::quantity::Amount;
use crate::trade::uncertainty::Uncertain;
use crate::trade::worked::{Formula, Line, Sheet, Worked};

/// Formula of the agreement.
pub const AGREEMENT: Formula = Formula {
    id: "verdict.agreement",
    version: 1,
    name: "two readings of the same thing",
    expression: "agree where |a - b| <= 2 sqrt(u(a)^2 + u(b)^2)",
    source: "JCGM 100:2008 5.1.2, coverage factor 2",
    range: "independent instruments, same point and condition",
    function: "verdict::agreement::agree",
    test: "two_readings_agree_or_not",
};

/// What two readings say of each other.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Agreement {
    /// The second less the first, in the first's unit.
    pub difference: Amount,
    /// What the two instruments together can tell apart, coverage factor 2.
    pub combined: Amount,
    /// Whether they agree.
    pub agree: bool,
}

/// Compares two readings. They are never averaged: where they disagree, measure again.
///
/// ```
/// use client_core::trade::quantity::Amount;
/// use client_core::trade::uncertainty::Uncertain;
/// use client_core::trade::unit::Unit;
/// use client_core::trade::verdict::agree;
/// let read = |value| Uncertain { amount: Amount::new(value, Unit::InWc), u: 0.03 };
/// assert!(agree(read(3.50), read(3.55)).unwrap().agree);
/// assert!(!agree(read(3.50), read(3.80)).unwrap().agree);
/// ```
pub fn agree(first: Uncertain, second: Uncertain) -> Result<Agreement, Impossible> {
    let unit = first.amount.unit;
    let no_figure = Impossible::NoFigure { what: "one of the two readings" };
    let other = second.amount.to(unit).ok_or(no_figure)?;
    // The uncertainty is a difference, so it scales by the slope of the conversion alone.
    let one = Amount::new(second.amount.value + 1.0, second.amount.unit);
    let slope = one.to(unit).ok_or(no_figure)?.value - other.value;
    let difference = other.value - first.amount.value;
    let combined = 2.0 * first.u.hypot(second.u * slope);
    if !(difference.is_finite() && combined.is_finite()) {
        return Err(no_figure);
    }
    Ok(Agreement {
        difference: Amount::new(difference, unit),
        combined: Amount::new(combined, unit),
        agree: difference.abs() <= combined,
    })
}

/// Compares two readings, with the sheet.
pub fn worked(first: Uncertain, second: Uncertain) -> Result<Worked<Agreement>, Impossible> {
    let value = agree(first, second)?;
    let line = |key, name, amount: Amount| Line { key, name, amount, how: String::new() };
    let mut sheet = Sheet::new(&AGREEMENT);
    sheet.inputs.push(line("first", "first reading", first.amount));
    sheet.inputs.push(line("second", "second reading", second.amount));
    sheet.results.push(line("difference", "second less first", value.difference));
    sheet.results.push(line("combined", "what the two can tell apart", value.combined));
    let words = if value.agree {
        "the two readings agree within what their instruments can tell"
    } else {
        "the two readings disagree: measure again, same point and condition; they are never averaged"
    };
    Ok(Worked { value, sheet: sheet.finding(words) })
}
