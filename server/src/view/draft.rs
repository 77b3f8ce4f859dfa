//! Carrying out a deed on copies of the view's documents: the changes that come of it go into the log, and
//! the view folds them from there like anybody's.

use std::collections::BTreeMap;
use std::collections::btree_map::Entry;

use client_core::device::list;
use client_core::device::sizes::Sizes;
use client_core::record::action::Action;
use client_core::record::apply::{Delta, Pen, apply};
use client_core::record::doc::{Doc, Presence};
use client_core::record::doc_id::{DocId, DocKind};
use client_core::record::key;
use client_core::record::refused::Refused;
use client_core::record::stamp::{Seen, Stamp};
use client_core::store::StoreError;

use super::View;

/// Why a deed gives no changes.
#[derive(Debug, thiserror::Error)]
pub enum DraftWrong {
    /// It was refused; nothing is changed.
    #[error(transparent)]
    Refused(#[from] Refused),
    /// The view could not be read.
    #[error(transparent)]
    Store(#[from] StoreError),
}

/// Copies of all parts of the documents that a deed touches.
type Copies = BTreeMap<DocId, Vec<Doc>>;

impl View {
    /// The changes of a deed, in order; all of it or none. The documents of the view stay as they are.
    pub fn draft(
        &mut self,
        pen: &mut Pen,
        stamp: &Stamp,
        deed: &[(DocId, Action)],
    ) -> Result<Vec<Delta>, DraftWrong> {
        let mut own = pen.clone();
        let mut copies = Copies::new();
        let mut deltas = vec![];
        for (doc, action) in deed {
            let family = doc.with_part(1);
            if let Entry::Vacant(place) = copies.entry(family) {
                place.insert(self.copies(family)?);
            }
            let stamp = self.with_seen(&mut copies, family, action, stamp)?;
            let parts = copies.entry(family).or_default();
            let at = part_for(parts, family, action);
            let (earlier, rest) = parts.split_at_mut(at);
            let earlier: Vec<&Doc> = earlier.iter().collect();
            let target = rest.first_mut().ok_or(Refused::Nothing)?;
            deltas.push(apply(target, &earlier, action, &stamp, &mut own)?);
        }
        *pen = own;
        Ok(deltas)
    }

    fn copies(&mut self, doc: DocId) -> Result<Vec<Doc>, StoreError> {
        let read = self.store.read()?;
        Ok(self.shelf.family(&read, doc)?.into_iter().cloned().collect())
    }

    /// Adds to the stamp what the author knew of other documents, where that matters: of the part before,
    /// and of every sheet of a unit that is released.
    fn with_seen(
        &mut self,
        copies: &mut Copies,
        doc: DocId,
        action: &Action,
        stamp: &Stamp,
    ) -> Result<Stamp, StoreError> {
        let mut seen: Vec<Seen> = vec![];
        let parts = copies.get(&doc).map_or(&[][..], Vec::as_slice);
        let at = part_at(parts, action);
        seen.extend(at.checked_sub(1).and_then(|before| parts.get(before)).map(known));
        if let (Action::Release { .. }, DocKind::Appliance(appliance)) = (action, doc.kind) {
            let visits = list::history(&self.store.read()?, doc.site, appliance)?;
            for visit in visits {
                let sheet = DocId::new(doc.site, DocKind::Sheet(visit.id, appliance));
                seen.extend(self.copies(sheet)?.iter().map(known));
            }
        }
        let mut stamp = stamp.clone();
        if !seen.is_empty() {
            stamp.seen.get_or_insert_default().extend(seen);
        }
        Ok(stamp)
    }
}

fn known(doc: &Doc) -> Seen {
    let heads = doc.heads().iter().flat_map(|head| head.0).collect();
    Seen { doc: doc.id().to_bytes(), log_n: None, heads }
}

/// Which part takes an action: the last one, or the next when that is long; for an edit the one that holds
/// the text.
fn part_at(parts: &[Doc], action: &Action) -> usize {
    if let Action::Edit { note, .. } = action {
        let text = key::text(*note);
        let holds = |part: &Doc| part.stood_at(&text, &part.heads());
        if let Some(at) = parts.iter().position(holds) {
            return at;
        }
    }
    match parts.last() {
        Some(last) if last.changes() >= Sizes::USUAL.part_changes => parts.len(),
        _ => parts.len().saturating_sub(1),
    }
}

/// The part that takes an action, begun when it is not there.
fn part_for(parts: &mut Vec<Doc>, family: DocId, action: &Action) -> usize {
    let at = part_at(parts, action);
    if at == parts.len() {
        let part = u16::try_from(at + 1).unwrap_or(u16::MAX);
        parts.push(Doc::begin(family.with_part(part), Presence::Whole));
    }
    at
}
