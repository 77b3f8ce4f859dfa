//! `unlock`: a lock taken off by its owner.

use client_core::record::action::Action;
use client_core::record::body::{Body, Kind, Lock};
use client_core::record::code::LockState;
use client_core::record::file::UnitInVisit;

use crate::args::{At, Entering};
use crate::desk::Desk;
use crate::entries;
use crate::error::Trouble;
use crate::save::save;
use crate::ui::Tone;

/// Enter that you took your lock off; only its owner does
#[derive(Debug, clap::Args)]
pub struct Args {
    /// The unit
    unit: String,
    /// The point, where more than one is locked
    point: Option<String>,
    #[command(flatten)]
    at: At,
    #[command(flatten)]
    entering: Entering,
}

pub(crate) fn run(args: &Args, desk: &mut Desk<'_>) -> Result<(), Trouble> {
    let (book, _, appliance, doc) = entries::appliance(desk, &args.at, &args.unit)?;
    let visit = entries::visit_if_any(desk, &args.at)?;
    let own = desk.device()?.identity().person;
    let on: Vec<_> = {
        let papers = desk.device()?.read_doc(doc)?;
        let unit = UnitInVisit { appliance, sheet: None, unit: Some(papers), governing: vec![] };
        unit.locks_on().into_iter().cloned().collect()
    };
    let point = |entry: &client_core::record::read::Entry| match &entry.body {
        Body::Lock(lock) => lock.point.clone(),
        _ => String::new(),
    };
    let wanted = args.point.as_deref().map(str::to_lowercase);
    let fits = |at: &String| wanted.as_ref().is_none_or(|wanted| at.to_lowercase().contains(wanted));
    let fit: Vec<_> = on.iter().filter(|entry| fits(&point(entry))).collect();
    let found = match fit.as_slice() {
        [one] => *one,
        [] => {
            let words = format!("no lock of {} is recorded as on", args.unit);
            return Err(Trouble::State(words));
        }
        several => {
            let all: Vec<String> = several.iter().map(|entry| point(entry)).collect();
            return Err(Trouble::Usage(format!("name the point, one of {}", all.join("; "))));
        }
    };
    debug_assert_eq!(found.body.kind(), Kind::Lock, "locks on are locks");
    let another = found.person() != own;
    let lock = Lock {
        point: point(found),
        state: LockState::Off,
        number: None,
        takes_off: Some(found.id),
        visit,
    };
    save(desk, &book, &args.entering, vec![(doc, Action::Enter(vec![lock.into()]))])?;
    if another {
        let says = "this lock is another person's: only its owner takes it off; both will see this";
        desk.ui.talk(Tone::Stop, says);
    }
    Ok(())
}
