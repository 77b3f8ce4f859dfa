//! `told`: somebody was told of an advisory or a shut-down, and answered.

use client_core::record::action::Action;
use client_core::record::body::{Ack, Kind};
use client_core::record::code::{Channel, Decision};
use client_core::record::value::Day;

use crate::args::{At, Entering};
use crate::desk::Desk;
use crate::entries;
use crate::error::Trouble;
use crate::pairs;
use crate::save::save;

/// Enter that somebody was told of an advisory or a shut-down, and what they answered
#[derive(Debug, clap::Args)]
pub struct Args {
    /// The unit
    unit: String,
    /// The advisory or the shut-down record
    entry: String,
    /// Who was told
    who: String,
    /// How: in_person, in_writing, in_person_and_writing, by_phone, on_report, in_person_and_report
    #[arg(long, value_parser = pairs::channel, default_value = "in_person")]
    how: Channel,
    /// They would not acknowledge it
    #[arg(long)]
    refused: bool,
    /// What was decided: open, accepted, declined, deferred
    #[arg(long, value_parser = pairs::decision)]
    decision: Option<Decision>,
    /// Who decided
    #[arg(long, value_name = "WHO")]
    decided_by: Option<String>,
    /// Until when a decision was deferred
    #[arg(long, value_parser = pairs::day, value_name = "DAY")]
    until: Option<Day>,
    /// In words
    #[arg(long)]
    text: Option<String>,
    #[command(flatten)]
    at: At,
    #[command(flatten)]
    entering: Entering,
}

pub(crate) fn run(args: &Args, desk: &mut Desk<'_>) -> Result<(), Trouble> {
    let (book, _, _, doc) = entries::appliance(desk, &args.at, &args.unit)?;
    let found = entries::named(&args.entry, &entries::within(desk.device()?, doc)?)?;
    if !matches!(found.entry.body.kind(), Kind::Advisory | Kind::Tag) {
        let words = format!("{} is neither an advisory nor a shut-down record", args.entry);
        return Err(Trouble::Usage(words));
    }
    let ack = Ack {
        told_person: book.find_person(&args.who).ok(),
        decided_person: args.decided_by.as_deref().and_then(|name| book.find_person(name).ok()),
        of: found.entry.id,
        told: args.who.clone(),
        how: args.how,
        acknowledged: !args.refused,
        decision: args.decision,
        decided_by: args.decided_by.clone(),
        deferred_to: args.until,
        text: args.text.clone(),
        drawn: None,
    };
    save(desk, &book, &args.entering, vec![(doc, Action::Enter(vec![ack.into()]))])?;
    Ok(())
}
