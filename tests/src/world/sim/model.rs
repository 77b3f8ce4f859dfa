//! Registers worked out a second way: from what was written and the causal order alone.

use std::collections::{BTreeMap, BTreeSet};

use client_core::record::field::{Field, FieldValue, Said, decode};
use client_core::record::file::Papers;
use client_core::record::id::EntryId;
use client_core::record::merged::Merged;

use super::oracle::{Oracle, Saved, Waits};

/// One write of a register.
struct Put<'a> {
    hash: [u8; 32],
    saved: &'a Saved,
    said: Said,
}

/// Compares every register of a document with what was written; gives how many are contested.
pub(super) fn registers(oracle: &Oracle, papers: &Papers<'_>) -> Result<u64, String> {
    let held: BTreeSet<[u8; 32]> = papers
        .parts
        .iter()
        .flat_map(|part| part.automerge().get_changes_meta(&[]))
        .map(|meta| meta.hash.0)
        .collect();
    // A change that is on a disk although its append failed may have written anything.
    let firsts = papers.parts.len();
    let known = held.iter().filter(|hash| oracle.saved.contains_key(*hash)).count();
    if known + firsts < held.len() {
        return Ok(0);
    }
    let mut puts: BTreeMap<String, Vec<Put<'_>>> = BTreeMap::new();
    for (hash, saved) in oracle.saved.iter().filter(|(hash, _)| held.contains(*hash)) {
        if saved.waits == Waits::Either {
            return Ok(0);
        }
        for inside in saved.inside.iter().filter(|inside| inside.kind.is_none()) {
            if let Ok(said) = decode(&inside.bytes) {
                let put = Put { hash: *hash, saved, said };
                // What waits for a supervisor does not count.
                if saved.waits == Waits::No {
                    puts.entry(inside.key.clone()).or_default().push(put);
                }
            }
        }
    }
    let mut contested = 0;
    for (key, puts) in &puts {
        let Some(field) = Field::from_key(key) else { continue };
        let standing = standing(oracle, puts);
        let answers = standing.iter().map(|put| &put.said.value);
        let differ = answers.clone().any(|one| answers.clone().any(|other| !same(one, other)));
        let shown = papers.read.field(&field).ok_or_else(|| format!("{key} is not shown"))?;
        let ids: BTreeSet<EntryId> = standing.iter().map(|put| put.said.id).collect();
        match shown {
            Merged::Contested { sides, .. } => {
                let sides: BTreeSet<EntryId> = sides.iter().map(|said| said.id).collect();
                if !differ || sides != ids {
                    return Err(format!("{key} is contested by {sides:?}, written by {ids:?}"));
                }
                contested += 1;
            }
            Merged::Settled(said) if differ => {
                return Err(format!("{key} is settled by {}, written by {ids:?}", said.id));
            }
            Merged::Settled(said) if !ids.contains(&said.id) => {
                return Err(format!("{key} shows {}, written last by {ids:?}", said.id));
            }
            Merged::Settled(_) => {}
        }
    }
    Ok(contested)
}

/// Writes that no later write replaces: none builds on them, and none names them.
fn standing<'a, 'b>(oracle: &Oracle, puts: &'b [Put<'a>]) -> Vec<&'b Put<'a>> {
    let stands = |put: &&Put<'_>| {
        !puts.iter().any(|later| {
            let named = later.said.over.contains(&put.said.id)
                && later.saved.doc.part != put.saved.doc.part;
            let same_change = later.hash == put.hash && later.said.id.n > put.said.id.n;
            named || same_change || (later.hash != put.hash && builds_on(oracle, later, put))
        })
    };
    puts.iter().filter(stands).collect()
}

/// Whether one change builds on another.
fn builds_on(oracle: &Oracle, later: &Put<'_>, earlier: &Put<'_>) -> bool {
    let mut open: Vec<[u8; 32]> = later.saved.deps.clone();
    let mut seen: BTreeSet<[u8; 32]> = BTreeSet::new();
    while let Some(hash) = open.pop() {
        if hash == earlier.hash {
            return true;
        }
        if seen.insert(hash)
            && let Some(saved) = oracle.saved.get(&hash)
        {
            open.extend(&saved.deps);
        }
    }
    false
}

/// Whether two people gave the same answer.
fn same(one: &FieldValue, other: &FieldValue) -> bool {
    match (one, other) {
        (FieldValue::Text(one), FieldValue::Text(other)) => one.trim() == other.trim(),
        (FieldValue::Figure(one), FieldValue::Figure(other)) => {
            let digits = |figure: &client_core::record::value::Figure| figure.digits.to_f64();
            one.unit == other.unit && (digits(one) - digits(other)).abs() < 1e-9
        }
        _ => one == other,
    }
}
