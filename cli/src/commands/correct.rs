//! `correct`: a new reading or answer in the place of a wrong one; both stay.

use client_core::record::action::Action;
use client_core::record::body::{Body, Check, Reading};

use crate::args::{At, Entering};
use crate::desk::Desk;
use crate::entries;
use crate::error::Trouble;
use crate::pairs;
use crate::save::save;

/// Correct a reading or a check: the new one counts, the old one stays readable
#[derive(Debug, clap::Args)]
pub struct Args {
    /// The entry
    entry: String,
    /// The right value, or the right answer of a check
    value: String,
    #[command(flatten)]
    at: At,
    #[command(flatten)]
    entering: Entering,
}

pub(crate) fn run(args: &Args, desk: &mut Desk<'_>) -> Result<(), Trouble> {
    let place = desk.place(&args.at)?;
    let found = entries::named(&args.entry, &entries::around(desk, &place)?)?;
    let because = args.entering.because.clone();
    let body: Body = match &found.entry.body {
        Body::Reading(old) => {
            let why = because.filter(|why| !why.trim().is_empty()).ok_or_else(|| {
                let what = format!("correcting {}", old.quantity.says());
                client_core::record::refused::Refused::NeedsReason { what }
            })?;
            let reading = Reading {
                value: pairs::measured(old.quantity, &args.value)?,
                corrects: Some(found.entry.id),
                why_corrected: Some(why),
                why_unusual: None,
                ..old.clone()
            };
            reading.into()
        }
        Body::Check(old) => {
            let usage = |words: String| Trouble::Usage(format!("'{}': {words}", args.value));
            let result = pairs::check_result(&args.value).map_err(usage)?;
            let corrects = Some(found.entry.id);
            Check { item: old.item, result, note: because, corrects }.into()
        }
        other => {
            let what = other.kind().root().replace('_', " ");
            let words = format!(
                "{what} are not corrected: withdraw the entry with a reason and enter it again"
            );
            return Err(Trouble::State(words));
        }
    };
    // The reason of the correction is not one for an unusual value: that is asked about by itself.
    let entering = Entering { because: None, ..args.entering.clone() };
    save(desk, &place.book, &entering, vec![(found.doc, Action::Enter(vec![body]))])?;
    Ok(())
}
