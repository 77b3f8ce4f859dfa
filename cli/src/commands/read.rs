//! `read`: enter readings of another phase than found and left.

use client_core::record::code::Phase;

use super::readings::{Readings, enter};
use crate::desk::Desk;
use crate::error::Trouble;
use crate::pairs;

/// Enter readings taken in between: in work, as a baseline, or as a spot reading
#[derive(Debug, clap::Args)]
pub struct Args {
    /// When, relative to the work: in_work, baseline, spot
    #[arg(long, value_parser = pairs::phase, default_value = "spot")]
    phase: Phase,
    #[command(flatten)]
    readings: Readings,
}

pub(crate) fn run(args: &Args, desk: &mut Desk<'_>) -> Result<(), Trouble> {
    enter(&args.readings, args.phase, desk)
}
