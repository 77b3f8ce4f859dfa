//! Names of everything that a page speaks of.

use std::collections::BTreeMap;

use client_core::device::Listed;
use client_core::exchange::frame::PersonRow;
use client_core::present::Names;
use client_core::record::body::{Body, Kind};
use client_core::record::id::{ApplianceId, EntryId, PersonId};
use client_core::record::read::Read;
use client_core::record::row::{SiteRow, UnitRow};

use super::Named;

/// Names.
#[derive(Clone, Debug, Default)]
pub struct Book {
    people: BTreeMap<PersonId, PersonRow>,
    units: BTreeMap<ApplianceId, String>,
    entries: BTreeMap<EntryId, String>,
}

impl Names for Book {
    fn person(&self, person: PersonId) -> String {
        let known = self.people.get(&person).and_then(|row| row.name.clone());
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
    /// Names out of the directory.
    pub fn of(people: BTreeMap<PersonId, PersonRow>) -> Book {
        Book { people, ..Book::default() }
    }

    /// Adds what a site's rows name.
    pub fn add_site(&mut self, site: &SiteRow, units: &[Listed<ApplianceId, UnitRow>]) {
        for area in &site.areas {
            self.entries.insert(area.id, area.label.clone());
        }
        for unit in &site.roster {
            self.units.insert(unit.appliance, unit.unit_no.clone());
        }
        for unit in units {
            self.units.insert(unit.id, unit.row.unit_no.clone());
        }
    }

    /// Adds the instruments of the company and the positions of the site.
    pub fn add_entries(&mut self, read: &Read) {
        for entry in &read.entries {
            let label = match &entry.body {
                Body::Instrument(instrument) => &instrument.label,
                Body::Position(position) => &position.label,
                Body::Area(area) => &area.label,
                _ => continue,
            };
            self.entries.insert(entry.id, label.clone());
        }
    }

    /// Adds titles of photos, so that they are told apart.
    pub fn add_photos(&mut self, read: &Read) {
        for entry in read.shown(Kind::Photo) {
            if let Body::Photo(photo) = &entry.body {
                self.entries.insert(entry.id, format!("photo of {}", photo.subject));
            }
        }
    }

    /// A unit with its page.
    pub fn named_unit(&self, appliance: ApplianceId) -> Named {
        Named::new(appliance, self.unit(appliance))
    }

    /// A person with their id.
    pub fn named_person(&self, person: PersonId) -> Named {
        Named::new(person, self.person(person))
    }

    /// Everybody, by name.
    pub fn people(&self) -> impl Iterator<Item = &PersonRow> {
        self.people.values()
    }
}
