//! Deliveries: one device's new changes for one site, sealed before they are first sent.
//!
//! Layout of the signed head, CBOR with definite lengths:
//! ```text
//! [1, hub 8, site 8, device 16, nonce 16, seq, previous id 32, [person 8 ...],
//!  [[document, changes, digest 32] ...]]
//! ```
//! The id is SHA-256 over `dripleg delivery 1` and the head; the signature is over the same bytes. The
//! digest of a document is SHA-256 over `dripleg document 1`, the document's bytes and the hashes of its
//! changes in order. No change hash travels: the receiver rebuilds the changes and computes everything.

use ed25519_dalek::{Signature, VerifyingKey};
use sha2::{Digest, Sha256};

use crate::gate::{self, Turned};
use crate::record::doc::session_actor;
use crate::record::doc_id::DocId;
use crate::record::id::{Actor, DeviceId, HubId, PersonId, SiteId};

/// Most changes of one delivery.
pub const CHANGES_MAX: usize = 256;
/// Most bytes of the changes of one delivery, plain.
pub const BYTES_MAX: usize = 256 * 1024;
/// Most documents of one delivery.
pub const DOCS_MAX: usize = 256;
/// Most persons of one delivery.
pub const PERSONS_MAX: usize = 64;

const DOMAIN: &[u8] = b"dripleg delivery 1";

/// What the signature covers.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Head {
    /// Installation of the hub that it is for.
    pub hub: HubId,
    /// Site.
    pub site: SiteId,
    /// Device that signs.
    pub device: DeviceId,
    /// Nonce of the session: with the device's key it gives the actor.
    pub nonce: [u8; 16],
    /// Counts within device, site and session, from 1.
    pub seq: u32,
    /// Id of the one before in the same session and site; zeros for the first.
    pub previous: [u8; 32],
    /// Persons who entered something.
    pub persons: Vec<PersonId>,
    /// Documents, in the order of their first change.
    pub docs: Vec<DocDigest>,
}

/// One document of a delivery, as the signature covers it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct DocDigest {
    /// The document.
    pub doc: DocId,
    /// How many changes.
    pub changes: u32,
    /// Digest over their hashes, in order.
    pub digest: [u8; 32],
}

/// The changes of one document in a delivery, plain, in order.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct DocChanges {
    /// The document.
    pub doc: DocId,
    /// The changes.
    pub changes: Vec<Vec<u8>>,
}

/// A sealed delivery.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Delivery {
    /// What is signed.
    pub head: Head,
    /// The device's signature.
    pub signature: [u8; 64],
    /// The changes, in the head's order.
    pub docs: Vec<DocChanges>,
}

/// Why a delivery is not accepted.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum DeliveryWrong {
    /// Not signed by the device's key, or changed on the way.
    #[error("the signature does not fit: the delivery was altered or packed wrongly")]
    Signature,
    /// For another hub or site.
    #[error("the delivery is for another hub or site")]
    Elsewhere,
    /// More than a delivery may hold.
    #[error("the delivery has {found} {what}, at most {most} fit")]
    Large {
        /// What.
        what: &'static str,
        /// Found.
        found: usize,
        /// Allowed.
        most: usize,
    },
    /// Head and changes do not belong together.
    #[error("head and changes of the delivery do not belong together")]
    Mixed,
    /// A change that does not pass the cheap stages of the gate.
    #[error("change {position} of {doc}: {turned}")]
    Turned {
        /// The document.
        doc: DocId,
        /// How-many-th change of the document in this delivery, from 1.
        position: usize,
        /// Why.
        turned: Turned,
    },
}

/// Digest of one document's changes.
pub fn doc_digest<'a>(doc: DocId, hashes: impl IntoIterator<Item = &'a [u8; 32]>) -> [u8; 32] {
    let mut hash = Sha256::new();
    hash.update(b"dripleg document 1");
    hash.update(doc.to_bytes());
    for change in hashes {
        hash.update(change);
    }
    hash.finalize().into()
}

