//! What the hub's log says was refused is taken out of the documents; what this device had said in it or
//! on top of it is entered again on accepted ground.
//!
//! A refused change holds back everything that builds on it, also a colleague's. The log tells every
//! device which changes were refused, so that all take out the same, and each device answers for its own.

use std::collections::BTreeSet;

use automerge::{Change, ChangeHash, ReadDoc};

use super::act::{UnsentChange, next_order};
use super::reply::ReplyWrong;
use super::standing::{self, EntryState, Quarantined, put_quarantined, put_state};
use super::{Device, DeviceError, Session};
use crate::exchange::note::Refusal;
use crate::record::apply::{Delta, enter_again};
use crate::record::doc::{Doc, actor_of};
use crate::record::doc_id::DocId;
use crate::record::id::{PersonId, SiteId};
use crate::record::inside::stamp_of;
use crate::store::doc_table::unreadable;
use crate::store::{Get, StoreError, Table, Write};

/// Key of the mark that a change was itself entered again: when it is refused too, its content is the
/// reason, and entering it once more would never end.
fn again_key(hash: &[u8; 32]) -> Vec<u8> {
    [b"entered again ", &hash[..]].concat()
}

impl Device {
    /// Takes refused changes out of the documents of a site and enters again what was this device's own.
    pub(super) fn refused(
        &mut self,
        write: &Write,
        site: SiteId,
        refusals: &[Refusal],
    ) -> Result<(), ReplyWrong> {
        for refusal in refusals {
            let Ok(doc) = DocId::from_bytes(site, &refusal.doc) else { continue };
            self.keep_bytes(write, doc, &refusal.change)?;
            let Some((old, out)) = self.shelf.expel(write, doc, &refusal.change)? else { continue };
            drop_unsent(write, site, &out)?;
            let own: Vec<&Change> = out.iter().filter(|change| self.is_own(change)).collect();
            for change in &out {
                let hash = change.hash().0;
                // The log may refuse it by itself too: that it is barred stays.
                let known = standing::quarantined(write, site, &hash)?;
                let binding = known.and_then(|known| known.binding);
                let mut kept = taken_out(doc, change, refusal);
                kept.binding = kept.binding.or(binding);
                if !self.is_own(change) {
                    // A colleague enters it again; what it was stays here, like anything that was refused.
                    let signer = self.signers.get(actor_of(change.actor_id()).half());
                    kept.device = signer.map(|signer| signer.device);
                    kept.reentered = false;
                }
                put_quarantined(write, site, &hash, &kept)?;
            }
            let fresh = |change: &&Change| -> Result<bool, StoreError> {
                Ok(write.get(Table::Meta, &again_key(&change.hash().0))?.is_none())
            };
            let mut again = vec![];
            for change in own {
                if fresh(&change)? {
                    again.push(change);
                }
            }
            if !again.is_empty() {
                self.enter_again(write, doc, &old, &again)?;
            }
            self.shelf.make_rows(write, doc, &self.signers)?;
        }
        Ok(())
    }

    /// Keeps the bytes of a change that is refused: the delivery that brought it may have to be put together
    /// again.
    fn keep_bytes(&mut self, write: &Write, doc: DocId, hash: &[u8; 32]) -> Result<(), StoreError> {
        let Some(mut known) = standing::quarantined(write, doc.site, hash)? else { return Ok(()) };
        if known.bytes.is_empty()
            && let Some(bytes) = self.change(write, doc, hash)?
        {
            known.bytes = bytes;
            put_quarantined(write, doc.site, hash, &known)?;
        }
        Ok(())
    }

    fn is_own(&self, change: &Change) -> bool {
        let signer = self.signers.get(actor_of(change.actor_id()).half());
        signer.is_some_and(|signer| signer.device == self.identity.device())
    }

