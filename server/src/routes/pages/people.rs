//! People, devices, one-time codes, revoking, and what was done.

use std::collections::BTreeMap;

use axum::extract::{Query, State};
use axum::http::{HeaderMap, StatusCode, header};
use axum::response::{IntoResponse, Redirect};
use client_core::device::standing;
use client_core::exchange::office::{Order, OrderReply};
use client_core::record::code::Role;
use client_core::record::doc_id::{DocId, DocKind};
use client_core::record::id::{DeviceId, PersonId, SiteId, encode};
use client_core::record::value::Moment;

use super::form::Posted;
use super::look::turned;
use super::session::Signed;
use super::wrong::PageWrong;
use super::{Answer, In, Shared, on_hub, shown};
use crate::access::word::Word;
use crate::hub::{Acting, Hub, Turn};
use crate::log::check::{Fault, check};
use crate::pages;
use crate::pages::audit::Verified;
use crate::pages::part::{unit_path, visit_path};
use crate::review::Named;
use crate::review::difference::at;
use crate::review::people::{People, Refused, instruments, people as lay_out};
use crate::routes::refusal::Refusal;
use crate::worker::Wrong;

/// Lines of the audit that are shown.
const LINES: usize = 500;

pub(super) fn model(hub: &mut Hub, now: i64, acting: &Acting) -> Result<People, Wrong> {
    let sites = hub.sites_seen(acting).map_err(turned)?;
    let named: Vec<(SiteId, Named)> = sites
        .into_iter()
        .map(|(id, row)| (id, Named::new(id, row.name.unwrap_or_else(|| id.short()))))
        .collect();
    let devices = match hub.order_of(now, acting, Order::Devices).map_err(turned)? {
        OrderReply::Devices(rows) => rows,
        _ => vec![],
    };
    let mut found = lay_out(now, &hub.names().map_err(turned)?, devices, &named);
    let firm = hub.access().firm().map_err(turned)?;
    let today = Moment { secs: now, offset_min: 0 }.day();
    let company = hub.company_doc();
    let company = hub.doc_seen(acting, company).map_err(turned)?;
    found.instruments = company.map(|own| instruments(&own.read, today)).unwrap_or_default();
    found.firm = (firm.name, firm.phone.unwrap_or_default());
    Ok(found)
}

/// `GET /review/people`
pub(super) async fn people((State(app), signed): In) -> Answer {
    page(&app, signed, None).await
}

async fn page(app: &Shared, signed: Signed, wrong: Option<&str>) -> Answer {
    let acting = signed.acting.clone();
    let all = on_hub(app, move |hub, now| model(hub, now, &acting)).await?;
    Ok(shown(pages::people::people(&signed.chrome, &all, wrong)))
}

/// Carries an order out; what the hub refuses is said on the page.
async fn ordered(app: &Shared, signed: &Signed, order: Order) -> Result<OrderReply, PageWrong> {
    let acting = signed.acting.clone();
    let reply = on_hub(app, move |hub, now| match hub.order_of(now, &acting, order) {
        Ok(reply) => Ok(Some(reply)),
        Err(Turn::Role) => Ok(None),
        Err(wrong) => Err(Wrong::Turn(wrong)),
    });
    reply.await?.ok_or(PageWrong::Role("only a supervisor gives or takes these rights"))
}

/// `POST /review/people/code`
pub(super) async fn code(Posted { app, signed, headers, form }: Posted) -> Answer {
    let person: Option<PersonId> = form.id("person")?;
    let role = Role::from_key(form.get("role"))
        .ok_or_else(|| PageWrong::Typed("choose a role".to_owned()))?;
    let sites: Result<Vec<SiteId>, PageWrong> = form
        .all("site")
        .map(|site| site.parse().map_err(|_| PageWrong::Typed(format!("'{site}' is no site"))))
        .collect();
    let sites = sites?;
    let every = form.get("every") == "yes";
    if !every && sites.is_empty() {
        let says = "Choose the sites, or every site.";
        let mut page = page(&app, signed, Some(says)).await?;
        *page.status_mut() = StatusCode::UNPROCESSABLE_ENTITY;
        return Ok(page);
    }
    within_own(&signed.acting, &sites, every)?;
    let sites = (!every).then_some(sites);
    match ordered(&app, &signed, Order::NewCode { person, role, sites }).await? {
        OrderReply::Code { code, token, until } => {
            let link = format!("{}/join#{token}", origin(&headers, app.rules.tls));
            let until = Moment { secs: until, offset_min: 0 }.clock();
            Ok(shown(pages::people::code(&signed.chrome, &code, &link, &until)))
        }
        OrderReply::Refused(words) => Err(PageWrong::Typed(words)),
        OrderReply::Done | OrderReply::Devices(_) => Err(PageWrong::Nothing),
    }
}

