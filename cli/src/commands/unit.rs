//! `unit`: the units of a site.

mod import;

use client_core::record::action::Action;
use client_core::record::body::{Body, Kind, Roster};
use client_core::record::deed;
use client_core::record::doc_id::{DocId, DocKind};
use client_core::record::field::{Field, FieldValue};
use client_core::record::id::{ApplianceId, EntryId};

use crate::args::Entering;
use crate::book::{Book, read_or_empty};
use crate::desk::Desk;
use crate::error::Trouble;
use crate::pairs;
use crate::save::save;
use crate::ui::Tone;

/// Add units, import them from a file, take one off or merge one that was made twice
#[derive(Debug, clap::Args)]
pub struct Args {
    #[command(subcommand)]
    what: What,
}

#[derive(Debug, clap::Subcommand)]
enum What {
    /// Add a unit
    Add {
        /// Unit no. on the column
        unit_no: String,
        /// What is known of it: family=isp, plate/input=175, maker='...'
        #[arg(value_name = "KEY=VALUE")]
        values: Vec<String>,
        /// The area
        #[arg(long)]
        area: Option<String>,
        /// The position, by the label on the column
        #[arg(long)]
        position: Option<String>,
        /// The site
        #[arg(long)]
        site: Option<String>,
        #[command(flatten)]
        entering: Entering,
    },
    /// Import units from a CSV file with a column `unit_no`
    ///
    /// Other columns are named like values of a unit (plate/input or plate_input, family, maker), `area`
    /// and `position` name an area and a position of the site. Nothing is imported unless every row is
    /// good, or --partial is given.
    Import(import::Import),
    /// Take a unit off the roster that has no evidence
    Remove {
        /// The unit
        unit: String,
        /// The site
        #[arg(long)]
        site: Option<String>,
        #[command(flatten)]
        entering: Entering,
    },
    /// Put a unit back on the roster
    Restore {
        /// The unit
        unit: String,
        /// The site
        #[arg(long)]
        site: Option<String>,
        #[command(flatten)]
        entering: Entering,
    },
    /// Mark a unit that was made twice as merged into the right one
    Merge {
        /// The unit that was made by mistake
        unit: String,
        /// The right one
        #[arg(long)]
        into: String,
        /// The site
        #[arg(long)]
        site: Option<String>,
        #[command(flatten)]
        entering: Entering,
    },
}

pub(crate) fn run(args: &Args, desk: &mut Desk<'_>) -> Result<(), Trouble> {
    match &args.what {
        What::Add { unit_no, values, area, position, site, entering } => {
            let book = desk.book()?;
            let site = desk.site(&book, site.as_deref())?;
            if unit_no.trim().is_empty() {
                return Err(Trouble::Usage("a unit needs a number".to_owned()));
            }
            let numbers = book.units.values().filter(|(of, _)| *of == site);
            if numbers.clone().any(|(_, row)| row.unit_no == unit_no.trim()) {
                desk.ui.talk(Tone::Look, &format!("there is a unit {unit_no} already: two units now"));
            }
            let places = Places::of(desk, &book, site)?;
            let appliance = ApplianceId(desk.device()?.new_id());
            let mut settings = vec![];
            let reason = entering.because.as_deref();
            for typed in values {
                let kind = DocKind::Appliance(appliance);
                settings.push(pairs::setting(&book, kind, typed, None, reason)?);
            }
            if let Some(area) = area {
                let value = FieldValue::Entry(places.area(area)?);
                settings.push(deed::setting("unit/area", value));
            }
            if let Some(position) = position {
                let value = FieldValue::Entry(places.position(position)?);
                settings.push(deed::setting("unit/position", value));
            }
            let new = deed::new_appliance(site, appliance, unit_no.trim(), settings);
            save(desk, &book, entering, new)?;
            desk.ui.talk(Tone::Dim, &format!("unit {appliance}"));
            Ok(())
        }
        What::Import(import) => import.run(desk),
        What::Remove { unit, site, entering } => remove(desk, unit, site.as_deref(), entering),
        What::Restore { unit, site, entering } => restore(desk, unit, site.as_deref(), entering),
        What::Merge { unit, into, site, entering } => {
            let book = desk.book()?;
            let site = desk.site(&book, site.as_deref())?;
            let (_, from) = book.find_unit(Some(site), unit)?;
            let (_, to) = book.find_unit(Some(site), into)?;
            if from == to {
                return Err(Trouble::Usage("a unit is not merged into itself".to_owned()));
            }
            let reason = needed(entering, "merging a unit into another")?;
            save(desk, &book, entering, deed::merge_units(site, from, to, &reason))?;
            Ok(())
        }
    }
}

