//! Airflow from the temperature rise of a warm-air unit.

use crate::trade::air::moist::DRY_BULB;
use crate::trade::atmosphere::AIR_PRESSURE_RANGE;
use crate::trade::constant::{
    AIR_MOLAR_MASS, ATMOSPHERE, GAS_CONSTANT, STANDARD_AIR_DENSITY, WATER_MOLAR_MASS,
};
use crate::trade::flue::HUMIDITY_RANGE;
use crate::trade::gas::INPUT_RANGE;
use crate::trade::impossible::{Impossible, finite};
use crate::trade::quantity::{
    AbsolutePressure, ActualFlow, Amount, Density, HeatRate, HumidityRatio, MassFlow, Quantity,
    RelativeHumidity, StandardFlow, Temperature, TemperatureDifference,
};
use crate::trade::reading::usual;
use crate::trade::species::{AIR, H2O};
use crate::trade::uncertainty::{Uncertain, propagate};
use crate::trade::unit::Unit;
use crate::trade::water;
use crate::trade::worked::{Formula, Sheet, Spread, Worked};

/// Formula of the airflow.
pub const AIRFLOW: Formula = Formula {
    id: "air.airflow_from_rise",
    version: 1,
    name: "airflow from temperature rise",
    expression: "m = Q / (h2 - h1); cfm = m v, moist air with second virial coefficient",
    source: "energy balance; NASA polynomials; virial fitted here to the Lemmon 2000 equation of air",
    range: "-30 to 100 C, no moisture taken up or given off, fan heat left out",
    function: "air::rise::RiseAirflow::solve",
    test: "golden_tables_hold",
};

/// A unit with its output and its two air temperatures.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct RiseAirflow {
    /// Heat into the air stream.
    pub heat: HeatRate,
    /// Air in, mean of three points.
    pub inlet: Temperature,
    /// Air out, mean of three points out of radiant sight.
    pub outlet: Temperature,
    /// Humidity of the air in.
    pub humidity: RelativeHumidity,
    /// Air pressure at the site.
    pub pressure: AbsolutePressure,
}

/// Air moved.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Airflow {
    /// Temperature rise.
    pub rise: TemperatureDifference,
    /// Water per dry air.
    pub humidity_ratio: HumidityRatio,
    /// Density of the air in.
    pub inlet_density: Density,
    /// Density of the air out.
    pub outlet_density: Density,
    /// Dry air by mass.
    pub dry_air: MassFlow,
    /// Volume flow as it comes in.
    pub inlet: ActualFlow,
    /// Volume flow as it goes out.
    pub outlet: ActualFlow,
    /// Mass flow as volume of 0.075 lb/ft3 air.
    pub standard: StandardFlow,
    /// By the trade's rule, which gives standard air.
    pub rule: StandardFlow,
}

/// Second virial coefficient of air, m3/mol, from 1/T. Fitted here to CoolProp 8.0.0 from -40 to 130 C,
/// within 6e-7 of the volume.
const VIRIAL: [f64; 3] = [3.80488856e-5, -1.04843265e-2, -1.00990378];

/// Compression factor of air.
fn compression(kelvin: f64, pascals: f64) -> f64 {
    let [a, b, c] = VIRIAL;
    1.0 + (a + b / kelvin + c / (kelvin * kelvin)) * pascals / (GAS_CONSTANT * kelvin)
}

/// Enthalpy of real over ideal air, J/mol.
fn departure(kelvin: f64, pascals: f64) -> f64 {
    let [a, b, c] = VIRIAL;
    pascals * (a + 2.0 * b / kelvin + 3.0 * c / (kelvin * kelvin))
}

/// How much more vapour saturated air holds than empty space. Source: Buck (1981), from memory.
fn enhancement(pascals: f64) -> f64 {
    1.0007 + 3.46e-8 * pascals
}

