//! `finding`: enter an observed condition with its cause.

use client_core::fault::table::Table;
use client_core::record::action::{Action, Setting};
use client_core::record::body::Finding;
use client_core::record::code::{Confidence, Phase, Root};
use client_core::record::field::{Field, FieldValue, Of};

use crate::args::{At, Entering};
use crate::desk::Desk;
use crate::entries;
use crate::error::Trouble;
use crate::pairs;
use crate::save::save;

/// Enter what was found wrong, with its cause
#[derive(Debug, clap::Args)]
pub struct Args {
    /// The unit
    unit: String,
    /// Key of the cause, or `other` with words; `dripleg words causes` lists them
    cause: String,
    /// What was seen, in words
    text: Option<String>,
    /// Found or left
    #[arg(long, value_parser = pairs::phase, default_value = "as_found")]
    phase: Phase,
    /// How sure: suspected, likely, proved
    #[arg(long, value_parser = pairs::confidence)]
    sure: Option<Confidence>,
    /// The symptom that it explains
    #[arg(long)]
    symptom: Option<String>,
    /// Entries that show it
    #[arg(long, value_name = "ENTRY")]
    evidence: Vec<String>,
    /// What lies behind it: area_contaminant, installation, age, misuse, not_known
    #[arg(long, value_parser = root)]
    root: Option<Root>,
    #[command(flatten)]
    at: At,
    #[command(flatten)]
    entering: Entering,
}

fn root(typed: &str) -> Result<Root, String> {
    let key = typed.to_lowercase().replace('-', "_");
    Root::from_key(&key).ok_or_else(|| {
        let all: Vec<&str> = Root::ALL.iter().map(|word| word.key()).collect();
        format!("use one of {}", all.join(", "))
    })
}

/// A cause of the fault tables, a leak at a joint, or `other` with words.
fn cause(typed: &str, text: Option<&str>) -> Result<String, Trouble> {
    let key = typed.trim().to_lowercase().replace('-', "_");
    let table = Table::standard();
    if table.cause(&key).is_some() || key == "gas_leak_joint" {
        return Ok(key);
    }
    if key == "other" {
        return match text {
            Some(text) if !text.trim().is_empty() => Ok(key),
            _ => Err(Trouble::Usage("cause 'other' needs words: what was seen".to_owned())),
        };
    }
    let near: Vec<&str> = table
        .cause_ids()
        .map(|cause| table[cause].key)
        .filter(|own| own.contains(&key) || key.contains(own))
        .collect();
    let hint = if near.is_empty() {
        "`dripleg words causes` lists them, `other` takes words".to_owned()
    } else {
        format!("did you mean {}?", near.join(", "))
    };
    Err(Trouble::Usage(format!("'{key}' is not a cause known here; {hint}")))
}

pub(crate) fn run(args: &Args, desk: &mut Desk<'_>) -> Result<(), Trouble> {
    let (place, _, doc) = entries::sheet(desk, &args.at, &args.unit)?;
    let cause = cause(&args.cause, args.text.as_deref())?;
    let evidence = if args.evidence.is_empty() {
        None
    } else {
        Some(entries::numbers(&args.evidence, &entries::around(desk, &place)?)?)
    };
    let finding = Finding {
        cause,
        text: args.text.clone(),
        phase: args.phase,
        confidence: args.sure,
        evidence,
        symptom: args.symptom.clone(),
    };
    let next = desk.device()?.next_entry();
    let mut deed = vec![(doc, Action::Enter(vec![finding.into()]))];
    if let Some(root) = args.root {
        let field = Field::named("finding/{}/root").about(Of::Entry(next));
        let value = FieldValue::Word(root.code());
        deed.push((doc, Action::Set(vec![Setting { field, value, reason: None }])));
    }
    save(desk, &place.book, &args.entering, deed)?;
    Ok(())
}
