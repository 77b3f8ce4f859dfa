//! The dear stages: parse, causality, canonical form, canary; and taking the batch in.

use std::collections::{BTreeMap, BTreeSet};

use automerge::{Automerge, Change, ChangeHash, ExpandedChange};

use super::{Turned, canary, limit, scan::scan};
use crate::record::doc::{Doc, actor_of};
use crate::record::id::{Actor, ActorHalf, DeviceId};
use crate::record::read::unusual;

/// What became of a batch.
#[derive(Debug, Default)]
pub struct Admission {
    /// Hashes taken in, in an order in which each follows what it builds on. Changes that the document
    /// held already are not among them.
    pub taken: Vec<[u8; 32]>,
    /// Changes refused, with their reasons.
    pub refused: Vec<([u8; 32], Turned)>,
    /// Changes that build on something not known here (positions in the batch). They are kept outside.
    pub parked: Vec<usize>,
}

/// What is known around a document, beyond its own changes.
#[derive(Clone, Copy)]
pub struct Ground<'a> {
    /// Whether the hub's log says that a change was refused.
    pub barred: &'a dyn Fn(&[u8; 32]) -> bool,
    /// The device that a session belongs to.
    pub device: &'a dyn Fn(ActorHalf) -> Option<DeviceId>,
}

impl std::fmt::Debug for Ground<'_> {
    fn fmt(&self, out: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        out.write_str("Ground")
    }
}

impl Ground<'_> {
    /// Nothing is barred and nobody is known.
    pub const OPEN: Ground<'static> = Ground { barred: &|_| false, device: &|_| None };
}

struct Parsed {
    position: usize,
    hash: ChangeHash,
    change: Change,
    overwrites: bool,
}

/// Takes a batch of changes of one document in, as far as it passes. The document is replaced only by
/// a copy that was proved to survive; whatever happens inside, it is never left half changed.
pub fn admit(document: &mut Doc, batch: &[Vec<u8>], ground: Ground<'_>) -> Admission {
    let mut out = Admission::default();
    let mut waiting: Vec<Parsed> = vec![];
    let mut seen: BTreeSet<[u8; 32]> = BTreeSet::new();
    for (position, bytes) in batch.iter().enumerate() {
        let hash = match scan(bytes) {
            Ok(scan) => scan.hash,
            Err(turned) => {
                out.refused.push((name(bytes), turned));
                continue;
            }
        };
        let known = document.automerge().get_change_meta_by_hash(&ChangeHash(hash)).is_some();
        if known || !seen.insert(hash) {
            continue;
        }
        if (ground.barred)(&hash) {
            out.refused.push((hash, Turned::Barred));
            continue;
        }
        match parse(bytes, hash) {
            Ok((change, overwrites)) => {
                waiting.push(Parsed { position, hash: ChangeHash(hash), change, overwrites });
            }
            Err(turned) => out.refused.push((hash, turned)),
        }
    }
    let ordered = order(document.automerge(), waiting, ground, &mut out);
    take_in(document, ordered, &mut out);
    out
}

/// A name for bytes that have no change hash.
fn name(bytes: &[u8]) -> [u8; 32] {
    use sha2::Digest;
    sha2::Sha256::digest(bytes).into()
}

fn parse(bytes: &[u8], hash: [u8; 32]) -> Result<(Change, bool), Turned> {
    canary::guarded(|| {
        let change = Change::from_bytes(bytes.to_vec())
            .map_err(|wrong| Turned::Parse(wrong.to_string().chars().take(120).collect()))?;
        if change.hash().0 != hash || change.raw_bytes() != bytes {
            return Err(Turned::NotCanonical);
        }
        if change.author().is_some() || !change.extra_bytes().is_empty() {
            return Err(Turned::Form("bytes are left over"));
        }
        let expanded: ExpandedChange = change.decode();
        let overwrites = unusual(&expanded);
        let again = Change::from(expanded);
        if again.raw_bytes() != bytes {
            return Err(Turned::NotCanonical);
        }
        Ok((change, overwrites))
    })
}

/// Puts changes behind what they build on and checks their numbers. What builds on something unknown
/// is parked; what builds on something refused is held back.
fn order(
    document: &Automerge,
    mut waiting: Vec<Parsed>,
    ground: Ground<'_>,
    out: &mut Admission,
) -> Vec<Parsed> {
    let mut known = Known::of(document, ground);
    let mut ordered: Vec<Parsed> = vec![];
    loop {
        let ready = |parsed: &Parsed| {
            parsed.change.deps().iter().all(|dep| known.max_op(document, dep).is_some())
        };
        let (now, later): (Vec<Parsed>, Vec<Parsed>) = waiting.into_iter().partition(ready);
        waiting = later;
        if now.is_empty() {
            break;
        }
        for parsed in now {
            match known.follows(document, &parsed.change) {
                Ok(()) => {
                    known.add(&parsed.change);
                    ordered.push(parsed);
                }
                Err(turned) => out.refused.push((parsed.hash.0, turned)),
            }
        }
    }
    hold_back(waiting, ground, out);
    ordered
}

/// Splits what could not be ordered into parked and held back.
fn hold_back(mut waiting: Vec<Parsed>, ground: Ground<'_>, out: &mut Admission) {
    loop {
        let refused: BTreeSet<[u8; 32]> = out.refused.iter().map(|(hash, _)| *hash).collect();
        let gone = |dep: &ChangeHash| refused.contains(&dep.0) || (ground.barred)(&dep.0);
        let (held, later): (Vec<Parsed>, Vec<Parsed>) =
            waiting.into_iter().partition(|parsed| parsed.change.deps().iter().any(gone));
        waiting = later;
        if held.is_empty() {
            break;
        }
        out.refused.extend(held.into_iter().map(|parsed| (parsed.hash.0, Turned::HeldBack)));
    }
    out.parked.extend(waiting.into_iter().map(|parsed| parsed.position));
}

