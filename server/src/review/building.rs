//! A building: its areas with a dot a unit, what keeps coming back and where, what falls, and what is
//! proposed. Words and counts here; the drawing is the page's.

use client_core::pattern::baseline::CHART_READINGS_MIN;
use client_core::pattern::building::{Building, Cause, say_falling, say_proposal};
use client_core::pattern::helps::would_change;
use client_core::pattern::morning::Share;
use client_core::pattern::own::{Own, say_against, say_base, say_chart};
use client_core::pattern::van;
use client_core::pattern::waiting;
use client_core::present::words::cause as cause_words;
use client_core::record::code::Status;
use client_core::trade::stats::words::about;
use serde::Serialize;
use utoipa::ToSchema;

use super::Named;
use super::history::{Held, Point, Series};

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

/// A unit against itself in one quantity.
#[derive(Clone, Debug, PartialEq, Serialize, ToSchema)]
pub struct ItselfLine {
    /// The unit.
    pub unit: String,
    /// What was measured.
    pub quantity: String,
    /// What it is held against, in words.
    pub base: String,
    /// How far the newest reading stands from its own base, in words.
    pub beside: Option<String>,
    /// What the chart says, or why there is none, in words with its counts.
    pub says: String,
    /// The control chart; none with too few readings.
    pub chart: Option<Series>,
}

/// One person's share of the plan for the next morning.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, ToSchema)]
pub struct ShareLine {
    /// Areas.
    pub areas: Vec<String>,
    /// Expected minutes.
    pub minutes: u32,
    /// Units in the order in which they are worth a climb: area, unit, why it stands there.
    pub units: Vec<(String, String, String)>,
}

/// What stands beside the building's patterns: out of visits that were opened, and of today.
#[derive(Clone, Debug, Default)]
pub struct Beside<'a> {
    /// How the newest visits went, in words.
    pub as_found: Vec<String>,
    /// Units against themselves.
    pub itself: Vec<Own>,
    /// Parts to carry.
    pub carry: Vec<van::Carry<'a>>,
    /// The plan for the next morning.
    pub morning: Vec<Share<'a>>,
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
    /// What would change the cause that leads, an area a line.
    pub would_change: Vec<String>,
    /// Like units, in words.
    pub twins: Vec<String>,
    /// The wait from one visit to the next finding.
    pub waiting: Vec<WaitStep>,
    /// The longest stretch.
    pub waiting_most: f64,
    /// What ends a stretch: "lockout" where a control counts them, else "finding".
    pub waiting_ends_in: String,
    /// The wait in words; none without hours.
    pub waiting_says: Option<String>,
    /// Proposals for the next visit, in words.
    pub proposals: Vec<String>,
    /// Units against themselves.
    pub itself: Vec<ItselfLine>,
    /// Parts to carry to the next visit, in words, the most first.
    pub carry: Vec<String>,
    /// Which units come first tomorrow, one share a person.
    pub morning: Vec<ShareLine>,
}

/// Lays a building out.
pub fn page(site: Named, found: &Building, beside: Beside<'_>) -> BuildingPage {
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
        as_found: beside.as_found,
        days: found.days.len(),
        findings: found.findings,
        areas: found.areas.iter().map(strip).collect(),
        causes: found.causes.iter().map(table).collect(),
        came_back: found.repeats.iter().map(came).collect(),
        falling: found.falling.iter().map(say_falling).collect(),
        changed: found.experiments.clone(),
        would_change: would_change(found),
        twins: found
            .twins
            .iter()
            .map(|(one, other, same)| {
                let place = if *same { "in the same area" } else { "in different areas" };
                format!("{one} and {other}, {place}")
            })
            .collect(),
        waiting_ends_in: if found.counted_lockouts { "lockout" } else { "finding" }.to_owned(),
        waiting_says: found.waiting.as_ref().map(|own| waiting::say(own, found.counted_lockouts)),
        waiting: waits,
        waiting_most: most,
        proposals: found.proposals.iter().map(say_proposal).collect(),
        itself: beside.itself.iter().map(itself).collect(),
        carry: beside.carry.iter().map(|own| van::say(own, &short)).collect(),
        morning: beside.morning.iter().map(share).collect(),
    }
}

/// A cause in a sentence: up to the bracket, in lower case.
fn short(cause: &str) -> String {
    cause_words(cause).split(" (").next().unwrap_or_default().to_lowercase()
}

fn share(own: &Share<'_>) -> ShareLine {
    let label = |area: &str| if area.is_empty() { "no area".to_owned() } else { area.to_owned() };
    let unit = |line: &client_core::pattern::morning::Line<'_>| {
        (label(line.area), line.unit.to_owned(), line.rank.words().to_owned())
    };
    ShareLine {
        areas: own.areas.iter().map(|area| label(area)).collect(),
        minutes: own.units.iter().map(|line| whole(line.minutes)).sum(),
        units: own.units.iter().map(unit).collect(),
    }
}

#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "a float cast stops at the ends of the integer"
)]
fn whole(minutes: f64) -> u32 {
    minutes.round() as u32
}

/// A unit against itself, with its chart where there is one.
pub fn itself(own: &Own) -> ItselfLine {
    let unit = own.unit.symbol();
    let day = |day: client_core::pattern::Day| {
        let (year, month, of_month) = day.date();
        client_core::record::value::Day::from_ymd(year, month, of_month).map_or(0, |day| day.0)
    };
    let point = |own: &client_core::pattern::own::Point| Point {
        day: day(own.day),
        left: own.left,
        value: own.value,
        u: 0.0,
        shown: format!("{:.1}", own.value),
        moved: own.moved,
    };
    let chart = own.limits.as_ref().ok().map(|limits| {
        let (low, centre, high) = (limits.low(), limits.mean, limits.high());
        let held = |low, high, figure, source: &str| Held {
            low: Some(low),
            high,
            from: None,
            figure,
            source: source.to_owned(),
        };
        Series {
            quantity: format!("{}, {}", own.unit_no, own.name),
            unit: unit.to_owned(),
            points: own.points.iter().map(point).collect(),
            held: vec![
                held(
                    low,
                    Some(high),
                    format!("{low:.1} to {high:.1}"),
                    &format!("limits, first {CHART_READINGS_MIN} as left"),
                ),
                held(centre, None, format!("{centre:.1}"), "centre"),
            ],
        }
    });
    ItselfLine {
        unit: own.unit_no.clone(),
        quantity: own.name.to_owned(),
        base: say_base(own),
        beside: say_against(own),
        says: say_chart(own),
        chart,
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
        air: area.air.clone(),
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
                    let words = short(cause);
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
