//! `settle`: a contradiction is settled by a named person with a reason.

use client_core::present::say::short;
use client_core::record::action::Action;
use client_core::record::contradiction::{Contradiction, in_papers, removed_with_evidence};
use client_core::record::deed;
use client_core::record::doc_id::{DocId, DocKind};
use client_core::record::id::{ApplianceId, EntryId};

use crate::args::{At, Entering};
use crate::desk::{Desk, Place};
use crate::entries;
use crate::error::Trouble;
use crate::pairs;
use crate::save::save;

/// Settle a contradiction with a reason; every side stays readable
///
/// `contradictions` lists them with their keys. A value is settled with the value that shall govern; two
/// readings or checks with the entry that governs; a double as one event, or as two with --two.
#[derive(Debug, clap::Args)]
pub struct Args {
    /// Key of the contradiction, or its beginning: unit/status, reading/manifold_high/as_found
    key: String,
    /// The value that shall govern, or the entry
    chosen: Option<String>,
    /// The unit, where several have a contradiction of this key
    #[arg(long)]
    unit: Option<String>,
    /// A double: they are two events
    #[arg(long)]
    two: bool,
    /// Entries that support it
    #[arg(long, value_name = "ENTRY")]
    evidence: Vec<String>,
    #[command(flatten)]
    at: At,
    #[command(flatten)]
    entering: Entering,
}

/// A contradiction with the unit that it is about.
type Found = (Option<ApplianceId>, Contradiction);

/// Every contradiction of the visit, of the site and of the company.
pub(super) fn all(desk: &mut Desk<'_>, place: &Place) -> Result<Vec<Found>, Trouble> {
    let mut found: Vec<Found> = vec![];
    let appliance = |one: &Contradiction| match one {
        Contradiction::RemovedWithEvidence { appliance, .. } => Some(*appliance),
        other => other.doc().and_then(DocId::appliance),
    };
    {
        let opened = desk.device()?.open_visit(place.site, place.visit)?;
        let own = opened.file().contradictions();
        found.extend(own.into_iter().map(|one| (appliance(&one), one)));
    }
    let mut evidence = std::collections::BTreeMap::new();
    for (unit, (site, _)) in &place.book.units {
        if *site == place.site {
            evidence.insert(*unit, desk.device()?.evidence(*site, *unit)?);
        }
    }
    let count = |unit| evidence.get(&unit).copied().unwrap_or(0);
    let device = desk.device()?;
    let company = device.identity().company();
    for doc in [DocId::new(place.site, DocKind::Site), DocId::new(company, DocKind::Company)] {
        let papers = match device.read_doc(doc) {
            Ok(papers) => papers,
            Err(client_core::device::DeviceError::NotHere(_)) => continue,
            Err(wrong) => return Err(wrong.into()),
        };
        let mut own = in_papers(&papers);
        if doc.kind == DocKind::Site {
            own.extend(removed_with_evidence(&papers, count));
        }
        found.extend(own.into_iter().map(|one| (appliance(&one), one)));
    }
    Ok(found)
}

fn the_one(desk: &mut Desk<'_>, args: &Args, place: &Place) -> Result<Contradiction, Trouble> {
    let unit = match &args.unit {
        Some(typed) => Some(place.book.find_unit(Some(place.site), typed)?.1),
        None => None,
    };
    let found = all(desk, place)?;
    let of_unit = found.iter().filter(|(own, _)| unit.is_none() || *own == unit);
    let keyed: Vec<&Found> =
        of_unit.filter(|(_, one)| one.key().starts_with(args.key.trim())).collect();
    let exact: Vec<&Found> =
        keyed.iter().copied().filter(|(_, one)| one.key() == args.key.trim()).collect();
    let keyed = if exact.is_empty() { keyed } else { exact };
    let shown = |(unit, one): &Found| {
        let unit = unit.map(|unit| format!("{} ", name(place, unit))).unwrap_or_default();
        format!("{unit}{}", one.key())
    };
    match keyed.as_slice() {
        [one] => Ok(one.1.clone()),
        [] => {
            let all: Vec<String> = found.iter().map(shown).collect();
            let there = if all.is_empty() { "none".to_owned() } else { all.join("; ") };
            let words = format!("no contradiction has the key '{}'; there is {there}", args.key);
            Err(Trouble::State(words))
        }
        several => {
            let all: Vec<String> = several.iter().map(|one| shown(one)).collect();
            let words = format!("'{}' may be {}; name the unit", args.key, all.join("; "));
            Err(Trouble::Usage(words))
        }
    }
}

fn name(place: &Place, unit: ApplianceId) -> String {
    use client_core::present::Names as _;
    place.book.unit(unit)
}

pub(crate) fn run(args: &Args, desk: &mut Desk<'_>) -> Result<(), Trouble> {
    let place = desk.place(&args.at)?;
    let one = the_one(desk, args, &place)?;
    let reason = args.entering.because.clone().unwrap_or_default();
    let (doc, action) = match &one {
        Contradiction::Field { doc, field, .. } => {
            let Some(typed) = &args.chosen else {
                let words = format!("name the value of {} that shall govern", field.def.says);
                return Err(Trouble::Usage(words));
            };
            let value = pairs::value_of(&place.book, field, typed)?;
            let around = entries::around(desk, &place)?;
            let evidence = entries::numbers(&args.evidence, &around)?;
            (*doc, Action::Settle { field: *field, value, reason, evidence })
        }
        other => in_words(args, &place, other, &reason)?,
    };
    save(desk, &place.book, &args.entering, vec![(doc, action)])?;
    Ok(())
}

fn in_words(
    args: &Args,
    place: &Place,
    one: &Contradiction,
    reason: &str,
) -> Result<(DocId, Action), Trouble> {
    if reason.trim().is_empty() {
        let what = format!("settling {}", one.key());
        return Err(client_core::record::refused::Refused::NeedsReason { what }.into());
    }
    let chosen = match &args.chosen {
        Some(typed) => Some(side(one, typed)?),
        None => None,
    };
    let action = deed::settle(one, chosen, !args.two, reason).ok_or_else(|| {
        let words = match one {
            Contradiction::Late { .. } => "a second sign-off settles this: dripleg sign",
            _ => "a new release after proof settles this: dripleg release",
        };
        Trouble::State(words.to_owned())
    })?;
    // A clock belongs to the visit's head; a unit taken off the roster to the site.
    let doc = match one {
        Contradiction::RemovedWithEvidence { .. } => DocId::new(place.site, DocKind::Site),
        other => other.doc().unwrap_or(DocId::new(place.site, DocKind::Visit(place.visit))),
    };
    Ok((doc, action))
}

/// The side that was named.
fn side(one: &Contradiction, typed: &str) -> Result<EntryId, Trouble> {
    let sides = one.sides();
    let fits = |side: &&EntryId| {
        let typed = typed.trim().to_lowercase();
        short(**side) == typed || side.to_string() == typed
    };
    sides.iter().find(fits).copied().ok_or_else(|| {
        let all: Vec<String> = sides.iter().map(|side| short(*side)).collect();
        Trouble::Usage(format!("'{typed}' is not one of the sides {}", all.join(", ")))
    })
}
