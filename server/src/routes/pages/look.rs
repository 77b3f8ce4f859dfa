//! Pages to look at: what waits, sites, visits, one difference.

use std::collections::BTreeMap;

use axum::extract::{Path, Query, State};
use axum::http::{HeaderValue, header};
use axum::response::IntoResponse;
use client_core::device::list;
use client_core::record::contradiction::{Contradiction, removed_with_evidence};
use client_core::record::doc_id::{DocId, DocKind};
use client_core::record::id::{ApplianceId, SiteId, VisitId};
use client_core::store::pictures::{digits, hash_of, kind_of};

use super::session::Signed;
use super::wrong::PageWrong;
use super::{Answer, In, Shared, on_hub, shown};
use crate::hub::{Acting, Hub, Turn};
use crate::pages;
use crate::review::difference::{self, Difference, in_document, in_visit, unit_of};
use crate::review::home::{SiteRows, home as lay_out};
use crate::review::search::{Found, search as search_for};
use crate::review::shared::SharedLine;
use crate::review::visit::Visit;
use crate::review::{Book, queue, visit as visits_model};
use crate::worker::Wrong;

/// Visits of a page of the list.
const PAGE: usize = 200;

pub(super) fn turned(wrong: impl Into<Turn>) -> Wrong {
    Wrong::Turn(wrong.into())
}

/// Rows of the sites that somebody may see, all or one, and the names in them.
pub(super) fn rows(
    hub: &mut Hub,
    acting: &Acting,
    only: Option<SiteId>,
) -> Result<(Vec<SiteRows>, Book), Wrong> {
    let mut sites = hub.sites_seen(acting).map_err(turned)?;
    sites.retain(|(site, _)| only.is_none_or(|only| only == *site));
    let mut book = Book::of(hub.names().map_err(turned)?);
    let read = hub.view_mut().store().read().map_err(turned)?;
    let mut found = vec![];
    for (id, row) in sites {
        let units = list::units(&read, id).map_err(turned)?;
        let visits = list::visits(&read, id).map_err(turned)?;
        book.add_site(&row, &units);
        found.push(SiteRows { id, row, units, visits });
    }
    Ok((found, book))
}

/// `GET /review`
pub(super) async fn home((State(app), signed): In) -> Answer {
    let acting = signed.acting.clone();
    let model = on_hub(&app, move |hub, _| {
        let (sites, book) = rows(hub, &acting, None)?;
        Ok(lay_out(&sites, &book))
    });
    let mut chrome = signed.chrome;
    chrome.hears = vec!["all".to_owned()];
    Ok(shown(pages::home::home(&chrome, &model.await?)))
}

/// `GET /review/visits`
pub(super) async fn visits(
    (State(app), signed): In,
    Query(asked): Query<BTreeMap<String, String>>,
) -> Answer {
    let from: usize = asked.get("from").and_then(|from| from.parse().ok()).unwrap_or(0);
    let acting = signed.acting.clone();
    let (lines, more) = on_hub(&app, move |hub, _| {
        let (sites, book) = rows(hub, &acting, None)?;
        let mut all: Vec<_> = sites.iter().flat_map(|site| site.visit_lines(&book)).collect();
        all.sort_by(|one, other| other.day.cmp(&one.day));
        let more = (all.len() > from.saturating_add(PAGE)).then_some(from + PAGE);
        Ok((all.into_iter().skip(from).take(PAGE).collect::<Vec<_>>(), more))
    })
    .await?;
    Ok(shown(pages::home::all_visits(&signed.chrome, &lines, more)))
}

/// `GET /review/sites`
pub(super) async fn sites((State(app), signed): In) -> Answer {
    let acting = signed.acting.clone();
    let lines = on_hub(&app, move |hub, _| {
        let (sites, _) = rows(hub, &acting, None)?;
        Ok(sites.iter().map(SiteRows::line).collect::<Vec<_>>())
    })
    .await?;
    Ok(shown(pages::home::sites(&signed.chrome, &lines)))
}

/// `GET /review/search`
pub(super) async fn search(
    (State(app), signed): In,
    Query(asked): Query<BTreeMap<String, String>>,
) -> Answer {
    let question: String =
        asked.get("q").map(|q| q.chars().take(200).collect()).unwrap_or_default();
    let (acting, words) = (signed.acting.clone(), question.clone());
    let found = on_hub(&app, move |hub, _| {
        if words.trim().is_empty() {
            return Ok(Found::default());
        }
        let (sites, book) = rows(hub, &acting, None)?;
        Ok(search_for(&words, &sites, &book))
    })
    .await?;
    Ok(shown(pages::search::search(&signed.chrome, &question, &found)))
}

