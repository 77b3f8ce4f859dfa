//! `show`: one visit, one unit, one sheet or one site.

mod site;
mod sheet;
mod unit;
mod visit;

use client_core::device::Device;
use client_core::present::Say;
use client_core::present::say::short;
use client_core::record::field::Field;
use client_core::record::merged::Merged;
use client_core::record::read::{Entry, Problem};
use serde_json::{Value, json};

use crate::args::At;
use crate::desk::Desk;
use crate::error::Trouble;
use crate::ui::Tone;

/// Show a visit, a unit, a unit's sheet of a visit, or a site
#[derive(Debug, clap::Args)]
pub struct Args {
    #[command(subcommand)]
    what: What,
}

#[derive(Debug, clap::Subcommand)]
enum What {
    /// Show a visit with its units
    Visit {
        /// The visit [default: that of `here`, or the only open one]
        visit: Option<String>,
        /// The site
        #[arg(long)]
        site: Option<String>,
    },
    /// Show a unit: plate, status, targets, advisories, locks, questions
    Unit {
        /// The unit
        unit: String,
        #[command(flatten)]
        at: At,
    },
    /// Show a unit's sheet of a visit: readings with what they come to, checks, findings, work, parts
    Sheet {
        /// The unit
        unit: String,
        #[command(flatten)]
        at: At,
    },
    /// Show a site
    Site {
        /// The site
        site: Option<String>,
    },
}

pub(crate) fn run(args: &Args, desk: &mut Desk<'_>) -> Result<(), Trouble> {
    match &args.what {
        What::Visit { visit, site } => {
            visit::show(desk, &At { site: site.clone(), visit: visit.clone() })
        }
        What::Unit { unit, at } => unit::show(desk, at, unit),
        What::Sheet { unit, at } => sheet::show(desk, at, unit),
        What::Site { site } => site::show(desk, site.as_deref()),
    }
}

/// A register with all its answers as JSON.
fn field_json(say: &Say<'_>, field: &Field, merged: &Merged) -> Value {
    let sides: Vec<_> = merged
        .sides()
        .iter()
        .map(|side| {
            json!({
                "entry": side.id.to_string(),
                "value": field.key_of(&side.value),
                "says": say.value(field, &side.value),
                "person": say.names.person(side.stamp.person()),
                "at": side.stamp.at().to_string(),
                "reason": side.reason,
            })
        })
        .collect();
    json!({
        "key": field.key(),
        "says": field.def.says,
        "contested": merged.contested(),
        "value": merged.governs().map(|said| field.key_of(&said.value)),
        "shown": merged.governs().map(|said| say.value(field, &said.value)),
        "sides": sides,
    })
}

/// A register in words: the value, or every answer where there is more than one.
fn field_words(say: &Say<'_>, field: &Field, merged: &Merged) -> String {
    if !merged.contested() {
        return merged.governs().map_or_else(String::new, |said| say.value(field, &said.value));
    }
    let sides: Vec<String> = merged
        .sides()
        .iter()
        .map(|side| {
            format!("{} by {}", say.value(field, &side.value), say.names.person(side.stamp.person()))
        })
        .collect();
    let governs = match merged.governs() {
        Some(said) => format!("{} is shown", say.value(field, &said.value)),
        None => "none governs".to_owned(),
    };
    format!("NOT SETTLED: {}; {governs}", sides.join(", "))
}

/// An entry as JSON.
fn entry_json(say: &Say<'_>, entry: &Entry, marks: &[String], state: &'static str) -> Value {
    json!({
        "entry": entry.id.to_string(),
        "kind": entry.body.kind().root(),
        "says": say.body(&entry.body),
        "person": say.names.person(entry.person()),
        "at": entry.stamp.at().to_string(),
        "counts": entry.counts(),
        "voided_by": entry.voided_by.map(|id| id.to_string()),
        "corrected_by": entry.corrected_by.map(|id| id.to_string()),
        "marks": marks,
        "where": state,
    })
}

/// Where an entry is, in one word.
fn state(device: &Device, entry: &Entry) -> Result<&'static str, Trouble> {
    use client_core::device::EntryState;
    Ok(match device.state_of(entry.doc, entry.id)? {
        EntryState::Here => "on_this_device",
        EntryState::Sealed => "offered",
        EntryState::OnHub => "on_the_hub",
    })
}

/// An entry in one line, with who and when.
fn entry_line(say: &Say<'_>, entry: &Entry, marks: &[String]) -> String {
    let at = entry.stamp.at();
    let gone = match (entry.voided_by, entry.corrected_by) {
        (Some(_), _) => " WITHDRAWN",
        (None, Some(_)) => " CORRECTED",
        (None, None) => "",
    };
    let marks = if marks.is_empty() { String::new() } else { format!(" [{}]", marks.join("; ")) };
    format!(
        "  {}  {}{gone}, {} {}{marks}",
        short(entry.id),
        say.body(&entry.body),
        say.names.person(entry.person()),
        at.clock()
    )
}

/// Says which parts of a document could not be read.
fn problems(desk: &mut Desk<'_>, problems: &[Problem]) {
    for problem in problems {
        desk.ui.talk(Tone::Look, &problem.to_string());
    }
}
