//! What a calculation takes, and what people typed for it.

use crate::trade::fuel::Fuel;
use crate::trade::impossible::Impossible;
use crate::trade::quantity::{Amount, Quantity};
use crate::trade::reading;
use crate::trade::uncertainty::{Accuracy, Calibration, Uncertain};
use crate::trade::unit::{TypedWrong, Unit, parse_in};
use std::collections::BTreeMap;

/// One thing that a calculation takes.
#[derive(Clone, Copy, Debug)]
pub struct Parameter {
    /// Key as typed.
    pub key: &'static str,
    /// What it is.
    pub help: &'static str,
    /// Unit taken where none is typed; none for a word.
    pub unit: Option<Unit>,
    /// What is taken where nothing is typed.
    pub default: Default,
    /// Kind of reading whose usual accuracy stands in; empty where there is none.
    pub kind: &'static str,
    /// Accuracy that stands in where there is no kind; empty for a figure taken as it is.
    pub doubt: &'static str,
}

/// What is taken where nothing is typed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Default {
    /// It must be typed.
    Required,
    /// It may be left out.
    Optional,
    /// This text.
    Text(&'static str),
}

impl Parameter {
    /// A figure that must be typed.
    pub(super) const fn figure(key: &'static str, unit: Unit, help: &'static str) -> Parameter {
        Parameter { key, help, unit: Some(unit), default: Default::Required, kind: "", doubt: "" }
    }

    /// A word that must be typed.
    pub(super) const fn word(key: &'static str, help: &'static str) -> Parameter {
        Parameter { key, help, unit: None, default: Default::Required, kind: "", doubt: "" }
    }

    /// With a text for where nothing is typed.
    pub(super) const fn or(mut self, text: &'static str) -> Parameter {
        self.default = Default::Text(text);
        self
    }

    /// That may be left out.
    pub(super) const fn optional(mut self) -> Parameter {
        self.default = Default::Optional;
        self
    }

    /// Read by an instrument of this kind.
    pub(super) const fn read_by(mut self, kind: &'static str) -> Parameter {
        self.kind = kind;
        self
    }

    /// Good to so much where nobody typed an accuracy.
    pub(super) const fn good_to(mut self, doubt: &'static str) -> Parameter {
        self.doubt = doubt;
        self
    }
}

/// Why a calculation cannot be made.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum CalcError {
    /// No calculation of this name.
    #[error("there is no calculation `{0}`: ask for the list")]
    UnknownCalculation(String),
    /// No parameter of this key.
    #[error("`{key}` is none of {known}")]
    UnknownParameter {
        /// The key typed.
        key: String,
        /// Keys that there are.
        known: String,
    },
    /// The same key typed twice.
    #[error("`{0}` is given twice: give it once")]
    Twice(String),
    /// A figure that must be typed is not.
    #[error("`{key}` is missing: {help}")]
    Missing {
        /// The key.
        key: &'static str,
        /// What it is.
        help: &'static str,
    },
    /// A text that is no figure of the kind.
    #[error("`{key}`: {source}")]
    Typed {
        /// The key.
        key: &'static str,
        /// What is wrong with it.
        source: TypedWrong,
    },
    /// A word that is none of those known.
    #[error("`{key}` is `{word}`: use one of {known}")]
    UnknownWord {
        /// The key.
        key: &'static str,
        /// The word.
        word: String,
        /// Words that there are.
        known: &'static str,
    },
    /// A quantity of another kind than the calculation takes. A slip of the program, not of the person.
    #[error("`{0}` has a unit of another kind: check the unit")]
    WrongKind(&'static str),
    /// The sum refuses.
    #[error(transparent)]
    Impossible(#[from] Impossible),
}

/// A figure as typed, with its doubt.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Figure {
    amount: Amount,
    u: f64,
}

#[derive(Clone, Debug, PartialEq)]
enum Given {
    Figure(Figure),
    Figures(Vec<Amount>),
    Word(String),
}

/// What people typed, by key.
#[derive(Clone, Debug, PartialEq)]
pub struct Arguments {
    given: BTreeMap<&'static str, Given>,
    defaults: Vec<(&'static str, &'static str)>,
    help: BTreeMap<&'static str, &'static str>,
}

impl Arguments {
    /// Reads "key, text" pairs.
    pub(super) fn read(
        parameters: &'static [Parameter],
        texts: &[(&str, &str)],
    ) -> Result<Arguments, CalcError> {
        for (at, (key, _)) in texts.iter().enumerate() {
            if !parameters.iter().any(|parameter| parameter.key == *key) {
                let known: Vec<&str> = parameters.iter().map(|parameter| parameter.key).collect();
                let known = known.join(", ");
                return Err(CalcError::UnknownParameter { key: (*key).to_owned(), known });
            }
            if texts[..at].iter().any(|(before, _)| before == key) {
                return Err(CalcError::Twice((*key).to_owned()));
            }
        }
        let (mut given, mut defaults) = (BTreeMap::new(), Vec::new());
        for parameter in parameters {
            let typed = texts.iter().find(|(key, _)| *key == parameter.key).map(|(_, text)| *text);
            let text = match (typed.filter(|text| !text.trim().is_empty()), parameter.default) {
                (Some(text), _) => text,
                (None, Default::Text(text)) => {
                    defaults.push((parameter.key, text));
                    text
                }
                (None, Default::Optional) => continue,
                (None, Default::Required) => {
                    return Err(CalcError::Missing { key: parameter.key, help: parameter.help });
                }
            };
            let one = read_one(parameter, text);
            let wrong = |source| CalcError::Typed { key: parameter.key, source };
            given.insert(parameter.key, one.map_err(wrong)?);
        }
        let help = parameters.iter().map(|parameter| (parameter.key, parameter.help)).collect();
        Ok(Arguments { given, defaults, help })
    }

