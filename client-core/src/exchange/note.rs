//! Notes of the hub: certificates, revocations, refusals of its gate, measured clocks. They stand in
//! the logs beside deliveries, signed by the hub's own key, and every device follows them.

use minicbor::bytes::ByteVec;
use minicbor::{Decode, Encode};
use sha2::{Digest, Sha256};

use crate::exchange::delivery::signed;
use crate::record::code::Role;
use crate::record::id::{DeviceId, PersonId, SiteId};
use crate::record::signer::ClockSpan;

const DOMAIN: &[u8] = b"dripleg note 1";

/// A device may write for a person.
#[derive(Clone, Debug, PartialEq, Eq, Encode, Decode)]
#[cbor(map)]
pub struct Certificate {
    /// The device's ed25519 key.
    #[n(0)]
    #[cbor(with = "minicbor::bytes")]
    pub key: [u8; 32],
    /// The person.
    #[n(1)]
    pub person: PersonId,
    /// The role.
    #[n(2)]
    pub role: Role,
    /// Sites it may follow and write to; none means every site.
    #[n(3)]
    pub sites: Option<Vec<SiteId>>,
    /// What the person calls the device.
    #[n(4)]
    pub label: String,
    /// When it was given, seconds since 1970. Of two certificates of one device the later one holds,
    /// whatever their order in a log.
    #[n(5)]
    pub given: i64,
}

/// A device may not write any more.
#[derive(Clone, Debug, PartialEq, Eq, Encode, Decode)]
#[cbor(map)]
pub struct Revocation {
    /// The device.
    #[n(0)]
    pub device: DeviceId,
    /// The last delivery that was accepted, for each site and session.
    #[n(1)]
    pub last: Vec<LastAccepted>,
    /// Why.
    #[n(2)]
    pub reason: String,
    /// When, seconds since 1970.
    #[n(3)]
    pub at: i64,
    /// Who asked for it.
    #[n(4)]
    pub by: PersonId,
}

/// The last delivery of one session of a device that was accepted at one site. Named by the session's own
/// count, which holds in every log, also in one that was restored.
#[derive(Clone, Debug, PartialEq, Eq, Encode, Decode)]
#[cbor(map)]
pub struct LastAccepted {
    /// The site.
    #[n(0)]
    pub site: SiteId,
    /// Session.
    #[n(1)]
    #[cbor(with = "minicbor::bytes")]
    pub nonce: [u8; 16],
    /// How-many-th delivery of the session at the site.
    #[n(2)]
    pub seq: u32,
}

/// The delivery that the log tells of next came after its device's key was revoked: what it says waits
/// for a supervisor.
#[derive(Clone, Debug, PartialEq, Eq, Encode, Decode)]
#[cbor(map)]
pub struct Late {
    /// Id of the delivery.
    #[n(0)]
    #[cbor(with = "minicbor::bytes")]
    pub delivery: [u8; 32],
    /// Hashes of changes in it that had arrived before, in another delivery: they stand as they did. A copy
    /// of a device seals what the first one also has.
    #[n(1)]
    pub known: Option<ByteVec>,
}

/// The hub's gate refused a change.
#[derive(Clone, Debug, PartialEq, Eq, Encode, Decode)]
#[cbor(map)]
pub struct Refusal {
    /// The arrival it came in.
    #[n(0)]
    pub n: u64,
    /// The document, as bytes.
    #[n(1)]
    #[cbor(with = "minicbor::bytes")]
    pub doc: Vec<u8>,
    /// The change.
    #[n(2)]
    #[cbor(with = "minicbor::bytes")]
    pub change: [u8; 32],
    /// Key of the reason.
    #[n(3)]
    pub reason: String,
    /// Reason in words.
    #[n(4)]
    pub words: String,
    /// The device that delivered it; hubs did not say so at first.
    #[n(5)]
    pub device: Option<DeviceId>,
}

/// A device's clock was measured.
#[derive(Clone, Debug, PartialEq, Eq, Encode, Decode)]
#[cbor(map)]
pub struct Clock {
    /// The device.
    #[n(0)]
    pub device: DeviceId,
    /// Session.
    #[n(1)]
    #[cbor(with = "minicbor::bytes")]
    pub nonce: [u8; 16],
    /// The entries that were delivered under it.
    #[n(2)]
    pub span: ClockSpan,
}

/// What a note says.
#[derive(Clone, Debug, PartialEq, Eq, Encode, Decode)]
pub enum Says {
    /// A device may write.
    #[n(0)]
    Certificate(#[n(0)] Certificate),
    /// A device may not write any more.
    #[n(1)]
    Revocation(#[n(0)] Revocation),
    /// A change was refused.
    #[n(2)]
    Refusal(#[n(0)] Refusal),
    /// A clock was measured.
    #[n(3)]
    Clock(#[n(0)] Clock),
    /// A delivery came after a revocation.
    #[n(4)]
    Late(#[n(0)] Late),
}

/// A signed note.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Note {
    /// The note as CBOR: what is signed, behind the domain words.
    pub bytes: Vec<u8>,
    /// The hub's signature.
    pub signature: [u8; 64],
}

impl Note {
    /// The bytes that the hub signs for a note in the log of a site.
    pub fn to_sign(site: SiteId, bytes: &[u8]) -> Vec<u8> {
        [DOMAIN, &site.0, bytes].concat()
    }

    /// Writes what a note says. A counter keeps two equal notes apart.
    pub fn encode(says: &Says, count: u64) -> Vec<u8> {
        minicbor::to_vec((count, says)).expect("writing to memory does not fail")
    }

    /// Reads what a note says.
    pub fn says(&self) -> Result<Says, minicbor::decode::Error> {
        let (_, says): (u64, Says) = minicbor::decode(&self.bytes)?;
        Ok(says)
    }

    /// The note's id in the chain.
    pub fn id(&self, site: SiteId) -> [u8; 32] {
        Sha256::digest(Note::to_sign(site, &self.bytes)).into()
    }

    /// Whether the hub's key signed it.
    pub fn signed_by(&self, hub_key: &[u8; 32], site: SiteId) -> bool {
        signed(hub_key, &Note::to_sign(site, &self.bytes), &self.signature)
    }
}
