//! Reading what is on the device: lists from rows, files from documents.

use super::list::{self, Listed};
use super::shelf::Shelf;
use super::standing::{self, EntryState, Following, Quarantined, Unsent};
use super::{Device, DeviceError};
use crate::exchange::frame::PersonRow;
use crate::record::contradiction::governing_readings;
use crate::record::doc::Presence;
use crate::record::doc_id::{DocId, DocKind};
use crate::record::file::{Papers, UnitInVisit, VisitFile, appliances};
use crate::record::id::{ApplianceId, EntryId, PersonId, SiteId, VisitId};
use crate::record::read::Read as Reading;
use crate::record::row::{self, SheetRow, SiteRow, UnitRow, VisitRow};
use crate::record::signer::Signers;
use crate::store::doc_table;
use crate::store::{Get, StoreError, Table};

/// Documents of a visit, loaded, to be laid out as a [`VisitFile`].
#[derive(Debug)]
pub struct Opened<'a> {
    shelf: &'a Shelf,
    signers: &'a Signers,
    site: SiteId,
    visit: VisitId,
    units: Vec<ApplianceId>,
    site_read: Reading,
    company_read: Reading,
}

/// Which documents to load.
#[derive(Clone, Copy, Debug)]
pub struct Wanted {
    /// Under which site the company's own document is filed.
    pub company: SiteId,
    /// The site.
    pub site: SiteId,
    /// The visit.
    pub visit: VisitId,
    /// One unit alone; none stands for all of the visit.
    pub only: Option<ApplianceId>,
}

impl<'a> Opened<'a> {
    /// Loads a visit from a store; none when nothing of it is there.
    pub fn load(
        shelf: &'a mut Shelf,
        signers: &'a Signers,
        read: &impl Get,
        wanted: Wanted,
    ) -> Result<Option<Opened<'a>>, StoreError> {
        let Wanted { company, site, visit, only } = wanted;
        let head = DocId::new(site, DocKind::Visit(visit));
        let sheets: Vec<DocId> = list::sheets(read, site, visit)?
            .into_iter()
            .map(|listed| DocId::new(site, DocKind::Sheet(visit, listed.id)))
            .collect();
        let head_read = {
            let parts = shelf.family(read, head)?;
            if parts.is_empty() && sheets.is_empty() && only.is_none() {
                return Ok(None);
            }
            crate::record::read::read(&parts, signers)
        };
        let units = match only {
            Some(appliance) => vec![appliance],
            None => appliances(&head_read, &sheets, visit),
        };
        let company = DocId::new(company, DocKind::Company);
        let mut docs = vec![head, DocId::new(site, DocKind::Site), company];
        for appliance in &units {
            docs.push(DocId::new(site, DocKind::Sheet(visit, *appliance)));
            docs.push(DocId::new(site, DocKind::Appliance(*appliance)));
        }
        shelf.hold_all(read, &docs)?;
        let reading =
            |shelf: &Shelf, doc: DocId| crate::record::read::read(&shelf.held_parts(doc), signers);
        let site_read = reading(shelf, DocId::new(site, DocKind::Site));
        let company_read = reading(shelf, company);
        Ok(Some(Opened { shelf, signers, site, visit, units, site_read, company_read }))
    }
}

impl Opened<'_> {
    /// The visit, laid out.
    pub fn file(&self) -> VisitFile<'_> {
        let papers = |kind| {
            let parts = self.shelf.held_parts(DocId::new(self.site, kind));
            (!parts.is_empty()).then(|| Papers::of(parts, self.signers))
        };
        let units = self.units.iter().map(|appliance| {
            let sheet = papers(DocKind::Sheet(self.visit, *appliance));
            let governing =
                sheet.as_ref().map(|sheet| governing_readings(sheet, Some(&self.company_read)));
            UnitInVisit {
                appliance: *appliance,
                sheet,
                unit: papers(DocKind::Appliance(*appliance)),
                governing: governing.unwrap_or_default(),
            }
        });
        let head = self.shelf.held_parts(DocId::new(self.site, DocKind::Visit(self.visit)));
        VisitFile {
            visit: self.visit,
            head: Papers::of(head, self.signers),
            units: units.collect(),
            site: Some(&self.site_read),
            company: Some(&self.company_read),
            signers: self.signers,
        }
    }

    /// The site's document as read.
    pub const fn site(&self) -> &Reading {
        &self.site_read
    }

    /// The company's document as read.
    pub const fn company(&self) -> &Reading {
        &self.company_read
    }
}

