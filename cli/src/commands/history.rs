//! `history`: every visit of a unit.

use client_core::present::Names as _;
use client_core::present::say::figure;
use client_core::present::words::cause;
use client_core::record::row::ReadingRow;
use client_core::record::value::Measured;
use serde_json::json;

use crate::args::At;
use crate::desk::Desk;
use crate::entries;
use crate::error::Trouble;
use crate::json;
use crate::ui::Tone;

/// Show every visit of a unit, the oldest first, with its last readings found and left
#[derive(Debug, clap::Args)]
pub struct Args {
    /// The unit
    unit: String,
    /// Show this quantity alone
    #[arg(long)]
    quantity: Option<String>,
    #[command(flatten)]
    at: At,
}

pub(crate) fn run(args: &Args, desk: &mut Desk<'_>) -> Result<(), Trouble> {
    let (book, site, appliance, _) = entries::appliance(desk, &args.at, &args.unit)?;
    let only = args.quantity.as_deref().map(crate::pairs::quantity).transpose()?;
    let history = desk.device()?.history(site, appliance)?;
    let wanted = |row: &&ReadingRow| only.is_none_or(|only| only == row.quantity);
    let system = desk.system;
    if desk.ui.manners.json {
        let readings = |rows: &[ReadingRow]| {
            rows.iter()
                .filter(wanted)
                .map(|row| {
                    json!({
                        "quantity": row.quantity.key(),
                        "value": row.value.figure().map(json::figure),
                        "says": row.value.to_string(),
                    })
                })
                .collect::<Vec<_>>()
        };
        let list: Vec<_> = history
            .iter()
            .map(|listed| {
                let row = &listed.row;
                json!({
                    "visit": listed.id.to_string(),
                    "day": json::day(row.day),
                    "outcome": row.outcome.map(client_core::record::code::Outcome::key),
                    "causes": row.causes,
                    "failed_checks": row.failed,
                    "contradictions": row.contradictions,
                    "people": row.persons.iter().map(|person| book.person(*person)).collect::<Vec<_>>(),
                    "found": readings(&row.found),
                    "left": readings(&row.left),
                })
            })
            .collect();
        return desk.ui.json(&json!(list));
    }
    if history.is_empty() {
        return desk.ui.line(&format!("{} has no visit on this device", args.unit));
    }
    for listed in &history {
        let row = &listed.row;
        let day = row.day.map_or_else(|| "no day".to_owned(), |day| day.to_string());
        let outcome = row.outcome.map_or("open", client_core::record::code::Outcome::says);
        let people: Vec<String> = row.persons.iter().map(|person| book.person(*person)).collect();
        let title = format!("{day}  {outcome}  {}", people.join(", "));
        desk.ui.toned(Tone::Head, &title)?;
        if !row.causes.is_empty() && only.is_none() {
            let causes: Vec<String> = row.causes.iter().map(|key| cause(key)).collect();
            desk.ui.line(&format!("  causes: {}", causes.join(", ")))?;
        }
        for (title, rows) in [("found", &row.found), ("left", &row.left)] {
            let shown: Vec<String> = rows
                .iter()
                .filter(wanted)
                .map(|row| {
                    let value = match &row.value {
                        Measured::Figure(own) => figure(*own, system),
                        other => other.to_string(),
                    };
                    format!("{} {value}", row.quantity.says())
                })
                .collect();
            if !shown.is_empty() {
                desk.ui.line(&format!("  {title}: {}", shown.join("; ")))?;
            }
        }
    }
    Ok(())
}
