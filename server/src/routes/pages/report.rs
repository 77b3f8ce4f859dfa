//! Reports on the pages: the same models and the same words as on a device's command line, as a page, as
//! text, as PDF; and rows for the office.

mod seen;

use std::collections::BTreeMap;

use axum::extract::{Path, Query, State};
use axum::http::{HeaderMap, HeaderValue, header};
use axum::response::{IntoResponse, Redirect, Response};
use client_core::device::DeviceError;
use client_core::record::id::{ApplianceId, EntryId, SiteId, VisitId};
use client_core::record::value::{Day, Moment};
use client_core::trade::unit::System;
use reports::export::{line, open, table, whole};
use reports::gather::{GatherWrong, Gatherer, Wanted};
use reports::{Firm, Kind, Language, Model, Tongue, face};

use super::form::Posted;
use super::look::{id, place};
use super::wrong::PageWrong;
use super::{Answer, In, Shared, on_hub, shown};
use crate::access::firm::FirmNamed;
use crate::hub::{Acting, Hub, Turn};
use crate::pages;
use crate::pages::report::{Asked, Paper};
use crate::worker::Wrong;

use seen::Seen;

/// What a report is asked by: everything stands in the address, so that it can be kept and sent.
pub(super) type Query_ = Query<BTreeMap<String, String>>;

/// The units that a key names.
pub(super) fn system(key: &str) -> System {
    if key == "si" { System::Si } else { System::Us }
}

fn tongue(asked: &BTreeMap<String, String>) -> Tongue {
    let text = |name: &str| asked.get(name).map_or("", String::as_str);
    let language = Language::from_key(text("lang")).unwrap_or(Language::English);
    Tongue::new(language, system(text("units")))
}

/// The report that an address names.
fn wanted(kind: Kind, asked: &BTreeMap<String, String>) -> Result<Wanted, PageWrong> {
    let text = |name: &str| asked.get(name).map(String::as_str).filter(|text| !text.is_empty());
    let visit = || id::<VisitId>(text("visit").unwrap_or_default());
    let unit = || id::<ApplianceId>(text("unit").unwrap_or_default());
    Ok(match kind {
        Kind::Customer => Wanted::Customer(visit()?),
        Kind::Visit => Wanted::Visit(visit()?),
        Kind::Unit => Wanted::Unit(unit()?),
        Kind::Question => {
            Wanted::Question(unit()?, id::<EntryId>(text("question").unwrap_or_default())?)
        }
        Kind::Morning => Wanted::Morning(visit()?),
        Kind::Restock => Wanted::Restock(visit()?),
        Kind::Differences => Wanted::Differences,
        Kind::Column => {
            let next = text("next").map(Day::parse).transpose();
            let next = next.map_err(|wrong| PageWrong::Typed(wrong.to_string()))?;
            Wanted::Column(visit()?, unit()?, next)
        }
        Kind::ShutDown => Wanted::ShutDown(visit()?, unit()?),
        Kind::Flue => Wanted::Flue(visit()?, unit()?),
    })
}

/// Why there is no report: the hub could not, or the record has none.
type Lacks = Result<Model, GatherWrong>;

/// The model of a report, gathered on the hub's thread; none where somebody may not see the site.
fn model(
    hub: &mut Hub,
    acting: &Acting,
    site: SiteId,
    wanted: Wanted,
) -> Result<Option<Lacks>, Wrong> {
    if !hub.may_see(acting, site) {
        return Ok(None);
    }
    gathered(hub, site, wanted).map(Some)
}

/// The same for whoever may see it by another right.
pub(super) fn gathered(hub: &mut Hub, site: SiteId, wanted: Wanted) -> Result<Lacks, Wrong> {
    in_records(hub, site, |gatherer| gatherer.model(site, wanted))
}

