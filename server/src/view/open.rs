//! Documents of the view, loaded for reading.

use client_core::device::{Opened, Wanted};
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

    /// All parts of one document, read; none when nothing of it is here.
    pub fn read_doc(&mut self, doc: DocId) -> Result<Option<Papers<'_>>, StoreError> {
        let read = self.store.read()?;
        let parts = self.shelf.family(&read, doc.with_part(1))?;
        Ok((!parts.is_empty()).then(|| Papers::of(parts, &self.signers)))
    }
}
