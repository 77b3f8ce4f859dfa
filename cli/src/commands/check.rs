//! `check`: enter answers to checks.

use client_core::record::action::Action;
use client_core::record::body::{Body, Check};

use crate::args::{At, Entering};
use crate::desk::Desk;
use crate::entries;
use crate::error::Trouble;
use crate::pairs;
use crate::save::save;

/// Enter your own answers to checks of a unit
///
/// Two people may answer differently: both answers stay and the worst governs. Your later answer to the
/// same check replaces your earlier one.
#[derive(Debug, clap::Args)]
pub struct Args {
    /// The unit
    unit: String,
    /// Checks as ITEM=ANSWER: leak_check=pass, spill=not_done; `dripleg words checks` lists them
    #[arg(required = true, value_name = "ITEM=ANSWER")]
    checks: Vec<String>,
    /// How it was checked
    #[arg(long)]
    note: Option<String>,
    #[command(flatten)]
    at: At,
    #[command(flatten)]
    entering: Entering,
}

pub(crate) fn run(args: &Args, desk: &mut Desk<'_>) -> Result<(), Trouble> {
    let (place, _, doc) = entries::sheet(desk, &args.at, &args.unit)?;
    let mut bodies: Vec<Body> = vec![];
    for typed in &args.checks {
        let (item, result) = pairs::split(typed)?;
        let usage = |words: String| Trouble::Usage(format!("'{typed}': {words}"));
        let item = pairs::check_item(item).map_err(usage)?;
        let result = pairs::check_result(result).map_err(usage)?;
        bodies.push(Check { item, result, note: args.note.clone(), corrects: None }.into());
    }
    save(desk, &place.book, &args.entering, vec![(doc, Action::Enter(bodies))])?;
    Ok(())
}