fn in_records<T>(
    hub: &mut Hub,
    site: SiteId,
    gather: impl FnOnce(&mut Gatherer<'_, Seen<'_>>) -> Result<T, GatherWrong>,
) -> Result<Result<T, GatherWrong>, Wrong> {
    let FirmNamed { name, phone } = hub.access().firm().map_err(|wrong| turned(wrong.into()))?;
    let mut seen = Seen::of(hub, site).map_err(turned)?;
    let made = Gatherer::new(&mut seen, Firm { name, phone });
    match made.and_then(|mut gatherer| gather(&mut gatherer)) {
        Err(GatherWrong::Device(DeviceError::Store(wrong))) => Err(turned(wrong.into())),
        outcome => Ok(outcome),
    }
}

const fn turned(wrong: Turn) -> Wrong {
    Wrong::Turn(wrong)
}

/// What the record lacks for a report, as a page says it.
pub(super) fn lacks(wrong: &GatherWrong) -> PageWrong {
    match wrong {
        GatherWrong::Device(_) => PageWrong::Nothing,
        // The same sentences as on a device, where the place is another one.
        other => PageWrong::Lacks(other.to_string().replace(" on this device", "")),
    }
}

/// `GET /review/sites/{site}/report/{kind}`
pub(super) async fn report(
    (State(app), signed): In,
    Path((site, kind)): Path<(String, String)>,
    Query(asked): Query_,
) -> Answer {
    let site: SiteId = id(&site)?;
    let kind = Kind::from_key(&kind).ok_or(PageWrong::Nothing)?;
    let wanted = wanted(kind, &asked)?;
    let tongue = tongue(&asked);
    let acting = signed.acting.clone();
    let found = on_hub(&app, move |hub, _| {
        let named = hub.access().firm().map_err(|wrong| turned(wrong.into()))?;
        Ok((model(hub, &acting, site, wanted)?, !named.name.is_empty()))
    });
    let (found, named) = found.await?;
    let model = found.ok_or(PageWrong::Nothing)?.map_err(|wrong| lacks(&wrong))?;
    let name = format!("{}-{}", kind.key(), tongue.language.key());
    let face = asked.get("face").map_or("", String::as_str);
    if let Some(file) = as_file(&model, tongue, face, asked.get("paper"), &name).await? {
        return Ok(file);
    }
    let asked = Asked {
        site: site.to_string(),
        kind: kind.key().to_owned(),
        rest: asked
            .into_iter()
            .filter(|(name, _)| matches!(name.as_str(), "visit" | "unit" | "question" | "next"))
            .collect(),
        language: tongue.language.key().to_owned(),
        units: if tongue.system == System::Si { "si" } else { "us" }.to_owned(),
        narrow: kind.narrow(),
        named,
    };
    let report = model.report(tongue);
    let paper = Paper { title: report.title.clone(), body: face::page::body(&report) };
    Ok(shown(pages::report::report(&signed.chrome, &asked, &paper)))
}

/// A report as a file, where its address asks for one.
pub(super) async fn as_file(
    model: &Model,
    tongue: Tongue,
    face: &str,
    paper: Option<&String>,
    name: &str,
) -> Result<Option<Response>, PageWrong> {
    Ok(match face {
        "text" => {
            let text = face::terminal::text(&model.report(tongue));
            Some(attached("text/plain; charset=utf-8", &format!("{name}.txt"), text.into_bytes()))
        }
        "pdf" => {
            let bytes = pdf(model, tongue, paper.map_or("", String::as_str)).await?;
            Some(attached("application/pdf", &format!("{name}.pdf"), bytes))
        }
        _ => None,
    })
}

#[cfg(feature = "pdf")]
async fn pdf(model: &Model, tongue: Tongue, paper: &str) -> Result<Vec<u8>, PageWrong> {
    use reports::face::paper::{self, Paper};
    let paper = match paper {
        "a4" => Paper::A4,
        "letter" => Paper::Letter,
        "roll58" => Paper::Roll58,
        "roll80" => Paper::Roll80,
        _ if model.kind().narrow() => Paper::Roll58,
        _ => Paper::Letter,
    };
    let report = model.report(tongue);
    // The typesetter takes a whole core for a while: beside the network's threads, few at a time.
    let made = super::doors::heavy(move || paper::pdf(&report, paper)).await?;
    made.map_err(|wrong| PageWrong::Typed(wrong.to_string()))
}

