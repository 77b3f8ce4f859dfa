//! Input by clocking the meter.

use crate::trade::atmosphere::AIR_PRESSURE_RANGE;
use crate::trade::constant::KELVIN_60F;
use crate::trade::gas::{GAS_TEMPERATURE_RANGE, HEATING_VALUE_RANGE};
use crate::trade::impossible::{Impossible, Range};
use crate::trade::quantity::{
    AbsolutePressure, ActualFlow, Amount, Count, GasBase, GaugePressure, HeatRate, HeatingValue,
    Quantity, Ratio, StandardFlow, Temperature, TimeSpan, Volume,
};
use crate::trade::reading::usual;
use crate::trade::uncertainty::{Propagated, Uncertain, propagate};
use crate::trade::unit::Unit;
use crate::trade::worked::{Formula, Sheet, Spread, Worked};

/// Formula of clocked input.
pub const CLOCKED_INPUT: Formula = Formula {
    id: "gas.clocked_input",
    version: 1,
    name: "clocked input",
    expression: "3600 dial revs / s x (barometer + gauge) / base x 519.67 / gas temperature x HHV",
    source: "ideal-gas law; base of the heating value (14.73 psia, 60 F unless told)",
    range: "diaphragm and rotary meters, up to 5 psig; supercompressibility left out (under 0.5 %)",
    function: "gas::clock::Clocking::solve",
    test: "golden_tables_hold",
};

/// A timed meter.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Clocking {
    /// Gas of one revolution of the dial timed.
    pub dial: Volume,
    /// Revolutions timed.
    pub revolutions: Count,
    /// Time taken; every other appliance off.
    pub time: TimeSpan,
    /// Pressure in the meter, above the air around.
    pub gauge: GaugePressure,
    /// Air pressure at the site, not reduced to sea level.
    pub barometer: AbsolutePressure,
    /// Temperature of the gas in the meter; none for a temperature-compensated index.
    pub gas: Option<Temperature>,
    /// Gross heating value at `base`.
    pub heating_value: HeatingValue,
    /// Base of the heating value.
    pub base: GasBase,
}

/// What the clock says.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Clocked {
    /// Volume flow as metered.
    pub metered: ActualFlow,
    /// Factor for pressure.
    pub pressure_factor: Ratio,
    /// Factor for temperature.
    pub temperature_factor: Ratio,
    /// Volume flow at the base.
    pub flow: StandardFlow,
    /// Input.
    pub input: HeatRate,
    /// Input without the two factors, as often reckoned.
    pub uncorrected: HeatRate,
}

const DIAL: Range = Range {
    what: "dial",
    low: 0.01,
    high: 10_000.0,
    unit: Unit::Ft3,
    hint: "read the dial's size off the meter",
};
const REVOLUTIONS: Range = Range {
    what: "revolutions",
    low: 0.01,
    high: 10_000.0,
    unit: Unit::N,
    hint: "time at least one whole revolution",
};
const TIME: Range = Range {
    what: "time",
    low: 0.5,
    high: 86_400.0,
    unit: Unit::S,
    hint: "time at least half a minute of whole revolutions",
};
const GAUGE: Range = Range {
    what: "meter pressure",
    low: -5.0,
    high: 100.0,
    unit: Unit::Psi,
    hint: "check the figure and the unit",
};

impl Clocking {
    /// Works it out.
    ///
    /// ```
    /// use client_core::trade::gas::clock::Clocking;
    /// use client_core::trade::quantity::*;
    /// let clocked = Clocking {
    ///     dial: Volume::from_cubic_feet(10.0),
    ///     revolutions: Count::from_number(1.0),
    ///     time: TimeSpan::from_seconds(209.0),
    ///     gauge: GaugePressure::from_psi(2.0),
    ///     barometer: AbsolutePressure::from_psia(14.27),
    ///     gas: Some(Temperature::from_fahrenheit(45.0)),
    ///     heating_value: HeatingValue::from_btu_per_cubic_foot(1025.0),
    ///     base: GasBase::PSIA_14_73,
    /// };
    /// let found = clocked.solve().unwrap();
    /// assert!((found.input.mbh() - 200.7).abs() < 0.2);
    /// ```
    pub fn solve(&self) -> Result<Clocked, Impossible> {
        DIAL.check(self.dial)?;
        REVOLUTIONS.check(self.revolutions)?;
        TIME.check(self.time)?;
        HEATING_VALUE_RANGE.check(self.heating_value)?;
        GAS_TEMPERATURE_RANGE.check(self.base.temperature)?;
        if let Some(gas) = self.gas {
            GAS_TEMPERATURE_RANGE.check(gas)?;
        }
        let volume = self.dial.cubic_feet() * self.revolutions.number();
        let metered = ActualFlow::from_cfh(3600.0 * volume / self.time.seconds());
        let pressure_factor = pressure_factor(self.gauge, self.barometer, self.base.pressure)?;
        let base = self.base.temperature.kelvin();
        let temperature_factor = Ratio::from_ratio(self.gas.map_or(1.0, |gas| base / gas.kelvin()));
        let factor = pressure_factor * temperature_factor;
        let flow = StandardFlow::from_scfh(metered.cfh() * factor.ratio());
        Ok(Clocked {
            metered,
            pressure_factor,
            temperature_factor,
            flow,
            input: self.heating_value.times(flow),
            uncorrected: self.heating_value.times_uncorrected(metered),
        })
    }

