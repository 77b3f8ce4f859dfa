//! The same as the pages, as JSON for programs, read only, and the description of the whole HTTP interface.

mod describe;

use std::collections::BTreeMap;

use axum::Json;
use axum::extract::{FromRequestParts, Path, Query, State};
use axum::http::request::Parts;
use axum::response::{IntoResponse, Response};
use client_core::record::id::{ApplianceId, SiteId};
use serde::Serialize;

use super::look::{id, place, rows, visit_of};
use super::pattern::{building_of, going};
use super::session::Signed;
use super::unit::{asked_of, unit_of};
use super::wrong::PageWrong;
use super::{Shared, on_hub, people};
use crate::review::home::{SiteLine, SiteRows, UnitLine, VisitLine, home as lay_out};
use crate::review::search::search as search_for;

/// An answer in JSON, or why there is none.
type Answer = Result<Response, Wrong>;

/// What a page would say, as JSON.
pub(super) struct Wrong(PageWrong);

impl From<PageWrong> for Wrong {
    fn from(wrong: PageWrong) -> Wrong {
        Wrong(wrong)
    }
}

impl IntoResponse for Wrong {
    fn into_response(self) -> Response {
        let body = serde_json::json!({ "wrong": self.0.to_string() });
        (self.0.status(), Json(body)).into_response()
    }
}

/// Somebody who is signed in; nobody is told so in JSON and not led to a page.
pub(super) struct Known(Signed);

impl FromRequestParts<Shared> for Known {
    type Rejection = Wrong;

    async fn from_request_parts(parts: &mut Parts, app: &Shared) -> Result<Known, Wrong> {
        Ok(Known(Signed::from_request_parts(parts, app).await?))
    }
}

/// A site with its units and visits, out of rows.
#[derive(Debug, Serialize, utoipa::ToSchema)]
pub(super) struct SiteShown {
    /// The site.
    site: SiteLine,
    /// Its units.
    units: Vec<UnitLine>,
    /// Its visits, newest first.
    visits: Vec<VisitLine>,
}

fn json(model: impl Serialize) -> Response {
    Json(model).into_response()
}

/// `GET /api/1/openapi.json`
pub(super) async fn openapi() -> Response {
    Json(describe::DESCRIPTION.clone()).into_response()
}

/// `GET /api/1/home`
pub(super) async fn home(State(app): State<Shared>, Known(signed): Known) -> Answer {
    let acting = signed.acting.clone();
    let found = on_hub(&app, move |hub, _| {
        let (sites, book) = rows(hub, &acting, None)?;
        Ok(lay_out(&sites, &book))
    });
    Ok(json(found.await?))
}

/// `GET /api/1/sites`
pub(super) async fn sites(State(app): State<Shared>, Known(signed): Known) -> Answer {
    let acting = signed.acting.clone();
    let found = on_hub(&app, move |hub, _| {
        let (sites, _) = rows(hub, &acting, None)?;
        Ok(sites.iter().map(SiteRows::line).collect::<Vec<_>>())
    });
    Ok(json(found.await?))
}

/// `GET /api/1/sites/{site}`
pub(super) async fn site(
    State(app): State<Shared>,
    Known(signed): Known,
    Path(site): Path<String>,
) -> Answer {
    let site: SiteId = id(&site)?;
    let acting = signed.acting.clone();
    let found = on_hub(&app, move |hub, _| {
        let (sites, book) = rows(hub, &acting, Some(site))?;
        Ok(sites.first().map(|own| SiteShown {
            site: own.line(),
            units: own.unit_lines(&book),
            visits: own.visit_lines(&book),
        }))
    });
    Ok(json(found.await?.ok_or(PageWrong::Nothing)?))
}

/// `GET /api/1/sites/{site}/building`
pub(super) async fn building(
    State(app): State<Shared>,
    Known(signed): Known,
    Path(site): Path<String>,
    Query(asked): Query<BTreeMap<String, String>>,
) -> Answer {
    let site: SiteId = id(&site)?;
    let acting = signed.acting.clone();
    let people = going(&asked);
    let found = on_hub(&app, move |hub, now| building_of(hub, &acting, site, now, people)).await?;
    Ok(json(found.ok_or(PageWrong::Nothing)?))
}

/// `GET /api/1/sites/{site}/units/{unit}`
pub(super) async fn unit(
    State(app): State<Shared>,
    Known(signed): Known,
    Path(path): Path<(String, String)>,
) -> Answer {
    let (site, unit): (SiteId, ApplianceId) = (id(&path.0)?, id(&path.1)?);
    let acting = signed.acting.clone();
    let found = on_hub(&app, move |hub, _| unit_of(hub, &acting, site, unit));
    Ok(json(found.await?.ok_or(PageWrong::Nothing)?))
}

/// `GET /api/1/sites/{site}/visits/{visit}`
pub(super) async fn visit(
    State(app): State<Shared>,
    Known(signed): Known,
    Path(path): Path<(String, String)>,
) -> Answer {
    let place = place(path)?;
    let acting = signed.acting.clone();
    let found = on_hub(&app, move |hub, _| visit_of(hub, &acting, place, None));
    Ok(json(found.await?.ok_or(PageWrong::Nothing)?.0))
}

/// `GET /api/1/questions`
pub(super) async fn questions(State(app): State<Shared>, Known(signed): Known) -> Answer {
    let acting = signed.acting.clone();
    Ok(json(on_hub(&app, move |hub, _| asked_of(hub, &acting)).await?))
}

/// `GET /api/1/people`
pub(super) async fn people(State(app): State<Shared>, Known(signed): Known) -> Answer {
    let acting = signed.acting.clone();
    Ok(json(on_hub(&app, move |hub, now| people::model(hub, now, &acting)).await?))
}

/// `GET /api/1/search?q=`
pub(super) async fn search(
    State(app): State<Shared>,
    Known(signed): Known,
    Query(asked): Query<BTreeMap<String, String>>,
) -> Answer {
    let words: String = asked.get("q").map(|q| q.chars().take(200).collect()).unwrap_or_default();
    let acting = signed.acting.clone();
    let found = on_hub(&app, move |hub, _| {
        let (sites, book) = rows(hub, &acting, None)?;
        Ok(search_for(&words, &sites, &book))
    });
    Ok(json(found.await?))
}
