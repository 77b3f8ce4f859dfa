//! Excess air from oxygen or carbon dioxide: closed forms of the atom balance.

use crate::trade::constant::dry_air;
use crate::trade::flue::{CO_RANGE, FRESH_AIR};
use crate::trade::fuel::Fuel;
use crate::trade::impossible::{Impossible, Range};
use crate::trade::quantity::{Amount, Concentration, Quantity, Ratio};
use crate::trade::unit::Unit;
use crate::trade::worked::{Formula, Sheet, Worked};

/// Formula of excess air.
pub const EXCESS_AIR: Formula = Formula {
    id: "flue.excess_air",
    version: 1,
    name: "excess air from oxygen",
    expression: "r = (O2 - CO/2)/(1 - CO/2); e = r D0 / (a0 (0.2094 - r))",
    source: "atom balance of the fuel, dry air of CIPM-2007",
    range: "any fuel, oxygen below the fresh-air reading",
    function: "flue::excess::from_oxygen",
    test: "golden_tables_hold",
};

/// Formula of carbon dioxide from oxygen.
pub const CO2_FROM_O2: Formula = Formula {
    id: "flue.co2_from_o2",
    version: 1,
    name: "carbon dioxide from oxygen",
    expression: "CO2 = (C + a0 (1 + e) 0.0004 - CO) / (D0 + e a0)",
    source: "atom balance of the fuel, dry air of CIPM-2007",
    range: "any fuel, oxygen below the fresh-air reading",
    function: "flue::excess::carbon_dioxide",
    test: "trade_check_values",
};

/// How thinned the flue gas is, as the instrument or the tuner knows it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Dilution {
    /// Oxygen, dry.
    Oxygen(Concentration),
    /// Carbon dioxide, dry. Short of air reads like excess of air: take oxygen where there is any.
    CarbonDioxide(Concentration),
    /// Air above what complete burning needs.
    ExcessAir(Ratio),
}

/// Oxygen readings that can be.
pub const O2_RANGE: Range = Range {
    what: "flue o2",
    low: 0.0,
    high: 25.0,
    unit: Unit::Pct,
    hint: "zero the instrument in fresh air and take it again",
};
const CO2_RANGE: Range = Range {
    what: "flue co2",
    low: 0.0,
    high: 40.0,
    unit: Unit::Pct,
    hint: "zero the instrument in fresh air and take it again",
};
const EXCESS_RANGE: Range = Range {
    what: "excess air",
    low: 0.0,
    high: 20_000.0,
    unit: Unit::Pct,
    hint: "above 900 % the flue gas is nearly fresh air",
};
/// Least excess that a reading may come to: oxygen near nothing with carbon monoxide is short of air.
const SHORTEST: f64 = -0.2;

/// Excess air of a fuel from oxygen.
///
/// ```
/// use client_core::trade::{flue::{excess, FRESH_AIR}, fuel::Fuel, quantity::Concentration};
/// let gas = Fuel::named("natural_gas").unwrap();
/// let (o2, co) = (Concentration::from_percent(5.0), Concentration::from_ppm(0.0));
/// let excess = excess::from_oxygen(&gas, o2, co, FRESH_AIR).unwrap();
/// assert!((excess.percent() - 28.4).abs() < 0.3);
/// ```
pub fn from_oxygen(
    fuel: &Fuel,
    o2: Concentration,
    co: Concentration,
    fresh_air: Concentration,
) -> Result<Ratio, Impossible> {
    solve(fuel, Dilution::Oxygen(o2), co, fresh_air).map(Ratio::from_ratio)
}

/// Excess air of a fuel from carbon dioxide.
pub fn from_carbon_dioxide(
    fuel: &Fuel,
    co2: Concentration,
    co: Concentration,
) -> Result<Ratio, Impossible> {
    solve(fuel, Dilution::CarbonDioxide(co2), co, FRESH_AIR).map(Ratio::from_ratio)
}

/// Carbon dioxide that goes with an oxygen reading of this fuel.
pub fn carbon_dioxide(
    fuel: &Fuel,
    o2: Concentration,
    co: Concentration,
    fresh_air: Concentration,
) -> Result<Concentration, Impossible> {
    let excess = solve(fuel, Dilution::Oxygen(o2), co, fresh_air)?;
    Ok(Concentration::from_fraction(co2_at(fuel, excess, co.fraction())))
}

/// The dry share of carbon dioxide at an excess of air.
pub(crate) fn co2_at(fuel: &Fuel, excess: f64, co: f64) -> f64 {
    let need = &fuel.stoichiometry;
    let complete = need.dry_flue + excess * need.air;
    let dry = complete / (1.0 - co / 2.0);
    (fuel.atoms.carbon + need.air * (1.0 + excess) * dry_air::CO2) / dry - co
}

/// The oxygen reading freed of the carbon monoxide that still wants some of it.
pub(crate) fn surplus(o2: f64, co: f64) -> f64 {
    (o2 - co / 2.0) / (1.0 - co / 2.0)
}

