//! `claim`: say that you work on a unit.

use client_core::record::action::Action;
use client_core::record::body::Claim;

use crate::args::{At, Entering};
use crate::desk::Desk;
use crate::entries;
use crate::error::Trouble;
use crate::save::save;

/// Say that you work on a unit, or have left it; it tells others and blocks nobody
#[derive(Debug, clap::Args)]
pub struct Args {
    /// The unit
    unit: String,
    /// You have left the unit
    #[arg(long)]
    gone: bool,
    #[command(flatten)]
    at: At,
    #[command(flatten)]
    entering: Entering,
}

pub(crate) fn run(args: &Args, desk: &mut Desk<'_>) -> Result<(), Trouble> {
    let (place, _, doc) = entries::sheet(desk, &args.at, &args.unit)?;
    let body = Claim { here: !args.gone };
    save(desk, &place.book, &args.entering, vec![(doc, Action::Enter(vec![body.into()]))])?;
    Ok(())
}
