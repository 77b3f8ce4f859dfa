//! Programs that stop, disks that lose, backups that come back.

use client_core::record::id::LogId;
use client_core::store::Store;
use server::log::redb::RedbLog;

use super::node::{DEVICE, Node};
use super::oracle::{Holding, Waits, holding};
use super::{Sim, Step, words};
use crate::world::{Disk, Fault, Tear};

impl Sim {
    pub(super) fn plan_fault(&mut self, disk: &Disk, fault: Fault) {
        let at = disk.ops() + 1 + self.random.below(60);
        disk.plan(at, fault);
        self.note(format!("{fault:?} at operation {at} of a disk"));
    }

    /// Looks whether the power went during what a device just did.
    pub(super) fn after_device(&mut self, node: usize) -> Step {
        if self.nodes[node].disk.is_dead() { self.device_failed(node) } else { Ok(()) }
    }

    /// A device's store failed: the program is started again.
    pub(super) fn device_failed(&mut self, node: usize) -> Step {
        for fault in self.nodes[node].disk.struck() {
            self.counts.add(match fault {
                Fault::Power => "device power cut",
                Fault::Broken => "disk broke under a device",
                Fault::Full => "disk full under a device",
            });
        }
        self.nodes[node].device = None;
        let disk = self.nodes[node].disk.clone();
        if disk.is_dead() {
            let tear = Tear::ALL[self.random.index(Tear::ALL.len())];
            if disk.crash(tear, &mut self.random) {
                self.counts.add("unsynced writes lost");
            }
        }
        disk.mend();
        self.note(format!("{} starts again", self.nodes[node].name));
        self.open(node)
    }

    fn open(&mut self, node: usize) -> Step {
        let name = self.nodes[node].name.clone();
        let sizes = self.plan.sizes;
        let opened = self.nodes[node].open(sizes, &mut self.random);
        opened.map_err(|wrong| format!("{name}'s store does not open: {}", words(wrong)))
    }

    pub(super) fn reopen_any(&mut self, node: usize) -> Step {
        if self.random.percent(30) {
            self.note("the hub is closed and opened".to_owned());
            self.hub.close();
            return self.open_hub();
        }
        self.note(format!("{} is closed and opened", self.nodes[node].name));
        self.nodes[node].device = None;
        if self.nodes[node].disk.is_dead() {
            return self.device_failed(node);
        }
        self.nodes[node].disk.mend();
        self.open(node)
    }

    /// Looks whether the power went during what the hub just did.
    pub(super) fn after_hub(&mut self) -> Step {
        if self.hub.is_dead() { self.hub_failed("power") } else { self.learn() }
    }

    /// The hub's store failed: the program is started again.
    pub(super) fn hub_failed(&mut self, why: &str) -> Step {
        let mut struck = self.hub.log.struck();
        struck.extend(self.hub.view.struck());
        for fault in struck {
            self.counts.add(match fault {
                Fault::Power => "hub power cut",
                Fault::Broken => "disk broke under the hub",
                Fault::Full => "disk full under the hub",
            });
        }
        self.note(format!("the hub stops ({why}) and starts again"));
        self.open_hub()
    }

    /// Starts the hub on what its disks hold, after a crash where the power was gone.
    pub(super) fn open_hub(&mut self) -> Step {
        self.hub.close();
        if self.hub.is_dead() && self.hub.crash(&mut self.random) {
            self.counts.add("unsynced writes lost");
        }
        self.hub.log.mend();
        self.hub.view.mend();
        let sizes = self.plan.sizes;
        let anew = self.hub.open(sizes, &mut self.random);
        let anew = anew.map_err(|wrong| format!("the hub does not open: {wrong}"))?;
        if anew {
            self.note("the view did not open and is begun anew".to_owned());
        }
        // A commit whose acknowledgement was lost may stand, or not.
        let hub = self.hub.hub.as_ref().ok_or("no hub")?;
        self.oracle.learn_anew(hub).map_err(words)
    }

    pub(super) fn learn(&mut self) -> Step {
        match &self.hub.hub {
            Some(hub) => self.oracle.learn(hub).map_err(words),
            None => Ok(()),
        }
    }

    pub(super) fn view_loss(&mut self) -> Step {
        self.note("the view is lost".to_owned());
        self.counts.add("view lost");
        self.hub.close();
        self.hub.view = Disk::default();
        self.open_hub()
    }

    pub(super) fn fold(&mut self) -> Step {
        let Some(hub) = self.hub.hub.as_mut() else { return Ok(()) };
        match hub.fold() {
            Ok(()) => self.after_hub(),
            Err(wrong) => self.hub_failed(&words(wrong)),
        }
    }

    pub(super) fn hub_backup(&mut self) -> Step {
        match self.hub.back_up() {
            Ok(()) => {
                self.counts.add("hub backed up");
                self.note("the hub is backed up".to_owned());
                self.after_hub()
            }
            Err(wrong) => {
                self.hub.backups.pop();
                self.hub_failed(&words(wrong))
            }
        }
    }

