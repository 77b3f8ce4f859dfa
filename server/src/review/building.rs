//! A building: its areas with a dot a unit, what keeps coming back and where, what falls, and what is
//! proposed. Words and counts here; the drawing is the page's.

use client_core::pattern::building::{Building, Cause, say_falling, say_proposal};
use client_core::pattern::waiting;
use client_core::present::words::cause as cause_words;
use client_core::record::code::Status;
use client_core::trade::stats::words::about;
use serde::Serialize;
use utoipa::ToSchema;

use super::Named;

/// A unit of an area.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, ToSchema)]
pub struct UnitDot {
    /// The unit.
    pub unit: Named,
    /// Key of its status.
    pub status_key: String,
    /// The status in words.
    pub status: String,
}

/// An area.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, ToSchema)]
pub struct AreaStrip {
    /// Its label, or "no area".
    pub label: String,
    /// Its name.
    pub name: Option<String>,
    /// What its air carries; empty is "none seen".
    pub air: Vec<String>,
    /// Its units.
    pub units: Vec<UnitDot>,
}

/// A cause in an area: one dot a unit that was opened, with how often the cause was found there.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, ToSchema)]
pub struct CauseRow {
    /// The area.
    pub area: String,
    /// Units, with the number of findings of this cause.
    pub units: Vec<(String, usize)>,
    /// Units with it, and units opened.
    pub count: (usize, usize),
    /// Range, and what else was found there, in words.
    pub words: String,
}

/// A cause over the building.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, ToSchema)]
pub struct CauseTable {
    /// The cause in words.
    pub cause: String,
    /// Findings of it.
    pub findings: usize,
    /// Area by area.
    pub rows: Vec<CauseRow>,
}

/// A step of the survival curve: firing hours, share still without a finding, stretches behind it.
#[derive(Clone, Debug, PartialEq, Serialize, ToSchema)]
pub struct WaitStep {
    /// Firing hours.
    pub hours: f64,
    /// Share, 0 to 1.
    pub share: f64,
    /// Stretches that had lasted so long.
    pub at_risk: usize,
}

/// The building's page.
#[derive(Clone, Debug, PartialEq, Serialize, ToSchema)]
pub struct BuildingPage {
    /// The site.
    pub site: Named,
    /// One sentence: how many, in which state.
    pub sentence: String,
    /// The last day of work.
    pub last_day: Option<String>,
    /// Units found outside limits at the newest visits, of those that could be judged, in words.
    pub as_found: Vec<String>,
    /// Days of work.
    pub days: usize,
    /// Findings.
    pub findings: usize,
    /// Areas.
    pub areas: Vec<AreaStrip>,
    /// Causes, the most findings first.
    pub causes: Vec<CauseTable>,
    /// What came back to the same unit, in words.
    pub came_back: Vec<String>,
    /// What falls and how fast, in words.
    pub falling: Vec<String>,
    /// Changes held against what was not changed, in words.
    pub changed: Vec<String>,
    /// Like units, in words.
    pub twins: Vec<String>,
    /// The wait from one visit to the next finding.
    pub waiting: Vec<WaitStep>,
    /// The longest stretch.
    pub waiting_most: f64,
    /// The wait in words; none without hours.
    pub waiting_says: Option<String>,
    /// Proposals for the next visit, in words.
    pub proposals: Vec<String>,
}

/// Lays a building out.
pub fn page(site: Named, found: &Building, as_found: Vec<String>) -> BuildingPage {
    let mut waits: Vec<WaitStep> = vec![];
    let mut most = 0.0_f64;
    if let Some(own) = &found.waiting {
        waits = own
            .curve
            .steps()
            .iter()
            .map(|step| WaitStep { hours: step.time, share: step.survival, at_risk: step.at_risk })
            .collect();
        most = waits.iter().map(|step| step.hours).fold(0.0, f64::max);
    }
    BuildingPage {
        site,
        sentence: sentence(found),
        last_day: found.days.last().map(ToString::to_string),
        as_found,
        days: found.days.len(),
        findings: found.findings,
        areas: found.areas.iter().map(strip).collect(),
        causes: found.causes.iter().map(table).collect(),
        came_back: found.repeats.iter().map(came).collect(),
        falling: found.falling.iter().map(say_falling).collect(),
        changed: found.experiments.clone(),
        twins: found
            .twins
            .iter()
            .map(|(one, other, same)| {
                let place = if *same { "in the same area" } else { "in different areas" };
                format!("{one} and {other}, {place}")
            })
            .collect(),
        waiting_says: found.waiting.as_ref().map(|own| said_wait(own, found.counted_lockouts)),
        waiting: waits,
        waiting_most: most,
        proposals: found.proposals.iter().map(say_proposal).collect(),
    }
}

