//! `where`: where each entry is, on this device or on the hub.

use client_core::device::EntryState;
use client_core::present::Say;
use client_core::present::say::short;
use serde_json::json;

use crate::args::At;
use crate::desk::Desk;
use crate::entries;
use crate::error::Trouble;

/// Show where entries of a visit are: on this device, offered, or on the hub
#[derive(Debug, clap::Args)]
pub struct Args {
    /// An entry; without one every entry that is not on the hub yet
    entry: Option<String>,
    #[command(flatten)]
    at: At,
}

const fn key(state: EntryState) -> &'static str {
    match state {
        EntryState::Here => "on_this_device",
        EntryState::Sealed => "offered",
        EntryState::OnHub => "on_the_hub",
    }
}

const fn says(state: EntryState) -> &'static str {
    match state {
        EntryState::Here => "on this device",
        EntryState::Sealed => "offered, not confirmed",
        EntryState::OnHub => "on the hub",
    }
}

pub(crate) fn run(args: &Args, desk: &mut Desk<'_>) -> Result<(), Trouble> {
    let place = desk.place(&args.at)?;
    let around = entries::around(desk, &place)?;
    let shown = match &args.entry {
        Some(typed) => vec![entries::named(typed, &around)?],
        None => around,
    };
    let mut counts = [0_usize; 3];
    let mut rows = vec![];
    let say = Say { names: &place.book, system: desk.system };
    for placed in &shown {
        let state = desk.device()?.state_of(placed.entry.doc, placed.entry.id)?;
        counts[match state {
            EntryState::Here => 0,
            EntryState::Sealed => 1,
            EntryState::OnHub => 2,
        }] += 1;
        if args.entry.is_some() || state != EntryState::OnHub {
            rows.push((placed, state, say.body(&placed.entry.body)));
        }
    }
    if desk.ui.manners.json {
        let list: Vec<_> = rows
            .iter()
            .map(|(placed, state, words)| {
                json!({
                    "entry": placed.entry.id.to_string(),
                    "doc": placed.doc.to_string(),
                    "state": key(*state),
                    "says": words,
                })
            })
            .collect();
        return desk.ui.json(&json!({
            "on_this_device": counts[0],
            "offered": counts[1],
            "on_the_hub": counts[2],
            "entries": list,
        }));
    }
    let table: Vec<Vec<String>> = rows
        .iter()
        .map(|(placed, state, words)| {
            vec![short(placed.entry.id), says(*state).to_owned(), words.clone()]
        })
        .collect();
    if !table.is_empty() {
        desk.ui.table(&["entry", "where", "what"], &table)?;
    }
    desk.ui.line(&format!(
        "{} on this device, {} offered, {} on the hub",
        counts[0], counts[1], counts[2]
    ))
}
