//! `gas-part`: enter a part that belongs to one gas, as it was seen.

use client_core::record::action::Action;
use client_core::record::body::GasPart;
use client_core::record::code::{Gas, GasPartKind, Phase};

use crate::args::{At, Entering};
use crate::desk::Desk;
use crate::entries;
use crate::error::Trouble;
use crate::pairs;
use crate::save::save;

/// Enter a part that belongs to one gas, as it was seen
#[derive(Debug, clap::Args)]
pub struct Args {
    /// The unit
    unit: String,
    /// Which part: main_orifice, pilot_orifice, regulator_spring, valve, air_shutter,
    /// conversion_label, flame_control
    #[arg(value_parser = pairs::gas_part)]
    part: GasPartKind,
    /// Marking as read
    marking: String,
    /// The gas that it is for: natural, lp, both, other_gas, not_known
    #[arg(long, value_parser = pairs::gas, default_value = "not_known")]
    gas: Gas,
    /// How many
    #[arg(long, default_value_t = 1)]
    count: u16,
    /// Found or left
    #[arg(long, value_parser = pairs::phase, default_value = "as_found")]
    phase: Phase,
    /// A photo of it
    #[arg(long, value_name = "ENTRY")]
    photo: Option<String>,
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
    let photo = match &args.photo {
        Some(typed) => Some(entries::named(typed, &entries::around(desk, &place)?)?.entry.id),
        None => None,
    };
    let part = GasPart {
        part: args.part,
        marking: args.marking.clone(),
        count: args.count,
        for_gas: args.gas,
        phase: args.phase,
        photo,
        note: args.note.clone(),
    };
    save(desk, &place.book, &args.entering, vec![(doc, Action::Enter(vec![part.into()]))])?;
    Ok(())
}
