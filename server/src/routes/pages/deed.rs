//! What is done on a visit's pages: settling, signing, excepting, opening again, asking.

use axum::body::Body;
use axum::extract::{Path, State};
use axum::http::HeaderMap;
use axum::response::{IntoResponse, Redirect};
use client_core::device::Opened;
use client_core::record::action::Action;
use client_core::record::body::{Exception, Query, Reopen, Vouch};
use client_core::record::contradiction::Contradiction;
use client_core::record::deed::{self, Deed};
use client_core::record::doc_id::{DocId, DocKind};
use client_core::record::file::Papers;
use client_core::record::id::{ApplianceId, EntryId, PersonId, SiteId, VisitId};

use super::form::{self, Form};
use super::look::{place, removed_of, settle_page};
use super::session::Signed;
use super::wrong::PageWrong;
use super::{Answer, In, Shared, on_hub};
use crate::hub::DeedWrong;
use crate::pages::part::visit_path;
use crate::review::difference::{key_fits, table, unit_of, value_of};
use crate::review::visit::shown;
use crate::worker::Wrong;

type Place = (SiteId, VisitId);

/// What is made of a visit as it stands when the form is taken.
type Made = Result<Deed, PageWrong>;

/// Takes a deed on a visit: made of the visit as it stands now, carried out at once. The hub does one thing
/// at a time, so nothing comes between.
async fn on_visit(
    app: &Shared,
    signed: &Signed,
    (site, visit): Place,
    form: &Form,
    make: impl FnOnce(&Opened<'_>) -> Made + Send + 'static,
) -> Result<(), PageWrong> {
    let acting = signed.acting.clone();
    let moment = form.moment(app.now());
    let outcome = on_hub(app, move |hub, _| {
        let made = match hub.visit_seen(&acting, site, visit).map_err(Wrong::Turn)? {
            None => Err(PageWrong::Nothing),
            Some(opened) => make(&opened),
        };
        let done = match made {
            Ok(deed) => hub.act(&acting, moment, &deed).map(drop),
            Err(wrong) => return Ok(Err(wrong)),
        };
        match done {
            Err(DeedWrong::Turn(turn)) if !matches!(turn, crate::hub::Turn::Role) => {
                Err(Wrong::Turn(turn))
            }
            done => Ok(done.map_err(PageWrong::from)),
        }
    });
    outcome.await?
}

/// Back to the visit's page.
fn back((site, visit): Place) -> axum::response::Response {
    Redirect::to(&visit_path(&site.to_string(), &visit.to_string())).into_response()
}

/// `POST .../settle`
pub(super) async fn settle(
    (State(app), signed): In,
    Path(path): Path<(String, String)>,
    headers: HeaderMap,
    body: Body,
) -> Answer {
    let place = place(path)?;
    let form = form::of(&app, &signed, &headers, body).await?;
    signed.supervises()?;
    let key = form.get("key").to_owned();
    let unit: Option<ApplianceId> = form.id("unit")?;
    if key.starts_with("removed/") {
        return merge(&app, signed, place, &form, (key, unit)).await;
    }
    let wish = Wish {
        key: key.clone(),
        unit,
        table: form.get("table").to_owned(),
        chosen: form.get("chosen").to_owned(),
        reason: form.get("reason").replace("\r\n", "\n"),
    };
    let done = on_visit(&app, &signed, place, &form, move |opened| wish.made(opened, place)).await;
    match done {
        Ok(()) => Ok(back(place)),
        Err(wrong @ (PageWrong::Typed(_) | PageWrong::Refused(_) | PageWrong::Moved(_))) => {
            let (says, status) = (wrong.sentence(), wrong.status());
            let page = settle_page(&app, signed, place, (key, unit), Some(&says)).await;
            // What is gone altogether has no page of its own any more: the sentence alone says so.
            let mut page = page.map_err(|_| wrong)?;
            *page.status_mut() = status;
            Ok(page)
        }
        Err(wrong) => Err(wrong),
    }
}

/// Settles what a unit is that was taken off the roster although there is evidence for it: another unit
/// under a wrong number, or a unit by itself.
async fn merge(
    app: &Shared,
    signed: Signed,
    place: Place,
    form: &Form,
    (key, unit): (String, Option<ApplianceId>),
) -> Answer {
    let site = place.0;
    let reason = form.words("reason", "the reason")?;
    let into: Option<ApplianceId> = match form.get("chosen") {
        "alone" => None,
        _ => Some(form.id("into")?.ok_or_else(|| {
            PageWrong::Typed("choose the unit that the entries belong to".to_owned())
        })?),
    };
    if into.is_some() && into == unit {
        let says = "a unit is not merged into itself; choose another one";
        return Err(PageWrong::Typed(says.to_owned()));
    }
    let (acting, moment) = (signed.acting.clone(), form.moment(app.now()));
    let (on_table, asked) = (form.get("table").to_owned(), key.clone());
    let outcome = on_hub(app, move |hub, _| {
        let all = removed_of(hub, &acting, place)?;
        let Some(one) = all.iter().find(|one| one.key() == asked && table(one) == on_table) else {
            let says = "nothing of this kind waits any more; somebody has settled it";
            return Ok(Err(PageWrong::Moved(says.to_owned())));
        };
        let mut steps: Deed = match (unit, into) {
            (Some(from), Some(into)) => deed::merge_units(site, from, into, &reason),
            _ => vec![],
        };
        let settled = deed::settle(one, None, true, &reason);
        steps.extend(settled.map(|action| (DocId::new(site, DocKind::Site), action)));
        match hub.act(&acting, moment, &steps) {
            Err(DeedWrong::Turn(turn)) if !matches!(turn, crate::hub::Turn::Role) => {
                Err(Wrong::Turn(turn))
            }
            done => Ok(done.map(drop).map_err(PageWrong::from)),
        }
    });
    match outcome.await? {
        Ok(()) => Ok(back(place)),
        Err(wrong @ PageWrong::Refused(_)) => {
            let (says, status) = (wrong.sentence(), wrong.status());
            let mut page = settle_page(app, signed, place, (key, unit), Some(&says)).await?;
            *page.status_mut() = status;
            Ok(page)
        }
        Err(wrong) => Err(wrong),
    }
}

/// What somebody wants settled, as the page showed it.
struct Wish {
    key: String,
    unit: Option<ApplianceId>,
    table: String,
    chosen: String,
    reason: String,
}

impl Wish {
    fn made(&self, opened: &Opened<'_>, (site, visit): Place) -> Made {
        let file = opened.file();
        let all = file.contradictions();
        let fits = |one: &&Contradiction| key_fits(one, &self.key) && unit_of(one) == self.unit;
        let Some(one) = all.iter().find(fits) else {
            let settled = file
                .differences()
                .into_iter()
                .find(|past| key_fits(&past.about, &self.key) && unit_of(&past.about) == self.unit);
            let by = settled.and_then(|past| past.settled_by);
            let says = match by {
                Some(_) => {
                    "somebody has settled this since the page was shown; nothing was changed"
                }
                None => "this has no two answers any more; nothing was changed",
            };
            return Err(PageWrong::Moved(says.to_owned()));
        };
        if table(one) != self.table {
            let says = "another answer has come, or one has gone, since the page was shown; nothing \
                        was changed, look again";
            return Err(PageWrong::Moved(says.to_owned()));
        }
        if self.reason.is_empty() {
            return Err(PageWrong::Typed("the reason is empty; say in words why".to_owned()));
        }
        let head = DocId::new(site, DocKind::Visit(visit));
        let (doc, action) = match one {
            Contradiction::Field { doc, .. } => (*doc, self.register(one)?),
            other => {
                let two = self.chosen == "two";
                let chosen = if two { None } else { self.side(other)? };
                let action = deed::settle(other, chosen, !two, &self.reason);
                let action = action.ok_or_else(|| {
                    PageWrong::Typed("this is not settled in words; the page says how".to_owned())
                })?;
                let doc = match other {
                    Contradiction::RemovedWithEvidence { .. } => DocId::new(site, DocKind::Site),
                    other => other.doc().unwrap_or(head),
                };
                (doc, action)
            }
        };
        Ok(vec![(doc, action)])
    }

    fn register(&self, one: &Contradiction) -> Result<Action, PageWrong> {
        let chosen = self.side(one)?;
        let chosen = chosen.and_then(|chosen| value_of(one, chosen));
        let (field, value) = chosen
            .ok_or_else(|| PageWrong::Typed("choose the answer that shall govern".to_owned()))?;
        Ok(Action::Settle { field, value, reason: self.reason.clone(), evidence: vec![] })
    }

    /// The side that was chosen; none when none was.
    fn side(&self, one: &Contradiction) -> Result<Option<EntryId>, PageWrong> {
        if self.chosen.is_empty() {
            return Ok(None);
        }
        let side = one.sides().into_iter().find(|side| side.to_string() == self.chosen);
        side.map(Some)
            .ok_or_else(|| PageWrong::Typed("the chosen answer is not one of these".to_owned()))
    }
}

/// `POST .../sign`
pub(super) async fn sign(
    (State(app), signed): In,
    Path(path): Path<(String, String)>,
    headers: HeaderMap,
    body: Body,
) -> Answer {
    let place = place(path)?;
    let form = form::of(&app, &signed, &headers, body).await?;
    signed.supervises()?;
    let seen = form.get("shown").to_owned();
    let statement = Some(form.get("statement").replace("\r\n", "\n")).filter(|own| !own.is_empty());
    let role = signed.acting.role;
    on_visit(&app, &signed, place, &form, move |opened| {
        let file = opened.file();
        let signing = deed::sign_off(&file, role, statement)?;
        if shown(&file) != seen {
            let says = "something has arrived since the page was shown; nothing was signed, look \
                        again and sign what stands there then";
            return Err(PageWrong::Moved(says.to_owned()));
        }
        Ok(signing)
    })
    .await?;
    Ok(back(place))
}

/// `POST .../except`
pub(super) async fn except(
    (State(app), signed): In,
    Path(path): Path<(String, String)>,
    headers: HeaderMap,
    body: Body,
) -> Answer {
    let place = place(path)?;
    let form = form::of(&app, &signed, &headers, body).await?;
    signed.supervises()?;
    let (blocker, reason) = (form.get("blocker").to_owned(), form.words("reason", "the reason")?);
    on_visit(&app, &signed, place, &form, move |opened| {
        let file = opened.file();
        let open = file.blockers().into_iter().find(|own| own.key == blocker);
        match open {
            Some(own) if own.excepted.is_none() => {
                let exception = Exception { blocker, reason };
                Ok(on_head(place, Action::Enter(vec![exception.into()])))
            }
            Some(_) => Err(PageWrong::Moved("it has been excepted already".to_owned())),
            None => Err(PageWrong::Moved("this does not hold the sign-off any more".to_owned())),
        }
    })
    .await?;
    Ok(back(place))
}

fn on_head((site, visit): Place, action: Action) -> Deed {
    vec![(DocId::new(site, DocKind::Visit(visit)), action)]
}

/// `POST .../vouch`
pub(super) async fn vouch(
    (State(app), signed): In,
    Path(path): Path<(String, String)>,
    headers: HeaderMap,
    body: Body,
) -> Answer {
    let place = place(path)?;
    let form = form::of(&app, &signed, &headers, body).await?;
    signed.supervises()?;
    let reason = form.words("reason", "the reason")?;
    let last: EntryId =
        form.id("entry")?.ok_or_else(|| PageWrong::Typed("no entry is named".to_owned()))?;
    on_visit(&app, &signed, place, &form, move |opened| {
        let file = opened.file();
        let waits = |papers: &&Papers<'_>| {
            let mut entries = papers.read.entries.iter();
            entries
                .any(|entry| !entry.shown() && entry.id.actor == last.actor && entry.id.n <= last.n)
        };
        let docs = file.papers().filter(waits).filter_map(Papers::id);
        let vouch = |doc| {
            let own = Vouch { actor: last.actor, up_to: last.n, reason: reason.clone() };
            (doc, Action::Enter(vec![own.into()]))
        };
        let deed: Deed = docs.map(vouch).collect();
        if deed.is_empty() {
            return Err(PageWrong::Moved("these entries do not wait any more".to_owned()));
        }
        Ok(deed)
    })
    .await?;
    Ok(back(place))
}

