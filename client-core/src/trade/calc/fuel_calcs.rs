//! Calculations on fuels and units.

use crate::trade::calc::Calculation;
use crate::trade::calc::argument::{Arguments, CalcError, Parameter};
use crate::trade::fuel::interchange::Interchange;
use crate::trade::quantity::{GasBase, Quantity, Temperature};
use crate::trade::unit::Unit;
use crate::trade::worked::Sheet;

const FUEL: Parameter = Parameter::word("fuel", "a named fuel").or("natural_gas");

pub(super) const CALCULATIONS: &[Calculation] = &[
    Calculation {
        name: "gas-properties",
        about: "heating value, gravity, Wobbe index, air needed and most CO2 of a named gas",
        parameters: &[
            FUEL,
            Parameter::figure("base", Unit::Psia, "base pressure of the volume").or("14.73"),
        ],
        work: gas_properties,
    },
    Calculation {
        name: "interchange",
        about: "what another gas does to a burner left as it is (Wobbe)",
        parameters: &[
            Parameter::word("set_for", "the gas that it was set for").or("natural_gas"),
            Parameter::word("supplied", "the gas that comes now"),
            Parameter::figure("manifold", Unit::InWc, "manifold pressure")
                .or("3.5")
                .read_by("manifold_high"),
        ],
        work: interchange,
    },
];

fn gas_properties(arguments: &Arguments) -> Result<Sheet, CalcError> {
    let base = GasBase { pressure: arguments.get("base")?, temperature: Temperature::BASE_60F };
    let fuel = arguments.fuel("fuel")?;
    let mut sheet = fuel.worked_at_base(base)?.sheet;
    let factors = fuel.f_factors();
    sheet = sheet.result("fd", "dry flue gas per heat (Fd)", factors.dry, Unit::Ft3Mmbtu).step(
        "latent",
        "latent share of the gross value",
        fuel.latent_share().amount(Unit::Pct),
        "hydrogen of the fuel as water",
    );
    Ok(sheet)
}

fn interchange(arguments: &Arguments) -> Result<Sheet, CalcError> {
    let (set_for, supplied) = (arguments.fuel("set_for")?, arguments.fuel("supplied")?);
    let manifold = arguments.get("manifold")?;
    Ok(Interchange { set_for: &set_for, supplied: &supplied, manifold }.worked()?.sheet)
}
