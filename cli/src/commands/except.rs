//! `except`: a supervisor lets a blocking item pass, in words.

use client_core::record::action::Action;
use client_core::record::body::Exception;
use client_core::record::code::Role;
use client_core::record::doc_id::{DocId, DocKind};

use crate::args::{At, Entering};
use crate::desk::Desk;
use crate::error::Trouble;
use crate::save::save;
use crate::ui::Tone;

/// Let an item that blocks the sign-off pass, in words; a supervisor's word alone counts
#[derive(Debug, clap::Args)]
pub struct Args {
    /// Key of the item, as `blockers` lists it
    key: String,
    #[command(flatten)]
    at: At,
    #[command(flatten)]
    entering: Entering,
}

pub(crate) fn run(args: &Args, desk: &mut Desk<'_>) -> Result<(), Trouble> {
    let place = desk.place(&args.at)?;
    let keys: Vec<String> = {
        let opened = desk.device()?.open_visit(place.site, place.visit)?;
        opened.file().blockers().into_iter().map(|blocker| blocker.key).collect()
    };
    let key = keys.iter().find(|key| **key == args.key).cloned().or_else(|| {
        let mut fit = keys.iter().filter(|key| key.starts_with(&args.key));
        fit.next().filter(|_| fit.next().is_none()).cloned()
    });
    let Some(key) = key else {
        let there = if keys.is_empty() { "nothing".to_owned() } else { keys.join(", ") };
        let words = format!("'{}' blocks nothing here; there is {there}", args.key);
        return Err(Trouble::State(words));
    };
    let reason = args.entering.because.clone().unwrap_or_default();
    if reason.trim().is_empty() {
        let what = format!("excepting {key}");
        return Err(client_core::record::refused::Refused::NeedsReason { what }.into());
    }
    let body = Exception { blocker: key, reason };
    let head = DocId::new(place.site, DocKind::Visit(place.visit));
    save(desk, &place.book, &args.entering, vec![(head, Action::Enter(vec![body.into()]))])?;
    if desk.device()?.identity().role != Role::Supervisor {
        let says = "entered, but only a supervisor's exception lets the item pass";
        desk.ui.talk(Tone::Look, says);
    }
    Ok(())
}
