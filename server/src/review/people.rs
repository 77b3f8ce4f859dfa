//! People and their devices.

use std::collections::BTreeMap;

use client_core::exchange::frame::PersonRow;
use client_core::exchange::office::DeviceRow;
use client_core::record::id::{PersonId, SiteId};
use client_core::record::instrument;
use client_core::record::read::Read;
use client_core::record::value::{Day, Moment};
use serde::Serialize;
use utoipa::ToSchema;

use super::Named;
use super::difference::at;

/// A device.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, ToSchema)]
pub struct DeviceLine {
    /// Its id.
    pub id: String,
    /// What its person calls it.
    pub label: String,
    /// Role.
    pub role: String,
    /// Sites; none means every site.
    pub sites: Option<Vec<Named>>,
    /// Since when, UTC.
    pub since: String,
    /// Last exchange, UTC.
    pub seen: Option<String>,
    /// Its clock then, where it was more than two minutes off.
    pub clock: Option<String>,
    /// It was not heard for a while: what it holds since then is not here.
    pub quiet: Option<String>,
    /// Why it was revoked.
    pub revoked: Option<String>,
}

/// A person with their devices.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, ToSchema)]
pub struct PersonLine {
    /// The person.
    pub person: Named,
    /// The name was erased.
    pub erased: bool,
    /// Contact.
    pub contact: Option<String>,
    /// License.
    pub licence: Option<String>,
    /// Devices, pages among them, those in use first.
    pub devices: Vec<DeviceLine>,
}

/// An instrument of the company.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, ToSchema)]
pub struct InstrumentLine {
    /// The firm's label on it.
    pub label: String,
    /// What it is.
    pub kind: String,
    /// When it was calibrated last.
    pub done: Option<String>,
    /// Until when that holds.
    pub due: Option<String>,
    /// It is past its date.
    pub overdue: bool,
}

/// Instruments of the company on a day, those past their date first.
pub fn instruments(company: &Read, today: Day) -> Vec<InstrumentLine> {
    let mut found: Vec<InstrumentLine> = instrument::instruments(company)
        .into_iter()
        .map(|one| {
            let last = one.calibrations.iter().rfind(|(done, _)| *done <= today);
            let due = last.and_then(|(_, due)| *due);
            InstrumentLine {
                label: one.label,
                kind: one.kind.says().to_owned(),
                done: last.map(|(done, _)| done.to_string()),
                due: due.map(|due| due.to_string()),
                overdue: due.is_some_and(|due| due < today),
            }
        })
        .collect();
    found.sort_by(|one, other| (!one.overdue, &one.label).cmp(&(!other.overdue, &other.label)));
    found
}

/// A change that did not pass the gate.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Refused {
    /// The site.
    pub site: Named,
    /// What kind of document it was for.
    pub what: String,
    /// Where that document is shown.
    pub path: Option<String>,
    /// Key of the reason.
    pub reason: String,
    /// The reason in words.
    pub words: String,
    /// The change's hash: what tells it from others.
    pub change: String,
    /// Whose device delivered it, where the hub's log says so.
    pub person: Option<Named>,
    /// What a supervisor said of it: in words, who, when.
    pub word: Option<(String, Named, String)>,
}

/// Everybody.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, ToSchema)]
pub struct People {
    /// People.
    pub people: Vec<PersonLine>,
    /// Sites that a code may be for.
    pub sites: Vec<Named>,
    /// Instruments of the company, those past their date first.
    pub instruments: Vec<InstrumentLine>,
    /// How the firm stands on reports: name and number.
    pub firm: (String, String),
}

/// Lays people and devices out.
pub fn people(
    now: i64,
    directory: &BTreeMap<PersonId, PersonRow>,
    devices: Vec<DeviceRow>,
    sites: &[(SiteId, Named)],
) -> People {
    let mut found: BTreeMap<PersonId, PersonLine> = directory
        .iter()
        .map(|(id, row)| {
            let name = row.name.clone();
            let line = PersonLine {
                person: Named::new(id, name.clone().unwrap_or_else(|| id.short())),
                erased: name.is_none(),
                contact: row.contact.clone(),
                licence: row.licence.clone(),
                devices: vec![],
            };
            (*id, line)
        })
        .collect();
    for row in devices {
        let nobody = || PersonLine {
            person: Named::new(row.person, row.person.short()),
            erased: false,
            contact: None,
            licence: None,
            devices: vec![],
        };
        let line = device(now, &row, sites);
        found.entry(row.person).or_insert_with(nobody).devices.push(line);
    }
    let mut people: Vec<PersonLine> = found.into_values().collect();
    for one in &mut people {
        one.devices.sort_by_key(|device| device.revoked.is_some());
    }
    people.sort_by(|one, other| {
        (one.devices.is_empty(), &one.person.name)
            .cmp(&(other.devices.is_empty(), &other.person.name))
    });
    People {
        people,
        instruments: vec![],
        firm: Default::default(),
        sites: sites.iter().map(|(_, named)| named.clone()).collect(),
    }
}

fn utc(secs: i64) -> String {
    at(Moment { secs, offset_min: 0 })
}

/// Days without word after which a page says so. Common practice, no source: a truck comes home at night.
const QUIET_DAYS: i64 = 2;

fn quiet(now: i64, row: &DeviceRow) -> Option<String> {
    let days = (now - row.seen?) / 86_400;
    let silent = row.revoked.is_none() && days >= QUIET_DAYS;
    silent.then(|| format!("not heard for {days} days; what it holds since then is not here"))
}

fn device(now: i64, row: &DeviceRow, sites: &[(SiteId, Named)]) -> DeviceLine {
    let name = |site: &SiteId| {
        let known = sites.iter().find(|(id, _)| id == site).map(|(_, named)| named.clone());
        known.unwrap_or_else(|| Named::new(site, site.short()))
    };
    let ahead = row.ahead_s.filter(|ahead| ahead.abs() > 120);
    DeviceLine {
        id: row.device.to_string(),
        label: row.label.clone(),
        role: row.role.says().to_owned(),
        sites: row.sites.as_ref().map(|sites| sites.iter().map(name).collect()),
        since: utc(row.given),
        seen: row.seen.map(utc),
        clock: ahead.map(|ahead| {
            let way = if ahead < 0 { "behind" } else { "ahead of" };
            format!("{} min {way} the hub", ahead.unsigned_abs().div_ceil(60))
        }),
        quiet: quiet(now, row),
        revoked: row.revoked.clone(),
    }
}
