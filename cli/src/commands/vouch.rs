//! `vouch`: a supervisor answers for work that came after a revocation.

use client_core::record::action::Action;
use client_core::record::body::Vouch;

use crate::args::{At, Entering};
use crate::desk::Desk;
use crate::entries;
use crate::error::Trouble;
use crate::save::save;

/// Answer for entries that a device signed after it was revoked: up to the one named, in its document
#[derive(Debug, clap::Args)]
pub struct Args {
    /// The last entry that is answered for, as `show visit` lists it under waiting
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
    if reason.trim().is_empty() {
        let what = "answering for another person's entries".to_owned();
        return Err(client_core::record::refused::Refused::NeedsReason { what }.into());
    }
    if found.entry.shown() {
        let words = format!("{} does not wait for a supervisor", args.entry);
        return Err(Trouble::State(words));
    }
    let body = Vouch { actor: found.entry.id.actor, up_to: found.entry.id.n, reason };
    save(desk, &place.book, &args.entering, vec![(found.doc, Action::Enter(vec![body.into()]))])?;
    Ok(())
}