/// An id in a path; a path with another text leads nowhere.
pub(super) fn id<T: std::str::FromStr>(text: &str) -> Result<T, PageWrong> {
    text.parse().map_err(|_| PageWrong::Nothing)
}

/// `GET /review/sites/{site}`
pub(super) async fn site((State(app), signed): In, Path(site): Path<String>) -> Answer {
    let site: SiteId = id(&site)?;
    let acting = signed.acting.clone();
    let found = on_hub(&app, move |hub, _| {
        let (sites, book) = rows(hub, &acting, Some(site))?;
        let own = sites.first();
        Ok(own.map(|own| (own.line(), own.unit_lines(&book), own.visit_lines(&book))))
    })
    .await?;
    let (line, units, visits) = found.ok_or(PageWrong::Nothing)?;
    let mut chrome = signed.chrome;
    chrome.hears = vec![site.to_string()];
    Ok(shown(pages::site::site(&chrome, &line, &units, &visits)))
}

/// A visit laid out, for a page or a deed; none when there is none to see.
pub(super) fn visit_of(
    hub: &mut Hub,
    acting: &Acting,
    (site, visit): (SiteId, VisitId),
    key: Option<(&str, Option<ApplianceId>)>,
) -> Result<Option<(Visit, Option<Difference>)>, Wrong> {
    let (sites, mut book) = rows(hub, acting, Some(site))?;
    let Some(name) = sites.first().map(|own| own.named().name) else { return Ok(None) };
    let removed = removed_of(hub, acting, (site, visit))?;
    let removed: Vec<Difference> = {
        let papers = hub.doc_seen(acting, DocId::new(site, DocKind::Site)).map_err(turned)?;
        let papers = papers.iter();
        papers
            .flat_map(|papers| removed.iter().map(|one| in_document(papers, one, &book)))
            .collect()
    };
    let Some(opened) = hub.visit_seen(acting, site, visit).map_err(turned)? else {
        return Ok(None);
    };
    book.add_entries(opened.company());
    book.add_entries(opened.site());
    let file = opened.file();
    for unit in &file.units {
        if let Some(sheet) = &unit.sheet {
            book.add_photos(&sheet.read);
        }
    }
    let one = key.and_then(|(key, unit)| {
        let all = file.contradictions();
        let fits = |one: &&_| difference::key_fits(one, key) && unit_of(one) == unit;
        let here = all.iter().find(fits).map(|one| in_visit(&file, one, &book));
        here.or_else(|| removed.iter().find(|one| one.key == key).cloned())
    });
    let mut laid_out = visits_model::visit(&file, site, &name, &book);
    laid_out.queue.extend(removed.into_iter().map(queue::removed));
    laid_out.queue.sort_by_key(|item| item.group);
    for picture in laid_out.units.iter_mut().flat_map(|sheet| &mut sheet.photos) {
        let here = |digits: &str| match hash_of(digits) {
            Some(hash) => hub.photo_here(&hash).map_err(turned),
            None => Ok(false),
        };
        picture.here = here(&picture.hash)?;
        picture.small_here = picture.small.as_deref().map_or(Ok(false), here)?;
    }
    laid_out.others =
        sites.iter().flat_map(|own| own.unit_lines(&book)).map(|one| one.unit).collect();
    Ok(Some((laid_out, one)))
}

/// Units of a visit that were taken off the roster although there is evidence for them.
pub(super) fn removed_of(
    hub: &mut Hub,
    acting: &Acting,
    (site, visit): (SiteId, VisitId),
) -> Result<Vec<Contradiction>, Wrong> {
    let read = hub.view_mut().store().read().map_err(turned)?;
    let mut entries: BTreeMap<ApplianceId, usize> = BTreeMap::new();
    for sheet in list::sheets(&read, site, visit).map_err(turned)? {
        let history = list::history(&read, site, sheet.id).map_err(turned)?;
        let count: u32 = history.iter().map(|listed| listed.row.entries).sum();
        entries.insert(sheet.id, usize::try_from(count).unwrap_or(usize::MAX));
    }
    drop(read);
    let papers = hub.doc_seen(acting, DocId::new(site, DocKind::Site)).map_err(turned)?;
    let count = |unit| entries.get(&unit).copied().unwrap_or_default();
    Ok(papers.map(|papers| removed_with_evidence(&papers, count)).unwrap_or_default())
}

