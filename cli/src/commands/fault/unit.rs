//! What the record knows of a unit, for the search on the command line.

use client_core::fault::choice::Family;
use client_core::fault::history::{Learnt, Past, learn};
use client_core::fault::known::{Known, known};
use client_core::fault::table::{SymptomId, Table};
use client_core::fault::weights::{Here, Season};
use client_core::record::id::{ApplianceId, SiteId};
use client_core::record::row::SheetRow;
use client_core::trade::unit::Unit;

use crate::args::At;
use crate::book::Book;
use crate::desk::Desk;
use crate::entries;
use crate::error::Trouble;

/// Everything that the record knows.
#[derive(Default)]
pub(super) struct OfUnit {
    pub known: Known,
    pub site: String,
    air: Vec<String>,
    /// Earlier visits of the building: family, air, row.
    past: Vec<(Family, Vec<String>, SheetRow)>,
    month: u8,
}

/// Reads what is known of the unit that was named.
pub(super) fn of(desk: &mut Desk<'_>, at: &At, typed: &str) -> Result<OfUnit, Trouble> {
    let (book, site, appliance, _) = entries::appliance(desk, at, typed)?;
    let visit = entries::visit_if_any(desk, at)?;
    let table = Table::standard();
    let mut own = OfUnit {
        site: site.to_string(),
        air: air_of(&book, site, appliance),
        month: u8::try_from(desk.now().day().ymd().1).unwrap_or(0),
        ..OfUnit::default()
    };
    let ids: Vec<ApplianceId> =
        book.units.iter().filter(|(_, (of, _))| *of == site).map(|(id, _)| *id).collect();
    let mut before = None;
    for id in ids {
        let family = book.units.get(&id).and_then(|(_, row)| Family::from_key(row.family?.key()));
        let air = air_of(&book, site, id);
        for listed in desk.device()?.history(site, id)? {
            if Some(listed.id) == visit {
                continue;
            }
            if id == appliance && !listed.row.left.is_empty() {
                before = Some(listed.row.clone());
            }
            own.past.extend(family.map(|family| (family, air.clone(), listed.row)));
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
    if let Some((_, row)) = book.units.get(&appliance) {
        own.known.family =
            own.known.family.or_else(|| Family::from_key(row.family?.key()));
        own.known.tagged |= row.tagged || row.contested.iter().any(|key| key == "unit/status");
        let plate = row.plate.iter().find(|own| own.key == "plate/inlet_max");
        let most = plate.and_then(|own| own.figure.in_unit(Unit::InWc));
        own.known.signs.inlet_max_in_wc = own.known.signs.inlet_max_in_wc.or(most);
    }
    Ok(own)
}

fn air_of(book: &Book, site: SiteId, unit: ApplianceId) -> Vec<String> {
    let area = book.units.get(&unit).and_then(|(_, row)| row.area);
    let row = book.sites.iter().find(|(id, _)| *id == site).map(|(_, row)| row);
    let area = row.zip(area).and_then(|(row, area)| row.areas.iter().find(|own| own.id == area));
    area.map(|area| area.contaminants.clone()).unwrap_or_default()
}

impl OfUnit {
    /// Weights of the causes in this building.
    pub(super) fn learnt(&self, symptom: SymptomId, family: Family) -> Learnt {
        let words = |air: &'_ [String]| air.iter().map(String::clone).collect::<Vec<String>>();
        let airs: Vec<Vec<String>> = self.past.iter().map(|(_, air, _)| words(air)).collect();
        let airs: Vec<Vec<&str>> =
            airs.iter().map(|air| air.iter().map(String::as_str).collect()).collect();
        let pasts: Vec<Past<'_>> = self
            .past
            .iter()
            .zip(&airs)
            .map(|((family, _, row), air)| Past { site: &self.site, air, family: *family, row })
            .collect();
        let air: Vec<&str> = self.air.iter().map(String::as_str).collect();
        let here = Here {
            symptom,
            family,
            site: &self.site,
            air: &air,
            season: Season::of_month(self.month),
            age_years: None,
        };
        learn(Table::standard(), symptom, family, &here, &pasts)
    }
}
