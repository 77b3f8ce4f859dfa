//! `wish`: what a unit or the next visit wants.

use client_core::record::action::Action;
use client_core::record::body::Member;
use client_core::record::doc_id::{DocId, DocKind};

use crate::args::{At, Entering};
use crate::desk::Desk;
use crate::entries;
use crate::error::Trouble;
use crate::save::save;

/// Note what to bring or to do next time, for a unit or for the site
#[derive(Debug, clap::Args)]
pub struct Args {
    /// In words
    text: String,
    /// The unit
    #[arg(long)]
    unit: Option<String>,
    /// A part to bring, not a thing to do
    #[arg(long)]
    spare: bool,
    #[command(flatten)]
    at: At,
    #[command(flatten)]
    entering: Entering,
}

pub(crate) fn run(args: &Args, desk: &mut Desk<'_>) -> Result<(), Trouble> {
    let (book, doc) = if let Some(unit) = &args.unit {
        let (book, _, _, doc) = entries::appliance(desk, &args.at, unit)?;
        (book, doc)
    } else {
        let book = desk.book()?;
        let site = desk.site(&book, args.at.site.as_deref())?;
        (book, DocId::new(site, DocKind::Site))
    };
    let set = if args.spare { "spare_wish" } else { "visit_wish" }.to_owned();
    let text = Some(args.text.clone());
    let body = Member { set, of: None, text, person: None, replaces: None };
    save(desk, &book, &args.entering, vec![(doc, Action::Enter(vec![body.into()]))])?;
    Ok(())
}
