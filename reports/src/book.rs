//! What a report is gathered from, and the names in it.

use std::collections::BTreeMap;

use client_core::present::say::{Names, short};
use client_core::record::body::{Body, Kind};
use client_core::record::field::{Field, FieldValue, Of};
use client_core::record::file::VisitFile;
use client_core::record::id::{ApplianceId, EntryId, PersonId};
use client_core::record::merged::Merged;
use client_core::record::read::Read;

/// The firm that hands the report out.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Firm {
    /// Its name.
    pub name: String,
    /// The number to call.
    pub phone: Option<String>,
}

/// A person as the directory knows them.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Person {
    /// Name; none after it was erased.
    pub name: Option<String>,
    /// Licence in words.
    pub licence: Option<String>,
}

/// What a report of a visit is gathered from.
#[derive(Clone, Copy, Debug)]
pub struct Source<'a> {
    /// The visit.
    pub file: &'a VisitFile<'a>,
    /// People by number.
    pub people: &'a BTreeMap<PersonId, Person>,
    /// The firm.
    pub firm: &'a Firm,
}

/// Names of what records only number, owned by the report.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Book {
    people: BTreeMap<PersonId, Person>,
    units: BTreeMap<ApplianceId, String>,
    entries: BTreeMap<EntryId, String>,
    areas: BTreeMap<EntryId, String>,
}

impl Book {
    /// The names that a visit uses.
    pub fn of(source: &Source<'_>) -> Book {
        let mut book = Book { people: source.people.clone(), ..Book::default() };
        if let Some(site) = source.file.site {
            book.site(site);
        }
        if let Some(company) = source.file.company {
            for entry in company.shown(Kind::Instrument) {
                if let Body::Instrument(instrument) = &entry.body {
                    book.entries.insert(entry.id, instrument.label.clone());
                }
            }
        }
        for unit in &source.file.units {
            book.units.insert(unit.appliance, unit.unit_no());
        }
        book
    }

    /// The names of a site's places and units.
    fn site(&mut self, site: &Read) {
        for entry in &site.entries {
            match &entry.body {
                Body::Area(area) => {
                    let field = Field::named("area/{}/name").about(Of::Entry(entry.id));
                    let name = text(site.field(&field)).unwrap_or_else(|| area.label.clone());
                    self.areas.insert(entry.id, name);
                    self.entries.insert(entry.id, area.label.clone());
                }
                Body::Position(position) => {
                    self.entries.insert(entry.id, position.label.clone());
                }
                Body::Roster(roster) => {
                    self.units.insert(roster.appliance, roster.unit_no.clone());
                }
                _ => {}
            }
        }
    }

    /// A person's licence.
    pub fn licence(&self, person: PersonId) -> Option<&str> {
        self.people.get(&person)?.licence.as_deref()
    }

    /// An area's name.
    pub fn area(&self, area: EntryId) -> Option<&str> {
        self.areas.get(&area).map(String::as_str)
    }

    /// Adds the names of another report's book.
    pub fn add(&mut self, other: &Book) {
        self.people.extend(other.people.clone());
        self.units.extend(other.units.clone());
        self.entries.extend(other.entries.clone());
        self.areas.extend(other.areas.clone());
    }
}

impl Names for Book {
    fn person(&self, person: PersonId) -> String {
        let known = self.people.get(&person).and_then(|known| known.name.clone());
        known.unwrap_or_else(|| person.short())
    }

    fn unit(&self, appliance: ApplianceId) -> String {
        self.units.get(&appliance).cloned().unwrap_or_else(|| appliance.short())
    }

    fn entry(&self, entry: EntryId) -> Option<String> {
        self.entries.get(&entry).cloned()
    }
}

impl Book {
    /// An entry by its name, or its short number.
    pub fn entry_or_short(&self, entry: EntryId) -> String {
        self.entry(entry).unwrap_or_else(|| short(entry))
    }
}

/// The text of a register that one answer governs.
pub fn text(merged: Option<&Merged>) -> Option<String> {
    match merged?.governs().map(|said| &said.value) {
        Some(FieldValue::Text(text)) => Some(text.clone()),
        _ => None,
    }
}
