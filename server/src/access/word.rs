//! A supervisor's word on a change that did not pass the gate. The change stays as it is: it stands nowhere.
//! Keys are `word `, the site, and the hash of the change.

use client_core::record::id::{PersonId, SiteId};
use client_core::store::{Get, StoreError, Table};
use minicbor::{Decode, Encode};

use super::Access;

const WORD: &[u8] = b"word ";

/// What somebody says of a refused change: that its work was entered again, or is of no use.
#[derive(Clone, Debug, PartialEq, Eq, Encode, Decode)]
#[cbor(map)]
pub struct Word {
    /// Who.
    #[n(0)]
    pub by: PersonId,
    /// When, seconds since 1970.
    #[n(1)]
    pub at: i64,
    /// In words.
    #[n(2)]
    pub says: String,
}

fn key(site: SiteId, change: &[u8; 32]) -> Vec<u8> {
    [WORD, &site.0, change].concat()
}

impl Access {
    /// The word on a change, when somebody said one.
    pub fn word(&self, site: SiteId, change: &[u8; 32]) -> Result<Option<Word>, StoreError> {
        let found = self.store.read()?.get(Table::Access, &key(site, change))?;
        Ok(found.and_then(|bytes| minicbor::decode(&bytes).ok()))
    }

    /// Keeps a word.
    pub fn put_word(&self, site: SiteId, change: &[u8; 32], word: &Word) -> Result<(), StoreError> {
        let write = self.store.write()?;
        let value = minicbor::to_vec(word).expect("memory takes it");
        write.put(Table::Access, &key(site, change), &value)?;
        write.commit()
    }
}
