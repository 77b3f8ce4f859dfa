//! One building out of rows: what keeps failing, where, what would change it. No document is opened; the
//! changes are handed in by whoever has read them.
//!
//! Nothing here names a technician, and a visit at which a unit was not opened is neither good nor bad.

use std::collections::BTreeMap;

use super::Day;
use super::causes::{Area, by_area};
use super::drift::{self, Fall, Loss, Reach, fall, losses, reach};
use super::experiment::{Change, Unit as Arm, experiment};
use super::interval::{self, Proposal, propose};
use super::repeats::{Finding, Repeat, repeats};
use super::seen::{Seen, Units, day, hours, value};
use super::twins::{Card, twins};
use super::waiting::{Outcome, Waiting, waiting};
use crate::fault::table::Table;
use crate::record::code::Quantity;
use crate::record::id::ApplianceId;
use crate::record::row::{SheetRow, SiteRow};
use crate::trade::unit::Unit;

/// Accuracy of one flame-current reading, uA. Common practice, no source.
pub const FLAME_ACCURACY_UA: f64 = 0.1;
/// One full visit before the heating season. Common practice, no source.
pub const USUAL_DAYS: i32 = 365;

/// One unit of an area, for a dot.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Place {
    /// The unit.
    pub id: ApplianceId,
    /// Its no.
    pub no: String,
    /// Key of its status.
    pub status: &'static str,
    /// The status in words.
    pub status_says: &'static str,
}

/// An area with its units.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct AreaSeen {
    /// Short label; empty for units without an area.
    pub label: String,
    /// Name.
    pub name: Option<String>,
    /// What its air carries.
    pub air: Vec<String>,
    /// Its units.
    pub units: Vec<Place>,
}

/// One cause in one area: a dot a unit.
#[derive(Debug, Clone, PartialEq)]
pub struct Row {
    /// Label of the area.
    pub area: String,
    /// Each unit that was opened, with how often the cause was found there.
    pub units: Vec<(String, usize)>,
    /// Units of these at whose newest visit it was found.
    pub still: Vec<String>,
    /// Where the share of units may lie, 95 %; none where no unit was opened.
    pub range: Option<(f64, f64)>,
    /// Other causes found there, with their counts, the most first.
    pub others: Vec<(String, usize)>,
}

impl Row {
    /// Units with the cause, of units opened.
    pub fn count(&self) -> (usize, usize) {
        (self.units.iter().filter(|(_, times)| *times > 0).count(), self.units.len())
    }
}

/// One cause over the building.
#[derive(Debug, Clone, PartialEq)]
pub struct Cause {
    /// Its key.
    pub key: String,
    /// Findings of it.
    pub findings: usize,
    /// Area by area.
    pub rows: Vec<Row>,
}

/// How a unit's flame current falls.
#[derive(Debug, Clone, PartialEq)]
pub struct Falling {
    /// The unit.
    pub unit: String,
    /// Stretches, oldest first.
    pub losses: Vec<Loss>,
    /// Over all of them.
    pub fall: Fall,
    /// When it meets twice the minimum of the plate, where that is known.
    pub reach: Option<Reach>,
}

/// A proposal for the next visit to a unit.
#[derive(Debug, Clone, PartialEq)]
pub struct Proposed {
    /// The unit.
    pub unit: String,
    /// What is proposed; the supervisor settles.
    pub proposal: Proposal,
}

/// The building.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Building {
    /// Areas in the order of their labels; units without one last.
    pub areas: Vec<AreaSeen>,
    /// Days at which units were opened, oldest first.
    pub days: Vec<Day>,
    /// Findings in all.
    pub findings: usize,
    /// Causes, the most findings first.
    pub causes: Vec<Cause>,
    /// Causes that came back to the same unit.
    pub repeats: Vec<Came>,
    /// Flame currents that are known over at least one stretch.
    pub falling: Vec<Falling>,
    /// Pairs of like units, of which at least one has a known fall.
    pub twins: Vec<(String, String, bool)>,
    /// Changes set against what was not changed, in words.
    pub experiments: Vec<String>,
    /// From one visit to the next finding, in firing hours; none without hours.
    pub waiting: Option<Waiting>,
    /// Whether the waits end in lockouts that were counted, and not only in findings.
    pub counted_lockouts: bool,
    /// Proposals that are not the usual interval.
    pub proposals: Vec<Proposed>,
}

/// A cause that came back.
#[derive(Debug, Clone, PartialEq)]
pub struct Came {
    /// The unit.
    pub unit: String,
    /// Label of its area.
    pub area: String,
    /// The cause's key.
    pub cause: String,
    /// When.
    pub days: Vec<Day>,
    /// Firing hours between.
    pub hours_between: Vec<Option<f64>>,
}