impl RiseAirflow {
    /// Works it out.
    ///
    /// ```
    /// use client_core::trade::air::rise::RiseAirflow;
    /// use client_core::trade::quantity::*;
    /// let unit = RiseAirflow {
    ///     heat: HeatRate::from_btu_per_hour(160_000.0),
    ///     inlet: Temperature::from_fahrenheit(62.0),
    ///     outlet: Temperature::from_fahrenheit(117.0),
    ///     humidity: RelativeHumidity::from_percent(30.0),
    ///     pressure: AbsolutePressure::STANDARD,
    /// };
    /// let found = unit.solve().unwrap();
    /// assert!((found.rule.scfm() - 2693.6).abs() < 0.1);
    /// assert!((found.standard.scfm() / found.rule.scfm() - 1.0).abs() < 0.01);
    /// ```
    pub fn solve(&self) -> Result<Airflow, Impossible> {
        INPUT_RANGE.check(self.heat)?;
        DRY_BULB.check(self.inlet)?;
        DRY_BULB.check(self.outlet)?;
        HUMIDITY_RANGE.check(self.humidity)?;
        AIR_PRESSURE_RANGE.check(self.pressure)?;
        if self.outlet <= self.inlet {
            return Err(Impossible::NoRise {
                inlet: self.inlet.amount(Unit::F),
                out: self.outlet.amount(Unit::F),
            });
        }
        let (cold, hot) = (self.inlet.kelvin(), self.outlet.kelvin());
        let pressure = self.pressure.pascals();
        let vapour = self.humidity.fraction() * enhancement(pressure) * water::saturation(cold);
        if vapour >= 0.9 * pressure {
            return Err(Impossible::NoResult { what: "air this hot and wet" });
        }
        let moles = vapour / (pressure - vapour);
        let dry = AIR_MOLAR_MASS.grams_per_mole() / 1000.0;
        let ratio = moles * WATER_MOLAR_MASS.grams_per_mole() / 1000.0 / dry;
        // Per mole of dry air, then per kilogram.
        let gain = AIR.between(cold, hot) + departure(hot, pressure) - departure(cold, pressure)
            + moles * H2O.between(cold, hot);
        let mass = finite("airflow", self.heat.watts() / (gain / dry))?;
        let volume = |kelvin: f64| {
            (1.0 + moles) / dry * GAS_CONSTANT * kelvin * compression(kelvin, pressure) / pressure
        };
        let flow = |kelvin| ActualFlow::from_cubic_metres_per_second(mass * volume(kelvin));
        let density =
            |kelvin| Density::from_kilograms_per_cubic_metre((1.0 + ratio) / volume(kelvin));
        let moist = MassFlow::from_kilograms_per_second(mass * (1.0 + ratio));
        let pounds = moist.pounds_per_hour() / 60.0;
        let rise = self.outlet.above(self.inlet);
        Ok(Airflow {
            rise,
            humidity_ratio: HumidityRatio::from_kg_per_kg(ratio),
            inlet_density: density(cold),
            outlet_density: density(hot),
            dry_air: MassFlow::from_kilograms_per_second(mass),
            inlet: flow(cold),
            outlet: flow(hot),
            standard: StandardFlow::from_scfm(
                pounds / STANDARD_AIR_DENSITY.pounds_per_cubic_foot(),
            ),
            rule: StandardFlow::from_scfm(self.heat.btu_per_hour() / (1.08 * rise.fahrenheit())),
        })
    }

    /// Works it out with its sheet.
    pub fn worked(&self) -> Result<Worked<Airflow>, Impossible> {
        let value = self.solve()?;
        let elevated = value.rule.scfm() * ATMOSPHERE / self.pressure.pascals()
            * (self.inlet.fahrenheit() + 459.67)
            / 529.67;
        let mut sheet = Sheet::new(&AIRFLOW)
            .input("heat", "heat into the air", self.heat, Unit::BtuH)
            .input("inlet", "air in", self.inlet, Unit::F)
            .input("outlet", "air out", self.outlet, Unit::F)
            .input("humidity", "humidity", self.humidity, Unit::Pct)
            .input("pressure", "air pressure", self.pressure, Unit::Psia)
            .step("rise", "rise", value.rise.amount(Unit::DeltaF), "air out - air in")
            .step(
                "density",
                "density of the air in",
                value.inlet_density.amount(Unit::LbFt3),
                "moist air",
            )
            .result("inlet_flow", "airflow as it comes in", value.inlet, Unit::Cfm)
            .result("outlet_flow", "airflow as it goes out", value.outlet, Unit::Cfm)
            .result("standard", "as standard air", value.standard, Unit::Scfm)
            .rule("standard", "Q / (1.08 rise)", value.rule.amount(Unit::Scfm), "common practice")
            .rule(
                "inlet_flow",
                "Q / (1.08 rise) with density",
                Amount::new(elevated, Unit::Cfm),
                "common practice; without density the rule gives standard air",
            )
            .caution("keep the rise inside the plate's window");
        sheet.spreads = self.spread().into_iter().collect();
        Ok(Worked { value, sheet })
    }