    /// The defaults that stood in, by key and text.
    pub(super) fn defaults(&self) -> Vec<(&'static str, &'static str)> {
        self.defaults.clone()
    }

    /// A quantity that must be there.
    pub(super) fn get<Q: Quantity>(&self, key: &'static str) -> Result<Q, CalcError> {
        let help = self.help.get(key).copied().unwrap_or("");
        self.maybe(key)?.ok_or(CalcError::Missing { key, help })
    }

    /// A quantity that may be there.
    pub(super) fn maybe<Q: Quantity>(&self, key: &'static str) -> Result<Option<Q>, CalcError> {
        match self.given.get(key) {
            Some(Given::Figure(figure)) => {
                Q::from_amount(figure.amount).map(Some).ok_or(CalcError::WrongKind(key))
            }
            _ => Ok(None),
        }
    }

    /// Several quantities, joined by "+" as typed.
    pub(super) fn list<Q: Quantity>(&self, key: &'static str) -> Result<Vec<Q>, CalcError> {
        let amounts: &[Amount] = match self.given.get(key) {
            Some(Given::Figures(amounts)) => amounts,
            Some(Given::Figure(figure)) => std::slice::from_ref(&figure.amount),
            _ => &[],
        };
        let quantity = |amount: &Amount| Q::from_amount(*amount).ok_or(CalcError::WrongKind(key));
        amounts.iter().map(quantity).collect()
    }

    /// A word that may be there.
    pub(super) fn word(&self, key: &'static str) -> Option<&str> {
        match self.given.get(key) {
            Some(Given::Word(word)) => Some(word),
            _ => None,
        }
    }

    /// One of some words.
    pub(super) fn choice<T: Copy>(
        &self,
        key: &'static str,
        choices: &[(&str, T)],
        known: &'static str,
    ) -> Result<T, CalcError> {
        let help = self.help.get(key).copied().unwrap_or("");
        let word = self.word(key).ok_or(CalcError::Missing { key, help })?.to_lowercase();
        let found = choices.iter().find(|(own, _)| *own == word);
        found.map(|(_, choice)| *choice).ok_or(CalcError::UnknownWord { key, word, known })
    }

    /// A named fuel.
    pub(super) fn fuel(&self, key: &'static str) -> Result<Fuel, CalcError> {
        let word = self.word(key).unwrap_or("natural_gas");
        Fuel::named(word).ok_or_else(|| CalcError::UnknownWord {
            key,
            word: word.to_owned(),
            known: "the named fuels, for example natural_gas, propane, biogas, oil2",
        })
    }

    /// Keys and figures that carry a doubt.
    pub(super) fn uncertain(&self) -> (Vec<&'static str>, Vec<Uncertain>) {
        let figures = self.given.iter().filter_map(|(key, given)| match given {
            Given::Figure(Figure { amount, u }) if *u > 0.0 => {
                Some((*key, Uncertain { amount: *amount, u: *u }))
            }
            _ => None,
        });
        figures.unzip()
    }

    /// The same with other figures under some keys.
    pub(super) fn moved(&self, keys: &[&'static str], figures: &[f64]) -> Arguments {
        let mut moved = self.clone();
        for (key, figure) in keys.iter().zip(figures) {
            if let Some(Given::Figure(own)) = moved.given.get_mut(key) {
                own.amount.value = *figure;
            }
        }
        moved
    }
}

fn read_one(parameter: &Parameter, text: &str) -> Result<Given, TypedWrong> {
    let Some(field) = parameter.unit else { return Ok(Given::Word(text.trim().to_owned())) };
    let parts: Vec<&str> = text.split(" + ").collect();
    if parts.len() > 1 {
        let amount = |part: &&str| {
            parse_in(part, field).map(|(value, unit)| Amount::new(value.to_f64(), unit))
        };
        return Ok(Given::Figures(parts.iter().map(amount).collect::<Result<_, _>>()?));
    }
    let (figure, doubt) = match text.split_once('±').or_else(|| text.split_once("+-")) {
        Some((figure, doubt)) => (figure, Some(doubt)),
        None => (text, None),
    };
    let (value, unit) = parse_in(figure, field)?;
    let amount = Amount::new(value.to_f64(), unit);
    let kind = reading::kind(parameter.kind).map(|kind| kind.accuracy);
    let accuracy = match (doubt, kind) {
        (Some(doubt), _) => Some(Accuracy::typed(doubt, unit)?),
        (None, None) if !parameter.doubt.is_empty() => {
            Some(Accuracy::typed(parameter.doubt, field)?)
        }
        (None, kind) => kind,
    };
    let u = accuracy.map_or(0.0, |own| own.standard(amount, Calibration::Unknown));
    Ok(Given::Figure(Figure { amount, u }))
}
