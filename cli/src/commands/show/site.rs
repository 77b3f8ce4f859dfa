//! A site: customer, gas, areas, positions, texts.

use client_core::present::Say;
use client_core::record::body::Kind;
use client_core::record::doc_id::{DocId, DocKind};
use serde_json::json;

use super::{entry_json, entry_line, field_json, field_words, problems, state};
use crate::book::read_or_empty;
use crate::desk::Desk;
use crate::error::Trouble;
use crate::ui::Tone;

pub(super) fn show(desk: &mut Desk<'_>, typed: Option<&str>) -> Result<(), Trouble> {
    let mut book = desk.book()?;
    let site = desk.site(&book, typed)?;
    let doc = DocId::new(site, DocKind::Site);
    let read = read_or_empty(desk.device()?, doc)?;
    book.add_positions(&read);
    let say = Say { names: &book, system: desk.system };
    let kinds = [Kind::Area, Kind::Position, Kind::Member, Kind::Roster];
    let shown = |entry: &&client_core::record::read::Entry| {
        entry.shown() && kinds.contains(&entry.body.kind())
    };
    let entries: Vec<_> = read.entries.iter().filter(shown).collect();
    if desk.ui.manners.json {
        let fields: Vec<_> =
            read.fields.iter().map(|(field, merged)| field_json(&say, field, merged)).collect();
        let mut list = vec![];
        for entry in &entries {
            let state = state(desk.device()?, entry)?;
            list.push(entry_json(&say, entry, &[], state));
        }
        let texts: Vec<_> = read
            .texts
            .iter()
            .map(|text| {
                json!({ "note": text.note.to_string(), "subject": text.subject, "text": text.text })
            })
            .collect();
        return desk.ui.json(&json!({
            "site": site.to_string(),
            "name": book.site(site),
            "values": fields,
            "entries": list,
            "texts": texts,
        }));
    }
    desk.ui.toned(Tone::Head, &format!("{} ({site})", book.site(site)))?;
    for (field, merged) in &read.fields {
        let tone = if merged.contested() { Tone::Look } else { Tone::Plain };
        let of = field.of.map(|of| match of {
            client_core::record::field::Of::Entry(entry) => format!("{} ", say.entry(entry)),
            _ => String::new(),
        });
        let words = field_words(&say, field, merged);
        desk.ui.toned(tone, &format!("  {}{}: {words}", of.unwrap_or_default(), field.def.says))?;
    }
    for entry in entries {
        desk.ui.line(&entry_line(&say, entry, &[]))?;
    }
    for text in &read.texts {
        desk.ui.line(&format!("  {}: {}", text.subject, text.text))?;
    }
    problems(desk, &read.problems);
    Ok(())
}