    /// Uncertainty of the input from a watch, a gauge and a thermometer of the usual kind.
    pub fn spread(&self) -> Option<Spread> {
        let names = ["time", "meter pressure", "barometer", "gas temperature", "heating value"];
        Some(self.propagated()?.spread("input", Unit::BtuH, &names))
    }

    /// The input with its standard uncertainty, from the same parts as [`Clocking::spread`].
    ///
    /// ```
    /// # use client_core::trade::gas::clock::Clocking;
    /// # use client_core::trade::quantity::*;
    /// # let clocked = Clocking {
    /// #     dial: Volume::from_cubic_feet(2.0),
    /// #     revolutions: Count::from_number(1.0),
    /// #     time: TimeSpan::from_seconds(41.0),
    /// #     gauge: GaugePressure::from_psi(0.25),
    /// #     barometer: AbsolutePressure::from_psia(14.3),
    /// #     gas: Some(Temperature::from_fahrenheit(60.0)),
    /// #     heating_value: HeatingValue::from_btu_per_cubic_foot(1030.0),
    /// #     base: GasBase::PSIA_14_73,
    /// # };
    /// let input = clocked.uncertain().unwrap();
    /// // The heating value alone is good for half a per cent.
    /// assert!(input.u / input.amount.value > 0.005);
    /// ```
    pub fn uncertain(&self) -> Option<Uncertain> {
        let found = self.propagated()?;
        Some(Uncertain { amount: Amount::new(found.value, Unit::BtuH), u: found.u })
    }

    fn propagated(&self) -> Option<Propagated> {
        let gas = self.gas.unwrap_or(Temperature::from_kelvin(KELVIN_60F));
        let fixed = |amount: Amount, u: f64| Uncertain { amount, u };
        let heating_value = self.heating_value.amount(Unit::BtuFt3);
        let inputs = [
            usual("meter_time", self.time, Unit::S),
            fixed(self.gauge.amount(Unit::Psi), 0.05 + 0.01 * self.gauge.psi().abs()),
            fixed(self.barometer.amount(Unit::Psia), 0.05),
            fixed(gas.amount(Unit::K), 1.5),
            // A bill's monthly mean against the gas of the hour: 0.5 % by common practice.
            fixed(heating_value, 0.005 * heating_value.value),
        ];
        let solve = |x: &[f64]| {
            let moved = Clocking {
                time: TimeSpan::from_seconds(x[0]),
                gauge: GaugePressure::from_psi(x[1]),
                barometer: AbsolutePressure::from_psia(x[2]),
                gas: self.gas.map(|_| Temperature::from_kelvin(x[3])),
                heating_value: HeatingValue::from_btu_per_cubic_foot(x[4]),
                ..*self
            };
            moved.solve().ok().map(|found| found.input.btu_per_hour())
        };
        propagate(&inputs, solve)
    }

