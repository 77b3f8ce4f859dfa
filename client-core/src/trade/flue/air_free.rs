//! Carbon monoxide referred to no excess air, and where the figure means nothing.

use crate::trade::constant::dry_air;
use crate::trade::flue::CO_RANGE;
use crate::trade::flue::excess::{surplus, true_oxygen};
use crate::trade::impossible::{Impossible, finite};
use crate::trade::quantity::{Amount, Concentration};
use crate::trade::unit::Unit;
use crate::trade::worked::{Formula, Sheet, Worked};

/// Formula of air-free carbon monoxide.
pub const CO_AIR_FREE: Formula = Formula {
    id: "flue.co_air_free",
    version: 1,
    name: "CO air-free",
    expression: "CO/(1 - CO/2) x 0.2094 / (0.2094 - r), r = (O2 - CO/2)/(1 - CO/2)",
    source: "atom balance; independent of the fuel",
    range: "O2 up to 15 % with a verdict, up to 18 % shown",
    function: "flue::air_free::exact",
    test: "golden_tables_hold",
};

/// Whether an air-free figure may be shown and judged.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum AirFreeShown {
    /// Shown and judged.
    Judged,
    /// Shown without a verdict: oxygen over 15 %.
    NoVerdict,
    /// Not shown: oxygen over 18 %.
    NotShown,
}

impl AirFreeShown {
    /// What an oxygen reading allows.
    pub fn at(o2: Concentration) -> AirFreeShown {
        if o2.percent() > 18.0 {
            AirFreeShown::NotShown
        } else if o2.percent() > 15.0 {
            AirFreeShown::NoVerdict
        } else {
            AirFreeShown::Judged
        }
    }
}

/// Carbon monoxide as it would read in undiluted flue gas.
///
/// ```
/// use client_core::trade::flue::{air_free, FRESH_AIR};
/// use client_core::trade::quantity::Concentration;
/// let (o2, co) = (Concentration::from_percent(7.0), Concentration::from_ppm(50.0));
/// let exact = air_free::exact(o2, co, FRESH_AIR).unwrap();
/// assert!((exact.ppm() - 75.1).abs() < 0.1);
/// ```
pub fn exact(
    o2: Concentration,
    co: Concentration,
    fresh_air: Concentration,
) -> Result<Concentration, Impossible> {
    CO_RANGE.check(co)?;
    let oxygen = true_oxygen(o2, fresh_air)?;
    let co = co.fraction();
    let free = co / (1.0 - co / 2.0) * dry_air::O2 / (dry_air::O2 - surplus(oxygen, co));
    Ok(Concentration::from_fraction(finite("co air-free", free)?))
}

/// The trade's rule: CO x 20.9 / (20.9 - O2), with the oxygen of air that the rule is told.
///
/// ```
/// use client_core::trade::{flue::air_free, quantity::Concentration};
/// let reference = Concentration::from_percent(20.9);
/// let (o2, co) = (Concentration::from_percent(9.9), Concentration::from_ppm(318.0));
/// let free = air_free::by_rule(o2, co, reference).unwrap();
/// assert!((free.ppm() - 604.2).abs() < 0.05);
/// ```
pub fn by_rule(
    o2: Concentration,
    co: Concentration,
    reference: Concentration,
) -> Result<Concentration, Impossible> {
    CO_RANGE.check(co)?;
    true_oxygen(o2, reference)?;
    let (o2, air) = (o2.fraction(), reference.fraction());
    Ok(Concentration::from_fraction(finite("co air-free", co.fraction() * air / (air - o2))?))
}

/// Air-free carbon monoxide with its sheet.
pub fn worked(
    o2: Concentration,
    co: Concentration,
    fresh_air: Concentration,
) -> Result<Worked<Concentration>, Impossible> {
    let value = exact(o2, co, fresh_air)?;
    let shown = AirFreeShown::at(o2);
    let rest = 20.9 - o2.percent();
    let mut sheet = Sheet::new(&CO_AIR_FREE)
        .input("o2", "flue O2, dry", o2, Unit::Pct)
        .input("co", "flue CO, dry", co, Unit::Ppm)
        .input("fresh_air", "O2 of fresh air on this instrument", fresh_air, Unit::Pct)
        .step(
            "factor",
            "factor on the CO read",
            Amount::new(value.fraction() / co.fraction().max(1e-30), Unit::Ratio),
            "0.2094 / (0.2094 - r)",
        )
        .outside(shown != AirFreeShown::Judged, "over 15 % O2 an air-free figure gets no verdict");
    if shown == AirFreeShown::NotShown {
        sheet = sheet
            .finding(
                "not shown over 18 % O2: look for a leak in the sample, a wrong kit, a panel off",
            )
            .caution("a low CO as read in much air is not a good sign by itself");
        return Ok(Worked { value, sheet });
    }
    sheet = sheet.result("co_air_free", "CO air-free", value, Unit::Ppm);
    if rest > 0.0 {
        let ruled = co.ppm() * 20.9 / rest;
        let amount = Amount::new(ruled, Unit::Ppm);
        sheet = sheet.rule("co_air_free", "CO x 20.9 / (20.9 - O2)", amount, "common practice");
    }
    let sheet = sheet
        .caution("after shut-down the figure climbs by itself: drop readings of the last minute")
        .caution(
            "rising CO is worse than high steady CO; the maker's sheet and local rules govern",
        );
    Ok(Worked { value, sheet })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::trade::flue::FRESH_AIR;

    #[test]
    fn exact_is_below_the_rule_where_instruments_say_20_9() {
        for tenth in 0..190 {
            let o2 = Concentration::from_percent(f64::from(tenth) / 10.0);
            let co = Concentration::from_ppm(100.0);
            let exact = exact(o2, co, FRESH_AIR).unwrap();
            let rule = by_rule(o2, co, Concentration::from_percent(20.9)).unwrap();
            assert!(exact.ppm() <= rule.ppm() * (1.0 + 1e-4), "{}", o2.percent());
        }
    }

    #[test]
    fn regions_begin_where_they_say() {
        let at = |percent| AirFreeShown::at(Concentration::from_percent(percent));
        assert_eq!(at(15.0), AirFreeShown::Judged);
        assert_eq!(at(15.1), AirFreeShown::NoVerdict);
        assert_eq!(at(18.1), AirFreeShown::NotShown);
    }

    #[test]
    fn fresh_air_has_no_air_free_figure() {
        let o2 = Concentration::from_percent(21.0);
        let refused = exact(o2, Concentration::from_ppm(5.0), FRESH_AIR).unwrap_err();
        assert!(refused.to_string().contains("fresh air"), "{refused}");
    }
}
