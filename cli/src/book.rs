//! Names of everything that this device knows, for reading and for naming.

use std::collections::BTreeMap;

use client_core::device::{Device, Listed};
use client_core::exchange::frame::PersonRow;
use client_core::present::Names;
use client_core::present::say::short;
use client_core::record::body::{Body, Kind};
use client_core::record::doc_id::{DocId, DocKind};
use client_core::record::id::{ApplianceId, EntryId, PersonId, SiteId, VisitId};
use client_core::record::read::Read;
use client_core::record::row::{SiteRow, UnitRow, VisitRow};

use crate::error::Trouble;
use crate::find::{Candidate, only, pick};

/// Names.
#[derive(Debug, Default)]
pub struct Book {
    /// People of the directory.
    pub people: Vec<PersonRow>,
    /// Sites that are here and still this device's.
    pub sites: Vec<(SiteId, SiteRow)>,
    /// Units of all sites.
    pub units: BTreeMap<ApplianceId, (SiteId, UnitRow)>,
    entries: BTreeMap<EntryId, String>,
    instruments: Vec<Candidate<EntryId>>,
}

impl Names for Book {
    fn person(&self, person: PersonId) -> String {
        let known = self.people.iter().find(|row| row.person == person);
        known.and_then(|row| row.name.clone()).unwrap_or_else(|| person.short())
    }

    fn unit(&self, appliance: ApplianceId) -> String {
        self.units.get(&appliance).map_or_else(|| appliance.short(), |(_, row)| row.unit_no.clone())
    }

    fn entry(&self, entry: EntryId) -> Option<String> {
        self.entries.get(&entry).cloned()
    }
}

/// A document of which nothing may be here yet, read.
pub fn read_or_empty(device: &mut Device, doc: DocId) -> Result<Read, Trouble> {
    match device.read_doc(doc) {
        Ok(papers) => Ok(papers.read),
        Err(client_core::device::DeviceError::NotHere(_)) => Ok(Read::default()),
        Err(wrong) => Err(wrong.into()),
    }
}

impl Book {
    /// Everything that this device knows by name.
    pub fn of(device: &mut Device) -> Result<Book, Trouble> {
        let mut book = Book { people: device.people()?, ..Book::default() };
        for (site, following, row) in device.sites()? {
            if following.gone {
                continue;
            }
            let row = row.unwrap_or_default();
            for area in &row.areas {
                book.entries.insert(area.id, area.label.clone());
            }
            for unit in &row.roster {
                let known = UnitRow { unit_no: unit.unit_no.clone(), ..UnitRow::default() };
                book.units.insert(unit.appliance, (site, known));
            }
            for Listed { id, row } in device.units(site)? {
                book.units.insert(id, (site, row));
            }
            book.sites.push((site, row));
        }
        let company = DocId::new(device.identity().company(), DocKind::Company);
        let read = read_or_empty(device, company)?;
        for entry in read.counted(Kind::Instrument) {
            if let Body::Instrument(instrument) = &entry.body {
                book.entries.insert(entry.id, instrument.label.clone());
                book.instruments.push(Candidate {
                    id: entry.id,
                    whole: entry.id.to_string(),
                    names: vec![instrument.label.clone(), short(entry.id)],
                    shown: format!("{} ({})", instrument.label, instrument.kind.says()),
                });
            }
        }
        Ok(book)
    }

    /// Adds the names of a site's positions.
    pub fn add_positions(&mut self, site: &Read) {
        for entry in site.counted(Kind::Position) {
            if let Body::Position(position) = &entry.body {
                self.entries.insert(entry.id, position.label.clone());
            }
        }
    }

    /// The row of a site; an empty one where none is here.
    pub fn site_row(&self, site: SiteId) -> SiteRow {
        let known = self.sites.iter().find(|(id, _)| *id == site);
        known.map(|(_, row)| row.clone()).unwrap_or_default()
    }

    /// Name of a site.
    pub fn site(&self, site: SiteId) -> String {
        let known = self.sites.iter().find(|(id, _)| *id == site);
        known.and_then(|(_, row)| row.name.clone()).unwrap_or_else(|| site.short())
    }

