//! The hub's own key and installation.

use client_core::record::id::{HubId, PersonId, SiteId};
use client_core::store::{Get, Store, StoreError, Table};
use ed25519_dalek::{Signer, SigningKey};

const KEY: &[u8] = b"hub identity";

/// The hub's own key and installation. It stays the same through backups and restores.
#[derive(Clone)]
pub struct HubIdentity {
    /// The installation.
    pub hub: HubId,
    key: SigningKey,
}

impl std::fmt::Debug for HubIdentity {
    fn fmt(&self, out: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(out, "HubIdentity({})", self.hub)
    }
}

impl HubIdentity {
    /// A new installation from random bytes: 8 for its id, 32 for its key.
    pub fn new(random: &[u8; 40]) -> HubIdentity {
        let mut hub = [0; 8];
        hub.copy_from_slice(&random[..8]);
        let mut key = [0; 32];
        key.copy_from_slice(&random[8..]);
        HubIdentity { hub: HubId(hub), key: SigningKey::from_bytes(&key) }
    }

    /// The identity of a store; a store without one keeps the new one.
    pub fn open(store: &Store, new: HubIdentity) -> Result<HubIdentity, StoreError> {
        if let Some(known) = HubIdentity::load(&store.read()?)? {
            return Ok(known);
        }
        let write = store.write()?;
        write.put(Table::Meta, KEY, &[&new.hub.0[..], &new.key.to_bytes()].concat())?;
        write.commit()?;
        Ok(new)
    }

    /// The identity of a store, if it has one.
    pub fn load(store: &impl Get) -> Result<Option<HubIdentity>, StoreError> {
        let stored = store.get(Table::Meta, KEY)?;
        let bytes = stored.and_then(|bytes| <[u8; 40]>::try_from(bytes.as_slice()).ok());
        Ok(bytes.map(|bytes| HubIdentity::new(&bytes)))
    }

    /// The public key that devices pin.
    pub fn public(&self) -> [u8; 32] {
        self.key.verifying_key().to_bytes()
    }

    /// Signs.
    pub fn sign(&self, bytes: &[u8]) -> [u8; 64] {
        self.key.sign(bytes).to_bytes()
    }

    /// The key under which this hub's pages write for a person. It is derived from the hub's own key, so
    /// nothing more has to be kept, and a restored hub has the same. The round counts on when an earlier
    /// key of the person was revoked.
    pub fn page_key(&self, person: PersonId, round: u32) -> SigningKey {
        let of = [&self.key.to_bytes()[..], &person.0, &round.to_be_bytes()].concat();
        SigningKey::from_bytes(&blake3::derive_key("dripleg 2026-11-25 page key 1", &of))
    }

    /// The site id of the company's own log.
    pub const fn company(&self) -> SiteId {
        client_core::device::identity::company_site(self.hub)
    }
}
