//! `contradictions`: where two people said different things, with every side.

use client_core::present::both::{Both, of_papers, of_visit};
use client_core::present::say::short;
use client_core::present::{Names as _, Say};
use client_core::record::contradiction::Contradiction;
use client_core::record::doc_id::{DocId, DocKind};
use client_core::record::id::ApplianceId;
use serde_json::json;

use crate::args::At;
use crate::desk::{Desk, Place};
use crate::error::Trouble;
use crate::ui::Tone;

/// Show where the halves of a record say different things: every side, what governs, what settles it
#[derive(Debug, clap::Args)]
pub struct Args {
    /// Only those of this unit
    #[arg(long)]
    unit: Option<String>,
    #[command(flatten)]
    at: At,
}

pub(crate) fn run(args: &Args, desk: &mut Desk<'_>) -> Result<(), Trouble> {
    let place = desk.place(&args.at)?;
    let unit = match &args.unit {
        Some(typed) => Some(place.book.find_unit(Some(place.site), typed)?.1),
        None => None,
    };
    let mut found = all(desk, &place)?;
    found.retain(|both| unit.is_none() || both.unit == unit);
    if desk.ui.manners.json {
        let list: Vec<_> = found.iter().map(|both| as_json(&place, both)).collect();
        return desk.ui.json(&json!(list));
    }
    if found.is_empty() {
        return desk.ui.line("nothing is contradicted");
    }
    for both in &found {
        let unit = both.unit.map(|unit| format!("{}  ", place.book.unit(unit))).unwrap_or_default();
        desk.ui.toned(Tone::Head, &format!("{unit}{}  [{}]", both.about, both.key))?;
        for side in &both.sides {
            let with = side.instrument.as_ref().map(|own| format!(" with {own}")).unwrap_or_default();
            let marks = if side.marks.is_empty() {
                String::new()
            } else {
                format!(" [{}]", side.marks.join("; "))
            };
            let mark = if side.governs { "*" } else { " " };
            desk.ui.line(&format!(
                "  {mark} {}  {}: {}{with}, {} {}{marks}",
                short(side.entry),
                place.book.person(side.person),
                side.says,
                side.at.day(),
                side.at.clock()
            ))?;
        }
        desk.ui.line(&format!("    {}; {}", both.governs, both.next))?;
    }
    Ok(())
}

fn as_json(place: &Place, both: &Both) -> serde_json::Value {
    let sides: Vec<_> = both
        .sides
        .iter()
        .map(|side| {
            json!({
                "entry": side.entry.to_string(),
                "says": side.says,
                "person": place.book.person(side.person),
                "at": side.at.to_string(),
                "instrument": side.instrument,
                "marks": side.marks,
                "governs": side.governs,
            })
        })
        .collect();
    json!({
        "key": both.key,
        "unit": both.unit.map(|unit| unit.to_string()),
        "unit_no": both.unit.map(|unit| place.book.unit(unit)),
        "about": both.about,
        "sides": sides,
        "governs": both.governs,
        "next": both.next,
    })
}

fn all(desk: &mut Desk<'_>, place: &Place) -> Result<Vec<Both>, Trouble> {
    let system = desk.system;
    let say = Say { names: &place.book, system };
    let mut found = vec![];
    let keyed: Vec<(Option<ApplianceId>, Contradiction)> = super::settle::all(desk, place)?;
    let outside = |one: &Contradiction| match one {
        Contradiction::RemovedWithEvidence { .. } => true,
        other => other
            .doc()
            .is_some_and(|doc| matches!(doc.kind, DocKind::Site | DocKind::Company)),
    };
    {
        let opened = desk.device()?.open_visit(place.site, place.visit)?;
        let file = opened.file();
        let own = keyed.iter().filter(|(_, one)| !outside(one));
        found.extend(own.map(|(_, one)| of_visit(&file, one, &say)));
    }
    for (_, one) in keyed.iter().filter(|(_, one)| outside(one)) {
        let doc = one.doc().unwrap_or(DocId::new(place.site, DocKind::Site));
        let papers = desk.device()?.read_doc(doc)?;
        found.push(of_papers(&papers, one, &say));
    }
    Ok(found)
}
