//! A change from a stranger, at the gate of an empty document: whatever it says, the document still saves and
//! loads afterwards.
#![no_main]

use client_core::gate::{Ground, admit, scan, snapshot};
use client_core::record::doc::{Doc, Presence};
use client_core::record::doc_id::{DocId, DocKind};
use client_core::record::id::SiteId;
use libfuzzer_sys::fuzz_target;

fuzz_target!(|bytes: &[u8]| {
    if scan(bytes).is_err() {
        return;
    }
    let mut doc = Doc::begin(DocId::new(SiteId([1; 8]), DocKind::Site), Presence::Whole);
    admit(&mut doc, &[bytes.to_vec()], Ground::OPEN);
    let saved = doc.automerge().save_nocompress();
    let heads: Vec<[u8; 32]> = doc.automerge().get_heads().iter().map(|head| head.0).collect();
    assert!(snapshot::load(&saved, &heads).is_ok(), "an admitted change spoilt the document");
});
