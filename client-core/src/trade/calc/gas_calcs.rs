//! Calculations on the gas side.

mod pipes;

use crate::trade::calc::Calculation;
use crate::trade::calc::argument::{Arguments, CalcError, Parameter};
use crate::trade::fuel::Fuel;
use crate::trade::gas::BurnerGas;
use crate::trade::gas::altitude::Altitude;
use crate::trade::gas::clock::{Clocking, pressure_factor_worked};
use crate::trade::gas::conversion::Conversion;
use crate::trade::gas::drill::{Drill, Series};
use crate::trade::gas::kit::{Kit, KitCheck};
use crate::trade::gas::manifold::SquareRoot;
use crate::trade::gas::orifice::{Orifice, size_worked};
use crate::trade::gas::pilot::Pilot;
use crate::trade::quantity::{GasBase, Length, Quantity, Temperature};
use crate::trade::unit::Unit;
use crate::trade::worked::Sheet;

pub(super) const BAROMETER: Parameter = Parameter::figure(
    "barometer",
    Unit::Psia,
    "air pressure at the site, not reduced to sea level",
)
.or("14.696")
.good_to("0.1 psia");
pub(super) const GAS_TEMPERATURE: Parameter =
    Parameter::figure("gas", Unit::F, "gas temperature").or("60").good_to("5 F");
const METER_PRESSURE: Parameter =
    Parameter::figure("gauge", Unit::Psi, "meter pressure").or("0.25").good_to("0.05 psi or 1 %");
const BASE: Parameter =
    Parameter::figure("base", Unit::Psia, "base pressure of the heating value").or("14.73");
const PLATE_INPUT: Parameter = Parameter::figure("plate_input", Unit::BtuH, "input of the plate");
const MANIFOLD: Parameter = Parameter::figure("manifold", Unit::InWc, "manifold pressure measured")
    .read_by("manifold_high");
const FUEL: Parameter = Parameter::word("fuel", "natural, propane, or a named fuel").or("natural");
const DISCHARGE: Parameter =
    Parameter::figure("discharge", Unit::Ratio, "discharge coefficient").or("0.9");

