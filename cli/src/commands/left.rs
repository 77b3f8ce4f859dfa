//! `left`: enter readings as left, after the work, unit steady, panels on.

use client_core::record::code::Phase;

use super::readings::{Readings, enter};
use crate::desk::Desk;
use crate::error::Trouble;

/// Enter readings as left, after the work, unit steady, panels on
///
/// All readings of one command get one stamp: O2, CO, stack and air of one flue test belong together.
#[derive(Debug, clap::Args)]
pub struct Args {
    #[command(flatten)]
    readings: Readings,
}

pub(crate) fn run(args: &Args, desk: &mut Desk<'_>) -> Result<(), Trouble> {
    enter(&args.readings, Phase::AsLeft, desk)
}
