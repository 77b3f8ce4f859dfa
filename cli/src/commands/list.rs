//! `list`: what there is.

use client_core::present::Names as _;
use client_core::present::say::short;
use client_core::record::body::{Body, Kind};
use client_core::record::doc_id::{DocId, DocKind};
use client_core::record::field::{Field, FieldValue, Of};
use client_core::record::instrument::{calibration_on, instruments};
use client_core::trade::uncertainty::Calibration;
use serde_json::json;

use crate::book::{Book, read_or_empty};
use crate::desk::Desk;
use crate::error::Trouble;
use crate::ui::counted;
use crate::json;

/// List sites, areas, units, visits, people, instruments or the catalogue
#[derive(Debug, clap::Args)]
pub struct Args {
    /// What
    #[arg(value_enum)]
    what: What,
    /// The site
    #[arg(long)]
    site: Option<String>,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, clap::ValueEnum)]
enum What {
    /// Sites of this device
    Sites,
    /// Areas of a site
    Areas,
    /// Units of a site
    Units,
    /// Visits, the newest first
    Visits,
    /// People of the directory
    People,
    /// Instruments of the company
    Instruments,
    /// Parts as the company names them
    Catalogue,
}

pub(crate) fn run(args: &Args, desk: &mut Desk<'_>) -> Result<(), Trouble> {
    let book = desk.book()?;
    match args.what {
        What::Sites => sites(desk, &book),
        What::Areas => areas(desk, &book, args.site.as_deref()),
        What::Units => units(desk, &book, args.site.as_deref()),
        What::Visits => visits(desk, &book, args.site.as_deref()),
        What::People => people(desk, &book),
        What::Instruments => list_instruments(desk, &book),
        What::Catalogue => catalogue(desk),
    }
}

fn sites(desk: &mut Desk<'_>, book: &Book) -> Result<(), Trouble> {
    if desk.ui.manners.json {
        let list: Vec<_> = book
            .sites
            .iter()
            .map(|(id, row)| {
                json!({
                    "site": id.to_string(),
                    "name": row.name,
                    "town": row.town,
                    "customer": row.customer,
                    "gas": row.gas.map(client_core::record::code::Gas::key),
                    "units": row.roster.len(),
                    "contested": row.contested,
                })
            })
            .collect();
        return desk.ui.json(&json!(list));
    }
    let rows: Vec<Vec<String>> = book
        .sites
        .iter()
        .map(|(id, row)| {
            let gas = row.gas.map_or("not settled", client_core::record::code::Gas::says);
            let town = row.town.clone().unwrap_or_default();
            vec![id.short(), book.site(*id), town, row.roster.len().to_string(), gas.to_owned()]
        })
        .collect();
    desk.ui.table(&["id", "site", "town", "units", "gas"], &rows)
}

fn areas(desk: &mut Desk<'_>, book: &Book, site: Option<&str>) -> Result<(), Trouble> {
    let site = desk.site(book, site)?;
    let row = book.sites.iter().find(|(id, _)| *id == site).map(|(_, row)| row.clone());
    let areas = row.unwrap_or_default().areas;
    if desk.ui.manners.json {
        let list: Vec<_> = areas
            .iter()
            .map(|area| {
                json!({
                    "area": area.id.to_string(),
                    "label": area.label,
                    "name": area.name,
                    "contaminants": area.contaminants,
                })
            })
            .collect();
        return desk.ui.json(&json!(list));
    }
    let rows: Vec<Vec<String>> = areas
        .into_iter()
        .map(|area| vec![area.label, area.name.unwrap_or_default(), area.contaminants.join(", ")])
        .collect();
    desk.ui.table(&["area", "name", "air carries"], &rows)
}