/// Nobody gives more sites than they have.
fn within_own(acting: &Acting, sites: &[SiteId], every: bool) -> Result<(), PageWrong> {
    let Some(own) = &acting.sites else { return Ok(()) };
    if every || sites.iter().any(|site| !own.contains(site)) {
        return Err(PageWrong::Role(
            "a code for more sites than your own is given by somebody who has them",
        ));
    }
    Ok(())
}

/// Where the browser reaches this hub: as it says itself.
pub(super) fn origin(headers: &HeaderMap, tls: bool) -> String {
    let text = |name| headers.get(name).and_then(|value| value.to_str().ok());
    match text(header::ORIGIN).filter(|origin| origin.contains("://")) {
        Some(origin) => origin.to_owned(),
        None => {
            let scheme = if tls { "https" } else { "http" };
            format!("{scheme}://{}", text(header::HOST).unwrap_or("localhost"))
        }
    }
}

/// `POST /review/people/revoke`
pub(super) async fn revoke(Posted { app, signed, form, .. }: Posted) -> Answer {
    signed.supervises()?;
    let device: DeviceId =
        form.id("device")?.ok_or_else(|| PageWrong::Typed("no device is named".to_owned()))?;
    let reason = form.words("reason", "the reason")?;
    match ordered(&app, &signed, Order::Revoke { device, reason }).await? {
        OrderReply::Refused(words) => {
            let mut page = page(&app, signed, Some(&pages::part::sentence(&words))).await?;
            *page.status_mut() = StatusCode::UNPROCESSABLE_ENTITY;
            Ok(page)
        }
        _ => Ok(Redirect::to("/review/people").into_response()),
    }
}

/// `GET /review/quarantine`
pub(super) async fn quarantine((State(app), signed): In) -> Answer {
    let acting = signed.acting.clone();
    let all = on_hub(&app, move |hub, _| {
        let sites: BTreeMap<SiteId, Named> = hub
            .sites_seen(&acting)
            .map_err(turned)?
            .into_iter()
            .map(|(id, row)| (id, Named::new(id, row.name.unwrap_or_else(|| id.short()))))
            .collect();
        let read = hub.view_mut().store().read().map_err(turned)?;
        let all = standing::quarantine(&read).map_err(turned)?;
        let names = hub.names().map_err(turned)?;
        let named = |person: PersonId| {
            let name = names.get(&person).and_then(|row| row.name.clone());
            Named::new(person, name.unwrap_or_else(|| person.short()))
        };
        let mut lines = vec![];
        for (site, change, one) in all {
            let Some(site_named) = sites.get(&site) else { continue };
            let (what, path) = place_of(site, &one.doc);
            let device = one.device.and_then(|device| hub.access().device(device));
            let word = hub.access().word(site, &change).map_err(turned)?;
            let said_at = |secs| at(Moment { secs, offset_min: 0 });
            lines.push(Refused {
                site: site_named.clone(),
                what,
                path,
                reason: one.reason,
                words: one.words,
                change: encode(&change),
                person: device.map(|device| named(device.certificate.person)),
                word: word.map(|word| (word.says, named(word.by), said_at(word.at))),
            });
        }
        // What nobody has said a word on comes first.
        lines.sort_by_key(|line| line.word.is_some());
        Ok(lines)
    })
    .await?;
    Ok(shown(pages::quarantine::quarantine(&signed.chrome, &all)))
}

