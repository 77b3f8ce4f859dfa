//! Entries by their numbers, wherever they stand: in a visit and its units, or in the site.

use client_core::device::Device;
use client_core::present::say::short;
use client_core::record::doc_id::{DocId, DocKind};
use client_core::record::id::{ApplianceId, EntryId, SiteId};
use client_core::record::read::{Entry, Read};

use crate::args::At;
use crate::book::read_or_empty;
use crate::desk::{Desk, Place};
use crate::error::Trouble;
use crate::find::{Candidate, pick};

/// An entry with the document it stands in (its first part).
#[derive(Clone, Debug)]
pub struct Placed {
    /// The document.
    pub doc: DocId,
    /// The entry.
    pub entry: Entry,
}

/// The unit that was named, in the visit that is meant.
pub fn unit(desk: &mut Desk<'_>, at: &At, typed: &str) -> Result<(Place, ApplianceId), Trouble> {
    let place = desk.place(at)?;
    let (_, appliance) = place.book.find_unit(Some(place.site), typed)?;
    Ok((place, appliance))
}

/// The sheet of the unit that was named, in the visit that is meant.
pub fn sheet(
    desk: &mut Desk<'_>,
    at: &At,
    typed: &str,
) -> Result<(Place, ApplianceId, DocId), Trouble> {
    let (place, appliance) = unit(desk, at, typed)?;
    let doc = DocId::new(place.site, DocKind::Sheet(place.visit, appliance));
    Ok((place, appliance, doc))
}

/// The unit that was named, whatever the visit: its own document.
pub fn appliance(
    desk: &mut Desk<'_>,
    at: &At,
    typed: &str,
) -> Result<(crate::book::Book, SiteId, ApplianceId, DocId), Trouble> {
    let book = desk.book()?;
    let site = match &at.site {
        Some(site) => Some(book.find_site(Some(site))?),
        None => None,
    };
    let (site, appliance) = match (site, desk.here()) {
        (None, Some((here, _))) => match book.find_unit(Some(here), typed) {
            Ok(found) => found,
            Err(_) => book.find_unit(None, typed)?,
        },
        (site, _) => book.find_unit(site, typed)?,
    };
    let doc = DocId::new(site, DocKind::Appliance(appliance));
    Ok((book, site, appliance, doc))
}

/// The visit that is meant, for an entry of a unit that names the visit in which it was made; none when
/// there is not exactly one.
pub fn visit_if_any(
    desk: &mut Desk<'_>,
    at: &At,
) -> Result<Option<client_core::record::id::VisitId>, Trouble> {
    match desk.place(at) {
        Ok(place) => Ok(Some(place.visit)),
        Err(Trouble::Find(_)) if at.visit.is_none() => Ok(None),
        Err(wrong) => Err(wrong),
    }
}

/// Everything that is read of a document, entry by entry.
fn placed(doc: DocId, read: &Read) -> impl Iterator<Item = Placed> + '_ {
    read.entries.iter().map(move |entry| Placed { doc, entry: entry.clone() })
}

/// Every entry of a visit, of its units, and of the site.
pub fn around(desk: &mut Desk<'_>, place: &Place) -> Result<Vec<Placed>, Trouble> {
    let device = desk.device()?;
    let mut found = vec![];
    {
        let opened = device.open_visit(place.site, place.visit)?;
        let file = opened.file();
        for papers in file.papers() {
            if let Some(doc) = papers.id() {
                found.extend(placed(doc, &papers.read));
            }
        }
    }
    let site = DocId::new(place.site, DocKind::Site);
    found.extend(placed(site, &read_or_empty(device, site)?));
    Ok(found)
}

/// Every entry of one document.
pub fn within(device: &mut Device, doc: DocId) -> Result<Vec<Placed>, Trouble> {
    let read = read_or_empty(device, doc)?;
    Ok(placed(doc, &read).collect())
}

/// The entry that was named among these, by its short or whole number.
pub fn named(typed: &str, among: &[Placed]) -> Result<Placed, Trouble> {
    let candidates: Vec<Candidate<usize>> = among
        .iter()
        .enumerate()
        .map(|(at, placed)| Candidate {
            id: at,
            whole: placed.entry.id.to_string(),
            names: vec![short(placed.entry.id)],
            shown: short(placed.entry.id),
        })
        .collect();
    // A list of all numbers would help nobody.
    let at = pick("entry", typed, &candidates).map_err(|wrong| match wrong {
        crate::find::FindWrong::None { kind, typed, .. } => {
            crate::find::FindWrong::None { kind, typed, there: vec![] }
        }
        other => other,
    })?;
    Ok(among[at].clone())
}

/// The numbers of entries that were named.
pub fn numbers(typed: &[String], among: &[Placed]) -> Result<Vec<EntryId>, Trouble> {
    typed.iter().map(|one| named(one, among).map(|placed| placed.entry.id)).collect()
}
