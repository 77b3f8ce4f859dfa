//! Passkeys of people who work on the pages: a second way to sign in beside the password. Kept here is what
//! the library gives to keep; what a passkey proves is its own business.

use client_core::record::id::{PersonId, encode};
use client_core::store::{Get, StoreError, Table};
use minicbor::{Decode, Encode};

use super::Access;

const PASSKEY: &[u8] = b"passkey ";

/// Passkeys of one person: a computer, a phone, a key on a ring, and as many again.
pub const PASSKEYS_MAX: usize = 6;

/// A passkey.
#[derive(Clone, Debug, PartialEq, Eq, Encode, Decode)]
#[cbor(map)]
pub struct Passkey {
    /// The credential's own number.
    #[n(0)]
    #[cbor(with = "minicbor::bytes")]
    pub id: Vec<u8>,
    /// The person.
    #[n(1)]
    pub person: PersonId,
    /// Its public key, as the library writes it.
    #[n(2)]
    #[cbor(with = "minicbor::bytes")]
    pub key: Vec<u8>,
    /// What changes with each use, as the library writes it: the counter of signatures.
    #[n(3)]
    #[cbor(with = "minicbor::bytes")]
    pub state: Vec<u8>,
    /// What its owner calls it.
    #[n(4)]
    pub label: String,
    /// When it was added, seconds since 1970.
    #[n(5)]
    pub made: i64,
    /// When it was used last.
    #[n(6)]
    pub used: Option<i64>,
    /// When the password was chosen that stood beside it. Another password, which a one-time code gives to
    /// whoever lost theirs or was revoked, ends the passkeys of before.
    #[n(7)]
    pub beside: i64,
    /// How its device is reached, as the library writes it.
    #[n(8)]
    pub ways: u8,
}

impl Passkey {
    /// What it is named by in forms.
    pub fn name(&self) -> String {
        encode(&hash(&self.id)[..10])
    }
}

fn hash(id: &[u8]) -> [u8; 32] {
    *blake3::hash(id).as_bytes()
}

fn key(id: &[u8]) -> Vec<u8> {
    [PASSKEY, &hash(id)].concat()
}

impl Access {
    /// The passkey with this number.
    pub fn passkey(&self, id: &[u8]) -> Result<Option<Passkey>, StoreError> {
        let found = self.store.read()?.get(Table::Access, &key(id))?;
        let found: Option<Passkey> = found.and_then(|bytes| minicbor::decode(&bytes).ok());
        Ok(found.filter(|passkey| passkey.id == id))
    }

    /// Passkeys of a person that stand beside the password of this time, oldest first.
    pub fn passkeys_of(&self, person: PersonId, beside: i64) -> Result<Vec<Passkey>, StoreError> {
        let found = self.store.read()?.under(Table::Access, PASSKEY)?;
        let all = found.iter().filter_map(|(_, bytes)| minicbor::decode(bytes).ok());
        let mut own: Vec<Passkey> = all
            .filter(|passkey: &Passkey| passkey.person == person && passkey.beside == beside)
            .collect();
        own.sort_by_key(|passkey| passkey.made);
        Ok(own)
    }

    /// Keeps a passkey.
    pub fn put_passkey(&self, passkey: &Passkey) -> Result<(), StoreError> {
        let write = self.store.write()?;
        let value = minicbor::to_vec(passkey).expect("memory takes it");
        write.put(Table::Access, &key(&passkey.id), &value)?;
        write.commit()
    }

    /// Takes a passkey out; it opens nothing any more.
    pub fn remove_passkey(&self, id: &[u8]) -> Result<(), StoreError> {
        let write = self.store.write()?;
        write.remove(Table::Access, &key(id))?;
        write.commit()
    }
}
