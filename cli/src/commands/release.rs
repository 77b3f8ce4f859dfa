//! `release`: a shut-down unit goes back into service after proof.

use client_core::record::action::Action;
use client_core::record::body::{Body, Kind, Release};
use client_core::record::field::Field;

use crate::args::{At, Entering};
use crate::book::read_or_empty;
use crate::desk::Desk;
use crate::entries;
use crate::error::Trouble;
use crate::save::save;

/// Release a shut-down unit; for a licensed person after proof
///
/// A release takes effect when its author had seen every failing reading of the unit. Local rule may ask
/// for the inspector or the utility.
#[derive(Debug, clap::Args)]
pub struct Args {
    /// The unit
    unit: String,
    /// What proves that it may run
    proof: String,
    /// Status afterwards
    #[arg(long, default_value = "in_service")]
    status: String,
    /// Entries that prove it
    #[arg(long, value_name = "ENTRY")]
    evidence: Vec<String>,
    /// License under which it is released
    #[arg(long)]
    licence: Option<String>,
    /// The shut-down record, where several are in force
    #[arg(long, value_name = "ENTRY")]
    tag: Option<String>,
    #[command(flatten)]
    at: At,
    #[command(flatten)]
    entering: Entering,
}

pub(crate) fn run(args: &Args, desk: &mut Desk<'_>) -> Result<(), Trouble> {
    let (book, _, _, doc) = entries::appliance(desk, &args.at, &args.unit)?;
    let within = entries::within(desk.device()?, doc)?;
    let tag = if let Some(typed) = &args.tag {
        let found = entries::named(typed, &within)?;
        super::advise::is(&found, Kind::Tag, "a shut-down record")?;
        found.entry.id
    } else {
        let read = read_or_empty(desk.device()?, doc)?;
        let released: Vec<_> = read
            .counted(Kind::Release)
            .filter_map(|entry| match &entry.body {
                Body::Release(release) => Some(release.tag),
                _ => None,
            })
            .collect();
        let tags = read.counted(Kind::Tag).map(|entry| entry.id);
        let open: Vec<_> = tags.filter(|tag| !released.contains(tag)).collect();
        match open.as_slice() {
            [tag] => *tag,
            [] => {
                let words = format!("{} has no shut-down record in force here", args.unit);
                return Err(Trouble::State(words));
            }
            several => {
                let all: Vec<String> =
                    several.iter().map(|tag| client_core::present::say::short(*tag)).collect();
                let words = format!("name one with --tag: {}", all.join(", "));
                return Err(Trouble::Usage(words));
            }
        }
    };
    let evidence = match args.evidence.as_slice() {
        [] => None,
        typed => {
            let place = desk.place(&args.at)?;
            Some(entries::numbers(typed, &entries::around(desk, &place)?)?)
        }
    };
    let status = Field::named("unit/status").parse(&args.status.to_lowercase().replace('-', "_"))?;
    let release =
        Release { tag, proof: args.proof.clone(), evidence, licence: args.licence.clone() };
    save(desk, &book, &args.entering, vec![(doc, Action::Release { release, status })])?;
    Ok(())
}
