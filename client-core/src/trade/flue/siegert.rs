//! The Siegert rule of flue loss, beside the exact answer.

use crate::trade::flue::{AIR_RANGE, FLUE_RANGE, FlueReading, analyse};
use crate::trade::fuel::{Family, Fuel};
use crate::trade::impossible::{Impossible, Range, finite};
use crate::trade::quantity::{Concentration, Quantity, Ratio, Temperature};
use crate::trade::unit::Unit;
use crate::trade::worked::{Formula, Sheet, Worked};

/// Formula of the Siegert loss.
pub const SIEGERT: Formula = Formula {
    id: "flue.siegert",
    version: 1,
    name: "flue loss by the Siegert rule (net basis)",
    expression: "qA = (flue - air) (A2 / (21 - O2) + B), temperatures in C, % of the net value",
    source: "1st BImSchV / EN 50379 style constants (from memory)",
    range: "80 to 300 C, O2 up to 14 %, no condensing",
    function: "flue::siegert::net_loss",
    test: "trade_check_values",
};

/// Constants of one fuel family.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Constants {
    a2: f64,
    b: f64,
    /// Whether the constants were made for this family.
    pub own: bool,
}

/// Constants of a family. Source: 1st BImSchV Annex 2, from memory; biogas has none of its own.
pub const fn constants(family: Family) -> Constants {
    match family {
        Family::NaturalGas => Constants { a2: 0.66, b: 0.009, own: true },
        Family::Biogas => Constants { a2: 0.66, b: 0.009, own: false },
        Family::LiquefiedPetroleum => Constants { a2: 0.63, b: 0.008, own: true },
        Family::TownGas => Constants { a2: 0.60, b: 0.011, own: true },
        Family::Oil => Constants { a2: 0.68, b: 0.007, own: true },
    }
}

/// Flue loss on the net heating value by the rule.
///
/// ```
/// use client_core::trade::{flue::siegert, fuel::Family};
/// use client_core::trade::quantity::{Concentration, Temperature};
/// let loss = siegert::net_loss(
///     Family::NaturalGas,
///     Concentration::from_percent(4.0),
///     Temperature::from_fahrenheit(360.0),
///     Temperature::from_fahrenheit(60.0),
/// )
/// .unwrap();
/// assert!((loss.percent() - 8.0).abs() < 0.05);
/// ```
pub fn net_loss(
    family: Family,
    o2: Concentration,
    flue: Temperature,
    air: Temperature,
) -> Result<Ratio, Impossible> {
    const O2: Range = Range {
        what: "flue o2",
        low: 0.0,
        high: 20.8,
        unit: Unit::Pct,
        hint: "the rule has no meaning near fresh air",
    };
    O2.check(o2)?;
    FLUE_RANGE.check(flue)?;
    AIR_RANGE.check(air)?;
    if flue < air {
        return Err(Impossible::FlueColderThanAir {
            flue: flue.amount(Unit::F),
            air: air.amount(Unit::F),
        });
    }
    let Constants { a2, b, .. } = constants(family);
    let loss = (flue.celsius() - air.celsius()) * (a2 / (21.0 - o2.percent()) + b);
    Ok(Ratio::from_percent(finite("Siegert loss", loss)?))
}

/// Whether the rule lies in its range, and why not.
pub fn leaves_range(
    family: Family,
    o2: Concentration,
    flue: Temperature,
    dew_point: Option<Temperature>,
) -> Option<&'static str> {
    if dew_point.is_some_and(|dew| flue < dew) {
        Some("condensing: the rule knows no latent heat")
    } else if !constants(family).own {
        Some("no constants for this gas: those of natural gas stand in")
    } else if o2.percent() > 14.0 {
        Some("over 14 % O2 the rule falls short by points")
    } else if !(80.0..=300.0).contains(&flue.celsius()) {
        Some("outside 80 to 300 C the rule was never fitted")
    } else {
        None
    }
}

/// The rule with its sheet, the exact loss beside it.
pub fn worked(
    fuel: &Fuel,
    o2: Concentration,
    flue: Temperature,
    air: Temperature,
) -> Result<Worked<Ratio>, Impossible> {
    let family = fuel.family();
    let value = net_loss(family, o2, flue, air)?;
    let found = analyse(fuel, &FlueReading::of_oxygen(o2, flue, air))?;
    let exact = Ratio::from_ratio(1.0 - found.net_without_condensing.ratio());
    let mut sheet = Sheet::new(&SIEGERT)
        .input("o2", "flue O2, dry", o2, Unit::Pct)
        .input("flue", "flue temperature", flue, Unit::F)
        .input("air", "combustion air temperature", air, Unit::F)
        .result("loss", "flue loss by the rule, of the net value", value, Unit::Pct)
        .result("exact", "flue loss, exact, of the net value", exact, Unit::Pct)
        .finding(format!("constants of {}", family.name()));
    sheet = sheet.rule("exact", "Siegert", value.amount(Unit::Pct), SIEGERT.source);
    let why = leaves_range(family, o2, flue, found.dew_point);
    let sheet = sheet.outside(why.is_some(), why.unwrap_or(""));
    Ok(Worked { value, sheet })
}
