//! `adjust`: enter a setting that was changed, before and after.

use client_core::record::action::Action;
use client_core::record::body::Adjustment;
use client_core::trade::unit::Unit;

use crate::args::{At, Entering};
use crate::desk::Desk;
use crate::entries;
use crate::error::Trouble;
use crate::pairs;
use crate::save::save;

/// Enter a setting that was changed: one entry holds before and after
#[derive(Debug, clap::Args)]
pub struct Args {
    /// The unit
    unit: String,
    /// What was set and to what: manifold_high=3.50
    #[arg(value_name = "QUANTITY=VALUE")]
    after: String,
    /// What it was before
    #[arg(long, value_name = "VALUE")]
    before: Option<String>,
    /// The finding that it answers
    #[arg(long, value_name = "ENTRY")]
    finding: Option<String>,
    /// Remark
    #[arg(long)]
    note: Option<String>,
    #[command(flatten)]
    at: At,
    #[command(flatten)]
    entering: Entering,
}

pub(crate) fn run(args: &Args, desk: &mut Desk<'_>) -> Result<(), Trouble> {
    let (place, _, doc) = entries::sheet(desk, &args.at, &args.unit)?;
    let (key, value) = pairs::split(&args.after)?;
    let quantity = pairs::quantity(key)?;
    let unit = quantity.kind().map_or(Unit::N, |kind| kind.unit);
    let after = pairs::figure(quantity.says(), value, unit)?;
    let before = args.before.as_deref();
    let before = before.map(|text| pairs::figure(quantity.says(), text, unit)).transpose()?;
    let finding = match &args.finding {
        Some(typed) => Some(entries::named(typed, &entries::around(desk, &place)?)?.entry.id),
        None => None,
    };
    let body = Adjustment { quantity, before, after, finding, note: args.note.clone() };
    save(desk, &place.book, &args.entering, vec![(doc, Action::Enter(vec![body.into()]))])?;
    Ok(())
}
