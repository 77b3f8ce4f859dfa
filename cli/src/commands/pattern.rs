//! `pattern`: what the visits of a building say together, from rows alone.

use client_core::pattern::answers::Jobs;
use client_core::pattern::{Day, found};
use client_core::pattern::building::{
    Building, FLAME_ACCURACY_UA, Seen, building, day, flame_visits, hours, say_falling, say_proposal,
};
use client_core::pattern::causes::{Area, by_area, say as say_row};
use client_core::pattern::drift::{self, fall, losses, reach};
use client_core::pattern::repeats::{Finding, repeats};
use client_core::present::Names as _;
use client_core::present::words::cause;
use client_core::pattern::waiting;
use client_core::record::body::{Body, Kind};
use client_core::record::doc_id::{DocId, DocKind};
use client_core::record::id::{ApplianceId, SiteId};
use client_core::record::row::{SheetRow, UnitRow};
use client_core::trade::unit::Unit;
use serde_json::json;

use crate::args::At;
use crate::book::{Book, read_or_empty};
use crate::desk::Desk;
use crate::entries;
use crate::error::Trouble;
use crate::ui::Tone;

/// Show what the visits of a building say together: causes by area, repeats, falling flame currents
///
/// Every answer keeps its counts. It ranks no technicians and promises nothing.
#[derive(Debug, clap::Args)]
pub struct Args {
    #[command(subcommand)]
    what: What,
}

#[derive(Debug, clap::Subcommand)]
enum What {
    /// Show causes by area: units with the cause of units opened, and the other areas beside
    Causes {
        /// The site
        #[arg(long)]
        site: Option<String>,
    },
    /// Show causes that came back to the same unit
    Repeats {
        /// The site
        #[arg(long)]
        site: Option<String>,
    },
    /// Show a whole building: states, what keeps failing, where, what changed it, the next visits
    Building {
        /// The site
        #[arg(long)]
        site: Option<String>,
    },
    /// Show how fast a unit's flame current falls, and when it meets twice the minimum of the plate
    Drift {
        /// The unit
        unit: String,
        #[command(flatten)]
        at: At,
    },
}

/// A unit with its visits, the oldest first.
struct Opened {
    name: String,
    area: String,
    visits: Vec<SheetRow>,
}

/// What is known of one finding, owned.
struct Known {
    unit: String,
    area: String,
    cause: String,
    day: Day,
    hours: Option<f64>,
}

pub(crate) fn run(args: &Args, desk: &mut Desk<'_>) -> Result<(), Trouble> {
    match &args.what {
        What::Causes { site } => {
            let book = desk.book()?;
            let site = desk.site(&book, site.as_deref())?;
            causes(desk, &book, site)
        }
        What::Repeats { site } => {
            let book = desk.book()?;
            let site = desk.site(&book, site.as_deref())?;
            came_back(desk, &book, site)
        }
        What::Building { site } => {
            let book = desk.book()?;
            let site = desk.site(&book, site.as_deref())?;
            whole(desk, &book, site)
        }
        What::Drift { unit, at } => drift(desk, at, unit),
    }
}

fn visits(
    desk: &mut Desk<'_>,
    site: SiteId,
    unit: ApplianceId,
) -> Result<Vec<SheetRow>, Trouble> {
    let history = desk.device()?.history(site, unit)?;
    Ok(history.into_iter().map(|listed| listed.row).filter(|row| row.entries > 0).collect())
}

fn opened(desk: &mut Desk<'_>, book: &Book, site: SiteId) -> Result<Vec<Opened>, Trouble> {
    let mut found = vec![];
    for (id, (of, row)) in &book.units {
        if *of != site || row.merged_into.is_some() {
            continue;
        }
        let area = row.area.and_then(|area| book.entry(area)).unwrap_or_default();
        found.push(Opened { name: row.unit_no.clone(), area, visits: visits(desk, site, *id)? });
    }
    Ok(found)
}

fn findings(opened: &[Opened]) -> Vec<Known> {
    let mut found = vec![];
    for unit in opened {
        for row in &unit.visits {
            let Some(day) = day(row) else { continue };
            found.extend(row.causes.iter().map(|cause| Known {
                unit: unit.name.clone(),
                area: unit.area.clone(),
                cause: cause.clone(),
                day,
                hours: hours(row),
            }));
        }
    }
    found
}