impl Head {
    /// The bytes that are signed, without the domain words.
    pub fn to_bytes(&self) -> Vec<u8> {
        let mut bytes = vec![];
        let mut out = minicbor::Encoder::new(&mut bytes);
        let mut write = || {
            out.array(9)?.u8(1)?.bytes(&self.hub.0)?.bytes(&self.site.0)?;
            out.bytes(&self.device.0)?.bytes(&self.nonce)?.u32(self.seq)?.bytes(&self.previous)?;
            out.array(length(self.persons.len()))?;
            for person in &self.persons {
                out.bytes(&person.0)?;
            }
            out.array(length(self.docs.len()))?;
            for part in &self.docs {
                out.array(3)?
                    .bytes(&part.doc.to_bytes())?
                    .u32(part.changes)?
                    .bytes(&part.digest)?;
            }
            Ok::<(), minicbor::encode::Error<std::convert::Infallible>>(())
        };
        write().expect("writing to memory does not fail");
        bytes
    }

    /// Reads what [`Head::to_bytes`] wrote.
    pub fn from_bytes(bytes: &[u8]) -> Result<Head, minicbor::decode::Error> {
        let wrong = |words: &'static str| minicbor::decode::Error::message(words);
        let mut input = minicbor::Decoder::new(bytes);
        if input.array()? != Some(9) || input.u8()? != 1 {
            return Err(wrong("not the head of a delivery"));
        }
        let hub = HubId::from_slice(input.bytes()?).ok_or_else(|| wrong("not a hub id"))?;
        let site = SiteId::from_slice(input.bytes()?).ok_or_else(|| wrong("not a site id"))?;
        let device = DeviceId::from_slice(input.bytes()?).ok_or_else(|| wrong("not a device"))?;
        let nonce = fixed(input.bytes()?)?;
        let seq = input.u32()?;
        let previous = fixed(input.bytes()?)?;
        let mut persons = vec![];
        for _ in 0..few(input.array()?, PERSONS_MAX)? {
            persons.push(
                PersonId::from_slice(input.bytes()?).ok_or_else(|| wrong("not a person id"))?,
            );
        }
        let mut docs = vec![];
        for _ in 0..few(input.array()?, DOCS_MAX)? {
            if input.array()? != Some(3) {
                return Err(wrong("not a document of a delivery"));
            }
            let doc = DocId::from_bytes(site, input.bytes()?).map_err(|_| wrong("no document"))?;
            docs.push(DocDigest { doc, changes: input.u32()?, digest: fixed(input.bytes()?)? });
        }
        let head = Head { hub, site, device, nonce, seq, previous, persons, docs };
        // One head has one form: leftovers and longer spellings of a number are refused.
        if head.to_bytes() == bytes { Ok(head) } else { Err(wrong("not in its one form")) }
    }

    /// The delivery's id.
    pub fn id(&self) -> [u8; 32] {
        Sha256::new().chain_update(DOMAIN).chain_update(self.to_bytes()).finalize().into()
    }

    /// The bytes that the device signs.
    pub fn to_sign(&self) -> Vec<u8> {
        [DOMAIN, &self.to_bytes()].concat()
    }

    /// Whether this device's key signed it.
    pub fn signed_by(&self, key: &[u8; 32], signature: &[u8; 64]) -> bool {
        signed(key, &self.to_sign(), signature)
    }
}

/// Whether an ed25519 key signed these bytes (strict verification).
pub fn signed(key: &[u8; 32], bytes: &[u8], signature: &[u8; 64]) -> bool {
    VerifyingKey::from_bytes(key)
        .is_ok_and(|key| key.verify_strict(bytes, &Signature::from_bytes(signature)).is_ok())
}

fn length(count: usize) -> u64 {
    u64::try_from(count).expect("a count in memory fits 64 bits")
}

fn few(count: Option<u64>, most: usize) -> Result<u64, minicbor::decode::Error> {
    count
        .filter(|count| *count <= length(most))
        .ok_or_else(|| minicbor::decode::Error::message("too many members"))
}

fn fixed<const N: usize>(bytes: &[u8]) -> Result<[u8; N], minicbor::decode::Error> {
    <[u8; N]>::try_from(bytes).map_err(|_| minicbor::decode::Error::message("wrong length"))
}

