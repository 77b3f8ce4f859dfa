//! `area`: parts of a building.

use client_core::record::action::{Action, Setting};
use client_core::record::body::{Area, Body, Member};
use client_core::record::doc_id::{DocId, DocKind};
use client_core::record::field::{Field, FieldValue, Of};
use client_core::record::row::SiteRow;

use crate::args::Entering;
use crate::desk::Desk;
use crate::error::Trouble;
use crate::find::{Candidate, pick};
use crate::save::save;

/// Words for what the air of an area may carry.
const CONTAMINANTS: &[&str] = &[
    "salt", "flour", "soap", "solvent", "silicone", "dust", "paint", "moisture", "battery_gas",
    "none_seen",
];

/// Add a part of the building, with what its air carries
#[derive(Debug, clap::Args)]
pub struct Args {
    /// Short label: A3
    label: String,
    /// Its name
    #[arg(long)]
    name: Option<String>,
    /// What it is used for
    #[arg(long = "use")]
    used_for: Option<String>,
    /// What its air carries: salt, flour, soap, solvent, silicone, dust, paint, moisture, battery_gas,
    /// none_seen; on an area that is there it is added
    #[arg(long, value_delimiter = ',', value_name = "WORD")]
    contaminant: Vec<String>,
    /// The site
    #[arg(long)]
    site: Option<String>,
    #[command(flatten)]
    entering: Entering,
}

/// The area that was named.
pub(super) fn find(
    row: &SiteRow,
    typed: &str,
) -> Result<client_core::record::id::EntryId, Trouble> {
    let candidates: Vec<Candidate<_>> = row
        .areas
        .iter()
        .map(|area| Candidate {
            id: area.id,
            whole: area.id.to_string(),
            names: std::iter::once(area.label.clone()).chain(area.name.clone()).collect(),
            shown: area.label.clone(),
        })
        .collect();
    Ok(pick("area", typed, &candidates)?)
}

pub(crate) fn run(args: &Args, desk: &mut Desk<'_>) -> Result<(), Trouble> {
    let book = desk.book()?;
    let site = desk.site(&book, args.site.as_deref())?;
    let row = book.sites.iter().find(|(id, _)| *id == site).map(|(_, row)| row);
    let label = args.label.trim();
    let known = row.and_then(|row| row.areas.iter().find(|area| area.label == label));
    let doc = DocId::new(site, DocKind::Site);
    let mut deed = vec![];
    let area = if let Some(area) = known { area.id } else {
        let next = desk.device()?.next_entry();
        let body = Area { label: label.to_owned() };
        deed.push((doc, Action::Enter(vec![body.into()])));
        next
    };
    let mut settings = vec![];
    for (key, value) in [("area/{}/name", &args.name), ("area/{}/use", &args.used_for)] {
        settings.extend(value.as_ref().map(|text| Setting {
            field: Field::named(key).about(Of::Entry(area)),
            value: FieldValue::Text(text.clone()),
            reason: args.entering.because.clone(),
        }));
    }
    if !settings.is_empty() {
        deed.push((doc, Action::Set(settings)));
    }
    let mut members: Vec<Body> = vec![];
    for word in &args.contaminant {
        let word = word.trim().to_lowercase().replace(['-', ' '], "_");
        if !CONTAMINANTS.contains(&word.as_str()) {
            let words = format!("'{word}' is not one of {}", CONTAMINANTS.join(", "));
            return Err(Trouble::Usage(words));
        }
        let set = "contaminant".to_owned();
        let text = Some(word);
        members.push(Member { set, of: Some(area), text, person: None, replaces: None }.into());
    }
    if !members.is_empty() {
        deed.push((doc, Action::Enter(members)));
    }
    if deed.is_empty() {
        return Err(Trouble::State(format!("area '{label}' is there already")));
    }
    save(desk, &book, &args.entering, deed)?;
    Ok(())
}
