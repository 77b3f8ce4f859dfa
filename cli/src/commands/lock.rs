//! `lock`: a lock put on.

use client_core::record::action::Action;
use client_core::record::body::Lock;
use client_core::record::code::LockState;

use crate::args::{At, Entering};
use crate::desk::Desk;
use crate::entries;
use crate::error::Trouble;
use crate::save::save;

/// Enter that you put your lock on; one person, one lock
#[derive(Debug, clap::Args)]
pub struct Args {
    /// The unit
    unit: String,
    /// The point locked: service switch, gas cock, ...
    point: String,
    /// Number on the lock
    #[arg(long)]
    number: Option<String>,
    #[command(flatten)]
    at: At,
    #[command(flatten)]
    entering: Entering,
}

pub(crate) fn run(args: &Args, desk: &mut Desk<'_>) -> Result<(), Trouble> {
    let (book, _, _, doc) = entries::appliance(desk, &args.at, &args.unit)?;
    let visit = entries::visit_if_any(desk, &args.at)?;
    let lock = Lock {
        point: args.point.clone(),
        state: LockState::On,
        number: args.number.clone(),
        takes_off: None,
        visit,
    };
    save(desk, &book, &args.entering, vec![(doc, Action::Enter(vec![lock.into()]))])?;
    Ok(())
}
