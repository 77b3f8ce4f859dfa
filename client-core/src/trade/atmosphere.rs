//! Air pressure by elevation, and the trap of a weather report.
//!
//! Source: U.S. Standard Atmosphere 1976 (ISO 2533), lowest layer.

use crate::trade::constant::ATMOSPHERE;
use crate::trade::impossible::{Impossible, Range};
use crate::trade::quantity::{AbsolutePressure, Length};
use crate::trade::unit::Unit;

/// Elevations taken.
pub const ELEVATION_RANGE: Range = Range {
    what: "elevation",
    low: -1400.0,
    high: 16_000.0,
    unit: Unit::Ft,
    hint: "check the figure and whether it is feet or metres",
};
/// Air pressures taken, which is what people live in.
pub const AIR_PRESSURE_RANGE: Range = Range {
    what: "air pressure",
    low: 50.0,
    high: 110.0,
    unit: Unit::Kpa,
    hint: "give the pressure at the site, not above the air around",
};

/// Temperature at sea level, K; lapse, K/m; radius of the earth, m; g M / (R lapse).
const SEA_LEVEL_K: f64 = 288.15;
const LAPSE: f64 = 0.0065;
const EARTH_RADIUS: f64 = 6_356_766.0;
const EXPONENT: f64 = 34.163195 / 6.5;

/// Pressure of the standard atmosphere at an elevation.
///
/// ```
/// use client_core::trade::{atmosphere::standard_pressure, quantity::Length};
/// let p = standard_pressure(Length::from_feet(5000.0)).unwrap();
/// assert!((p.psia() - 12.23).abs() < 0.005);
/// ```
pub fn standard_pressure(elevation: Length) -> Result<AbsolutePressure, Impossible> {
    ELEVATION_RANGE.check(elevation)?;
    Ok(AbsolutePressure::from_pascals(ATMOSPHERE * ratio(elevation)))
}

/// Pressure at the site from a weather report, which is reduced to sea level.
///
/// A report of 29.92 inHg at 5,000 ft is about 24.9 inHg at the site: taking it as it stands puts
/// 20 % too much into the pressure factor of a clocked meter.
pub fn station_pressure(
    reported: AbsolutePressure,
    elevation: Length,
) -> Result<AbsolutePressure, Impossible> {
    const REPORT: Range = Range {
        what: "reported barometer",
        low: 85.0,
        high: 110.0,
        unit: Unit::Kpa,
        hint: "a weather report is near 29.92 inHg at any elevation",
    };
    REPORT.check(reported)?;
    ELEVATION_RANGE.check(elevation)?;
    Ok(AbsolutePressure::from_pascals(reported.pascals() * ratio(elevation)))
}

fn ratio(elevation: Length) -> f64 {
    let metres = elevation.metres();
    let geopotential = EARTH_RADIUS * metres / (EARTH_RADIUS + metres);
    (1.0 - LAPSE * geopotential / SEA_LEVEL_K).powf(EXPONENT)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn matches_the_printed_atmosphere() {
        // Source: U.S. Standard Atmosphere 1976 table, geometric altitude 1,000 m and 3,000 m.
        for (metres, pascals) in [(0.0, 101_325.0), (1000.0, 89_876.0), (3000.0, 70_121.0)] {
            let got = standard_pressure(Length::from_metres(metres)).unwrap().pascals();
            assert!((got / pascals - 1.0).abs() < 2e-5, "{metres} m: {got}");
        }
    }

    #[test]
    fn a_report_is_not_the_pressure_at_the_site() {
        let report = AbsolutePressure::from_inches_mercury(29.92);
        let site = station_pressure(report, Length::from_feet(5000.0)).unwrap();
        assert!((site.inches_mercury() - 24.9).abs() < 0.1);
    }
}