/// The site and visit of a path.
pub(super) fn place((site, visit): (String, String)) -> Result<(SiteId, VisitId), PageWrong> {
    Ok((id(&site)?, id(&visit)?))
}

/// `GET /review/sites/{site}/visits/{visit}`
pub(super) async fn visit((State(app), signed): In, Path(path): Path<(String, String)>) -> Answer {
    let place = place(path)?;
    let acting = signed.acting.clone();
    let found = on_hub(&app, move |hub, now| {
        let Some((visit, _)) = visit_of(hub, &acting, place, None)? else { return Ok(None) };
        let names = Book::of(hub.names().map_err(turned)?);
        let links = hub.access().shares_of(place.0, place.1).map_err(turned)?;
        let links = links.into_iter().map(|(name, share)| {
            let by = names.named_person(share.by);
            let open = share.opens(now);
            SharedLine::new(name, by, (share.made, share.until), share.language, open)
        });
        Ok(Some((visit, links.collect::<Vec<_>>())))
    });
    let (visit, links) = found.await?.ok_or(PageWrong::Nothing)?;
    let mut chrome = signed.chrome;
    chrome.hears = vec![place.0.to_string()];
    Ok(shown(pages::visit::visit(&chrome, &visit, &links)))
}

/// `GET .../photo/{unit}/{hash}`
pub(super) async fn photo(
    (State(app), signed): In,
    Path((site, visit, unit, hash)): Path<(String, String, String, String)>,
) -> Answer {
    let (site, visit) = place((site, visit))?;
    let unit: ApplianceId = id(&unit)?;
    let hash = hash_of(&hash).ok_or(PageWrong::Nothing)?;
    let doc = DocId::new(site, DocKind::Sheet(visit, unit));
    let acting = signed.acting.clone();
    let found = on_hub(&app, move |hub, _| hub.photo_seen(&acting, doc, hash).map_err(turned));
    let picture = found.await?.ok_or(PageWrong::Nothing)?;
    let (kind, ending) = kind_of(&picture);
    // Shown inside a page it is a picture; opened by itself it is a file that nothing runs.
    let file = format!("attachment; filename=\"photo-{}.{ending}\"", &digits(&hash)[..12]);
    let headers = [
        (header::CONTENT_TYPE, HeaderValue::from_static(kind)),
        (
            header::CONTENT_DISPOSITION,
            HeaderValue::from_str(&file).map_err(|_| PageWrong::Nothing)?,
        ),
        (header::CACHE_CONTROL, HeaderValue::from_static("private, max-age=3600")),
    ];
    Ok((headers, picture).into_response())
}

/// `GET .../settle?key=...&unit=...`
pub(super) async fn settle(
    (State(app), signed): In,
    Path(path): Path<(String, String)>,
    Query(asked): Query<BTreeMap<String, String>>,
) -> Answer {
    let place = place(path)?;
    let key = asked.get("key").cloned().unwrap_or_default();
    let unit = asked.get("unit").filter(|unit| !unit.is_empty());
    let unit: Option<ApplianceId> = unit.map(|unit| id(unit)).transpose()?;
    settle_page(&app, signed, place, (key, unit), None).await
}

/// The page of one difference, with what was wrong with what was sent.
pub(super) async fn settle_page(
    app: &Shared,
    signed: Signed,
    place: (SiteId, VisitId),
    (key, unit): (String, Option<ApplianceId>),
    wrong: Option<&str>,
) -> Answer {
    let acting = signed.acting.clone();
    let found =
        on_hub(app, move |hub, _| visit_of(hub, &acting, place, Some((&key, unit)))).await?;
    let (visit, one) = found.ok_or(PageWrong::Nothing)?;
    let Some(one) = one else {
        return Err(PageWrong::Moved(
            "nothing of this name has two answers any more; it was settled, or an answer was \
             withdrawn"
                .to_owned(),
        ));
    };
    let mut chrome = signed.chrome;
    chrome.hears = vec![place.0.to_string()];
    Ok(shown(pages::settle::settle(&chrome, &visit, &one, wrong)))
}
