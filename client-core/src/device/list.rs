//! Lists out of rows: no document is opened. The same on a device and behind a hub's log.

use crate::record::id::{ApplianceId, SiteId, VisitId};
use crate::record::row::{self, SheetRow, UnitRow, VisitRow};
use crate::store::doc_table::unreadable;
use crate::store::{Get, StoreError, Table};

/// A row with its id.
#[derive(Clone, Debug, PartialEq)]
pub struct Listed<I, R> {
    /// What it is the row of.
    pub id: I,
    /// The row.
    pub row: R,
}

/// Units of a site.
pub fn units(
    read: &impl Get,
    site: SiteId,
) -> Result<Vec<Listed<ApplianceId, UnitRow>>, StoreError> {
    listed(read, &row::unit_key(site, None), ApplianceId::from_slice)
}

/// Visits of a site.
pub fn visits(read: &impl Get, site: SiteId) -> Result<Vec<Listed<VisitId, VisitRow>>, StoreError> {
    listed(read, &row::visit_key(site, None), VisitId::from_slice)
}

/// Sheets of a visit.
pub fn sheets(
    read: &impl Get,
    site: SiteId,
    visit: VisitId,
) -> Result<Vec<Listed<ApplianceId, SheetRow>>, StoreError> {
    listed(read, &row::sheet_key(site, visit, None), ApplianceId::from_slice)
}

/// Every visit of an appliance, oldest day first.
pub fn history(
    read: &impl Get,
    site: SiteId,
    appliance: ApplianceId,
) -> Result<Vec<Listed<VisitId, SheetRow>>, StoreError> {
    let prefix = row::history_key(site, appliance, None);
    let mut found: Vec<Listed<VisitId, SheetRow>> = vec![];
    for (key, _) in read.under(Table::Rows, &prefix)? {
        let visit = VisitId::from_slice(&key[prefix.len()..]);
        let visit = visit.ok_or_else(|| unreadable(Table::Rows, "history key"))?;
        let sheet = read.get(Table::Rows, &row::sheet_key(site, visit, Some(appliance)))?;
        let row = sheet.and_then(|bytes| row::decode(&bytes)).unwrap_or_default();
        found.push(Listed { id: visit, row });
    }
    found.sort_by_key(|listed| listed.row.day);
    Ok(found)
}

fn listed<I, R>(
    read: &impl Get,
    prefix: &[u8],
    id: impl Fn(&[u8]) -> Option<I>,
) -> Result<Vec<Listed<I, R>>, StoreError>
where
    R: for<'b> minicbor::Decode<'b, ()>,
{
    let mut found = vec![];
    let end = crate::store::after(prefix);
    read.scan(Table::Rows, prefix, end.as_deref(), &mut |key, value| {
        if let (Some(id), Some(row)) = (id(&key[prefix.len()..]), row::decode(value)) {
            found.push(Listed { id, row });
        }
        true
    })?;
    Ok(found)
}
