//! `event`: something that happened to a unit, often by other hands.

use client_core::record::action::Action;
use client_core::record::body::Event;
use client_core::record::value::Day;

use crate::args::{At, Entering};
use crate::desk::Desk;
use crate::entries;
use crate::error::Trouble;
use crate::save::save;

/// Enter something that happened to a unit, often by other hands
#[derive(Debug, clap::Args)]
pub struct Args {
    /// The unit
    unit: String,
    /// What kind: installed, retired, changed, shut_down, ...
    kind: String,
    /// In words
    text: String,
    /// The day, as 2025-03-14, or the month alone, as 2025-03
    #[arg(long)]
    day: Option<String>,
    /// By whom
    #[arg(long)]
    by: Option<String>,
    /// The unit that it continues, for one that was moved or replaced
    #[arg(long, value_name = "UNIT")]
    continues: Option<String>,
    #[command(flatten)]
    at: At,
    #[command(flatten)]
    entering: Entering,
}

pub(crate) fn run(args: &Args, desk: &mut Desk<'_>) -> Result<(), Trouble> {
    let (book, site, _, doc) = entries::appliance(desk, &args.at, &args.unit)?;
    let month = args.day.as_deref().is_some_and(|day| day.len() == 7);
    let day = match args.day.as_deref() {
        Some(day) if month => Some(Day::parse(&format!("{day}-01"))?),
        Some(day) => Some(Day::parse(day)?),
        None => None,
    };
    let continues = match &args.continues {
        Some(typed) => Some(book.find_unit(Some(site), typed)?.1),
        None => None,
    };
    let event = Event {
        kind: args.kind.trim().to_lowercase().replace([' ', '-'], "_"),
        text: args.text.clone(),
        day,
        month_only: month.then_some(true),
        by_whom: args.by.clone(),
        continues,
    };
    save(desk, &book, &args.entering, vec![(doc, Action::Enter(vec![event.into()]))])?;
    Ok(())
}
