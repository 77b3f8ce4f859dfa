//! What the office keeps of a site: its values, areas, units out of a list, labels to hang on the units.

use axum::extract::{Path, State};
use axum::http::{HeaderMap, StatusCode};
use axum::response::{IntoResponse, Redirect};
use client_core::record::action::Action;
use client_core::record::body::{Area, Home};
use client_core::record::deed::{self, Deed};
use client_core::record::doc_id::{DocId, DocKind};
use client_core::record::field::Field;
use client_core::record::id::{ApplianceId, SiteId};

use super::form::{Form, LIST_MAX, Posted};
use super::look::{id, rows, turned};
use super::wrong::{PageWrong, done};
use super::{Answer, In, on_hub, people, shown};
use crate::hub::{Acting, Hub};
use crate::pages;
use crate::pages::part::unit_path;
use crate::review::Named;
use crate::review::import::{self, List, Places};
use crate::worker::Wrong;

/// Units of one deed: the rest follows in the next, each durable by itself.
const UNITS_PER_DEED: usize = 100;

fn site_path(site: SiteId) -> String {
    format!("/review/sites/{site}")
}

/// A register of a home, with what was typed for it.
fn typed(form: &Form, home: Home) -> Result<client_core::record::action::Setting, PageWrong> {
    let field = Field::from_key(form.get("field")).filter(|field| field.def.home == home);
    let field = field.ok_or_else(|| PageWrong::Typed("choose what to set".to_owned()))?;
    let reason = Some(form.get("reason")).filter(|reason| !reason.is_empty());
    import::setting(field, form.get("value"), reason).map_err(PageWrong::Typed)
}

/// `POST /review/sites/new`
pub(super) async fn begin(Posted { app, signed, form, .. }: Posted) -> Answer {
    let mut settings = vec![];
    for (key, name, needed) in [
        ("site/name", "name", true),
        ("site/town", "town", false),
        ("customer/name", "customer", false),
    ] {
        let typed = form.get(name);
        if typed.is_empty() && !needed {
            continue;
        }
        let setting = import::setting(Field::named(key), typed, None);
        settings.push(setting.map_err(PageWrong::Typed)?);
    }
    if signed.acting.sites.is_some() {
        let says = "a new site is begun by somebody who has every site";
        return Err(PageWrong::Role(says));
    }
    let acting = signed.acting.clone();
    let moment = form.moment(app.now());
    let site = on_hub(&app, move |hub, _| {
        let mut new = [0; 8];
        hub.fill(&mut new);
        let site = SiteId(new);
        let deed = vec![(DocId::new(site, DocKind::Site), Action::Set(settings))];
        let outcome = done(hub.act(&acting, moment, &deed).map(drop))?;
        Ok(outcome.map(|()| site))
    });
    let site = site.await??;
    Ok(Redirect::to(&site_path(site)).into_response())
}

/// `POST /review/sites/{site}/set`
pub(super) async fn set_site(Path(site): Path<String>, on: Posted) -> Answer {
    let site: SiteId = id(&site)?;
    let setting = typed(&on.form, Home::Site)?;
    let deed = vec![(DocId::new(site, DocKind::Site), Action::Set(vec![setting]))];
    on.act(deed).await?;
    Ok(Redirect::to(&site_path(site)).into_response())
}

/// `POST /review/sites/{site}/area`
pub(super) async fn area(Path(site): Path<String>, on: Posted) -> Answer {
    let site: SiteId = id(&site)?;
    let label = on.form.words("label", "the label of the area")?;
    let area = Area { label };
    let deed = vec![(DocId::new(site, DocKind::Site), Action::Enter(vec![area.into()]))];
    on.act(deed).await?;
    Ok(Redirect::to(&site_path(site)).into_response())
}

/// `POST /review/sites/{site}/units/{unit}/set`
pub(super) async fn set_unit(Path(path): Path<(String, String)>, on: Posted) -> Answer {
    let (site, unit): (SiteId, ApplianceId) = (id(&path.0)?, id(&path.1)?);
    let setting = typed(&on.form, Home::Appliance)?;
    let doc = DocId::new(site, DocKind::Appliance(unit));
    on.act(vec![(doc, Action::Set(vec![setting]))]).await?;
    Ok(Redirect::to(&unit_path(&site.to_string(), &unit.to_string())).into_response())
}

