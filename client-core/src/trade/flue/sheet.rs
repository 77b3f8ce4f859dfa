//! The sheet of a whole flue analysis, with its uncertainty.

use crate::trade::flue::air_free::AirFreeShown;
use crate::trade::flue::{Dilution, FlueAnalysis, FlueReading, analyse, siegert};
use crate::trade::fuel::Fuel;
use crate::trade::impossible::Impossible;
use crate::trade::quantity::{Amount, Concentration, Quantity, Ratio, Temperature};
use crate::trade::reading::usual;
use crate::trade::uncertainty::{Uncertain, propagate};
use crate::trade::unit::Unit;
use crate::trade::worked::{Formula, Sheet, Spread, Worked};

/// Formula of the flue analysis.
pub const FLUE_ANALYSIS: Formula = Formula {
    id: "flue.analysis",
    version: 1,
    name: "flue analysis: losses and efficiency",
    expression: "eff = (HHV + heat of fuel and air - heat of flue gas - latent - CO) / HHV, from 60 F",
    source: "atom balance; ISO 6976:2016 heating values; NASA polynomials; IAPWS saturation",
    range: "flue 20 to 600 C, air -25 to 45 C, 65 to 105 kPa, excess air to 900 %",
    function: "flue::analyse",
    test: "golden_tables_hold",
};

/// Standard uncertainties of what was read; [`FlueDoubt::usual`] for usual field instruments.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FlueDoubt {
    /// Of the oxygen (or carbon dioxide).
    pub dilution: Concentration,
    /// Of the carbon monoxide.
    pub co: Concentration,
    /// Of the flue temperature, kelvin of difference.
    pub flue: crate::trade::quantity::TemperatureDifference,
    /// Of the air temperature, kelvin of difference.
    pub air: crate::trade::quantity::TemperatureDifference,
}

impl FlueDoubt {
    /// Usual field instruments; see [`crate::trade::reading::KINDS`].
    pub fn usual(reading: &FlueReading) -> FlueDoubt {
        use crate::trade::quantity::TemperatureDifference;
        let (key, diluted) = match reading.dilution {
            Dilution::Oxygen(o2) => ("flue_o2", o2),
            Dilution::CarbonDioxide(co2) => ("flue_co2", co2),
            Dilution::ExcessAir(_) => ("", Concentration::from_percent(0.0)),
        };
        let kelvin = |key, at: Temperature| {
            TemperatureDifference::from_fahrenheit(usual(key, at, Unit::F).u)
        };
        FlueDoubt {
            dilution: Concentration::from_percent(usual(key, diluted, Unit::Pct).u),
            co: Concentration::from_ppm(usual("flue_co", reading.co, Unit::Ppm).u),
            flue: kelvin("stack_temp", reading.flue),
            air: kelvin("combustion_air_temp", reading.air),
        }
    }
}

/// Uncertainty of one figure of the analysis.
///
/// The reading's dilution must be oxygen or carbon dioxide as read.
pub fn spread(
    fuel: &Fuel,
    reading: &FlueReading,
    doubt: &FlueDoubt,
    key: &'static str,
    unit: Unit,
    figure: impl Fn(&FlueAnalysis) -> f64,
) -> Option<Spread> {
    let diluted = match reading.dilution {
        Dilution::Oxygen(share) | Dilution::CarbonDioxide(share) => share,
        Dilution::ExcessAir(_) => return None,
    };
    let uncertain = |amount: Amount, u: f64| Uncertain { amount, u };
    let inputs = [
        uncertain(diluted.amount(Unit::Pct), doubt.dilution.percent()),
        uncertain(reading.co.amount(Unit::Ppm), doubt.co.ppm()),
        uncertain(reading.flue.amount(Unit::K), doubt.flue.kelvin()),
        uncertain(reading.air.amount(Unit::K), doubt.air.kelvin()),
    ];
    let solve = |x: &[f64]| {
        let share = Concentration::from_percent(x[0].max(0.0));
        let dilution = match reading.dilution {
            Dilution::CarbonDioxide(_) => Dilution::CarbonDioxide(share),
            _ => Dilution::Oxygen(share),
        };
        let moved = FlueReading {
            dilution,
            co: Concentration::from_ppm(x[1].max(0.0)),
            flue: Temperature::from_kelvin(x[2]),
            air: Temperature::from_kelvin(x[3]),
            ..*reading
        };
        analyse(fuel, &moved).ok().map(|found| figure(&found))
    };
    let found = propagate(&inputs, solve)?;
    let names = ["flue O2 or CO2", "flue CO", "flue temperature", "air temperature"];
    Some(found.spread(key, unit, &names))
}

/// The whole analysis with its sheet.
pub fn worked(
    fuel: &Fuel,
    reading: &FlueReading,
    doubt: Option<&FlueDoubt>,
) -> Result<Worked<FlueAnalysis>, Impossible> {
    let mut worked = plain(fuel, reading)?;
    let usual = FlueDoubt::usual(reading);
    let doubt = doubt.unwrap_or(&usual);
    let spreads = [
        spread(fuel, reading, doubt, "excess_air", Unit::Pct, |found| found.excess_air.percent()),
        spread(fuel, reading, doubt, "gross", Unit::Pct, |found| found.gross.percent()),
        spread(fuel, reading, doubt, "net", Unit::Pct, |found| found.net.percent()),
        spread(fuel, reading, doubt, "co_air_free", Unit::Ppm, |found| found.co_air_free.ppm()),
    ];
    let shown = |spread: &Spread| worked.sheet.get(spread.key).is_some();
    worked.sheet.spreads = spreads.into_iter().flatten().filter(shown).collect();
    Ok(worked)
}