/// The building out of its rows.
pub fn building(site: &SiteRow, units: &[Seen]) -> Building {
    let units = Units::new(site, units);
    let mut days: Vec<Day> = units.iter().flat_map(|unit| unit.opened().filter_map(day)).collect();
    days.sort_unstable();
    days.dedup();
    let findings = units.findings();
    let came = repeats(&findings);
    let falling: Vec<Falling> = units.iter().filter_map(falling).collect();
    let (waits, counted_lockouts) = waits(&units);
    Building {
        areas: areas(&units),
        findings: findings.len(),
        causes: causes(&units, &findings),
        twins: pairs(&units, &falling),
        experiments: experiments(&units, &falling),
        proposals: proposals(&units, &came, &falling),
        repeats: came.iter().map(Came::of).collect(),
        waiting: waiting(&waits).ok(),
        counted_lockouts,
        falling,
        days,
    }
}

impl Came {
    fn of(own: &Repeat<'_>) -> Came {
        Came {
            unit: own.unit.to_owned(),
            area: own.area.to_owned(),
            cause: own.cause.to_owned(),
            days: own.days.clone(),
            hours_between: own.hours_between.clone(),
        }
    }
}

fn areas(units: &Units<'_>) -> Vec<AreaSeen> {
    let places = |label: &str| {
        let mut own: Vec<Place> = units
            .iter()
            .filter(|unit| units.label_of(unit) == label)
            .map(|unit| Place {
                id: unit.id,
                no: unit.row.unit_no.clone(),
                status: unit.row.status.key(),
                status_says: unit.row.status.says(),
            })
            .collect();
        own.sort_by(|one, other| one.no.cmp(&other.no));
        own
    };
    let row = |label: &str| units.site.areas.iter().find(|area| area.label == label);
    let labels = units.labels();
    let seen = labels.into_iter().map(|label| AreaSeen {
        label: label.to_owned(),
        name: row(label).and_then(|area| area.name.clone()),
        air: row(label).map(|area| area.carries().map(str::to_owned).collect()).unwrap_or_default(),
        units: places(label),
    });
    seen.collect()
}

fn causes(units: &Units<'_>, findings: &[Finding<'_>]) -> Vec<Cause> {
    let opened = units.opened();
    let counted = by_area(&opened, findings);
    let mut totals: BTreeMap<&str, usize> = BTreeMap::new();
    for own in findings {
        *totals.entry(own.cause).or_default() += 1;
    }
    let times = |unit: &str, cause: &str| {
        findings.iter().filter(|own| own.unit == unit && own.cause == cause).count()
    };
    let others = |area: &str, cause: &str| {
        let mut counts: BTreeMap<&str, usize> = BTreeMap::new();
        for own in findings.iter().filter(|own| own.area == area && own.cause != cause) {
            *counts.entry(own.cause).or_default() += 1;
        }
        let mut counts: Vec<(String, usize)> =
            counts.into_iter().map(|(cause, count)| (cause.to_owned(), count)).collect();
        counts.sort_by(|one, other| other.1.cmp(&one.1).then(one.0.cmp(&other.0)));
        counts
    };
    let still = |no: &str, cause: &str| {
        let own = units.iter().filter(|unit| unit.row.unit_no == no);
        let mut newest = own.filter_map(|unit| unit.opened().next_back());
        newest.any(|row| row.causes.iter().any(|own| own == cause))
    };
    let row = |area: &Area<'_>, cause: &str| Row {
        area: area.area.to_owned(),
        units: area.units.iter().map(|unit| ((*unit).to_owned(), times(unit, cause))).collect(),
        still: area
            .units
            .iter()
            .filter(|unit| still(unit, cause))
            .map(|unit| (*unit).to_owned())
            .collect(),
        range: counted
            .iter()
            .find(|row| row.area == area.area && row.cause == cause)
            .map(|row| (row.range.low, row.range.high)),
        others: others(area.area, cause),
    };
    let mut found: Vec<Cause> = totals
        .iter()
        .map(|(cause, findings)| Cause {
            key: (*cause).to_owned(),
            findings: *findings,
            rows: opened
                .iter()
                .filter(|area| !area.units.is_empty())
                .map(|area| row(area, cause))
                .collect(),
        })
        .collect();
    found.sort_by(|one, other| other.findings.cmp(&one.findings).then(one.key.cmp(&other.key)));
    found
}

/// How a unit's flame current falls; none without a stretch from one as-left to the next as-found.
pub fn falling(unit: &Seen) -> Option<Falling> {
    let visits = unit.flame_visits();
    let losses = losses(&visits, FLAME_ACCURACY_UA);
    let fall = fall(&losses)?;
    let least = unit.row.plate_in("plate/flame_current_min", Unit::Ua);
    let last = visits.iter().rev().find_map(|visit| visit.left);
    let reach = least.zip(last).map(|(least, last)| reach(last, 2.0 * least, &fall));
    Some(Falling { unit: unit.row.unit_no.clone(), losses, fall, reach })
}

