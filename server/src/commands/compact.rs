//! `compact`

use client_core::store::Store;

use super::{Outcome, ask_running};
use crate::folder::Folder;

/// Gives unused room of both stores back.
pub(super) fn compact(folder: &Folder) -> Outcome {
    if let Some(outcome) = ask_running(folder, "compact") {
        return outcome;
    }
    let mut log = match folder.open_log() {
        Ok(log) => log,
        Err(wrong) => return wrong.into(),
    };
    if let Err(wrong) = log.compact() {
        return wrong.into();
    }
    // The view may be missing or damaged: it is made anew at the next start.
    if let Ok(mut view) = Store::open_file(&folder.view_file(), folder.manner())
        && let Err(wrong) = view.compact()
    {
        return wrong.into();
    }
    Outcome::Done(vec!["unused room of both stores was given back".to_owned()])
}
