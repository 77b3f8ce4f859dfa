//! `code`

use super::{Outcome, ask_running};
use crate::config::Settings;
use crate::folder::Folder;
use crate::serve::console::code_lines;
use crate::serve::{system_random, wall_clock};
use crate::worker::supervisors_code;

/// Makes a supervisor's one-time code.
pub(super) fn code(folder: &Folder, settings: &Settings, another: bool) -> Outcome {
    let line = if another { "code another" } else { "code" };
    if let Some(outcome) = ask_running(folder, line) {
        return outcome;
    }
    if let Err(wrong) = folder.open_log() {
        return wrong.into();
    }
    let mut opened = match folder.open(Box::new(system_random)) {
        Ok(opened) => opened,
        Err(wrong) => return wrong.into(),
    };
    let code = match supervisors_code(&mut opened.hub, wall_clock(), another) {
        Ok(code) => code,
        Err(wrong) => return wrong.into(),
    };
    match code_lines(&settings.url(settings.listen), &code) {
        Ok(lines) => Outcome::Done(lines),
        Err(why) => Outcome::Failed(why),
    }
}
