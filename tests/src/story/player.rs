//! The three devices of the story and what they remember while it is played.

use std::collections::BTreeMap;

use client_core::device::{Device, DeviceError, Step};
use client_core::record::action::Action;
use client_core::record::body::Body;
use client_core::record::doc_id::{DocId, DocKind};
use client_core::record::id::{ApplianceId, EntryId, PersonId, SiteId, VisitId};
use client_core::record::stamp::Stamp;
use client_core::record::value::Moment;

use super::scenario::Scenario;
use crate::world::{Seeded, Trip};

/// Exchanges a device with the hub: over a socket, or in one thread.
pub type Link<'l> = dyn FnMut(&mut Device, i64) -> Result<Trip, Box<dyn std::error::Error>> + 'l;

/// Why the story stopped.
#[derive(Debug, thiserror::Error)]
pub enum StoryWrong {
    /// A device failed.
    #[error("{who}: {wrong}")]
    Device {
        /// Whose device.
        who: String,
        /// What is wrong.
        #[source]
        wrong: DeviceError,
    },
    /// An exchange failed.
    #[error("exchange of {who}: {wrong}")]
    Exchange {
        /// Whose device.
        who: String,
        /// What is wrong.
        wrong: String,
    },
    /// A figure is not as the scenario says.
    #[error("{what}: found {found}, the scenario says {wanted}")]
    Figure {
        /// Which figure.
        what: String,
        /// Found.
        found: String,
        /// Wanted.
        wanted: String,
    },
    /// The scenario lacks something.
    #[error("the scenario lacks {0}")]
    Lacks(String),
}

/// Who plays. Keys are those of the scenario.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Who {
    /// The supervisor.
    Oriane,
    /// A technician.
    Ilse,
    /// The other technician.
    Dov,
}

impl Who {
    /// All three.
    pub const ALL: [Who; 3] = [Who::Oriane, Who::Ilse, Who::Dov];

    /// Key in the scenario.
    pub const fn key(self) -> &'static str {
        match self {
            Who::Oriane => "P-OT",
            Who::Ilse => "P-IM",
            Who::Dov => "P-DK",
        }
    }

    /// First name.
    pub const fn name(self) -> &'static str {
        match self {
            Who::Oriane => "Oriane",
            Who::Ilse => "Ilse",
            Who::Dov => "Dov",
        }
    }

    /// By the key of the scenario.
    pub fn by_key(key: &str) -> Option<Who> {
        Who::ALL.into_iter().find(|who| who.key() == key)
    }
}

/// The devices of the story and what is remembered between its parts.
pub struct Player {
    /// The scenario.
    pub scenario: Scenario,
    /// The three devices.
    pub devices: BTreeMap<Who, Device>,
    /// The site.
    pub site: SiteId,
    /// Appliances by unit no.
    pub units: BTreeMap<String, ApplianceId>,
    /// Visits by the scenario's key.
    pub visits: BTreeMap<String, VisitId>,
    /// Entries by the scenario's id.
    pub entries: BTreeMap<String, EntryId>,
    /// Instruments by the scenario's id.
    pub instruments: BTreeMap<String, EntryId>,
    /// Areas and positions by the scenario's id.
    pub places: BTreeMap<String, EntryId>,
    /// Persons without a device, by the scenario's id.
    pub others: BTreeMap<String, PersonId>,
    /// Ids of the site, visits and appliances.
    pub random: Seeded,
}

impl std::fmt::Debug for Player {
    fn fmt(&self, out: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(out, "Player({} devices)", self.devices.len())
    }
}

impl Player {
    /// A player with three enrolled devices.
    pub fn new(devices: BTreeMap<Who, Device>, site: SiteId, random: Seeded) -> Player {
        Player {
            scenario: Scenario::load(),
            devices,
            site,
            units: BTreeMap::new(),
            visits: BTreeMap::new(),
            entries: BTreeMap::new(),
            instruments: BTreeMap::new(),
            places: BTreeMap::new(),
            others: BTreeMap::new(),
            random,
        }
    }

    /// A device.
    pub fn device(&mut self, who: Who) -> &mut Device {
        self.devices.get_mut(&who).expect("three devices are enrolled before the story begins")
    }

