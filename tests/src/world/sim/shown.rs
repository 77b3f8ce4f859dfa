//! What a store shows: every document as read and every row, as text that can be compared.

use std::collections::BTreeMap;
use std::fmt::Write;

use client_core::device::shelf::Shelf;
use client_core::record::doc_id::DocId;
use client_core::record::file::Papers;
use client_core::record::id::SiteId;
use client_core::record::read::Read;
use client_core::record::signer::Signers;
use client_core::store::{Get, Store, StoreError, Table, doc_table};

/// What a store shows of one site.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub(super) struct Shown {
    /// Documents that are held whole, as read.
    pub(super) docs: BTreeMap<DocId, String>,
    /// Documents that are held in part only.
    pub(super) partial: Vec<DocId>,
    /// Rows.
    pub(super) rows: BTreeMap<Vec<u8>, Vec<u8>>,
}

/// Everything of a site in a store.
///
/// # Errors
/// When the store fails.
pub(super) fn shown(store: &Store, signers: &Signers, site: SiteId) -> Result<Shown, StoreError> {
    let read = store.read()?;
    let mut out = Shown::default();
    let mut shelf = Shelf::new(8, u32::MAX);
    for (doc, info) in doc_table::of_site(&read, site)? {
        if !info.whole {
            out.partial.push(doc);
        }
        if doc.part == 1 {
            let parts = shelf.family(&read, doc)?;
            if parts.iter().all(|part| part.changes() <= 1) {
                // Of what only waits for something else nobody shows anything.
                continue;
            }
            let papers = Papers::of(parts, signers);
            out.docs.insert(doc, words(&papers));
        }
    }
    out.docs.retain(|doc, _| !out.partial.iter().any(|part| part.with_part(1) == *doc));
    for kind in 1..=5u8 {
        out.rows.extend(read.under(Table::Rows, &[&[kind][..], &site.0].concat())?);
    }
    Ok(out)
}

/// A document as read, in words that do not depend on who reads it.
fn words(papers: &Papers<'_>) -> String {
    let mut out = String::new();
    let mut say = |text: String| writeln!(out, "{text}").expect("a text takes more");
    for part in &papers.parts {
        say(format!("part {} heads {:?}", part.id().part, part.heads()));
    }
    let Read { entries, fields, texts, problems } = &papers.read;
    for entry in entries {
        say(format!(
            "{} {:?} {:?} {:?} voided {:?} corrected {:?} {:?} {:?}",
            entry.id,
            entry.doc.part,
            entry.order,
            entry.standing,
            entry.voided_by,
            entry.corrected_by,
            entry.stamp,
            entry.body,
        ));
    }
    for (field, merged) in fields {
        say(format!("{} {merged:?}", field.key()));
    }
    for text in texts {
        say(format!("{text:?}"));
    }
    for problem in problems {
        say(format!("{problem:?}"));
    }
    out
}

/// The first line in which two texts differ.
pub(super) fn difference(one: &str, other: &str) -> String {
    let mut ones = one.lines();
    let mut others = other.lines();
    loop {
        match (ones.next(), others.next()) {
            (None, None) => return "nothing".to_owned(),
            (one, other) if one == other => {}
            (one, other) => {
                let cut = |line: Option<&str>| {
                    line.map_or_else(|| "-".to_owned(), |line| line.chars().take(700).collect())
                };
                return format!("\n  {}\n  {}", cut(one), cut(other));
            }
        }
    }
}
