//! Draft of a warm vent: theory, the trade's formula, and the way to a pressure switch's setpoint.

use crate::trade::atmosphere::AIR_PRESSURE_RANGE;
use crate::trade::constant::GRAVITY;
use crate::trade::flue::balance::{Products, air_density};
use crate::trade::flue::{FLUE_RANGE, HUMIDITY_RANGE};
use crate::trade::fuel::Fuel;
use crate::trade::impossible::{Impossible, Range};
use crate::trade::quantity::{
    AbsolutePressure, Density, Length, PressureDifference, Quantity, Ratio, RelativeHumidity,
    Temperature,
};
use crate::trade::unit::Unit;
use crate::trade::water;
use crate::trade::worked::{Formula, Sheet, Worked};

/// Formula of the draft.
pub const DRAFT: Formula = Formula {
    id: "air.draft",
    version: 1,
    name: "draft of a vent",
    expression: "dp = g H (rho outdoor - rho flue)",
    source: "hydrostatics with the flue gas of the fuel as an ideal gas",
    range: "no flow loss: the vent's friction takes part of it",
    function: "air::draft::Draft::solve",
    test: "golden_tables_hold",
};

/// A vent.
#[derive(Clone, Copy, Debug)]
pub struct Draft<'a> {
    /// Fuel.
    pub fuel: &'a Fuel,
    /// Excess air of what goes up.
    pub excess_air: Ratio,
    /// Height of the vent.
    pub height: Length,
    /// Mean flue temperature over the height.
    pub flue: Temperature,
    /// Outdoor temperature.
    pub outdoor: Temperature,
    /// Outdoor humidity.
    pub humidity: RelativeHumidity,
    /// Air pressure at the site.
    pub pressure: AbsolutePressure,
}

/// What pulls.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Drawn {
    /// Density of outdoor air.
    pub outdoor_density: Density,
    /// Density of the flue gas.
    pub flue_density: Density,
    /// Draft without flow; negative pushes down.
    pub draft: PressureDifference,
    /// Draft by the trade's formula, which takes flue gas for air.
    pub trade: PressureDifference,
}

pub(crate) const OUTDOOR: Range = Range {
    what: "outdoor temperature",
    low: -60.0,
    high: 60.0,
    unit: Unit::C,
    hint: "check the figure and whether it is F or C",
};
const HEIGHT: Range = Range {
    what: "vent height",
    low: 0.0,
    high: 1000.0,
    unit: Unit::Ft,
    hint: "from the flue outlet to the terminal",
};
const EXCESS: Range = Range {
    what: "excess air",
    low: 0.0,
    high: 20_000.0,
    unit: Unit::Pct,
    hint: "with a draft hood count the dilution air too",
};

impl Draft<'_> {
    /// Works it out.
    pub fn solve(&self) -> Result<Drawn, Impossible> {
        EXCESS.check(self.excess_air)?;
        HEIGHT.check(self.height)?;
        FLUE_RANGE.check(self.flue)?;
        OUTDOOR.check(self.outdoor)?;
        HUMIDITY_RANGE.check(self.humidity)?;
        AIR_PRESSURE_RANGE.check(self.pressure)?;
        let (hot, cold) = (self.flue.kelvin(), self.outdoor.kelvin());
        let pressure = self.pressure.pascals();
        let vapour = self.humidity.fraction() * water::saturation(cold);
        let moisture = vapour / (pressure - vapour);
        let products = Products::of(self.fuel, self.excess_air.ratio(), 0.0, moisture)?;
        let outdoor = air_density(cold, pressure, moisture);
        let flue = products.density(hot, pressure);
        let difference = outdoor - flue.kilograms_per_cubic_metre();
        let draft = GRAVITY * self.height.metres() * difference;
        let rankine = |kelvin: f64| 1.8 * kelvin;
        let trade = 0.2554
            * self.pressure.inches_mercury()
            * self.height.feet()
            * (1.0 / rankine(cold) - 1.0 / rankine(hot));
        Ok(Drawn {
            outdoor_density: Density::from_kilograms_per_cubic_metre(outdoor),
            flue_density: flue,
            draft: PressureDifference::from_pascals(draft),
            trade: PressureDifference::from_inches_wc(trade),
        })
    }

    /// Works it out with its sheet.
    pub fn worked(&self) -> Result<Worked<Drawn>, Impossible> {
        let value = self.solve()?;
        let sheet = Sheet::new(&DRAFT)
            .input("excess_air", "excess air", self.excess_air, Unit::Pct)
            .input("height", "height", self.height, Unit::Ft)
            .input("flue", "mean flue temperature", self.flue, Unit::F)
            .input("outdoor", "outdoor temperature", self.outdoor, Unit::F)
            .input("humidity", "outdoor humidity", self.humidity, Unit::Pct)
            .input("pressure", "air pressure", self.pressure, Unit::Psia)
            .step(
                "outdoor_density",
                "density outdoors",
                value.outdoor_density.amount(Unit::LbFt3),
                "moist air",
            )
            .step(
                "flue_density",
                "density in the vent",
                value.flue_density.amount(Unit::LbFt3),
                format!("flue gas of {}", self.fuel.name()),
            )
            .result("draft", "draft without flow", value.draft, Unit::InWc)
            .rule(
                "draft",
                "0.2554 p H (1/To - 1/Tf)",
                value.trade.amount(Unit::InWc),
                "common practice: flue gas taken for air",
            )
            .outside(self.flue < self.outdoor, "the vent is colder than outdoors: it pushes down")
            .caution("wind, a blocked cap and a building under vacuum outweigh theory");
        Ok(Worked { value, sheet })
    }
}
