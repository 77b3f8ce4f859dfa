//! A unit's page, questions to manufacturers, and their answers.

use axum::extract::{Path, State};
use axum::response::{IntoResponse, Redirect};
use client_core::device::{Listed, list};
use client_core::record::action::Action;
use client_core::record::body::{Answer as Given, Target};
use client_core::record::code::unit::UnitCode;
use client_core::record::code::{Quantity, TargetSource};
use client_core::record::doc_id::{DocId, DocKind};
use client_core::record::id::{ApplianceId, EntryId, SiteId, VisitId};
use client_core::record::row::SheetRow;
use client_core::record::value::{Day, Figure};
use client_core::trade::unit::parse_in;

use super::form::{Form, Posted};
use super::look::{id, rows, turned};
use super::wrong::PageWrong;
use super::{Answer, In, on_hub, shown};
use crate::hub::{Acting, Hub};
use crate::pages;
use crate::pages::part::unit_path;
use crate::pages::question::TARGETS;
use crate::review::history::{History, TWINS_MAX, alike, beside, history};
use crate::review::question::{UnitAsked, asked};
use crate::worker::Wrong;

/// A unit laid out; none when there is none to see.
pub(super) fn unit_of(
    hub: &mut Hub,
    acting: &Acting,
    site: SiteId,
    unit: ApplianceId,
) -> Result<Option<History>, Wrong> {
    let (sites, mut book) = rows(hub, acting, Some(site))?;
    let Some(own) = sites.into_iter().next() else { return Ok(None) };
    let named = own.named();
    let mut units = own.units;
    let Some(at) = units.iter().position(|row| row.id == unit) else { return Ok(None) };
    let row = units.swap_remove(at);
    let read = hub.view_mut().store().read().map_err(turned)?;
    let visits = list::history(&read, site, unit).map_err(turned)?;
    units.retain(|other| alike(&row.row, &other.row));
    units.sort_by(|one, other| one.row.unit_no.cmp(&other.row.unit_no));
    let mut twins = vec![];
    for twin in units.into_iter().take(TWINS_MAX) {
        let left = left_last(list::history(&read, site, twin.id).map_err(turned)?);
        twins.push((twin, left));
    }
    drop(read);
    for doc in [hub.company_doc(), DocId::new(site, DocKind::Site)] {
        if let Some(papers) = hub.doc_seen(acting, doc).map_err(turned)? {
            book.add_entries(&papers.read);
        }
    }
    let doc = DocId::new(site, DocKind::Appliance(unit));
    let papers = hub.doc_seen(acting, doc).map_err(turned)?;
    let mut found = history(&named, &row, &visits, papers, &book);
    beside(&mut found, left_last(visits).as_ref(), &twins, &book);
    Ok(Some(found))
}

/// The row of the last visit in which something was read as left.
fn left_last(visits: Vec<Listed<VisitId, SheetRow>>) -> Option<SheetRow> {
    visits.into_iter().rev().map(|listed| listed.row).find(|row| !row.left.is_empty())
}

/// `GET /review/sites/{site}/units/{unit}`
pub(super) async fn unit((State(app), signed): In, Path(path): Path<(String, String)>) -> Answer {
    let (site, unit): (SiteId, ApplianceId) = (id(&path.0)?, id(&path.1)?);
    let acting = signed.acting.clone();
    let found = on_hub(&app, move |hub, _| unit_of(hub, &acting, site, unit)).await?;
    let found = found.ok_or(PageWrong::Nothing)?;
    let mut chrome = signed.chrome;
    chrome.hears = vec![site.to_string()];
    Ok(shown(pages::history::history(&chrome, &found)))
}

