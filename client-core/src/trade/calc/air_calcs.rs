//! Calculations on the air side.

use crate::trade::air::draft::Draft;
use crate::trade::air::exhaust::Balance;
use crate::trade::air::moist::MoistAir;
use crate::trade::air::opening::CombustionAir;
use crate::trade::air::rise::{self, RiseAirflow};
use crate::trade::air::static_pressure::Statics;
use crate::trade::calc::Calculation;
use crate::trade::calc::argument::{Arguments, CalcError, Parameter};
use crate::trade::quantity::ActualFlow;
use crate::trade::unit::Unit;
use crate::trade::worked::Sheet;

const INLET: Parameter =
    Parameter::figure("in", Unit::F, "air in, mean of three points").read_by("air_in");
const OUTLET: Parameter =
    Parameter::figure("out", Unit::F, "air out, out of radiant sight").read_by("air_out");
const HUMIDITY: Parameter = Parameter::figure("humidity", Unit::Pct, "relative humidity").or("30");
const PRESSURE: Parameter =
    Parameter::figure("pressure", Unit::Psia, "air pressure at the site").or("14.696");

pub(super) const CALCULATIONS: &[Calculation] = &[
    Calculation {
        name: "temperature-rise",
        about: "air out less air in, against the plate's window",
        parameters: &[
            INLET,
            OUTLET,
            Parameter::figure("plate_min", Unit::DeltaF, "least rise of the plate").optional(),
            Parameter::figure("plate_max", Unit::DeltaF, "greatest rise of the plate").optional(),
        ],
        work: temperature_rise,
    },
    Calculation {
        name: "airflow",
        about: "airflow from output and rise, with density and humidity",
        parameters: &[
            Parameter::figure("heat", Unit::BtuH, "output into the air").good_to("5 %"),
            INLET,
            OUTLET,
            HUMIDITY,
            PRESSURE,
        ],
        work: airflow,
    },
    Calculation {
        name: "density",
        about: "moist air: density against 0.075 lb/ft3, dew point, wet bulb",
        parameters: &[
            Parameter::figure("dry_bulb", Unit::F, "air temperature").read_by("space_temp"),
            HUMIDITY,
            PRESSURE,
        ],
        work: density,
    },
    Calculation {
        name: "draft",
        about: "draft of a warm vent without flow",
        parameters: &[
            Parameter::word("fuel", "a named fuel").or("natural_gas"),
            Parameter::figure("excess_air", Unit::Pct, "excess air with dilution"),
            Parameter::figure("height", Unit::Ft, "height of the vent"),
            Parameter::figure("flue", Unit::F, "mean flue temperature").read_by("stack_temp"),
            Parameter::figure("outdoor", Unit::F, "outdoor temperature").read_by("outdoor_temp"),
            HUMIDITY,
            PRESSURE,
        ],
        work: draft,
    },
    Calculation {
        name: "combustion-air",
        about: "openings and room volume by the code's rules",
        parameters: &[
            Parameter::figure("fan_assisted", Unit::BtuH, "input of fan-assisted units").or("0"),
            Parameter::figure("other", Unit::BtuH, "input of all other units").or("0"),
            Parameter::figure("air_changes", Unit::Ratio, "air changes per hour").optional(),
            Parameter::figure("room", Unit::Ft3, "room volume").optional(),
        ],
        work: combustion_air,
    },
    Calculation {
        name: "exhaust-balance",
        about: "exhaust against make-up air; several fans as \"4000 cfm + 1500 cfm\"",
        parameters: &[
            Parameter::figure("exhaust", Unit::Cfm, "exhaust fans"),
            Parameter::figure("make_up", Unit::Cfm, "make-up air units").or("0"),
            Parameter::figure("combustion", Unit::Cfm, "air of burners and hoods").or("0"),
            Parameter::figure("building", Unit::InWc, "pressure of the building")
                .optional()
                .read_by("building_dp"),
            Parameter::figure("volume", Unit::Ft3, "volume of the building").optional(),
        ],
        work: exhaust_balance,
    },
    Calculation {
        name: "static-pressure",
        about: "where the fan's pressure goes: filter, coil, ducts",
        parameters: &[
            Parameter::figure("before_filter", Unit::InWc, "static before the filter, negative")
                .read_by("external_static"),
            Parameter::figure("behind_filter", Unit::InWc, "static behind the filter, negative")
                .read_by("external_static"),
            Parameter::figure("behind_unit", Unit::InWc, "static behind the unit")
                .read_by("external_static"),
            Parameter::figure("supply", Unit::InWc, "static in the supply, behind the coil")
                .read_by("external_static"),
            Parameter::figure("plate", Unit::InWc, "greatest external static of the plate")
                .optional(),
        ],
        work: static_pressure,
    },
];

fn temperature_rise(arguments: &Arguments) -> Result<Sheet, CalcError> {
    let window = (arguments.maybe("plate_min")?, arguments.maybe("plate_max")?);
    Ok(rise::worked(arguments.get("in")?, arguments.get("out")?, window)?.sheet)
}

fn airflow(arguments: &Arguments) -> Result<Sheet, CalcError> {
    let unit = RiseAirflow {
        heat: arguments.get("heat")?,
        inlet: arguments.get("in")?,
        outlet: arguments.get("out")?,
        humidity: arguments.get("humidity")?,
        pressure: arguments.get("pressure")?,
    };
    Ok(unit.worked()?.sheet)
}

fn density(arguments: &Arguments) -> Result<Sheet, CalcError> {
    let air = MoistAir {
        dry_bulb: arguments.get("dry_bulb")?,
        humidity: arguments.get("humidity")?,
        pressure: arguments.get("pressure")?,
    };
    Ok(air.worked()?.sheet)
}

fn draft(arguments: &Arguments) -> Result<Sheet, CalcError> {
    let fuel = arguments.fuel("fuel")?;
    let vent = Draft {
        fuel: &fuel,
        excess_air: arguments.get("excess_air")?,
        height: arguments.get("height")?,
        flue: arguments.get("flue")?,
        outdoor: arguments.get("outdoor")?,
        humidity: arguments.get("humidity")?,
        pressure: arguments.get("pressure")?,
    };
    Ok(vent.worked()?.sheet)
}

fn combustion_air(arguments: &Arguments) -> Result<Sheet, CalcError> {
    let room = CombustionAir {
        fan_assisted: arguments.get("fan_assisted")?,
        other: arguments.get("other")?,
        air_changes: arguments.maybe("air_changes")?,
        room: arguments.maybe("room")?,
    };
    Ok(room.worked()?.sheet)
}

fn exhaust_balance(arguments: &Arguments) -> Result<Sheet, CalcError> {
    let exhaust: Vec<ActualFlow> = arguments.list("exhaust")?;
    let make_up: Vec<ActualFlow> = arguments.list("make_up")?;
    let balance = Balance {
        exhaust: &exhaust,
        make_up: &make_up,
        combustion: arguments.get("combustion")?,
        building: arguments.maybe("building")?,
        volume: arguments.maybe("volume")?,
    };
    Ok(balance.worked()?.sheet)
}

fn static_pressure(arguments: &Arguments) -> Result<Sheet, CalcError> {
    let statics = Statics {
        before_filter: arguments.get("before_filter")?,
        behind_filter: arguments.get("behind_filter")?,
        behind_unit: arguments.get("behind_unit")?,
        supply: arguments.get("supply")?,
        plate: arguments.maybe("plate")?,
    };
    Ok(statics.worked()?.sheet)
}