pub(super) const CALCULATIONS: &[Calculation] = &[
    Calculation {
        name: "clocked-input",
        about: "input by timing the meter, with pressure, temperature and heating value",
        parameters: &[
            Parameter::figure("dial", Unit::Ft3, "gas of one turn of the dial"),
            Parameter::figure("turns", Unit::N, "turns timed").or("1"),
            Parameter::figure("time", Unit::S, "time taken").read_by("meter_time"),
            METER_PRESSURE,
            BAROMETER,
            GAS_TEMPERATURE,
            Parameter::figure("heating_value", Unit::BtuFt3, "gross heating value of the bill")
                .or("1025")
                .good_to("1 %"),
            BASE,
            Parameter::figure("plate_input", Unit::BtuH, "input of the plate").optional(),
        ],
        work: clocked,
    },
    Calculation {
        name: "pressure-factor",
        about: "meter pressure above the base: (barometer + gauge) / base",
        parameters: &[METER_PRESSURE, BAROMETER, BASE],
        work: pressure_factor,
    },
    Calculation {
        name: "square-root-input",
        about: "input from the manifold pressure against the plate",
        parameters: &[
            PLATE_INPUT,
            Parameter::figure("plate", Unit::InWc, "manifold pressure of the plate").or("3.5"),
            Parameter::figure("measured", Unit::InWc, "manifold pressure measured")
                .read_by("manifold_high"),
        ],
        work: square_root,
    },
    Calculation {
        name: "orifice-flow",
        about: "gas and heat through a bore or drill size",
        parameters: &[
            Parameter::word("bore", "drill (42, D, 1/8 in, 2.30 mm) or a length (0.0935 in)"),
            MANIFOLD,
            FUEL,
            DISCHARGE,
            BAROMETER,
            GAS_TEMPERATURE,
        ],
        work: orifice,
    },
    Calculation {
        name: "orifice-size",
        about: "the right bore and drill for a heat, gas, pressure and elevation",
        parameters: &[
            Parameter::figure("heat", Unit::BtuH, "heat of one orifice"),
            MANIFOLD,
            FUEL,
            DISCHARGE,
            BAROMETER,
            GAS_TEMPERATURE,
        ],
        work: orifice_size,
    },
    Calculation {
        name: "orifice-conversion",
        about: "the bore for another gas at the same heat",
        parameters: &[
            Parameter::figure("heat", Unit::BtuH, "heat of one orifice"),
            Parameter::word("from", "gas now").or("natural"),
            Parameter::figure("from_pressure", Unit::InWc, "manifold now").or("3.5"),
            Parameter::word("to", "gas then").or("propane"),
            Parameter::figure("to_pressure", Unit::InWc, "manifold then").or("10"),
            DISCHARGE,
            BAROMETER,
            GAS_TEMPERATURE,
        ],
        work: conversion,
    },
    Calculation {
        name: "kit-check",
        about: "whether orifices and spring fit the gas, from input, O2 and manifold together",
        parameters: &[
            Parameter::word("supplied", "gas supplied: natural or propane").or("natural"),
            PLATE_INPUT,
            MANIFOLD,
            Parameter::figure("natural_manifold", Unit::InWc, "manifold of a natural kit")
                .or("3.5"),
            Parameter::figure("propane_manifold", Unit::InWc, "manifold of an LP kit").or("10"),
            Parameter::figure("clocked", Unit::BtuH, "clocked input").optional(),
            Parameter::figure("o2", Unit::Pct, "flue O2, dry").optional(),
            Parameter::figure("o2_right", Unit::Pct, "flue O2 when it was proved right").optional(),
        ],
        work: kit,
    },
    Calculation {
        name: "pilot",
        about: "pilot heat with the main burner off and on",
        parameters: &[
            Parameter::word("bore", "pilot bore").or("0.018 in"),
            Parameter::figure("main_off", Unit::InWc, "pilot pressure, main off")
                .read_by("pilot_pressure"),
            Parameter::figure("main_on", Unit::InWc, "pilot pressure, main on")
                .read_by("pilot_pressure"),
            FUEL,
            BAROMETER,
        ],
        work: pilot,
    },
    Calculation {
        name: "altitude",
        about: "input at elevation: the code's rule both ways, and what the orifice passes",
        parameters: &[
            Parameter::figure("elevation", Unit::Ft, "elevation of the site"),
            PLATE_INPUT,
            Parameter::figure("manifold", Unit::InWc, "manifold pressure").or("3.5"),
            FUEL,
            GAS_TEMPERATURE,
        ],
        work: altitude,
    },
    pipes::PIPE_DROP,
    pipes::PIPE_SIZE,
    pipes::INLET_SAG,
    pipes::VAPORISATION,
    pipes::METERING_PLATE,
];

/// The gas of a word: the trade's two, or a named fuel.
pub(super) fn gas(arguments: &Arguments, key: &'static str) -> Result<BurnerGas, CalcError> {
    let word = arguments.word(key).unwrap_or("natural").to_lowercase();
    match word.as_str() {
        "natural" | "natural gas" | "ng" => Ok(BurnerGas::NATURAL),
        "propane" | "lp" | "lpg" => Ok(BurnerGas::PROPANE),
        other => match Fuel::named(other) {
            Some(fuel) => Ok(BurnerGas::of(&fuel)?),
            None => {
                Err(CalcError::UnknownWord { key, word, known: "natural, propane, or a named gas" })
            }
        },
    }
}

/// The bore of a drill's name or a length.
fn bore(arguments: &Arguments) -> Result<Length, CalcError> {
    let word = arguments.word("bore").unwrap_or("");
    if let Some(drill) = Drill::named(word) {
        return Ok(drill.bore());
    }
    let length = crate::trade::unit::parse_in(word, Unit::In)
        .map_err(|source| CalcError::Typed { key: "bore", source })?;
    let amount = crate::trade::quantity::Amount::new(length.0.to_f64(), length.1);
    Length::from_amount(amount).ok_or(CalcError::WrongKind("bore"))
}

