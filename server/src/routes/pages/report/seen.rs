//! The view behind the hub's log, as a gatherer of reports asks it.

use client_core::device::{DeviceError, Opened, Wanted};
use client_core::device::{Listed, list};
use client_core::exchange::frame::PersonRow;
use client_core::record::doc_id::{DocId, DocKind};
use client_core::record::id::{ApplianceId, SiteId, VisitId};
use client_core::record::row::{self, SheetRow, SiteRow, UnitRow, VisitRow};
use client_core::store::{Get as _, Table};
use reports::gather::Records;

use crate::hub::{Hub, Turn};
use crate::view::View;

/// Everything of one site that has arrived.
pub(super) struct Seen<'h> {
    view: &'h mut View,
    company: SiteId,
    people: Vec<PersonRow>,
}

impl<'h> Seen<'h> {
    /// Folds what has arrived for a site and looks at it.
    pub(super) fn of(hub: &'h mut Hub, site: SiteId) -> Result<Seen<'h>, Turn> {
        hub.fold_site(site)?;
        let people = hub.names()?.into_values().collect();
        let company = hub.identity().company();
        Ok(Seen { view: hub.view_mut(), company, people })
    }
}

impl Records for Seen<'_> {
    fn people(&self) -> Result<Vec<PersonRow>, DeviceError> {
        Ok(self.people.clone())
    }

    fn site(&self, site: SiteId) -> Result<Option<SiteRow>, DeviceError> {
        let found = self.view.store().read()?.get(Table::Rows, &row::site_key(site))?;
        Ok(found.and_then(|bytes| row::decode(&bytes)))
    }

    fn units(&self, site: SiteId) -> Result<Vec<Listed<ApplianceId, UnitRow>>, DeviceError> {
        Ok(list::units(&self.view.store().read()?, site)?)
    }

    fn visits(&self, site: SiteId) -> Result<Vec<Listed<VisitId, VisitRow>>, DeviceError> {
        Ok(list::visits(&self.view.store().read()?, site)?)
    }

    fn sheets(
        &self,
        site: SiteId,
        visit: VisitId,
    ) -> Result<Vec<Listed<ApplianceId, SheetRow>>, DeviceError> {
        Ok(list::sheets(&self.view.store().read()?, site, visit)?)
    }

    fn history(
        &self,
        site: SiteId,
        unit: ApplianceId,
    ) -> Result<Vec<Listed<VisitId, SheetRow>>, DeviceError> {
        Ok(list::history(&self.view.store().read()?, site, unit)?)
    }

    fn open(
        &mut self,
        site: SiteId,
        visit: VisitId,
        only: Option<ApplianceId>,
    ) -> Result<Opened<'_>, DeviceError> {
        let wanted = Wanted { company: self.company, site, visit, only };
        let opened = self.view.open_visit(wanted)?;
        opened.ok_or_else(|| DeviceError::NotHere(DocId::new(site, DocKind::Visit(visit))))
    }
}
