//! `ask`: a question to a manufacturer.

use client_core::record::action::Action;
use client_core::record::body::Question;

use crate::args::{At, Entering};
use crate::desk::Desk;
use crate::entries;
use crate::error::Trouble;
use crate::pairs;
use crate::save::save;

/// Enter a question to the manufacturer
#[derive(Debug, clap::Args)]
pub struct Args {
    /// The unit
    unit: String,
    /// What is asked
    question: String,
    /// To whom
    #[arg(long)]
    to: Option<String>,
    /// Quantities for which an answer becomes a target
    #[arg(long, value_delimiter = ',', value_name = "QUANTITY")]
    about: Vec<String>,
    #[command(flatten)]
    at: At,
    #[command(flatten)]
    entering: Entering,
}

pub(crate) fn run(args: &Args, desk: &mut Desk<'_>) -> Result<(), Trouble> {
    let (book, _, _, doc) = entries::appliance(desk, &args.at, &args.unit)?;
    let visit = entries::visit_if_any(desk, &args.at)?;
    let about: Vec<_> =
        args.about.iter().map(|typed| pairs::quantity(typed)).collect::<Result<_, _>>()?;
    let question = Question {
        asked: args.question.clone(),
        to: args.to.clone(),
        visit,
        about: (!about.is_empty()).then_some(about),
    };
    save(desk, &book, &args.entering, vec![(doc, Action::Ask(question))])?;
    Ok(())
}
