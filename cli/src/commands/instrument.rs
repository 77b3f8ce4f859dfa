//! `instrument`: the company's instruments and their calibrations.

use client_core::record::action::{Action, Setting};
use client_core::record::body::{Bump, Calibration, Instrument};
use client_core::record::code::InstrumentKind;
use client_core::record::doc_id::{DocId, DocKind};
use client_core::record::field::{Field, FieldValue, Of};
use client_core::record::value::Day;

use crate::args::{At, Entering};
use crate::desk::Desk;
use crate::entries;
use crate::error::Trouble;
use crate::pairs;
use crate::save::save;

/// Add instruments, enter calibrations and trials, take one out of use
#[derive(Debug, clap::Args)]
pub struct Args {
    #[command(subcommand)]
    what: What,
}

#[derive(Debug, clap::Subcommand)]
enum What {
    /// Add an instrument
    Add {
        /// The firm's own label on it
        label: String,
        /// What it is: flue_gas_analyser, manometer, multimeter, air_probe, gas_detector, ...
        #[arg(value_parser = pairs::instrument_kind)]
        kind: InstrumentKind,
        /// Serial number as printed
        #[arg(long)]
        serial: Option<String>,
        /// Whose it is
        #[arg(long, value_name = "PERSON")]
        owner: Option<String>,
        /// Accuracy as its owner types it: '1 % of reading + 0.01 in wc'
        #[arg(long)]
        accuracy: Option<String>,
        #[command(flatten)]
        entering: Entering,
    },
    /// Enter a calibration
    Calibrated {
        /// The instrument
        instrument: String,
        /// The day, as 2025-08-05
        #[arg(value_parser = pairs::day)]
        done: Day,
        /// Due again
        #[arg(long, value_parser = pairs::day)]
        due: Option<Day>,
        /// By whom
        #[arg(long)]
        by: Option<String>,
        /// The result in words
        #[arg(long)]
        result: Option<String>,
        #[command(flatten)]
        entering: Entering,
    },
    /// Enter a bump test, a zero or a comparison
    Tried {
        /// The instrument
        instrument: String,
        /// With what: a test gas, clean air, zero pressure, another instrument
        with: String,
        /// The result in words
        result: String,
        #[command(flatten)]
        at: At,
        #[command(flatten)]
        entering: Entering,
    },
    /// Take an instrument out of use
    Retire {
        /// The instrument
        instrument: String,
        #[command(flatten)]
        entering: Entering,
    },
}

pub(crate) fn run(args: &Args, desk: &mut Desk<'_>) -> Result<(), Trouble> {
    let book = desk.book()?;
    let company = DocId::new(desk.device()?.identity().company(), DocKind::Company);
    match &args.what {
        What::Add { label, kind, serial, owner, accuracy, entering } => {
            if book.find_instrument(label).is_ok() {
                let words = format!("there is an instrument '{label}' already");
                return Err(Trouble::State(words));
            }
            let next = desk.device()?.next_entry();
            let body =
                Instrument { kind: *kind, label: label.trim().to_owned(), serial: serial.clone() };
            let mut deed = vec![(company, Action::Enter(vec![body.into()]))];
            let setting = |key: &str, value| Setting {
                field: Field::named(key).about(Of::Entry(next)),
                value,
                reason: None,
            };
            let mut settings = vec![];
            if let Some(owner) = owner {
                let person = book.find_person(owner)?;
                settings.push(setting("instrument/{}/owner", FieldValue::Person(person)));
            }
            if let Some(accuracy) = accuracy {
                let text = FieldValue::Text(accuracy.clone());
                settings.push(setting("instrument/{}/accuracy", text));
            }
            if !settings.is_empty() {
                deed.push((company, Action::Set(settings)));
            }
            save(desk, &book, entering, deed)?;
        }
        What::Calibrated { instrument, done, due, by, result, entering } => {
            let instrument = book.find_instrument(instrument)?;
            if due.is_some_and(|due| due < *done) {
                let words = "a calibration is due after the day it was done".to_owned();
                return Err(Trouble::Usage(words));
            }
            let body = Calibration {
                instrument,
                done: *done,
                due: *due,
                by_whom: by.clone(),
                result: result.clone(),
            };
            save(desk, &book, entering, vec![(company, Action::Enter(vec![body.into()]))])?;
        }
        What::Tried { instrument, with, result, at, entering } => {
            let instrument = book.find_instrument(instrument)?;
            let visit = entries::visit_if_any(desk, at)?;
            let body = Bump { instrument, with: with.clone(), result: result.clone(), visit };
            save(desk, &book, entering, vec![(company, Action::Enter(vec![body.into()]))])?;
        }
        What::Retire { instrument, entering } => {
            let instrument = book.find_instrument(instrument)?;
            let setting = Setting {
                field: Field::named("instrument/{}/retired").about(Of::Entry(instrument)),
                value: FieldValue::Flag(true),
                reason: entering.because.clone(),
            };
            save(desk, &book, entering, vec![(company, Action::Set(vec![setting]))])?;
        }
    }
    Ok(())
}
