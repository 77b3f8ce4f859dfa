//! `labour`: enter working time.

use client_core::record::action::Action;
use client_core::record::body::Labour;
use client_core::record::code::LabourKind;
use client_core::record::doc_id::{DocId, DocKind};
use client_core::record::value::Moment;

use crate::args::{At, Entering, moment};
use crate::desk::Desk;
use crate::error::Trouble;
use crate::pairs;
use crate::save::save;

/// Enter working time on a visit: one line for each stretch
#[derive(Debug, clap::Args)]
pub struct Args {
    /// Minutes
    minutes: u32,
    /// Who worked, if not you
    #[arg(long)]
    person: Option<String>,
    /// What kind: on_site, travel, office, fetching
    #[arg(long, value_parser = pairs::labour_kind, default_value = "on_site")]
    kind: LabourKind,
    /// When it began, as 2025-10-14T08:00:00-05:00
    #[arg(long, value_name = "MOMENT", value_parser = moment)]
    start: Option<Moment>,
    /// Remark
    #[arg(long)]
    note: Option<String>,
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
    let labour = Labour {
        person,
        minutes: args.minutes,
        start: args.start.map(|moment| moment.secs),
        kind: args.kind,
        note: args.note.clone(),
    };
    let head = DocId::new(place.site, DocKind::Visit(place.visit));
    save(desk, &place.book, &args.entering, vec![(head, Action::Enter(vec![labour.into()]))])?;
    Ok(())
}
