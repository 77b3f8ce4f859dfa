//! `shut-down`: record, locks, status and advisory of a unit that must not run.

use client_core::record::body::{Advisory, Lock, Tag};
use client_core::record::code::{AdvisorySeverity, LockState};
use client_core::record::deed;

use crate::args::{At, Entering};
use crate::desk::Desk;
use crate::entries;
use crate::error::Trouble;
use crate::save::save;
use crate::ui::Tone;

/// Shut a unit down: record, locks, status and advisory in one entry of the hand
///
/// Isolate, lock and tag the unit itself first, and tell the customer in person and in writing.
#[derive(Debug, clap::Args)]
pub struct Args {
    /// The unit
    unit: String,
    /// What was seen
    reason: String,
    /// An isolation made: gas cock, service switch, ...
    #[arg(long, value_name = "POINT")]
    isolated: Vec<String>,
    /// A point with your own lock on it
    #[arg(long, value_name = "POINT")]
    lock: Vec<String>,
    /// Who at the customer's was told
    #[arg(long, value_name = "WHO")]
    told: Option<String>,
    /// Who of the gas utility or inspection was told
    #[arg(long, value_name = "WHO")]
    utility: Option<String>,
    /// What must be true before release
    #[arg(long, value_name = "WORDS")]
    release_when: Option<String>,
    /// What the advisory says, if not the reason
    #[arg(long, value_name = "WORDS")]
    advise: Option<String>,
    #[command(flatten)]
    at: At,
    #[command(flatten)]
    entering: Entering,
}

pub(crate) fn run(args: &Args, desk: &mut Desk<'_>) -> Result<(), Trouble> {
    let (book, _, _, doc) = entries::appliance(desk, &args.at, &args.unit)?;
    let visit = entries::visit_if_any(desk, &args.at)?;
    let advisory = Advisory {
        severity: AdvisorySeverity::ShutDown,
        text: args.advise.clone().unwrap_or_else(|| args.reason.clone()),
        due: None,
        visit,
    };
    let tag = Tag {
        told_person: args.told.as_deref().and_then(|name| book.find_person(name).ok()),
        reason: args.reason.clone(),
        isolations: args.isolated.clone(),
        customer_told: args.told.clone(),
        utility_told: args.utility.clone(),
        release_when: args.release_when.clone(),
        advisory: None,
        visit,
    };
    let on = |point: &String| Lock {
        point: point.clone(),
        state: LockState::On,
        number: None,
        takes_off: None,
        visit,
    };
    let locks = args.lock.iter().map(on).collect();
    let next = desk.device()?.next_entry();
    let deed = deed::shut_down(doc, Some(advisory), tag, locks, next);
    save(desk, &book, &args.entering, deed)?;
    if args.told.is_none() {
        desk.ui.talk(Tone::Look, "nobody at the customer's is noted as told; that blocks the sign-off");
    }
    if args.isolated.is_empty() && args.lock.is_empty() {
        desk.ui.talk(Tone::Look, "neither a lock nor a closed cock is noted; that blocks the sign-off");
    }
    Ok(())
}
