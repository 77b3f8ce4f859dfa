//! `pictures`: the photos of a unit, and their files.

use std::path::PathBuf;

use client_core::record::body::{Body, Kind};
use client_core::store::pictures::{Has, digits, kind_of};
use serde_json::json;

use crate::args::At;
use crate::book::read_or_empty;
use crate::carry::{pictures, pictures_wrong};
use crate::desk::{Desk, file_wrong};
use crate::entries;
use crate::error::Trouble;
use crate::ui::Tone;

/// List the photos of a unit in a visit, and save the pictures that are here
///
/// A picture that is not here is asked of the hub at the next exchange.
#[derive(Debug, clap::Args)]
pub struct Args {
    /// The unit
    unit: String,
    /// Save the pictures into this folder
    #[arg(long, value_name = "FOLDER")]
    save: Option<PathBuf>,
    /// Ask the hub for those that are not here
    #[arg(long)]
    fetch: bool,
    #[command(flatten)]
    at: At,
}

/// A photo as it is listed.
struct Listed {
    hash: [u8; 32],
    subject: String,
    entry: String,
    person: String,
    at: String,
    here: bool,
}

pub(crate) fn run(args: &Args, desk: &mut Desk<'_>) -> Result<(), Trouble> {
    let (place, _, doc) = entries::sheet(desk, &args.at, &args.unit)?;
    let files = pictures(desk)?;
    let mut listed = vec![];
    let read = read_or_empty(desk.device()?, doc)?;
    for entry in read.shown(Kind::Photo) {
        let Body::Photo(photo) = &entry.body else { continue };
        let Ok(hash) = <[u8; 32]>::try_from(photo.hash.as_slice()) else { continue };
        listed.push(Listed {
            hash,
            subject: photo.subject.clone(),
            entry: entry.id.to_string(),
            person: client_core::present::Names::person(&place.book, entry.person()),
            at: format!("{} {}", entry.stamp.at().day(), entry.stamp.at().clock()),
            here: false,
        });
    }
    for one in &mut listed {
        let has = files.has(&one.hash).map_err(|wrong| pictures_wrong(desk, &wrong))?;
        one.here = matches!(has, Has::Whole(_));
        if !one.here && (args.fetch || args.save.is_some()) {
            desk.device()?.photo_wanted(doc, one.hash, false)?;
        }
    }
    if let Some(folder) = &args.save {
        std::fs::create_dir_all(folder).map_err(|wrong| file_wrong(folder, "made", &wrong))?;
        for one in listed.iter().filter(|one| one.here) {
            let picture = files.read(&one.hash).map_err(|wrong| pictures_wrong(desk, &wrong))?;
            let picture = picture.unwrap_or_default();
            let file = folder.join(format!("{}.{}", digits(&one.hash), kind_of(&picture).1));
            let write = std::fs::write(&file, &picture);
            write.map_err(|wrong| file_wrong(&file, "written", &wrong))?;
        }
    }
    say(args, desk, &listed)
}

fn say(args: &Args, desk: &mut Desk<'_>, listed: &[Listed]) -> Result<(), Trouble> {
    if desk.ui.manners.json {
        let list: Vec<_> = listed
            .iter()
            .map(|one| {
                json!({
                    "entry": one.entry,
                    "blake3": digits(&one.hash),
                    "subject": one.subject,
                    "person": one.person,
                    "at": one.at,
                    "here": one.here,
                })
            })
            .collect();
        return desk.ui.json(&json!(list));
    }
    if listed.is_empty() {
        return desk.ui.line("no photo of this unit in this visit");
    }
    for one in listed {
        let here = if one.here { "here" } else { "not here" };
        let hash: String = digits(&one.hash).chars().take(12).collect();
        let says = format!("{hash}  {}, {}, {}: {here}", one.subject, one.person, one.at);
        desk.ui.line(&says)?;
    }
    let away = listed.iter().filter(|one| !one.here).count();
    if away > 0 {
        let next = match args.fetch || args.save.is_some() {
            true => "they come with the next exchange, if the hub has them",
            false => "ask for them with --fetch, then exchange",
        };
        desk.ui.talk(Tone::Plain, &format!("{away} not here; {next}"));
    }
    Ok(())
}
