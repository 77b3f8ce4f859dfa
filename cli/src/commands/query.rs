//! `query`: a question of the reviewer to the field.

use client_core::record::action::Action;
use client_core::record::body::Query;
use client_core::record::doc_id::{DocId, DocKind};

use crate::args::{At, Entering};
use crate::desk::Desk;
use crate::entries;
use crate::error::Trouble;
use crate::save::save;

/// Ask the field a question about a visit
#[derive(Debug, clap::Args)]
pub struct Args {
    /// The question
    text: String,
    /// The unit that it is about
    #[arg(long)]
    unit: Option<String>,
    /// The entry that it is about
    #[arg(long, value_name = "ENTRY")]
    about: Option<String>,
    /// To whom
    #[arg(long, value_name = "PERSON")]
    to: Option<String>,
    #[command(flatten)]
    at: At,
    #[command(flatten)]
    entering: Entering,
}

pub(crate) fn run(args: &Args, desk: &mut Desk<'_>) -> Result<(), Trouble> {
    let place = desk.place(&args.at)?;
    let appliance = match &args.unit {
        Some(typed) => Some(place.book.find_unit(Some(place.site), typed)?.1),
        None => None,
    };
    let about = match &args.about {
        Some(typed) => Some(entries::named(typed, &entries::around(desk, &place)?)?.entry.id),
        None => None,
    };
    let to = match &args.to {
        Some(typed) => Some(place.book.find_person(typed)?),
        None => None,
    };
    if args.text.trim().is_empty() {
        return Err(client_core::record::refused::Refused::Nothing.into());
    }
    let body = Query { text: args.text.clone(), appliance, about, to };
    let head = DocId::new(place.site, DocKind::Visit(place.visit));
    save(desk, &place.book, &args.entering, vec![(head, Action::Enter(vec![body.into()]))])?;
    Ok(())
}