/// Cards of the units, as far as rows tell what makes one like another: kind, family, input.
fn pairs(units: &Units<'_>, falling: &[Falling]) -> Vec<(String, String, bool)> {
    let models: Vec<String> = units.iter().map(model).collect();
    let airs: Vec<Vec<&str>> = units.iter().map(|unit| units.site.air_of(&unit.row)).collect();
    let cards: Vec<Card<'_>> = units
        .iter()
        .zip(models.iter().zip(&airs))
        .filter_map(|(unit, (model, air))| {
            Some(Card {
                unit: &unit.row.unit_no,
                model,
                input_mbh: unit.row.plate_in("plate/input", Unit::Mbh)?,
                year: unit.row.plate_year(),
                area: units.label_of(unit),
                air,
            })
        })
        .collect();
    let known = |unit: &str| falling.iter().any(|own| own.unit == unit);
    twins(&cards)
        .into_iter()
        .filter(|pair| known(pair.first.unit) || known(pair.second.unit))
        .map(|pair| (pair.first.unit.to_owned(), pair.second.unit.to_owned(), pair.same_area))
        .collect()
}

fn model(unit: &Seen) -> String {
    let family = unit.row.family.map_or("", crate::record::code::Family::key);
    format!("{} {family}", unit.row.kind.as_deref().unwrap_or_default())
}

/// Each change against the units of the same area and kind that were not changed.
fn experiments(units: &Units<'_>, falling: &[Falling]) -> Vec<String> {
    let losses = |unit: &Seen| {
        let own = falling.iter().find(|own| own.unit == unit.row.unit_no);
        own.map_or(&[][..], |own| &own.losses)
    };
    let mut said = vec![];
    for changed in units.iter() {
        for (what, day) in &changed.changes {
            let like = |unit: &&Seen| {
                units.label_of(unit) == units.label_of(changed) && model(unit) == model(changed)
            };
            let arms: Vec<Arm<'_>> = units
                .iter()
                .filter(like)
                .map(|unit| Arm {
                    unit: &unit.row.unit_no,
                    changed: unit.id == changed.id,
                    losses: losses(unit),
                })
                .collect();
            let found = experiment(Change { what, day: *day }, &arms);
            said.extend(found.map(|found| super::experiment::say(&found, "uA")));
        }
    }
    said
}

/// Firing hours from one visit to the next, and what was found then.
fn waits(units: &Units<'_>) -> (Vec<Outcome>, bool) {
    let lockouts = |row: &SheetRow| value(&row.found, Quantity::LockoutCount, Unit::N);
    let counted = units.iter().flat_map(Seen::opened).any(|row| lockouts(row).is_some());
    let mut waits = vec![];
    for unit in units.iter() {
        let rows: Vec<&SheetRow> = unit.opened().collect();
        for pair in rows.windows(2) {
            let (Some(from), Some(to)) = (hours(pair[0]), hours(pair[1])) else { continue };
            let stretch = to - from;
            let ended = match lockouts(pair[1]) {
                Some(count) => count > 0.0,
                None if counted => continue,
                None => !pair[1].causes.is_empty(),
            };
            if stretch > 0.0 && stretch.is_finite() {
                waits.push(if ended {
                    Outcome::LockedOutBy(stretch)
                } else {
                    Outcome::Fine(stretch)
                });
            }
        }
    }
    (waits, counted)
}

fn proposals(units: &Units<'_>, came: &[Repeat<'_>], falling: &[Falling]) -> Vec<Proposed> {
    let table = Table::standard();
    let hazard = |cause: &str| table.cause(cause).map_or(0, |cause| table[cause].hazard);
    let mut found = vec![];
    for unit in units.iter() {
        if matches!(unit.row.status.key(), "removed" | "shut_down_tagged") {
            continue;
        }
        let rows: Vec<&SheetRow> = unit.opened().collect();
        let Some((row, last)) = rows.last().and_then(|row| Some((*row, day(row)?))) else {
            continue;
        };
        let no = unit.row.unit_no.as_str();
        let repeat = came.iter().filter(|own| own.unit == no);
        let repeat = repeat.map(|own| (short(table, own.cause), own.days.len()));
        let proposal = propose(&interval::Unit {
            unit: no,
            last,
            usual_days: USUAL_DAYS,
            allowed_days: None,
            reach: falling.iter().find(|own| own.unit == no).and_then(|own| own.reach),
            repeat: repeat.max_by_key(|(_, times)| *times),
            hazard: row.causes.iter().map(|cause| hazard(cause)).max().unwrap_or(0),
            clean_in_a_row: rows.iter().rev().take_while(|row| row.causes.is_empty()).count(),
        });
        if !matches!(proposal, Proposal::Keep(_)) {
            found.push(Proposed { unit: no.to_owned(), proposal });
        }
    }
    found.sort_by(|one, other| one.unit.cmp(&other.unit));
    found
}

