//! The world's events.

use client_core::device::{DeviceError, Step as Deed};
use client_core::exchange::office::Order;
use client_core::record::code::Role;
use client_core::record::doc_id::DocId;

use super::oracle::Waits;
use super::plan::Event;
use super::{Sim, Step, words};
use crate::world::Fault;
use crate::world::deed::{Place, deed, stamp};

/// Ten years in seconds, about.
const TEN_YEARS: i64 = 315_360_000;

impl Sim {
    pub(super) fn event(&mut self, event: Event) -> Step {
        let node = self.random.index(self.nodes.len());
        match event {
            Event::Act => self.act(node),
            Event::Call => self.call(node),
            Event::Deliver => self.deliver(false),
            Event::Twice => self.deliver(true),
            Event::CutShort => self.cut_short(),
            Event::Lose => {
                self.lose();
                Ok(())
            }
            Event::Reopen => self.reopen_any(node),
            Event::Fold => self.fold(),
            Event::Partition => {
                self.nodes[node].cut = !self.nodes[node].cut;
                self.counts.add("partition");
                self.note(format!("{} signal {}", self.nodes[node].name, !self.nodes[node].cut));
                Ok(())
            }
            Event::DevicePower => {
                let disk = self.nodes[node].disk.clone();
                self.plan_fault(&disk, Fault::Power);
                Ok(())
            }
            Event::DeviceDisk => {
                let disk = self.nodes[node].disk.clone();
                let fault = if self.random.percent(50) { Fault::Full } else { Fault::Broken };
                self.plan_fault(&disk, fault);
                Ok(())
            }
            Event::HubPower => {
                let view = self.random.percent(40);
                let disk = if view { self.hub.view.clone() } else { self.hub.log.clone() };
                self.plan_fault(&disk, Fault::Power);
                Ok(())
            }
            Event::HubDisk => {
                let view = self.random.percent(40);
                let disk = if view { self.hub.view.clone() } else { self.hub.log.clone() };
                let fault = if self.random.percent(50) { Fault::Full } else { Fault::Broken };
                self.plan_fault(&disk, fault);
                Ok(())
            }
            Event::Clock => {
                self.clock_jump(node);
                Ok(())
            }
            Event::DeviceBackup => {
                let content = self.nodes[node].disk.content();
                self.nodes[node].backups.push(content);
                self.counts.add("device backed up");
                self.note(format!("{} backed up", self.nodes[node].name));
                Ok(())
            }
            Event::DeviceRestore => self.device_restore(node),
            Event::DeviceClone => self.device_clone(node),
            Event::HubBackup => self.hub_backup(),
            Event::HubRestore => self.hub_restore(),
            Event::ViewLoss => self.view_loss(),
            Event::Revoke => self.revoke(node),
            Event::Hostile => self.attack(),
            Event::Join => self.join_late(),
        }
    }

    fn act(&mut self, node: usize) -> Step {
        let place = self.places[self.random.index(self.places.len())].clone();
        let doc = place.doc(&mut self.random);
        self.act_on(node, &place, doc)
    }

    pub(super) fn act_on(&mut self, node: usize, place: &Place, doc: DocId) -> Step {
        let clock = self.clock + self.nodes[node].ahead;
        let Some(device) = self.nodes[node].device.as_mut() else { return Ok(()) };
        let actor = device.actor();
        let steps: Result<Vec<Deed>, DeviceError> = deed(device, place, doc, &mut self.random);
        let stamp = stamp(device, clock);
        let kinds: Vec<String> = match &steps {
            Ok(steps) => steps.iter().map(|step| kind(&step.action)).collect(),
            Err(_) => vec![],
        };
        let outcome = steps.and_then(|steps| device.act(&steps, &stamp));
        let name = self.nodes[node].name.clone();
        match outcome {
            Ok(deltas) => {
                let of = (self.nodes[node].id, self.nodes[node].revoked);
                let made: Vec<String> = deltas.iter().map(|delta| short(&delta.hash)).collect();
                self.note(format!("{name} {kinds:?} on {doc}: {}", made.join(" ")));
                self.oracle.saved(node, of, &deltas);
                self.counts.add("act saved");
                if deltas.iter().any(|delta| delta.doc.part > 1) {
                    self.counts.add("document in several parts");
                }
                self.after_device(node)
            }
            Err(DeviceError::Store(wrong)) => {
                self.oracle.uncertain.insert(actor);
                self.note(format!("{name} could not save: {}", words(&wrong)));
                self.device_failed(node)
            }
            Err(wrong) => {
                self.counts.add("act refused");
                self.note(format!("{name} {kinds:?} on {doc} refused: {wrong}"));
                self.after_device(node)
            }
        }
    }

