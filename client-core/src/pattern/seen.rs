//! The units of a building as the patterns see them: their rows, and what each unit's own document says
//! besides. Command line and pages gather here, so that both count the same.

use super::Day;
use super::causes::{Area, Row, by_area};
use super::drift::{Mark, Visit};
use super::repeats::Finding;
use crate::record::body::{Body, Kind, Target};
use crate::record::code::Quantity;
use crate::record::id::ApplianceId;
use crate::record::read::Read;
use crate::record::row::{ReadingRow, SheetRow, SiteRow, UnitRow};
use crate::trade::unit::Unit;

/// A unit with what rows and its own document say of it.
#[derive(Debug, Clone)]
pub struct Seen {
    /// The unit.
    pub id: ApplianceId,
    /// Its row.
    pub row: UnitRow,
    /// Its visits, oldest first.
    pub visits: Vec<SheetRow>,
    /// What was changed at it or in its area.
    pub changes: Vec<(String, Day)>,
    /// Targets that stand.
    pub targets: Vec<Target>,
}

impl Seen {
    /// Gathers a unit. `own` is its document, where it is here.
    pub fn new(
        id: ApplianceId,
        row: UnitRow,
        visits: impl IntoIterator<Item = SheetRow>,
        own: Option<&Read>,
    ) -> Seen {
        let changed = |body: &Body| match body {
            Body::Event(event) if event.kind == "changed" => {
                Some((event.text.clone(), Day::of(event.day?)?))
            }
            _ => None,
        };
        let target = |body: &Body| match body {
            Body::Target(target) => Some(target.clone()),
            _ => None,
        };
        let counted = |kind| own.into_iter().flat_map(move |read| read.counted(kind));
        let visits = visits.into_iter().filter(|row| row.entries > 0);
        Seen {
            id,
            row,
            visits: visits.collect(),
            changes: counted(Kind::Event).filter_map(|entry| changed(&entry.body)).collect(),
            targets: counted(Kind::Target).filter_map(|entry| target(&entry.body)).collect(),
        }
    }

    /// Visits at which somebody read, did or found something.
    pub fn opened(&self) -> impl DoubleEndedIterator<Item = &SheetRow> {
        let opened = |row: &&SheetRow| row.readings > 0 || row.work > 0 || !row.causes.is_empty();
        self.visits.iter().filter(opened)
    }

    /// Flame currents of the visits, as found and as left, where firing hours stand beside them.
    pub fn flame_visits(&self) -> Vec<Visit> {
        let mark = |row: &SheetRow, readings: &[ReadingRow]| {
            let value = value(readings, Quantity::FlameCurrent, Unit::Ua)?;
            Some(Mark { day: day(row)?, hours: hours(row)?, value })
        };
        let visit =
            |row: &SheetRow| Visit { found: mark(row, &row.found), left: mark(row, &row.left) };
        self.opened().map(visit).collect()
    }
}

/// A record's day as the patterns count it.
pub fn day(row: &SheetRow) -> Option<Day> {
    Day::of(row.day?)
}

/// A reading in a unit of the sums.
pub fn value(rows: &[ReadingRow], quantity: Quantity, unit: Unit) -> Option<f64> {
    rows.iter().find(|row| row.quantity == quantity)?.value.figure()?.in_unit(unit)
}

/// Firing hours at a visit.
pub fn hours(row: &SheetRow) -> Option<f64> {
    let of = |rows: &[ReadingRow]| value(rows, Quantity::BurnerHours, Unit::H);
    of(&row.found).or_else(|| of(&row.left))
}

/// The units of a site; those that were merged into another hang nowhere and are left out.
#[derive(Debug, Clone)]
pub struct Units<'a> {
    /// The site.
    pub site: &'a SiteRow,
    all: Vec<&'a Seen>,
}

impl<'a> Units<'a> {
    /// The units of a site, by number.
    pub fn new(site: &'a SiteRow, all: &'a [Seen]) -> Units<'a> {
        let mut all: Vec<&Seen> =
            all.iter().filter(|unit| unit.row.merged_into.is_none()).collect();
        all.sort_by(|one, other| one.row.unit_no.cmp(&other.row.unit_no));
        Units { site, all }
    }

    /// Each unit.
    pub fn iter(&self) -> impl Iterator<Item = &'a Seen> {
        self.all.iter().copied()
    }

    /// Label of a unit's area; empty without one.
    pub fn label_of(&self, unit: &Seen) -> &'a str {
        self.site.area_of(&unit.row).map_or("", |area| &area.label)
    }

    /// Labels of the areas in their order; an empty one last where a unit has none.
    pub fn labels(&self) -> Vec<&'a str> {
        let mut labels: Vec<&str> =
            self.site.areas.iter().map(|area| area.label.as_str()).collect();
        labels.sort_unstable();
        if self.iter().any(|unit| self.label_of(unit).is_empty()) {
            labels.push("");
        }
        labels
    }

    /// Units of each area that were opened at least once.
    pub fn opened(&self) -> Vec<Area<'a>> {
        let units = |label: &str| {
            let own = self.iter().filter(|unit| self.label_of(unit) == label);
            let own = own.filter(|unit| unit.opened().next().is_some());
            let mut own: Vec<&str> = own.map(|unit| unit.row.unit_no.as_str()).collect();
            own.sort_unstable();
            own
        };
        let labels = self.labels();
        labels.into_iter().map(|area| Area { area, units: units(area) }).collect()
    }

    /// Every finding.
    pub fn findings(&self) -> Vec<Finding<'a>> {
        let mut found = vec![];
        for unit in self.iter() {
            for row in unit.opened() {
                let Some(day) = day(row) else { continue };
                found.extend(row.causes.iter().map(|cause| Finding {
                    unit: &unit.row.unit_no,
                    area: self.label_of(unit),
                    cause,
                    day,
                    hours: hours(row),
                }));
            }
        }
        found
    }

    /// Causes by area.
    pub fn by_area(&self) -> Vec<Row<'a>> {
        by_area(&self.opened(), &self.findings())
    }
}