impl Device {
    /// Sites that are here.
    pub fn sites(&self) -> Result<Vec<(SiteId, Following, Option<SiteRow>)>, DeviceError> {
        let read = self.store.read()?;
        let company = self.identity.company();
        let mut found = vec![];
        for (site, following) in standing::all_following(&read)? {
            if site != company {
                let row = read.get(Table::Rows, &row::site_key(site))?;
                found.push((site, following, row.and_then(|bytes| row::decode(&bytes))));
            }
        }
        Ok(found)
    }

    /// Units of a site, from rows.
    pub fn units(&self, site: SiteId) -> Result<Vec<Listed<ApplianceId, UnitRow>>, DeviceError> {
        Ok(list::units(&self.store.read()?, site)?)
    }

    /// Visits of a site, from rows.
    pub fn visits(&self, site: SiteId) -> Result<Vec<Listed<VisitId, VisitRow>>, DeviceError> {
        Ok(list::visits(&self.store.read()?, site)?)
    }

    /// Sheets of a visit, from rows.
    pub fn sheets(
        &self,
        site: SiteId,
        visit: VisitId,
    ) -> Result<Vec<Listed<ApplianceId, SheetRow>>, DeviceError> {
        Ok(list::sheets(&self.store.read()?, site, visit)?)
    }

    /// Every visit of an appliance, from rows, oldest day first.
    pub fn history(
        &self,
        site: SiteId,
        appliance: ApplianceId,
    ) -> Result<Vec<Listed<VisitId, SheetRow>>, DeviceError> {
        Ok(list::history(&self.store.read()?, site, appliance)?)
    }