fn clocked(arguments: &Arguments) -> Result<Sheet, CalcError> {
    let clocking = Clocking {
        dial: arguments.get("dial")?,
        revolutions: arguments.get("turns")?,
        time: arguments.get("time")?,
        gauge: arguments.get("gauge")?,
        barometer: arguments.get("barometer")?,
        gas: Some(arguments.get("gas")?),
        heating_value: arguments.get("heating_value")?,
        base: GasBase { pressure: arguments.get("base")?, temperature: Temperature::BASE_60F },
    };
    Ok(clocking.worked(arguments.maybe("plate_input")?)?.sheet)
}

fn pressure_factor(arguments: &Arguments) -> Result<Sheet, CalcError> {
    let (gauge, barometer) = (arguments.get("gauge")?, arguments.get("barometer")?);
    Ok(pressure_factor_worked(gauge, barometer, arguments.get("base")?)?.sheet)
}

fn square_root(arguments: &Arguments) -> Result<Sheet, CalcError> {
    let law = SquareRoot {
        plate_input: arguments.get("plate_input")?,
        plate: arguments.get("plate")?,
        measured: arguments.get("measured")?,
    };
    Ok(law.worked()?.sheet)
}

fn orifice_at(arguments: &Arguments, bore: Length) -> Result<Orifice, CalcError> {
    Ok(Orifice {
        bore,
        pressure: arguments.get("manifold")?,
        gas: gas(arguments, "fuel")?,
        discharge: arguments.get("discharge")?,
        barometer: arguments.get("barometer")?,
        temperature: arguments.get("gas")?,
    })
}

fn orifice(arguments: &Arguments) -> Result<Sheet, CalcError> {
    Ok(orifice_at(arguments, bore(arguments)?)?.worked()?.sheet)
}

fn orifice_size(arguments: &Arguments) -> Result<Sheet, CalcError> {
    let orifice = orifice_at(arguments, Length::from_inches(0.1))?;
    let series = [Series::Number, Series::Letter, Series::Fraction];
    Ok(size_worked(&orifice, arguments.get("heat")?, &series)?.sheet)
}

fn conversion(arguments: &Arguments) -> Result<Sheet, CalcError> {
    let conversion = Conversion {
        heat: arguments.get("heat")?,
        from: gas(arguments, "from")?,
        from_pressure: arguments.get("from_pressure")?,
        to: gas(arguments, "to")?,
        to_pressure: arguments.get("to_pressure")?,
        discharge: arguments.get("discharge")?,
        barometer: arguments.get("barometer")?,
        temperature: arguments.get("gas")?,
    };
    Ok(conversion.worked()?.sheet)
}

fn kit(arguments: &Arguments) -> Result<Sheet, CalcError> {
    let kits = [("natural", Kit::Natural), ("propane", Kit::Propane), ("lp", Kit::Propane)];
    let check = KitCheck {
        supplied: arguments.choice("supplied", &kits, "natural, propane")?,
        plate_input: arguments.get("plate_input")?,
        natural_manifold: arguments.get("natural_manifold")?,
        propane_manifold: arguments.get("propane_manifold")?,
        manifold: arguments.get("manifold")?,
        clocked: arguments.maybe("clocked")?,
        o2: arguments.maybe("o2")?,
        o2_right: arguments.maybe("o2_right")?,
    };
    Ok(check.worked()?.sheet)
}

fn pilot(arguments: &Arguments) -> Result<Sheet, CalcError> {
    let pilot = Pilot {
        bore: bore(arguments)?,
        main_off: arguments.get("main_off")?,
        main_on: arguments.get("main_on")?,
        gas: gas(arguments, "fuel")?,
        barometer: arguments.get("barometer")?,
    };
    Ok(pilot.worked()?.sheet)
}

fn altitude(arguments: &Arguments) -> Result<Sheet, CalcError> {
    let altitude = Altitude {
        elevation: arguments.get("elevation")?,
        manifold: arguments.get("manifold")?,
        temperature: arguments.get("gas")?,
        gas: gas(arguments, "fuel")?,
    };
    Ok(altitude.worked(arguments.get("plate_input")?)?.sheet)
}
