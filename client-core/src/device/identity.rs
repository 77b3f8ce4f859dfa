//! Who a device is: its key, its person, its hub.

use ed25519_dalek::SigningKey;
use minicbor::{Decode, Encode};

use crate::exchange::delivery::device_id;
use crate::record::code::Role;
use crate::record::id::{DeviceId, HubId, PersonId, SiteId};
use crate::record::signer::Signer;
use crate::store::doc_table::unreadable;
use crate::store::{Get, StoreError, Table, Write};

const KEY: &[u8] = b"identity";

/// Who a device is. Kept in its store; the secret never leaves it.
#[derive(Clone, PartialEq, Eq, Encode, Decode)]
#[cbor(map)]
pub struct Identity {
    /// The device's ed25519 secret.
    #[n(0)]
    #[cbor(with = "minicbor::bytes")]
    pub secret: [u8; 32],
    /// The hub's installation.
    #[n(1)]
    pub hub: HubId,
    /// The hub's key, pinned at enrolment.
    #[n(2)]
    #[cbor(with = "minicbor::bytes")]
    pub hub_key: [u8; 32],
    /// The person.
    #[n(3)]
    pub person: PersonId,
    /// The role.
    #[n(4)]
    pub role: Role,
    /// Where the hub is reached, as it was joined.
    #[n(5)]
    pub address: String,
    /// What the person calls the device.
    #[n(6)]
    pub label: String,
}

impl std::fmt::Debug for Identity {
    fn fmt(&self, out: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(out, "Identity({}, person {})", self.device(), self.person)
    }
}

impl Identity {
    /// The device's public key.
    pub fn public(&self) -> [u8; 32] {
        SigningKey::from_bytes(&self.secret).verifying_key().to_bytes()
    }

    /// The device's id.
    pub fn device(&self) -> DeviceId {
        device_id(&self.public())
    }

    /// The device as a signer, as long as no certificate says otherwise.
    pub fn signer(&self) -> Signer {
        Signer { device: self.device(), person: self.person, role: self.role, clocks: vec![] }
    }

    /// The site id under which the company's own log and document are filed.
    pub const fn company(&self) -> SiteId {
        company_site(self.hub)
    }
}

/// The site id under which a hub files the company's own log and document.
pub const fn company_site(hub: HubId) -> SiteId {
    SiteId(hub.0)
}

pub(super) fn load(read: &impl Get) -> Result<Option<Identity>, StoreError> {
    let found = read.get(Table::Meta, KEY)?;
    found
        .map(|bytes| minicbor::decode(&bytes).map_err(|wrong| unreadable(Table::Meta, wrong)))
        .transpose()
}

pub(super) fn save(write: &Write, identity: &Identity) -> Result<(), StoreError> {
    let bytes = minicbor::to_vec(identity).expect("writing to memory does not fail");
    write.put(Table::Meta, KEY, &bytes)
}
