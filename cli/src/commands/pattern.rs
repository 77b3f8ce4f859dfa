//! `pattern`: what the visits of a building say together, from rows alone.

use client_core::pattern::Day;
use client_core::pattern::building::{Building, building, falling, say_falling, say_proposal};
use client_core::pattern::causes::say as say_row;
use client_core::pattern::drift;
use client_core::pattern::helps::would_change;
use client_core::pattern::morning::{self, Share};
use client_core::pattern::own::{Own, own, say_against, say_base, say_chart};
use client_core::pattern::repeats::repeats;
use client_core::pattern::seen::{Seen, Units};
use client_core::pattern::van;
use client_core::pattern::waiting;
use client_core::pattern::went::Went;
use client_core::present::Names as _;
use client_core::present::words::cause;
use client_core::record::doc_id::{DocId, DocKind};
use client_core::record::id::{ApplianceId, SiteId};
use client_core::record::row::UnitRow;
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
    /// Show how fast a unit's flame current falls, when it meets twice the minimum of the plate, and the unit
    /// against itself
    Drift {
        /// The unit
        unit: String,
        #[command(flatten)]
        at: At,
    },
    /// Show the parts to carry to the next visit, by what the visits used
    Van {
        /// The site
        #[arg(long)]
        site: Option<String>,
    },
    /// Show which units come first tomorrow and why, split by whole areas
    Morning {
        /// The site
        #[arg(long)]
        site: Option<String>,
        /// How many people go
        #[arg(long, default_value_t = 2, value_parser = clap::value_parser!(u8).range(1..=20))]
        people: u8,
    },
}

pub(crate) fn run(args: &Args, desk: &mut Desk<'_>) -> Result<(), Trouble> {
    let site = match &args.what {
        What::Drift { unit, at } => return drift(desk, at, unit),
        What::Causes { site }
        | What::Repeats { site }
        | What::Building { site }
        | What::Van { site }
        | What::Morning { site, .. } => site,
    };
    let book = desk.book()?;
    let site = desk.site(&book, site.as_deref())?;
    match &args.what {
        What::Causes { .. } => causes(desk, &book, site),
        What::Repeats { .. } => came_back(desk, &book, site),
        What::Building { .. } => whole(desk, &book, site),
        What::Van { .. } => to_carry(desk, site),
        What::Morning { people, .. } => tomorrow(desk, &book, site, *people),
        What::Drift { .. } => Ok(()),
    }
}

/// The unit with what the record says of it.
fn seen(
    desk: &mut Desk<'_>,
    site: SiteId,
    unit: ApplianceId,
    row: UnitRow,
) -> Result<Seen, Trouble> {
    let device = desk.device()?;
    let visits = device.history(site, unit)?.into_iter().map(|listed| listed.row);
    let own = read_or_empty(device, DocId::new(site, DocKind::Appliance(unit)))?;
    Ok(Seen::new(unit, row, visits, Some(&own)))
}

/// Every unit of the site.
fn all(desk: &mut Desk<'_>, book: &Book, site: SiteId) -> Result<Vec<Seen>, Trouble> {
    let of = book.units.iter().filter(|(_, (of, _))| *of == site);
    of.map(|(id, (_, row))| seen(desk, site, *id, row.clone())).collect()
}

fn causes(desk: &mut Desk<'_>, book: &Book, site: SiteId) -> Result<(), Trouble> {
    let (row, all) = (book.site_row(site), all(desk, book, site)?);
    let rows = Units::new(&row, &all).by_area();
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
    let (row, all) = (book.site_row(site), all(desk, book, site)?);
    let found = repeats(&Units::new(&row, &all).findings());
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
    let row = book.units.get(&unit).map(|(_, row)| row.clone()).unwrap_or_default();
    let seen = seen(desk, site, unit, row)?;
    let (falls, against_itself) = (falling(&seen), own(&seen));
    let none = "no stretch yet from a flame current as left to the next as found, both with firing hours";
    if falls.is_none() && against_itself.is_empty() {
        return Err(Trouble::State(format!("{} has {none}", book.unit(unit))));
    }
    if desk.ui.manners.json {
        let fall = falls.as_ref().map(|own| own.fall);
        let losses = falls.iter().flat_map(|own| &own.losses);
        return desk.ui.json(&json!({
            "unit_no": book.unit(unit),
            "stretches": fall.map_or(0, |fall| fall.stretches),
            "hours": fall.map(|fall| fall.hours),
            "per_1000_h": fall.map(|fall| fall.per_1000_h),
            "range": fall.map(|fall| [fall.range.low, fall.range.high]),
            "losses": losses.map(|loss| json!({
                "from": loss.from.day.to_string(),
                "to": loss.to.day.to_string(),
                "hours": loss.hours(),
                "per_1000_h": loss.per_1000_h,
            })).collect::<Vec<_>>(),
            "meets_twice_the_minimum": falls
                .as_ref()
                .and_then(|own| Some(drift::say_reach(own.reach.as_ref()?, &own.fall))),
            "against_itself": against_itself.iter().map(itself_json).collect::<Vec<_>>(),
        }));
    }
    match &falls {
        None => desk.ui.line(none)?,
        Some(own) => {
            desk.ui.line(&format!("flame current falls {}", drift::say(&own.fall, "uA")))?;
            let meets = own.reach.as_ref().map_or_else(
                || "the plate's least flame current is not known, or nothing was left".to_owned(),
                |reach| {
                    format!("twice the minimum of the plate: {}", drift::say_reach(reach, &own.fall))
                },
            );
            desk.ui.line(&meets)?;
        }
    }
    for own in &against_itself {
        desk.ui.toned(Tone::Head, &format!("{} against itself", own.name))?;
        desk.ui.line(&format!("  held against {}", say_base(own)))?;
        if let Some(beside) = say_against(own) {
            desk.ui.line(&format!("  {beside}"))?;
        }
        desk.ui.line(&format!("  {}", say_chart(own)))?;
    }
    Ok(())
}

