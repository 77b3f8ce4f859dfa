//! Lists and names for the screen that shows, from rows: no document is opened for them.

use std::collections::BTreeMap;

use client_core::device::DeviceError;
use client_core::record::code::Role;
use client_core::record::doc_id::{DocId, DocKind};
use client_core::record::field::{FieldValue, Of};
use client_core::record::id::{ApplianceId, PersonId, SiteId, VisitId};
use client_core::record::instrument::instruments;
use client_core::record::row::{self, VisitRow};
use client_core::store::{Get as _, Table};

use super::App;
use crate::see::{Book, Building, Lists};
use crate::tap::Place;

/// Who takes which unit, and when.
type Plan = BTreeMap<ApplianceId, (Option<PersonId>, Option<i64>)>;

impl App {
    /// Chooses the building and the visit where nothing is chosen, or what was chosen is gone: the latest
    /// visit that no supervisor has signed.
    pub(super) fn choose_visit(&mut self) -> Result<(), DeviceError> {
        let sites = self.device.sites()?;
        let known = |site| sites.iter().any(|(own, following, _)| *own == site && !following.gone);
        if self.set.site.is_none_or(|site| !known(site)) {
            let only =
                sites.iter().filter(|(_, following, _)| !following.gone).map(|(site, ..)| *site);
            self.set.site = only.clone().next().filter(|_| only.count() == 1);
            self.set.visit = None;
        }
        let Some(site) = self.set.site else { return Ok(()) };
        // A building has thousands of visits after some years: the one in hand is looked up alone.
        if let Some(visit) = self.set.visit
            && self.visit_row(site, visit)?.is_some()
        {
            return Ok(());
        }
        let visits = self.device.visits(site)?;
        let open = visits
            .iter()
            .filter(|visit| !visit.row.signed.iter().any(|signed| signed.role == Role::Supervisor));
        let latest = open.max_by_key(|visit| visit.row.day).map(|visit| visit.id);
        if self.set.visit != latest {
            self.set.visit = latest;
            self.keep_settings()?;
        }
        Ok(())
    }

    /// The row of one visit.
    fn visit_row(&self, site: SiteId, visit: VisitId) -> Result<Option<VisitRow>, DeviceError> {
        let read = self.device.store().read()?;
        let stored = read.get(Table::Rows, &row::visit_key(site, Some(visit)))?;
        Ok(stored.and_then(|bytes| row::decode(&bytes)))
    }

    pub(super) fn lists(&mut self, place: &Place) -> Result<Lists, DeviceError> {
        let photos = self.device.photos_waiting()?;
        let mut lists = Lists { people: self.device.people()?, photos, ..Lists::default() };
        let all = matches!(place, Place::Sites {} | Place::Exchange {} | Place::Hand {});
        for (site, following, row) in self.device.sites()? {
            let unsent = self.device.unsent_entries(site)?;
            lists.unsent += unsent;
            if Some(site) == self.set.site {
                lists.site = row.clone().unwrap_or_default();
            }
            if all {
                lists.buildings.push(Building {
                    id: site,
                    row: row.unwrap_or_default(),
                    visits: self.device.visits(site)?,
                    unsent,
                    coming: following.cursor.is_some(),
                });
            }
        }
        if all {
            lists.quarantined = self.device.quarantine()?.len();
        }
        lists.unsent += self.device.unsent_entries(self.device.identity().company())?;
        let Some(site) = self.set.site else { return Ok(lists) };
        lists.units = self.device.units(site)?;
        lists.units.retain(|unit| unit.row.merged_into.is_none());
        let Some(visit) = self.set.visit else { return Ok(lists) };
        if matches!(
            place,
            Place::Units {}
                | Place::Find {}
                | Place::Sign {}
                | Place::Exchange {}
                | Place::Differ {}
        ) {
            lists.sheets = self.device.sheets(site, visit)?;
            lists.visit = self.visit_row(site, visit)?.unwrap_or_default();
            lists.plan = self.plan()?;
        }
        if matches!(place, Place::Fault { .. } | Place::Tests { .. }) {
            for unit in &lists.units {
                let history = self.device.history(site, unit.id)?;
                let earlier = history.into_iter().filter(|listed| listed.id != visit);
                lists.past.extend(earlier.map(|listed| (unit.id, listed.row)));
            }
        }
        if let Place::Entry { unit, entry } = *place {
            let sheet = DocId::new(site, DocKind::Sheet(visit, unit));
            lists.state = Some(self.device.state_of(sheet, entry)?);
        }
        if let Some(unit) = place.unit() {
            lists.history = self.device.history(site, unit)?;
        }
        Ok(lists)
    }

    /// The plan of the visit in hand.
    fn plan(&mut self) -> Result<Plan, DeviceError> {
        let head = self.head()?;
        let papers = match self.device.read_doc(head) {
            Ok(papers) => papers,
            Err(DeviceError::NotHere(_)) => return Ok(BTreeMap::new()),
            Err(wrong) => return Err(wrong),
        };
        let mut plan = Plan::new();
        for (field, merged) in &papers.read.fields {
            let (Some(Of::Appliance(unit)), Some(said)) = (field.of, merged.governs()) else {
                continue;
            };
            let line = plan.entry(unit).or_default();
            match &said.value {
                FieldValue::Person(person) => line.0 = Some(*person),
                FieldValue::Figure(figure) => line.1 = Some(figure.digits.mantissa()),
                _ => {}
            }
        }
        Ok(plan)
    }

    pub(super) fn book(&mut self, lists: &Lists) -> Result<Book, DeviceError> {
        let mut book = Book { language: self.set.language(), ..Book::default() };
        for person in &lists.people {
            if let Some(name) = &person.name {
                book.people.insert(person.person, name.clone());
            }
        }
        for unit in &lists.units {
            book.units.insert(unit.id, unit.row.unit_no.clone());
        }
        for area in &lists.site.areas {
            book.entries.insert(area.id, area.label.clone());
        }
        let company = DocId::new(self.device.identity().company(), DocKind::Company);
        match self.device.read_doc(company) {
            Ok(papers) => {
                for own in instruments(&papers.read) {
                    book.entries.insert(own.id, own.label);
                }
            }
            Err(DeviceError::NotHere(_)) => {}
            Err(wrong) => return Err(wrong),
        }
        Ok(book)
    }
}
