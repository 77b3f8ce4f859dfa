//! Carbon monoxide: what each band means, and where the figures come from.
//!
//! A figure near a line counts as over it here: people breathe this.

use crate::trade::flue::{AirFreeShown, air_free};
use crate::trade::impossible::{Impossible, Range};
use crate::trade::quantity::Concentration;
use crate::trade::unit::Unit;

/// A band of a figure, with what to do.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Band {
    /// Stable key.
    pub key: &'static str,
    /// What to say.
    pub words: &'static str,
    /// Where the line comes from.
    pub source: &'static str,
}

const AMBIENT: Range = Range {
    what: "ambient co",
    low: -5.0,
    high: 20_000.0,
    unit: Unit::Ppm,
    hint: "zero the instrument in fresh air",
};

/// Shift average at work. Source: OSHA 29 CFR 1910.1000 Table Z-1.
pub const WORKPLACE_8_H: Concentration = Concentration::from_ppm(50.0);
/// Recommended average and ceiling. Source: NIOSH criteria document 1972.
pub const RECOMMENDED: [Concentration; 2] =
    [Concentration::from_ppm(35.0), Concentration::from_ppm(200.0)];
/// Air-free line of vented heaters. Source: ANSI Z21/Z83 family as reported in the trade press.
pub const VENTED_AIR_FREE: Concentration = Concentration::from_ppm(400.0);
/// Air-free line of unvented heaters. Source: the same family, second-hand.
pub const UNVENTED_AIR_FREE: Concentration = Concentration::from_ppm(200.0);
/// Said beside every spot reading.
pub const SPOT: &str =
    "the workplace limit is an average over the shift: a spot reading cannot show compliance";

/// The band of a reading where people breathe.
///
/// ```
/// use client_core::trade::{quantity::Concentration, verdict::carbon_monoxide::ambient};
/// assert_eq!(ambient(Concentration::from_ppm(4.0)).unwrap().key, "note");
/// assert_eq!(ambient(Concentration::from_ppm(100.0)).unwrap().key, "everybody_out");
/// ```
pub fn ambient(co: Concentration) -> Result<Band, Impossible> {
    let ppm = AMBIENT.check(co)?.ppm();
    let source = "common practice; the firm's own setting goes first";
    let (key, words) = if ppm >= 99.5 {
        ("everybody_out", "Get people out now. Call emergency services from outside.")
    } else if ppm >= 34.5 {
        (
            "leave_area",
            "Leave the area, warn others, ventilate, shut the likely source if that can be done \
             without risk.",
        )
    } else if ppm >= 9.5 {
        ("find_source", "Something is adding CO. Find it before other work.")
    } else {
        ("note", "Recorded.")
    };
    Ok(Band { key, words, source })
}

/// The band of an air-free figure of a vented heater, or none where oxygen allows no verdict.
pub fn flue(
    o2: Concentration,
    co: Concentration,
    fresh_air: Concentration,
) -> Result<Option<Band>, Impossible> {
    let free = air_free::exact(o2, co, fresh_air)?.ppm();
    if AirFreeShown::at(o2) != AirFreeShown::Judged {
        return Ok(None);
    }
    let band = |key, words, source| Band { key, words, source };
    Ok(Some(if free > 400.0 {
        band(
            "shut_down",
            "Over the figure vented heaters are tested to. Shut down and call your supervisor.",
            "400 ppm air-free: ANSI Z21/Z83 family as reported in the trade press",
        )
    } else if free >= 100.0 {
        band("find_cause", "Find the cause, re-test, advise.", "100 ppm air-free: common practice")
    } else {
        band(
            "usual",
            "Under what is usual for most vented units. Read it beside O2 and its direction.",
            "100 ppm air-free: common practice",
        )
    }))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::trade::flue::FRESH_AIR;

    #[test]
    fn bands_round_towards_care() {
        let key = |ppm| ambient(Concentration::from_ppm(ppm)).unwrap().key;
        assert_eq!(key(9.4), "note");
        assert_eq!(key(9.6), "find_source");
        assert_eq!(key(34.6), "leave_area");
        assert_eq!(key(99.9), "everybody_out");
    }

    #[test]
    fn low_co_in_much_air_gets_no_verdict() {
        let band = |o2, co| {
            flue(Concentration::from_percent(o2), Concentration::from_ppm(co), FRESH_AIR).unwrap()
        };
        assert_eq!(band(16.0, 20.0), None);
        assert_eq!(band(9.9, 318.0).map(|band| band.key), Some("shut_down"));
        assert_eq!(band(7.0, 168.0).map(|band| band.key), Some("find_cause"));
    }
}
