//! What a start showed and what a test gave, entered into the record.

use client_core::fault::follow::stopped_after;
use client_core::fault::sequence::{self, Leads};
use client_core::fault::table::Table;
use client_core::record::action::Action;
use client_core::record::body::{Body, Symptom, Tested};

use crate::args::{At, Entering};
use crate::desk::Desk;
use crate::entries;
use crate::error::Trouble;
use crate::save::save;

#[derive(Debug, clap::Args)]
pub(super) struct Start {
    /// The unit
    unit: String,
    /// Number of the last step that was seen, 0 for none; `dripleg fault steps FAMILY` numbers them
    last: usize,
    #[command(flatten)]
    at: At,
    #[command(flatten)]
    entering: Entering,
}

#[derive(Debug, clap::Args)]
pub(super) struct Result_ {
    /// The unit
    unit: String,
    /// Results, as TEST=RESULT with the result as it was listed
    #[arg(required = true, value_name = "TEST=RESULT")]
    results: Vec<String>,
    #[command(flatten)]
    at: At,
    #[command(flatten)]
    entering: Entering,
}

/// The step after the last one seen did not happen: that is the symptom.
pub(super) fn start(args: &Start, desk: &mut Desk<'_>) -> Result<(), Trouble> {
    let (place, unit, doc) = entries::sheet(desk, &args.at, &args.unit)?;
    let family = place.book.units.get(&unit).and_then(|(_, row)| row.family);
    let sequence = family.and_then(|family| sequence::named(family.key())).ok_or_else(|| {
        Trouble::State(format!(
            "nobody has said how {} lights; enter it first: dripleg set {} unit/family=FAMILY",
            args.unit, args.unit
        ))
    })?;
    let count = sequence.steps.len();
    if args.last > count {
        return Err(Trouble::Usage(format!(
            "step {} is not among the {count} steps of '{}'",
            args.last, sequence.key
        )));
    }
    let last = args.last.checked_sub(1);
    let table = Table::standard();
    match stopped_after(sequence, last) {
        Some(Leads::Symptom(symptom)) => {
            let seen = last.map_or_else(
                || "nothing of the start was seen".to_owned(),
                |step| format!("last seen: {}", sequence.steps[step].name),
            );
            let text = Some(format!("{seen}; 0 of {} steps timed", args.last));
            let body = Symptom { symptom: table[symptom].key.to_owned(), text };
            save(desk, &place.book, &args.entering, vec![(doc, Action::Enter(vec![body.into()]))])?;
            if !desk.ui.manners.json {
                let missed = sequence.steps[args.last].name;
                desk.ui.line(&format!(
                    "not seen: {missed}; next: dripleg fault next {} --unit {}",
                    table[symptom].key, args.unit
                ))?;
            }
            Ok(())
        }
        Some(Leads::GasProcedure) => super::gas_procedure(desk),
        Some(Leads::ShutDown) => Err(Trouble::State(format!(
            "step {} did not happen: shut {} down, see `dripleg shut-down`; no test is offered",
            args.last + 1,
            args.unit
        ))),
        None => Err(Trouble::State(
            "every step was seen: there is no symptom in this start; times that were not taken are no pass"
                .to_owned(),
        )),
    }
}

/// What tests gave. Figures are entered as readings (`dripleg found`), the search reads them from there.
pub(super) fn result(args: &Result_, desk: &mut Desk<'_>) -> Result<(), Trouble> {
    let (place, _, doc) = entries::sheet(desk, &args.at, &args.unit)?;
    let table = Table::standard();
    let results = super::results(table, &args.results)?;
    let bodies: Vec<Body> = results
        .iter()
        .map(|result| {
            Tested {
                test: table[result.test].key.to_owned(),
                outcome: table[result.test].outcomes[result.outcome].to_owned(),
                note: None,
            }
            .into()
        })
        .collect();
    save(desk, &place.book, &args.entering, vec![(doc, Action::Enter(bodies))])?;
    Ok(())
}
