//! What automerge's own bundles take for the same changes: one bundle a document, then zstd at level 19
//! over all of them together.

use std::collections::BTreeMap;

use automerge::{Automerge, Change, ChangeHash};
use client_core::record::doc::{Doc, Presence};
use client_core::record::doc_id::DocId;
use client_core::record::id::SiteId;
use client_core::store::Store;
use client_core::store::doc_table::{self, DocNumber};

/// Heads of every document of a site.
pub type Heads = BTreeMap<DocId, Vec<u8>>;

/// Heads of a site's documents as they stand.
///
/// # Errors
/// When the store fails.
pub fn heads(store: &Store, site: SiteId) -> Result<Heads, Box<dyn std::error::Error>> {
    let read = store.read()?;
    let docs = doc_table::of_site(&read, site)?;
    Ok(docs.into_iter().map(|(doc, info)| (doc, info.heads)).collect())
}

/// Bytes of the bundles of everything that was changed since. Bytes of zstd as well.
///
/// # Errors
/// When the store fails or automerge makes no bundle.
pub fn since(
    store: &Store,
    site: SiteId,
    before: &Heads,
) -> Result<usize, Box<dyn std::error::Error>> {
    let mut all = vec![];
    let read = store.read()?;
    for (id, info) in doc_table::of_site(&read, site)? {
        let old = before.get(&id);
        if old == Some(&info.heads) {
            continue;
        }
        let number = DocNumber(info.number);
        let mut whole = match doc_table::snapshot(&read, number)? {
            Some(saved) => Automerge::load(&saved)?,
            None => Doc::begin(id, Presence::Whole).automerge().clone(),
        };
        let changes = doc_table::changes(&read, number, info.snapshot)?;
        let changes: Result<Vec<Change>, _> = changes.into_iter().map(Change::from_bytes).collect();
        whole.apply_changes(changes?)?;
        let first = Doc::begin(id, Presence::Whole).automerge().get_heads();
        let old = old.map_or(first, |bytes| {
            bytes.chunks_exact(32).filter_map(|one| ChangeHash::try_from(one).ok()).collect()
        });
        let new = whole.get_changes(&old).into_iter().map(|change| change.hash());
        all.extend_from_slice(whole.bundle(new.collect::<Vec<_>>())?.bytes());
    }
    Ok(zstd::bulk::compress(&all, 19)?.len())
}