    fn clock_jump(&mut self, node: usize) {
        let jump = match self.random.below(4) {
            0 => TEN_YEARS,
            1 => -TEN_YEARS,
            2 => 3_600,
            _ => 0,
        };
        self.counts.add("clock jumped");
        if self.random.percent(30) {
            self.hub.ahead = jump;
            self.note(format!("the hub's clock jumps to {jump}"));
        } else {
            self.nodes[node].ahead = jump;
            self.note(format!("{}'s clock jumps to {jump}", self.nodes[node].name));
        }
    }

    /// Revokes a device, never the supervisor's own.
    fn revoke(&mut self, node: usize) -> Step {
        let id = self.nodes[node].id;
        if self.nodes[node].revoked || id == self.nodes[0].id {
            return Ok(());
        }
        self.note(format!("{} is revoked", self.nodes[node].name));
        let order = Order::Revoke { device: id, reason: "lost".to_owned() };
        let now = self.clock + self.hub.ahead;
        let Some(hub) = self.hub.hub.as_mut() else { return Ok(()) };
        if self.office.order(hub, &order, now).is_err() {
            self.hub_failed("revocation")?;
            // The note may stand in the log although its acknowledgement was lost.
            let hub = self.hub.hub.as_ref().ok_or("no hub")?;
            if hub.access().device(id).is_none_or(|known| known.revoked.is_none()) {
                return Ok(());
            }
        }
        self.counts.add("revocation");
        self.learn()?;
        for node in self.nodes.iter_mut().filter(|node| node.id == id) {
            node.revoked = true;
        }
        let on_hub = &self.oracle.on_hub;
        for (hash, saved) in self.oracle.saved.iter_mut().filter(|(_, saved)| saved.device == id) {
            saved.waits = if on_hub.contains(hash) { Waits::No } else { Waits::Yes };
        }
        self.after_hub()
    }

    /// A restored hub may have lost a revocation that nobody else had heard of: the office orders it again.
    pub(super) fn revoke_again(&mut self) -> Step {
        for node in 0..self.nodes.len() {
            let id = self.nodes[node].id;
            let Some(hub) = self.hub.hub.as_mut() else { return Ok(()) };
            let known = hub.access().device(id).is_none_or(|known| known.revoked.is_some());
            if known || !self.nodes[node].revoked {
                continue;
            }
            self.counts.add("revocation ordered again");
            let order = Order::Revoke { device: id, reason: "lost".to_owned() };
            if self.office.order(hub, &order, self.clock + self.hub.ahead).is_err() {
                return self.hub_failed("revocation");
            }
        }
        self.after_hub()
    }

    fn join_late(&mut self) -> Step {
        if self.nodes.len() > 6 || self.hub.hub.is_none() {
            return Ok(());
        }
        self.hub.log.mend();
        self.hub.view.mend();
        let node = self.join("late", Role::Technician, None)?;
        self.nodes[node].name = format!("late {node}");
        let by_rows = self.random.percent(60);
        self.note(format!("{} joins, by rows: {by_rows}", self.nodes[node].name));
        self.counts.add("device enrolled late");
        if by_rows {
            for site in self.sites() {
                let device = self.nodes[node].device.as_mut().ok_or("no device")?;
                device.start(site).map_err(words)?;
            }
        }
        Ok(())
    }
}

/// The first word of an action.
fn kind(action: &client_core::record::action::Action) -> String {
    let text = format!("{action:?}");
    text.chars().take_while(|letter| letter.is_alphanumeric()).collect()
}

/// The first letters of a hash.
pub(super) fn short(hash: &[u8; 32]) -> String {
    let [a, b, c, d, ..] = *hash;
    format!("{:08x}", u32::from_be_bytes([a, b, c, d]))
}
