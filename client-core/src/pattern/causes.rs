//! Causes by area, with the other areas beside them.

use std::collections::{BTreeMap, BTreeSet};

use super::repeats::Finding;
use crate::trade::stats::proportion::Count;
use crate::trade::stats::{Interval, Level};

/// Units of an area that were seen in the period, by tag.
#[derive(Debug, Clone, PartialEq)]
pub struct Area<'a> {
    /// The area.
    pub area: &'a str,
    /// Its units that were opened at least once.
    pub units: Vec<&'a str>,
}

/// One cause in one area.
#[derive(Debug, Clone, PartialEq)]
pub struct Row<'a> {
    /// The area.
    pub area: &'a str,
    /// The cause's key.
    pub cause: &'a str,
    /// Units with this cause, of the units opened in the area.
    pub units: Count,
    /// Findings, a unit counted as often as it was found.
    pub findings: usize,
    /// Where the share of units may lie, 95 %.
    pub range: Interval,
    /// Units with this cause in all other areas, of the units opened there; `None` when there are none.
    pub elsewhere: Option<Count>,
}

/// Causes by area: most units first, then most findings, then by name. Findings on units that no area lists
/// as opened are left out, because their denominator is not known.
pub fn by_area<'a>(areas: &[Area<'a>], findings: &[Finding<'a>]) -> Vec<Row<'a>> {
    let home: BTreeMap<&str, &'a str> = areas
        .iter()
        .flat_map(|area| area.units.iter().map(move |unit| (*unit, area.area)))
        .collect();
    let mut seen: BTreeMap<(&'a str, &'a str), (BTreeSet<&'a str>, usize)> = BTreeMap::new();
    for finding in findings {
        if let Some(area) = home.get(finding.unit) {
            let entry = seen.entry((finding.cause, area)).or_default();
            entry.0.insert(finding.unit);
            entry.1 += 1;
        }
    }
    let opened =
        |area: &str| areas.iter().find(|one| one.area == area).map_or(0, |one| one.units.len());
    let all: usize = areas.iter().map(|area| area.units.len()).sum();
    let with = |cause: &str| -> usize {
        seen.iter().filter(|((known, _), _)| *known == cause).map(|(_, entry)| entry.0.len()).sum()
    };
    let mut rows: Vec<Row<'a>> = seen
        .iter()
        .filter_map(|((cause, area), (units, findings))| {
            let here = opened(area);
            let count = Count::new(units.len(), here).ok()?;
            Some(Row {
                area,
                cause,
                units: count,
                findings: *findings,
                range: count.wilson(Level::P95),
                elsewhere: Count::new(with(cause) - units.len(), all - here).ok(),
            })
        })
        .collect();
    rows.sort_by(|a, b| {
        let key = |row: &Row<'_>| (row.units.hits(), row.findings);
        key(b).cmp(&key(a)).then((a.area, a.cause).cmp(&(b.area, b.cause)))
    });
    rows
}

/// "2 of 3 in A3, 5 findings; elsewhere 1 of 12".
pub fn say(row: &Row<'_>) -> String {
    let findings =
        if row.findings == 1 { "1 finding" } else { &format!("{} findings", row.findings) };
    let elsewhere = row.elsewhere.map_or_else(
        || "no other area was opened".to_owned(),
        |count| format!("elsewhere {} of {}", count.hits(), count.total()),
    );
    format!(
        "{} of {} in {}, {findings}; {elsewhere}",
        row.units.hits(),
        row.units.total(),
        row.area
    )
}

#[cfg(test)]
mod tests {
    use super::super::repeats::tests::demo;
    use super::*;

    /// The demo hall: rods fail where the air carries salt or silicone, and nowhere else.
    #[test]
    fn rods_fail_in_two_areas_of_the_demo_hall() {
        let area = |area, units: &[&'static str]| Area { area, units: units.to_vec() };
        let areas = [
            area("A1", &["UH-01", "UH-02", "IR-01", "IR-02"]),
            area("A2", &["UH-03", "UH-04", "DF-01"]),
            area("A3", &["UH-05", "UH-06", "MU-01"]),
            area("A4", &["UH-07"]),
            area("A6", &["RT-01", "BL-01"]),
        ];
        let rows = by_area(&areas, &demo());
        assert_eq!((rows[0].area, rows[0].cause), ("A3", "rod_dirty"));
        assert_eq!(say(&rows[0]), "2 of 3 in A3, 5 findings; elsewhere 1 of 10");
        assert!(rows[0].range.contains(2.0 / 3.0));
        assert_eq!((rows[1].area, rows[1].cause, rows[1].findings), ("A4", "rod_dirty", 3));
        assert!(
            rows.iter().all(|row| row.cause != "rod_dirty" || ["A3", "A4"].contains(&row.area))
        );
    }

    #[test]
    fn a_unit_without_an_area_is_left_out() {
        let areas = [Area { area: "A1", units: vec!["UH-01"] }];
        let rows = by_area(&areas, &demo());
        assert_eq!(rows.len(), 1);
        assert_eq!(rows[0].elsewhere, None);
    }
}
