//! `close`: end a unit's turn in a visit.

use client_core::record::action::Action;
use client_core::record::code::Outcome;

use crate::args::{At, Entering};
use crate::desk::Desk;
use crate::entries;
use crate::error::Trouble;
use crate::pairs;
use crate::save::save;

/// Close a unit: done, left_as_found, not_reached (with --because), or in_hand
#[derive(Debug, clap::Args)]
pub struct Args {
    /// The unit
    unit: String,
    /// How it ended
    #[arg(value_parser = pairs::outcome)]
    outcome: Outcome,
    #[command(flatten)]
    at: At,
    #[command(flatten)]
    entering: Entering,
}

pub(crate) fn run(args: &Args, desk: &mut Desk<'_>) -> Result<(), Trouble> {
    let (place, _, doc) = entries::sheet(desk, &args.at, &args.unit)?;
    let close = Action::Close { outcome: args.outcome, reason: args.entering.because.clone() };
    save(desk, &place.book, &args.entering, vec![(doc, close)])?;
    Ok(())
}
