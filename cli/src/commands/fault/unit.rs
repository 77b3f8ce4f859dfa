//! What the record knows of a unit, for the search on the command line.

use client_core::fault::choice::Family;
use client_core::fault::history::{Learnt, Place};
use client_core::fault::known::{Known, known};
use client_core::fault::table::{SymptomId, Table};
use client_core::record::id::ApplianceId;
use client_core::record::row::{SheetRow, SiteRow, UnitRow};
use client_core::record::value::Day;
use client_core::trade::unit::Unit;

use crate::args::At;
use crate::desk::Desk;
use crate::entries;
use crate::error::Trouble;

/// Everything that the record knows.
#[derive(Default)]
pub(super) struct OfUnit {
    pub known: Known,
    site: String,
    row: SiteRow,
    unit: Option<UnitRow>,
    /// Earlier visits of the building.
    past: Vec<(UnitRow, SheetRow)>,
    today: Option<Day>,
}

/// Reads what is known of the unit that was named.
pub(super) fn of(desk: &mut Desk<'_>, at: &At, typed: &str) -> Result<OfUnit, Trouble> {
    let (book, site, appliance, _) = entries::appliance(desk, at, typed)?;
    let visit = entries::visit_if_any(desk, at)?;
    let table = Table::standard();
    let mut own = OfUnit {
        site: site.to_string(),
        row: book.site_row(site),
        unit: book.units.get(&appliance).map(|(_, row)| row.clone()),
        today: Some(desk.now().day()),
        ..OfUnit::default()
    };
    let units: Vec<(ApplianceId, &UnitRow)> =
        book.units.iter().filter(|(_, (of, _))| *of == site).map(|(id, (_, row))| (*id, row)).collect();
    let mut before = None;
    for (id, row) in units {
        for listed in desk.device()?.history(site, id)? {
            if Some(listed.id) == visit {
                continue;
            }
            if id == appliance && !listed.row.left.is_empty() {
                before = Some(listed.row.clone());
            }
            own.past.push((row.clone(), listed.row));
        }
    }
    if let Some(visit) = visit {
        let opened = desk.device()?.open_visit(site, visit)?;
        let file = opened.file();
        if let Some(unit) = file.unit(appliance) {
            own.known = known(table, &file, unit, before.as_ref());
        }
    }
    // Rows know the family, the tag and the plate when the visit has nothing of the unit yet.
    if let Some(row) = &own.unit {
        own.known.family =
            own.known.family.or_else(|| Family::from_key(row.family?.key()));
        own.known.tagged |= row.tagged || row.contested.iter().any(|key| key == "unit/status");
        let most = row.plate_in("plate/inlet_max", Unit::InWc);
        own.known.signs.inlet_max_in_wc = own.known.signs.inlet_max_in_wc.or(most);
    }
    Ok(own)
}

impl OfUnit {
    /// Weights of the causes in this building; the general ones where no unit was named.
    pub(super) fn learnt(&self, table: &Table, symptom: SymptomId, family: Family) -> Learnt {
        let Some(today) = self.today else { return Learnt::default() };
        let place = Place { site: &self.site, row: &self.row, unit: self.unit.as_ref(), today };
        place.learn(table, symptom, family, self.past.iter().map(|(unit, row)| (unit, row)))
    }
}
