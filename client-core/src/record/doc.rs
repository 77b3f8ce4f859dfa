//! One document in memory.
//!
//! Every document begins with the same first change on every device: actor and content follow from
//! the document's id alone. A device that does not hold a document can therefore still add evidence
//! to it, on that first change, and the parts join later.

use automerge::transaction::{CommitOptions, Transactable};
use automerge::{ActorId, Automerge, Change, ChangeHash, ROOT, ReadDoc};
use sha2::{Digest, Sha256};

use crate::record::doc_id::DocId;
use crate::record::id::{Actor, SiteId};
use crate::record::key;

/// Version of the record that this program writes into `schema`.
pub const SCHEMA_VERSION: u64 = 1;

/// Above this many changes the next part of a document begins.
pub const PART_CHANGES: usize = 1_500;

/// How much of a document this device holds.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Presence {
    /// The first change and this device's own additions.
    Partial,
    /// Everything that the place in the log covers.
    Whole,
}

/// One automerge document.
#[derive(Clone, Debug)]
pub struct Doc {
    id: DocId,
    automerge: Automerge,
    presence: Presence,
    overwritten: bool,
}

impl Doc {
    /// The document with nothing but its first change.
    pub fn begin(id: DocId, presence: Presence) -> Doc {
        Doc { id, automerge: first(id), presence, overwritten: false }
    }

    /// A document that was already loaded and checked.
    ///
    /// `overwritten` says that some change put or deleted a key of evidence that stood already, so
    /// that reading has to go through the whole history.
    pub fn from_parts(
        id: DocId,
        automerge: Automerge,
        presence: Presence,
        overwritten: bool,
    ) -> Doc {
        Doc { id, automerge, presence, overwritten }
    }

    /// Which document.
    pub const fn id(&self) -> DocId {
        self.id
    }

    /// How much of it is held.
    pub const fn presence(&self) -> Presence {
        self.presence
    }

    /// Whether evidence in it was overwritten by somebody.
    pub const fn overwritten(&self) -> bool {
        self.overwritten
    }

    /// Marks that evidence in it was overwritten by somebody.
    pub fn mark_overwritten(&mut self) {
        self.overwritten = true;
    }

    /// Says that everything up to the place in the log is now held.
    pub fn mark_whole(&mut self) {
        self.presence = Presence::Whole;
    }

    /// The automerge document, for reading.
    pub const fn automerge(&self) -> &Automerge {
        &self.automerge
    }

    /// The automerge document, for the gate and for applying actions.
    pub(crate) const fn automerge_mut(&mut self) -> &mut Automerge {
        &mut self.automerge
    }

    /// Current heads, sorted.
    pub fn heads(&self) -> Vec<ChangeHash> {
        let mut heads = self.automerge.get_heads();
        heads.sort_unstable();
        heads
    }

    /// How many changes it holds, the first one included.
    pub fn changes(&self) -> usize {
        self.automerge.get_changes_meta(&[]).len()
    }

    /// Whether a key stood at these heads: "had they seen it?".
    pub fn stood_at(&self, key: &str, heads: &[ChangeHash]) -> bool {
        self.automerge.get_at(ROOT, key, heads).is_ok_and(|value| value.is_some())
    }
}

/// The document that holds only the fixed first change.
pub(crate) fn first(id: DocId) -> Automerge {
    let mut automerge = Automerge::new().with_actor(actor(first_actor(id)));
    let mut transaction = automerge.transaction();
    transaction.put(ROOT, key::FIRST, "record").expect("a root key takes a scalar");
    transaction.commit_with(CommitOptions::default().with_time(0));
    automerge
}

/// The fixed first change of a document.
pub fn first_change(id: DocId) -> Change {
    first(id).get_last_local_change().expect("the first change was just committed")
}

/// Actor of the first change: first half of SHA-256 over the document's id.
fn first_actor(id: DocId) -> Actor {
    let SiteId(site) = id.site;
    let digest = Sha256::new()
        .chain_update(b"dripleg first change 1")
        .chain_update(site)
        .chain_update(id.to_bytes())
        .finalize();
    let mut half = [0; 16];
    half.copy_from_slice(&digest[..16]);
    Actor(half)
}

/// The actor of one session of one device: first half of SHA-256 over device key and nonce.
///
/// Every gate recomputes it from the delivery, so nobody writes under a colleague's actor.
pub fn session_actor(device_key: &[u8; 32], nonce: &[u8; 16]) -> Actor {
    let digest = Sha256::new()
        .chain_update(b"dripleg session 1")
        .chain_update(device_key)
        .chain_update(nonce)
        .finalize();
    let mut half = [0; 16];
    half.copy_from_slice(&digest[..16]);
    Actor(half)
}

/// automerge's form of an actor.
pub(crate) fn actor(actor: Actor) -> ActorId {
    ActorId::from(&actor.0[..])
}

/// Our form of automerge's actor; actors of another length than ours never pass the gate.
pub(crate) fn actor_of(actor: &ActorId) -> Actor {
    Actor::from_slice(actor.to_bytes()).unwrap_or(Actor([0; 16]))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::record::doc_id::DocKind;
    use crate::record::id::{ApplianceId, VisitId};

    #[test]
    fn the_first_change_never_changes() {
        // Golden hashes: a first change with other bytes would wedge every document ever written.
        let site = SiteId([1, 2, 3, 4, 5, 6, 7, 8]);
        let appliance = ApplianceId([9; 8]);
        let visit = VisitId([7; 8]);
        let hashes = [
            (DocKind::Company, "357198bb6495a083b3df262426ba4e9c669fc1df95044b2928b2652c945fa3a8"),
            (DocKind::Site, "2f7a2027750aec7aff8d8086dc4287b367cbecad3dec822a99cdd70241f454c8"),
            (
                DocKind::Appliance(appliance),
                "69458ddac1d133a7027eea46cb0e87725520137851a92e35a436310d4f78fba3",
            ),
            (
                DocKind::Visit(visit),
                "83920b8ef529ab0296a438ab148411898ad6a7df7d98059c16675ca852a8de59",
            ),
            (
                DocKind::Sheet(visit, appliance),
                "6d52b19de208e0bc6ff3adfcef87e4778679080e1dcacae99da5b8d1262b3ec0",
            ),
        ];
        for (kind, golden) in hashes {
            let change = first_change(DocId::new(site, kind));
            assert_eq!(change.hash().to_string(), golden, "{kind:?}");
            assert_eq!((change.seq(), change.start_op().get(), change.timestamp()), (1, 1, 0));
        }
    }

    #[test]
    fn parts_have_first_changes_of_their_own() {
        let id = DocId::new(SiteId([1; 8]), DocKind::Site);
        assert_ne!(first_change(id).hash(), first_change(id.with_part(2)).hash());
    }
}