/// The device id of a public key.
pub fn device_id(key: &[u8; 32]) -> DeviceId {
    let digest = Sha256::new().chain_update(b"dripleg device 1").chain_update(key).finalize();
    let mut id = [0; 16];
    id.copy_from_slice(&digest[..16]);
    DeviceId(id)
}

impl Delivery {
    /// The head that these changes give, digests computed here.
    pub fn head_of(
        hub: HubId,
        site: SiteId,
        session: (DeviceId, [u8; 16]),
        (seq, previous): (u32, [u8; 32]),
        persons: Vec<PersonId>,
        docs: &[DocChanges],
    ) -> Result<Head, DeliveryWrong> {
        let mut parts = vec![];
        for part in docs {
            let mut hashes = vec![];
            for (index, change) in part.changes.iter().enumerate() {
                let scan = gate::scan(change).map_err(|turned| DeliveryWrong::Turned {
                    doc: part.doc,
                    position: index + 1,
                    turned,
                })?;
                hashes.push(scan.hash);
            }
            let changes = u32::try_from(hashes.len()).map_err(|_| DeliveryWrong::Mixed)?;
            parts.push(DocDigest { doc: part.doc, changes, digest: doc_digest(part.doc, &hashes) });
        }
        let (device, nonce) = session;
        Ok(Head { hub, site, device, nonce, seq, previous, persons, docs: parts })
    }

    /// The delivery's id.
    pub fn id(&self) -> [u8; 32] {
        self.head.id()
    }

    /// Checks everything that can be checked without a document: sizes, signature, and the cheap stages
    /// of the gate for each change, its actor included.
    pub fn check(&self, key: &[u8; 32]) -> Result<(), DeliveryWrong> {
        let large = |what, found, most| Err(DeliveryWrong::Large { what, found, most });
        let changes: usize = self.docs.iter().map(|part| part.changes.len()).sum();
        let bytes: usize = self.docs.iter().flat_map(|part| &part.changes).map(Vec::len).sum();
        match () {
            () if self.docs.len() > DOCS_MAX => {
                return large("documents", self.docs.len(), DOCS_MAX);
            }
            () if changes > CHANGES_MAX => return large("changes", changes, CHANGES_MAX),
            () if bytes > BYTES_MAX => return large("bytes", bytes, BYTES_MAX),
            () if self.head.persons.len() > PERSONS_MAX => {
                return large("persons", self.head.persons.len(), PERSONS_MAX);
            }
            () if changes == 0 || self.docs.len() != self.head.docs.len() => {
                return Err(DeliveryWrong::Mixed);
            }
            () => {}
        }
        if device_id(key) != self.head.device {
            return Err(DeliveryWrong::Signature);
        }
        let actor = session_actor(key, &self.head.nonce);
        for (part, named) in self.docs.iter().zip(&self.head.docs) {
            self.check_doc(part, named, actor)?;
        }
        if self.head.signed_by(key, &self.signature) {
            Ok(())
        } else {
            Err(DeliveryWrong::Signature)
        }
    }

    fn check_doc(
        &self,
        part: &DocChanges,
        named: &DocDigest,
        actor: Actor,
    ) -> Result<(), DeliveryWrong> {
        if part.doc.site != self.head.site || part.doc != named.doc {
            return Err(DeliveryWrong::Mixed);
        }
        let mut hashes = vec![];
        for (index, change) in part.changes.iter().enumerate() {
            let turned =
                |turned| DeliveryWrong::Turned { doc: part.doc, position: index + 1, turned };
            let scan = gate::scan(change).map_err(turned)?;
            if scan.actor != actor {
                return Err(turned(Turned::Actor { found: scan.actor, named: actor }));
            }
            hashes.push(scan.hash);
        }
        let same = u32::try_from(hashes.len()).ok() == Some(named.changes)
            && doc_digest(part.doc, &hashes) == named.digest;
        if same { Ok(()) } else { Err(DeliveryWrong::Mixed) }
    }
}