#[cfg(not(feature = "pdf"))]
#[expect(clippy::unused_async, reason = "the same as with the typesetter")]
async fn pdf(_model: &Model, _tongue: Tongue, _paper: &str) -> Result<Vec<u8>, PageWrong> {
    let words = "this hub was built without the typesetter; print the page, or build the hub with \
                 the feature pdf";
    Err(PageWrong::Lacks(words.to_owned()))
}

/// A file to keep: no browser shows or runs it.
fn attached(kind: &'static str, name: &str, bytes: Vec<u8>) -> Response {
    let disposition = format!("attachment; filename=\"{name}\"");
    let disposition =
        HeaderValue::from_str(&disposition).expect("names are letters, digits and hyphens");
    let kind = HeaderValue::from_static(kind);
    ([(header::CONTENT_TYPE, kind), (header::CONTENT_DISPOSITION, disposition)], bytes)
        .into_response()
}

/// `GET /review/sites/{site}/visits/{visit}/export/{what}`
pub(super) async fn export(
    (State(app), signed): In,
    Path((site, visit, what)): Path<(String, String, String)>,
    Query(asked): Query_,
) -> Answer {
    let (site, visit) = place((site, visit))?;
    let acting = signed.acting.clone();
    let found = on_hub(&app, move |hub, _| {
        if !hub.may_see(&acting, site) {
            return Ok(None);
        }
        in_records(hub, site, |gatherer| gatherer.record(site, visit)).map(Some)
    });
    let record = found.await?.ok_or(PageWrong::Nothing)?.map_err(|wrong| lacks(&wrong))?;
    let tongue = tongue(&asked);
    let csv = "text/csv; charset=utf-8";
    let today = Moment { secs: app.now(), offset_min: 0 }.day();
    let lines = || line::lines(&record, tongue);
    let open = || open::open(&record, today);
    let pretty = |value: &serde_json::Value| format!("{value:#}\n").into_bytes();
    let (kind, bytes) = match what.as_str() {
        "lines.csv" => (csv, table::csv(&line::table(&lines())).into_bytes()),
        "lines.json" => ("application/json", pretty(&line::json(&lines()))),
        "open.csv" => (csv, table::csv(&open::table(&open())).into_bytes()),
        "open.json" => ("application/json", pretty(&open::json(&open(), today))),
        "visit.json" => ("application/json", pretty(&whole::json(&record, tongue))),
        _ => return Err(PageWrong::Nothing),
    };
    Ok(attached(kind, &what, bytes))
}

/// `POST /review/firm`
pub(super) async fn firm(Posted { app, signed, headers, form }: Posted) -> Answer {
    let cut = |text: &str| text.chars().take(200).collect::<String>();
    let name = cut(&form.words("name", "the firm's name")?);
    let phone = Some(cut(form.get("phone"))).filter(|phone| !phone.is_empty());
    let person = signed.acting.person;
    on_hub(&app, move |hub, now| {
        let noted = hub.access().put_firm(&FirmNamed { name, phone });
        let noted = noted.and_then(|()| hub.access().note(now, Some(person), "named the firm", ""));
        noted.map_err(|wrong| turned(wrong.into()))
    })
    .await?;
    let back = super::doors::back(&headers);
    Ok(Redirect::to(&back).into_response())
}

/// Nothing of the state but its type is needed to build addresses.
pub(super) fn link(headers: &HeaderMap, app: &Shared, token: &str) -> String {
    format!("{}/shared/{token}", super::people::origin(headers, app.rules.tls))
}
