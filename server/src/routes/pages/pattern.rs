//! The page of a building.

use axum::extract::{Path, State};
use client_core::device::list;
use client_core::pattern::answers::Jobs;
use client_core::pattern::building::{Building, Seen, building as over};
use client_core::pattern::{Day, found};
use client_core::present::words::cause;
use client_core::record::body::{Body, Kind};
use client_core::record::doc_id::{DocId, DocKind};
use client_core::record::id::{ApplianceId, SiteId};
use client_core::record::row::SheetRow;
use std::collections::BTreeMap;

use super::look::{id, rows, turned};
use super::wrong::PageWrong;
use super::{Answer, In, on_hub, shown};
use crate::hub::{Acting, Hub};
use crate::pages;
use crate::review::Named;
use crate::review::building::page;
use crate::worker::Wrong;

/// Visits whose documents are opened, to hold what was found against the limits: the newest.
const VISITS_OPENED: usize = 3;

/// Visits of each unit, oldest first.
type Visits = BTreeMap<ApplianceId, Vec<SheetRow>>;

/// A building with its name; none when there is none to see.
pub(super) fn building_of(
    hub: &mut Hub,
    acting: &Acting,
    site: SiteId,
    now: i64,
) -> Result<Option<(Named, Building, Vec<String>)>, Wrong> {
    let (sites, _) = rows(hub, acting, Some(site))?;
    let Some(own) = sites.into_iter().next() else { return Ok(None) };
    let read = hub.view_mut().store().read().map_err(turned)?;
    let mut visits = Visits::new();
    for unit in &own.units {
        let history = list::history(&read, site, unit.id).map_err(turned)?;
        visits.insert(unit.id, history.into_iter().map(|listed| listed.row).collect());
    }
    drop(read);
    let mut changes: BTreeMap<ApplianceId, Vec<(String, Day)>> = BTreeMap::new();
    for unit in &own.units {
        let doc = DocId::new(site, DocKind::Appliance(unit.id));
        let Some(papers) = hub.doc_seen(acting, doc).map_err(turned)? else { continue };
        let found = papers.read.counted(Kind::Event).filter_map(|entry| match &entry.body {
            Body::Event(event) if event.kind == "changed" => {
                let (year, month, day) = event.day?.ymd();
                Some((event.text.clone(), Day::new(year, month, day)?))
            }
            _ => None,
        });
        changes.insert(unit.id, found.collect());
    }
    let seen: Vec<Seen<'_>> = own
        .units
        .iter()
        .map(|unit| Seen {
            id: unit.id,
            row: &unit.row,
            visits: visits.get(&unit.id).map(|rows| rows.iter().collect()).unwrap_or_default(),
            changes: changes.remove(&unit.id).unwrap_or_default(),
        })
        .collect();
    let found = over(&own.row, &seen);
    let named = own.named();
    let mut visits: Vec<_> = own.visits.iter().filter(|listed| listed.row.entries > 0).collect();
    visits.sort_by_key(|listed| std::cmp::Reverse(listed.row.day));
    let mut as_found = vec![];
    let mut jobs = Jobs::default();
    for listed in visits.into_iter().take(VISITS_OPENED) {
        let Some(opened) = hub.visit_seen(acting, site, listed.id).map_err(turned)? else {
            continue;
        };
        let counted = found::found(&found::of_visit(&opened.file()));
        let day = listed.row.day.map_or_else(|| "no day".to_owned(), |day| day.to_string());
        as_found.push(format!("{day}: {}", found::say(&counted)));
        jobs.add(&opened.file());
    }
    let today = i32::try_from(now.div_euclid(86_400)).unwrap_or(i32::MAX);
    let (year, month, day) = client_core::record::value::Day(today).ymd();
    if let Some(today) = Day::new(year, month, day) {
        as_found.extend(jobs.say(today, &cause));
    }
    Ok(Some((named, found, as_found)))
}

/// `GET /review/sites/{site}/building`
pub(super) async fn building((State(app), signed): In, Path(site): Path<String>) -> Answer {
    let site: SiteId = id(&site)?;
    let acting = signed.acting.clone();
    let found = on_hub(&app, move |hub, now| building_of(hub, &acting, site, now)).await?;
    let (named, found, as_found) = found.ok_or(PageWrong::Nothing)?;
    let mut chrome = signed.chrome;
    chrome.hears = vec![site.to_string()];
    Ok(shown(pages::building::building(&chrome, &page(named, &found, as_found))))
}
