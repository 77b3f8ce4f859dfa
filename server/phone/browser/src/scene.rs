//! The scene: the invented scenario played to its end, then one more visit, planned for today.

use std::collections::BTreeMap;

use client_core::device::{Device, Step};
use client_core::record::code::{Role, VisitKind};
use client_core::record::deed::{self, Planned};
use client_core::record::id::{PersonId, SiteId, VisitId};
use client_core::record::stamp::Stamp;
use client_core::record::value::Moment;
use client_core::store::MemoryBytes;
use server::hub::Hub;
use tests::story::player::Who;
use tests::story::{Player, tell};
use tests::world::hub::{MANNER, store_on};
use tests::world::{HubDisk, Joined, Seeded, enrol, exchange, hub_on};

/// The site of the scenario.
const SITE: SiteId = SiteId([0x0a; 8]);

/// The hub, and who may join.
pub struct Scene {
    /// The hub.
    pub hub: Hub,
    /// Technicians and the supervisor, by first name.
    pub people: BTreeMap<&'static str, Technician>,
}

/// Somebody who may join with a phone.
#[derive(Clone, Copy, Debug)]
pub struct Technician {
    person: PersonId,
    role: Role,
}

impl Technician {
    /// A code that makes a phone this person's.
    pub fn code(&self, hub: &Hub, now: i64) -> Result<String, client_core::store::StoreError> {
        let mut random = Seeded::new(u64::try_from(now).unwrap_or(1) ^ nanos());
        let mut bytes = [0; 24];
        random.fill(&mut bytes);
        let sites = (self.role == Role::Technician).then(|| vec![SITE]);
        let (code, _) = hub.access().new_code(now, Some(self.person), self.role, sites, &bytes)?;
        Ok(code)
    }
}

fn nanos() -> u64 {
    let now = std::time::SystemTime::now().duration_since(std::time::SystemTime::UNIX_EPOCH);
    now.map_or(1, |now| u64::from(now.subsec_nanos()))
}

/// Plays the scenario on a hub in memory.
pub fn play(now: i64) -> Result<Scene, Box<dyn std::error::Error>> {
    let mut random = Seeded::new(20_241_008);
    let disk = HubDisk::default();
    let mut hub = hub_on(disk.log, disk.view, &mut random)?;
    let mut devices = BTreeMap::new();
    let mut people = BTreeMap::new();
    for who in Who::ALL {
        let technician = who != Who::Oriane;
        let role = if technician { Role::Technician } else { Role::Supervisor };
        let joined = Joined {
            name: who.name().to_owned(),
            person: None,
            role,
            sites: technician.then(|| vec![SITE]),
        };
        let store = store_on(MemoryBytes::default(), MANNER)?;
        let device = enrol(&mut hub, store, &joined, 1_727_000_000, &mut random)?;
        people.insert(who.name(), Technician { person: device.identity().person, role });
        devices.insert(who, device);
    }
    let mut player = Player::new(devices, SITE, random.fork());
    let mut link =
        |device: &mut Device, clock: i64| exchange(device, &mut hub, clock, clock, vec![]);
    tell::tell(&mut player, &mut link, &|| 0, &mut std::io::sink())?;
    plan_today(&mut player, &people, now, &mut link)?;
    hub.fold()?;
    Ok(Scene { hub, people })
}

/// A visit for today: half the units for each technician.
fn plan_today(
    player: &mut Player,
    people: &BTreeMap<&'static str, Technician>,
    now: i64,
    link: &mut tests::story::Link<'_>,
) -> Result<(), Box<dyn std::error::Error>> {
    let boss = player.device(Who::Oriane);
    let units = boss.units(SITE)?;
    let mut units: Vec<_> =
        units.into_iter().filter(|unit| unit.row.merged_into.is_none()).collect();
    units.sort_by(|one, other| one.row.unit_no.cmp(&other.row.unit_no));
    let planned: Vec<Planned> = units
        .iter()
        .enumerate()
        .map(|(n, unit)| Planned {
            appliance: unit.id,
            person: people
                .get(if n < units.len() / 2 { "Ilse" } else { "Dov" })
                .map(|own| own.person),
            order: u32::try_from(n).unwrap_or(0),
        })
        .collect();
    let at = Moment { secs: now, offset_min: 0 };
    let visit = VisitId(boss.new_id());
    let acts = deed::plan_visit(SITE, visit, VisitKind::PreSeason, at.day(), vec![], &planned);
    let steps: Vec<Step> = acts.into_iter().map(|(doc, action)| Step { doc, action }).collect();
    let by = Stamp::new(boss.identity().person, at);
    boss.act(&steps, &by)?;
    link(boss, now)?;
    Ok(())
}
