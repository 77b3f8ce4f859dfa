//! The plan of a day and what the truck needs: what earlier visits say about today.

use std::collections::BTreeMap;

use client_core::pattern::Day as PatternDay;
use client_core::pattern::morning::{self, Line, Status as PlanStatus, Unit as PlanUnit};
use client_core::pattern::repeats::{Finding, repeats};
use client_core::pattern::van::{Carry, Used, carry};
use client_core::record::body::{Body, Kind};
use client_core::record::code::{AdvisorySeverity, Outcome, Status};
use client_core::record::id::{ApplianceId, SiteId, VisitId};
use client_core::record::row::{SheetRow, UnitRow};
use client_core::record::value::Day;

use super::{GatherWrong, Gatherer, Records};
use crate::kind::Model;
use crate::morning::{MorningSheet, Plan};
use crate::restock::RestockList;

/// A part as an earlier visit used it.
struct UsedPart {
    part: String,
    visit: String,
    quantity: f64,
    cause: Option<String>,
}

/// What earlier visits say about a unit.
struct Earlier {
    id: ApplianceId,
    row: UnitRow,
    area: String,
    sheets: Vec<SheetRow>,
}

impl<R: Records> Gatherer<'_, R> {
    /// The plan of a day.
    pub(super) fn morning(&mut self, site: SiteId, visit: VisitId) -> Result<Model, GatherWrong> {
        let used = self.used(site, visit)?;
        let parts = lent(&used.0);
        let carried = carry(&parts, used.1);
        let earlier = self.earlier(site, visit)?;
        let until = self.records.visits(site)?.into_iter().find(|listed| listed.id == visit);
        let day = until.and_then(|listed| listed.row.day).and_then(pattern_day);
        let units: Vec<(ApplianceId, UnitRow)> =
            earlier.iter().map(|own| (own.id, own.row.clone())).collect();
        let last: BTreeMap<ApplianceId, SheetRow> =
            earlier.iter().filter_map(|own| Some((own.id, own.sheets.last()?.clone()))).collect();
        let order = order(&earlier, day);
        let sheet = self.on_visit(site, visit, |source| {
            let plan = Plan { units: &units, last: &last, order: &order, carry: &carried };
            MorningSheet::of(source, &plan)
        })?;
        Ok(Model::Morning(Box::new(sheet)))
    }

    /// What the truck needs.
    pub(super) fn restock(&mut self, site: SiteId, visit: VisitId) -> Result<Model, GatherWrong> {
        let used = self.used(site, visit)?;
        let parts = lent(&used.0);
        let carried: Vec<Carry<'_>> = carry(&parts, used.1);
        let list = self.on_visit(site, visit, |source| RestockList::of(source, &carried))?;
        Ok(Model::Restock(Box::new(list)))
    }

    /// Parts used at the visits up to one of them, and how many visits those are.
    fn used(&mut self, site: SiteId, last: VisitId) -> Result<(Vec<UsedPart>, usize), GatherWrong> {
        let visits = self.records.visits(site)?;
        let until = visits.iter().find(|listed| listed.id == last).and_then(|own| own.row.day);
        let before = visits.into_iter().filter(|listed| match (listed.row.day, until) {
            (Some(day), Some(until)) => day <= until && listed.row.entries > 0,
            _ => listed.id == last,
        });
        let before: Vec<VisitId> = before.map(|listed| listed.id).collect();
        let mut found = vec![];
        for visit in &before {
            found.extend(self.on_visit(site, *visit, |source| parts(source.file))?);
        }
        Ok((found, before.len()))
    }

    fn earlier(&self, site: SiteId, visit: VisitId) -> Result<Vec<Earlier>, GatherWrong> {
        let areas = self.areas(site)?;
        let mut found = vec![];
        for listed in self.records.units(site)? {
            let history = self.records.history(site, listed.id)?.into_iter();
            let sheets = history.filter(|own| own.id != visit && own.row.entries > 0);
            found.push(Earlier {
                area: areas.get(&listed.id).cloned().unwrap_or_default(),
                sheets: sheets.map(|own| own.row).collect(),
                id: listed.id,
                row: listed.row,
            });
        }
        Ok(found)
    }
}

fn parts(file: &client_core::record::file::VisitFile<'_>) -> Vec<UsedPart> {
    use client_core::record::contradiction::counted_twice;
    let mut found = vec![];
    for sheet in file.units.iter().filter_map(|unit| unit.sheet.as_ref()) {
        let doubles = counted_twice(&sheet.read);
        let cause = sheet.read.counted(Kind::Finding).find_map(|entry| match &entry.body {
            Body::Finding(finding) => Some(finding.cause.clone()),
            _ => None,
        });
        for entry in sheet.read.counted(Kind::Part).filter(|own| !doubles.contains(&own.id)) {
            if let Body::Part(part) = &entry.body {
                found.push(UsedPart {
                    part: part.part.clone(),
                    visit: file.visit.to_string(),
                    quantity: part.quantity.digits.to_f64(),
                    cause: cause.clone(),
                });
            }
        }
    }
    found
}

fn lent(used: &[UsedPart]) -> Vec<Used<'_>> {
    used.iter()
        .map(|own| Used {
            part: &own.part,
            visit: &own.visit,
            quantity: own.quantity,
            cause: own.cause.as_deref(),
        })
        .collect()
}

fn pattern_day(day: Day) -> Option<PatternDay> {
    let (year, month, of_month) = day.ymd();
    PatternDay::new(year, month, of_month)
}

/// Units in the order in which they are worth a climb. Empty where the visit has no day.
fn order(earlier: &[Earlier], day: Option<PatternDay>) -> Vec<Line<'_>> {
    let Some(day) = day else { return vec![] };
    let findings: Vec<Finding<'_>> = earlier
        .iter()
        .flat_map(|own| own.sheets.iter().map(move |sheet| (own, sheet)))
        .filter_map(|(own, sheet)| Some((own, sheet, sheet.day.and_then(pattern_day)?)))
        .flat_map(|(own, sheet, day)| {
            sheet.causes.iter().map(move |cause| Finding {
                unit: &own.row.unit_no,
                area: &own.area,
                cause,
                day,
                hours: None,
            })
        })
        .collect();
    let repeated = repeats(&findings);
    let units: Vec<PlanUnit<'_>> = earlier
        .iter()
        .map(|own| PlanUnit {
            unit: &own.row.unit_no,
            area: &own.area,
            status: status(&own.row),
            urgent: own.row.advisories.iter().any(|one| {
                matches!(one.severity, AdvisorySeverity::Urgent | AdvisorySeverity::ShutDown)
            }),
            complaint: own.row.status == Status::ControlLockedOut,
            reach: None,
            repeats: repeated.iter().filter(|one| one.unit == own.row.unit_no).count(),
            missed: own.sheets.last().is_some_and(|row| row.outcome == Some(Outcome::NotReached)),
            minutes: 0.0,
        })
        .collect();
    morning::order(&units, day)
}

fn status(row: &UnitRow) -> PlanStatus {
    match row.status {
        _ if row.tagged => PlanStatus::Tagged,
        Status::InService => PlanStatus::InService,
        Status::InServicePartAwaited => PlanStatus::PartAwaited,
        Status::Watch => PlanStatus::Watch,
        Status::ShutDownTagged => PlanStatus::Tagged,
        Status::ControlLockedOut => PlanStatus::LockedOut,
        _ => PlanStatus::Unknown,
    }
}
