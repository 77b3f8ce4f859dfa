//! The firm as it stands on its reports.

use client_core::store::{Get, StoreError, Table};
use minicbor::{Decode, Encode};

use super::Access;

const FIRM: &[u8] = b"firm";

/// Name and number that stand on reports.
#[derive(Clone, Debug, Default, PartialEq, Eq, Encode, Decode)]
#[cbor(map)]
pub struct FirmNamed {
    /// Its name.
    #[n(0)]
    pub name: String,
    /// The number to call.
    #[n(1)]
    pub phone: Option<String>,
}

impl Access {
    /// The firm; without a name until somebody has typed one.
    pub fn firm(&self) -> Result<FirmNamed, StoreError> {
        let found = self.store.read()?.get(Table::Access, FIRM)?;
        Ok(found.and_then(|bytes| minicbor::decode(&bytes).ok()).unwrap_or_default())
    }

    /// Keeps how the firm is named.
    pub fn put_firm(&self, firm: &FirmNamed) -> Result<(), StoreError> {
        let write = self.store.write()?;
        write.put(Table::Access, FIRM, &minicbor::to_vec(firm).expect("memory takes it"))?;
        write.commit()
    }
}
