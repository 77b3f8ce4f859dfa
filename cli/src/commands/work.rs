//! `work`: enter what was done.

use client_core::record::action::Action;
use client_core::record::body::Work;
use client_core::record::code::{System, WorkKind};

use crate::args::{At, Entering};
use crate::desk::Desk;
use crate::entries;
use crate::error::Trouble;
use crate::pairs;
use crate::save::save;

/// Enter what was done to a unit
///
/// The first work closes the found block: readings entered as found after it say so.
#[derive(Debug, clap::Args)]
pub struct Args {
    /// The unit
    unit: String,
    /// What kind: cleaned, set, replaced, repaired, isolated, advised, none
    #[arg(value_parser = pairs::work_kind)]
    kind: WorkKind,
    /// In words
    text: Option<String>,
    /// What it touched, which decides the proofs asked for before sign-off: gas_joint, gas_port,
    /// gas_setting, combustion, ignition, air_side, controls, vent, water, outside
    #[arg(long, value_parser = pairs::system, value_delimiter = ',')]
    touched: Vec<System>,
    /// The finding that it answers
    #[arg(long, value_name = "ENTRY")]
    finding: Option<String>,
    /// Minutes spent
    #[arg(long)]
    minutes: Option<u16>,
    #[command(flatten)]
    at: At,
    #[command(flatten)]
    entering: Entering,
}

pub(crate) fn run(args: &Args, desk: &mut Desk<'_>) -> Result<(), Trouble> {
    let (place, _, doc) = entries::sheet(desk, &args.at, &args.unit)?;
    let finding = match &args.finding {
        Some(typed) => Some(entries::named(typed, &entries::around(desk, &place)?)?.entry.id),
        None => None,
    };
    let work = Work {
        kind: args.kind,
        text: args.text.clone(),
        finding,
        touched: args.touched.clone(),
        minutes: args.minutes,
    };
    save(desk, &place.book, &args.entering, vec![(doc, Action::Enter(vec![work.into()]))])?;
    Ok(())
}
