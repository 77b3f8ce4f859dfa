//! What waits, over all sites, out of rows alone: no document is opened.

use client_core::device::Listed;
use client_core::present::Names as _;
use client_core::record::code::{AdvisorySeverity, Status};
use client_core::record::id::{ApplianceId, SiteId, VisitId};
use client_core::record::row::{SiteRow, UnitRow, VisitRow};
use serde::Serialize;
use utoipa::ToSchema;

use super::{Book, Named};

/// A visit in a list.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, ToSchema)]
pub struct VisitLine {
    /// The visit.
    pub id: String,
    /// The site.
    pub site: Named,
    /// The day.
    pub day: Option<String>,
    /// Why somebody came.
    pub kind: String,
    /// Reference.
    pub reference: Option<String>,
    /// Who entered something.
    pub people: Vec<String>,
    /// Units with a sheet, done, not reached.
    pub units: (u32, u32, u32),
    /// Readings.
    pub readings: u32,
    /// Open contradictions of head and sheets.
    pub contradictions: u32,
    /// Who signed, and as what.
    pub signed: Vec<String>,
    /// A supervisor signed.
    pub released: bool,
}

/// A unit in a list.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, ToSchema)]
pub struct UnitLine {
    /// The unit.
    pub unit: Named,
    /// The site.
    pub site: Named,
    /// Area.
    pub area: Option<String>,
    /// Kind in words.
    pub kind: Option<String>,
    /// Status that governs.
    pub status: String,
    /// Key of the status, for its shape.
    pub status_key: String,
    /// Registers with two answers.
    pub contested: Vec<String>,
    /// A shut-down record is in force.
    pub tagged: bool,
    /// Open advisories, the most severe first: severity and words.
    pub advisories: Vec<(String, String)>,
    /// Open questions to the manufacturer.
    pub questions: u32,
    /// The unit it was merged into.
    pub merged_into: Option<Named>,
}

/// A site in a list.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, ToSchema)]
pub struct SiteLine {
    /// The site.
    pub site: Named,
    /// Town.
    pub town: Option<String>,
    /// Customer.
    pub customer: Option<String>,
    /// Appliances on the roster.
    pub units: usize,
    /// Shut down.
    pub shut_down: usize,
    /// Visits that no supervisor has signed.
    pub open_visits: usize,
    /// The last day somebody came.
    pub last_day: Option<String>,
}

/// Everything that waits.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, ToSchema)]
pub struct Home {
    /// Units that are shut down, or whose safety words have two answers.
    pub safety: Vec<UnitLine>,
    /// Visits that no supervisor has signed, those with contradictions first, oldest first.
    pub open: Vec<VisitLine>,
    /// Visits that wait beyond those listed.
    pub open_more: usize,
    /// Visits signed by a supervisor, newest first, the last few.
    pub signed: Vec<VisitLine>,
    /// Open questions to manufacturers.
    pub questions: u32,
    /// Sites.
    pub sites: usize,
}

/// Rows of one site.
#[derive(Debug)]
pub struct SiteRows {
    /// The site.
    pub id: SiteId,
    /// Its row.
    pub row: SiteRow,
    /// Units.
    pub units: Vec<Listed<ApplianceId, UnitRow>>,
    /// Visits.
    pub visits: Vec<Listed<VisitId, VisitRow>>,
}

impl SiteRows {
    /// The site with its name.
    pub fn named(&self) -> Named {
        Named::new(self.id, self.row.name.clone().unwrap_or_else(|| self.id.short()))
    }

    /// Every unit, by number.
    pub fn unit_lines(&self, book: &Book) -> Vec<UnitLine> {
        let site = self.named();
        let mut lines: Vec<UnitLine> =
            self.units.iter().map(|unit| unit_line(&site, unit, book)).collect();
        lines.sort_by(|one, other| one.unit.cmp_name(&other.unit));
        lines
    }

    /// Every visit, newest first.
    pub fn visit_lines(&self, book: &Book) -> Vec<VisitLine> {
        let site = self.named();
        let mut lines: Vec<VisitLine> =
            self.visits.iter().map(|visit| visit_line(&site, visit, book)).collect();
        lines.sort_by(|one, other| other.day.cmp(&one.day).then(one.id.cmp(&other.id)));
        lines
    }

    /// The site in a list.
    pub fn line(&self) -> SiteLine {
        let days = self.visits.iter().filter_map(|visit| visit.row.day);
        SiteLine {
            site: self.named(),
            town: self.row.town.clone(),
            customer: self.row.customer.clone(),
            units: self.units.len().max(self.row.roster.len()),
            shut_down: self.units.iter().filter(|unit| unit.row.tagged).count(),
            open_visits: self.visits.iter().filter(|visit| !visit.row.released()).count(),
            last_day: days.max().map(|day| day.to_string()),
        }
    }
}

