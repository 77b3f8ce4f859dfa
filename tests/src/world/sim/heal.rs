//! The end of every run: all faults are mended, everybody exchanges, and then everything must agree.

use client_core::device::{Report, Wish};
use client_core::exchange::frame::{self, Reply, Told};
use client_core::exchange::talk::{Next, Talk};
use client_core::record::doc_id::DocId;
use client_core::store::doc_table;

use client_core::record::code::Role;
use server::hub::Turn;

use super::hostile::Hostile;
use super::plan::Event;
use super::{Sim, Step, words};

/// Passes in which everybody exchanges once, after which all must agree. Two, where nothing has to be
/// compared step by step or entered again.
const PASSES: u32 = 2;
/// The same where the hub was restored or changes were refused.
const PASSES_MOST: u32 = 4;

/// What one exchange took.
#[derive(Debug, Default)]
pub(super) struct Trip {
    pub(super) report: Report,
    pub(super) rounds: u32,
    /// Rounds that only brought another page.
    pub(super) pages: u32,
    /// Rounds in which something had to be said once more: places, a counter, a ladder.
    pub(super) asides: u32,
}

impl Trip {
    /// In a few words.
    fn words(&self) -> String {
        let Report { echoed, taken, refused, wholes, rows, wrong, .. } = &self.report;
        format!(
            "rounds {} pages {} asides {} echoed {echoed} taken {taken} refused {refused} \
             wholes {wholes} rows {rows} wrong {wrong:?}",
            self.rounds, self.pages, self.asides
        )
    }
}

impl Sim {
    pub(super) fn heal(&mut self) -> Step {
        self.note("everything is mended".to_owned());
        self.wire.clear();
        for node in 0..self.nodes.len() {
            self.nodes[node].cut = false;
            self.nodes[node].call = None;
            if self.nodes[node].disk.is_dead() {
                self.device_failed(node)?;
            }
            self.nodes[node].disk.mend();
            let _struck = self.nodes[node].disk.struck();
        }
        if self.hub.is_dead() {
            self.hub_failed("power")?;
        }
        self.hub.log.mend();
        self.hub.view.mend();
        self.clock += 3_600;
        let calm = !self.plan.has(Event::Hostile) && !self.plan.has(Event::HubRestore);
        let most = if calm { PASSES } else { PASSES_MOST };
        let mut passes = 0;
        loop {
            let open = self.unsettled()?;
            if open.is_none() && passes > 0 {
                break;
            }
            if let Some(open) = open.filter(|_| passes == most) {
                return Err(format!("not settled after {passes} exchanges of everybody: {open}"));
            }
            passes += 1;
            self.pass(passes, calm)?;
        }
        self.counts.add(match passes {
            1 => "settled in one exchange",
            2 => "settled in two exchanges",
            _ => "settled in more exchanges",
        });
        self.everything_whole()?;
        self.check()?;
        self.again_changes_nothing()
    }

    /// Everybody exchanges once, in any order.
    fn pass(&mut self, pass: u32, calm: bool) -> Step {
        let mut order: Vec<usize> = (0..self.nodes.len()).collect();
        for at in (1..order.len()).rev() {
            order.swap(at, self.random.index(at + 1));
        }
        for node in order {
            self.clock += 60;
            let name = self.nodes[node].name.clone();
            let trip = self.exchange_now(node)?;
            self.note(format!("pass {pass}: {name} {}", trip.words()));
            let one = trip.rounds - trip.pages - trip.asides;
            if one > 1 || (calm && trip.asides > 2) {
                return Err(format!("{name} took {}", trip.words()));
            }
            if pass > 1 && !trip.report.wrong.is_empty() {
                return Err(format!("{name} met {:?}", trip.report.wrong));
            }
        }
        Ok(())
    }

    /// An exchange without any fault.
    pub(super) fn exchange_now(&mut self, node: usize) -> Step<Trip> {
        self.exchange_for(node, vec![])
    }

    pub(super) fn exchange_for(&mut self, node: usize, wanted: Vec<DocId>) -> Step<Trip> {
        let name = self.nodes[node].name.clone();
        let clock = self.clock + self.nodes[node].ahead;
        let today = i32::try_from(clock.div_euclid(86_400)).unwrap_or_default();
        let now = self.clock + self.hub.ahead;
        let mut talk = Talk::new(wanted);
        let mut trip = Trip::default();
        loop {
            let device = self.nodes[node].device.as_mut().ok_or("no device")?;
            let request = device.request(&mut talk, Wish { clock, today }).map_err(words)?;
            let hub = self.hub.hub.as_mut().ok_or("no hub")?;
            let reply = hub.exchange(now, &[&request]).pop().ok_or("no reply")?;
            if matches!(reply, Err(Turn::Unknown)) {
                let device = self.nodes[node].device.as_mut().ok_or("no device")?;
                if trip.asides > 3 {
                    return Err(format!("{name} is not known any more"));
                }
                trip.asides += 1;
                if device.introduce().map_err(words)? {
                    self.counts.add("certificate shown again");
                } else {
                    self.join_again(node)?;
                }
                continue;
            }
            let reply = reply.map_err(|wrong| format!("{name}: {}", words(wrong)))?;
            hub.fold().map_err(words)?;
            let next = device.hear(&mut talk, clock, &reply, &mut trip.report);
            let next = next.map_err(|wrong| format!("{name}: {}", words(wrong)))?;
            self.seen_in(node, &reply);
            trip.rounds = talk.rounds();
            let reply: Reply = frame::decode(&reply, usize::MAX).map_err(words)?;
            if trip.rounds > 2 {
                self.note(format!("  round {}: {}", trip.rounds, summary(&reply)));
            }
            match next {
                Next::Done => break,
                Next::Stuck => return Err(format!("{name} is stuck after {}", trip.words())),
                Next::Again if aside(&reply) => trip.asides += 1,
                Next::Again => trip.pages += 1,
            }
            if trip.rounds > 2_000 {
                return Err(format!("{name} does not come to an end: {}", trip.words()));
            }
        }
        self.learn()?;
        Ok(trip)
    }

