//! Documents of the view, loaded for reading.

use client_core::device::{Opened, Wanted, standing};
use client_core::record::doc_id::DocId;
use client_core::record::file::Papers;
use client_core::store::StoreError;

use super::View;

impl View {
    /// Loads a visit with everything that belongs to it; none when nothing of it is here.
    pub fn open_visit(&mut self, wanted: Wanted) -> Result<Option<Opened<'_>>, StoreError> {
        let read = self.store.read()?;
        Opened::load(&mut self.shelf, &self.signers, &read, wanted)
    }

    /// Whether a change has arrived, wherever it stands: in its document, waiting, or refused.
    pub fn has(&mut self, doc: DocId, hash: &[u8; 32]) -> Result<bool, StoreError> {
        let read = self.store.read()?;
        let refused = standing::quarantined(&read, doc.site, hash)?.is_some();
        Ok(refused || self.shelf.change(&read, doc, hash)?.is_some())
    }

    /// All parts of one document, read; none when nothing of it is here.
    pub fn read_doc(&mut self, doc: DocId) -> Result<Option<Papers<'_>>, StoreError> {
        let read = self.store.read()?;
        let parts = self.shelf.family(&read, doc.with_part(1))?;
        Ok((!parts.is_empty()).then(|| Papers::of(parts, &self.signers)))
    }
}
