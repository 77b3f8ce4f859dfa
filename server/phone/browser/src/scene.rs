//! The scene: the invented scenario played to its end, then one more visit, planned for today.

use std::collections::BTreeMap;
use std::sync::Arc;
use std::sync::atomic::{AtomicI64, Ordering};

use client_core::device::Device;
use client_core::exchange::office::{self, Order, OrderReply};
use client_core::record::code::{Role, VisitKind};
use client_core::record::deed;
use client_core::record::id::{SiteId, VisitId};
use client_core::record::stamp::Stamp;
use client_core::record::value::Moment;
use client_core::store::{Manner, MemoryBytes, Store};
use server::serve::{Parts, Server, wall_clock};
use server::worker::NewCode;
use tests::net::{Line, Wrong};
use tests::story::day::AHEAD_S;
use tests::story::player::Who;
use tests::story::{Player, tell, today};
use tests::world::Seeded;

/// The site of the scenario.
const SITE: SiteId = SiteId([0x0a; 8]);

/// The day on which the devices are handed out.
const HANDED_OUT: i64 = 1_727_772_000;

/// The hub's clock: what the story says while it is played, then the wall clock.
#[derive(Clone, Debug, Default)]
pub(crate) struct StoryClock(Arc<AtomicI64>);

impl StoryClock {
    fn set(&self, now: i64) {
        self.0.store(now, Ordering::SeqCst);
    }

    /// The hub's parts with this clock.
    pub(crate) fn parts(&self) -> Parts {
        let own = self.clone();
        let clock = Arc::new(move || match own.0.load(Ordering::SeqCst) {
            0 => wall_clock(),
            now => now,
        });
        Parts { clock, ..Parts::default() }
    }
}

/// The scenario, played: its devices are still there.
pub(crate) struct Scene {
    player: Player,
    lines: BTreeMap<Who, Line>,
}

impl Scene {
    /// Plays the scenario on a hub that goes by this clock.
    pub(crate) fn play(server: &Server, clock: &StoryClock) -> Result<Scene, Wrong> {
        clock.set(HANDED_OUT);
        let mut random = Seeded::new(20_241_008);
        let (devices, mut lines) = join(server, &mut random)?;
        let mut player = Player::new(devices, SITE, random.fork());
        let mut link = |device: &mut Device, at: i64| {
            let label = &device.identity().label;
            let who = Who::ALL.into_iter().find(|who| label.starts_with(who.name()));
            // On one day one phone's clock is wrong; the hub's never is.
            let wrong_day = (1_737_500_000..1_737_600_000).contains(&at) && who == Some(Who::Dov);
            clock.set(if wrong_day { at - AHEAD_S } else { at });
            let line = who.and_then(|who| lines.get_mut(&who)).ok_or("no line for this device")?;
            line.exchange(device, at)
        };
        tell::tell(&mut player, &mut link, &|| 0, &mut std::io::sink())?;
        let now = wall_clock();
        today::plan(&mut player, SITE, now)?;
        link(player.device(Who::Oriane), now)?;
        clock.set(0);
        Ok(Scene { player, lines })
    }

    /// Plans so many visits of the past, one a day: a long list.
    pub(crate) fn visits(&mut self, count: i64) -> Result<(), Wrong> {
        let now = wall_clock();
        let boss = self.player.device(Who::Oriane);
        let by = Stamp::new(boss.identity().person, Moment { secs: now, offset_min: 0 });
        for n in 0..count {
            let visit = VisitId(boss.new_id());
            let day = Moment { secs: now - 86_400 * (n + 2), offset_min: 0 }.day();
            let acts = deed::plan_visit(SITE, visit, VisitKind::Inspection, day, vec![], &[]);
            boss.carry_out(acts, &by)?;
            if n % 500 == 499 || n == count - 1 {
                let line = self.lines.get_mut(&Who::Oriane).ok_or("no line for this device")?;
                line.exchange(boss, now)?;
            }
        }
        Ok(())
    }

    /// A fresh code that makes a phone this person's.
    pub(crate) fn code(&mut self, name: &str, role: Role) -> Result<String, Wrong> {
        let who =
            Who::ALL.into_iter().find(|who| who.name() == name).ok_or("nobody is called so")?;
        let person = Some(self.player.person(who));
        let order = Order::NewCode { person, role, sites: None };
        let order = self.player.device(Who::Oriane).order(&order);
        let line = self.lines.get_mut(&Who::Oriane).ok_or("no line for this device")?;
        let reply = line.post(office::PATH, &order)?;
        match client_core::exchange::frame::decode(&reply, 64 * 1024)? {
            OrderReply::Code { code, .. } => Ok(code),
            other => Err(format!("the hub answered {other:?} to an order for a code").into()),
        }
    }
}

/// Everybody's device, and its connection.
type Joined = (BTreeMap<Who, Device>, BTreeMap<Who, Line>);

/// The devices of the scenario, enrolled.
fn join(server: &Server, random: &mut Seeded) -> Result<Joined, Wrong> {
    let (mut devices, mut lines) = (BTreeMap::new(), BTreeMap::new());
    let NewCode::Code { code: first, .. } = server.supervisors_code(false)? else {
        return Err("the new hub gave no code for its first supervisor".into());
    };
    let mut codes = vec![first];
    for who in Who::ALL {
        let store = Store::create(MemoryBytes::default(), Manner::DEVICE)?;
        let mut line = Line::to(server.url())?;
        let code = codes.pop().ok_or("no code is left")?;
        let mut device = line.join(store, who.name(), &code, random)?;
        if who == Who::Oriane {
            for _ in 0..2 {
                codes.push(line.code(&mut device, Role::Technician, None)?);
            }
        }
        lines.insert(who, line);
        devices.insert(who, device);
    }
    Ok((devices, lines))
}
