//! What must be true at the end.

use std::collections::{BTreeMap, BTreeSet};

use client_core::device::EntryState;
use client_core::device::shelf::Shelf;
use client_core::record::doc::first_change;
use client_core::record::file::Papers;
use client_core::record::id::{Actor, EntryId};
use client_core::record::signer::Standing;
use client_core::store::{Store, doc_table};

use super::oracle::Waits;
use super::shown::{Shown, difference, shown};
use super::{Sim, Step, model, words};

/// Changes and entries.
type OnTheHub = (BTreeSet<[u8; 32]>, BTreeMap<EntryId, Standing>);

impl Sim {
    pub(super) fn check(&mut self) -> Step {
        self.same_everywhere()?;
        self.nothing_lost()?;
        self.nothing_unsigned()?;
        self.states_are_true()?;
        self.registers_as_written()
    }

    /// What the hub shows of every site.
    fn hub_shows(&mut self) -> Step<Vec<Shown>> {
        let sites = self.all_sites();
        let hub = self.hub.hub.as_mut().ok_or("no hub")?;
        let view = hub.view_mut();
        let store = view.store();
        sites.iter().map(|site| shown(store, view.signers(), *site).map_err(words)).collect()
    }

    /// Every device that may see a site shows it exactly as the hub does, documents and rows.
    fn same_everywhere(&mut self) -> Step {
        let sites = self.all_sites();
        let on_hub = self.hub_shows()?;
        for node in self.nodes.iter().filter(|node| !node.revoked) {
            let device = node.device.as_ref().ok_or("no device")?;
            for (site, hub) in sites.iter().zip(&on_hub) {
                let own = shown(device.store(), device.signers(), *site).map_err(words)?;
                if !own.partial.is_empty() {
                    return Err(format!("{} holds {:?} in part", node.name, own.partial));
                }
                for doc in hub.docs.keys().chain(own.docs.keys()) {
                    let (one, other) = (hub.docs.get(doc), own.docs.get(doc));
                    let (Some(one), Some(other)) = (one, other) else {
                        let lacks = if one.is_none() { "the hub" } else { &node.name };
                        return Err(format!("{lacks} does not have {doc}"));
                    };
                    if one != other {
                        let first = difference(one, other);
                        return Err(format!("{doc}: the hub and {} differ: {first}", node.name));
                    }
                }
                if hub.rows != own.rows {
                    return Err(format!("rows of {site} differ on {}", node.name));
                }
            }
        }
        Ok(())
    }

    /// Everything that was called saved is on the hub, and waits for a supervisor exactly where its key
    /// had been revoked.
    fn nothing_lost(&mut self) -> Step {
        let (changes, entries) = self.on_the_hub()?;
        for (hash, saved) in self.oracle.saved.iter().filter(|(_, saved)| !saved.excused) {
            let may_wait = saved.waits != Waits::No;
            if self.nodes[saved.node].revoked && may_wait {
                // A revoked device may never come again.
            } else if self.builds_on_what_never_comes(hash) {
                // It waits for what its own revoked device did before.
                continue;
            } else if !changes.contains(hash) && !reentered(saved, &entries) {
                let name = &self.nodes[saved.node].name;
                let short = super::step::short(hash);
                return Err(format!("{short} of {name} in {} is lost", saved.doc));
            }
            if self.oracle.spoilt.contains(&saved.doc.with_part(1)) {
                continue;
            }
            for inside in saved.inside.iter().filter(|inside| inside.kind.is_some()) {
                let Some(standing) = entries.get(&inside.id) else {
                    if may_wait {
                        continue;
                    }
                    return Err(format!("{} in {} is not shown", inside.key, saved.doc));
                };
                let waits = matches!(standing, Standing::Waiting);
                if saved.waits != Waits::Either && waits != may_wait {
                    let words = format!("{} in {} stands {standing:?}", inside.key, saved.doc);
                    return Err(format!("{words}, revoked {:?}", saved.waits));
                }
            }
        }
        Ok(())
    }

    /// Whether a change of a revoked device builds on another of its changes that a restored hub has lost:
    /// the device is not told of the restore any more, so that it does not offer that one again.
    fn builds_on_what_never_comes(&self, hash: &[u8; 32]) -> bool {
        let saved = &self.oracle.saved;
        let mut open: Vec<[u8; 32]> = vec![*hash];
        let mut seen: BTreeSet<[u8; 32]> = BTreeSet::new();
        while let Some(hash) = open.pop() {
            let Some(one) = saved.get(&hash).filter(|one| self.nodes[one.node].revoked) else {
                continue;
            };
            if self.hub.restores > 0 && !self.oracle.on_hub.contains(&hash) {
                return true;
            }
            if seen.insert(hash) {
                open.extend(one.deps.iter().filter(|dep| {
                    saved.get(*dep).is_some_and(|before| before.device == one.device)
                }));
            }
        }
        false
    }