    /// The site that was named; the only one when nothing was.
    pub fn find_site(&self, typed: Option<&str>) -> Result<SiteId, Trouble> {
        let candidates: Vec<Candidate<SiteId>> = self
            .sites
            .iter()
            .map(|(id, row)| Candidate {
                id: *id,
                whole: id.to_string(),
                names: row.name.iter().cloned().collect(),
                shown: format!("{} ({})", self.site(*id), id.short()),
            })
            .collect();
        Ok(match typed {
            Some(typed) => pick("site", typed, &candidates)?,
            None => only("site", &candidates)?,
        })
    }

    /// The unit that was named, at a site or anywhere.
    pub fn find_unit(
        &self,
        site: Option<SiteId>,
        typed: &str,
    ) -> Result<(SiteId, ApplianceId), Trouble> {
        let mut candidates: Vec<Candidate<(SiteId, ApplianceId)>> = self
            .units
            .iter()
            .filter(|(_, (of, _))| site.is_none_or(|site| site == *of))
            .map(|(id, (of, row))| Candidate {
                id: (*of, *id),
                whole: id.to_string(),
                names: vec![row.unit_no.clone()],
                shown: format!("{} ({})", row.unit_no, id.short()),
            })
            .collect();
        candidates.sort_by(|one, other| one.names.cmp(&other.names));
        // A unit that was merged into another gives way to one of the same number that was not.
        match pick("unit", typed, &candidates) {
            Err(crate::find::FindWrong::Several { .. }) => {
                let merged = |id: &ApplianceId| {
                    self.units.get(id).is_some_and(|(_, row)| row.merged_into.is_some())
                };
                let own: Vec<_> =
                    candidates.iter().filter(|one| !merged(&one.id.1)).cloned().collect();
                Ok(pick("unit", typed, &own)?)
            }
            other => Ok(other?),
        }
    }

    /// The person that was named.
    pub fn find_person(&self, typed: &str) -> Result<PersonId, Trouble> {
        let candidates: Vec<Candidate<PersonId>> = self
            .people
            .iter()
            .map(|row| {
                let name = row.name.clone().unwrap_or_default();
                let mut names: Vec<String> = name.split_whitespace().map(str::to_owned).collect();
                names.push(name.clone());
                Candidate {
                    id: row.person,
                    whole: row.person.to_string(),
                    names,
                    shown: format!("{name} ({})", row.person.short()),
                }
            })
            .collect();
        Ok(pick("person", typed, &candidates)?)
    }

    /// The instrument that was named.
    pub fn find_instrument(&self, typed: &str) -> Result<EntryId, Trouble> {
        Ok(pick("instrument", typed, &self.instruments)?)
    }
}

/// The visit that was named, by reference, day or id.
pub fn find_visit(
    device: &Device,
    book: &Book,
    site: Option<SiteId>,
    typed: &str,
) -> Result<(SiteId, VisitId), Trouble> {
    Ok(pick("visit", typed, &visits(device, book, site)?)?)
}

/// Visits that may be named; the newest first.
pub fn visits(
    device: &Device,
    book: &Book,
    site: Option<SiteId>,
) -> Result<Vec<Candidate<(SiteId, VisitId)>>, Trouble> {
    let mut found = vec![];
    for (of, _) in book.sites.iter().filter(|(of, _)| site.is_none_or(|site| site == *of)) {
        for Listed { id, row } in device.visits(*of)? {
            found.push((row.day, candidate(*of, id, &row)));
        }
    }
    found.sort_by_key(|(day, _)| std::cmp::Reverse(*day));
    Ok(found.into_iter().map(|(_, candidate)| candidate).collect())
}

fn candidate(site: SiteId, id: VisitId, row: &VisitRow) -> Candidate<(SiteId, VisitId)> {
    let day = row.day.map(|day| day.to_string());
    let names = row.reference.iter().cloned().chain(day.clone()).collect();
    let reference = row.reference.clone().unwrap_or_else(|| id.short());
    let day = day.unwrap_or_else(|| "no day".to_owned());
    let shown = format!("{reference} of {day} ({})", id.short());
    Candidate { id: (site, id), whole: id.to_string(), names, shown }
}
