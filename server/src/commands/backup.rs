//! `backup DIR`

use std::path::Path;

use super::{Outcome, absolute, ask_running};
use crate::backup::take;
use crate::folder::Folder;
use crate::log::redb::RedbLog;
use crate::serve::console::backup_lines;
use crate::serve::wall_clock;

/// Lets the running hub take a backup, or takes it when none runs.
pub(super) fn backup(folder: &Folder, to: &Path) -> Outcome {
    let to = absolute(to);
    if let Some(outcome) = ask_running(folder, &format!("backup {}", to.display())) {
        return outcome;
    }
    let store = match folder.open_log() {
        Ok(store) => store,
        Err(wrong) => return wrong.into(),
    };
    let read = match store.read() {
        Ok(read) => read,
        Err(wrong) => return wrong.into(),
    };
    let taken = match take(&read, folder, &to, wall_clock()) {
        Ok(taken) => taken,
        Err(wrong) => return wrong.into(),
    };
    drop(read);
    match RedbLog::note_backup(&store, &taken.ends) {
        Ok(()) => Outcome::Done(backup_lines(&taken, &to)),
        Err(wrong) => wrong.into(),
    }
}