/// A cause in a sentence: its name up to the bracket, or its key.
fn short<'c>(table: &'c Table, key: &'c str) -> &'c str {
    let name = table.cause(key).map_or(key, |cause| table[cause].name);
    name.split(" (").next().unwrap_or(name)
}

/// A proposal in words, for the supervisor to settle.
pub fn say_proposal(own: &Proposed) -> String {
    match &own.proposal {
        Proposal::Keep(day) => format!("{}: as usual, {day}", own.unit),
        Proposal::Shorten { by, because } => {
            format!("{}: sooner, by about {by}: {}", own.unit, because.join("; "))
        }
        Proposal::Lengthen { to, because } => {
            format!("{}: may wait until about {to}: {}", own.unit, because.join("; "))
        }
    }
}

/// How a unit's flame current falls, in words, with when it meets twice the minimum.
pub fn say_falling(own: &Falling) -> String {
    let each: Vec<String> =
        own.losses.iter().map(|loss| format!("{:.1}", loss.per_1000_h)).collect();
    let reach = own.reach.map_or_else(
        || "the plate's least flame current is not known".to_owned(),
        |reach| format!("twice the minimum: {}", drift::say_reach(&reach, &own.fall)),
    );
    format!(
        "{}: loses {} uA per 1,000 h ({}); {reach}",
        own.unit,
        each.join(", then "),
        stretches(own)
    )
}

fn stretches(own: &Falling) -> String {
    match own.fall.stretches {
        1 => format!("1 stretch, {:.0} h", own.fall.hours),
        many => format!("{many} stretches, {:.0} h", own.fall.hours),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::record::code::Status;
    use crate::record::id::{ActorHalf, EntryId};
    use crate::record::row::{AreaRow, UnitRow};

    fn area(n: u32) -> EntryId {
        EntryId { actor: ActorHalf([1; 8]), n }
    }

    fn site() -> SiteRow {
        let area = |n, label: &str, air: &[&str]| AreaRow {
            id: area(n),
            label: label.to_owned(),
            name: None,
            contaminants: air.iter().map(|word| (*word).to_owned()).collect(),
        };
        SiteRow { areas: vec![area(1, "A1", &[]), area(3, "A3", &["salt"])], ..SiteRow::default() }
    }

    fn unit(n: u8, no: &str, area_n: u32, visits: &[&SheetRow]) -> Seen {
        let row = UnitRow {
            unit_no: no.to_owned(),
            status: Status::InService,
            area: Some(area(area_n)),
            ..UnitRow::default()
        };
        Seen::new(ApplianceId([n; 8]), row, visits.iter().map(|row| (*row).clone()), None)
    }

    fn visit(day: &str, causes: &[&str]) -> SheetRow {
        SheetRow {
            day: crate::record::value::Day::parse(day).ok(),
            causes: causes.iter().map(|cause| (*cause).to_owned()).collect(),
            readings: 5,
            entries: 5,
            ..SheetRow::default()
        }
    }

    #[test]
    fn causes_stand_by_area_with_a_dot_a_unit_and_what_was_not_opened_is_no_dot() {
        let visits = [
            visit("2024-10-08", &["rod_dirty"]),
            visit("2025-01-22", &["rod_dirty"]),
            visit("2025-01-22", &[]),
        ];
        let units = [
            unit(1, "U1", 1, &[&visits[2]]),
            unit(2, "U2", 3, &[&visits[0], &visits[1]]),
            unit(3, "U3", 3, &[&visits[2]]),
            unit(4, "U4", 3, &[]),
        ];
        let found = building(&site(), &units);
        assert_eq!((found.findings, found.causes.len(), found.days.len()), (2, 1, 2));
        let salt = &found.causes[0].rows[1];
        assert_eq!(salt.units, [("U2".to_owned(), 2), ("U3".to_owned(), 0)]);
        assert_eq!(salt.count(), (1, 2));
        assert_eq!(found.causes[0].rows[0].count(), (0, 1));
        assert_eq!(found.repeats.len(), 1);
        // Two of the same cause inside the year: sooner. A unit that nobody opened gets no proposal.
        let proposed: Vec<&str> = found.proposals.iter().map(|own| own.unit.as_str()).collect();
        assert_eq!(proposed, ["U2"]);
        assert!(say_proposal(&found.proposals[0]).contains("found 2 times"), "{found:?}");
    }

    #[test]
    fn an_empty_building_says_nothing() {
        assert_eq!(building(&SiteRow::default(), &[]), Building::default());
    }
}
