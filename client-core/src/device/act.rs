//! A person's act: carried out on documents, durable, then and only then called saved.

use minicbor::{Decode, Encode};

use super::shelf::{heads, row_only_key};
use super::standing::{
    self, EntryState, Following, StoredSession, put_following, put_session, put_state,
};
use super::{Device, DeviceError};
use crate::record::action::Action;
use crate::record::apply::{Delta, apply};
use crate::record::doc::{Doc, Presence};
use crate::record::doc_id::{DocId, DocKind};
use crate::record::id::{ActorHalf, PersonId, SiteId, VisitId};
use crate::record::key;
use crate::record::row;
use crate::record::stamp::{Seen, Stamp};
use crate::store::doc_table::{self, unreadable};
use crate::store::{Get, StoreError, Table, Write};

/// One action on one document.
#[derive(Clone, Debug, PartialEq)]
pub struct Step {
    /// The document (any part).
    pub doc: DocId,
    /// The action.
    pub action: Action,
}

impl Step {
    /// An action on a document.
    pub const fn new(doc: DocId, action: Action) -> Step {
        Step { doc, action }
    }
}

/// A change that is not sealed yet.
#[derive(Clone, Debug, PartialEq, Eq, Encode, Decode)]
#[cbor(map)]
pub(super) struct UnsentChange {
    /// The document, as bytes.
    #[n(0)]
    #[cbor(with = "minicbor::bytes")]
    pub(super) doc: Vec<u8>,
    /// The change itself: sealing must not depend on how its document is kept.
    #[n(1)]
    #[cbor(with = "minicbor::bytes")]
    pub(super) bytes: Vec<u8>,
    /// The session that wrote it.
    #[n(2)]
    pub(super) session: ActorHalf,
    /// Nonce of the session.
    #[n(3)]
    #[cbor(with = "minicbor::bytes")]
    pub(super) nonce: [u8; 16],
    /// Who entered it.
    #[n(4)]
    pub(super) person: PersonId,
}

/// Key behind everything of a site in the unsent or sealed table.
pub(super) fn next_order(
    store: &impl Get,
    table: Table,
    site: SiteId,
) -> Result<Vec<u8>, StoreError> {
    let last = store.last(table, &site.0, None)?;
    let last = last.and_then(|(key, _)| key.get(8..16).and_then(|order| order.try_into().ok()));
    let next = last.map_or(1, |order| u64::from_be_bytes(order) + 1);
    Ok([&site.0[..], &next.to_be_bytes()].concat())
}

impl Device {
    /// Carries out actions under one stamp, all or none. When this returns, they are saved.
    pub fn act(&mut self, steps: &[Step], stamp: &Stamp) -> Result<Vec<Delta>, DeviceError> {
        let write = self.store.write()?;
        let outcome = self.act_in(&write, steps, stamp);
        match outcome {
            Ok(deltas) => match write.commit() {
                Ok(()) => Ok(deltas),
                Err(wrong) => {
                    self.start_over();
                    Err(wrong.into())
                }
            },
            Err(DeviceError::Refused(refused)) => {
                // Earlier steps may have changed documents in memory: the store is the truth.
                self.shelf.clear();
                Err(refused.into())
            }
            Err(wrong) => {
                self.start_over();
                Err(wrong)
            }
        }
    }

    fn act_in(
        &mut self,
        write: &Write,
        steps: &[Step],
        stamp: &Stamp,
    ) -> Result<Vec<Delta>, DeviceError> {
        let mut deltas = vec![];
        let mut touched: Vec<DocId> = vec![];
        for step in steps {
            let delta = self.step(write, step, stamp)?;
            let family = delta.doc.with_part(1);
            if !touched.contains(&family) {
                touched.push(family);
            }
            deltas.push(delta);
        }
        // Sheets before heads: a visit's row sums up its sheets.
        touched.sort_by_key(|doc| std::cmp::Reverse(doc.kind));
        for doc in touched {
            self.shelf.make_rows(write, doc, &self.signers)?;
        }
        Ok(deltas)
    }

    fn step(&mut self, write: &Write, step: &Step, stamp: &Stamp) -> Result<Delta, DeviceError> {
        let site = step.doc.site;
        if standing::following(write, site)?.is_none() {
            put_following(write, site, &Following::begin(site))?;
        }
        let presence = presence(write, step.doc)?;
        let target = self.target(write, step, presence)?;
        let stamp = self.with_seen(write, target, &step.action, stamp)?;
        self.shelf.get_or_begin(write, target, presence)?;
        let parts = self.shelf.parts(write, target)?;
        for part in parts.iter().filter(|part| part.part < target.part) {
            self.shelf.get(write, *part)?;
        }
        let earlier: Vec<Doc> = parts
            .iter()
            .filter(|part| part.part < target.part)
            .filter_map(|part| self.shelf.peek(*part).map(|held| held.doc.clone()))
            .collect();
        let earlier: Vec<&Doc> = earlier.iter().collect();
        let held = self.shelf.get_or_begin(write, target, presence)?;
        let delta = apply(&mut held.doc, &earlier, &step.action, &stamp, &mut self.session.pen)?;
        write.add_change(&mut held.info, &delta.bytes)?;
        held.info.heads = heads(&held.doc);
        write.put_info(target, &held.info)?;
        let unsent = UnsentChange {
            doc: target.to_bytes(),
            bytes: delta.bytes.clone(),
            session: self.session.pen.actor.half(),
            nonce: self.session.nonce,
            person: stamp.by,
        };
        self.note_session(write)?;
        let key = next_order(write, Table::Unsent, site)?;
        write.put(Table::Unsent, &key, &standing::cbor(&unsent))?;
        for entry in &delta.entries {
            put_state(write, site, *entry, EntryState::Here)?;
        }
        Ok(delta)
    }

