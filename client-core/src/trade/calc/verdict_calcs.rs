//! Verdicts and agreement, on figures of any reading kind.

use crate::trade::calc::Calculation;
use crate::trade::calc::argument::{Arguments, CalcError, Parameter};
use crate::trade::impossible::Impossible;
use crate::trade::quantity::Amount;
use crate::trade::reading::{Kind, kind};
use crate::trade::uncertainty::{Accuracy, Calibration, Uncertain};
use crate::trade::unit::{TypedWrong, parse_in};
use crate::trade::verdict::{Guard, Limit, agreement, judge_worked};
use crate::trade::worked::Sheet;

const READING: Parameter = Parameter::word(
    "reading",
    "kind of reading, for example manifold_high, flue_o2, flame_current",
);

pub(super) const CALCULATIONS: &[Calculation] = &[
    Calculation {
        name: "verdict",
        about: "a figure against its limits: within, outside by so much, or too close to call",
        parameters: &[
            READING,
            Parameter::word("figure", "the figure; its accuracy behind ± where known"),
            Parameter::word("at_least", "lower limit").optional(),
            Parameter::word("at_most", "upper limit").optional(),
            Parameter::word("source", "where the limit comes from, with its date"),
        ],
        work: verdict,
    },
    Calculation {
        name: "two-readings",
        about: "whether two readings of the same thing agree",
        parameters: &[
            READING,
            Parameter::word("first", "the first figure"),
            Parameter::word("second", "the second figure"),
        ],
        work: two_readings,
    },
];

fn kind_of(arguments: &Arguments) -> Result<&'static Kind, CalcError> {
    let word = arguments.word("reading").unwrap_or("");
    kind(word).ok_or_else(|| CalcError::UnknownWord {
        key: "reading",
        word: word.to_owned(),
        known: "the kinds of reading, for example manifold_high, inlet_flowing, flue_o2, flue_co",
    })
}

fn amount(key: &'static str, text: &str, kind: &Kind) -> Result<Amount, CalcError> {
    let wrong = |source: TypedWrong| CalcError::Typed { key, source };
    let (value, unit) = parse_in(text, kind.unit).map_err(wrong)?;
    Ok(Amount::new(value.to_f64(), unit))
}

fn figure(arguments: &Arguments, key: &'static str, kind: &Kind) -> Result<Uncertain, CalcError> {
    let text = arguments.word(key).unwrap_or("");
    let (text, doubt) = match text.split_once('±').or_else(|| text.split_once("+-")) {
        Some((text, doubt)) => (text, Some(doubt)),
        None => (text, None),
    };
    let amount = amount(key, text, kind)?;
    let wrong = |source: TypedWrong| CalcError::Typed { key, source };
    let own = doubt.map(|doubt| Accuracy::typed(doubt, amount.unit)).transpose().map_err(wrong)?;
    let read = kind.uncertain(amount, own, Calibration::Unknown);
    read.ok_or(CalcError::WrongKind(key))
}

fn verdict(arguments: &Arguments) -> Result<Sheet, CalcError> {
    let kind = kind_of(arguments)?;
    let end = |key| arguments.word(key).map(|text| amount(key, text, kind)).transpose();
    let (low, high) = (end("at_least")?, end("at_most")?);
    if low.is_none() && high.is_none() {
        return Err(CalcError::Impossible(Impossible::NoFigure { what: "the limit" }));
    }
    let source = arguments.word("source").unwrap_or("").to_owned();
    let limit = Limit { low, high, source };
    let read = figure(arguments, "figure", kind)?;
    Ok(judge_worked(kind.key, read, &limit, Guard::COMMON)?.sheet)
}

fn two_readings(arguments: &Arguments) -> Result<Sheet, CalcError> {
    let kind = kind_of(arguments)?;
    let (first, second) = (figure(arguments, "first", kind)?, figure(arguments, "second", kind)?);
    Ok(agreement::worked(first, second)?.sheet)
}