fn lent(known: &[Known]) -> Vec<Finding<'_>> {
    known
        .iter()
        .map(|own| Finding {
            unit: &own.unit,
            area: &own.area,
            cause: &own.cause,
            day: own.day,
            hours: own.hours,
        })
        .collect()
}

fn causes(desk: &mut Desk<'_>, book: &Book, site: SiteId) -> Result<(), Trouble> {
    let opened = opened(desk, book, site)?;
    let known = findings(&opened);
    let row = book.sites.iter().find(|(id, _)| *id == site).map(|(_, row)| row.clone());
    let air: Vec<(String, Vec<String>)> = row
        .unwrap_or_default()
        .areas
        .into_iter()
        .map(|area| (area.label, area.contaminants))
        .collect();
    let air: Vec<(&str, Vec<&str>)> = air
        .iter()
        .map(|(label, words)| (label.as_str(), words.iter().map(String::as_str).collect()))
        .collect();
    let units: Vec<(&str, Vec<&str>)> = air
        .iter()
        .map(|(label, _)| {
            let own = opened.iter().filter(|unit| unit.area == *label && !unit.visits.is_empty());
            (*label, own.map(|unit| unit.name.as_str()).collect())
        })
        .collect();
    let areas: Vec<Area<'_>> = air
        .iter()
        .zip(&units)
        .map(|((area, air), (_, units))| Area { area, air, units })
        .collect();
    let lent = lent(&known);
    let rows = by_area(&areas, &lent);
    if desk.ui.manners.json {
        let list: Vec<_> = rows
            .iter()
            .map(|row| {
                json!({
                    "area": row.area,
                    "cause": row.cause,
                    "units": row.units.hits(),
                    "opened": row.units.total(),
                    "findings": row.findings,
                    "range": [row.range.low, row.range.high],
                    "elsewhere": row.elsewhere.map(|own| [own.hits(), own.total()]),
                })
            })
            .collect();
        return desk.ui.json(&json!(list));
    }
    if rows.is_empty() {
        return desk.ui.line("no finding stands in an area yet");
    }
    for row in &rows {
        desk.ui.line(&format!("{}: {}", cause(row.cause), say_row(row)))?;
    }
    desk.ui.toned(Tone::Dim, "counts of units opened here; few units say little")
}

fn came_back(desk: &mut Desk<'_>, book: &Book, site: SiteId) -> Result<(), Trouble> {
    let opened = opened(desk, book, site)?;
    let known = findings(&opened);
    let lent = lent(&known);
    let found = repeats(&lent);
    if desk.ui.manners.json {
        let list: Vec<_> = found
            .iter()
            .map(|own| {
                json!({
                    "unit_no": own.unit,
                    "area": own.area,
                    "cause": own.cause,
                    "days": own.days.iter().map(ToString::to_string).collect::<Vec<_>>(),
                    "hours_between": own.hours_between,
                })
            })
            .collect();
        return desk.ui.json(&json!(list));
    }
    if found.is_empty() {
        return desk.ui.line("no cause came back to the same unit inside 400 days or 1,500 h");
    }
    for own in &found {
        let days: Vec<String> = own.days.iter().map(ToString::to_string).collect();
        let times = own.days.len();
        desk.ui.line(&format!(
            "{} in {}: {}, {times} times: {}",
            own.unit,
            own.area,
            cause(own.cause),
            days.join(", ")
        ))?;
    }
    Ok(())
}

fn drift(desk: &mut Desk<'_>, at: &At, typed: &str) -> Result<(), Trouble> {
    let (book, site, unit, _) = entries::appliance(desk, at, typed)?;
    let rows = visits(desk, site, unit)?;
    let visits = flame_visits(rows.iter());
    let losses = losses(&visits, FLAME_ACCURACY_UA);
    let Some(own) = fall(&losses) else {
        return Err(Trouble::State(format!(
            "{} has no stretch yet from a flame current as left to the next as found, both with firing \
             hours",
            book.unit(unit)
        )));
    };
    let plate = book.units.get(&unit).and_then(|(_, row)| {
        let plate = row.plate.iter().find(|own| own.key == "plate/flame_current_min")?;
        plate.figure.in_unit(Unit::Ua)
    });
    let last = visits.iter().rev().find_map(|visit| visit.left);
    let meets = plate.zip(last).map(|(least, last)| reach(last, 2.0 * least, &own));
    if desk.ui.manners.json {
        return desk.ui.json(&json!({
            "unit_no": book.unit(unit),
            "stretches": own.stretches,
            "hours": own.hours,
            "per_1000_h": own.per_1000_h,
            "range": [own.range.low, own.range.high],
            "losses": losses.iter().map(|loss| json!({
                "from": loss.from.day.to_string(),
                "to": loss.to.day.to_string(),
                "hours": loss.hours(),
                "per_1000_h": loss.per_1000_h,
            })).collect::<Vec<_>>(),
            "meets_twice_the_minimum": meets.map(|meets| drift::say_reach(&meets, &own)),
        }));
    }
    desk.ui.line(&format!("flame current falls {}", drift::say(&own, "uA")))?;
    match meets {
        Some(meets) => {
            let says = drift::say_reach(&meets, &own);
            desk.ui.line(&format!("twice the minimum of the plate: {says}"))
        }
        None => desk.ui.line("the plate's least flame current is not known, or nothing was left"),
    }
}

