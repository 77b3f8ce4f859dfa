//! Gathers the models from where the record is: a device's store, or the view behind a hub's log.

mod plan;
mod records;

use std::collections::BTreeMap;

use client_core::device::DeviceError;
use client_core::record::id::{ApplianceId, EntryId, SiteId, VisitId};
use client_core::record::value::Day;

use crate::book::{Firm, Person, Source};
use crate::customer::CustomerPage;
use crate::dossier::{UnitDossier, UnitVisit};
use crate::kind::Model;
use crate::question::QuestionSheet;
use crate::register::{DifferencesRegister, VisitDifferences};
use crate::slip::{ColumnSlip, FlueSlip, ShutDownSlip};
use crate::trend::PastVisit;
use crate::visit::VisitRecord;

pub use records::Records;

type People = BTreeMap<client_core::record::id::PersonId, Person>;

/// Why there is no such report.
#[derive(Debug, thiserror::Error)]
pub enum GatherWrong {
    /// The device could not read it.
    #[error(transparent)]
    Device(#[from] DeviceError),
    /// The unit has no visit on this device.
    #[error("the unit has no visit on this device")]
    NoVisit,
    /// The site has no visit on this device.
    #[error("the site has no visit with entries on this device")]
    NoVisitAtSite,
    /// The unit is not in the visit.
    #[error("the unit is not in this visit")]
    NotInVisit,
    /// No shut-down record of the unit is in force.
    #[error("no shut-down record of the unit is in force, so there is no such slip")]
    NotShutDown,
    /// No flue figure of the unit was read.
    #[error("no flue figure of the unit was read in this visit, so there is no such slip")]
    NoFlue,
    /// There is no such question.
    #[error("there is no such question on this device")]
    NoQuestion,
}

/// Which report is wanted, of a site.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Wanted {
    /// The customer's page of a visit.
    Customer(VisitId),
    /// The supervisor's record of a visit.
    Visit(VisitId),
    /// Everything on record of one unit.
    Unit(ApplianceId),
    /// The sheet of a question to a manufacturer.
    Question(ApplianceId, EntryId),
    /// The plan of a day.
    Morning(VisitId),
    /// What the truck needs after a visit.
    Restock(VisitId),
    /// Everything that two people said differently at the site.
    Differences,
    /// The slip on the column, and when somebody should come again.
    Column(VisitId, ApplianceId, Option<Day>),
    /// The slip of a unit that is shut down.
    ShutDown(VisitId, ApplianceId),
    /// The slip of a flue test.
    Flue(VisitId, ApplianceId),
}

/// Gathers models for a firm.
#[derive(Debug)]
pub struct Gatherer<'r, R> {
    records: &'r mut R,
    firm: Firm,
    people: People,
}

