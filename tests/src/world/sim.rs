//! The whole system in one thread from one seed, on the real core: a hub, devices, a network and disks,
//! all of which fail. An oracle remembers what was called saved and judges what became of it.

pub mod count;
pub mod node;
pub mod plan;

mod check;
mod heal;
mod hostile;
mod machine;
mod model;
mod oracle;
mod shown;
mod step;
mod wire;

use client_core::record::code::Role;
use client_core::record::id::{ApplianceId, DeviceId, PersonId, SiteId, VisitId};
use client_core::store::Store;

use self::count::Counts;
use self::hostile::Hostile;
use self::node::{DEVICE, HubNode, Node};
use self::oracle::Oracle;
use self::plan::{Event, Plan};
use self::wire::Message;
use crate::world::deed::Place;
use crate::world::{Disk, Joined, Seeded, enrol};

/// Where the world's clock begins.
const NOW: i64 = 1_760_000_000;

/// What a seed came to.
#[derive(Debug)]
pub struct Outcome {
    /// The seed.
    pub seed: u64,
    /// How often each thing happened.
    pub counts: Counts,
    /// The steps, in words.
    pub trace: Vec<String>,
    /// What was not as it must be.
    pub wrong: Option<String>,
}

/// A world.
struct Sim {
    random: Seeded,
    plan: Plan,
    clock: i64,
    places: Vec<Place>,
    hub: HubNode,
    nodes: Vec<Node>,
    hostile: Option<Hostile>,
    office: Hostile,
    wire: Vec<Message>,
    serial: u64,
    oracle: Oracle,
    counts: Counts,
    trace: Vec<String>,
}

/// What was not as it must be, in words.
type Step<T = ()> = Result<T, String>;

/// Turns any error into the words of a failure.
fn words<E: std::error::Error>(wrong: E) -> String {
    let mut text = wrong.to_string();
    let mut source = wrong.source();
    while let Some(cause) = source {
        text = format!("{text}: {cause}");
        source = cause.source();
    }
    text
}

/// Runs a seed.
pub fn run(seed: u64) -> Outcome {
    let mut random = Seeded::new(seed);
    let plan = Plan::of(&mut random);
    let office = Hostile::new(&mut random);
    let mut sim = Sim {
        hub: HubNode::new(plan.page_bytes),
        plan,
        clock: NOW,
        places: vec![],
        nodes: vec![],
        hostile: None,
        office,
        wire: vec![],
        serial: 0,
        oracle: Oracle::default(),
        counts: Counts::default(),
        trace: vec![],
        random,
    };
    let wrong = sim.play().err();
    Outcome { seed, counts: sim.counts, trace: sim.trace, wrong }
}

impl Sim {
    fn play(&mut self) -> Step {
        self.set_up()?;
        for _ in 0..self.plan.steps {
            self.clock += i64::try_from(1 + self.random.below(600)).unwrap_or(1);
            let event = self.plan.pick(&mut self.random);
            self.event(event)?;
        }
        self.heal()
    }

    fn note(&mut self, text: String) {
        self.trace.push(text);
    }

    fn set_up(&mut self) -> Step {
        let sizes = self.plan.sizes;
        self.hub.open(sizes, &mut self.random).map_err(|wrong| wrong.to_string())?;
        let hub = self.hub.hub.as_ref().ok_or("no hub")?;
        let company = hub.identity().company();
        for site in 0..self.plan.sites {
            let id = |n: usize| [u8::try_from(16 * (site + 1) + n).unwrap_or(1); 8];
            self.places.push(Place {
                site: SiteId(id(0)),
                units: (1..=2).map(|n| ApplianceId(id(n))).collect(),
                visits: (3..=4).map(|n| VisitId(id(n))).collect(),
                company,
            });
        }
        let now = self.clock;
        self.office.join(self.hub.hub.as_mut().ok_or("no hub")?, Role::Office, None, now)?;
        self.join("Oriane", Role::Supervisor, None)?;
        for name in ["Ilse", "Dov", "Mats"].into_iter().take(1 + self.random.index(3)) {
            self.join(name, Role::Technician, None)?;
        }
        if self.random.percent(25) {
            let person = self.nodes[1].device.as_ref().map(|device| device.identity().person);
            self.join("Ilse, second", Role::Technician, person)?;
        }
        if self.plan.has(Event::Hostile) {
            let mut hostile = Hostile::new(&mut self.random);
            let sites = Some(self.sites());
            let hub = self.hub.hub.as_mut().ok_or("no hub")?;
            hostile.join(hub, Role::Technician, sites, now)?;
            self.hostile = Some(hostile);
        }
        // The supervisor's first deeds begin the sites' logs.
        for place in self.places.clone() {
            let doc = client_core::record::doc_id::DocId::new(
                place.site,
                client_core::record::doc_id::DocKind::Site,
            );
            self.act_on(0, &place, doc)?;
        }
        self.exchange_now(0)?;
        Ok(())
    }

    /// The sites of the world.
    fn sites(&self) -> Vec<SiteId> {
        self.places.iter().map(|place| place.site).collect()
    }

    /// The sites of the world and the company's own.
    fn all_sites(&self) -> Vec<SiteId> {
        let mut sites = self.sites();
        sites.extend(self.places.first().map(|place| place.company));
        sites
    }

    /// Enrols another device.
    fn join(&mut self, name: &str, role: Role, person: Option<PersonId>) -> Step<usize> {
        let disk = Disk::default();
        let store = Store::create(disk.clone(), DEVICE).map_err(words)?;
        let sites = (role == Role::Technician).then(|| self.sites());
        let who = Joined { name: name.to_owned(), person, role, sites };
        let hub = self.hub.hub.as_mut().ok_or("no hub")?;
        let now = self.clock + self.hub.ahead;
        let device = enrol(hub, store, &who, now, &mut self.random);
        let mut device = device.map_err(|wrong| format!("{name} cannot join: {wrong}"))?;
        device.set_sizes(self.plan.sizes);
        let id: DeviceId = device.identity().device();
        let node = Node {
            name: name.to_owned(),
            disk,
            device: Some(device),
            id,
            ahead: 0,
            backups: vec![],
            call: None,
            cut: false,
            revoked: false,
            restores_met: self.hub.restores,
        };
        self.nodes.push(node);
        self.after_hub()?;
        Ok(self.nodes.len() - 1)
    }
}