/// Changes of a unit, as its own document tells them.
fn changes(
    desk: &mut Desk<'_>,
    site: SiteId,
    unit: ApplianceId,
) -> Result<Vec<(String, Day)>, Trouble> {
    let read = read_or_empty(desk.device()?, DocId::new(site, DocKind::Appliance(unit)))?;
    let changed = |body: &Body| match body {
        Body::Event(event) if event.kind == "changed" => {
            let (year, month, day) = event.day?.ymd();
            Some((event.text.clone(), Day::new(year, month, day)?))
        }
        _ => None,
    };
    Ok(read.counted(Kind::Event).filter_map(|entry| changed(&entry.body)).collect())
}

/// A unit with its visits and changes.
type Owned = (ApplianceId, UnitRow, Vec<SheetRow>, Vec<(String, Day)>);

fn over(desk: &mut Desk<'_>, book: &Book, site: SiteId) -> Result<Building, Trouble> {
    let own: Vec<(ApplianceId, UnitRow)> = book
        .units
        .iter()
        .filter(|(_, (of, _))| *of == site)
        .map(|(id, (_, row))| (*id, row.clone()))
        .collect();
    let mut found: Vec<Owned> = vec![];
    for (id, row) in own {
        let (visits, changes) = (visits(desk, site, id)?, changes(desk, site, id)?);
        found.push((id, row, visits, changes));
    }
    let row = book.sites.iter().find(|(id, _)| *id == site).map(|(_, row)| row.clone());
    let seen: Vec<Seen<'_>> = found
        .iter()
        .map(|(id, row, visits, changes)| Seen {
            id: *id,
            row,
            visits: visits.iter().collect(),
            changes: changes.clone(),
        })
        .collect();
    Ok(building(&row.unwrap_or_default(), &seen))
}

fn whole(desk: &mut Desk<'_>, book: &Book, site: SiteId) -> Result<(), Trouble> {
    let found = over(desk, book, site)?;
    if desk.ui.manners.json {
        let mut value = as_json(&found);
        value["visits"] = json!(went(desk, site)?);
        return desk.ui.json(&value);
    }
    desk.ui.toned(Tone::Head, &book.site(site))?;
    let rows: Vec<Vec<String>> = found
        .areas
        .iter()
        .map(|area| {
            let label = if area.label.is_empty() { "no area" } else { &area.label };
            let units: Vec<String> =
                area.units.iter().map(|unit| format!("{} {}", unit.no, unit.status_says)).collect();
            vec![label.to_owned(), area.air.join(", "), units.join("; ")]
        })
        .collect();
    desk.ui.table(&["area", "air", "units"], &rows)?;
    for own in &found.causes {
        let words = format!("{}, {} of {} findings", cause(&own.key), own.findings, found.findings);
        desk.ui.toned(Tone::Head, &words)?;
        for row in own.rows.iter().filter(|row| row.count().0 > 0) {
            let (hits, total) = row.count();
            let dots: String =
                row.units.iter().map(|(_, times)| if *times > 0 { '#' } else { '.' }).collect();
            let with: Vec<String> = row
                .units
                .iter()
                .filter(|(_, times)| *times > 0)
                .map(|(unit, times)| format!("{unit} {times}"))
                .collect();
            let words = format!("  {} {dots} {hits} of {total}: {}", row.area, with.join(", "));
            desk.ui.line(&words)?;
        }
    }
    if let Some(own) = &found.waiting {
        let until = if found.counted_lockouts { "lockout" } else { "finding" };
        desk.ui.toned(Tone::Head, &format!("from one visit to the next {until}"))?;
        desk.ui.line(&format!("  {}", waits(own, found.counted_lockouts)))?;
    }
    let groups = [
        ("how the visits went", went(desk, site)?),
        ("what changed it", found.experiments.clone()),
        ("what falls", found.falling.iter().map(say_falling).collect()),
        ("next visit, proposed; the supervisor settles", found.proposals.iter().map(say_proposal).collect()),
    ];
    for (title, lines) in groups {
        if !lines.is_empty() {
            desk.ui.toned(Tone::Head, title)?;
        }
        for line in lines {
            desk.ui.line(&format!("  {line}"))?;
        }
    }
    desk.ui.toned(Tone::Dim, "counts of units opened here; few units say little, and nothing here ranks people")
}

