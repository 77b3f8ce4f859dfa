//! Calculations on signals.

use crate::trade::calc::Calculation;
use crate::trade::calc::argument::{Arguments, CalcError, Parameter};
use crate::trade::signal::flame::{FlameMargin, Fouling};
use crate::trade::signal::proving::DraftMargin;
use crate::trade::signal::staging::Stage;
use crate::trade::signal::thermocouple::Thermocouple;
use crate::trade::unit::Unit;
use crate::trade::worked::Sheet;

const MINIMUM: Parameter =
    Parameter::figure("minimum", Unit::Ua, "least flame current of the control");

pub(super) const CALCULATIONS: &[Calculation] = &[
    Calculation {
        name: "draft-margin",
        about: "how far past its setpoint a pressure switch is held",
        parameters: &[
            Parameter::figure("measured", Unit::InWc, "at the switch's tee, with its sign")
                .read_by("draft_differential"),
            Parameter::figure("setpoint", Unit::InWc, "setpoint of the switch, same sign"),
        ],
        work: draft_margin,
    },
    Calculation {
        name: "flame-margin",
        about: "flame current over the control's minimum",
        parameters: &[
            Parameter::figure("measured", Unit::Ua, "flame current").read_by("flame_current"),
            MINIMUM,
        ],
        work: flame_margin,
    },
    Calculation {
        name: "fouling-rate",
        about: "flame-current loss per 1,000 burner hours, and hours left",
        parameters: &[
            Parameter::figure("as_left", Unit::Ua, "flame current as left")
                .read_by("flame_current"),
            Parameter::figure("as_found", Unit::Ua, "flame current as found next time")
                .read_by("flame_current"),
            Parameter::figure("hours", Unit::H, "burner hours between").read_by("burner_hours"),
            MINIMUM,
        ],
        work: fouling_rate,
    },
    Calculation {
        name: "thermocouple",
        about: "open, loaded and drop-out voltage of a standing pilot",
        parameters: &[
            Parameter::figure("open", Unit::Mv, "open").read_by("thermocouple_open"),
            Parameter::figure("loaded", Unit::Mv, "loaded")
                .optional()
                .read_by("thermocouple_loaded"),
            Parameter::figure("drop_out", Unit::Mv, "drop-out").optional().read_by("dropout_mv"),
        ],
        work: thermocouple,
    },
    Calculation {
        name: "staging",
        about: "whether the manifold gives the input that a stage should have",
        parameters: &[
            Parameter::figure("high_input", Unit::BtuH, "input at high fire, of the plate"),
            Parameter::figure("high_manifold", Unit::InWc, "manifold at high fire, of the plate")
                .or("3.5"),
            Parameter::figure("stage_input", Unit::BtuH, "input that this stage should have"),
            Parameter::figure("measured", Unit::InWc, "manifold at this stage")
                .read_by("manifold_low"),
        ],
        work: staging,
    },
];

fn draft_margin(arguments: &Arguments) -> Result<Sheet, CalcError> {
    let margin =
        DraftMargin { measured: arguments.get("measured")?, setpoint: arguments.get("setpoint")? };
    Ok(margin.worked()?.sheet)
}

fn flame_margin(arguments: &Arguments) -> Result<Sheet, CalcError> {
    let margin =
        FlameMargin { measured: arguments.get("measured")?, minimum: arguments.get("minimum")? };
    Ok(margin.worked()?.sheet)
}

fn fouling_rate(arguments: &Arguments) -> Result<Sheet, CalcError> {
    let fouling = Fouling {
        as_left: arguments.get("as_left")?,
        as_found: arguments.get("as_found")?,
        hours: arguments.get("hours")?,
        minimum: arguments.get("minimum")?,
    };
    Ok(fouling.worked()?.sheet)
}

fn thermocouple(arguments: &Arguments) -> Result<Sheet, CalcError> {
    let couple = Thermocouple {
        open: arguments.get("open")?,
        loaded: arguments.maybe("loaded")?,
        drop_out: arguments.maybe("drop_out")?,
    };
    Ok(couple.worked()?.sheet)
}

fn staging(arguments: &Arguments) -> Result<Sheet, CalcError> {
    let stage = Stage {
        high_input: arguments.get("high_input")?,
        high_manifold: arguments.get("high_manifold")?,
        stage_input: arguments.get("stage_input")?,
        measured: arguments.get("measured")?,
    };
    Ok(stage.worked()?.sheet)
}