    /// The person behind a device.
    pub fn person(&self, who: Who) -> PersonId {
        self.devices[&who].identity().person
    }

    /// A person by the scenario's key.
    pub fn person_by_key(&self, key: &str) -> Option<PersonId> {
        let device = Who::by_key(key).map(|who| self.person(who));
        device.or_else(|| self.others.get(key).copied())
    }

    /// Carries steps out on a device; gives the entries they made.
    pub fn act(
        &mut self,
        who: Who,
        at: Moment,
        steps: Vec<Step>,
    ) -> Result<Vec<EntryId>, StoryWrong> {
        let stamp = Stamp::new(self.person(who), at);
        let deltas = self.device(who).act(&steps, &stamp);
        let deltas =
            deltas.map_err(|wrong| StoryWrong::Device { who: who.name().to_owned(), wrong })?;
        Ok(deltas.into_iter().flat_map(|delta| delta.entries).collect())
    }

    /// Enters evidence into one document.
    pub fn enter(
        &mut self,
        who: Who,
        at: Moment,
        doc: DocId,
        bodies: Vec<Body>,
    ) -> Result<Vec<EntryId>, StoryWrong> {
        self.act(who, at, vec![Step::new(doc, Action::Enter(bodies))])
    }

    /// Exchanges a device.
    pub fn exchange(
        &mut self,
        link: &mut Link<'_>,
        who: Who,
        clock: i64,
    ) -> Result<Trip, StoryWrong> {
        let wrong = |wrong: String| StoryWrong::Exchange { who: who.name().to_owned(), wrong };
        let trip = link(self.device(who), clock).map_err(|why| wrong(why.to_string()))?;
        match trip.report.wrong.first() {
            Some(why) => Err(wrong(why.to_string())),
            None if trip.stuck => Err(wrong("nothing moved any more".to_owned())),
            None => Ok(trip),
        }
    }

    /// The site's document.
    pub const fn site_doc(&self) -> DocId {
        DocId::new(self.site, DocKind::Site)
    }

    /// The company's document.
    pub fn company_doc(&self) -> DocId {
        let company = self.devices[&Who::Oriane].identity().company();
        DocId::new(company, DocKind::Company)
    }

    /// An appliance by its unit no.
    pub fn unit(&self, tag: &str) -> Result<ApplianceId, StoryWrong> {
        self.units.get(tag).copied().ok_or_else(|| StoryWrong::Lacks(format!("unit {tag}")))
    }

    /// An appliance's document.
    pub fn unit_doc(&self, tag: &str) -> Result<DocId, StoryWrong> {
        Ok(DocId::new(self.site, DocKind::Appliance(self.unit(tag)?)))
    }

    /// A visit.
    pub fn visit(&self, key: &str) -> Result<VisitId, StoryWrong> {
        self.visits.get(key).copied().ok_or_else(|| StoryWrong::Lacks(format!("visit {key}")))
    }

    /// The head of a visit.
    pub fn head_doc(&self, visit: &str) -> Result<DocId, StoryWrong> {
        Ok(DocId::new(self.site, DocKind::Visit(self.visit(visit)?)))
    }

    /// A sheet.
    pub fn sheet_doc(&self, visit: &str, tag: &str) -> Result<DocId, StoryWrong> {
        Ok(DocId::new(self.site, DocKind::Sheet(self.visit(visit)?, self.unit(tag)?)))
    }

    /// An entry by the scenario's id.
    pub fn entry(&self, id: &str) -> Result<EntryId, StoryWrong> {
        self.entries.get(id).copied().ok_or_else(|| StoryWrong::Lacks(format!("entry {id}")))
    }

    /// Eight bytes for a new id.
    pub fn new_id(&mut self) -> [u8; 8] {
        let mut id = [0; 8];
        self.random.fill(&mut id);
        id
    }
}

/// A moment of the story: local time of the hall, five hours behind UTC.
pub fn moment(text: &str) -> Moment {
    Moment::parse(&format!("{text}:00-05:00")).expect("moments of the story are written by hand")
}
