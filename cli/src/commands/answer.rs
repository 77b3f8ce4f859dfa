//! `answer`: a manufacturer's answer, and the targets that follow from it.

use client_core::record::body::{Answer, Kind};
use client_core::record::code::TargetSource;
use client_core::record::deed;
use client_core::record::value::Day;

use super::target::{HoldsFor, target};
use crate::args::{At, Entering};
use crate::desk::Desk;
use crate::entries;
use crate::error::Trouble;
use crate::pairs;
use crate::save::save;

/// Enter a manufacturer's answer, with targets for the unit asked about and for others like it
#[derive(Debug, clap::Args)]
pub struct Args {
    /// The unit asked about
    unit: String,
    /// The question
    question: String,
    /// The answer as received
    text: String,
    /// How it came: written_answer, phone_call, booklet
    #[arg(long, value_parser = pairs::target_source, default_value = "written_answer")]
    source: TargetSource,
    /// The day on it
    #[arg(long, value_parser = pairs::day)]
    day: Option<Day>,
    /// Who gave it
    #[arg(long)]
    from: Option<String>,
    /// A target that follows: QUANTITY=LEAST..MOST, as in `target`
    #[arg(long, value_name = "QUANTITY=BAND")]
    target: Vec<String>,
    /// Another unit that the targets hold for
    #[arg(long, value_name = "UNIT")]
    also: Vec<String>,
    #[command(flatten)]
    holds: HoldsFor,
    #[command(flatten)]
    at: At,
    #[command(flatten)]
    entering: Entering,
}

pub(crate) fn run(args: &Args, desk: &mut Desk<'_>) -> Result<(), Trouble> {
    let (book, site, appliance, doc) = entries::appliance(desk, &args.at, &args.unit)?;
    let question = entries::named(&args.question, &entries::within(desk.device()?, doc)?)?;
    super::advise::is(&question, Kind::Question, "a question to the manufacturer")?;
    let mut others = vec![];
    for typed in &args.also {
        others.push(book.find_unit(Some(site), typed)?.1);
    }
    let mut targets = vec![];
    for typed in &args.target {
        targets.push(target(typed, &args.holds, args.source, args.day, None)?);
    }
    let answer = Answer {
        question: question.entry.id,
        text: args.text.clone(),
        source: args.source,
        day: args.day,
        from: args.from.clone(),
    };
    let next = desk.device()?.next_entry();
    let deed = deed::answer(site, appliance, &others, answer, &targets, next);
    save(desk, &book, &args.entering, deed)?;
    Ok(())
}
