//! What is done on a visit's pages: settling, signing, excepting, opening again, asking.

use axum::RequestExt;
use axum::extract::{FromRequest, Path, Request};
use axum::response::{IntoResponse, Redirect};
use client_core::device::Opened;
use client_core::record::action::Action;
use client_core::record::body::{Exception, Query, Reopen, Vouch};
use client_core::record::contradiction::Contradiction;
use client_core::record::deed::{self, Deed};
use client_core::record::doc_id::{DocId, DocKind};
use client_core::record::file::Papers;
use client_core::record::id::{ApplianceId, EntryId, PersonId, SiteId, VisitId};

use super::form::{Form, Posted};
use super::look::{place, removed_of, settle_page};
use super::session::Signed;
use super::wrong::{PageWrong, done};
use super::{Answer, Shared, on_hub};
use crate::pages::part::visit_path;
use crate::review::difference::{key_fits, table, unit_of, value_of};
use crate::review::visit::shown;
use crate::worker::Wrong;

type Place = (SiteId, VisitId);

/// What is made of a visit as it stands when the form is taken.
type Made = Result<Deed, PageWrong>;

/// A form about a visit.
pub(super) struct VisitForm {
    app: Shared,
    signed: Signed,
    place: Place,
    form: Form,
}

impl FromRequest<Shared> for VisitForm {
    type Rejection = PageWrong;

    async fn from_request(mut request: Request, app: &Shared) -> Result<VisitForm, PageWrong> {
        let path = request.extract_parts::<Path<(String, String)>>().await;
        let Path(path) = path.map_err(|_| PageWrong::Nothing)?;
        let posted: Posted = Posted::from_request(request, app).await?;
        let Posted { app, signed, form, .. } = posted;
        Ok(VisitForm { app, signed, place: place(path)?, form })
    }
}

impl VisitForm {
    /// Takes a deed: made of the visit as it stands now, carried out at once. The hub does one thing at a
    /// time, so nothing comes between.
    async fn act(
        &self,
        make: impl FnOnce(&Opened<'_>) -> Made + Send + 'static,
    ) -> Result<(), PageWrong> {
        let (site, visit) = self.place;
        let acting = self.signed.acting.clone();
        let moment = self.form.moment(self.app.now());
        let outcome = on_hub(&self.app, move |hub, _| {
            let made = match hub.visit_seen(&acting, site, visit).map_err(Wrong::Turn)? {
                None => Err(PageWrong::Nothing),
                Some(opened) => make(&opened),
            };
            match made {
                Ok(deed) => done(hub.act(&acting, moment, &deed).map(drop)),
                Err(wrong) => Ok(Err(wrong)),
            }
        });
        outcome.await?
    }

    /// The same, then back to the visit's page.
    async fn acted(self, make: impl FnOnce(&Opened<'_>) -> Made + Send + 'static) -> Answer {
        self.act(make).await?;
        Ok(back(self.place))
    }

    /// An entry that the form has to name.
    fn entry(&self, missing: &str) -> Result<EntryId, PageWrong> {
        self.form.id("entry")?.ok_or_else(|| PageWrong::Typed(missing.to_owned()))
    }
}

/// Back to the visit's page.
fn back((site, visit): Place) -> axum::response::Response {
    Redirect::to(&visit_path(&site.to_string(), &visit.to_string())).into_response()
}

/// `POST .../settle`
pub(super) async fn settle(on: VisitForm) -> Answer {
    on.signed.supervises()?;
    let (form, place) = (&on.form, on.place);
    let key = form.get("key").to_owned();
    let unit: Option<ApplianceId> = form.id("unit")?;
    if key.starts_with("removed/") {
        return merge(on, (key, unit)).await;
    }
    let wish = Wish {
        key: key.clone(),
        unit,
        table: form.get("table").to_owned(),
        chosen: form.get("chosen").to_owned(),
        reason: form.get("reason").replace("\r\n", "\n"),
    };
    match on.act(move |opened| wish.made(opened, place)).await {
        Ok(()) => Ok(back(place)),
        Err(wrong @ (PageWrong::Typed(_) | PageWrong::Refused(_) | PageWrong::Moved(_))) => {
            let (says, status) = (wrong.sentence(), wrong.status());
            let page = settle_page(&on.app, on.signed, place, (key, unit), Some(&says)).await;
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
async fn merge(on: VisitForm, (key, unit): (String, Option<ApplianceId>)) -> Answer {
    let VisitForm { app, signed, place, form } = on;
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
    let outcome = on_hub(&app, move |hub, _| {
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
        done(hub.act(&acting, moment, &steps).map(drop))
    });
    match outcome.await? {
        Ok(()) => Ok(back(place)),
        Err(wrong @ PageWrong::Refused(_)) => {
            let (says, status) = (wrong.sentence(), wrong.status());
            let mut page = settle_page(&app, signed, place, (key, unit), Some(&says)).await?;
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
pub(super) async fn sign(on: VisitForm) -> Answer {
    on.signed.supervises()?;
    let seen = on.form.get("shown").to_owned();
    let statement =
        Some(on.form.get("statement").replace("\r\n", "\n")).filter(|own| !own.is_empty());
    let role = on.signed.acting.role;
    on.acted(move |opened| {
        let file = opened.file();
        let signing = deed::sign_off(&file, role, statement)?;
        if shown(&file) != seen {
            let says = "something has arrived since the page was shown; nothing was signed, look \
                        again and sign what stands there then";
            return Err(PageWrong::Moved(says.to_owned()));
        }
        Ok(signing)
    })
    .await
}

/// `POST .../except`
pub(super) async fn except(on: VisitForm) -> Answer {
    on.signed.supervises()?;
    let (blocker, reason) =
        (on.form.get("blocker").to_owned(), on.form.words("reason", "the reason")?);
    let place = on.place;
    on.acted(move |opened| {
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
    .await
}

fn on_head((site, visit): Place, action: Action) -> Deed {
    vec![(DocId::new(site, DocKind::Visit(visit)), action)]
}

/// `POST .../vouch`
pub(super) async fn vouch(on: VisitForm) -> Answer {
    on.signed.supervises()?;
    let reason = on.form.words("reason", "the reason")?;
    let last = on.entry("no entry is named")?;
    on.acted(move |opened| {
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
    .await
}

/// `POST .../reopen`
pub(super) async fn reopen(on: VisitForm) -> Answer {
    on.signed.supervises()?;
    let reason = on.form.words("reason", "the reason")?;
    let sign_off = on.entry("no signature is named")?;
    let place = on.place;
    on.acted(move |opened| {
        let standing = opened.file().signed().sign_offs;
        if !standing.iter().any(|(id, _, _)| *id == sign_off) {
            return Err(PageWrong::Moved("this signature does not stand any more".to_owned()));
        }
        Ok(on_head(place, Action::Enter(vec![Reopen { sign_off, reason }.into()])))
    })
    .await
}

/// `POST .../query`
pub(super) async fn query(on: VisitForm) -> Answer {
    let text = on.form.words("text", "the question")?;
    let appliance: Option<ApplianceId> = on.form.id("unit")?;
    let to: Option<PersonId> = on.form.id("to")?;
    let place = on.place;
    on.acted(move |opened| {
        if appliance.is_some_and(|unit| opened.file().unit(unit).is_none()) {
            return Err(PageWrong::Typed("the unit does not belong to this visit".to_owned()));
        }
        let query = Query { text, appliance, about: None, to };
        Ok(on_head(place, Action::Enter(vec![query.into()])))
    })
    .await
}