    /// Changes and entries in the hub's view.
    fn on_the_hub(&mut self) -> Step<OnTheHub> {
        let sites = self.all_sites();
        let hub = self.hub.hub.as_mut().ok_or("no hub")?;
        let view = hub.view_mut();
        let mut changes = BTreeSet::new();
        let mut entries = BTreeMap::new();
        let read = view.store().read().map_err(words)?;
        let mut shelf = Shelf::new(8, u32::MAX);
        for site in sites {
            for (doc, _) in doc_table::of_site(&read, site).map_err(words)? {
                if doc.part > 1 {
                    continue;
                }
                let papers = Papers::of(shelf.family(&read, doc).map_err(words)?, view.signers());
                for part in &papers.parts {
                    let metas = part.automerge().get_changes_meta(&[]);
                    changes.extend(metas.iter().map(|meta| meta.hash.0));
                }
                entries.extend(papers.read.entries.iter().map(|entry| (entry.id, entry.standing)));
            }
        }
        Ok((changes, entries))
    }

    /// Nothing stands in any document that nobody signed.
    fn nothing_unsigned(&mut self) -> Step {
        let sites = self.all_sites();
        let mut resting = 0;
        let mut stores: Vec<(String, &Store)> = vec![];
        let hub = self.hub.hub.as_mut().ok_or("no hub")?;
        stores.push(("the hub".to_owned(), hub.view_mut().store()));
        for node in &self.nodes {
            let device = node.device.as_ref().ok_or("no device")?;
            stores.push((node.name.clone(), device.store()));
        }
        for (name, store) in stores {
            let read = store.read().map_err(words)?;
            let mut shelf = Shelf::new(8, u32::MAX);
            for site in &sites {
                for (doc, _) in doc_table::of_site(&read, *site).map_err(words)? {
                    let Some(held) = shelf.get(&read, doc).map_err(words)? else { continue };
                    // A document that was fetched whole begins as a snapshot of one.
                    resting += u64::from(held.info.snapshot > 1);
                    let first = first_change(doc).hash();
                    for meta in held.doc.automerge().get_changes_meta(&[]) {
                        let actor = Actor::from_slice(meta.actor.to_bytes());
                        let session = actor.is_some_and(|actor| {
                            self.oracle.uncertain.contains(&actor)
                                || self.oracle.hostile.contains(&actor)
                        });
                        let known = self.oracle.saved.contains_key(&meta.hash.0);
                        if !known && !session && meta.hash != first {
                            let hash = super::step::short(&meta.hash.0);
                            return Err(format!("{name}: nobody signed {hash} in {doc}"));
                        }
                    }
                }
            }
        }
        self.counts.many("snapshot stands for changes", resting);
        Ok(())
    }

    /// No entry claims to be on the hub that is not.
    fn states_are_true(&mut self) -> Step {
        for node in &self.nodes {
            let device = node.device.as_ref().ok_or("no device")?;
            let sites = self.places.iter().map(|place| place.site);
            let sites: Vec<_> = sites.chain(self.places.first().map(|one| one.company)).collect();
            let held = super::oracle::holding(device.store(), &sites).map_err(words)?;
            for (hash, saved) in &self.oracle.saved {
                if saved.device != node.id || !held.changes.contains(hash) {
                    continue;
                }
                let there = self.oracle.on_hub.contains(hash);
                for entry in &saved.entries {
                    let state = device.state_of(saved.doc, *entry).map_err(words)?;
                    // Nothing goes out to a revoked key, so it does not hear that the hub was restored.
                    let untold = node.revoked && self.hub.restores > 0;
                    if state == EntryState::OnHub && !there && !untold {
                        return Err(format!("{}: {entry} claims to be on the hub", node.name));
                    }
                    if state != EntryState::OnHub && !node.revoked {
                        return Err(format!("{}: {entry} is {state:?} after all", node.name));
                    }
                }
            }
        }
        Ok(())
    }

    /// Registers show exactly the answers that the causal order leaves standing.
    fn registers_as_written(&mut self) -> Step {
        let sites = self.all_sites();
        let hub = self.hub.hub.as_mut().ok_or("no hub")?;
        let view = hub.view_mut();
        let read = view.store().read().map_err(words)?;
        let mut shelf = Shelf::new(8, u32::MAX);
        let mut contested = 0;
        for site in sites {
            for (doc, _) in doc_table::of_site(&read, site).map_err(words)? {
                let unsure = self.oracle.spoilt.contains(&doc.with_part(1));
                if doc.part > 1 || unsure {
                    continue;
                }
                let papers = Papers::of(shelf.family(&read, doc).map_err(words)?, view.signers());
                contested += model::registers(&self.oracle, &papers)
                    .map_err(|wrong| format!("{doc}: {wrong}"))?;
            }
        }
        self.counts.many("contested register", contested);
        Ok(())
    }
}

/// Whether every entry of a change stands under its own number although the change does not.
fn reentered(saved: &super::oracle::Saved, entries: &BTreeMap<EntryId, Standing>) -> bool {
    saved.inside.iter().all(|inside| inside.kind.is_none() || entries.contains_key(&inside.id))
}
