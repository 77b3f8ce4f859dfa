//! Calculations on heat delivered and its cost.

use crate::trade::calc::Calculation;
use crate::trade::calc::argument::{Arguments, CalcError, Parameter};
use crate::trade::heat::boiler::BoilerFlow;
use crate::trade::heat::cost::LostEfficiency;
use crate::trade::heat::degree_day::Season;
use crate::trade::heat::output;
use crate::trade::quantity::{DegreeDays, Energy};
use crate::trade::unit::Unit;
use crate::trade::worked::Sheet;

const INPUT: Parameter = Parameter::figure("input", Unit::BtuH, "input");

pub(super) const CALCULATIONS: &[Calculation] = &[
    Calculation {
        name: "output",
        about: "output from input and efficiency",
        parameters: &[INPUT, Parameter::figure("efficiency", Unit::Pct, "efficiency, gross")],
        work: output_of,
    },
    Calculation {
        name: "boiler-flow",
        about: "boiler water flow from its rise",
        parameters: &[
            Parameter::figure("heat", Unit::BtuH, "heat into the water"),
            Parameter::figure("supply", Unit::F, "water out").read_by("water_supply"),
            Parameter::figure("return", Unit::F, "water in").read_by("water_return"),
        ],
        work: boiler_flow,
    },
    Calculation {
        name: "lost-efficiency",
        about: "what lost efficiency costs, on figures entered",
        parameters: &[
            INPUT,
            Parameter::figure("hours", Unit::H, "burner hours at full fire"),
            Parameter::figure("now", Unit::Pct, "efficiency now"),
            Parameter::figure("proved", Unit::Pct, "efficiency as it was proved"),
            Parameter::figure("price", Unit::MoneyTherm, "price of gas per therm"),
        ],
        work: lost_efficiency,
    },
    Calculation {
        name: "degree-days",
        about: "gas for heating per degree-day, against another season",
        parameters: &[
            Parameter::figure("gas", Unit::Therm, "gas used"),
            Parameter::figure("base_load", Unit::Therm, "gas not for heating").or("0"),
            Parameter::figure("degree_days", Unit::DdF, "degree-days of the same time"),
            Parameter::figure("gas_before", Unit::Therm, "gas of the season before").optional(),
            Parameter::figure("degree_days_before", Unit::DdF, "its degree-days").optional(),
        ],
        work: degree_days,
    },
];

fn output_of(arguments: &Arguments) -> Result<Sheet, CalcError> {
    Ok(output::worked(arguments.get("input")?, arguments.get("efficiency")?)?.sheet)
}

fn boiler_flow(arguments: &Arguments) -> Result<Sheet, CalcError> {
    let boiler = BoilerFlow {
        heat: arguments.get("heat")?,
        supply: arguments.get("supply")?,
        returned: arguments.get("return")?,
    };
    Ok(boiler.worked()?.sheet)
}

fn lost_efficiency(arguments: &Arguments) -> Result<Sheet, CalcError> {
    let lost = LostEfficiency {
        input: arguments.get("input")?,
        hours: arguments.get("hours")?,
        now: arguments.get("now")?,
        proved: arguments.get("proved")?,
        price: arguments.get("price")?,
    };
    Ok(lost.worked()?.sheet)
}

fn degree_days(arguments: &Arguments) -> Result<Sheet, CalcError> {
    let base_load: Energy = arguments.get("base_load")?;
    let season = |gas: Energy, degree_days: DegreeDays| Season { gas, base_load, degree_days };
    let before = match (arguments.maybe("gas_before")?, arguments.maybe("degree_days_before")?) {
        (Some(gas), Some(days)) => Some(season(gas, days)),
        _ => None,
    };
    let now = season(arguments.get("gas")?, arguments.get("degree_days")?);
    Ok(now.worked(before.as_ref())?.sheet)
}
