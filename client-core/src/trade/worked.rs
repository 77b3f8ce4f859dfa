//! A worked sheet: what went in, how it was worked out, by which formula, how sure it is.
//!
//! Fast paths return values alone; a sheet is made when somebody wants to see the work.

pub mod text;

use crate::trade::quantity::{Amount, Quantity};
use crate::trade::unit::Unit;

/// A formula with everything that lets a reader judge it.
#[derive(Debug)]
pub struct Formula {
    /// Stable identifier.
    pub id: &'static str,
    /// Raised by one whenever a result can change in a printed digit.
    pub version: u16,
    /// What it works out, in words of the trade.
    pub name: &'static str,
    /// The formula as one line of text.
    pub expression: &'static str,
    /// Where it comes from.
    pub source: &'static str,
    /// Where it holds.
    pub range: &'static str,
    /// The public function, from the room.
    pub function: &'static str,
    /// The test that pins it to something outside the project.
    pub test: &'static str,
}

impl Formula {
    /// Identifier and version as stored beside a result that was signed off.
    ///
    /// ```
    /// use client_core::trade::gas::clock::CLOCKED_INPUT;
    /// assert_eq!(CLOCKED_INPUT.stamp(), "gas.clocked_input/1");
    /// ```
    pub fn stamp(&self) -> String {
        format!("{}/{}", self.id, self.version)
    }
}

/// One named amount on a sheet, with how it was worked out where that says more.
#[derive(Clone, Debug, PartialEq)]
pub struct Line {
    /// Stable key.
    pub key: &'static str,
    /// Name in words of the trade.
    pub name: &'static str,
    /// The amount.
    pub amount: Amount,
    /// The work, for a step; empty for an input.
    pub how: String,
}

/// Whether the inputs lie where the formula was proved.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Region {
    /// They do.
    Inside,
    /// They do not, for this reason; the figure is shown with the reason.
    Outside(&'static str),
}

/// The trade's own rule beside the exact answer.
#[derive(Clone, Debug, PartialEq)]
pub struct Rule {
    /// The rule in words.
    pub name: &'static str,
    /// Which result it stands beside.
    pub beside: &'static str,
    /// What the rule says.
    pub amount: Amount,
    /// The rule minus the exact answer, in the same unit.
    pub gap: Amount,
    /// Where the rule comes from.
    pub source: &'static str,
}

/// Uncertainty of one result.
#[derive(Clone, Debug, PartialEq)]
pub struct Spread {
    /// Key of the result.
    pub key: &'static str,
    /// Standard uncertainty, in the unit of the result.
    pub standard: Amount,
    /// Expanded uncertainty, coverage factor 2 (about 95 %).
    pub expanded: Amount,
    /// Lower end of the middle 95 %; the two ends differ in distance where the spread is skewed.
    pub low: Amount,
    /// Upper end of the middle 95 %.
    pub high: Amount,
    /// Whether the spread was drawn because first order was not good enough.
    pub drawn: bool,
    /// How it was worked out.
    pub method: &'static str,
    /// The input that brings most of it, and its share of the variance in percent.
    pub mostly: Option<(String, f64)>,
}

/// The printable part of a worked result.
#[derive(Clone, Debug)]
pub struct Sheet {
    /// The formula.
    pub formula: &'static Formula,
    /// What went in.
    pub inputs: Vec<Line>,
    /// What was worked out on the way.
    pub steps: Vec<Line>,
    /// What came out.
    pub results: Vec<Line>,
    /// Words that came out, such as a drill size or a fit.
    pub findings: Vec<String>,
    /// Whether the inputs lie where the formula was proved.
    pub region: Region,
    /// Rules of the trade beside it.
    pub rules: Vec<Rule>,
    /// How sure the results are, where the inputs' accuracy is known.
    pub spreads: Vec<Spread>,
    /// What to keep in mind; the plate and local code come first.
    pub cautions: Vec<&'static str>,
    /// Inputs that nobody typed, with the text that stood in.
    pub defaults: Vec<(&'static str, &'static str)>,
}

/// A value with its sheet.
#[derive(Clone, Debug)]
pub struct Worked<T> {
    /// The value.
    pub value: T,
    /// How it came about.
    pub sheet: Sheet,
}

impl Sheet {
    /// An empty sheet of a formula.
    pub fn new(formula: &'static Formula) -> Sheet {
        Sheet {
            formula,
            inputs: Vec::new(),
            steps: Vec::new(),
            results: Vec::new(),
            findings: Vec::new(),
            region: Region::Inside,
            rules: Vec::new(),
            spreads: Vec::new(),
            cautions: Vec::new(),
            defaults: Vec::new(),
        }
    }

    /// With one more input.
    #[must_use]
    pub fn input<Q: Quantity>(
        mut self,
        key: &'static str,
        name: &'static str,
        quantity: Q,
        unit: Unit,
    ) -> Sheet {
        let amount = quantity.amount(unit);
        self.inputs.push(Line { key, name, amount, how: String::new() });
        self
    }

    /// With one more step.
    #[must_use]
    pub fn step(
        mut self,
        key: &'static str,
        name: &'static str,
        amount: Amount,
        how: impl Into<String>,
    ) -> Sheet {
        self.steps.push(Line { key, name, amount, how: how.into() });
        self
    }

    /// With one more result.
    #[must_use]
    pub fn result<Q: Quantity>(
        mut self,
        key: &'static str,
        name: &'static str,
        quantity: Q,
        unit: Unit,
    ) -> Sheet {
        let amount = quantity.amount(unit);
        self.results.push(Line { key, name, amount, how: String::new() });
        self
    }

    /// With a finding in words.
    #[must_use]
    pub fn finding(mut self, words: impl Into<String>) -> Sheet {
        self.findings.push(words.into());
        self
    }

    /// With the trade's rule beside the result of this key.
    #[must_use]
    pub fn rule(
        mut self,
        beside: &'static str,
        name: &'static str,
        amount: Amount,
        source: &'static str,
    ) -> Sheet {
        let exact = self.results.iter().find(|line| line.key == beside);
        if let Some(exact) = exact.and_then(|line| line.amount.to(amount.unit)) {
            let gap = Amount::new(amount.value - exact.value, amount.unit);
            self.rules.push(Rule { name, beside, amount, gap, source });
        }
        self
    }

    /// With a mark that the inputs leave the proved range, if they do.
    #[must_use]
    pub fn outside(mut self, outside: bool, why: &'static str) -> Sheet {
        if outside && self.region == Region::Inside {
            self.region = Region::Outside(why);
        }
        self
    }

    /// With a caution.
    #[must_use]
    pub fn caution(mut self, words: &'static str) -> Sheet {
        self.cautions.push(words);
        self
    }

    /// The result of this key.
    pub fn get(&self, key: &str) -> Option<Amount> {
        self.results.iter().find(|line| line.key == key).map(|line| line.amount)
    }
}

impl<T> Worked<T> {
    /// The same sheet with another value.
    pub fn map<U>(self, change: impl FnOnce(T) -> U) -> Worked<U> {
        Worked { value: change(self.value), sheet: self.sheet }
    }
}