    /// Works it out with its sheet; beside the plate input where there is one.
    pub fn worked(&self, plate: Option<HeatRate>) -> Result<Worked<Clocked>, Impossible> {
        let value = self.solve()?;
        let mut sheet = Sheet::new(&CLOCKED_INPUT)
            .input("dial", "dial", self.dial, Unit::Ft3)
            .input("revolutions", "revolutions", self.revolutions, Unit::N)
            .input("time", "time", self.time, Unit::S)
            .input("gauge", "meter pressure", self.gauge, Unit::Psi)
            .input("barometer", "air pressure at the site", self.barometer, Unit::Psia)
            .input("heating_value", "gross heating value", self.heating_value, Unit::BtuFt3)
            .input("base", "base of the heating value", self.base.pressure, Unit::Psia);
        if let Some(gas) = self.gas {
            sheet = sheet.input("gas", "gas temperature", gas, Unit::F);
        }
        let (dial, revolutions) = (self.dial.cubic_feet(), self.revolutions.number());
        sheet = sheet
            .step(
                "metered",
                "gas as metered",
                value.metered.amount(Unit::Cfh),
                format!("3600 x {dial} x {revolutions} / {:.1}", self.time.seconds()),
            )
            .step(
                "pressure_factor",
                "pressure factor",
                value.pressure_factor.amount(Unit::Ratio),
                format!(
                    "({:.2} + {:.2}) / {:.2}",
                    self.barometer.psia(),
                    self.gauge.psi(),
                    self.base.pressure.psia()
                ),
            )
            .step(
                "temperature_factor",
                "temperature factor",
                value.temperature_factor.amount(Unit::Ratio),
                "base temperature / gas temperature, both from absolute zero",
            )
            .result("flow", "gas at the base", value.flow, Unit::Scfh)
            .result("input", "input", value.input, Unit::BtuH)
            .rule(
                "input",
                "without pressure and temperature factors",
                value.uncorrected.amount(Unit::BtuH),
                "common practice at low pressure and low elevation",
            )
            .outside(self.gauge.psi() > 5.0, "over 5 psig supercompressibility should be put in")
            .caution("every other appliance and pilot on this meter off, at steady fire");
        if let Some(plate) = plate {
            INPUT_OF_PLATE.check(plate)?;
            let over = Ratio::from_ratio((value.input / plate).ratio() - 1.0);
            sheet = sheet.result("over_plate", "over the plate input", over, Unit::Pct);
        }
        sheet.spreads = self.spread().into_iter().collect();
        Ok(Worked { value, sheet })
    }
}

const INPUT_OF_PLATE: Range = Range {
    what: "plate input",
    low: 0.1,
    high: 100_000.0,
    unit: Unit::Mbh,
    hint: "check Btu/h against MBH",
};

/// Formula of the pressure factor.
pub const PRESSURE_FACTOR: Formula = Formula {
    id: "gas.pressure_factor",
    version: 1,
    name: "pressure factor of a meter",
    expression: "(barometer + gauge) / base",
    source: "ideal-gas law",
    range: "up to 5 psig; supercompressibility left out",
    function: "gas::clock::pressure_factor",
    test: "trade_check_values",
};

/// How much more gas a cubic foot in the meter holds than one at the base, by pressure alone.
///
/// ```
/// use client_core::trade::gas::clock::pressure_factor;
/// use client_core::trade::quantity::{AbsolutePressure, GaugePressure};
/// let (gauge, air) = (GaugePressure::from_psi(2.0), AbsolutePressure::from_psia(14.16));
/// let factor = pressure_factor(gauge, air, AbsolutePressure::from_psia(14.73)).unwrap();
/// assert!((factor.ratio() - 1.0971).abs() < 1e-4);
/// ```
pub fn pressure_factor(
    gauge: GaugePressure,
    barometer: AbsolutePressure,
    base: AbsolutePressure,
) -> Result<Ratio, Impossible> {
    GAUGE.check(gauge)?;
    AIR_PRESSURE_RANGE.check(barometer)?;
    AIR_PRESSURE_RANGE.check(base)?;
    let inside = barometer.plus(gauge);
    if inside.pascals() <= 0.0 {
        return Err(Impossible::UnderVacuum {
            what: "meter pressure",
            value: inside.amount(Unit::Psia),
        });
    }
    Ok(inside.over(base))
}

/// The pressure factor with its sheet.
pub fn pressure_factor_worked(
    gauge: GaugePressure,
    barometer: AbsolutePressure,
    base: AbsolutePressure,
) -> Result<Worked<Ratio>, Impossible> {
    let value = pressure_factor(gauge, barometer, base)?;
    let none = Ratio::from_ratio(1.0).amount(Unit::Ratio);
    let sheet = Sheet::new(&PRESSURE_FACTOR)
        .input("gauge", "meter pressure", gauge, Unit::Psi)
        .input("barometer", "air pressure at the site", barometer, Unit::Psia)
        .input("base", "base pressure", base, Unit::Psia)
        .result("factor", "pressure factor", value, Unit::Ratio)
        .rule("factor", "left out", none, "common slip at 2 psig meters: 10 to 14 %")
        .outside(gauge.psi() > 5.0, "over 5 psig supercompressibility should be put in");
    Ok(Worked { value, sheet })
}