/// The site's name and what a list may name; none where somebody may not see it.
fn places(hub: &mut Hub, acting: &Acting, site: SiteId) -> Result<Option<(Named, Places)>, Wrong> {
    let (sites, _) = rows(hub, acting, Some(site))?;
    let Some(own) = sites.into_iter().next() else { return Ok(None) };
    let papers = hub.doc_seen(acting, DocId::new(site, DocKind::Site)).map_err(turned)?;
    let units = own.units.iter().map(|unit| unit.row.unit_no.clone());
    let places = Places::of(&own.row, units, papers.as_ref().map(|papers| &papers.read));
    Ok(Some((own.named(), places)))
}

/// `GET /review/sites/{site}/import`
pub(super) async fn import_page((State(app), signed): In, Path(site): Path<String>) -> Answer {
    let site: SiteId = id(&site)?;
    let acting = signed.acting.clone();
    let found = on_hub(&app, move |hub, _| places(hub, &acting, site)).await?;
    let (named, _) = found.ok_or(PageWrong::Nothing)?;
    let form = pages::import::Typed::default();
    Ok(shown(pages::import::import(&signed.chrome, &named, &form, None)))
}

/// `POST /review/sites/{site}/import`
pub(super) async fn import(
    Path(site): Path<String>,
    Posted { app, signed, form, .. }: Posted<LIST_MAX>,
) -> Answer {
    let site: SiteId = id(&site)?;
    let typed = pages::import::Typed {
        list: form.exact("list").to_owned(),
        reason: form.get("reason").to_owned(),
    };
    let (save, partial) = (form.get("do") != "check", form.get("partial") == "yes");
    let (acting, moment, asked) = (signed.acting.clone(), form.moment(app.now()), typed.clone());
    let found = on_hub(&app, move |hub, _| {
        let Some((named, places)) = places(hub, &acting, site)? else { return Ok(None) };
        let reason = Some(asked.reason.as_str()).filter(|reason| !reason.is_empty());
        let list = match import::read(&asked.list, &places, reason) {
            Ok(list) => list,
            Err(says) => return Ok(Some((named, Err(says), Ok(0)))),
        };
        let enter = save && (list.wrong.is_empty() || partial);
        let entered = if enter { entered(hub, &acting, moment, site, &list)? } else { Ok(0) };
        Ok(Some((named, Ok(list), entered)))
    });
    let (named, list, entered) = found.await?.ok_or(PageWrong::Nothing)?;
    let entered = entered?;
    if entered > 0 && list.as_ref().is_ok_and(|list| list.wrong.is_empty()) {
        return Ok(Redirect::to(&site_path(site)).into_response());
    }
    let failed = list.as_ref().map_or(true, |list| !list.wrong.is_empty());
    let outcome = pages::import::Outcome { list, entered, checked: !save };
    let mut page = shown(pages::import::import(&signed.chrome, &named, &typed, Some(&outcome)));
    if failed {
        *page.status_mut() = StatusCode::UNPROCESSABLE_ENTITY;
    }
    Ok(page)
}

fn entered(
    hub: &mut Hub,
    acting: &Acting,
    moment: client_core::record::value::Moment,
    site: SiteId,
    list: &List,
) -> Result<Result<usize, PageWrong>, Wrong> {
    for part in list.good.chunks(UNITS_PER_DEED) {
        let mut deed: Deed = vec![];
        for row in part {
            let mut new = [0; 8];
            hub.fill(&mut new);
            let unit = ApplianceId(new);
            deed.extend(deed::new_appliance(site, unit, &row.unit_no, row.settings.clone()));
        }
        if let Err(wrong) = done(hub.act(acting, moment, &deed).map(drop))? {
            return Ok(Err(wrong));
        }
    }
    Ok(Ok(list.good.len()))
}

/// `GET /review/sites/{site}/labels`
pub(super) async fn labels(
    (State(app), signed): In,
    Path(site): Path<String>,
    headers: HeaderMap,
) -> Answer {
    let site: SiteId = id(&site)?;
    let acting = signed.acting.clone();
    let found = on_hub(&app, move |hub, _| {
        let (sites, book) = rows(hub, &acting, Some(site))?;
        Ok(sites.first().map(|own| (own.named(), own.unit_lines(&book))))
    });
    let (named, mut units) = found.await?.ok_or(PageWrong::Nothing)?;
    units.retain(|unit| unit.merged_into.is_none());
    let origin = people::origin(&headers, app.rules.tls);
    Ok(shown(pages::labels::labels(&signed.chrome, &named, &units, &origin)))
}
