//! A copy of what only this device has: small enough to be written beside the store after each entry, and
//! enough to make a hand-over file of it when the store can no longer be read.
//!
//! It holds who the device is, so it is as secret as the store. After its first bytes and a SHA-256 over the
//! rest come the rows of three tables as they stand in the store.

use std::collections::BTreeSet;

use minicbor::bytes::ByteVec;
use minicbor::{Decode, Encode};
use sha2::{Digest as _, Sha256};

use super::{Device, DeviceError, Random};
use crate::record::id::SiteId;
use crate::store::{Get, Manner, MemoryBytes, Store, StoreError, Table};

/// First bytes of the copy: its kind and the version of its layout.
const MAGIC: &[u8; 8] = b"DRIPRSC1";
/// Who the device is and where its chains end; what is not sealed yet; what is sealed and not echoed.
const TABLES: [Table; 3] = [Table::Meta, Table::Unsent, Table::Sealed];

/// A row: its key and its value.
type Row = (ByteVec, ByteVec);

/// The rows of [`TABLES`], table by table.
#[derive(Debug, Default, Encode, Decode)]
#[cbor(map)]
struct Copy {
    #[n(0)]
    rows: Vec<Vec<Row>>,
}

/// Why a copy gives nothing.
#[derive(Debug, thiserror::Error)]
pub enum RescueWrong {
    /// Not a copy, or not whole.
    #[error("the copy of unsent work is not whole")]
    NotWhole,
    /// It does not make a device.
    #[error(transparent)]
    Device(#[from] DeviceError),
}

impl From<StoreError> for RescueWrong {
    fn from(wrong: StoreError) -> RescueWrong {
        RescueWrong::Device(wrong.into())
    }
}

impl Device {
    /// A copy of what only this device has. Empty when the hub has everything.
    pub fn rescue(&self) -> Result<Vec<u8>, DeviceError> {
        let read = self.store.read()?;
        let mut copy = Copy::default();
        for table in TABLES {
            let rows = read.under(table, &[])?;
            copy.rows.push(rows.into_iter().map(|(key, own)| (key.into(), own.into())).collect());
        }
        if copy.rows.iter().skip(1).all(Vec::is_empty) {
            return Ok(vec![]);
        }
        let body = minicbor::to_vec(&copy).expect("writing to memory does not fail");
        let sum = Sha256::digest(&body);
        Ok([&MAGIC[..], &sum, &body].concat())
    }
}

/// Makes a hand-over file of a copy, as the device that is gone would have written it.
pub fn hand_over_of(copy: &[u8], random: Random) -> Result<Vec<u8>, RescueWrong> {
    let rest = copy.strip_prefix(MAGIC).ok_or(RescueWrong::NotWhole)?;
    let (sum, body) = rest.split_at_checked(32).ok_or(RescueWrong::NotWhole)?;
    if Sha256::digest(body).as_slice() != sum {
        return Err(RescueWrong::NotWhole);
    }
    let copy: Copy = minicbor::decode(body).map_err(|_| RescueWrong::NotWhole)?;
    let store = Store::create(MemoryBytes::default(), Manner::DEVICE)?;
    let write = store.write()?;
    let mut sites = BTreeSet::new();
    for (table, rows) in TABLES.into_iter().zip(&copy.rows) {
        for (key, value) in rows {
            write.put(table, key, value)?;
            if table != Table::Meta
                && let Some(site) = key.first_chunk::<8>()
            {
                sites.insert(SiteId(*site));
            }
        }
    }
    write.commit()?;
    let mut device = Device::open(store, random)?;
    for site in sites {
        device.follow(site)?;
    }
    Ok(device.hand_over()?)
}
