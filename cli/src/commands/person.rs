//! `person`: people of the directory, their licenses.

use client_core::exchange::frame::PersonRow;
use client_core::exchange::office::{Order, OrderReply};
use client_core::record::action::{Action, Setting};
use client_core::record::doc_id::{DocId, DocKind};
use client_core::record::field::{Field, FieldValue, Of};
use client_core::record::id::PersonId;
use client_core::record::value::Day;
use serde_json::json;

use super::device::order;
use crate::args::Entering;
use crate::desk::Desk;
use crate::error::Trouble;
use crate::pairs;
use crate::save::save;
use crate::ui::Tone;

/// Add people to the directory, note their licenses, erase a name
#[derive(Debug, clap::Args)]
pub struct Args {
    #[command(subcommand)]
    what: What,
}

#[derive(Debug, clap::Subcommand)]
enum What {
    /// Add a person; the hub has them after the next exchange
    Add {
        /// Name
        name: String,
        /// Contact, in words
        #[arg(long)]
        contact: Option<String>,
        /// License number and issuer, in words
        #[arg(long)]
        licence: Option<String>,
    },
    /// Change a person's name, contact or license in the directory
    Change {
        /// The person
        person: String,
        /// Name
        #[arg(long)]
        name: Option<String>,
        /// Contact, in words
        #[arg(long)]
        contact: Option<String>,
        /// License number and issuer, in words
        #[arg(long)]
        licence: Option<String>,
    },
    /// Note a person's license and when it expires: work after that day is marked
    Licence {
        /// The person
        person: String,
        /// What kind
        kind: String,
        /// When it expires, as 2026-06-30
        #[arg(long, value_parser = pairs::day)]
        expires: Option<Day>,
        #[command(flatten)]
        entering: Entering,
    },
    /// Erase a person's name and contact from the directory of the hub
    Erase {
        /// The person
        person: String,
    },
}

pub(crate) fn run(args: &Args, desk: &mut Desk<'_>) -> Result<(), Trouble> {
    match &args.what {
        What::Add { name, contact, licence } => {
            if name.trim().is_empty() {
                return Err(Trouble::Usage("a person needs a name".to_owned()));
            }
            let person = PersonId(desk.device()?.new_id());
            let row = PersonRow {
                person,
                name: Some(name.trim().to_owned()),
                contact: contact.clone(),
                licence: licence.clone(),
            };
            put(desk, &row)
        }
        What::Change { person, name, contact, licence } => {
            let book = desk.book()?;
            let person = book.find_person(person)?;
            let known = book.people.into_iter().find(|row| row.person == person);
            let known = known.unwrap_or(PersonRow { person, name: None, contact: None, licence: None });
            let row = PersonRow {
                person,
                name: name.clone().or(known.name),
                contact: contact.clone().or(known.contact),
                licence: licence.clone().or(known.licence),
            };
            put(desk, &row)
        }
        What::Licence { person, kind, expires, entering } => {
            let book = desk.book()?;
            let person = book.find_person(person)?;
            let of = Of::Person(person);
            let setting = |key: &str, value| Setting {
                field: Field::named(key).about(of),
                value,
                reason: entering.because.clone(),
            };
            let mut settings =
                vec![setting("person/{}/licence_kind", FieldValue::Text(kind.clone()))];
            settings.extend(
                expires.map(|day| setting("person/{}/licence_expires", FieldValue::Day(day))),
            );
            let company = desk.device()?.identity().company();
            let doc = DocId::new(company, DocKind::Company);
            save(desk, &book, entering, vec![(doc, Action::Set(settings))])?;
            Ok(())
        }
        What::Erase { person } => {
            let book = desk.book()?;
            let person = book.find_person(person)?;
            match order(desk, &Order::Erase { person })? {
                OrderReply::Done => {
                    desk.ui.talk(Tone::Dim, "erased on the hub; devices follow as they exchange");
                    Ok(())
                }
                other => Err(super::device::unexpected(&other)),
            }
        }
    }
}

fn put(desk: &mut Desk<'_>, row: &PersonRow) -> Result<(), Trouble> {
    desk.device()?.add_person(row)?;
    if desk.ui.manners.json {
        return desk.ui.json(&json!({ "person": row.person.to_string(), "name": row.name }));
    }
    let name = row.name.clone().unwrap_or_default();
    desk.ui.line(&format!("{}  {name}", row.person))?;
    desk.ui.talk(Tone::Dim, "saved on this device; the hub has it after the next exchange");
    Ok(())
}
