//! What a screen may look at: a read-only view of the device at one moment.

use std::collections::BTreeMap;

use client_core::device::{EntryState, Listed, PhotosWaiting, Report};
use client_core::exchange::frame::PersonRow;
use client_core::present::say::figure;
use client_core::present::{Names, Say};
use client_core::record::code::{Phase, Role};
use client_core::record::doc_id::{DocId, DocKind};
use client_core::record::file::{UnitInVisit, VisitFile};
use client_core::record::id::{ApplianceId, EntryId, PersonId, SiteId, VisitId};
use client_core::record::phrase::{Phrase, Tongue};
use client_core::record::row::{SheetRow, SiteRow, UnitRow, VisitRow};
use client_core::record::value::{Day, Figure, Moment};

use crate::app::state::State;
use crate::settings::Settings;
use crate::words::Language;

/// A visit's sheet rows of one appliance, oldest first.
pub type History = Vec<Listed<VisitId, SheetRow>>;

/// One building with its visits.
#[derive(Debug)]
pub struct Building {
    /// The site.
    pub id: SiteId,
    /// Its row.
    pub row: SiteRow,
    /// Its visits.
    pub visits: Vec<Listed<VisitId, VisitRow>>,
    /// Entries that wait.
    pub unsent: u64,
    /// A first exchange is not done.
    pub coming: bool,
}

/// Lists from rows, as far as the screen needs them.
#[derive(Debug, Default)]
pub struct Lists {
    /// Buildings.
    pub buildings: Vec<Building>,
    /// The site in hand.
    pub site: SiteRow,
    /// The visit in hand.
    pub visit: VisitRow,
    /// Its units.
    pub units: Vec<Listed<ApplianceId, UnitRow>>,
    /// Its sheets.
    pub sheets: Vec<Listed<ApplianceId, SheetRow>>,
    /// Who takes which unit, and its place in the walk.
    pub plan: BTreeMap<ApplianceId, (Option<PersonId>, Option<i64>)>,
    /// Everybody known.
    pub people: Vec<PersonRow>,
    /// Earlier visits of the unit in hand.
    pub history: History,
    /// Units of the building at earlier visits, for the search of a fault.
    pub past: Vec<(ApplianceId, SheetRow)>,
    /// Entries on this phone only, all buildings.
    pub unsent: u64,
    /// Pictures on the way.
    pub photos: PhotosWaiting,
    /// Where the entry of the screen is.
    pub state: Option<EntryState>,
    /// Changes in quarantine.
    pub quarantined: usize,
}

/// Names for what records only number.
#[derive(Debug, Default)]
pub struct Book {
    /// People.
    pub people: BTreeMap<PersonId, String>,
    /// Units.
    pub units: BTreeMap<ApplianceId, String>,
    /// Areas and instruments.
    pub entries: BTreeMap<EntryId, String>,
    /// The language of the phone.
    pub language: Language,
}

impl Names for Book {
    fn person(&self, person: PersonId) -> String {
        self.people.get(&person).cloned().unwrap_or_else(|| person.short())
    }

    fn unit(&self, appliance: ApplianceId) -> String {
        self.units.get(&appliance).cloned().unwrap_or_else(|| appliance.short())
    }

    fn entry(&self, entry: EntryId) -> Option<String> {
        self.entries.get(&entry).cloned()
    }

    fn tongue(&self) -> &dyn Tongue {
        &self.language
    }
}

/// The view.
#[derive(Debug)]
pub struct See<'a> {
    /// Choices of this phone.
    pub set: &'a Settings,
    /// What is typed and chosen and not entered yet.
    pub state: &'a State,
    /// The wall clock.
    pub now: Moment,
    /// Who holds the phone.
    pub me: PersonId,
    /// Their role.
    pub role: Role,
    /// The site in hand.
    pub site: Option<SiteId>,
    /// The visit in hand.
    pub visit: Option<VisitId>,
    /// Lists.
    pub lists: &'a Lists,
    /// Names.
    pub book: &'a Book,
    /// The documents in hand.
    pub file: Option<&'a VisitFile<'a>>,
    /// What the last exchange brought.
    pub report: &'a Report,
}

