//! `part`: enter a part used.

use client_core::record::action::Action;
use client_core::record::body::{OldPart, Part};
use client_core::record::code::Gas;
use client_core::trade::unit::Unit;

use crate::args::{At, Entering};
use crate::desk::Desk;
use crate::entries;
use crate::error::Trouble;
use crate::pairs;
use crate::save::save;

/// Enter a part used: one line for each event, the total is a sum
#[derive(Debug, clap::Args)]
pub struct Args {
    /// The unit
    unit: String,
    /// The part in words
    part: String,
    /// How many or how much
    #[arg(long, default_value = "1")]
    quantity: String,
    /// Number as printed on it
    #[arg(long)]
    number: Option<String>,
    /// The gas that it is for
    #[arg(long, value_parser = pairs::gas)]
    gas: Option<Gas>,
    /// Setpoint, ohms, size
    #[arg(long)]
    rating: Option<String>,
    /// The truck or store that it came from
    #[arg(long)]
    source: Option<String>,
    /// Condition of the part that came out
    #[arg(long, value_name = "WORDS")]
    old_condition: Option<String>,
    /// Rating of the part that came out
    #[arg(long, value_name = "WORDS")]
    old_rating: Option<String>,
    /// The part that came out was kept
    #[arg(long)]
    old_kept: bool,
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
    let old = OldPart {
        condition: args.old_condition.clone(),
        rating: args.old_rating.clone(),
        kept: args.old_kept.then_some(true),
    };
    let came_out = old.condition.is_some() || old.rating.is_some() || old.kept.is_some();
    let part = Part {
        part: args.part.clone(),
        number: args.number.clone(),
        for_gas: args.gas,
        rating: args.rating.clone(),
        quantity: pairs::figure("how many", &args.quantity, Unit::N)?,
        source: args.source.clone(),
        old: came_out.then_some(old),
        note: args.note.clone(),
    };
    save(desk, &place.book, &args.entering, vec![(doc, Action::Enter(vec![part.into()]))])?;
    Ok(())
}
