//! `reply`: the field's reply to a reviewer's question.

use client_core::record::action::Action;
use client_core::record::body::{Kind, Reply};

use crate::args::{At, Entering};
use crate::desk::Desk;
use crate::entries;
use crate::error::Trouble;
use crate::save::save;

/// Reply to a question of the reviewer
#[derive(Debug, clap::Args)]
pub struct Args {
    /// The question
    query: String,
    /// The reply
    text: String,
    #[command(flatten)]
    at: At,
    #[command(flatten)]
    entering: Entering,
}

pub(crate) fn run(args: &Args, desk: &mut Desk<'_>) -> Result<(), Trouble> {
    let place = desk.place(&args.at)?;
    let found = entries::named(&args.query, &entries::around(desk, &place)?)?;
    super::advise::is(&found, Kind::Query, "a question of the reviewer")?;
    let body = Reply { query: found.entry.id, text: args.text.clone() };
    save(desk, &place.book, &args.entering, vec![(found.doc, Action::Enter(vec![body.into()]))])?;
    Ok(())
}