fn units(desk: &mut Desk<'_>, book: &Book, site: Option<&str>) -> Result<(), Trouble> {
    let site = desk.site(book, site)?;
    let mut units: Vec<_> = book.units.iter().filter(|(_, (of, _))| *of == site).collect();
    units.sort_by(|one, other| one.1.1.unit_no.cmp(&other.1.1.unit_no));
    if desk.ui.manners.json {
        let list: Vec<_> = units
            .iter()
            .map(|(id, (_, row))| {
                let advisories: Vec<_> = row
                    .advisories
                    .iter()
                    .map(|own| {
                        json!({
                            "entry": own.id.to_string(),
                            "severity": own.severity.key(),
                            "text": own.text,
                            "due": json::day(own.due),
                        })
                    })
                    .collect();
                json!({
                    "unit": id.to_string(),
                    "unit_no": row.unit_no,
                    "status": row.status.key(),
                    "kind": row.kind,
                    "family": row.family.map(client_core::record::code::Family::key),
                    "area": row.area.and_then(|area| book.entry(area)),
                    "tagged": row.tagged,
                    "contested": row.contested,
                    "contradictions": row.contradictions,
                    "questions": row.questions,
                    "advisories": advisories,
                    "merged_into": row.merged_into.map(|unit| unit.to_string()),
                })
            })
            .collect();
        return desk.ui.json(&json!(list));
    }
    let rows: Vec<Vec<String>> = units
        .iter()
        .map(|(id, (_, row))| {
            let mut look = vec![];
            if row.tagged {
                look.push("tagged".to_owned());
            }
            if let Some(into) = row.merged_into {
                look.push(format!("merged into {}", book.unit(into)));
            }
            for (count, word) in [
                (row.contradictions, "contradictions"),
                (u32::try_from(row.advisories.len()).unwrap_or(u32::MAX), "advisories"),
                (row.questions, "open questions"),
            ] {
                if count > 0 {
                    look.push(format!("{count} {word}"));
                }
            }
            let area = row.area.and_then(|area| book.entry(area)).unwrap_or_default();
            let status = row.status.says().to_owned();
            vec![row.unit_no.clone(), id.short(), area, status, look.join(", ")]
        })
        .collect();
    desk.ui.table(&["unit", "id", "area", "status", "look at"], &rows)
}

fn visits(desk: &mut Desk<'_>, book: &Book, site: Option<&str>) -> Result<(), Trouble> {
    let site = site.map(|site| book.find_site(Some(site))).transpose()?;
    let mut found = vec![];
    for (of, _) in book.sites.iter().filter(|(of, _)| site.is_none_or(|site| site == *of)) {
        for listed in desk.device()?.visits(*of)? {
            found.push((*of, listed));
        }
    }
    found.sort_by_key(|(_, listed)| std::cmp::Reverse(listed.row.day));
    if desk.ui.manners.json {
        let list: Vec<_> = found
            .iter()
            .map(|(of, listed)| {
                let row = &listed.row;
                json!({
                    "visit": listed.id.to_string(),
                    "site": of.to_string(),
                    "kind": row.kind.map(client_core::record::code::VisitKind::key),
                    "day": json::day(row.day),
                    "reference": row.reference,
                    "units": row.units,
                    "done": row.done,
                    "not_reached": row.not_reached,
                    "readings": row.readings,
                    "contradictions": row.contradictions,
                    "signed": row.signed.iter().map(|signed| json!({
                        "person": signed.person.to_string(),
                        "role": signed.role.key(),
                    })).collect::<Vec<_>>(),
                })
            })
            .collect();
        return desk.ui.json(&json!(list));
    }
    let rows: Vec<Vec<String>> = found
        .iter()
        .map(|(of, listed)| {
            let row = &listed.row;
            let day = row.day.map(|day| day.to_string()).unwrap_or_default();
            let name = row.reference.clone().unwrap_or_else(|| listed.id.short());
            let kind = row.kind.map_or("", client_core::record::code::VisitKind::says);
            let mut state = vec![format!("{} of {} done", row.done, row.units)];
            if row.contradictions > 0 {
                state.push(counted(row.contradictions, "contradiction", "contradictions"));
            }
            for signed in &row.signed {
                state.push(format!("signed by {}", book.person(signed.person)));
            }
            vec![name, day, book.site(*of), kind.to_owned(), state.join(", ")]
        })
        .collect();
    desk.ui.table(&["visit", "day", "site", "kind", "state"], &rows)
}

