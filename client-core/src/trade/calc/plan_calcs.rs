//! Calculations for the plan of a day and the next visit.

use crate::trade::calc::Calculation;
use crate::trade::calc::argument::{Arguments, CalcError, Parameter};
use crate::trade::plan::due::{Day, Due};
use crate::trade::plan::priority::{Hazard, Need};
use crate::trade::unit::Unit;
use crate::trade::worked::Sheet;

pub(super) const CALCULATIONS: &[Calculation] = &[
    Calculation {
        name: "due-date",
        about: "the next visit from the last, an interval and the season",
        parameters: &[
            Parameter::word("last", "day of the last visit, as 2024-10-08"),
            Parameter::figure("interval", Unit::Day, "interval in days"),
            Parameter::word("season", "start of the season, as 10-01").optional(),
        ],
        work: due_date,
    },
    Calculation {
        name: "priority",
        about: "rank of a unit for the morning plan",
        parameters: &[
            Parameter::word("hazard", "none, note, advise, urgent, shut down").or("none"),
            Parameter::figure("margin", Unit::Ratio, "thinnest margin left, 0 to 1").or("1"),
            Parameter::figure("in_use", Unit::Ratio, "share of the week in use, 0 to 1").or("0.5"),
            Parameter::figure("season", Unit::Ratio, "nearness of cold, 0 to 1").or("0.5"),
            Parameter::figure("overdue", Unit::Ratio, "overdue share of the interval, 0 to 1")
                .or("0"),
        ],
        work: priority,
    },
];

/// Numbers of a date's parts.
fn parts(text: &str) -> Vec<Option<i32>> {
    text.split('-').map(|part| part.trim().parse().ok()).collect()
}

fn small(number: Option<i32>) -> Option<u8> {
    number.and_then(|number| u8::try_from(number).ok())
}

fn due_date(arguments: &Arguments) -> Result<Sheet, CalcError> {
    let unknown = |key, known| {
        let word = arguments.word(key).unwrap_or("").to_owned();
        CalcError::UnknownWord { key, word, known }
    };
    let last = match parts(arguments.word("last").unwrap_or("")).as_slice() {
        [Some(year), month, day] => {
            small(*month).zip(small(*day)).and_then(|(month, day)| Day::of(*year, month, day))
        }
        _ => None,
    };
    let last = last.ok_or_else(|| unknown("last", "a date as 2024-10-08"))?;
    let season_starts = match arguments.word("season") {
        None => None,
        Some(text) => match parts(text).as_slice() {
            [month, day] => small(*month).zip(small(*day)),
            _ => return Err(unknown("season", "a month and day as 10-01")),
        },
    };
    let due = Due { last, interval: arguments.get("interval")?, season_starts };
    Ok(due.worked()?.sheet)
}

fn priority(arguments: &Arguments) -> Result<Sheet, CalcError> {
    let classes = [
        ("none", Hazard::None),
        ("note", Hazard::Note),
        ("advise", Hazard::Advise),
        ("urgent", Hazard::Urgent),
        ("shut down", Hazard::ShutDown),
        ("shut_down", Hazard::ShutDown),
    ];
    let known = "none, note, advise, urgent, shut down";
    let need = Need {
        hazard: arguments.choice("hazard", &classes, known)?,
        margin: arguments.get("margin")?,
        in_use: arguments.get("in_use")?,
        season: arguments.get("season")?,
        overdue: arguments.get("overdue")?,
    };
    Ok(need.worked()?.sheet)
}