/// The words of a wait. Where no control counts its lockouts the next finding stands in, and that is said.
fn said_wait(own: &waiting::Waiting, counted: bool) -> String {
    let said = waiting::say(own);
    if counted {
        said
    } else {
        said.replace(
            "after a clean ended in a lockout",
            "from one visit to the next ended in a finding",
        )
    }
}

fn sentence(found: &Building) -> String {
    let units: Vec<&str> = found
        .areas
        .iter()
        .flat_map(|area| area.units.iter().map(|unit| unit.status))
        .filter(|status| *status != Status::Removed.key())
        .collect();
    let of = |keys: &[&str]| units.iter().filter(|status| keys.contains(status)).count();
    let number = |count: usize| if count == 0 { "none".to_owned() } else { count.to_string() };
    let service = of(&[Status::InService.key(), Status::InServicePartAwaited.key()]);
    let watch = of(&[Status::Watch.key()]);
    let shut = of(&[Status::ShutDownTagged.key(), Status::ControlLockedOut.key()]);
    let unknown = units.len() - service - watch - shut;
    let unknown = match unknown {
        0 => String::new(),
        count => format!(", {count} not known"),
    };
    format!(
        "{} units: {} in service, {} on watch, {} shut down or locked out{unknown}.",
        units.len(),
        number(service),
        number(watch),
        number(shut)
    )
}

fn strip(area: &client_core::pattern::building::AreaSeen) -> AreaStrip {
    AreaStrip {
        label: if area.label.is_empty() { "no area".to_owned() } else { area.label.clone() },
        name: area.name.clone(),
        air: area.air.iter().filter(|word| *word != "none seen").cloned().collect(),
        units: area
            .units
            .iter()
            .map(|unit| UnitDot {
                unit: Named::new(unit.id, unit.no.clone()),
                status_key: unit.status.to_owned(),
                status: unit.status_says.to_owned(),
            })
            .collect(),
    }
}

/// Causes that share a row with others are named up to here.
const OTHERS_SHOWN: usize = 3;

fn table(own: &Cause) -> CauseTable {
    let rows = own
        .rows
        .iter()
        .map(|row| {
            let (hits, total) = row.count();
            let range = row.range.map(|(low, high)| {
                let high = about(high);
                let high = high.strip_prefix("about ").unwrap_or(&high);
                format!("in such air between {} and {high} of units", about(low))
            });
            let mut others: Vec<String> = row
                .others
                .iter()
                .take(OTHERS_SHOWN)
                .map(|(cause, count)| {
                    let words = cause_words(cause);
                    let words = words.split(" (").next().unwrap_or_default().to_lowercase();
                    if *count == 1 { words } else { format!("{words} {count} times") }
                })
                .collect();
            let rest = row.others.len().saturating_sub(OTHERS_SHOWN);
            if rest > 0 {
                others.push(format!("{rest} more"));
            }
            let others = (!others.is_empty()).then(|| format!("also {}", others.join(", ")));
            let words: Vec<String> = range.filter(|_| hits > 0).into_iter().chain(others).collect();
            CauseRow {
                area: if row.area.is_empty() { "no area".to_owned() } else { row.area.clone() },
                units: row.units.clone(),
                count: (hits, total),
                words: words.join("; "),
            }
        })
        .collect();
    CauseTable { cause: cause_words(&own.key), findings: own.findings, rows }
}

fn came(own: &client_core::pattern::building::Came) -> String {
    let days: Vec<String> = own.days.iter().map(ToString::to_string).collect();
    let hours: Vec<String> =
        own.hours_between.iter().flatten().map(|hours| format!("{hours:.0} h")).collect();
    let hours =
        if hours.is_empty() { String::new() } else { format!(", {} between", hours.join(" and ")) };
    format!(
        "{}{}: {}, {} times: {}{hours}",
        own.unit,
        if own.area.is_empty() { String::new() } else { format!(" in {}", own.area) },
        cause_words(&own.cause).to_lowercase(),
        own.days.len(),
        days.join(", ")
    )
}