impl<'r, R: Records> Gatherer<'r, R> {
    /// Out of these records, for a firm.
    pub fn new(records: &'r mut R, firm: Firm) -> Result<Gatherer<'r, R>, GatherWrong> {
        let people = records.people()?.into_iter();
        let people = people
            .map(|row| (row.person, Person { name: row.name, licence: row.licence }))
            .collect();
        Ok(Gatherer { records, firm, people })
    }

    /// The model that is wanted.
    pub fn model(&mut self, site: SiteId, wanted: Wanted) -> Result<Model, GatherWrong> {
        match wanted {
            Wanted::Customer(visit) => self.customer(site, visit),
            Wanted::Visit(visit) => self.visit(site, visit),
            Wanted::Unit(unit) => self.unit(site, unit),
            Wanted::Question(unit, question) => self.question(site, unit, question),
            Wanted::Morning(visit) => self.morning(site, visit),
            Wanted::Restock(visit) => self.restock(site, visit),
            Wanted::Differences => self.differences(site),
            Wanted::Column(visit, unit, next) => self.column(site, visit, unit, next),
            Wanted::ShutDown(visit, unit) => self.shut_down(site, visit, unit),
            Wanted::Flue(visit, unit) => self.flue(site, visit, unit),
        }
    }

    /// Calls `gather` with a visit laid out.
    fn on_visit<T>(
        &mut self,
        site: SiteId,
        visit: VisitId,
        gather: impl FnOnce(&Source<'_>) -> T,
    ) -> Result<T, GatherWrong> {
        let opened = self.records.open(site, visit, None)?;
        let file = opened.file();
        Ok(gather(&Source { file: &file, people: &self.people, firm: &self.firm }))
    }

    /// Calls `gather` with one unit of a visit laid out.
    fn on_unit<T>(
        &mut self,
        site: SiteId,
        visit: VisitId,
        unit: ApplianceId,
        gather: impl FnOnce(&Source<'_>) -> T,
    ) -> Result<T, GatherWrong> {
        let opened = self.records.open(site, visit, Some(unit))?;
        let file = opened.file();
        Ok(gather(&Source { file: &file, people: &self.people, firm: &self.firm }))
    }

    /// The customer's page of a visit.
    fn customer(&mut self, site: SiteId, visit: VisitId) -> Result<Model, GatherWrong> {
        let past = self.past(site, visit)?;
        let areas = self.areas(site)?;
        let page = self.on_visit(site, visit, |source| CustomerPage::of(source, &past, &areas))?;
        Ok(Model::Customer(Box::new(page)))
    }

    /// The record of a visit itself, for exports.
    pub fn record(&mut self, site: SiteId, visit: VisitId) -> Result<VisitRecord, GatherWrong> {
        self.on_visit(site, visit, VisitRecord::of)
    }

    /// The supervisor's record of a visit.
    fn visit(&mut self, site: SiteId, visit: VisitId) -> Result<Model, GatherWrong> {
        let record = self.record(site, visit)?;
        Ok(Model::Visit(Box::new(record)))
    }

    /// Everything that two people said differently at a site.
    fn differences(&mut self, site: SiteId) -> Result<Model, GatherWrong> {
        let mut found = vec![];
        for listed in self.records.visits(site)? {
            if listed.row.entries > 0 {
                found.push(self.on_visit(site, listed.id, VisitDifferences::of)?);
            }
        }
        let register = DifferencesRegister::of(found).ok_or(GatherWrong::NoVisitAtSite)?;
        Ok(Model::Differences(Box::new(register)))
    }

    /// Everything on record of one unit.
    fn unit(&mut self, site: SiteId, unit: ApplianceId) -> Result<Model, GatherWrong> {
        let visits = |records: &R, unit| -> Result<Vec<VisitId>, GatherWrong> {
            Ok(records.history(site, unit)?.into_iter().map(|listed| listed.id).collect())
        };
        let own = visits(self.records, unit)?;
        let mut found = vec![];
        // What was entered under another number, for a unit that was merged into this one, is evidence for
        // this one: beside its own where both stand in a visit, else as a visit of its own.
        let units = self.records.units(site)?.into_iter();
        let merged = units.filter(|listed| listed.row.merged_into == Some(unit));
        let merged: Vec<ApplianceId> = merged.map(|listed| listed.id).collect();
        for other in &merged {
            for visit in visits(self.records, *other)? {
                if !own.contains(&visit) {
                    let of = |source: &Source<'_>| UnitVisit::of(source, *other);
                    found.extend(self.on_unit(site, visit, *other, of)?);
                    let of = |source: &Source<'_>| UnitVisit::of(source, unit);
                    found.extend(self.on_unit(site, visit, unit, of)?);
                }
            }
        }
        for visit in own {
            let of = |source: &Source<'_>| UnitVisit::of(source, unit);
            found.extend(match merged.is_empty() {
                true => self.on_unit(site, visit, unit, of)?,
                false => self.on_visit(site, visit, of)?,
            });
        }
        let dossier = UnitDossier::of(found).ok_or(GatherWrong::NoVisit)?;
        Ok(Model::Unit(Box::new(dossier)))
    }

    /// The sheet of a question to a manufacturer, with the figures of the unit's last visit.
    fn question(
        &mut self,
        site: SiteId,
        unit: ApplianceId,
        question: EntryId,
    ) -> Result<Model, GatherWrong> {
        let visit = self.last_visit(site, unit)?.ok_or(GatherWrong::NoVisit)?;
        let sheet =
            self.on_unit(site, visit, unit, |source| QuestionSheet::of(source, question))?;
        Ok(Model::Question(Box::new(sheet.ok_or(GatherWrong::NoQuestion)?)))
    }

    /// The slip on the column of a unit.
    fn column(
        &mut self,
        site: SiteId,
        visit: VisitId,
        unit: ApplianceId,
        next: Option<Day>,
    ) -> Result<Model, GatherWrong> {
        let slip = self.on_unit(site, visit, unit, |source| ColumnSlip::of(source, unit, next))?;
        Ok(Model::Column(Box::new(slip.ok_or(GatherWrong::NotInVisit)?)))
    }

    /// The slip of a unit that is shut down.
    fn shut_down(
        &mut self,
        site: SiteId,
        visit: VisitId,
        unit: ApplianceId,
    ) -> Result<Model, GatherWrong> {
        let slip = self.on_unit(site, visit, unit, |source| ShutDownSlip::of(source, unit))?;
        Ok(Model::ShutDown(Box::new(slip.ok_or(GatherWrong::NotShutDown)?)))
    }

    /// The slip of a flue test.
    fn flue(
        &mut self,
        site: SiteId,
        visit: VisitId,
        unit: ApplianceId,
    ) -> Result<Model, GatherWrong> {
        let slip = self.on_unit(site, visit, unit, |source| FlueSlip::of(source, unit))?;
        Ok(Model::Flue(Box::new(slip.ok_or(GatherWrong::NoFlue)?)))
    }

    /// Visits of a site up to one of them, oldest first.
    fn past(&self, site: SiteId, last: VisitId) -> Result<Vec<PastVisit>, GatherWrong> {
        let visits = self.records.visits(site)?;
        let until = visits.iter().find(|listed| listed.id == last).and_then(|own| own.row.day);
        let mut past = vec![];
        for listed in &visits {
            let Some(day) = listed.row.day else { continue };
            if listed.id != last && until.is_some_and(|until| day > until) {
                continue;
            }
            let sheets = self.records.sheets(site, listed.id)?;
            past.push(PastVisit::of(day, sheets.iter().map(|sheet| (sheet.id, &sheet.row))));
        }
        past.retain(|visit| !visit.sheets.is_empty());
        past.sort_by_key(|visit| visit.day);
        Ok(past)
    }

    /// Where each unit of a site hangs.
    fn areas(&self, site: SiteId) -> Result<BTreeMap<ApplianceId, String>, GatherWrong> {
        let areas = self.records.site(site)?.unwrap_or_default().areas;
        let name = |id: EntryId| {
            let area = areas.iter().find(|area| area.id == id)?;
            Some(area.name.clone().unwrap_or_else(|| area.label.clone()))
        };
        let units = self.records.units(site)?.into_iter();
        let hangs = units.filter(|listed| listed.row.merged_into.is_none());
        Ok(hangs.filter_map(|listed| Some((listed.id, name(listed.row.area?)?))).collect())
    }

    fn last_visit(&self, site: SiteId, unit: ApplianceId) -> Result<Option<VisitId>, GatherWrong> {
        let history = self.records.history(site, unit)?;
        Ok(history.last().map(|listed| listed.id))
    }
}
