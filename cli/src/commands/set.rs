//! `set`: values of a unit, of an entry of it, or of the visit.

use client_core::record::action::Action;
use client_core::record::doc_id::{DocId, DocKind};
use client_core::record::field::Of;

use crate::args::{At, Entering};
use crate::desk::Desk;
use crate::entries;
use crate::error::Trouble;
use crate::pairs;
use crate::save::save;

/// Set values of a unit: plate figures, status, maker, gas supplied
///
/// Two people may set one value to different things: both stay, and a person settles them. `dripleg words
/// values` lists what can be set.
#[derive(Debug, clap::Args)]
pub struct Args {
    /// The unit, or `visit` for the visit itself
    unit: String,
    /// Values: plate/input=175, status=watch
    #[arg(required = true, value_name = "KEY=VALUE")]
    values: Vec<String>,
    /// The entry that the values are about: an advisory, a question, a finding
    #[arg(long, value_name = "ENTRY")]
    of: Option<String>,
    #[command(flatten)]
    at: At,
    #[command(flatten)]
    entering: Entering,
}

pub(crate) fn run(args: &Args, desk: &mut Desk<'_>) -> Result<(), Trouble> {
    let reason = args.entering.because.as_deref();
    if args.unit.eq_ignore_ascii_case("visit") {
        let place = desk.place(&args.at)?;
        let kind = DocKind::Visit(place.visit);
        let settings = args
            .values
            .iter()
            .map(|typed| pairs::setting(&place.book, kind, typed, None, reason))
            .collect::<Result<_, _>>()?;
        let doc = DocId::new(place.site, kind);
        save(desk, &place.book, &args.entering, vec![(doc, Action::Set(settings))])?;
        return Ok(());
    }
    let (book, _, _, mut doc) = entries::appliance(desk, &args.at, &args.unit)?;
    let of = match &args.of {
        None => None,
        Some(typed) => {
            let mut among = entries::within(desk.device()?, doc)?;
            if let Ok(place) = desk.place(&args.at) {
                among.extend(entries::around(desk, &place)?.into_iter().filter(|one| {
                    one.doc != doc && one.doc.appliance() == doc.appliance()
                }));
            }
            let found = entries::named(typed, &among)?;
            doc = found.doc;
            Some(Of::Entry(found.entry.id))
        }
    };
    let settings = args
        .values
        .iter()
        .map(|typed| pairs::setting(&book, doc.kind, typed, of, reason))
        .collect::<Result<_, _>>()?;
    save(desk, &book, &args.entering, vec![(doc, Action::Set(settings))])?;
    Ok(())
}
