//! Calculations by name, from texts as people type them, with a sheet as the answer.
//!
//! The command line, the phone and a page offer the same list. Every figure may carry an accuracy of its
//! own ("4.12 ± 0.05"); where none is typed, a usual field instrument stands in.

mod air_calcs;
pub mod argument;
mod flue_calcs;
mod fuel_calcs;
mod gas_calcs;
mod heat_calcs;
mod plan_calcs;
mod signal_calcs;
mod verdict_calcs;

pub use argument::{Arguments, CalcError, Parameter};

use crate::trade::quantity::Amount;
use crate::trade::uncertainty::propagate;
use crate::trade::worked::{Sheet, Spread};

/// A calculation by name.
pub struct Calculation {
    /// Name as typed, words joined by hyphens.
    pub name: &'static str,
    /// What it answers, in a line.
    pub about: &'static str,
    /// What it takes.
    pub parameters: &'static [Parameter],
    /// Works it out.
    work: fn(&Arguments) -> Result<Sheet, CalcError>,
}

impl std::fmt::Debug for Calculation {
    fn fmt(&self, out: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        out.debug_struct("Calculation").field("name", &self.name).finish_non_exhaustive()
    }
}

/// Calculations, a slice for each room.
const CALCULATIONS: &[&[Calculation]] = &[
    fuel_calcs::CALCULATIONS,
    flue_calcs::CALCULATIONS,
    gas_calcs::CALCULATIONS,
    air_calcs::CALCULATIONS,
    heat_calcs::CALCULATIONS,
    signal_calcs::CALCULATIONS,
    verdict_calcs::CALCULATIONS,
    plan_calcs::CALCULATIONS,
];

/// Every calculation, in the order of the list that people see.
pub fn all() -> impl Iterator<Item = &'static Calculation> {
    CALCULATIONS.iter().copied().flatten()
}

/// The calculation of a name.
pub fn find(name: &str) -> Option<&'static Calculation> {
    all().find(|calculation| calculation.name == name)
}

/// Works out the calculation of a name from "key, text" pairs.
///
/// ```
/// use client_core::trade::calc::run;
/// let sheet = run("square-root-input", &[
///     ("plate_input", "250 MBH"),
///     ("plate", "3.5"),
///     ("measured", "4.12 ± 0.05"),
/// ])
/// .unwrap();
/// assert!((sheet.get("input").unwrap().value - 271_240.0).abs() < 10.0);
/// assert_eq!(sheet.formula.stamp(), "gas.square_root_input/1");
/// assert_eq!(sheet.spreads[0].key, "input");
/// let wrong = run("square-root-input", &[("plate", "3.5 F")]).unwrap_err();
/// assert!(wrong.to_string().contains("plate"));
/// ```
pub fn run(name: &str, texts: &[(&str, &str)]) -> Result<Sheet, CalcError> {
    let unknown = || CalcError::UnknownCalculation(name.to_owned());
    let calculation = find(name).ok_or_else(unknown)?;
    let arguments = Arguments::read(calculation.parameters, texts)?;
    let mut sheet = (calculation.work)(&arguments)?;
    sheet.spreads = spreads(calculation, &arguments, &sheet);
    sheet.defaults = arguments.defaults();
    Ok(sheet)
}

/// Uncertainty of every result, from the accuracy of every figure typed.
fn spreads(calculation: &Calculation, arguments: &Arguments, sheet: &Sheet) -> Vec<Spread> {
    let (keys, inputs) = arguments.uncertain();
    if inputs.iter().all(|input| input.u <= 0.0) {
        return Vec::new();
    }
    let spread = |key: &'static str, amount: Amount| {
        let solve = |x: &[f64]| {
            let moved = arguments.moved(&keys, x);
            let sheet = (calculation.work)(&moved).ok()?;
            sheet.get(key)?.to(amount.unit).map(|own| own.value)
        };
        let found = propagate(&inputs, solve)?;
        Some(found.spread(key, amount.unit, &keys))
    };
    let results = sheet.results.iter().filter_map(|line| spread(line.key, line.amount));
    results.filter(|spread| spread.standard.value > 0.0).collect()
}
