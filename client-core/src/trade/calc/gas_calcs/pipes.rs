//! Calculations on pipes, tanks and metering.

use super::{BAROMETER, GAS_TEMPERATURE};
use crate::trade::calc::Calculation;
use crate::trade::calc::argument::{Arguments, CalcError, Parameter};
use crate::trade::gas::metering_plate::{MeteringPlate, Taps};
use crate::trade::gas::pipe::PipeRun;
use crate::trade::gas::sag::Sag;
use crate::trade::gas::sizing::Sizing;
use crate::trade::gas::vapour::Tank;
use crate::trade::unit::Unit;
use crate::trade::worked::Sheet;

const GRAVITY: Parameter =
    Parameter::figure("gravity", Unit::Ratio, "specific gravity of the gas").or("0.60");
const VISCOSITY: Parameter =
    Parameter::figure("viscosity", Unit::Cp, "viscosity: natural 0.012, propane 0.008").or("0.012");
const LENGTH: Parameter = Parameter::figure("length", Unit::Ft, "longest length with fittings");
const FLOW: Parameter = Parameter::figure("flow", Unit::Scfh, "flow at 60 F, 14.696 psia");
const INLET: Parameter =
    Parameter::figure("inlet", Unit::InWc, "pressure at the inlet").or("7").read_by("inlet_static");

pub(super) const PIPE_DROP: Calculation = Calculation {
    name: "pipe-drop",
    about: "pressure drop of a pipe, exact and by the code's equation",
    parameters: &[
        Parameter::figure("bore", Unit::In, "inner diameter"),
        LENGTH,
        FLOW,
        GRAVITY,
        VISCOSITY,
        INLET,
        BAROMETER,
        GAS_TEMPERATURE,
        Parameter::figure("roughness", Unit::Ft, "roughness of the wall").or("0.00015"),
    ],
    work: pipe_drop,
};

pub(super) const PIPE_SIZE: Calculation = Calculation {
    name: "pipe-size",
    about: "the smallest schedule 40 pipe for a run",
    parameters: &[
        FLOW,
        LENGTH,
        Parameter::figure("allowed", Unit::InWc, "drop allowed").or("0.5"),
        GRAVITY,
        VISCOSITY,
        INLET,
        BAROMETER,
    ],
    work: pipe_size,
};

pub(super) const INLET_SAG: Calculation = Calculation {
    name: "inlet-sag",
    about: "inlet pressure that sags at full fire: pipe or regulator",
    parameters: &[
        Parameter::figure("still", Unit::InWc, "inlet, no flow").read_by("inlet_static"),
        Parameter::figure("flowing", Unit::InWc, "inlet, this unit firing")
            .read_by("inlet_flowing"),
        Parameter::figure("all_on", Unit::InWc, "inlet, all units firing")
            .optional()
            .read_by("inlet_all_on"),
        Parameter::figure("lockup", Unit::InWc, "inlet after a quick shut-off")
            .optional()
            .read_by("lockup"),
        Parameter::figure("plate_min", Unit::InWc, "least inlet of the plate").or("5"),
        Parameter::figure("pipe_drop", Unit::InWc, "drop of the pipe at full fire").optional(),
    ],
    work: inlet_sag,
};

pub(super) const VAPORISATION: Calculation = Calculation {
    name: "propane-vaporisation",
    about: "gas that a propane tank gives off by itself, against the load",
    parameters: &[
        Parameter::figure("diameter", Unit::In, "tank diameter"),
        Parameter::figure("length", Unit::In, "tank length over all"),
        Parameter::figure("fill", Unit::Pct, "liquid by volume"),
        Parameter::figure("air", Unit::F, "air temperature").read_by("outdoor_temp"),
        Parameter::figure("load", Unit::BtuH, "load at full fire"),
    ],
    work: vaporisation,
};

pub(super) const METERING_PLATE: Calculation = Calculation {
    name: "metering-plate",
    about: "flow through an orifice plate in a pipe (ISO 5167-2)",
    parameters: &[
        Parameter::figure("pipe", Unit::Mm, "inner diameter of the pipe"),
        Parameter::figure("bore", Unit::Mm, "bore of the plate"),
        Parameter::figure("pressure", Unit::Psia, "pressure before the plate, above vacuum"),
        Parameter::figure("difference", Unit::InWc, "pressure difference"),
        Parameter::figure("temperature", Unit::F, "gas temperature").or("60"),
        GRAVITY,
        Parameter::figure("isentropic", Unit::Ratio, "isentropic exponent").or("1.30"),
        Parameter::figure("viscosity", Unit::Cp, "viscosity of the gas").or("0.011"),
        Parameter::word("taps", "corner, flange, or d").or("flange"),
    ],
    work: metering_plate,
};

fn pipe_drop(arguments: &Arguments) -> Result<Sheet, CalcError> {
    let run = PipeRun {
        bore: arguments.get("bore")?,
        length: arguments.get("length")?,
        flow: arguments.get("flow")?,
        gravity: arguments.get("gravity")?,
        viscosity: arguments.get("viscosity")?,
        inlet: arguments.get("inlet")?,
        barometer: arguments.get("barometer")?,
        temperature: arguments.get("gas")?,
        roughness: arguments.get("roughness")?,
    };
    Ok(run.worked()?.sheet)
}

fn pipe_size(arguments: &Arguments) -> Result<Sheet, CalcError> {
    let sizing = Sizing {
        flow: arguments.get("flow")?,
        length: arguments.get("length")?,
        allowed: arguments.get("allowed")?,
        gravity: arguments.get("gravity")?,
        viscosity: arguments.get("viscosity")?,
        inlet: arguments.get("inlet")?,
        barometer: arguments.get("barometer")?,
    };
    Ok(sizing.worked()?.sheet)
}

fn inlet_sag(arguments: &Arguments) -> Result<Sheet, CalcError> {
    let sag = Sag {
        still: arguments.get("still")?,
        flowing: arguments.get("flowing")?,
        all_on: arguments.maybe("all_on")?,
        lockup: arguments.maybe("lockup")?,
        plate_min: arguments.get("plate_min")?,
        pipe_drop: arguments.maybe("pipe_drop")?,
    };
    Ok(sag.worked()?.sheet)
}

fn vaporisation(arguments: &Arguments) -> Result<Sheet, CalcError> {
    let tank = Tank {
        diameter: arguments.get("diameter")?,
        length: arguments.get("length")?,
        fill: arguments.get("fill")?,
        air: arguments.get("air")?,
        load: arguments.get("load")?,
    };
    Ok(tank.worked()?.sheet)
}

fn metering_plate(arguments: &Arguments) -> Result<Sheet, CalcError> {
    let taps = [("corner", Taps::Corner), ("flange", Taps::Flange), ("d", Taps::DAndHalfD)];
    let plate = MeteringPlate {
        pipe: arguments.get("pipe")?,
        bore: arguments.get("bore")?,
        inlet: arguments.get("pressure")?,
        difference: arguments.get("difference")?,
        temperature: arguments.get("temperature")?,
        gravity: arguments.get("gravity")?,
        isentropic: arguments.get("isentropic")?,
        viscosity: arguments.get("viscosity")?,
        taps: arguments.choice("taps", &taps, "corner, flange, d")?,
    };
    Ok(plate.worked()?.sheet)
}
