//! `symptom`: enter a complaint or symptom.

use client_core::fault::table::Table;
use client_core::record::action::Action;
use client_core::record::body::Symptom;

use crate::args::{At, Entering};
use crate::desk::Desk;
use crate::entries;
use crate::error::Trouble;
use crate::save::save;

/// Enter a complaint or symptom; two symptoms are two symptoms
#[derive(Debug, clap::Args)]
pub struct Args {
    /// The unit
    unit: String,
    /// Key of the symptom, or `other` with words; `dripleg words symptoms` lists them
    symptom: String,
    /// In words
    text: Option<String>,
    #[command(flatten)]
    at: At,
    #[command(flatten)]
    entering: Entering,
}

pub(crate) fn run(args: &Args, desk: &mut Desk<'_>) -> Result<(), Trouble> {
    let (place, _, doc) = entries::sheet(desk, &args.at, &args.unit)?;
    let key = args.symptom.trim().to_lowercase().replace('-', "_");
    if key == "other" && args.text.as_deref().is_none_or(|text| text.trim().is_empty()) {
        return Err(Trouble::Usage("symptom 'other' needs words".to_owned()));
    }
    if key != "other" && Table::standard().symptom(&key).is_none() {
        let table = Table::standard();
        let all: Vec<&str> = table.symptom_ids().map(|symptom| table[symptom].key).collect();
        let words = format!("'{key}' is not a symptom; use one of {}, other", all.join(", "));
        return Err(Trouble::Usage(words));
    }
    let body = Symptom { symptom: key, text: args.text.clone() };
    save(desk, &place.book, &args.entering, vec![(doc, Action::Enter(vec![body.into()]))])?;
    Ok(())
}
