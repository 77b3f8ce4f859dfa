//! `advise`: warnings to the customer or to the next person.

use client_core::record::action::{Action, Setting};
use client_core::record::body::{Advisory, Closing, Kind};
use client_core::record::code::AdvisorySeverity;
use client_core::record::field::{Field, FieldValue, Of};
use client_core::record::value::Day;

use crate::args::{At, Entering};
use crate::desk::Desk;
use crate::entries;
use crate::error::Trouble;
use crate::pairs;
use crate::save::save;

/// Warn the customer or the next person, change how serious it is, or close it with evidence
#[derive(Debug, clap::Args)]
pub struct Args {
    #[command(subcommand)]
    what: What,
}

#[derive(Debug, clap::Subcommand)]
enum What {
    /// Raise an advisory on a unit
    Raise {
        /// The unit
        unit: String,
        /// How serious: note, advise, urgent, shut_down
        #[arg(value_parser = pairs::severity)]
        severity: AdvisorySeverity,
        /// What and why
        text: String,
        /// By when, as 2025-10-14
        #[arg(long, value_parser = pairs::day)]
        due: Option<Day>,
        #[command(flatten)]
        at: At,
        #[command(flatten)]
        entering: Entering,
    },
    /// Say how serious an advisory is now; less serious needs --because
    Weigh {
        /// The unit
        unit: String,
        /// The advisory
        advisory: String,
        /// How serious: note, advise, urgent, shut_down
        #[arg(value_parser = pairs::severity)]
        severity: AdvisorySeverity,
        #[command(flatten)]
        at: At,
        #[command(flatten)]
        entering: Entering,
    },
    /// Close an advisory with what shows that it is done
    Close {
        /// The unit
        unit: String,
        /// The advisory
        advisory: String,
        /// The evidence in words
        text: String,
        /// Entries that show it
        #[arg(long, value_name = "ENTRY")]
        evidence: Vec<String>,
        #[command(flatten)]
        at: At,
        #[command(flatten)]
        entering: Entering,
    },
}

pub(crate) fn run(args: &Args, desk: &mut Desk<'_>) -> Result<(), Trouble> {
    match &args.what {
        What::Raise { unit, severity, text, due, at, entering } => {
            let (book, _, _, doc) = entries::appliance(desk, at, unit)?;
            let visit = entries::visit_if_any(desk, at)?;
            let body = Advisory { severity: *severity, text: text.clone(), due: *due, visit };
            save(desk, &book, entering, vec![(doc, Action::Enter(vec![body.into()]))])?;
        }
        What::Weigh { unit, advisory, severity, at, entering } => {
            let (book, _, _, doc) = entries::appliance(desk, at, unit)?;
            let found = entries::named(advisory, &entries::within(desk.device()?, doc)?)?;
            is(&found, Kind::Advisory, "an advisory")?;
            let field = Field::named("advisory/{}/severity").about(Of::Entry(found.entry.id));
            let value = FieldValue::Word(severity.code());
            let reason = entering.because.clone();
            lowered(&found, *severity, reason.as_deref())?;
            let set = Action::Set(vec![Setting { field, value, reason }]);
            save(desk, &book, entering, vec![(doc, set)])?;
        }
        What::Close { unit, advisory, text, evidence, at, entering } => {
            let (book, _, _, doc) = entries::appliance(desk, at, unit)?;
            let found = entries::named(advisory, &entries::within(desk.device()?, doc)?)?;
            is(&found, Kind::Advisory, "an advisory")?;
            let evidence = match evidence.as_slice() {
                [] => None,
                typed => {
                    let place = desk.place(at)?;
                    Some(entries::numbers(typed, &entries::around(desk, &place)?)?)
                }
            };
            let body = Closing { advisory: found.entry.id, text: text.clone(), evidence };
            save(desk, &book, entering, vec![(doc, Action::Enter(vec![body.into()]))])?;
        }
    }
    Ok(())
}

/// The severity as raised is lowered with a reason only; the register alone knows nothing of it.
fn lowered(
    found: &entries::Placed,
    to: AdvisorySeverity,
    reason: Option<&str>,
) -> Result<(), Trouble> {
    use client_core::record::body::Body;
    let Body::Advisory(advisory) = &found.entry.body else { return Ok(()) };
    let lower = to.code() < advisory.severity.code();
    if lower && reason.is_none_or(|reason| reason.trim().is_empty()) {
        let what =
            format!("severity from {} to {}", advisory.severity.says(), to.says());
        return Err(client_core::record::refused::Refused::NeedsReason { what }.into());
    }
    Ok(())
}

/// Whether an entry that was named is of the kind that is needed.
pub(super) fn is(found: &entries::Placed, kind: Kind, what: &str) -> Result<(), Trouble> {
    if found.entry.body.kind() == kind {
        return Ok(());
    }
    let id = client_core::present::say::short(found.entry.id);
    Err(Trouble::Usage(format!("{id} is not {what}")))
}
