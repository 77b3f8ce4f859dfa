//! Calculations on flue gas.

use crate::trade::calc::Calculation;
use crate::trade::calc::argument::{Arguments, CalcError, Parameter};
use crate::trade::flue::condensate::Condensate;
use crate::trade::flue::cross_check::{CrossCheck, Witness};
use crate::trade::flue::dew_point::FlueDew;
use crate::trade::flue::{Dilution, FlueReading, air_free, excess, sheet, siegert};
use crate::trade::fuel::Fuel;
use crate::trade::quantity::Concentration;
use crate::trade::unit::Unit;
use crate::trade::worked::Sheet;

const FUEL: Parameter = Parameter::word("fuel", "a named fuel").or("natural_gas");
const O2: Parameter = Parameter::figure("o2", Unit::Pct, "flue O2, dry").read_by("flue_o2");
const CO: Parameter = Parameter::figure("co", Unit::Ppm, "flue CO, dry").read_by("flue_co");
const FLUE: Parameter =
    Parameter::figure("flue", Unit::F, "flue temperature, hottest point").read_by("stack_temp");
const AIR: Parameter =
    Parameter::figure("air", Unit::F, "combustion air temperature").read_by("combustion_air_temp");
const HUMIDITY: Parameter =
    Parameter::figure("humidity", Unit::Pct, "relative humidity of the air").or("0");
const PRESSURE: Parameter =
    Parameter::figure("pressure", Unit::Psia, "air pressure at the site").or("14.696");
const FRESH_AIR: Parameter =
    Parameter::figure("fresh_air", Unit::Pct, "O2 that the instrument shows in fresh air")
        .or("20.939");

pub(super) const CALCULATIONS: &[Calculation] = &[
    Calculation {
        name: "efficiency",
        about: "excess air, losses, efficiency, dew point and CO air-free of one flue reading",
        parameters: &[FUEL, O2, CO.or("0"), FLUE, AIR, HUMIDITY, PRESSURE, FRESH_AIR],
        work: efficiency,
    },
    Calculation {
        name: "excess-air",
        about: "excess air from O2, and the CO2 that goes with it",
        parameters: &[FUEL, O2, CO.or("0"), FRESH_AIR],
        work: excess_air,
    },
    Calculation {
        name: "co2-from-o2",
        about: "the CO2 that goes with an O2 reading, for the cross-check",
        parameters: &[FUEL, O2, CO.or("0"), FRESH_AIR],
        work: co2_from_o2,
    },
    Calculation {
        name: "co-air-free",
        about: "CO referred to no excess air, with where it means nothing",
        parameters: &[O2, CO, FRESH_AIR],
        work: co_air_free,
    },
    Calculation {
        name: "cross-check",
        about: "O2 against CO2: wrong fuel in the instrument, tired cell, or slip",
        parameters: &[
            FUEL,
            O2,
            Parameter::figure("co2", Unit::Pct, "flue CO2, dry").read_by("flue_co2"),
            CO.or("0"),
            Parameter::word("co2_was", "measured or calculated").or("measured"),
            FRESH_AIR,
            Parameter::figure("tolerance", Unit::Pct, "how far CO2 may be apart").or("0.5"),
        ],
        work: cross_check,
    },
    Calculation {
        name: "siegert",
        about: "flue loss by the Siegert rule, beside the exact one",
        parameters: &[FUEL, O2, FLUE, AIR],
        work: siegert_loss,
    },
    Calculation {
        name: "dew-point",
        about: "where the flue gas begins to drip",
        parameters: &[
            FUEL,
            O2,
            AIR.or("70"),
            HUMIDITY.or("50"),
            PRESSURE,
            Parameter::figure("surface", Unit::F, "coldest surface of the vent").optional(),
        ],
        work: dew_point,
    },
    Calculation {
        name: "condensate",
        about: "heat won back by condensing, from the water caught",
        parameters: &[
            Parameter::figure("caught", Unit::L, "condensate caught"),
            Parameter::figure("time", Unit::Min, "time of catching"),
            FLUE,
            Parameter::figure("input", Unit::BtuH, "input on the gross value"),
        ],
        work: condensate,
    },
];