fn itself_json(own: &Own) -> serde_json::Value {
    let (found, left) = own.counts();
    json!({
        "what": own.name,
        "unit": own.unit.key(),
        "base": say_base(own),
        "last": own.against.map(|own| own.value),
        "difference": own.against.map(|own| own.difference),
        "has_moved": own.against.map(|own| own.moved),
        "as_found": found,
        "as_left": left,
        "chart": own.limits.as_ref().ok().map(|limits| json!({
            "centre": limits.mean,
            "limits": [limits.low(), limits.high()],
        })),
        "chart_says": say_chart(own),
        "readings": own.points.iter().map(|point| json!({
            "day": point.day.to_string(),
            "phase": if point.left { "left" } else { "found" },
            "value": point.value,
            "moved": point.moved,
        })).collect::<Vec<_>>(),
    })
}

fn to_carry(desk: &mut Desk<'_>, site: SiteId) -> Result<(), Trouble> {
    let went = went(desk, site)?;
    let carry = went.carry();
    if desk.ui.manners.json {
        let list: Vec<_> = carry
            .iter()
            .map(|own| {
                json!({
                    "part": own.part,
                    "carry": own.carry,
                    "used": own.used,
                    "visits": [own.visits.0, own.visits.1],
                    "causes": own.causes,
                })
            })
            .collect();
        return desk.ui.json(&json!(list));
    }
    if carry.is_empty() {
        return desk.ui.line("no part is entered at any visit yet");
    }
    for own in &carry {
        desk.ui.line(&van::say(own, &cause))?;
    }
    desk.ui.toned(Tone::Dim, "enough for nine visits of ten like those on record; few visits say little")
}

fn tomorrow(desk: &mut Desk<'_>, book: &Book, site: SiteId, people: u8) -> Result<(), Trouble> {
    let (row, all) = (book.site_row(site), all(desk, book, site)?);
    let visits = desk.device()?.visits(site)?;
    let complaints = morning::complaints(visits.iter().map(|listed| &listed.row));
    let units = morning::units(&Units::new(&row, &all), &building(&row, &all), &complaints);
    let today = Day::of(desk.now().day()).ok_or_else(|| {
        Trouble::State("the clock stands outside 1900 to 2200; set it first".to_owned())
    })?;
    let lines = morning::order(&units, morning::season_end(today));
    let shares = morning::split(&lines, usize::from(people));
    if desk.ui.manners.json {
        return desk.ui.json(&json!(shares.iter().map(share_json).collect::<Vec<_>>()));
    }
    for (place, share) in shares.iter().enumerate() {
        let areas: Vec<&str> =
            share.areas.iter().map(|area| if area.is_empty() { "no area" } else { *area }).collect();
        let hours = share.minutes / 60.0;
        let head = format!("person {}: {}; about {hours:.1} h", place + 1, areas.join(", "));
        desk.ui.toned(Tone::Head, &head)?;
        for line in &share.units {
            desk.ui.line(&format!("  {} {}: {}", line.area, line.unit, line.rank.words()))?;
        }
    }
    desk.ui.toned(Tone::Dim, "a proposal; minutes are the usual ones of a full visit, and the floor knows better")
}

fn share_json(share: &Share<'_>) -> serde_json::Value {
    json!({
        "areas": share.areas,
        "minutes": share.minutes,
        "units": share.units.iter().map(|line| json!({
            "unit_no": line.unit,
            "area": line.area,
            "because": line.rank.words(),
        })).collect::<Vec<_>>(),
    })
}

fn whole(desk: &mut Desk<'_>, book: &Book, site: SiteId) -> Result<(), Trouble> {
    let (row, all) = (book.site_row(site), all(desk, book, site)?);
    let found = building(&row, &all);
    let visits = went(desk, site)?.say(Day::of(desk.now().day()), &cause);
    if desk.ui.manners.json {
        let mut value = as_json(&found);
        value["visits"] = json!(visits);
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
        desk.ui.line(&format!("  {}", waiting::say(own, found.counted_lockouts)))?;
    }
    let groups = [
        ("how the visits went", visits),
        ("what changed it", found.experiments.clone()),
        ("what would change it", would_change(&found)),
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

/// Every visit opened: units found outside limits, first answers, call-backs, minutes, parts.
fn went(desk: &mut Desk<'_>, site: SiteId) -> Result<Went, Trouble> {
    let mut went = Went::default();
    for listed in desk.device()?.visits(site)? {
        if listed.row.entries > 0 {
            let opened = desk.device()?.open_visit(site, listed.id)?;
            went.add(listed.row.day.and_then(Day::of), &opened.file());
        }
    }
    Ok(went)
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
        "would_change": would_change(found),
        "twins": found.twins.iter().map(|(one, other, same)| json!({
            "units": [one, other], "same_area": same,
        })).collect::<Vec<_>>(),
        "waiting": steps,
        "waiting_ends_in": if found.counted_lockouts { "lockout" } else { "finding" },
        "proposals": found.proposals.iter().map(say_proposal).collect::<Vec<_>>(),
    })
}
