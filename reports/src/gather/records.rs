//! What a gatherer asks of the place where the record is.

use client_core::device::list::Listed;
use client_core::device::{Device, DeviceError, Opened};
use client_core::exchange::frame::PersonRow;
use client_core::record::id::{ApplianceId, SiteId, VisitId};
use client_core::record::row::{SheetRow, SiteRow, UnitRow, VisitRow};

/// A place where the record is. Lists come out of rows, visits out of documents.
pub trait Records {
    /// Everybody in the directory.
    fn people(&self) -> Result<Vec<PersonRow>, DeviceError>;

    /// The row of a site.
    fn site(&self, site: SiteId) -> Result<Option<SiteRow>, DeviceError>;

    /// Units of a site.
    fn units(&self, site: SiteId) -> Result<Vec<Listed<ApplianceId, UnitRow>>, DeviceError>;

    /// Visits of a site.
    fn visits(&self, site: SiteId) -> Result<Vec<Listed<VisitId, VisitRow>>, DeviceError>;

    /// Sheets of a visit.
    fn sheets(
        &self,
        site: SiteId,
        visit: VisitId,
    ) -> Result<Vec<Listed<ApplianceId, SheetRow>>, DeviceError>;

    /// Every visit of a unit, oldest day first.
    fn history(
        &self,
        site: SiteId,
        unit: ApplianceId,
    ) -> Result<Vec<Listed<VisitId, SheetRow>>, DeviceError>;

    /// A visit, whole or one unit of it.
    fn open(
        &mut self,
        site: SiteId,
        visit: VisitId,
        only: Option<ApplianceId>,
    ) -> Result<Opened<'_>, DeviceError>;
}

impl Records for Device {
    fn people(&self) -> Result<Vec<PersonRow>, DeviceError> {
        Device::people(self)
    }

    fn site(&self, site: SiteId) -> Result<Option<SiteRow>, DeviceError> {
        let sites = self.sites()?;
        Ok(sites.into_iter().find(|(id, _, _)| *id == site).and_then(|(_, _, row)| row))
    }

    fn units(&self, site: SiteId) -> Result<Vec<Listed<ApplianceId, UnitRow>>, DeviceError> {
        Device::units(self, site)
    }

    fn visits(&self, site: SiteId) -> Result<Vec<Listed<VisitId, VisitRow>>, DeviceError> {
        Device::visits(self, site)
    }

    fn sheets(
        &self,
        site: SiteId,
        visit: VisitId,
    ) -> Result<Vec<Listed<ApplianceId, SheetRow>>, DeviceError> {
        Device::sheets(self, site, visit)
    }

    fn history(
        &self,
        site: SiteId,
        unit: ApplianceId,
    ) -> Result<Vec<Listed<VisitId, SheetRow>>, DeviceError> {
        Device::history(self, site, unit)
    }

    fn open(
        &mut self,
        site: SiteId,
        visit: VisitId,
        only: Option<ApplianceId>,
    ) -> Result<Opened<'_>, DeviceError> {
        match only {
            Some(unit) => self.open_unit(site, visit, unit),
            None => self.open_visit(site, visit),
        }
    }
}
