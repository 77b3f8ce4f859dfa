//! `plan`: visits and who takes which unit.

use client_core::record::code::VisitKind;
use client_core::record::deed::{self, Planned};
use client_core::record::doc_id::DocKind;
use client_core::record::id::{ApplianceId, PersonId, SiteId, VisitId};
use client_core::record::value::Day;

use crate::args::{At, Entering};
use crate::book::Book;
use crate::desk::Desk;
use crate::error::Trouble;
use crate::pairs;
use crate::save::save;
use crate::ui::Tone;

/// Plan a visit, or give units of one to somebody
#[derive(Debug, clap::Args)]
pub struct Args {
    #[command(subcommand)]
    what: What,
}

#[derive(Debug, clap::Subcommand)]
enum What {
    /// Plan a visit
    Visit {
        /// Why: pre_season, no_heat, repair, start_up, inspection, follow_up
        #[arg(value_parser = pairs::visit_kind)]
        kind: VisitKind,
        /// The day, as 2025-10-14
        #[arg(value_parser = pairs::day)]
        day: Day,
        /// Reference, a name to find it by
        #[arg(long)]
        reference: Option<String>,
        /// Units of a person, in the order of the walk: 'Ilse=UH-01,UH-02'; `=all` for the rest
        #[arg(long, value_name = "PERSON=UNITS")]
        assign: Vec<String>,
        /// Values of the visit: outdoor_temp=44, weather=rain
        #[arg(value_name = "KEY=VALUE")]
        values: Vec<String>,
        /// The site
        #[arg(long)]
        site: Option<String>,
        #[command(flatten)]
        entering: Entering,
    },
    /// Give units of a visit to somebody, in the order of the walk
    Assign {
        /// Units of a person: 'Ilse=UH-01,UH-02'; `=all` for the rest
        #[arg(required = true, value_name = "PERSON=UNITS")]
        assign: Vec<String>,
        #[command(flatten)]
        at: At,
        #[command(flatten)]
        entering: Entering,
    },
}

pub(crate) fn run(args: &Args, desk: &mut Desk<'_>) -> Result<(), Trouble> {
    match &args.what {
        What::Visit { kind, day, reference, assign, values, site, entering } => {
            let book = desk.book()?;
            let site = desk.site(&book, site.as_deref())?;
            let visit = VisitId(desk.device()?.new_id());
            let planned = planned(&book, site, assign, &[], 0)?;
            let mut settings = vec![];
            let mut set = |typed: &str| -> Result<(), Trouble> {
                let reason = entering.because.as_deref();
                settings.push(pairs::setting(&book, DocKind::Visit(visit), typed, None, reason)?);
                Ok(())
            };
            if let Some(reference) = reference {
                set(&format!("visit/reference={reference}"))?;
            }
            for typed in values {
                set(typed)?;
            }
            let plan = deed::plan_visit(site, visit, *kind, *day, settings, &planned);
            save(desk, &book, entering, plan)?;
            desk.ui.talk(Tone::Dim, &format!("visit {visit}"));
        }
        What::Assign { assign, at, entering } => {
            let place = desk.place(at)?;
            let known = {
                let opened = desk.device()?.open_visit(place.site, place.visit)?;
                let file = opened.file();
                let head = &file.head.read;
                head.fields
                    .iter()
                    .filter(|(field, _)| field.def.key == "assign/{}/person")
                    .filter_map(|(field, _)| match field.of {
                        Some(client_core::record::field::Of::Appliance(unit)) => Some(unit),
                        _ => None,
                    })
                    .collect::<Vec<_>>()
            };
            let first = u32::try_from(known.len()).unwrap_or(0);
            let planned = planned(&place.book, place.site, assign, &known, first)?;
            let Some(step) = deed::assign(place.site, place.visit, &planned) else {
                return Err(Trouble::State("every unit is in the plan already".to_owned()));
            };
            save(desk, &place.book, entering, vec![step])?;
        }
    }
    Ok(())
}

/// Units with their persons, in the order typed.
fn planned(
    book: &Book,
    site: SiteId,
    typed: &[String],
    known: &[ApplianceId],
    first: u32,
) -> Result<Vec<Planned>, Trouble> {
    let mut found: Vec<Planned> = vec![];
    let mut order = first;
    let mut add = |found: &mut Vec<Planned>, appliance, person: PersonId| {
        if !found.iter().any(|own: &Planned| own.appliance == appliance) {
            order += 1;
            found.push(Planned { appliance, person: Some(person), order });
        }
    };
    for one in typed {
        let (person, units) = pairs::split(one)?;
        let person = book.find_person(person)?;
        if units.eq_ignore_ascii_case("all") {
            for appliance in rest(book, site, known) {
                add(&mut found, appliance, person);
            }
            continue;
        }
        for unit in units.split(',').filter(|unit| !unit.trim().is_empty()) {
            let (_, appliance) = book.find_unit(Some(site), unit)?;
            add(&mut found, appliance, person);
        }
    }
    Ok(found)
}

/// Units of the roster that are not planned yet, in the order of their numbers.
fn rest(book: &Book, site: SiteId, known: &[ApplianceId]) -> Vec<ApplianceId> {
    let row = book.sites.iter().find(|(id, _)| *id == site).map(|(_, row)| row);
    let mut units: Vec<(String, ApplianceId)> = row
        .map(|row| row.roster.iter().map(|own| (own.unit_no.clone(), own.appliance)).collect())
        .unwrap_or_default();
    units.retain(|(_, unit)| {
        let merged = book.units.get(unit).is_some_and(|(_, row)| row.merged_into.is_some());
        !known.contains(unit) && !merged
    });
    units.sort();
    units.into_iter().map(|(_, unit)| unit).collect()
}