fn reading(arguments: &Arguments) -> Result<FlueReading, CalcError> {
    Ok(FlueReading {
        dilution: Dilution::Oxygen(arguments.get("o2")?),
        co: arguments.get("co")?,
        flue: arguments.get("flue")?,
        air: arguments.get("air")?,
        humidity: arguments.get("humidity")?,
        pressure: arguments.get("pressure")?,
        fresh_air: arguments.get("fresh_air")?,
    })
}

fn efficiency(arguments: &Arguments) -> Result<Sheet, CalcError> {
    let fuel = arguments.fuel("fuel")?;
    Ok(sheet::plain(&fuel, &reading(arguments)?)?.sheet)
}

fn dilution(
    arguments: &Arguments,
) -> Result<(Fuel, Concentration, Concentration, Concentration), CalcError> {
    let (o2, co) = (arguments.get("o2")?, arguments.get("co")?);
    Ok((arguments.fuel("fuel")?, o2, co, arguments.get("fresh_air")?))
}

fn excess_air(arguments: &Arguments) -> Result<Sheet, CalcError> {
    let (fuel, o2, co, fresh_air) = dilution(arguments)?;
    Ok(excess::worked(&fuel, o2, co, fresh_air)?.sheet)
}

fn co2_from_o2(arguments: &Arguments) -> Result<Sheet, CalcError> {
    let (fuel, o2, co, fresh_air) = dilution(arguments)?;
    let mut sheet = excess::worked(&fuel, o2, co, fresh_air)?.sheet;
    sheet.formula = &excess::CO2_FROM_O2;
    sheet.results.reverse();
    Ok(sheet)
}

fn co_air_free(arguments: &Arguments) -> Result<Sheet, CalcError> {
    let (o2, co) = (arguments.get("o2")?, arguments.get("co")?);
    Ok(air_free::worked(o2, co, arguments.get("fresh_air")?)?.sheet)
}

fn cross_check(arguments: &Arguments) -> Result<Sheet, CalcError> {
    let fuel = arguments.fuel("fuel")?;
    let witnesses = [("measured", Witness::Measured), ("calculated", Witness::Calculated)];
    let check = CrossCheck {
        fuel: &fuel,
        o2: arguments.get("o2")?,
        co2: arguments.get("co2")?,
        co: arguments.get("co")?,
        witness: arguments.choice("co2_was", &witnesses, "measured, calculated")?,
        fresh_air: arguments.get("fresh_air")?,
        tolerance: arguments.get("tolerance")?,
    };
    Ok(check.worked()?.sheet)
}

fn siegert_loss(arguments: &Arguments) -> Result<Sheet, CalcError> {
    let fuel = arguments.fuel("fuel")?;
    let (o2, flue) = (arguments.get("o2")?, arguments.get("flue")?);
    Ok(siegert::worked(&fuel, o2, flue, arguments.get("air")?)?.sheet)
}

fn dew_point(arguments: &Arguments) -> Result<Sheet, CalcError> {
    let fuel = arguments.fuel("fuel")?;
    let dew = FlueDew {
        fuel: &fuel,
        dilution: Dilution::Oxygen(arguments.get("o2")?),
        air: arguments.get("air")?,
        humidity: arguments.get("humidity")?,
        pressure: arguments.get("pressure")?,
    };
    Ok(dew.worked(arguments.maybe("surface")?)?.sheet)
}

fn condensate(arguments: &Arguments) -> Result<Sheet, CalcError> {
    let jug = Condensate {
        caught: arguments.get("caught")?,
        time: arguments.get("time")?,
        flue: arguments.get("flue")?,
        input: arguments.get("input")?,
    };
    Ok(jug.worked()?.sheet)
}