/// Questions of every unit that somebody may see. Rows say which units have open ones; those with answers
/// only are on the units' own pages.
pub(super) fn asked_of(hub: &mut Hub, acting: &Acting) -> Result<Vec<UnitAsked>, Wrong> {
    let (sites, book) = rows(hub, acting, None)?;
    let mut found = vec![];
    for site in &sites {
        for unit in site.units.iter().filter(|unit| unit.row.questions > 0 || unit.row.targets > 0)
        {
            let doc = DocId::new(site.id, DocKind::Appliance(unit.id));
            let Some(papers) = hub.doc_seen(acting, doc).map_err(turned)? else { continue };
            let questions = asked(&papers, &book);
            if !questions.is_empty() {
                let unit = book.named_unit(unit.id);
                found.push(UnitAsked { site: site.named(), unit, questions });
            }
        }
    }
    let answered = |unit: &UnitAsked| unit.questions.iter().all(|one| !one.answers.is_empty());
    found.sort_by_key(answered);
    Ok(found)
}

/// `GET /review/questions`
pub(super) async fn questions((State(app), signed): In) -> Answer {
    let acting = signed.acting.clone();
    let found = on_hub(&app, move |hub, _| asked_of(hub, &acting)).await?;
    Ok(shown(pages::question::questions(&signed.chrome, &found)))
}

/// `POST /review/sites/{site}/units/{unit}/answer`
pub(super) async fn answer(Path(path): Path<(String, String)>, on: Posted) -> Answer {
    let (site, unit): (SiteId, ApplianceId) = (id(&path.0)?, id(&path.1)?);
    let form = &on.form;
    let question: EntryId =
        form.id("question")?.ok_or_else(|| PageWrong::Typed("no question is named".to_owned()))?;
    let source = TargetSource::from_key(form.get("source"))
        .ok_or_else(|| PageWrong::Typed("say how the answer came".to_owned()))?;
    let day = match form.get("day") {
        "" => None,
        day => Some(Day::parse(day).map_err(|wrong| PageWrong::Typed(wrong.to_string()))?),
    };
    let given = Given {
        question,
        text: form.words("text", "the answer")?,
        source,
        day,
        from: Some(form.get("from").to_owned()).filter(|from| !from.is_empty()),
    };
    let targets = targets(form, source, day)?;
    let deed = vec![(
        DocId::new(site, DocKind::Appliance(unit)),
        Action::Answer { answer: given, targets },
    )];
    on.act(deed).await?;
    Ok(Redirect::to(&unit_path(&site.to_string(), &unit.to_string())).into_response())
}

fn targets(form: &Form, source: TargetSource, day: Option<Day>) -> Result<Vec<Target>, PageWrong> {
    let mut found = vec![];
    for at in 0..TARGETS {
        let typed = |name: &str| form.get(&format!("{name}{at}")).to_owned();
        let (least, most) = (typed("least"), typed("most"));
        if least.is_empty() && most.is_empty() {
            continue;
        }
        let quantity = Quantity::from_key(&typed("quantity"));
        let quantity = quantity
            .ok_or_else(|| PageWrong::Typed(format!("target {}: choose for what", at + 1)))?;
        let figure = |name: &str, typed: &str| {
            let wrong =
                |words: String| PageWrong::Typed(format!("target {}, {name}: {words}", at + 1));
            figure(quantity, typed).map_err(wrong)
        };
        let (least, most) = (figure("least", &least)?, figure("most", &most)?);
        found.push(Target {
            quantity,
            least,
            most,
            aim: None,
            stage: None,
            gas: None,
            altitude: None,
            source,
            valid_from: day,
            page: None,
            answer: None,
            air_free: None,
        });
    }
    Ok(found)
}

/// A figure as typed, in a unit of the quantity's kind; none where nothing was typed.
fn figure(quantity: Quantity, typed: &str) -> Result<Option<Figure>, String> {
    if typed.is_empty() {
        return Ok(None);
    }
    let kind = quantity.kind().ok_or("it has no unit here")?;
    let (digits, unit) = parse_in(typed, kind.unit).map_err(|wrong| wrong.to_string())?;
    let unit = UnitCode::of(unit).ok_or("its unit is not kept in records")?;
    Ok(Some(Figure { digits, unit }))
}