/// `POST /review/quarantine/word`
pub(super) async fn word(Posted { app, signed, form, .. }: Posted) -> Answer {
    signed.supervises()?;
    let site: SiteId =
        form.id("site")?.ok_or_else(|| PageWrong::Typed("no site is named".to_owned()))?;
    let says = form.words("reason", "the word on it")?;
    let (acting, named) = (signed.acting.clone(), form.get("change").to_owned());
    let done = on_hub(&app, move |hub, now| {
        if !hub.may_see(&acting, site) {
            return Ok(None);
        }
        let read = hub.view_mut().store().read().map_err(turned)?;
        let all = standing::quarantine(&read).map_err(turned)?;
        drop(read);
        let mut own = all.into_iter().filter(|(at, _, _)| *at == site);
        let Some((_, change, _)) = own.find(|(_, change, _)| encode(change) == named) else {
            return Ok(Some(false));
        };
        if hub.access().word(site, &change).map_err(turned)?.is_some() {
            return Ok(Some(false));
        }
        let words = format!("{}: {says}", named.chars().take(10).collect::<String>());
        let word = Word { by: acting.person, at: now, says };
        hub.access().put_word(site, &change, &word).map_err(turned)?;
        let what = "said what became of a refused change";
        hub.access().note(now, Some(acting.person), what, &words).map_err(turned)?;
        Ok(Some(true))
    });
    match done.await?.ok_or(PageWrong::Nothing)? {
        true => Ok(Redirect::to("/review/quarantine").into_response()),
        false => {
            let says = "this change is not there, or somebody has said a word on it already";
            Err(PageWrong::Moved(says.to_owned()))
        }
    }
}

/// What kind of document it is, and where it is shown.
fn place_of(site: SiteId, doc: &[u8]) -> (String, Option<String>) {
    let Ok(doc) = DocId::from_bytes(site, doc) else {
        return ("a document whose name cannot be read".to_owned(), None);
    };
    let site = site.to_string();
    match doc.kind {
        DocKind::Company => ("the company's own document".to_owned(), None),
        DocKind::Site => ("the site".to_owned(), Some(format!("/review/sites/{site}"))),
        DocKind::Appliance(unit) => {
            ("a unit".to_owned(), Some(unit_path(&site, &unit.to_string())))
        }
        DocKind::Visit(visit) | DocKind::Sheet(visit, _) => {
            ("a visit".to_owned(), Some(visit_path(&site, &visit.to_string())))
        }
    }
}

/// `GET /review/audit`; with `verify=yes` every arrival of the hub's log is checked against its signature.
pub(super) async fn audit(
    (State(app), signed): In,
    Query(asked): Query<BTreeMap<String, String>>,
) -> Answer {
    let verified = match asked.get("verify").map(String::as_str) {
        Some("yes") => Some(verify(&app).await?),
        _ => None,
    };
    let (rows, whole) = on_hub(&app, move |hub, _| {
        let names = hub.names().map_err(turned)?;
        let (lines, whole) =
            hub.access().audit(LINES).map_err(|wrong| turned(Turn::from(wrong)))?;
        let rows = lines.into_iter().map(|line| {
            let who = line.who.map_or_else(String::new, |who| {
                let known = names.get(&who).and_then(|row| row.name.clone());
                known.unwrap_or_else(|| who.short())
            });
            (at(Moment { secs: line.at, offset_min: 0 }), who, line.what, line.to)
        });
        Ok((rows.collect::<Vec<_>>(), whole))
    })
    .await?;
    Ok(shown(pages::audit::audit(&signed.chrome, &rows, whole, verified.as_ref())))
}

/// Checks the whole log as it stands now, beside the hub's thread: what arrives meanwhile does not wait.
async fn verify(app: &Shared) -> Result<Verified, PageWrong> {
    let store = on_hub(app, |hub, _| Ok(hub.access().store())).await?;
    super::doors::heavy(move || {
        let read = store.read().map_err(|wrong| Refusal::Worker(turned(wrong)))?;
        match check(&read) {
            Err(Fault::Store(wrong)) => Err(PageWrong::Refusal(Refusal::Worker(turned(wrong)))),
            Err(fault) => Ok(Err(fault.to_string())),
            Ok(found) => Ok(Ok((found.sites, found.deliveries, found.devices))),
        }
    })
    .await?
}
