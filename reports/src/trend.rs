//! How a site is trending: one cause over the visits, one dot a unit; and what was read over the years.

use std::collections::BTreeMap;

use crate::layout::Dot;
use client_core::record::id::ApplianceId;
use client_core::record::row::SheetRow;
use client_core::record::value::Day;

/// One visit of the past, as its rows tell it.
#[derive(Clone, Debug, PartialEq)]
pub struct PastVisit {
    /// The day.
    pub day: Day,
    /// Its units.
    pub sheets: Vec<PastSheet>,
}

/// One unit in one past visit.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PastSheet {
    /// The unit.
    pub appliance: ApplianceId,
    /// Whether somebody read or did something there.
    pub opened: bool,
    /// Causes found.
    pub causes: Vec<String>,
}

impl PastVisit {
    /// A visit from its rows.
    pub fn of<'r>(
        day: Day,
        sheets: impl IntoIterator<Item = (ApplianceId, &'r SheetRow)>,
    ) -> PastVisit {
        let sheet = |(appliance, row): (ApplianceId, &SheetRow)| PastSheet {
            appliance,
            opened: row.readings > 0 || row.work > 0 || !row.causes.is_empty(),
            causes: row.causes.clone(),
        };
        PastVisit { day, sheets: sheets.into_iter().map(sheet).collect() }
    }
}

/// One area over the visits.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Strip {
    /// The area; none for units without one.
    pub area: Option<String>,
    /// For each visit one dot a unit.
    pub visits: Vec<Vec<Dot>>,
}

/// The cause that came back most often, and where.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Trend {
    /// The cause's key.
    pub cause: String,
    /// Days of the visits.
    pub days: Vec<Day>,
    /// One strip an area in which it ever happened.
    pub strips: Vec<Strip>,
    /// All other areas together.
    pub elsewhere: Strip,
}

impl Trend {
    /// The trend over these visits, oldest first. None where no cause was found on one unit at two visits.
    pub fn of(visits: &[PastVisit], areas: &BTreeMap<ApplianceId, String>) -> Option<Trend> {
        let cause = repeated(visits)?;
        let mut units: Vec<ApplianceId> = areas.keys().copied().collect();
        for sheet in visits.iter().flat_map(|visit| &visit.sheets) {
            if !units.contains(&sheet.appliance) {
                units.push(sheet.appliance);
            }
        }
        let happened = |unit: ApplianceId| {
            let mut sheets = visits.iter().flat_map(|visit| &visit.sheets);
            sheets.any(|sheet| sheet.appliance == unit && sheet.causes.contains(&cause))
        };
        let mut places: Vec<Option<String>> = vec![];
        for unit in units.iter().filter(|unit| happened(**unit)) {
            let area = areas.get(unit).cloned();
            if !places.contains(&area) {
                places.push(area);
            }
        }
        places.sort();
        let strip = |area: Option<String>, members: Vec<ApplianceId>| Strip {
            area,
            visits: visits.iter().map(|visit| dots(visit, &members, &cause)).collect(),
        };
        let within = |place: &Option<String>| {
            units.iter().copied().filter(|unit| areas.get(unit) == place.as_ref()).collect()
        };
        let others = units.iter().copied();
        let others = others.filter(|unit| !places.contains(&areas.get(unit).cloned())).collect();
        Some(Trend {
            strips: places.iter().map(|place| strip(place.clone(), within(place))).collect(),
            elsewhere: strip(None, others),
            days: visits.iter().map(|visit| visit.day).collect(),
            cause,
        })
    }
}

fn dots(visit: &PastVisit, members: &[ApplianceId], cause: &str) -> Vec<Dot> {
    let dot = |unit: &ApplianceId| {
        let sheet = visit.sheets.iter().find(|sheet| sheet.appliance == *unit);
        match sheet.filter(|sheet| sheet.opened) {
            None => Dot::NotOpened,
            Some(sheet) if sheet.causes.iter().any(|own| own == cause) => Dot::Happened,
            Some(_) => Dot::Not,
        }
    };
    members.iter().map(dot).collect()
}

/// The cause with the most findings among those that one unit had at two visits or more.
fn repeated(visits: &[PastVisit]) -> Option<String> {
    let mut counts: BTreeMap<(&str, ApplianceId), usize> = BTreeMap::new();
    for sheet in visits.iter().flat_map(|visit| &visit.sheets) {
        for cause in &sheet.causes {
            *counts.entry((cause, sheet.appliance)).or_default() += 1;
        }
    }
    let mut totals: BTreeMap<&str, usize> = BTreeMap::new();
    for ((cause, _), count) in counts.iter().filter(|(_, count)| **count > 1) {
        *totals.entry(cause).or_default() += count;
    }
    // Of two with the same count the first by key, so that the answer is always the same.
    let best = totals.iter().max_by(|a, b| a.1.cmp(b.1).then(b.0.cmp(a.0)));
    best.map(|(cause, _)| (*cause).to_owned())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn unit(n: u8) -> ApplianceId {
        ApplianceId([n; 8])
    }

    fn visit(day: i32, sheets: &[(u8, &[&str])]) -> PastVisit {
        let sheet = |(n, causes): &(u8, &[&str])| PastSheet {
            appliance: unit(*n),
            opened: true,
            causes: causes.iter().map(|cause| (*cause).to_owned()).collect(),
        };
        PastVisit { day: Day(day), sheets: sheets.iter().map(sheet).collect() }
    }

    #[test]
    fn one_dot_a_unit_and_what_was_not_opened_is_told_apart() {
        let visits = [
            visit(1, &[(1, &["rod_dirty"]), (2, &[]), (3, &["x"])]),
            visit(2, &[(1, &["rod_dirty"])]),
        ];
        let areas: BTreeMap<_, _> =
            [(unit(1), "salt"), (unit(2), "salt"), (unit(3), "dock")].into_iter().collect();
        let areas = areas.into_iter().map(|(id, name)| (id, name.to_owned())).collect();
        let trend = Trend::of(&visits, &areas).unwrap();
        assert_eq!((trend.cause.as_str(), trend.strips.len()), ("rod_dirty", 1));
        let salt = &trend.strips[0];
        assert_eq!(salt.visits[0], [Dot::Happened, Dot::Not]);
        assert_eq!(salt.visits[1], [Dot::Happened, Dot::NotOpened]);
        assert_eq!(trend.elsewhere.visits[1], [Dot::NotOpened]);
    }

    #[test]
    fn what_happened_once_is_no_trend() {
        assert_eq!(Trend::of(&[visit(1, &[(1, &["rod_dirty"])])], &BTreeMap::new()), None);
        let two = [visit(1, &[(1, &["a"])]), visit(2, &[(2, &["a"])])];
        assert_eq!(Trend::of(&two, &BTreeMap::new()), None);
    }
}