    /// Loads a visit with everything that belongs to it.
    pub fn open_visit(&mut self, site: SiteId, visit: VisitId) -> Result<Opened<'_>, DeviceError> {
        self.open_units(site, visit, None)
    }

    /// Loads one unit of a visit, with the visit's head, its site and the company: what is needed at the
    /// unit, whatever the size of the visit.
    pub fn open_unit(
        &mut self,
        site: SiteId,
        visit: VisitId,
        appliance: ApplianceId,
    ) -> Result<Opened<'_>, DeviceError> {
        self.open_units(site, visit, Some(appliance))
    }

    fn open_units(
        &mut self,
        site: SiteId,
        visit: VisitId,
        only: Option<ApplianceId>,
    ) -> Result<Opened<'_>, DeviceError> {
        let read = self.store.read()?;
        let wish = Wanted { company: self.identity.company(), site, visit, only };
        let opened = Opened::load(&mut self.shelf, &self.signers, &read, wish)?;
        opened.ok_or_else(|| DeviceError::NotHere(DocId::new(site, DocKind::Visit(visit))))
    }

    /// All parts of one document, read.
    pub fn read_doc(&mut self, doc: DocId) -> Result<Papers<'_>, DeviceError> {
        let read = self.store.read()?;
        let signers = &self.signers;
        let parts = self.shelf.family(&read, doc.with_part(1))?;
        if parts.is_empty() {
            return Err(DeviceError::NotHere(doc));
        }
        Ok(Papers::of(parts, signers))
    }

    /// How much of a document is here; none when nothing is.
    pub fn presence(&self, doc: DocId) -> Result<Option<Presence>, DeviceError> {
        let info = doc_table::info(&self.store.read()?, doc)?;
        Ok(info.map(|info| if info.whole { Presence::Whole } else { Presence::Partial }))
    }

    /// Where an entry is.
    pub fn state_of(&self, doc: DocId, entry: EntryId) -> Result<EntryState, DeviceError> {
        Ok(standing::state_of(&self.store.read()?, doc, entry)?)
    }

    /// What is unsent at a site.
    pub fn unsent(&self, site: SiteId) -> Result<Unsent, DeviceError> {
        Ok(standing::unsent(&self.store.read()?, site)?)
    }

    /// Entries of a site that the hub's log has not echoed yet.
    pub fn unsent_entries(&self, site: SiteId) -> Result<u64, DeviceError> {
        Ok(self.store.read()?.count(Table::EntryStates, &site.0)?)
    }

    /// Everything in quarantine.
    pub fn quarantine(&self) -> Result<Vec<(SiteId, [u8; 32], Quarantined)>, DeviceError> {
        Ok(standing::quarantine(&self.store.read()?)?)
    }

    /// A person of the directory.
    pub fn person(&self, person: PersonId) -> Result<Option<PersonRow>, DeviceError> {
        let read = self.store.read()?;
        let found = read.get(Table::Directory, &person.0)?;
        Ok(found.and_then(|bytes| minicbor::decode(&bytes).ok()))
    }

    /// Everybody in the directory.
    pub fn people(&self) -> Result<Vec<PersonRow>, DeviceError> {
        let read = self.store.read()?;
        let rows = read.under(Table::Directory, &[])?;
        Ok(rows.iter().filter_map(|(_, bytes)| minicbor::decode(bytes).ok()).collect())
    }

    /// Notes this device's own person's name as it was typed when joining, until the hub's directory tells it.
    pub fn note_own_name(&mut self, name: &str) -> Result<(), DeviceError> {
        let person = self.identity.person;
        if self.person(person)?.is_some() {
            return Ok(());
        }
        let row = PersonRow { person, name: Some(name.to_owned()), contact: None, licence: None };
        let write = self.store.write()?;
        write.put(Table::Directory, &person.0, &standing::cbor(&row))?;
        Ok(write.commit()?)
    }

    /// Adds a person to the directory: waits in the store until the hub has it.
    pub fn add_person(&mut self, row: &PersonRow) -> Result<(), DeviceError> {
        let write = self.store.write()?;
        let last = write.last(Table::Requests, &[], None)?;
        let last = last.and_then(|(key, _)| key.try_into().ok()).map_or(0, u64::from_be_bytes);
        let bytes = standing::cbor(row);
        write.put(Table::Requests, &(last + 1).to_be_bytes(), &bytes)?;
        write.put(Table::Directory, &row.person.0, &bytes)?;
        Ok(write.commit()?)
    }

    /// Keeps a half-typed entry, so that it survives the program being killed.
    pub fn put_draft(&mut self, name: &str, content: &[u8]) -> Result<(), DeviceError> {
        let write = self.store.write()?;
        write.put(Table::Drafts, name.as_bytes(), content)?;
        Ok(write.commit()?)
    }

    /// A half-typed entry.
    pub fn draft(&self, name: &str) -> Result<Option<Vec<u8>>, DeviceError> {
        Ok(self.store.read()?.get(Table::Drafts, name.as_bytes())?)
    }

    /// Names of all half-typed entries.
    pub fn drafts(&self) -> Result<Vec<String>, DeviceError> {
        let found = self.store.read()?.under(Table::Drafts, &[])?;
        Ok(found.into_iter().map(|(name, _)| String::from_utf8_lossy(&name).into_owned()).collect())
    }

    /// Takes a half-typed entry away.
    pub fn drop_draft(&mut self, name: &str) -> Result<(), DeviceError> {
        let write = self.store.write()?;
        write.remove(Table::Drafts, name.as_bytes())?;
        Ok(write.commit()?)
    }
}
