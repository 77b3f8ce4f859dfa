//! `crew`: somebody arrived or left.

use client_core::record::action::Action;
use client_core::record::body::Crew;
use client_core::record::code::CrewEvent;
use client_core::record::doc_id::{DocId, DocKind};

use crate::args::{At, Entering};
use crate::desk::Desk;
use crate::error::Trouble;
use crate::pairs;
use crate::save::save;

/// Enter that somebody arrived at the site or left it
#[derive(Debug, clap::Args)]
pub struct Args {
    /// arrived or left
    #[arg(value_parser = pairs::crew_event)]
    event: CrewEvent,
    /// Who, if not you
    #[arg(long)]
    person: Option<String>,
    #[command(flatten)]
    at: At,
    #[command(flatten)]
    entering: Entering,
}

pub(crate) fn run(args: &Args, desk: &mut Desk<'_>) -> Result<(), Trouble> {
    let place = desk.place(&args.at)?;
    let own = desk.device()?.identity().person;
    let person = match &args.person {
        Some(typed) => place.book.find_person(typed)?,
        None => own,
    };
    let crew = Crew { person, event: args.event };
    let head = DocId::new(place.site, DocKind::Visit(place.visit));
    save(desk, &place.book, &args.entering, vec![(head, Action::Enter(vec![crew.into()]))])?;
    Ok(())
}
