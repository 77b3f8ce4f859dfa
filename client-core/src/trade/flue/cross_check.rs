//! Oxygen and carbon dioxide against the fuel: do the two readings belong together?
//!
//! A mismatch means a wrong fuel chosen in the instrument, a tired cell, or a slip. It does not show
//! air leaking into the sample: that slides both along the same line.

use crate::trade::flue::excess::{self, O2_RANGE};
use crate::trade::fuel::Fuel;
use crate::trade::impossible::{Impossible, Range};
use crate::trade::quantity::{Amount, Concentration, Quantity};
use crate::trade::unit::Unit;
use crate::trade::worked::{Formula, Sheet, Worked};

/// Formula of the cross-check.
pub const CROSS_CHECK: Formula = Formula {
    id: "flue.cross_check",
    version: 1,
    name: "O2 against CO2",
    expression: "CO2 expected = (C + a0 (1 + e) 0.0004 - CO) / (D0 + e a0), e from O2",
    source: "atom balance of the fuel; tolerance 0.5 % by common practice",
    range: "O2 under 18 %; CO2 measured by its own cell",
    function: "flue::cross_check::CrossCheck::solve",
    test: "cross_check_finds_wrong_fuel_and_swap",
};

/// Where a carbon dioxide figure comes from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Witness {
    /// A cell of its own measured it.
    Measured,
    /// The instrument calculated it from oxygen: no second witness.
    Calculated,
}

/// The two readings and the fuel.
#[derive(Clone, Copy, Debug)]
pub struct CrossCheck<'a> {
    /// Fuel as supplied.
    pub fuel: &'a Fuel,
    /// Oxygen, dry.
    pub o2: Concentration,
    /// Carbon dioxide, dry.
    pub co2: Concentration,
    /// Carbon monoxide, dry.
    pub co: Concentration,
    /// Where the carbon dioxide comes from.
    pub witness: Witness,
    /// Oxygen of fresh air on the same instrument.
    pub fresh_air: Concentration,
    /// How far the two may be apart.
    pub tolerance: Concentration,
}

/// Tolerance of the cross-check. Source: common practice, 0.5 % of carbon dioxide.
pub const TOLERANCE: Concentration = Concentration::from_percent(0.5);

/// What the two readings say of each other.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Match {
    /// They belong together.
    Agree,
    /// Calculated from oxygen: it would agree whatever is wrong.
    NoSecondWitness,
    /// They agree once swapped.
    Swapped,
    /// They would agree for this other fuel.
    OtherFuel(&'static str),
    /// They agree for no fuel known here.
    Disagree,
}

/// The answer of the cross-check.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CrossChecked {
    /// Carbon dioxide that goes with the oxygen.
    pub expected: Concentration,
    /// Read less expected.
    pub gap: Concentration,
    /// What it says.
    pub answer: Match,
}

impl Match {
    /// What to say and do.
    pub const fn words(self) -> &'static str {
        match self {
            Match::Agree => "O2 and CO2 belong together for this fuel",
            Match::NoSecondWitness => {
                "CO2 was calculated from O2 by the instrument: it is no second witness"
            }
            Match::Swapped => "O2 and CO2 would agree if swapped: check which is which",
            Match::OtherFuel(_) => {
                "O2 and CO2 would agree for another fuel: check the fuel chosen in the instrument \
                 and the gas supplied"
            }
            Match::Disagree => {
                "O2 and CO2 do not belong together: a tired cell, a wrong fuel in the instrument, \
                 or a slip of typing; a leak in the sample does not show here"
            }
        }
    }
}

/// Fuels that an instrument may be set to by mistake.
const OTHERS: &[&str] = &["natural_gas", "propane", "n_butane", "oil2", "biogas"];
const CO2_RANGE: Range =
    Range { what: "flue co2", low: 0.0, high: 40.0, unit: Unit::Pct, hint: "check the figure" };

