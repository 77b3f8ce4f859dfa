//! `sign`: sign a visit as far as this device shows it.

use client_core::record::contradiction::Contradiction;
use client_core::record::deed;

use crate::args::{At, Entering};
use crate::desk::Desk;
use crate::error::Trouble;
use crate::save::save;
use crate::ui::{Tone, counted};

/// Sign a visit, exactly as far as this device shows it
///
/// Items that block the sign-off are listed and must be settled, or excepted by a supervisor. What comes
/// later is taken, marked as after the sign-off, and asks for a second one.
#[derive(Debug, clap::Args)]
pub struct Args {
    /// Statement in words
    #[arg(long)]
    statement: Option<String>,
    #[command(flatten)]
    at: At,
    #[command(flatten)]
    entering: Entering,
}

pub(crate) fn run(args: &Args, desk: &mut Desk<'_>) -> Result<(), Trouble> {
    let place = desk.place(&args.at)?;
    let role = desk.device()?.identity().role;
    let unsent = desk.device()?.unsent(place.site)?;
    let (deed, open, words) = {
        let opened = desk.device()?.open_visit(place.site, place.visit)?;
        let file = opened.file();
        let blockers = file.blockers();
        let words: Vec<String> = blockers
            .iter()
            .filter(|blocker| blocker.excepted.is_none())
            .map(|blocker| format!("{}  [{}]", blocker.says, blocker.key))
            .collect();
        let open: Vec<String> = file.contradictions().iter().map(Contradiction::key).collect();
        (deed::sign_off(&file, role, args.statement.clone()), open, words)
    };
    for one in &words {
        desk.ui.talk(Tone::Look, one);
    }
    let deed = deed?;
    save(desk, &place.book, &args.entering, deed)?;
    if !open.is_empty() {
        let says = format!("signed with {} not settled", counted(open.len(), "contradiction", "contradictions"));
        desk.ui.talk(Tone::Look, &says);
    }
    if unsent.changes + unsent.deliveries > 0 {
        let says = "signed as this device shows it; what others have not sent yet is not in it";
        desk.ui.talk(Tone::Dim, says);
    }
    Ok(())
}