    /// Notes this session with its first entry: later runs must know whose it was.
    pub(super) fn note_session(&self, write: &Write) -> Result<(), StoreError> {
        let half = self.session.pen.actor.half();
        if standing::session(write, half)?.is_none() {
            let session = StoredSession::new(self.identity.device(), self.session.nonce);
            put_session(write, half, &session)?;
        }
        Ok(())
    }

    /// The part that takes the action: the last one, or the next when that is long; for an edit the one
    /// that holds the text.
    fn target(
        &mut self,
        write: &Write,
        step: &Step,
        presence: Presence,
    ) -> Result<DocId, DeviceError> {
        let parts = self.shelf.parts(write, step.doc.with_part(1))?;
        if let Action::Edit { note, .. } = &step.action {
            for part in &parts {
                let held = self.shelf.get(write, *part)?;
                let text = key::text(*note);
                if held.is_some_and(|held| held.doc.stood_at(&text, &held.doc.heads())) {
                    return Ok(*part);
                }
            }
        }
        let Some(last) = parts.last().copied() else { return Ok(step.doc.with_part(1)) };
        let changes = self.shelf.get_or_begin(write, last, presence)?.info.changes;
        let long = usize::try_from(changes).unwrap_or(usize::MAX) >= self.sizes.part_changes;
        Ok(if long { last.with_part(last.part.saturating_add(1)) } else { last })
    }

    /// Adds to the stamp what the author knew of other documents, where that matters.
    fn with_seen(
        &mut self,
        write: &Write,
        target: DocId,
        action: &Action,
        stamp: &Stamp,
    ) -> Result<Stamp, DeviceError> {
        let mut seen: Vec<Seen> = vec![];
        if target.part > 1 {
            seen.extend(known(write, target.with_part(target.part - 1))?);
        }
        let info = doc_table::info(write, target)?;
        if info.as_ref().is_none_or(|info| !info.whole)
            && presence(write, target)? == Presence::Partial
        {
            let log_n = standing::following(write, target.site)?.map(|following| following.place.n);
            let row_n = info.and_then(|info| info.row_n).or(log_n);
            seen.push(Seen { doc: target.to_bytes(), log_n: row_n, heads: vec![] });
        }
        if let (Action::Release { .. }, DocKind::Appliance(appliance)) = (action, target.kind) {
            let history = row::history_key(target.site, appliance, None);
            for (key, _) in write.under(Table::Rows, &history)? {
                let visit = VisitId::from_slice(&key[history.len()..]);
                let visit = visit.ok_or_else(|| unreadable(Table::Rows, "history key"))?;
                let sheet = DocId::new(target.site, DocKind::Sheet(visit, appliance));
                for part in self.shelf.parts(write, sheet)? {
                    seen.extend(known(write, part)?);
                }
            }
        }
        let mut stamp = stamp.clone();
        if !seen.is_empty() {
            stamp.seen.get_or_insert_default().extend(seen);
        }
        Ok(stamp)
    }
}

fn known(write: &Write, doc: DocId) -> Result<Option<Seen>, StoreError> {
    let info = doc_table::info(write, doc)?;
    Ok(info.map(|info| Seen { doc: doc.to_bytes(), log_n: None, heads: info.heads }))
}

/// How a document that is not here would be begun: whole when this device would know of it if anybody
/// had written in it before its place in the log.
pub(super) fn presence(store: &impl Get, doc: DocId) -> Result<Presence, StoreError> {
    if let Some(info) = doc_table::info(store, doc)? {
        return Ok(if info.whole { Presence::Whole } else { Presence::Partial });
    }
    let Some(following) = standing::following(store, doc.site)? else {
        return Ok(Presence::Whole);
    };
    if !following.by_rows {
        return Ok(Presence::Whole);
    }
    if doc.kind == DocKind::Company {
        return Ok(Presence::Whole);
    }
    if following.cursor.is_some() {
        return Ok(Presence::Partial);
    }
    let row = store.get(Table::RowOnly, &row_only_key(doc))?.is_some();
    Ok(if row { Presence::Partial } else { Presence::Whole })
}