/// The whole analysis with its sheet, its uncertainty left to the caller.
pub(crate) fn plain(
    fuel: &Fuel,
    reading: &FlueReading,
) -> Result<Worked<FlueAnalysis>, Impossible> {
    let value = analyse(fuel, reading)?;
    let sheet = results(inputs(fuel, reading), &value);
    let sheet = beside(sheet, fuel, reading, &value)
        .outside(!value.proved, "outside flue 20 to 600 C, air -25 to 45 C, 65 to 105 kPa, 900 %")
        .caution("efficiency says nothing about input or danger: read it beside CO, O2 and input")
        .caution("flue loss alone: no jacket, cycling or draft-hood loss");
    Ok(Worked { value, sheet })
}

fn inputs(fuel: &Fuel, reading: &FlueReading) -> Sheet {
    let sheet = Sheet::new(&FLUE_ANALYSIS).finding(format!("fuel: {}", fuel.name()));
    let sheet = match reading.dilution {
        Dilution::Oxygen(o2) => sheet.input("o2", "flue O2, dry", o2, Unit::Pct),
        Dilution::CarbonDioxide(co2) => sheet.input("co2", "flue CO2, dry", co2, Unit::Pct),
        Dilution::ExcessAir(excess) => sheet.input("excess", "excess air", excess, Unit::Pct),
    };
    sheet
        .input("co", "flue CO, dry", reading.co, Unit::Ppm)
        .input("flue", "flue temperature", reading.flue, Unit::F)
        .input("air", "combustion air temperature", reading.air, Unit::F)
        .input("humidity", "humidity of the air", reading.humidity, Unit::Pct)
        .input("pressure", "air pressure", reading.pressure, Unit::Psia)
        .input("fresh_air", "O2 of fresh air on this instrument", reading.fresh_air, Unit::Pct)
        .step(
            "net_stack",
            "net stack",
            reading.flue.above(reading.air).amount(Unit::DeltaF),
            "flue - air",
        )
}

fn results(sheet: Sheet, value: &FlueAnalysis) -> Sheet {
    let mut sheet = sheet
        .step("dry_loss", "dry gas loss", value.dry_loss.amount(Unit::Pct), "of the gross value")
        .step(
            "vapour_loss",
            "warm vapour loss",
            value.vapour_loss.amount(Unit::Pct),
            "sensible part",
        )
        .step(
            "latent_loss",
            "latent loss",
            value.latent_loss.amount(Unit::Pct),
            "at 60 F, per fuel",
        )
        .step("co_loss", "CO loss", value.co_loss.amount(Unit::Pct), "282.91 kJ per mole of CO")
        .result("excess_air", "excess air", value.excess_air, Unit::Pct)
        .result("o2", "O2, dry", value.o2, Unit::Pct)
        .result("co2", "CO2, dry", value.co2, Unit::Pct)
        .result("h2o_wet", "water vapour, wet", value.h2o_wet, Unit::Pct)
        .result("gross", "efficiency on the gross value", value.gross, Unit::Pct)
        .result("net", "efficiency on the net value", value.net, Unit::Pct)
        .result("condensed", "fuel water condensed", value.condensed, Unit::Pct);
    if let Some(dew) = value.dew_point {
        sheet = sheet.result("dew_point", "dew point", dew, Unit::F);
    }
    match value.air_free {
        AirFreeShown::Judged | AirFreeShown::NoVerdict => {
            sheet.result("co_air_free", "CO air-free", value.co_air_free, Unit::Ppm)
        }
        AirFreeShown::NotShown => {
            sheet.finding("over 18 % O2 an air-free CO means nothing and is not shown")
        }
    }
}

/// The trade's rules beside the exact figures.
fn beside(sheet: Sheet, fuel: &Fuel, reading: &FlueReading, value: &FlueAnalysis) -> Sheet {
    let mut sheet = sheet;
    let family = fuel.family();
    if let Ok(loss) = siegert::net_loss(family, value.o2, reading.flue, reading.air) {
        let net = Ratio::from_percent(100.0 - loss.percent()).amount(Unit::Pct);
        sheet = sheet.rule("net", "Siegert: 100 - qA", net, siegert::SIEGERT.source);
        if let Some(why) = siegert::leaves_range(family, value.o2, reading.flue, value.dew_point) {
            sheet = sheet.finding(format!("Siegert outside its range: {why}"));
        }
    }
    let (o2, co) = (value.o2.percent(), value.co.ppm());
    if o2 < 20.8 {
        let excess = Amount::new(100.0 * o2 / (20.9 - o2), Unit::Pct);
        sheet = sheet.rule("excess_air", "O2 / (20.9 - O2)", excess, "common practice");
        let free = Amount::new(co * 20.9 / (20.9 - o2), Unit::Ppm);
        sheet = sheet.rule("co_air_free", "CO x 20.9 / (20.9 - O2)", free, "common practice");
    }
    let most = value.co2_max.percent();
    let co2 = Amount::new(most * (20.95 - o2) / 20.95, Unit::Pct);
    sheet.rule("co2", "CO2 max x (20.95 - O2) / 20.95", co2, "common practice")
}
