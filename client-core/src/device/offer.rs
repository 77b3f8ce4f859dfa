//! Sealing: unsent changes become signed deliveries, durable before they are first sent and resent as
//! the same bytes.

use std::collections::BTreeSet;

use minicbor::bytes::ByteVec;
use minicbor::{Decode, Encode};

use super::act::{UnsentChange, next_order};
use super::standing::{self, EntryState, put_state};
use super::{Device, DeviceError};
use crate::exchange::delivery::{
    BYTES_MAX, CHANGES_MAX, DOCS_MAX, Delivery, DocChanges, Head, PERSONS_MAX,
};
use crate::record::doc_id::DocId;
use crate::record::id::{ActorHalf, PersonId, SiteId};
use crate::record::inside::inside;
use crate::store::doc_table::unreadable;
use crate::store::{Get, StoreError, Table, Write};

/// A sealed delivery: head, signature and changes, as they are sent until the hub echoes them.
#[derive(Clone, Debug, PartialEq, Eq, Encode, Decode)]
#[cbor(map)]
pub(super) struct SealedDelivery {
    /// The signed head.
    #[n(0)]
    #[cbor(with = "minicbor::bytes")]
    pub(super) head: Vec<u8>,
    /// The signature.
    #[n(1)]
    #[cbor(with = "minicbor::bytes")]
    pub(super) signature: [u8; 64],
    /// The changes of each document, in the head's order.
    #[n(2)]
    pub(super) changes: Vec<Vec<ByteVec>>,
    /// The hub refused it as malformed; why. It is kept and not offered again.
    #[n(3)]
    pub(super) refused: Option<String>,
    /// The hub turned it away when it was last offered, because of rights that may change; why.
    #[n(4)]
    pub(super) turned_away: Option<String>,
}

/// Where a session's chain of deliveries for a site stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Encode, Decode)]
struct ChainEnd {
    #[n(0)]
    seq: u32,
    #[n(1)]
    #[cbor(with = "minicbor::bytes")]
    id: [u8; 32],
}

fn chain_key(site: SiteId, session: ActorHalf) -> Vec<u8> {
    [b"chain end ", &site.0[..], &session.0].concat()
}

impl Device {
    /// Seals everything that is unsent at a site. After this it may be offered.
    pub fn seal(&mut self, site: SiteId) -> Result<(), DeviceError> {
        while self.seal_one(site)? {}
        Ok(())
    }

    fn seal_one(&mut self, site: SiteId) -> Result<bool, DeviceError> {
        let write = self.store.write()?;
        let Some((keys, batch)) =
            gather(&write, site, self.sizes.delivery_changes.clamp(1, CHANGES_MAX))?
        else {
            return Ok(false);
        };
        let first = &batch[0].0;
        let key = chain_key(site, first.session);
        let end = match write.get(Table::Meta, &key)? {
            None => ChainEnd { seq: 0, id: [0; 32] },
            Some(bytes) => {
                minicbor::decode(&bytes).map_err(|wrong| unreadable(Table::Meta, wrong))?
            }
        };
        let mut persons: Vec<PersonId> = vec![];
        let mut docs: Vec<DocChanges> = vec![];
        for (unsent, doc) in &batch {
            if !persons.contains(&unsent.person) {
                persons.push(unsent.person);
            }
            let at = docs.iter().position(|part| part.doc == *doc).unwrap_or_else(|| {
                docs.push(DocChanges { doc: *doc, changes: vec![] });
                docs.len() - 1
            });
            docs[at].changes.push(unsent.bytes.clone());
        }
        let session = (self.identity.device(), first.nonce);
        let head = Delivery::head_of(
            self.identity.hub,
            site,
            session,
            (end.seq + 1, end.id),
            persons,
            &docs,
        )
        .map_err(|wrong| unreadable(Table::Unsent, wrong))?;
        let signature = self.sign(&head.to_sign());
        let end = ChainEnd { seq: head.seq, id: head.id() };
        let sealed = SealedDelivery::of(Delivery { head, signature, docs });
        let order = next_order(&write, Table::Sealed, site)?;
        write.put(Table::Sealed, &order, &standing::cbor(&sealed))?;
        write.put(Table::Meta, &key, &standing::cbor(&end))?;
        for key in keys {
            write.remove(Table::Unsent, &key)?;
        }
        for (unsent, _) in &batch {
            for inside in inside(&unsent.bytes) {
                put_state(&write, site, inside.id, EntryState::Sealed)?;
            }
        }
        write.commit()?;
        Ok(true)
    }

