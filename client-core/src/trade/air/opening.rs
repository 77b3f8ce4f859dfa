//! Combustion-air openings by the code's rules: for information, the code check is a licensed person's.

use crate::trade::impossible::{Impossible, Range};
use crate::trade::quantity::{ActualFlow, Area, HeatRate, Ratio, Volume};
use crate::trade::unit::Unit;
use crate::trade::worked::{Formula, Sheet, Worked};

/// Formula of the openings.
pub const COMBUSTION_AIR: Formula = Formula {
    id: "air.combustion_air",
    version: 1,
    name: "combustion-air openings",
    expression: "50 ft3 each 1,000 Btu/h; known air change: 21/ACH other + 15/ACH fan-assisted; openings by input",
    source: "NFPA 54 9.3 / IFGC 304 (from memory; ratios seen quoted)",
    range: "known air change up to 0.60 per hour; louvers 75 % metal, 25 % wood",
    function: "air::opening::CombustionAir::solve",
    test: "golden_tables_hold",
};

/// Appliances of one room.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CombustionAir {
    /// Input of fan-assisted appliances.
    pub fan_assisted: HeatRate,
    /// Input of all others.
    pub other: HeatRate,
    /// Air changes of the room per hour, where somebody knows them.
    pub air_changes: Option<Ratio>,
    /// Volume of the room, where somebody knows it.
    pub room: Option<Volume>,
}

/// What the rules ask for.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Openings {
    /// Room volume by the standard rule.
    pub standard_volume: Volume,
    /// Room volume by the known-air-change rule; none over 0.60 per hour.
    pub known_volume: Option<Volume>,
    /// Whether the room is large enough by the standard rule.
    pub room_suffices: Option<bool>,
    /// Two openings to a room on the same storey, each.
    pub indoor_each: Area,
    /// Openings to another storey, in all.
    pub other_storey: Area,
    /// Two openings outdoors, direct or by vertical ducts, each.
    pub outdoor_vertical_each: Area,
    /// Two openings outdoors by horizontal ducts, each.
    pub outdoor_horizontal_each: Area,
    /// One opening outdoors.
    pub outdoor_single: Area,
    /// The vertical one behind a metal louver, gross.
    pub metal_louver: Area,
    /// The vertical one behind a wood louver, gross.
    pub wood_louver: Area,
    /// Mechanical supply.
    pub mechanical: ActualFlow,
}

const INPUT: Range =
    Range { what: "input", low: 0.0, high: 1e6, unit: Unit::Mbh, hint: "check Btu/h against MBH" };
const CHANGES: Range = Range {
    what: "air changes per hour",
    low: 0.01,
    high: 100.0,
    unit: Unit::Ratio,
    hint: "leave it out where nobody measured it",
};
const ROOM: Range = Range {
    what: "room volume",
    low: 1.0,
    high: 1e9,
    unit: Unit::Ft3,
    hint: "length x width x height in feet",
};

impl CombustionAir {
    /// Works it out.
    ///
    /// ```
    /// use client_core::trade::air::opening::CombustionAir;
    /// use client_core::trade::quantity::*;
    /// // The fuel gas code prints 7,500 ft3 (fan-assisted) and 10,500 ft3 (other) for these.
    /// let room = |fan, other| CombustionAir {
    ///     fan_assisted: HeatRate::from_mbh(fan),
    ///     other: HeatRate::from_mbh(other),
    ///     air_changes: Some(Ratio::from_ratio(0.2)),
    ///     room: None,
    /// };
    /// let volume = |room: CombustionAir| room.solve().unwrap().known_volume.unwrap().cubic_feet();
    /// assert!((volume(room(100.0, 0.0)) - 7_500.0).abs() < 1e-6);
    /// assert!((volume(room(0.0, 100.0)) - 10_500.0).abs() < 1e-6);
    /// ```
    pub fn solve(&self) -> Result<Openings, Impossible> {
        INPUT.check(self.fan_assisted)?;
        INPUT.check(self.other)?;
        if let Some(changes) = self.air_changes {
            CHANGES.check(changes)?;
        }
        if let Some(room) = self.room {
            ROOM.check(room)?;
        }
        let (fan, other) = (self.fan_assisted.btu_per_hour(), self.other.btu_per_hour());
        let input = fan + other;
        let square = Area::from_square_inches;
        let standard = Volume::from_cubic_feet(50.0 * input / 1000.0);
        let known = self.air_changes.filter(|changes| changes.ratio() <= 0.6 + 1e-9);
        Ok(Openings {
            standard_volume: standard,
            known_volume: known.map(|changes| {
                Volume::from_cubic_feet((21.0 * other + 15.0 * fan) / 1000.0 / changes.ratio())
            }),
            room_suffices: self.room.map(|room| room >= standard),
            indoor_each: square((input / 1000.0).max(100.0)),
            other_storey: square(2.0 * input / 1000.0),
            outdoor_vertical_each: square(input / 4000.0),
            outdoor_horizontal_each: square(input / 2000.0),
            outdoor_single: square(input / 3000.0),
            metal_louver: square(input / 4000.0 / 0.75),
            wood_louver: square(input / 4000.0 / 0.25),
            mechanical: ActualFlow::from_cfm(0.35 * input / 1000.0),
        })
    }

    /// Works it out with its sheet.
    pub fn worked(&self) -> Result<Worked<Openings>, Impossible> {
        let value = self.solve()?;
        let mut sheet = Sheet::new(&COMBUSTION_AIR)
            .input("fan_assisted", "input, fan-assisted", self.fan_assisted, Unit::BtuH)
            .input("other", "input, other", self.other, Unit::BtuH)
            .result(
                "standard_volume",
                "room by the standard rule",
                value.standard_volume,
                Unit::Ft3,
            )
            .result("indoor_each", "two openings indoors, each", value.indoor_each, Unit::In2)
            .result(
                "vertical_each",
                "two outdoors, vertical, each",
                value.outdoor_vertical_each,
                Unit::In2,
            )
            .result(
                "horizontal_each",
                "two outdoors, horizontal, each",
                value.outdoor_horizontal_each,
                Unit::In2,
            )
            .result("single", "one outdoors", value.outdoor_single, Unit::In2)
            .result("metal_louver", "vertical, behind metal louver", value.metal_louver, Unit::In2)
            .result("wood_louver", "vertical, behind wood louver", value.wood_louver, Unit::In2)
            .result("mechanical", "mechanical supply", value.mechanical, Unit::Cfm)
            .caution("least side of an opening 3 in; exhaust fans in the room change everything")
            .caution("for information: the code check belongs to a licensed person");
        if let Some(known) = value.known_volume {
            sheet = sheet.result("known_volume", "room by known air change", known, Unit::Ft3);
        }
        match value.room_suffices {
            Some(true) => {
                sheet = sheet.finding("the room holds what the standard rule asks for");
            }
            Some(false) => {
                sheet = sheet.finding("the room is smaller than the standard rule asks for");
            }
            None => {}
        }
        if self.air_changes.is_some_and(|changes| changes.ratio() > 0.6) {
            sheet =
                sheet.finding("over 0.60 air changes per hour the known-air-change rule is closed");
        }
        Ok(Worked { value, sheet })
    }
}
