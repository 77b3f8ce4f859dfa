//! The morning plan: which units first and why, and a split between the technicians by area.

use std::collections::BTreeMap;

use super::Day;
use super::building::Building;
use super::drift::Reach;
use super::seen::Units;
use crate::record::code::{AdvisorySeverity, Outcome, Status as Code, VisitKind};
use crate::record::id::ApplianceId;
use crate::record::row::VisitRow;

/// Minutes at a unit of which nothing else is known: a full visit with readings before and after. Common
/// practice, no source.
pub const USUAL_MINUTES: f64 = 45.0;
/// End of the heating season in the northern year: month and day. Common practice, no source.
const SEASON_END: (u32, u32) = (4, 30);

/// The end of the heating season that a day belongs to, or that comes next.
pub fn season_end(today: Day) -> Day {
    let (year, ..) = today.date();
    let end = |year| Day::new(year, SEASON_END.0, SEASON_END.1);
    end(year).filter(|end| *end >= today).or_else(|| end(year + 1)).unwrap_or(today)
}

/// Units of no-heat calls that nobody has released.
pub fn complaints<'a>(visits: impl Iterator<Item = &'a VisitRow>) -> Vec<ApplianceId> {
    let open = visits.filter(|row| row.kind == Some(VisitKind::NoHeat) && !row.released());
    open.flat_map(|row| row.planned.iter().copied()).collect()
}

/// What the plan knows of a building's units. `complaints` are the units of open no-heat calls; removed units
/// are left out.
pub fn units<'a>(
    units: &Units<'a>,
    building: &Building,
    complaints: &[ApplianceId],
) -> Vec<Unit<'a>> {
    let urgent = [AdvisorySeverity::Urgent, AdvisorySeverity::ShutDown];
    units
        .iter()
        .filter(|unit| unit.row.status != Code::Removed)
        .map(|unit| {
            let no = unit.row.unit_no.as_str();
            let row = &unit.row;
            let unsettled = row.contested.iter().any(|key| key == "unit/status");
            Unit {
                unit: no,
                area: units.label_of(unit),
                status: match row.status {
                    _ if row.tagged => Status::Tagged,
                    Code::ShutDownTagged => Status::Tagged,
                    Code::ControlLockedOut => Status::LockedOut,
                    _ if unsettled => Status::Unknown,
                    Code::InService => Status::InService,
                    Code::InServicePartAwaited => Status::PartAwaited,
                    Code::Watch => Status::Watch,
                    _ => Status::Unknown,
                },
                urgent: row.advisories.iter().any(|own| urgent.contains(&own.severity)),
                complaint: complaints.contains(&unit.id),
                reach: building.falling.iter().find(|own| own.unit == no).and_then(|own| own.reach),
                repeats: building.repeats.iter().filter(|own| own.unit == no).count(),
                missed: unit
                    .visits
                    .last()
                    .is_some_and(|visit| visit.outcome == Some(Outcome::NotReached)),
                minutes: USUAL_MINUTES,
            }
        })
        .collect()
}

/// A unit's status as the record shows it, the more cautious of two unsettled ones.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Status {
    /// In service.
    InService,
    /// In service, a part awaited.
    PartAwaited,
    /// Works, needs attention.
    Watch,
    /// Control locked out.
    LockedOut,
    /// Shut down and tagged.
    Tagged,
    /// Not known.
    Unknown,
}

/// What the plan knows of a unit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Unit<'a> {
    /// Its tag.
    pub unit: &'a str,
    /// Its area.
    pub area: &'a str,
    /// Its status.
    pub status: Status,
    /// An open advisory of the class "urgent" or "shut down".
    pub urgent: bool,
    /// A complaint today: somebody is cold.
    pub complaint: bool,
    /// When its margin meets twice the minimum.
    pub reach: Option<Reach>,
    /// Repeats on record.
    pub repeats: usize,
    /// Not reached at the last visit.
    pub missed: bool,
    /// Expected minutes at the unit.
    pub minutes: f64,
}

/// Why a unit stands where it stands, strongest first.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Rank {
    /// An urgent advisory is open.
    Urgent,
    /// Its status is not known, or two people disagree.
    Unsettled,
    /// Somebody is without heat.
    NoHeat,
    /// On watch.
    Watch,
    /// Its margin meets twice the minimum by this season's end.
    Falling,
    /// The same cause came back on it.
    Repeats,
    /// It was not reached last time.
    Missed,
    /// Nothing of these.
    Usual,
    /// Shut down and tagged: looked at dead, released only by a licensed person.
    Tagged,
}

impl Rank {
    /// The reason in words.
    pub fn words(self) -> &'static str {
        match self {
            Self::Urgent => "urgent advisory open",
            Self::Unsettled => "status not settled",
            Self::NoHeat => "no heat",
            Self::Watch => "on watch",
            Self::Falling => "margin may meet twice the minimum this season",
            Self::Repeats => "same cause came back",
            Self::Missed => "not reached last time",
            Self::Usual => "usual visit",
            Self::Tagged => "shut down and tagged: dead-unit work only",
        }
    }
}

/// One line of the plan.
#[derive(Debug, Clone, PartialEq)]
pub struct Line<'a> {
    /// The unit.
    pub unit: &'a str,
    /// Its area.
    pub area: &'a str,
    /// The strongest reason.
    pub rank: Rank,
    /// Expected minutes.
    pub minutes: f64,
}