/// `POST .../reopen`
pub(super) async fn reopen(
    (State(app), signed): In,
    Path(path): Path<(String, String)>,
    headers: HeaderMap,
    body: Body,
) -> Answer {
    let place = place(path)?;
    let form = form::of(&app, &signed, &headers, body).await?;
    signed.supervises()?;
    let reason = form.words("reason", "the reason")?;
    let sign_off: EntryId =
        form.id("entry")?.ok_or_else(|| PageWrong::Typed("no signature is named".to_owned()))?;
    on_visit(&app, &signed, place, &form, move |opened| {
        let standing = opened.file().signed().sign_offs;
        if !standing.iter().any(|(id, _, _)| *id == sign_off) {
            return Err(PageWrong::Moved("this signature does not stand any more".to_owned()));
        }
        Ok(on_head(place, Action::Enter(vec![Reopen { sign_off, reason }.into()])))
    })
    .await?;
    Ok(back(place))
}

/// `POST .../query`
pub(super) async fn query(
    (State(app), signed): In,
    Path(path): Path<(String, String)>,
    headers: HeaderMap,
    body: Body,
) -> Answer {
    let place = place(path)?;
    let form = form::of(&app, &signed, &headers, body).await?;
    let text = form.words("text", "the question")?;
    let appliance: Option<ApplianceId> = form.id("unit")?;
    let to: Option<PersonId> = form.id("to")?;
    on_visit(&app, &signed, place, &form, move |opened| {
        if appliance.is_some_and(|unit| opened.file().unit(unit).is_none()) {
            return Err(PageWrong::Typed("the unit does not belong to this visit".to_owned()));
        }
        let query = Query { text, appliance, about: None, to };
        Ok(on_head(place, Action::Enter(vec![query.into()])))
    })
    .await?;
    Ok(back(place))
}
