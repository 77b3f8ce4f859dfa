//! Gas use per degree-day: drift of a building without its weather.

use crate::trade::impossible::{Impossible, Range};
use crate::trade::quantity::{DegreeDays, Energy, Quantity, Ratio, Temperature};
use crate::trade::unit::Unit;
use crate::trade::worked::{Formula, Sheet, Worked};

/// Formula of the gas use per degree-day.
pub const DEGREE_DAY: Formula = Formula {
    id: "heat.degree_day",
    version: 1,
    name: "gas per degree-day",
    expression: "(gas - gas used without heating) / degree-days below the base",
    source: "degree-day method (ASHRAE, from memory); base 65 F unless told",
    range: "whole bills; the same use of the building",
    function: "heat::degree_day::Season::solve",
    test: "degree_days_take_the_weather_out",
};

/// Gas of a stretch of time with its weather.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Season {
    /// Gas used.
    pub gas: Energy,
    /// Gas used for other than heating in the same time.
    pub base_load: Energy,
    /// Degree-days of the same time.
    pub degree_days: DegreeDays,
}

/// Degree-days of a run of daily mean temperatures below a base.
///
/// ```
/// use client_core::trade::heat::degree_day::degree_days;
/// use client_core::trade::quantity::Temperature;
/// let days = [25.0, 40.0, 70.0].map(Temperature::from_fahrenheit);
/// let sum = degree_days(&days, Temperature::from_fahrenheit(65.0)).unwrap();
/// assert!((sum.fahrenheit_days() - 65.0).abs() < 1e-9);
/// ```
pub fn degree_days(means: &[Temperature], base: Temperature) -> Result<DegreeDays, Impossible> {
    const MEAN: Range = Range {
        what: "daily mean temperature",
        low: -80.0,
        high: 130.0,
        unit: Unit::F,
        hint: "check the figure and whether it is F or C",
    };
    MEAN.check(base)?;
    let mut sum = 0.0;
    for mean in means {
        sum += base.above(MEAN.check(*mean)?).kelvin().max(0.0);
    }
    Ok(DegreeDays::from_kelvin_days(sum))
}

/// Gas for heating per degree-day.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PerDegreeDay {
    /// Gas for heating.
    pub heating: Energy,
    /// The same per Fahrenheit degree-day.
    pub per_day: Energy,
}

impl Season {
    /// Works it out.
    pub fn solve(&self) -> Result<PerDegreeDay, Impossible> {
        const GAS: Range = Range {
            what: "gas used",
            low: 0.0,
            high: 1e9,
            unit: Unit::Therm,
            hint: "meter read at the end less meter read at the start",
        };
        const DAYS: Range = Range {
            what: "degree-days",
            low: 1.0,
            high: 50_000.0,
            unit: Unit::DdF,
            hint: "take a stretch with some cold in it",
        };
        GAS.check(self.gas)?;
        GAS.check(self.base_load)?;
        DAYS.check(self.degree_days)?;
        if self.base_load > self.gas {
            return Err(Impossible::WindowReversed {
                what: "the gas used",
                low: self.base_load.amount(Unit::Therm),
                high: self.gas.amount(Unit::Therm),
            });
        }
        let heating = self.gas - self.base_load;
        let per_day = heating * Ratio::from_ratio(1.0 / self.degree_days.fahrenheit_days());
        Ok(PerDegreeDay { heating, per_day })
    }

    /// Works it out with its sheet; beside another season where there is one.
    pub fn worked(&self, before: Option<&Season>) -> Result<Worked<PerDegreeDay>, Impossible> {
        let value = self.solve()?;
        let mut sheet = Sheet::new(&DEGREE_DAY)
            .input("gas", "gas used", self.gas, Unit::Therm)
            .input("base_load", "not for heating", self.base_load, Unit::Therm)
            .input("degree_days", "degree-days", self.degree_days, Unit::DdF)
            .result("heating", "gas for heating", value.heating, Unit::Therm)
            .result("per_day", "per Fahrenheit degree-day", value.per_day, Unit::Btu)
            .caution("doors, hours and setpoints move it as much as heaters do");
        if let Some(before) = before {
            let ratio = (value.per_day / before.solve()?.per_day).ratio() - 1.0;
            if ratio.is_finite() {
                let drift = Ratio::from_ratio(ratio);
                sheet = sheet.result("drift", "against the season before", drift, Unit::Pct);
            }
        }
        Ok(Worked { value, sheet })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn degree_days_take_the_weather_out() {
        let season = |therms, days| Season {
            gas: Energy::from_therms(therms),
            base_load: Energy::from_therms(100.0),
            degree_days: DegreeDays::from_fahrenheit_days(days),
        };
        let (mild, cold) = (season(4100.0, 4000.0), season(5100.0, 5000.0));
        let drift = cold.worked(Some(&mild)).unwrap().sheet.get("drift").unwrap();
        assert!(drift.value.abs() < 1e-9, "a colder season alone is no drift");
        assert!(season(50.0, 4000.0).solve().is_err());
    }
}
