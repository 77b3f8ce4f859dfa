//! `check`

use super::{Outcome, ask_running};
use crate::folder::Folder;
use crate::log::check::check as check_log;
use crate::serve::console::checked_line;

/// Checks the whole log; opening it has read the whole file.
pub(super) fn check(folder: &Folder) -> Outcome {
    if let Some(outcome) = ask_running(folder, "check") {
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
    match check_log(&read) {
        Ok(checked) => Outcome::Done(vec![checked_line(&checked)]),
        Err(fault) => fault.into(),
    }
}