impl Named {
    /// Order by name, then by id.
    pub fn cmp_name(&self, other: &Named) -> std::cmp::Ordering {
        (&self.name, &self.id).cmp(&(&other.name, &other.id))
    }
}

/// Signed visits that the home page still shows.
const SIGNED_SHOWN: usize = 20;

/// Visits that wait and are listed at once: more are a matter for the list of all visits.
const OPEN_SHOWN: usize = 100;

/// What waits, over these sites.
pub fn home(sites: &[SiteRows], book: &Book) -> Home {
    let mut home = Home { sites: sites.len(), ..Home::default() };
    let (mut open, mut signed) = (vec![], vec![]);
    for site in sites {
        let named = site.named();
        for unit in &site.units {
            home.questions += unit.row.questions;
            if unit.row.merged_into.is_none() && waits(&unit.row) {
                home.safety.push(unit_line(&named, unit, book));
            }
        }
        for visit in &site.visits {
            if visit.row.released() { signed.push((site, visit)) } else { open.push((site, visit)) }
        }
    }
    home.safety.sort_by(|one, other| {
        (!one.tagged, &one.site.name, &one.unit.name).cmp(&(
            !other.tagged,
            &other.site.name,
            &other.unit.name,
        ))
    });
    // Rows are sorted as they are: only those that are listed are put into words.
    open.sort_by_key(|(_, visit)| (visit.row.contradictions == 0, visit.row.day));
    signed.sort_by_key(|(_, visit)| std::cmp::Reverse(visit.row.day));
    home.open_more = open.len().saturating_sub(OPEN_SHOWN);
    let lines = |all: Vec<(&SiteRows, &Listed<VisitId, VisitRow>)>, most| {
        let all = all.into_iter().take(most);
        all.map(|(site, visit)| visit_line(&site.named(), visit, book)).collect()
    };
    home.open = lines(open, OPEN_SHOWN);
    home.signed = lines(signed, SIGNED_SHOWN);
    home
}

/// Whether a unit is one of the first things to look at.
fn waits(row: &UnitRow) -> bool {
    let status = matches!(row.status, Status::ShutDownTagged | Status::ControlLockedOut);
    row.tagged || status || row.contested.iter().any(|key| key == "unit/status")
}

/// A visit in a list.
pub fn visit_line(site: &Named, visit: &Listed<VisitId, VisitRow>, book: &Book) -> VisitLine {
    let row = &visit.row;
    VisitLine {
        id: visit.id.to_string(),
        site: site.clone(),
        day: row.day.map(|day| day.to_string()),
        kind: row.kind.map_or("visit", client_core::record::code::VisitKind::says).to_owned(),
        reference: row.reference.clone(),
        people: row.persons.iter().map(|person| book.person(*person)).collect(),
        units: (row.units, row.done, row.not_reached),
        readings: row.readings,
        contradictions: row.contradictions,
        signed: row
            .signed
            .iter()
            .map(|signed| format!("{}, {}", book.person(signed.person), signed.role.says()))
            .collect(),
        released: row.released(),
    }
}

/// Characters that a row keeps of an advisory.
const KEPT: usize = 120;

/// Words of a row that was cut: they end with a whole word, and say that more follows.
fn cut(text: &str) -> String {
    if text.chars().count() < KEPT {
        return text.to_owned();
    }
    let whole = text.rsplit_once(char::is_whitespace).map_or(text, |(whole, _)| whole);
    format!("{} ...", whole.trim_end_matches(['.', ',', ';', ':']))
}

/// A unit in a list.
pub fn unit_line(site: &Named, unit: &Listed<ApplianceId, UnitRow>, book: &Book) -> UnitLine {
    let row = &unit.row;
    let mut advisories = row.advisories.clone();
    let rank = |severity: AdvisorySeverity| {
        AdvisorySeverity::ALL.iter().position(|known| *known == severity)
    };
    advisories.sort_by_key(|one| std::cmp::Reverse(rank(one.severity)));
    UnitLine {
        unit: Named::new(unit.id, row.unit_no.clone()),
        site: site.clone(),
        area: row.area.and_then(|area| book.entry(area)),
        kind: row.kind.clone(),
        status: row.status.says().to_owned(),
        status_key: row.status.key().to_owned(),
        contested: row.contested.clone(),
        tagged: row.tagged,
        advisories: advisories
            .iter()
            .map(|one| (one.severity.says().to_owned(), cut(&one.text)))
            .collect(),
        questions: row.questions,
        merged_into: row.merged_into.map(|into| Named::new(into, book.unit(into))),
    }
}