/// Numbers that the next change of each actor has to follow.
struct Known<'a> {
    seqs: BTreeMap<Actor, u64>,
    new: BTreeMap<ChangeHash, u64>,
    heads: BTreeMap<ChangeHash, Owner>,
    ground: Ground<'a>,
}

/// Whose an end of the document is.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Owner {
    Device(DeviceId),
    Session(ActorHalf),
}

impl<'a> Known<'a> {
    fn of(document: &Automerge, ground: Ground<'a>) -> Known<'a> {
        let mut seqs: BTreeMap<Actor, u64> = BTreeMap::new();
        for meta in document.get_changes_meta(&[]) {
            let seq = seqs.entry(actor_of(&meta.actor)).or_default();
            *seq = (*seq).max(meta.seq);
        }
        let mut known = Known { seqs, new: BTreeMap::new(), heads: BTreeMap::new(), ground };
        for head in document.get_heads() {
            if let Some(meta) = document.get_change_meta_by_hash(&head) {
                let owner = known.owner(actor_of(&meta.actor));
                known.heads.insert(head, owner);
            }
        }
        known
    }

    fn owner(&self, actor: Actor) -> Owner {
        let half = actor.half();
        (self.ground.device)(half).map_or(Owner::Session(half), Owner::Device)
    }

    fn max_op(&self, document: &Automerge, hash: &ChangeHash) -> Option<u64> {
        let own = self.new.get(hash).copied();
        own.or_else(|| document.get_change_meta_by_hash(hash).map(|meta| meta.max_op))
    }

    fn follows(&self, document: &Automerge, change: &Change) -> Result<(), Turned> {
        if change.deps().is_empty() {
            return Err(Turned::Form("it builds on nothing, and only the first change may"));
        }
        let base = change.deps().iter().filter_map(|dep| self.max_op(document, dep)).max();
        let wanted = base.unwrap_or_default() + 1;
        let found = change.start_op().get();
        if found != wanted {
            return Err(Turned::Causal { what: "first operation number", found, wanted });
        }
        let actor = actor_of(change.actor_id());
        let seen = self.seqs.get(&actor).copied().unwrap_or_default();
        if change.seq() <= seen {
            return Err(Turned::Fork { actor, seq: change.seq() });
        }
        if change.seq() != seen + 1 {
            let (found, wanted) = (change.seq(), seen + 1);
            return Err(Turned::Causal { what: "sequence number", found, wanted });
        }
        let owner = self.owner(actor);
        let own =
            self.heads.iter().filter(|(head, of)| **of == owner && !change.deps().contains(head));
        let found = own.count() + 1;
        if found > limit::HEADS_MAX {
            return Err(Turned::Heads { found, most: limit::HEADS_MAX });
        }
        Ok(())
    }

    fn add(&mut self, change: &Change) {
        let actor = actor_of(change.actor_id());
        self.seqs.insert(actor, change.seq());
        for dep in change.deps() {
            self.heads.remove(dep);
        }
        self.heads.insert(change.hash(), self.owner(actor));
        self.new.insert(change.hash(), change.max_op());
    }
}

/// Applies the batch; when it fails as a whole, one change after the other finds the culprits.
fn take_in(document: &mut Doc, ordered: Vec<Parsed>, out: &mut Admission) {
    if ordered.is_empty() {
        return;
    }
    let changes: Vec<Change> = ordered.iter().map(|parsed| parsed.change.clone()).collect();
    if let Ok(next) = canary::sing(document.automerge(), &changes) {
        replace(document, next, &ordered, out);
        return;
    }
    let mut spoilt: BTreeSet<ChangeHash> = BTreeSet::new();
    halves(document, ordered, out, &mut spoilt);
}

/// Takes halves that pass; a single change that does not is refused, and so is what builds on it.
fn halves(
    document: &mut Doc,
    mut ordered: Vec<Parsed>,
    out: &mut Admission,
    spoilt: &mut BTreeSet<ChangeHash>,
) {
    ordered.retain(|parsed| {
        let held = parsed.change.deps().iter().any(|dep| spoilt.contains(dep));
        if held {
            spoilt.insert(parsed.hash);
            out.refused.push((parsed.hash.0, Turned::HeldBack));
        }
        !held
    });
    if ordered.is_empty() {
        return;
    }
    let changes: Vec<Change> = ordered.iter().map(|parsed| parsed.change.clone()).collect();
    match canary::sing(document.automerge(), &changes) {
        Ok(next) => replace(document, next, &ordered, out),
        Err(turned) if ordered.len() == 1 => {
            spoilt.insert(ordered[0].hash);
            out.refused.push((ordered[0].hash.0, turned));
        }
        Err(_) => {
            let rest = ordered.split_off(ordered.len() / 2);
            halves(document, ordered, out, spoilt);
            halves(document, rest, out, spoilt);
        }
    }
}

fn replace(document: &mut Doc, next: Automerge, ordered: &[Parsed], out: &mut Admission) {
    *document.automerge_mut() = next;
    for parsed in ordered {
        if parsed.overwrites {
            document.mark_overwritten();
        }
        out.taken.push(parsed.hash.0);
    }
}
