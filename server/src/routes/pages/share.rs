//! Links that show a customer's report, made and ended here, opened by whoever has one.

use axum::extract::{Path, Query, State};
use axum::http::{HeaderMap, HeaderName, HeaderValue};
use axum::response::{IntoResponse, Redirect};
use client_core::record::value::Moment;
use reports::gather::Wanted;
use reports::{Language, Tongue, face};

use super::form::Posted;
use super::look::place;
use super::report::{Query_, as_file, gathered, lacks, link, system};
use super::session::let_in;
use super::wrong::PageWrong;
use super::{Answer, Shared, on_hub, shown};
use crate::access::share::{Share, TOKEN_BYTES};
use crate::pages;
use crate::pages::part::visit_path;
use crate::pages::report::Paper;
use crate::routes::Peer;
use crate::worker::Wrong;

/// Days that a link may be good for.
pub(super) const DAYS: [i64; 3] = [7, 30, 90];
const DAY_S: i64 = 86_400;

/// `POST /review/sites/{site}/visits/{visit}/share`
pub(super) async fn share(
    Path(path): Path<(String, String)>,
    Posted { app, signed, headers, form }: Posted,
) -> Answer {
    let (site, visit) = place(path)?;
    let days = DAYS.into_iter().find(|days| form.get("days") == days.to_string());
    let days = days.ok_or_else(|| PageWrong::Typed("choose 7, 30 or 90 days".to_owned()))?;
    let language = Language::from_key(form.get("lang"))
        .ok_or_else(|| PageWrong::Typed("choose a language".to_owned()))?;
    let units = if form.get("units") == "si" { "si" } else { "us" };
    let acting = signed.acting.clone();
    let made = on_hub(&app, move |hub, now| {
        let released = match hub.visit_seen(&acting, site, visit).map_err(Wrong::Turn)? {
            None => return Ok(None),
            Some(opened) => opened.file().signed().released,
        };
        if !released {
            return Ok(Some(None));
        }
        let share = Share {
            site,
            visit,
            language: language.key().to_owned(),
            units: units.to_owned(),
            by: acting.person,
            made: now,
            until: now + days * DAY_S,
            ended: None,
        };
        let mut random = [0; TOKEN_BYTES];
        hub.fill(&mut random);
        let token = hub.access().new_share(&share, &random);
        let words = format!("visit {visit}, for {days} days");
        let noted = token.and_then(|token| {
            hub.access().note(now, Some(acting.person), "shared a report", &words)?;
            Ok((token, share.until))
        });
        Ok(Some(Some(noted.map_err(|wrong| Wrong::Turn(wrong.into()))?)))
    });
    let made = made.await?.ok_or(PageWrong::Nothing)?;
    let (token, until) = made.ok_or_else(|| {
        PageWrong::Typed(
            "no supervisor has signed this visit; a customer is shown what somebody answers for"
                .to_owned(),
        )
    })?;
    let link = link(&headers, &app, &token);
    let until = Moment { secs: until, offset_min: 0 }.day().to_string();
    let back = visit_path(&site.to_string(), &visit.to_string());
    Ok(shown(pages::report::link(&signed.chrome, &link, &until, &back)))
}

/// `POST /review/sites/{site}/visits/{visit}/unshare`
pub(super) async fn unshare(
    Path(path): Path<(String, String)>,
    Posted { app, signed, form, .. }: Posted,
) -> Answer {
    let (site, visit) = place(path)?;
    let name = form.get("share").to_owned();
    let acting = signed.acting.clone();
    let ended = on_hub(&app, move |hub, now| {
        if !hub.may_see(&acting, site) {
            return Ok(None);
        }
        let ended = hub.access().end_share(now, (site, visit), &name);
        let ended = ended.map_err(|wrong| Wrong::Turn(wrong.into()))?;
        if ended {
            let words = format!("visit {visit}");
            let noted = hub.access().note(now, Some(acting.person), "ended a link", &words);
            noted.map_err(|wrong| Wrong::Turn(wrong.into()))?;
        }
        Ok(Some(ended))
    });
    match ended.await?.ok_or(PageWrong::Nothing)? {
        true => {
            let back = visit_path(&site.to_string(), &visit.to_string());
            Ok(Redirect::to(&format!("{back}#reports")).into_response())
        }
        false => Err(PageWrong::Moved("this link has ended already".to_owned())),
    }
}

/// `GET /shared/{token}`
pub(super) async fn shared(
    State(app): State<Shared>,
    peer: Peer,
    headers: HeaderMap,
    Path(token): Path<String>,
    Query(asked): Query_,
) -> Answer {
    let (_slot, sender) = let_in(&app, &peer, &headers)?;
    let found = on_hub(&app, move |hub, now| {
        let share = hub.access().share(&token).map_err(|wrong| Wrong::Turn(wrong.into()))?;
        let Some(share) = share.filter(|share| share.opens(now)) else { return Ok(None) };
        // Whoever made the link may have lost their rights; the link was the firm's, and ends by its day.
        let released = hub.released(share.site, share.visit).map_err(Wrong::Turn)?;
        if !released {
            return Ok(Some((share, None)));
        }
        let model = gathered(hub, share.site, Wanted::Customer(share.visit))?;
        Ok(Some((share, Some(model))))
    });
    let Some((share, model)) = found.await? else {
        app.strangers().count(app.now().saturating_mul(1_000), &sender, 0);
        let says =
            "this link has ended or was not copied whole; ask the firm that sent it for a new one";
        return Err(PageWrong::Lacks(says.to_owned()));
    };
    let model = model.ok_or_else(|| {
        PageWrong::Lacks(
            "the firm has opened this visit again; its report stands here when it is signed anew"
                .to_owned(),
        )
    })?;
    let model = model.map_err(|wrong| lacks(&wrong))?;
    let language = Language::from_key(&share.language).unwrap_or(Language::English);
    let tongue = Tongue::new(language, system(&share.units));
    let face = asked.get("face").map_or("", String::as_str);
    let file = as_file(&model, tongue, face, asked.get("paper"), "report").await?;
    let mut answer = file.unwrap_or_else(|| {
        let report = model.report(tongue);
        let paper = Paper { title: report.title.clone(), body: face::page::body(&report) };
        shown(pages::report::shared(language.key(), &paper))
    });
    let name = HeaderName::from_static("x-robots-tag");
    answer.headers_mut().insert(name, HeaderValue::from_static("noindex, nofollow"));
    Ok(answer)
}
