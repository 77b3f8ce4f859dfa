//! `completions`: what a shell needs to complete commands.

use clap_complete::Shell;

use crate::args;
use crate::desk::Desk;
use crate::error::Trouble;

/// Print completions for a shell
#[derive(Debug, clap::Args)]
pub struct Args {
    /// The shell
    #[arg(value_enum)]
    shell: Shell,
}

pub(crate) fn run(args: &Args, desk: &mut Desk<'_>) -> Result<(), Trouble> {
    let mut bytes = vec![];
    clap_complete::generate(args.shell, &mut args::command(), "dripleg", &mut bytes);
    desk.ui.raw(&String::from_utf8_lossy(&bytes))
}
