//! The page of a building.

use std::collections::BTreeMap;

use axum::extract::{Path, Query, State};
use client_core::device::list;
use client_core::pattern::Day;
use client_core::pattern::building::building as over;
use client_core::pattern::morning;
use client_core::pattern::own::own;
use client_core::pattern::seen::{Seen, Units};
use client_core::pattern::went::Went;
use client_core::present::words::cause;
use client_core::record::doc_id::{DocId, DocKind};
use client_core::record::id::SiteId;

use super::look::{id, rows, turned};
use super::wrong::PageWrong;
use super::{Answer, In, on_hub, shown};
use crate::hub::{Acting, Hub};
use crate::pages;
use crate::review::building::{Beside, BuildingPage, page};
use crate::review::home::SiteRows;
use crate::worker::Wrong;

/// Visits whose documents are opened, to hold what was found against the limits: the newest.
const VISITS_OPENED: usize = 3;
/// People between whom the plan for the morning is split when nobody says how many.
const PEOPLE: usize = 2;
/// The most that may be asked for.
const PEOPLE_MAX: usize = 9;

/// How many people go tomorrow, as it was asked for.
pub(super) fn going(asked: &BTreeMap<String, String>) -> usize {
    let people = asked.get("people").and_then(|people| people.parse().ok());
    people.unwrap_or(PEOPLE).clamp(1, PEOPLE_MAX)
}

/// A building laid out; none when there is none to see.
pub(super) fn building_of(
    hub: &mut Hub,
    acting: &Acting,
    site: SiteId,
    now: i64,
    people: usize,
) -> Result<Option<BuildingPage>, Wrong> {
    let (sites, _) = rows(hub, acting, Some(site))?;
    let Some(own_rows) = sites.into_iter().next() else { return Ok(None) };
    let mut seen = vec![];
    for unit in &own_rows.units {
        let read = hub.view_mut().store().read().map_err(turned)?;
        let visits = list::history(&read, site, unit.id).map_err(turned)?;
        drop(read);
        let doc = DocId::new(site, DocKind::Appliance(unit.id));
        let papers = hub.doc_seen(acting, doc).map_err(turned)?;
        let visits = visits.into_iter().map(|listed| listed.row);
        let papers = papers.as_ref().map(|papers| &papers.read);
        seen.push(Seen::new(unit.id, unit.row.clone(), visits, papers));
    }
    let found = over(&own_rows.row, &seen);
    let went = went(hub, acting, &own_rows)?;
    let today = i32::try_from(now.div_euclid(86_400)).unwrap_or(i32::MAX);
    let today = Day::of(client_core::record::value::Day(today));
    let units = Units::new(&own_rows.row, &seen);
    let complaints = morning::complaints(own_rows.visits.iter().map(|listed| &listed.row));
    let morning = today.map(|today| {
        let known = morning::units(&units, &found, &complaints);
        let lines = morning::order(&known, morning::season_end(today));
        morning::split(&lines, people)
    });
    let beside = Beside {
        as_found: went.say(today, &cause),
        itself: units.iter().flat_map(own).collect(),
        carry: went.carry(),
        morning: morning.unwrap_or_default(),
    };
    Ok(Some(page(own_rows.named(), &found, beside)))
}

/// The newest visits, opened.
fn went(hub: &mut Hub, acting: &Acting, own: &SiteRows) -> Result<Went, Wrong> {
    let mut visits: Vec<_> = own.visits.iter().filter(|listed| listed.row.entries > 0).collect();
    visits.sort_by_key(|listed| std::cmp::Reverse(listed.row.day));
    let mut went = Went::default();
    for listed in visits.into_iter().take(VISITS_OPENED) {
        if let Some(opened) = hub.visit_seen(acting, own.id, listed.id).map_err(turned)? {
            went.add(listed.row.day.and_then(Day::of), &opened.file());
        }
    }
    Ok(went)
}

/// `GET /review/sites/{site}/building`
pub(super) async fn building(
    (State(app), signed): In,
    Path(site): Path<String>,
    Query(asked): Query<BTreeMap<String, String>>,
) -> Answer {
    let site: SiteId = id(&site)?;
    let acting = signed.acting.clone();
    let people = going(&asked);
    let found = on_hub(&app, move |hub, now| building_of(hub, &acting, site, now, people)).await?;
    let found = found.ok_or(PageWrong::Nothing)?;
    let mut chrome = signed.chrome;
    chrome.hears = vec![site.to_string()];
    Ok(shown(pages::building::building(&chrome, &found)))
}