    /// Sealed deliveries of a site that the hub has not echoed, oldest first, at most so many bytes of
    /// changes (and at least one).
    pub(super) fn offers(&self, site: SiteId, most: usize) -> Result<Vec<Delivery>, DeviceError> {
        let read = self.store.read()?;
        let mut offers = vec![];
        let mut bytes = 0;
        for (_, value) in read.under(Table::Sealed, &site.0)? {
            let sealed: SealedDelivery =
                minicbor::decode(&value).map_err(|wrong| unreadable(Table::Sealed, wrong))?;
            if !sealed.is_offered() {
                continue;
            }
            let delivery = sealed.delivery()?;
            if self.turned.contains(&short(&delivery.id())) {
                continue;
            }
            bytes +=
                delivery.docs.iter().flat_map(|part| &part.changes).map(Vec::len).sum::<usize>();
            if bytes > most && !offers.is_empty() {
                break;
            }
            offers.push(delivery);
        }
        Ok(offers)
    }
}

/// The first bytes of an id, as verdicts name it.
pub(super) fn short(id: &[u8; 32]) -> [u8; 8] {
    let mut short = [0; 8];
    short.copy_from_slice(&id[..8]);
    short
}

/// Unsent changes of one session that fit one delivery.
type Batch = Vec<(UnsentChange, DocId)>;

/// Their keys in the table of what is unsent.
type Keys = Vec<Vec<u8>>;

fn gather(write: &Write, site: SiteId, most: usize) -> Result<Option<(Keys, Batch)>, StoreError> {
    let mut keys = vec![];
    let mut batch: Batch = vec![];
    let mut bytes = 0;
    let mut docs: BTreeSet<DocId> = BTreeSet::new();
    let mut persons: BTreeSet<PersonId> = BTreeSet::new();
    for (key, value) in write.under(Table::Unsent, &site.0)? {
        let unsent: UnsentChange =
            minicbor::decode(&value).map_err(|wrong| unreadable(Table::Unsent, wrong))?;
        let doc = DocId::from_bytes(site, &unsent.doc)
            .map_err(|wrong| unreadable(Table::Unsent, wrong))?;
        if batch.first().is_some_and(|(first, _)| first.session != unsent.session) {
            break;
        }
        bytes += unsent.bytes.len();
        docs.insert(doc);
        persons.insert(unsent.person);
        let full = bytes > BYTES_MAX || docs.len() > DOCS_MAX || persons.len() > PERSONS_MAX;
        if batch.len() >= most || (full && !batch.is_empty()) {
            break;
        }
        keys.push(key);
        batch.push((unsent, doc));
    }
    Ok((!batch.is_empty()).then_some((keys, batch)))
}

impl SealedDelivery {
    /// A delivery as it is kept.
    pub(super) fn of(delivery: Delivery) -> SealedDelivery {
        let bytes = |part: DocChanges| part.changes.into_iter().map(ByteVec::from).collect();
        SealedDelivery {
            head: delivery.head.to_bytes(),
            signature: delivery.signature,
            changes: delivery.docs.into_iter().map(bytes).collect(),
            refused: None,
            turned_away: None,
        }
    }

    /// Whether it is offered to the hub.
    pub(super) fn is_offered(&self) -> bool {
        self.refused.is_none()
    }

    /// Its id.
    pub(super) fn id(&self) -> Result<[u8; 32], StoreError> {
        let head =
            Head::from_bytes(&self.head).map_err(|wrong| unreadable(Table::Sealed, wrong))?;
        Ok(head.id())
    }

    /// The delivery that was sealed, to the byte.
    pub(super) fn delivery(&self) -> Result<Delivery, StoreError> {
        let head =
            Head::from_bytes(&self.head).map_err(|wrong| unreadable(Table::Sealed, wrong))?;
        let docs = head.docs.iter().zip(&self.changes).map(|(part, changes)| DocChanges {
            doc: part.doc,
            changes: changes.iter().map(|bytes| bytes.to_vec()).collect(),
        });
        let docs = docs.collect();
        Ok(Delivery { head, signature: self.signature, docs })
    }
}