/// Units found outside limits, first answers, call-backs, minutes: every visit is opened for it.
fn went(desk: &mut Desk<'_>, site: SiteId) -> Result<Vec<String>, Trouble> {
    let mut said = vec![];
    let mut jobs = Jobs::default();
    for listed in desk.device()?.visits(site)? {
        if listed.row.entries == 0 {
            continue;
        }
        let opened = desk.device()?.open_visit(site, listed.id)?;
        let file = opened.file();
        let counted = found::found(&found::of_visit(&file));
        let day = listed.row.day.map_or_else(|| "no day".to_owned(), |day| day.to_string());
        said.push(format!("{day}: {}", found::say(&counted)));
        jobs.add(&file);
    }
    let (year, month, day) = desk.now().day().ymd();
    if let Some(today) = Day::new(year, month, day) {
        said.extend(jobs.say(today, &cause));
    }
    Ok(said)
}

fn waits(own: &waiting::Waiting, counted: bool) -> String {
    let said = waiting::say(own);
    if counted { said } else { said.replace("after a clean ended in a lockout", "ended in a finding") }
}

fn as_json(found: &Building) -> serde_json::Value {
    let areas: Vec<_> = found
        .areas
        .iter()
        .map(|area| {
            json!({
                "area": area.label,
                "name": area.name,
                "air": area.air,
                "units": area.units.iter().map(|unit| json!({
                    "appliance": unit.id.to_string(),
                    "unit_no": unit.no,
                    "status": unit.status,
                })).collect::<Vec<_>>(),
            })
        })
        .collect();
    let causes: Vec<_> = found
        .causes
        .iter()
        .map(|own| {
            json!({
                "cause": own.key,
                "findings": own.findings,
                "areas": own.rows.iter().map(|row| json!({
                    "area": row.area,
                    "units": row.count().0,
                    "opened": row.count().1,
                    "range": row.range.map(|(low, high)| [low, high]),
                    "by_unit": row.units.iter().map(|(unit, times)| json!([unit, times])).collect::<Vec<_>>(),
                })).collect::<Vec<_>>(),
            })
        })
        .collect();
    let steps = found.waiting.as_ref().map(|own| {
        own.curve
            .steps()
            .iter()
            .map(|step| json!({ "hours": step.time, "share": step.survival, "at_risk": step.at_risk }))
            .collect::<Vec<_>>()
    });
    json!({
        "days": found.days.iter().map(ToString::to_string).collect::<Vec<_>>(),
        "findings": found.findings,
        "areas": areas,
        "causes": causes,
        "repeats": found.repeats.iter().map(|own| json!({
            "unit_no": own.unit,
            "cause": own.cause,
            "days": own.days.iter().map(ToString::to_string).collect::<Vec<_>>(),
        })).collect::<Vec<_>>(),
        "falling": found.falling.iter().map(|own| json!({
            "unit_no": own.unit,
            "per_1000_h": own.fall.per_1000_h,
            "stretches": own.fall.stretches,
            "says": say_falling(own),
        })).collect::<Vec<_>>(),
        "changes": found.experiments,
        "twins": found.twins.iter().map(|(one, other, same)| json!({
            "units": [one, other], "same_area": same,
        })).collect::<Vec<_>>(),
        "waiting": steps,
        "waiting_ends_in": if found.counted_lockouts { "lockout" } else { "finding" },
        "proposals": found.proposals.iter().map(say_proposal).collect::<Vec<_>>(),
    })
}