pub(crate) fn true_oxygen(o2: Concentration, fresh_air: Concentration) -> Result<f64, Impossible> {
    const FRESH: Range = Range {
        what: "fresh-air o2",
        low: 19.0,
        high: 22.5,
        unit: Unit::Pct,
        hint: "the cell is off: zero it outdoors or replace it",
    };
    O2_RANGE.check(o2)?;
    FRESH.check(fresh_air)?;
    if o2 >= fresh_air {
        return Err(Impossible::OxygenOfAir {
            o2: o2.amount(Unit::Pct),
            air: fresh_air.amount(Unit::Pct),
        });
    }
    Ok(o2.fraction() * dry_air::O2 / fresh_air.fraction())
}

pub(crate) fn solve(
    fuel: &Fuel,
    dilution: Dilution,
    co: Concentration,
    fresh_air: Concentration,
) -> Result<f64, Impossible> {
    CO_RANGE.check(co)?;
    let (need, co) = (&fuel.stoichiometry, co.fraction());
    let excess = match dilution {
        Dilution::ExcessAir(excess) => EXCESS_RANGE.check(excess)?.ratio(),
        Dilution::Oxygen(o2) => {
            let surplus = surplus(true_oxygen(o2, fresh_air)?, co);
            surplus * need.dry_flue / (need.air * (dry_air::O2 - surplus))
        }
        Dilution::CarbonDioxide(co2) => {
            CO2_RANGE.check(co2)?;
            let carbon = (co2.fraction() + co) / (1.0 - co / 2.0);
            let over = fuel.atoms.carbon + need.air * dry_air::CO2 - carbon * need.dry_flue;
            let excess = over / (need.air * (carbon - dry_air::CO2));
            if carbon <= dry_air::CO2 || !excess.is_finite() {
                return Err(Impossible::Under {
                    what: "flue co2",
                    value: co2.amount(Unit::Pct),
                    low: Amount::new(100.0 * dry_air::CO2, Unit::Pct),
                    hint: "this is fresh air: is the probe in the flue",
                });
            }
            if excess < -1e-9 {
                return Err(Impossible::CarbonDioxideOverMost {
                    co2: co2.amount(Unit::Pct),
                    most: need.co2_max().amount(Unit::Pct),
                });
            }
            excess.max(0.0)
        }
    };
    if excess < SHORTEST {
        return Err(Impossible::Under {
            what: "excess air",
            value: Amount::new(100.0 * excess, Unit::Pct),
            low: Amount::new(100.0 * SHORTEST, Unit::Pct),
            hint: "so much co without o2 is burning short of air: shut down and check the figures",
        });
    }
    Ok(excess)
}

/// Excess air from oxygen with its sheet.
pub fn worked(
    fuel: &Fuel,
    o2: Concentration,
    co: Concentration,
    fresh_air: Concentration,
) -> Result<Worked<Ratio>, Impossible> {
    let value = from_oxygen(fuel, o2, co, fresh_air)?;
    let co2 = carbon_dioxide(fuel, o2, co, fresh_air)?;
    let (percent, need) = (o2.percent(), fuel.stoichiometry());
    let rule = |value: f64, unit| Amount::new(value, unit);
    let nitrogen = 100.0 - percent - co2.percent() - co.percent();
    let left = percent - co.percent() / 2.0;
    let orsat = 100.0 * left / (0.264 * nitrogen - left);
    let sheet = Sheet::new(&EXCESS_AIR)
        .input("o2", "flue O2, dry", o2, Unit::Pct)
        .input("co", "flue CO, dry", co, Unit::Ppm)
        .input("fresh_air", "O2 of fresh air on this instrument", fresh_air, Unit::Pct)
        .step(
            "a0",
            "air needed",
            need.air().amount(Unit::Ratio),
            format!("{}: O2 needed {:.4} / 0.2094", fuel.name(), need.oxygen().ratio()),
        )
        .step(
            "d0",
            "dry flue gas at no excess",
            need.dry_flue().amount(Unit::Ratio),
            "atom balance",
        )
        .result("excess_air", "excess air", value, Unit::Pct)
        .result("co2", "CO2 that goes with it, dry", co2, Unit::Pct)
        .rule(
            "excess_air",
            "O2 / (20.9 - O2)",
            rule(100.0 * percent / (20.9 - percent).max(1e-3), Unit::Pct),
            "common practice",
        )
        .rule(
            "excess_air",
            "0.9 O2 / (21 - O2), natural gas",
            rule(90.0 * percent / (21.0 - percent), Unit::Pct),
            "handbook of energy engineering calculations",
        )
        .rule(
            "excess_air",
            "from O2, CO and N2",
            rule(orsat, Unit::Pct),
            "EPA Method 3B (from memory)",
        )
        .rule(
            "co2",
            "CO2 max x (20.95 - O2) / 20.95",
            rule(need.co2_max().percent() * (20.95 - percent) / 20.95, Unit::Pct),
            "common practice",
        )
        .outside(value.ratio() > 9.0, "over 900 % excess air the flue gas is nearly fresh air")
        .outside(
            value.ratio() < 0.0,
            "short of air: hydrogen may be left too, which no cell here reads",
        );
    Ok(Worked { value, sheet })
}
