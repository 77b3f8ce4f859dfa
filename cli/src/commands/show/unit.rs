//! A unit: plate, status, targets, advisories, locks, questions, events.

use client_core::present::Say;
use client_core::record::body::Kind;
use client_core::record::file::UnitInVisit;
use serde_json::json;

use super::{entry_json, entry_line, field_json, field_words, problems, state};
use crate::args::At;
use crate::desk::Desk;
use crate::entries;
use crate::error::Trouble;
use crate::ui::Tone;

pub(super) fn show(desk: &mut Desk<'_>, at: &At, typed: &str) -> Result<(), Trouble> {
    let (mut book, site, appliance, doc) = entries::appliance(desk, at, typed)?;
    let site_doc =
        client_core::record::doc_id::DocId::new(site, client_core::record::doc_id::DocKind::Site);
    let site_read = crate::book::read_or_empty(desk.device()?, site_doc)?;
    book.add_positions(&site_read);
    let (read, tag, locks, able) = {
        let papers = desk.device()?.read_doc(doc)?;
        let unit = UnitInVisit { appliance, sheet: None, unit: Some(papers), governing: vec![] };
        let tag = unit.tag_in_force().map(|entry| entry.id);
        let locks = unit.locks_on().len();
        let able = unit.able_to_fire();
        let papers = unit.unit.expect("it was put there just now");
        (papers.read, tag, locks, able)
    };
    let say = Say { names: &book, system: desk.system };
    if desk.ui.manners.json {
        let fields: Vec<_> =
            read.fields.iter().map(|(field, merged)| field_json(&say, field, merged)).collect();
        let mut list = vec![];
        for entry in read.entries.iter().filter(|entry| entry.shown()) {
            let state = state(desk.device()?, entry)?;
            list.push(entry_json(&say, entry, &[], state));
        }
        return desk.ui.json(&json!({
            "unit": appliance.to_string(),
            "site": site.to_string(),
            "unit_no": client_core::present::Names::unit(&book, appliance),
            "tag_in_force": tag.map(|id| id.to_string()),
            "locks_on": locks,
            "able_to_fire": able,
            "values": fields,
            "entries": list,
        }));
    }
    let name = client_core::present::Names::unit(&book, appliance);
    desk.ui.toned(Tone::Head, &format!("{name} at {} ({appliance})", book.site(site)))?;
    if tag.is_some() {
        desk.ui.toned(Tone::Stop, "  SHUT DOWN: a record is in force")?;
    }
    for (field, merged) in &read.fields {
        let tone = if merged.contested() { Tone::Look } else { Tone::Plain };
        let words = field_words(&say, field, merged);
        desk.ui.toned(tone, &format!("  {}: {words}", field.def.says))?;
    }
    let groups: &[(&str, &[Kind])] = &[
        ("shut-downs and locks", &[Kind::Tag, Kind::Release, Kind::Lock]),
        ("advisories", &[Kind::Advisory, Kind::Ack, Kind::Closing]),
        ("questions", &[Kind::Question, Kind::Answer]),
        ("targets", &[Kind::Target]),
        ("events", &[Kind::Event, Kind::Member, Kind::Repoint]),
    ];
    for (title, kinds) in groups {
        let own: Vec<_> = read
            .entries
            .iter()
            .filter(|entry| entry.shown() && kinds.contains(&entry.body.kind()))
            .collect();
        if own.is_empty() {
            continue;
        }
        desk.ui.toned(Tone::Head, title)?;
        for entry in own {
            desk.ui.line(&entry_line(&say, entry, &[]))?;
        }
    }
    problems(desk, &read.problems);
    Ok(())
}
