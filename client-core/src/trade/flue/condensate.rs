//! What a condensing appliance wins back, from the condensate it drips.

use crate::trade::constant::WATER_MOLAR_MASS;
use crate::trade::flue::{FLUE_RANGE, FlueAnalysis, FlueReading, analyse};
use crate::trade::fuel::Fuel;
use crate::trade::impossible::{Impossible, Range};
use crate::trade::quantity::{HeatRate, MassFlow, Quantity, Ratio, Temperature, TimeSpan, Volume};
use crate::trade::unit::Unit;
use crate::trade::water;
use crate::trade::worked::{Formula, Sheet, Worked};

/// Formula of the heat won back by condensing.
pub const CONDENSATE: Formula = Formula {
    id: "flue.condensate",
    version: 1,
    name: "heat recovered by condensing",
    expression: "heat = condensate mass x (vapour - liquid enthalpy at flue temperature)",
    source: "IAPWS SR1-86 and NASA polynomials, tied to ISO 6976 at 60 F",
    range: "flue 5 to 90 C",
    function: "flue::condensate::Condensate::solve",
    test: "condensate_tells_the_same_as_the_flue",
};

/// A measuring jug under the drain.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Condensate {
    /// Water caught.
    pub caught: Volume,
    /// Time of catching.
    pub time: TimeSpan,
    /// Flue temperature meanwhile.
    pub flue: Temperature,
    /// Input meanwhile, on the gross value.
    pub input: HeatRate,
}

/// What the condensate says.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Recovered {
    /// Condensate per time.
    pub flow: MassFlow,
    /// Latent heat won back.
    pub heat: HeatRate,
    /// The same as a share of the input.
    pub share: Ratio,
}

impl Condensate {
    /// Works it out.
    ///
    /// ```
    /// use client_core::trade::flue::condensate::Condensate;
    /// use client_core::trade::quantity::{HeatRate, Temperature, TimeSpan, Volume};
    /// let jug = Condensate {
    ///     caught: Volume::from_litres(2.0),
    ///     time: TimeSpan::from_minutes(30.0),
    ///     flue: Temperature::from_celsius(45.0),
    ///     input: HeatRate::from_mbh(399.0),
    /// };
    /// assert!((jug.solve().unwrap().share.percent() - 2.3).abs() < 0.1);
    /// ```
    pub fn solve(&self) -> Result<Recovered, Impossible> {
        const TIME: Range = Range {
            what: "time of catching",
            low: 0.1,
            high: 1e4,
            unit: Unit::Min,
            hint: "catch for at least some minutes at steady fire",
        };
        const CAUGHT: Range = Range {
            what: "condensate",
            low: 0.0,
            high: 1e4,
            unit: Unit::L,
            hint: "check the figure and the unit",
        };
        const INPUT: Range = Range {
            what: "input",
            low: 0.5,
            high: 1e5,
            unit: Unit::Mbh,
            hint: "check Btu/h against MBH",
        };
        TIME.check(self.time)?;
        CAUGHT.check(self.caught)?;
        INPUT.check(self.input)?;
        FLUE_RANGE.check(self.flue)?;
        let kilograms = self.caught.litres() / self.time.seconds();
        let per_kilogram =
            water::condensing_heat(self.flue.kelvin()) / WATER_MOLAR_MASS.grams_per_mole() * 1000.0;
        let heat = kilograms * per_kilogram;
        Ok(Recovered {
            flow: MassFlow::from_kilograms_per_second(kilograms),
            heat: HeatRate::from_watts(heat),
            share: Ratio::from_ratio(heat / self.input.watts()),
        })
    }

    /// Works it out with its sheet.
    pub fn worked(&self) -> Result<Worked<Recovered>, Impossible> {
        let value = self.solve()?;
        let warm = !(5.0..=90.0).contains(&self.flue.celsius());
        let sheet = Sheet::new(&CONDENSATE)
            .input("caught", "condensate caught", self.caught, Unit::L)
            .input("time", "time of catching", self.time, Unit::Min)
            .input("flue_temp", "flue temperature", self.flue, Unit::F)
            .input("input", "input, gross", self.input, Unit::BtuH)
            .step("flow", "condensate", value.flow.amount(Unit::KgH), "caught / time, 1 kg a litre")
            .result("heat", "latent heat won back", value.heat, Unit::BtuH)
            .result("share", "share of the input", value.share, Unit::Pct)
            .outside(warm, "flue outside 5 to 90 C: is this a condensing appliance")
            .caution("condensate is acid: drain, trap and neutraliser stay in order");
        Ok(Worked { value, sheet })
    }
}

/// Condensate that a flue reading says should drip, at this input.
pub fn expected(
    fuel: &Fuel,
    reading: &FlueReading,
    input: HeatRate,
) -> Result<(MassFlow, FlueAnalysis), Impossible> {
    let found = analyse(fuel, reading)?;
    let fuel_rate = input.watts() / fuel.gross;
    let moles = fuel_rate * found.condensed.ratio() * fuel.atoms.hydrogen / 2.0;
    let flow = moles * WATER_MOLAR_MASS.grams_per_mole() / 1000.0;
    Ok((MassFlow::from_kilograms_per_second(flow), found))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::trade::quantity::Concentration;

    #[test]
    fn condensate_tells_the_same_as_the_flue() {
        let gas = Fuel::named("natural_gas").unwrap();
        let reading = FlueReading::of_oxygen(
            Concentration::from_percent(5.0),
            Temperature::from_celsius(40.0),
            Temperature::from_celsius(20.0),
        );
        let input = HeatRate::from_mbh(399.0);
        let (flow, found) = expected(&gas, &reading, input).unwrap();
        let hour = TimeSpan::from_hours(1.0);
        let caught = Volume::from_litres(flow.kilograms_per_hour());
        let jug = Condensate { caught, time: hour, flue: reading.flue, input };
        let won = found.gross.percent() - found.gross_without_condensing.percent();
        assert!((jug.solve().unwrap().share.percent() - won).abs() < 1e-6);
    }
}