    fn spread(&self) -> Option<Spread> {
        let heat = self.heat.amount(Unit::BtuH);
        let inputs = [
            usual("air_in", self.inlet, Unit::F),
            usual("air_out", self.outlet, Unit::F),
            // An output from input and efficiency is good to about 3 % (common practice).
            Uncertain { amount: heat, u: 0.03 * heat.value },
        ];
        let found = propagate(&inputs, |x| {
            let moved = RiseAirflow {
                inlet: Temperature::from_fahrenheit(x[0]),
                outlet: Temperature::from_fahrenheit(x[1]),
                heat: HeatRate::from_btu_per_hour(x[2]),
                ..*self
            };
            moved.solve().ok().map(|found| found.inlet.cfm())
        })?;
        let names = ["air in", "air out", "output"];
        Some(found.spread("inlet_flow", Unit::Cfm, &names))
    }
}

/// Formula of the rise.
pub const RISE: Formula = Formula {
    id: "air.rise",
    version: 1,
    name: "temperature rise",
    expression: "air out - air in, against the plate's window",
    source: "common practice; window of the plate",
    range: "steady fire, mean of three points out of radiant sight",
    function: "air::rise::rise",
    test: "trade_check_values",
};

/// Temperature rise of a unit.
pub fn rise(inlet: Temperature, outlet: Temperature) -> Result<TemperatureDifference, Impossible> {
    DRY_BULB.check(inlet)?;
    DRY_BULB.check(outlet)?;
    if outlet <= inlet {
        return Err(Impossible::NoRise {
            inlet: inlet.amount(Unit::F),
            out: outlet.amount(Unit::F),
        });
    }
    Ok(outlet.above(inlet))
}

/// Temperature rise with its sheet, against the plate's window where it has one.
pub fn worked(
    inlet: Temperature,
    outlet: Temperature,
    window: (Option<TemperatureDifference>, Option<TemperatureDifference>),
) -> Result<Worked<TemperatureDifference>, Impossible> {
    let value = rise(inlet, outlet)?;
    let mut sheet = Sheet::new(&RISE)
        .input("inlet", "air in", inlet, Unit::F)
        .input("outlet", "air out", outlet, Unit::F)
        .result("rise", "rise", value, Unit::DeltaF)
        .caution("a rise inside the window at half the input is no good sign: know the input");
    let (low, high) = window;
    if let (Some(low), Some(high)) = (low, high)
        && low > high
    {
        return Err(Impossible::WindowReversed {
            what: "the rise window",
            low: low.amount(Unit::DeltaF),
            high: high.amount(Unit::DeltaF),
        });
    }
    if let Some(low) = low {
        sheet = sheet.input("plate_min", "least rise of the plate", low, Unit::DeltaF).result(
            "over_min",
            "over the least",
            value - low,
            Unit::DeltaF,
        );
    }
    if let Some(high) = high {
        sheet = sheet.input("plate_max", "greatest rise of the plate", high, Unit::DeltaF).result(
            "under_max",
            "under the greatest",
            high - value,
            Unit::DeltaF,
        );
    }
    Ok(Worked { value, sheet })
}

/// Rise that an airflow would give by the trade's rule, its density at 70 F and this pressure.
///
/// ```
/// use client_core::trade::air::rise::rise_of;
/// use client_core::trade::quantity::*;
/// let rise = rise_of(
///     HeatRate::from_btu_per_hour(160_000.0),
///     ActualFlow::from_cfm(2700.0),
///     AbsolutePressure::from_psia(12.23),
/// )
/// .unwrap();
/// assert!((rise.fahrenheit() - 65.9).abs() < 0.1);
/// ```
pub fn rise_of(
    heat: HeatRate,
    flow: ActualFlow,
    pressure: AbsolutePressure,
) -> Result<TemperatureDifference, Impossible> {
    use crate::trade::impossible::Range;
    const FLOW: Range = Range {
        what: "airflow",
        low: 1.0,
        high: 1e6,
        unit: Unit::Cfm,
        hint: "check the figure and the unit",
    };
    INPUT_RANGE.check(heat)?;
    FLOW.check(flow)?;
    AIR_PRESSURE_RANGE.check(pressure)?;
    let density = pressure.pascals() / ATMOSPHERE;
    let rise = heat.btu_per_hour() / (1.08 * flow.cfm() * density);
    Ok(TemperatureDifference::from_fahrenheit(rise))
}
