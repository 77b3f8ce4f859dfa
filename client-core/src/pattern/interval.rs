//! Proposals for the next visit to a unit: shorter on evidence, longer only after two clean ones in a row.
//! The supervisor settles.

use super::Day;
use super::drift::Reach;

/// What is known of a unit when its next visit is set.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Unit<'a> {
    /// Its tag.
    pub unit: &'a str,
    /// The last full visit.
    pub last: Day,
    /// The usual interval in days: one full visit before the heating season.
    pub usual_days: i32,
    /// The longest interval that maker or insurer allows, days, when known.
    pub allowed_days: Option<i32>,
    /// When its margin meets twice the minimum.
    pub reach: Option<Reach>,
    /// The cause that repeated most, with how often it was found.
    pub repeat: Option<(&'a str, usize)>,
    /// The highest hazard (0 to 3) of its findings since the last full visit.
    pub hazard: u8,
    /// Clean as-founds in a row, the last one last.
    pub clean_in_a_row: usize,
}

/// One reason, in words.
pub type Reason = String;

/// What is proposed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Proposal {
    /// The usual interval, on this day.
    Keep(Day),
    /// An earlier visit.
    Shorten {
        /// The day.
        by: Day,
        /// The evidence.
        because: Vec<Reason>,
    },
    /// A later visit.
    Lengthen {
        /// The day.
        to: Day,
        /// The evidence.
        because: Vec<Reason>,
    },
}

/// A longer interval is the usual one and half of it. Trade judgement.
const LONGER: (i32, i32) = (3, 2);
/// A visit in mid-season is half the usual interval. Trade judgement.
const SHORTER: (i32, i32) = (1, 2);

/// The proposal for a unit. An interval that maker or insurer allows is never passed.
pub fn propose(unit: &Unit<'_>) -> Proposal {
    let usual = unit.allowed_days.map_or(unit.usual_days, |most| most.min(unit.usual_days)).max(1);
    let usual_day = unit.last.plus(usual);
    let half = unit.last.plus(usual * SHORTER.0 / SHORTER.1);
    let mut by = usual_day;
    let mut because = Vec::new();
    match unit.reach {
        Some(Reach::At { earliest, day, .. }) if earliest < usual_day => {
            by = by.min(earliest.max(unit.last.plus(1)));
            because.push(format!(
                "margin may meet twice the minimum from about {earliest} on (usual fall: about {day}), before \
                 the visit of {usual_day}"
            ));
        }
        Some(Reach::Under) => {
            by = unit.last.plus(1);
            because.push("margin was left at or under twice the minimum".to_owned());
        }
        _ => {}
    }
    if let Some((cause, times)) = unit.repeat
        && times >= 2
    {
        by = by.min(half);
        because
            .push(format!("{cause} was found {times} times inside 400 days or 1,500 firing hours"));
    }
    if unit.hazard >= 2 {
        by = by.min(half);
        because.push(format!("a finding of hazard {} since the last full visit", unit.hazard));
    }
    if !because.is_empty() {
        return Proposal::Shorten { by, because };
    }
    let longer = usual * LONGER.0 / LONGER.1;
    let longer = unit.allowed_days.map_or(longer, |most| longer.min(most));
    if unit.clean_in_a_row >= 2 && longer > usual {
        let clean = format!("{} clean as-founds in a row", unit.clean_in_a_row);
        return Proposal::Lengthen { to: unit.last.plus(longer), because: vec![clean] };
    }
    Proposal::Keep(usual_day)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn day(date: &str) -> Day {
        Day::parse(date).unwrap()
    }

    fn unit() -> Unit<'static> {
        Unit {
            unit: "UH-06",
            last: day("2025-10-14"),
            usual_days: 365,
            allowed_days: None,
            reach: None,
            repeat: None,
            hazard: 0,
            clean_in_a_row: 0,
        }
    }

    /// The demo hall's heater that is still on room air: fast fall and three times the same cause.
    #[test]
    fn a_fast_fall_and_a_repeat_bring_the_visit_forward() {
        let reach = Reach::At {
            hours: 362.0,
            day: day("2026-02-03"),
            earliest: day("2025-12-22"),
            latest: Some(day("2026-03-25")),
        };
        let unit = Unit { reach: Some(reach), repeat: Some(("rod_dirty", 3)), ..unit() };
        let Proposal::Shorten { by, because } = propose(&unit) else { panic!("it falls") };
        assert_eq!((by, because.len()), (day("2025-12-22"), 2));
        assert!(because[0].contains("2025-12-22") && because[1].contains("3 times"));
    }

    #[test]
    fn longer_only_after_two_clean_ones_and_never_past_what_is_allowed() {
        assert_eq!(propose(&unit()), Proposal::Keep(day("2026-10-14")));
        assert_eq!(
            propose(&Unit { clean_in_a_row: 1, ..unit() }),
            Proposal::Keep(day("2026-10-14"))
        );
        let clean = Unit { clean_in_a_row: 2, ..unit() };
        assert!(
            matches!(propose(&clean), Proposal::Lengthen { to, .. } if to == unit().last.plus(547))
        );
        let capped = Unit { allowed_days: Some(365), ..clean };
        assert_eq!(propose(&capped), Proposal::Keep(day("2026-10-14")));
        let short = Unit { allowed_days: Some(180), ..clean };
        assert!(matches!(propose(&short), Proposal::Lengthen { .. } | Proposal::Keep(_)));
        assert_eq!(propose(&short), Proposal::Keep(unit().last.plus(180)));
    }

    #[test]
    fn hazard_and_a_margin_already_gone_bring_it_forward() {
        let hazard = Unit { hazard: 2, clean_in_a_row: 5, ..unit() };
        assert!(
            matches!(propose(&hazard), Proposal::Shorten { by, .. } if by == unit().last.plus(182))
        );
        let under = Unit { reach: Some(Reach::Under), ..unit() };
        assert!(matches!(propose(&under), Proposal::Shorten { by, .. } if by == day("2025-10-15")));
    }
}
