//! `withdraw`: an entry is taken out of the count; it stays readable.

use client_core::record::action::Action;

use crate::args::{At, Entering};
use crate::desk::Desk;
use crate::entries;
use crate::error::Trouble;
use crate::save::save;

/// Take an entry out of the count, with a reason; it stays readable
///
/// Another person's evidence is withdrawn by a supervisor only.
#[derive(Debug, clap::Args)]
pub struct Args {
    /// The entry
    entry: String,
    #[command(flatten)]
    at: At,
    #[command(flatten)]
    entering: Entering,
}

pub(crate) fn run(args: &Args, desk: &mut Desk<'_>) -> Result<(), Trouble> {
    let place = desk.place(&args.at)?;
    let found = entries::named(&args.entry, &entries::around(desk, &place)?)?;
    let reason = args.entering.because.clone().unwrap_or_default();
    let void = Action::Void { entry: found.entry.id, reason };
    save(desk, &place.book, &args.entering, vec![(found.doc, void)])?;
    Ok(())
}
