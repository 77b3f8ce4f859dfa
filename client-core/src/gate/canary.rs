//! The canary: a copy of the document goes first.

use std::panic::{AssertUnwindSafe, catch_unwind};

use automerge::{Automerge, Change, ObjId, ROOT, ReadDoc, ValueRef};

use super::{Turned, limit};

/// Applies changes to a clone and proves that the result survives being saved and loaded.
pub(super) fn sing(document: &Automerge, changes: &[Change]) -> Result<Automerge, Turned> {
    guarded(|| {
        let mut clone = document.clone();
        clone.apply_changes(changes.to_vec()).map_err(|_| Turned::Canary("it was not applied"))?;
        for change in changes {
            if clone.get_change_meta_by_hash(&change.hash()).is_none() {
                return Err(Turned::Canary("it was not taken in"));
            }
        }
        let found = clone.get_changes_meta(&[]).len();
        if found > limit::DOC_CHANGES_MAX {
            return Err(Turned::Full { found, most: limit::DOC_CHANGES_MAX });
        }
        proven(&clone)?;
        Ok(clone)
    })
}

/// Depth, then save, load and compare.
pub(super) fn proven(document: &Automerge) -> Result<(), Turned> {
    shallow(document)?;
    let saved = document.save_nocompress();
    if saved.len() > limit::DOC_BYTES_MAX {
        return Err(Turned::Large { found: saved.len(), most: limit::DOC_BYTES_MAX });
    }
    let loaded = Automerge::load(&saved).map_err(|_| Turned::Canary("it does not load again"))?;
    let sorted = |document: &Automerge| {
        let mut heads = document.get_heads();
        heads.sort_unstable();
        heads
    };
    if sorted(&loaded) != sorted(document) {
        return Err(Turned::Canary("it loads with other heads"));
    }
    if loaded.hydrate(None) != document.hydrate(None) {
        return Err(Turned::Canary("it loads with other content"));
    }
    Ok(())
}

/// Walks objects without recursion: a deep document would overflow the stack.
fn shallow(document: &Automerge) -> Result<(), Turned> {
    let mut open: Vec<(ObjId, usize)> = vec![(ROOT, 0)];
    while let Some((object, depth)) = open.pop() {
        if depth > limit::DEPTH_MAX {
            return Err(Turned::Deep { found: depth, most: limit::DEPTH_MAX });
        }
        let kind =
            document.object_type(&object).map_err(|_| Turned::Canary("an object is lost"))?;
        if kind.is_sequence() {
            for item in document.list_range(&object, ..) {
                if matches!(item.value, ValueRef::Object(_)) {
                    open.push((item.id(), depth + 1));
                }
            }
        } else {
            for item in document.map_range(&object, ..) {
                if matches!(item.value, ValueRef::Object(_)) {
                    open.push((item.id(), depth + 1));
                }
            }
        }
    }
    Ok(())
}

/// Runs something that may panic inside automerge; a panic becomes a refusal.
///
/// In WebAssembly a panic ends the worker instead; the store's mark "about to apply" finds the culprit
/// at the next start.
pub(super) fn guarded<T>(run: impl FnOnce() -> Result<T, Turned>) -> Result<T, Turned> {
    catch_unwind(AssertUnwindSafe(run)).unwrap_or_else(|panic| {
        let words = panic
            .downcast_ref::<String>()
            .map(String::as_str)
            .or_else(|| panic.downcast_ref::<&str>().copied())
            .unwrap_or("no words");
        Err(Turned::Panic(words.chars().take(120).collect()))
    })
}