fn people(desk: &mut Desk<'_>, book: &Book) -> Result<(), Trouble> {
    let company = DocId::new(desk.device()?.identity().company(), DocKind::Company);
    let read = read_or_empty(desk.device()?, company)?;
    let expires = |person| {
        let field = Field::named("person/{}/licence_expires").about(Of::Person(person));
        match read.field(&field)?.governs()?.value {
            FieldValue::Day(day) => Some(day),
            _ => None,
        }
    };
    if desk.ui.manners.json {
        let list: Vec<_> = book
            .people
            .iter()
            .map(|row| {
                json!({
                    "person": row.person.to_string(),
                    "name": row.name,
                    "contact": row.contact,
                    "licence": row.licence,
                    "licence_expires": json::day(expires(row.person)),
                })
            })
            .collect();
        return desk.ui.json(&json!(list));
    }
    let rows: Vec<Vec<String>> = book
        .people
        .iter()
        .map(|row| {
            let until = expires(row.person).map(|day| format!("until {day}"));
            let licence = row.licence.clone().into_iter().chain(until).collect::<Vec<_>>().join(" ");
            let name = row.name.clone().unwrap_or_else(|| "(erased)".to_owned());
            vec![row.person.short(), name, row.contact.clone().unwrap_or_default(), licence]
        })
        .collect();
    desk.ui.table(&["id", "name", "contact", "license"], &rows)
}

fn list_instruments(desk: &mut Desk<'_>, book: &Book) -> Result<(), Trouble> {
    let company = DocId::new(desk.device()?.identity().company(), DocKind::Company);
    let read = read_or_empty(desk.device()?, company)?;
    let today = desk.now().day();
    let shown = instruments(&read);
    let owner = |id| {
        let field = Field::named("instrument/{}/owner").about(Of::Entry(id));
        match read.field(&field)?.governs()?.value {
            FieldValue::Person(person) => Some(person),
            _ => None,
        }
    };
    let retired = |id| {
        let field = Field::named("instrument/{}/retired").about(Of::Entry(id));
        let said = read.field(&field).and_then(|merged| merged.governs());
        said.is_some_and(|said| said.value == FieldValue::Flag(true))
    };
    if desk.ui.manners.json {
        let list: Vec<_> = shown
            .iter()
            .map(|own| {
                let (_, due) = calibration_on(&read, own.id, today);
                json!({
                    "instrument": own.id.to_string(),
                    "label": own.label,
                    "kind": own.kind.key(),
                    "owner": owner(own.id).map(|person| person.to_string()),
                    "due": json::day(due),
                    "retired": retired(own.id),
                    "calibrations": own.calibrations.iter().map(|(done, due)| json!({
                        "done": done.to_string(),
                        "due": json::day(*due),
                    })).collect::<Vec<_>>(),
                })
            })
            .collect();
        return desk.ui.json(&json!(list));
    }
    let rows: Vec<Vec<String>> = shown
        .iter()
        .map(|own| {
            let state = match calibration_on(&read, own.id, today) {
                _ if retired(own.id) => "out of use".to_owned(),
                (Calibration::Current, Some(due)) => format!("due {due}"),
                (Calibration::Overdue, Some(due)) => format!("OVERDUE since {due}"),
                _ => "no calibration known".to_owned(),
            };
            let owner = owner(own.id).map(|person| book.person(person)).unwrap_or_default();
            vec![own.label.clone(), own.kind.says().to_owned(), owner, state]
        })
        .collect();
    desk.ui.table(&["label", "kind", "owner", "calibration"], &rows)
}

fn catalogue(desk: &mut Desk<'_>) -> Result<(), Trouble> {
    let company = DocId::new(desk.device()?.identity().company(), DocKind::Company);
    let read = read_or_empty(desk.device()?, company)?;
    let lines = read.counted(Kind::CatalogueLine).filter_map(|entry| match &entry.body {
        Body::CatalogueLine(line) => Some((entry.id, line)),
        _ => None,
    });
    if desk.ui.manners.json {
        let list: Vec<_> = lines
            .map(|(id, line)| {
                json!({
                    "entry": id.to_string(),
                    "part": line.part,
                    "code": line.code,
                    "counted_in": line.counted_in,
                })
            })
            .collect();
        return desk.ui.json(&json!(list));
    }
    let rows: Vec<Vec<String>> = lines
        .map(|(id, line)| {
            let text = |own: &Option<String>| own.clone().unwrap_or_default();
            vec![short(id), line.part.clone(), text(&line.code), text(&line.counted_in)]
        })
        .collect();
    desk.ui.table(&["entry", "part", "code", "counted in"], &rows)
}