    /// What each machine holds.
    pub(super) fn holdings(&self) -> Step<Vec<Holding>> {
        let sites = self.all_sites();
        self.nodes
            .iter()
            .map(|node| match &node.device {
                Some(device) => holding(device.store(), &sites).map_err(words),
                None => Ok(Holding::default()),
            })
            .collect()
    }

    /// Whether a change can still come from somewhere when these machines go on; none when somebody
    /// shows it who could not hand it on.
    fn survives(&self, hash: &[u8; 32], holdings: &[Holding], hub: bool) -> Option<bool> {
        let saved = self.oracle.saved.get(hash)?;
        if hub && self.oracle.on_hub.contains(hash) {
            return Some(true);
        }
        let mut shown = false;
        for (node, holding) in self.nodes.iter().zip(holdings) {
            if node.revoked || !holding.changes.contains(hash) {
                continue;
            }
            shown = true;
            let own = node.id == saved.device;
            let covered = |id: &[u8; 32]| {
                self.oracle.ever.get(id).is_some_and(|logged| logged.changes.contains(hash))
            };
            if own || holding.heads.iter().any(covered) {
                return Some(true);
            }
        }
        if shown { None } else { Some(false) }
    }

    pub(super) fn device_restore(&mut self, node: usize) -> Step {
        let count = self.nodes[node].backups.len();
        if count == 0 {
            return Ok(());
        }
        let content = self.nodes[node].backups[self.random.index(count)].clone();
        let sites = self.all_sites();
        let store = Store::open(Disk::with(content.clone()), DEVICE).map_err(words)?;
        let old = holding(&store, &sites).map_err(words)?;
        drop(store);
        let mut holdings = self.holdings()?;
        let now = std::mem::replace(&mut holdings[node], old);
        let lost: Vec<[u8; 32]> =
            now.changes.difference(&holdings[node].changes).copied().collect();
        let mut excused = vec![];
        for hash in lost.iter().filter(|hash| self.oracle.saved.contains_key(*hash)) {
            match self.survives(hash, &holdings, true) {
                Some(true) => {}
                Some(false) => excused.push(*hash),
                // Somebody would go on showing what nobody can hand on.
                None => return Ok(()),
            }
        }
        self.excuse(&excused);
        self.counts.add("device restored");
        self.note(format!("{} restored, {} lost", self.nodes[node].name, excused.len()));
        self.nodes[node].device = None;
        self.nodes[node].disk = Disk::with(content);
        self.nodes[node].restores_met = 0;
        self.open(node)
    }

    fn excuse(&mut self, hashes: &[[u8; 32]]) {
        for hash in hashes {
            if let Some(saved) = self.oracle.saved.get_mut(hash) {
                saved.excused = true;
            }
        }
    }

    pub(super) fn device_clone(&mut self, node: usize) -> Step {
        if self.nodes.len() > 6 || self.nodes[node].device.is_none() {
            return Ok(());
        }
        let old = &self.nodes[node];
        let copy = Node {
            name: format!("copy {} of {}", self.nodes.len(), old.name),
            disk: Disk::with(old.disk.content()),
            device: None,
            id: old.id,
            ahead: old.ahead,
            backups: vec![],
            call: None,
            cut: false,
            revoked: old.revoked,
            restores_met: old.restores_met,
        };
        self.note(copy.name.clone());
        self.counts.add("device cloned");
        self.nodes.push(copy);
        self.open(self.nodes.len() - 1)
    }

    pub(super) fn hub_restore(&mut self) -> Step {
        let count = self.hub.backups.len();
        if count == 0 {
            return Ok(());
        }
        let content = self.hub.backups[self.random.index(count)].clone();
        let before = self.oracle.on_hub.clone();
        let holdings = self.holdings()?;
        let old = Disk::with(content);
        let rename = self.random.percent(70);
        if rename {
            let mut id = [0; 8];
            self.random.fill(&mut id);
            let store = Store::open(old.clone(), crate::world::hub::MANNER).map_err(words)?;
            RedbLog::rename(&store, LogId(id)).map_err(words)?;
        }
        // What nobody else has can only be gone; what somebody shows and cannot hand on must not be.
        let kept = std::mem::replace(&mut self.hub.log, old);
        self.hub.close();
        self.open_hub()?;
        let lost: Vec<[u8; 32]> = before.difference(&self.oracle.on_hub).copied().collect();
        let mut excused = vec![];
        for hash in lost.iter().filter(|hash| self.oracle.saved.contains_key(*hash)) {
            match self.survives(hash, &holdings, false) {
                Some(true) => {}
                Some(false) => excused.push(*hash),
                None => {
                    self.hub.close();
                    self.hub.log = kept;
                    return self.open_hub();
                }
            }
        }
        self.excuse(&excused);
        for hash in &lost {
            let Some(saved) = self.oracle.saved.get_mut(hash) else { continue };
            if self.nodes[saved.node].revoked && saved.waits == Waits::No {
                saved.waits = Waits::Either;
            }
        }
        self.hub.restores += 1;
        self.counts.add("hub restored");
        if !rename {
            self.counts.add("hub restored and its log not renamed");
        }
        let words = format!("the hub restored, renamed {rename}, {} changes gone", lost.len());
        self.note(words);
        self.revoke_again()
    }
}
