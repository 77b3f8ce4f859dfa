//! A copy of what is typed and not entered, small enough to be written beside the store after every key.
//!
//! After its first bytes and a BLAKE3 over the rest come names and contents of the drafts. A store that is
//! damaged loses no key: the store that is made instead takes them back.

use client_core::device::DeviceError;
use minicbor::bytes::ByteVec;

use super::{App, Kept, PLACE, draft};
use crate::carried;
use crate::settings;

/// First bytes of the copy: its kind and the version of its layout.
const MAGIC: &[u8; 8] = b"DRIPTYP1";
/// A draft: its name and its content.
type Row = (String, ByteVec);

impl App {
    /// What is typed and not entered, to lie beside the store.
    pub fn typed_copy(&self) -> Result<Vec<u8>, DeviceError> {
        let mut rows: Vec<Row> = vec![];
        // Which building and visit are in hand, the new store is told by its own exchange.
        for name in self.device.drafts()?.into_iter().filter(|name| name != settings::DRAFT) {
            if let Some(content) = self.device.draft(&name)? {
                rows.push((name, content.into()));
            }
        }
        let body = minicbor::to_vec(&rows).expect("writing to memory does not fail");
        Ok([&MAGIC[..], blake3::hash(&body).as_bytes(), &body].concat())
    }

    /// Counts whatever makes such a copy old.
    pub const fn typed_changed(&self) -> u32 {
        self.typed
    }

    /// Takes what was typed back, out of a copy. Nothing that was typed here since is replaced. False: the
    /// copy is not whole.
    pub fn take_typed(&mut self, copy: &[u8]) -> Result<bool, DeviceError> {
        let Some(rows) = read(copy) else { return Ok(false) };
        for (name, content) in rows {
            if name == PLACE {
                let kept: Option<Kept> = minicbor::decode(&content).ok();
                for (name, text) in kept.iter().flat_map(|kept| &kept.form) {
                    self.state.form.entry(name.clone()).or_insert_with(|| text.clone());
                }
                for (name, word) in kept.iter().flat_map(|kept| &kept.chosen) {
                    self.state.chosen.entry(name.clone()).or_insert_with(|| word.clone());
                }
            } else if self.device.draft(&name)?.is_none() {
                self.device.put_draft(&name, &content)?;
            }
        }
        self.state.carried = draft(&self.device, carried::DRAFT)?.unwrap_or_default();
        self.state.typing_of = None;
        self.load_typing()?;
        self.keep()?;
        Ok(true)
    }
}

/// Whether a copy is whole.
pub fn is_whole(copy: &[u8]) -> bool {
    read(copy).is_some()
}

fn read(copy: &[u8]) -> Option<Vec<Row>> {
    let rest = copy.strip_prefix(MAGIC)?;
    let (sum, body) = rest.split_at_checked(32)?;
    (blake3::hash(body).as_bytes()[..] == *sum).then(|| minicbor::decode(body).ok()).flatten()
}
