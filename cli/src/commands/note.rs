//! `note`: texts that others may edit.

use client_core::record::action::Action;
use client_core::record::body::TextRead;
use client_core::record::doc_id::{DocId, DocKind};

use crate::args::{At, Entering};
use crate::desk::Desk;
use crate::entries;
use crate::error::Trouble;
use crate::save::save;

/// Write a text that others may edit, edit one, or say that a merged one reads well
#[derive(Debug, clap::Args)]
pub struct Args {
    #[command(subcommand)]
    what: What,
}

#[derive(Debug, clap::Subcommand)]
enum What {
    /// Write a text: on the visit, or on a unit or the site where named
    Write {
        /// What it is about: job, customer, access, hazards, escort, ...
        subject: String,
        /// The text
        text: String,
        /// On this unit's sheet
        #[arg(long)]
        unit: Option<String>,
        /// On the site: access, hazards, escort
        #[arg(long, conflicts_with = "unit")]
        of_site: bool,
        /// The entry that it is about
        #[arg(long, value_name = "ENTRY")]
        about: Option<String>,
        #[command(flatten)]
        at: At,
        #[command(flatten)]
        entering: Entering,
    },
    /// Edit a text: give the whole new text, only the difference is stored
    Edit {
        /// The note
        note: String,
        /// The text as it shall read
        text: String,
        #[command(flatten)]
        at: At,
        #[command(flatten)]
        entering: Entering,
    },
    /// Say that a text which two people edited was read and reads well
    Seen {
        /// The note
        note: String,
        #[command(flatten)]
        at: At,
        #[command(flatten)]
        entering: Entering,
    },
}

pub(crate) fn run(args: &Args, desk: &mut Desk<'_>) -> Result<(), Trouble> {
    match &args.what {
        What::Write { subject, text, unit, of_site, about, at, entering } => {
            if *of_site {
                let book = desk.book()?;
                let site = desk.site(&book, at.site.as_deref())?;
                let doc = DocId::new(site, DocKind::Site);
                let write =
                    Action::Write { subject: subject.clone(), about: None, text: text.clone() };
                save(desk, &book, entering, vec![(doc, write)])?;
                return Ok(());
            }
            let place = desk.place(at)?;
            let doc = match unit {
                Some(unit) => {
                    let (_, appliance) = place.book.find_unit(Some(place.site), unit)?;
                    DocKind::Sheet(place.visit, appliance)
                }
                None => DocKind::Visit(place.visit),
            };
            let about = match about {
                Some(typed) => {
                    Some(entries::named(typed, &entries::around(desk, &place)?)?.entry.id)
                }
                None => None,
            };
            let write = Action::Write { subject: subject.clone(), about, text: text.clone() };
            save(desk, &place.book, entering, vec![(DocId::new(place.site, doc), write)])?;
        }
        What::Edit { note, text, at, entering } => {
            let place = desk.place(at)?;
            let found = entries::named(note, &entries::around(desk, &place)?)?;
            let edit = Action::Edit { note: found.entry.id, text: text.clone() };
            save(desk, &place.book, entering, vec![(found.doc, edit)])?;
        }
        What::Seen { note, at, entering } => {
            let place = desk.place(at)?;
            let found = entries::named(note, &entries::around(desk, &place)?)?;
            let read = TextRead { note: found.entry.id, reason: entering.because.clone() };
            let enter = Action::Enter(vec![read.into()]);
            save(desk, &place.book, entering, vec![(found.doc, enter)])?;
        }
    }
    Ok(())
}
