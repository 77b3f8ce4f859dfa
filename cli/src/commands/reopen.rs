//! `reopen`: a signed visit is opened again.

use client_core::record::action::Action;
use client_core::record::body::Reopen;
use client_core::record::doc_id::{DocId, DocKind};

use crate::args::{At, Entering};
use crate::desk::Desk;
use crate::error::Trouble;
use crate::save::save;

/// Open a signed visit again, with a reason; every sign-off that counts is opened
#[derive(Debug, clap::Args)]
pub struct Args {
    #[command(flatten)]
    at: At,
    #[command(flatten)]
    entering: Entering,
}

pub(crate) fn run(args: &Args, desk: &mut Desk<'_>) -> Result<(), Trouble> {
    let place = desk.place(&args.at)?;
    let reason = args.entering.because.clone().unwrap_or_default();
    if reason.trim().is_empty() {
        let what = "opening a signed visit".to_owned();
        return Err(client_core::record::refused::Refused::NeedsReason { what }.into());
    }
    let signed = {
        let opened = desk.device()?.open_visit(place.site, place.visit)?;
        opened.file().signed().sign_offs
    };
    if signed.is_empty() {
        return Err(Trouble::State("the visit is not signed".to_owned()));
    }
    let open = |(sign_off, _, _): &(_, _, _)| Reopen { sign_off: *sign_off, reason: reason.clone() };
    let bodies = signed.iter().map(|one| open(one).into()).collect();
    let head = DocId::new(place.site, DocKind::Visit(place.visit));
    save(desk, &place.book, &args.entering, vec![(head, Action::Enter(bodies))])?;
    Ok(())
}