impl<'a> See<'a> {
    /// The language.
    pub fn language(&self) -> Language {
        self.set.language()
    }

    /// A text in the person's language.
    pub fn t<'t>(&self, english: &'t str) -> &'t str {
        self.language().say(english)
    }

    /// A text with gaps.
    pub fn f(&self, english: &str, with: &[&str]) -> String {
        self.language().fill(english, with)
    }

    /// Says things with names and in the person's units.
    pub fn say(&self) -> Say<'_> {
        let system = self.set.metric.map(|_| self.set.system());
        Say { names: self.book, system }
    }

    /// A sentence of the core in the person's language.
    pub fn phrase(&self, phrase: &Phrase) -> String {
        phrase.say(&self.language())
    }

    /// A figure in the person's units.
    pub fn figure(&self, own: Figure) -> String {
        figure(own, self.set.metric.map(|_| self.set.system()))
    }

    /// A person's name; "you" for the reader.
    pub fn who(&self, person: PersonId) -> String {
        if person == self.me { self.t("you").to_owned() } else { self.first_name(person) }
    }

    /// A person's full name, or the short id.
    pub fn name(&self, person: PersonId) -> String {
        self.book.person(person)
    }

    /// A person's first name.
    pub fn first_name(&self, person: PersonId) -> String {
        let full = self.book.person(person);
        full.split(' ').next().unwrap_or_default().to_owned()
    }

    /// The unit in hand with its documents.
    pub fn unit(&self, appliance: ApplianceId) -> Option<&'a UnitInVisit<'a>> {
        self.file?.unit(appliance)
    }

    /// The row of a unit.
    pub fn unit_row(&self, appliance: ApplianceId) -> Option<&'a UnitRow> {
        self.lists.units.iter().find(|listed| listed.id == appliance).map(|listed| &listed.row)
    }

    /// The row of a sheet.
    pub fn sheet_row(&self, appliance: ApplianceId) -> Option<&'a SheetRow> {
        self.lists.sheets.iter().find(|listed| listed.id == appliance).map(|listed| &listed.row)
    }

    /// The unit no.
    pub fn unit_no(&self, appliance: ApplianceId) -> String {
        self.book.unit(appliance)
    }

    /// Today, by this phone.
    pub fn today(&self) -> Day {
        self.now.day()
    }

    /// The sheet of a unit in the visit in hand.
    pub fn sheet_doc(&self, appliance: ApplianceId) -> Option<DocId> {
        Some(DocId::new(self.site?, DocKind::Sheet(self.visit?, appliance)))
    }

    /// The last visit before this one at which something was read of the unit.
    pub fn last_time(&self) -> Option<&'a Listed<VisitId, SheetRow>> {
        let mut earlier = self.lists.history.iter().filter(|listed| Some(listed.id) != self.visit);
        earlier.rfind(|listed| listed.row.readings > 0)
    }

    /// A day as people write it: `22 Jan`, with the year where it is not this one.
    pub fn day(&self, day: Day) -> String {
        const MONTHS: [&str; 12] =
            ["Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"];
        let (year, month, number) = day.ymd();
        let index = usize::try_from(month).unwrap_or(1).clamp(1, 12) - 1;
        let month = self.t(MONTHS[index]);
        let (this, _, _) = self.today().ymd();
        if year == this { format!("{number} {month}") } else { format!("{number} {month} {year}") }
    }
}

/// The word of a phase as it stands in its frame.
pub const fn phase_word(phase: Phase) -> &'static str {
    match phase {
        Phase::AsFound => "FOUND",
        Phase::AsLeft => "LEFT",
        _ => "WORK",
    }
}

/// The class of a phase's frame.
pub const fn phase_class(phase: Phase) -> &'static str {
    match phase {
        Phase::AsFound => "found",
        Phase::AsLeft => "left",
        _ => "work",
    }
}