fn needed(entering: &Entering, what: &str) -> Result<String, Trouble> {
    let reason = entering.because.clone().unwrap_or_default();
    if reason.trim().is_empty() {
        let what = what.to_owned();
        return Err(client_core::record::refused::Refused::NeedsReason { what }.into());
    }
    Ok(reason)
}

fn remove(
    desk: &mut Desk<'_>,
    unit: &str,
    site: Option<&str>,
    entering: &Entering,
) -> Result<(), Trouble> {
    let book = desk.book()?;
    let site = desk.site(&book, site)?;
    let (_, appliance) = book.find_unit(Some(site), unit)?;
    let reason = needed(entering, "taking a unit off the roster")?;
    let stamp = desk.stamp(&book, entering)?;
    desk.device()?.remove_unit(site, appliance, &reason, &stamp)?;
    desk.ui.talk(Tone::Dim, &format!("{unit} is off the roster; it can be put back"));
    if desk.ui.manners.json {
        desk.ui.json(&serde_json::json!({ "removed": appliance.to_string() }))?;
    }
    Ok(())
}

fn restore(
    desk: &mut Desk<'_>,
    unit: &str,
    site: Option<&str>,
    entering: &Entering,
) -> Result<(), Trouble> {
    let book = desk.book()?;
    let site = desk.site(&book, site)?;
    let doc = DocId::new(site, DocKind::Site);
    let (_, appliance) = book.find_unit(Some(site), unit)?;
    let read = read_or_empty(desk.device()?, doc)?;
    let of = |body: &Body| match body {
        Body::Roster(roster) if roster.appliance == appliance => Some(roster.unit_no.clone()),
        _ => None,
    };
    if read.counted(Kind::Roster).any(|entry| of(&entry.body).is_some()) {
        return Err(Trouble::State(format!("{unit} is on the roster")));
    }
    let unit_no = read.shown(Kind::Roster).find_map(|entry| of(&entry.body));
    let unit_no = unit_no.unwrap_or_else(|| unit.to_owned());
    let back = Action::Enter(vec![Roster { appliance, unit_no }.into()]);
    save(desk, &book, entering, vec![(doc, back)])?;
    Ok(())
}

/// Areas and positions of a site by their labels.
pub(super) struct Places {
    row: client_core::record::row::SiteRow,
    positions: Vec<crate::find::Candidate<EntryId>>,
}

impl Places {
    pub(super) fn of(
        desk: &mut Desk<'_>,
        book: &Book,
        site: client_core::record::id::SiteId,
    ) -> Result<Places, Trouble> {
        let row = book.sites.iter().find(|(id, _)| *id == site).map(|(_, row)| row.clone());
        let read = read_or_empty(desk.device()?, DocId::new(site, DocKind::Site))?;
        let positions = read
            .counted(Kind::Position)
            .filter_map(|entry| match &entry.body {
                Body::Position(position) => Some(crate::find::Candidate {
                    id: entry.id,
                    whole: entry.id.to_string(),
                    names: vec![position.label.clone()],
                    shown: position.label.clone(),
                }),
                _ => None,
            })
            .collect();
        Ok(Places { row: row.unwrap_or_default(), positions })
    }

    pub(super) fn area(&self, typed: &str) -> Result<EntryId, Trouble> {
        super::area::find(&self.row, typed)
    }

    pub(super) fn position(&self, typed: &str) -> Result<EntryId, Trouble> {
        Ok(crate::find::pick("position", typed, &self.positions)?)
    }
}

/// The register of an appliance that a column names.
fn column_field(name: &str) -> Option<Field> {
    let kind = DocKind::Appliance(ApplianceId([0; 8]));
    let slash = name.replacen('_', "/", 1);
    pairs::field(kind, name, None).or_else(|_| pairs::field(kind, &slash, None)).ok()
}