    /// A device that the hub has lost before it ever told it of its own certificate joins again with its key.
    fn join_again(&mut self, node: usize) -> Step {
        self.counts.add("joined again");
        let sites = self.sites();
        let device = self.nodes[node].device.as_ref().ok_or("no device")?;
        let identity = device.identity().clone();
        let mut key = Hostile::of(&identity);
        let sites = (identity.role == Role::Technician).then_some(sites);
        let hub = self.hub.hub.as_mut().ok_or("no hub")?;
        key.join_as(hub, Some(identity.person), identity.role, sites, self.clock)
    }

    /// What somebody still has to bring or to fetch.
    fn unsettled(&mut self) -> Step<Option<String>> {
        let hub = self.hub.hub.as_mut().ok_or("no hub")?;
        hub.fold().map_err(words)?;
        let ends = hub.log().sites().map_err(words)?;
        for node in self.nodes.iter().filter(|node| !node.revoked) {
            let device = node.device.as_ref().ok_or("no device")?;
            for (site, end) in &ends {
                let read = device.store().read().map_err(words)?;
                let following =
                    client_core::device::standing::following(&read, *site).map_err(words)?;
                let there = following.is_some_and(|following| {
                    following.place.chain == end.chain && following.cursor.is_none()
                });
                let unsent = device.unsent(*site).map_err(words)?;
                if !there || unsent != client_core::device::Unsent::default() {
                    let name = &node.name;
                    return Ok(Some(format!("{name} at {site}: there {there}, {unsent:?}")));
                }
            }
        }
        Ok(None)
    }

    /// Devices that began with rows fetch every document.
    fn everything_whole(&mut self) -> Step {
        for node in 0..self.nodes.len() {
            if self.nodes[node].revoked {
                continue;
            }
            let mut wanted = vec![];
            let hub = self.hub.hub.as_mut().ok_or("no hub")?;
            for place in &self.places {
                let device = self.nodes[node].device.as_ref().ok_or("no device")?;
                let mut docs = vec![];
                for store in [hub.view_mut().store().as_ref(), device.store()] {
                    let read = store.read().map_err(words)?;
                    docs.extend(doc_table::of_site(&read, place.site).map_err(words)?);
                }
                for (doc, _) in docs {
                    let presence = device.presence(doc).map_err(words)?;
                    if presence != Some(client_core::record::doc::Presence::Whole) {
                        wanted.push(doc.with_part(1));
                    }
                }
            }
            wanted.sort_unstable();
            wanted.dedup();
            while !wanted.is_empty() {
                self.counts.add("document fetched whole");
                let few = wanted.split_off(wanted.len().saturating_sub(5));
                let trip = self.exchange_for(node, few)?;
                if !trip.report.wrong.is_empty() {
                    let name = &self.nodes[node].name;
                    return Err(format!("{name} fetching met {:?}", trip.report.wrong));
                }
            }
        }
        Ok(())
    }

    /// Exchanging once more is one small round trip and moves nothing.
    fn again_changes_nothing(&mut self) -> Step {
        let ends = |sim: &Sim| -> Step<_> {
            sim.hub.hub.as_ref().ok_or("no hub")?.log().sites().map_err(words)
        };
        let before = ends(self)?;
        for node in 0..self.nodes.len() {
            let trip = self.exchange_now(node)?;
            let still = trip.rounds == 1 + trip.asides && trip.report.taken == 0;
            if !still && !self.nodes[node].revoked {
                return Err(format!("{} is not idle: {}", self.nodes[node].name, trip.words()));
            }
        }
        if before != ends(self)? {
            return Err("exchanging once more made the log longer".to_owned());
        }
        self.check()
    }
}

/// A reply in a few words.
fn summary(reply: &Reply) -> String {
    let mut out = String::new();
    for site in reply.sites.iter().flatten() {
        let told = site.told.as_ref().map(|told| {
            let kind = |told: &Told| match told {
                Told::Packed => 'd',
                Told::Own(_) => 'o',
                Told::Note(..) => 'n',
            };
            told.iter().map(kind).collect::<String>()
        });
        let verdicts = site.verdicts.iter().flatten();
        let verdicts: Vec<u8> = verdicts.map(|verdict| verdict.answer).collect();
        let told = format!(
            "[{} told {told:?} verdicts {verdicts:?} more {:?} climb {:?} common {:?} started {} docs {}] ",
            site.site,
            site.more,
            site.climb,
            site.common,
            site.started.is_some(),
            site.docs.iter().flatten().count(),
        );
        out.push_str(&told);
    }
    out + &format!("places {:?} counter {:?}", reply.say_places, reply.counter)
}

/// Whether a reply only asked for something to be said once more.
fn aside(reply: &Reply) -> bool {
    let sites = reply.sites.as_deref().unwrap_or_default();
    reply.say_places == Some(true)
        || reply.counter.is_some()
        || sites.iter().any(|site| site.climb == Some(true) || site.common.is_some())
        || sites.iter().any(|site| site.assigned.is_some())
}