impl CrossCheck<'_> {
    /// Compares the two.
    pub fn solve(&self) -> Result<CrossChecked, Impossible> {
        CO2_RANGE.check(self.co2)?;
        O2_RANGE.check(self.o2)?;
        let expect = |fuel: &Fuel, o2| excess::carbon_dioxide(fuel, o2, self.co, self.fresh_air);
        let near = |one: Concentration, other: Concentration| {
            (one.fraction() - other.fraction()).abs() <= self.tolerance.fraction() + 1e-12
        };
        let expected = expect(self.fuel, self.o2)?;
        let swapped = expect(self.fuel, self.co2).is_ok_and(|co2| near(co2, self.o2));
        let other = || {
            OTHERS
                .iter()
                .copied()
                .filter(|name| *name != self.fuel.name())
                .filter_map(|name| Some((name, Fuel::named(name)?)))
                .filter(|(_, fuel)| fuel.family() != self.fuel.family())
                .find(|(_, fuel)| expect(fuel, self.o2).is_ok_and(|co2| near(co2, self.co2)))
                .map(|(name, _)| name)
        };
        let answer = if self.witness == Witness::Calculated {
            Match::NoSecondWitness
        } else if near(expected, self.co2) {
            Match::Agree
        } else if swapped {
            Match::Swapped
        } else if let Some(name) = other() {
            Match::OtherFuel(name)
        } else {
            Match::Disagree
        };
        Ok(CrossChecked { expected, gap: self.co2 - expected, answer })
    }

    /// Compares the two, with the sheet.
    pub fn worked(&self) -> Result<Worked<CrossChecked>, Impossible> {
        let value = self.solve()?;
        let most = self.fuel.stoichiometry().co2_max().percent();
        let ruled = most * (20.95 - self.o2.percent()) / 20.95;
        let mut sheet = Sheet::new(&CROSS_CHECK)
            .input("o2", "flue O2, dry", self.o2, Unit::Pct)
            .input("co2", "flue CO2, dry", self.co2, Unit::Pct)
            .input("co", "flue CO, dry", self.co, Unit::Ppm)
            .step(
                "co2_max",
                "most CO2 of this fuel",
                self.fuel.stoichiometry().co2_max().amount(Unit::Pct),
                self.fuel.name().to_owned(),
            )
            .result("expected", "CO2 that goes with the O2", value.expected, Unit::Pct)
            .result("gap", "read less expected", value.gap, Unit::Pct)
            .rule(
                "expected",
                "CO2 max x (20.95 - O2) / 20.95",
                Amount::new(ruled, Unit::Pct),
                "common practice",
            )
            .finding(value.answer.words())
            .outside(self.o2.percent() > 18.0, "over 18 % O2 every fuel looks alike");
        if let Match::OtherFuel(name) = value.answer {
            sheet = sheet.finding(format!("reads like {name}"));
        }
        Ok(Worked { value, sheet })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::trade::flue::FRESH_AIR;

    fn check(o2: f64, co2: f64, witness: Witness) -> Match {
        let fuel = Fuel::named("natural_gas").unwrap();
        let check = CrossCheck {
            fuel: &fuel,
            o2: Concentration::from_percent(o2),
            co2: Concentration::from_percent(co2),
            co: Concentration::from_ppm(0.0),
            witness,
            fresh_air: FRESH_AIR,
            tolerance: TOLERANCE,
        };
        check.solve().unwrap().answer
    }

    #[test]
    fn cross_check_finds_wrong_fuel_and_swap() {
        assert_eq!(check(8.4, 7.1, Witness::Measured), Match::Agree);
        assert_eq!(check(8.4, 8.25, Witness::Measured), Match::OtherFuel("propane"));
        assert_eq!(check(10.0, 9.2, Witness::Measured), Match::OtherFuel("biogas"));
        assert_eq!(check(6.2, 10.0, Witness::Measured), Match::Swapped);
        assert_eq!(check(8.4, 2.0, Witness::Measured), Match::Disagree);
        assert_eq!(check(8.4, 2.0, Witness::Calculated), Match::NoSecondWitness);
    }
}