    fn enter_again(
        &mut self,
        write: &Write,
        doc: DocId,
        old: &Doc,
        own: &[&Change],
    ) -> Result<(), ReplyWrong> {
        // A session of its own: what it writes here must not follow what it wrote elsewhere in the graph.
        self.session = Session::begin(&self.identity, &mut self.random);
        self.signers.insert(self.session.pen.actor.half(), self.identity.signer());
        let Some(held) = self.shelf.get(write, doc)? else { return Ok(()) };
        let automerge = held.doc.automerge();
        let known: Vec<ChangeHash> = own
            .iter()
            .flat_map(|change| change.deps())
            .filter(|dep| automerge.get_change_meta_by_hash(dep).is_some())
            .copied()
            .collect();
        let first = crate::record::doc::first_change(doc).hash();
        let known = if known.is_empty() { vec![first] } else { known };
        let wrong = |wrong: String| unreadable(Table::Docs, format!("{doc}: {wrong}"));
        let mut ground = automerge.fork_at(&known).map_err(|why| wrong(why.to_string()))?;
        let mut made: Vec<(Delta, PersonId)> = vec![];
        for change in own {
            let person = stamp_of(change.raw_bytes()).map_or(self.identity.person, |by| by.by);
            let again = enter_again(old, &mut ground, change, &mut self.session.pen);
            let again = again.map_err(|why| wrong(why.to_string()))?;
            made.extend(again.map(|delta| (delta, person)));
        }
        let changes =
            made.iter().filter_map(|(delta, _)| ground.get_change_by_hash(&ChangeHash(delta.hash)));
        let changes: Vec<Change> = changes.collect();
        let applied = held.doc.automerge_mut().apply_changes(changes);
        applied.map_err(|why| wrong(why.to_string()))?;
        for (delta, _) in &made {
            write.add_change(&mut held.info, &delta.bytes)?;
        }
        held.info.heads = super::shelf::heads(&held.doc);
        // Another session wrote under the first one's numbers: read by history from now on.
        held.doc.mark_overwritten();
        held.info.overwritten = true;
        write.put_info(doc, &held.info)?;
        for (delta, person) in made {
            self.keep_again(write, &delta, person)?;
        }
        Ok(())
    }

    fn keep_again(
        &self,
        write: &Write,
        delta: &Delta,
        person: PersonId,
    ) -> Result<(), DeviceError> {
        let site = delta.doc.site;
        let unsent = UnsentChange {
            doc: delta.doc.to_bytes(),
            bytes: delta.bytes.clone(),
            session: self.session.pen.actor.half(),
            nonce: self.session.nonce,
            person,
        };
        self.note_session(write)?;
        let key = next_order(write, Table::Unsent, site)?;
        write.put(Table::Unsent, &key, &standing::cbor(&unsent))?;
        write.put(Table::Meta, &again_key(&delta.hash), &[])?;
        for entry in &delta.entries {
            put_state(write, site, *entry, EntryState::Here)?;
        }
        Ok(())
    }
}

/// Changes that are not sealed yet and were taken out are never sent: what they said is entered again.
fn drop_unsent(write: &Write, site: SiteId, out: &[Change]) -> Result<(), StoreError> {
    let gone: BTreeSet<[u8; 32]> = out.iter().map(|change| change.hash().0).collect();
    for (key, value) in write.under(Table::Unsent, &site.0)? {
        let unsent: UnsentChange =
            minicbor::decode(&value).map_err(|wrong| unreadable(Table::Unsent, wrong))?;
        if crate::gate::scan(&unsent.bytes).is_ok_and(|scan| gone.contains(&scan.hash)) {
            write.remove(Table::Unsent, &key)?;
        }
    }
    Ok(())
}

fn taken_out(doc: DocId, change: &Change, refusal: &Refusal) -> Quarantined {
    let itself = change.hash().0 == refusal.change;
    Quarantined {
        doc: doc.to_bytes(),
        reason: refusal.reason.clone(),
        words: match itself {
            true => format!("the hub's gate: {}", refusal.words),
            false => "it builds on a change that the hub's gate refused".to_owned(),
        },
        bytes: change.raw_bytes().to_vec(),
        device: None,
        reentered: true,
        binding: itself.then_some(true),
    }
}