/// Units in the order in which they are worth a climb; equals by tag. `season_end` bounds [`Rank::Falling`].
pub fn order<'a>(units: &[Unit<'a>], season_end: Day) -> Vec<Line<'a>> {
    let mut lines: Vec<Line<'a>> = units
        .iter()
        .map(|unit| Line {
            unit: unit.unit,
            area: unit.area,
            rank: rank(unit, season_end),
            minutes: if unit.minutes.is_finite() { unit.minutes.max(0.0) } else { 0.0 },
        })
        .collect();
    lines.sort_by(|a, b| a.rank.cmp(&b.rank).then(a.unit.cmp(b.unit)));
    lines
}

fn rank(unit: &Unit<'_>, season_end: Day) -> Rank {
    let falling = match unit.reach {
        Some(Reach::Under) => true,
        Some(Reach::At { earliest, .. }) => earliest <= season_end,
        Some(Reach::NotFalling) | None => false,
    };
    if unit.status == Status::Tagged {
        Rank::Tagged
    } else if unit.urgent {
        Rank::Urgent
    } else if unit.status == Status::Unknown {
        Rank::Unsettled
    } else if unit.complaint || unit.status == Status::LockedOut {
        Rank::NoHeat
    } else if matches!(unit.status, Status::Watch | Status::PartAwaited) {
        Rank::Watch
    } else if falling {
        Rank::Falling
    } else if unit.repeats > 0 {
        Rank::Repeats
    } else if unit.missed {
        Rank::Missed
    } else {
        Rank::Usual
    }
}

/// One person's share of the plan.
#[derive(Debug, Clone, PartialEq)]
pub struct Share<'a> {
    /// Areas, in the order given to this person.
    pub areas: Vec<&'a str>,
    /// Units in plan order.
    pub units: Vec<Line<'a>>,
    /// Expected minutes.
    pub minutes: f64,
}

/// Splits the plan between `people` (at least 1) by whole areas, so that nobody crosses the hall: the
/// longest area goes to whoever has the least minutes so far.
pub fn split<'a>(lines: &[Line<'a>], people: usize) -> Vec<Share<'a>> {
    let mut areas: BTreeMap<&'a str, f64> = BTreeMap::new();
    for line in lines {
        *areas.entry(line.area).or_default() += line.minutes;
    }
    let mut longest: Vec<(&'a str, f64)> = areas.into_iter().collect();
    longest.sort_by(|a, b| b.1.total_cmp(&a.1).then(a.0.cmp(b.0)));
    let empty = Share { areas: Vec::new(), units: Vec::new(), minutes: 0.0 };
    let mut shares = vec![empty; people.max(1)];
    for (area, minutes) in longest {
        let least =
            (0..shares.len()).min_by(|a, b| shares[*a].minutes.total_cmp(&shares[*b].minutes));
        let share = &mut shares[least.unwrap_or(0)];
        share.areas.push(area);
        share.minutes += minutes;
    }
    for share in &mut shares {
        share.units =
            lines.iter().filter(|line| share.areas.contains(&line.area)).cloned().collect();
    }
    shares
}

#[cfg(test)]
mod tests {
    use super::*;

    fn unit<'a>(unit: &'a str, area: &'a str) -> Unit<'a> {
        Unit {
            unit,
            area,
            status: Status::InService,
            urgent: false,
            complaint: false,
            reach: None,
            repeats: 0,
            missed: false,
            minutes: 45.0,
        }
    }

    /// The demo hall after its third visit.
    #[test]
    fn the_next_morning_in_the_demo_hall() {
        let day = |date| Day::parse(date).unwrap();
        let reach = Reach::At {
            hours: 362.0,
            day: day("2026-02-03"),
            earliest: day("2025-12-22"),
            latest: None,
        };
        let units = [
            unit("UH-01", "A1"),
            unit("UH-02", "A1"),
            Unit { reach: Some(reach), ..unit("UH-05", "A3") },
            Unit { status: Status::Watch, repeats: 2, ..unit("UH-06", "A3") },
            Unit { status: Status::Watch, repeats: 2, ..unit("UH-07", "A4") },
            Unit { status: Status::Watch, urgent: true, ..unit("UH-08B", "A5") },
            Unit { status: Status::Tagged, complaint: true, ..unit("UH-08", "A5") },
            Unit { missed: true, ..unit("IR-01", "A1") },
        ];
        let lines = order(&units, day("2026-04-30"));
        let tags: Vec<&str> = lines.iter().map(|line| line.unit).collect();
        assert_eq!(tags, ["UH-08B", "UH-06", "UH-07", "UH-05", "IR-01", "UH-01", "UH-02", "UH-08"]);
        assert_eq!(lines[7].rank.words(), "shut down and tagged: dead-unit work only");
        let shares = split(&lines, 2);
        assert_eq!(shares[0].areas, ["A1", "A4"]);
        assert_eq!(shares[1].areas, ["A3", "A5"]);
        assert!((shares[0].minutes - shares[1].minutes).abs() < 1e-9);
        assert_eq!(shares.iter().map(|share| share.units.len()).sum::<usize>(), 8);
    }

    #[test]
    fn the_season_ends_on_the_next_last_day_of_april() {
        let day = |date| Day::parse(date).unwrap();
        for (today, end) in [
            ("2025-11-28", "2026-04-30"),
            ("2026-04-30", "2026-04-30"),
            ("2026-05-01", "2027-04-30"),
        ] {
            assert_eq!(season_end(day(today)), day(end));
        }
    }

    #[test]
    fn a_tagged_unit_is_never_put_first_by_a_complaint() {
        let tagged =
            Unit { status: Status::Tagged, complaint: true, urgent: true, ..unit("X", "A") };
        let lines = order(&[tagged, unit("Y", "A")], Day::parse("2026-04-30").unwrap());
        assert_eq!(lines[1].unit, "X");
        assert_eq!(split(&lines, 0).len(), 1);
    }
}
