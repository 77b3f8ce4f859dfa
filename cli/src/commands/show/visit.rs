//! A visit: its head, its units with their state, labour, sign-offs, questions of the reviewer.

use client_core::present::{Names as _, Say};
use client_core::record::body::{Body, Kind};
use client_core::record::code::Outcome;
use client_core::record::contradiction::Contradiction;
use client_core::record::field::{Field, FieldValue, Of};
use client_core::record::file::VisitFile;
use client_core::record::read::Entry;
use serde_json::{Value, json};

use super::{entry_line, field_json, field_words};
use crate::args::At;
use crate::book::Book;
use crate::desk::Desk;
use crate::error::Trouble;
use crate::ui::{Tone, counted};

/// What a unit's line of the visit says.
struct UnitLine {
    unit_no: String,
    id: String,
    assigned: String,
    outcome: Option<Outcome>,
    status: &'static str,
    readings: usize,
    contradictions: usize,
    blockers: usize,
}

/// Everything that is shown, so that the documents can be let go before it is printed.
struct Shown {
    fields: Vec<Value>,
    words: Vec<(Tone, String)>,
    units: Vec<UnitLine>,
    head: Vec<(Kind, String)>,
    texts: Vec<(String, String, String)>,
    contradictions: usize,
    blockers: usize,
    waiting: Vec<String>,
    released: bool,
    late: usize,
    minutes: u64,
}

pub(super) fn show(desk: &mut Desk<'_>, at: &At) -> Result<(), Trouble> {
    let place = desk.place(at)?;
    let system = desk.system;
    let shown = {
        let opened = desk.device()?.open_visit(place.site, place.visit)?;
        lay_out(&opened.file(), &place.book, system)
    };
    if desk.ui.manners.json {
        return desk.ui.json(&as_json(&place.visit.to_string(), &place.site.to_string(), &shown));
    }
    let title = format!("visit {} at {}", place.visit, place.book.site(place.site));
    desk.ui.toned(Tone::Head, &title)?;
    for (tone, words) in &shown.words {
        desk.ui.toned(*tone, words)?;
    }
    let rows: Vec<Vec<String>> = shown.units.iter().map(row).collect();
    desk.ui.table(&["unit", "who", "outcome", "status", "readings", "look at"], &rows)?;
    for (kind, words) in &shown.head {
        let tone = if *kind == Kind::SignOff { Tone::Head } else { Tone::Plain };
        desk.ui.toned(tone, words)?;
    }
    for (_, subject, text) in &shown.texts {
        desk.ui.line(&format!("  {subject}: {text}"))?;
    }
    if shown.minutes > 0 {
        desk.ui.line(&format!("labour {} min", shown.minutes))?;
    }
    desk.ui.line(&format!(
        "{}, {} the sign-off, {}",
        counted(shown.contradictions, "contradiction", "contradictions"),
        counted(shown.blockers, "item blocks", "items block"),
        if shown.released { "signed by a supervisor" } else { "not signed by a supervisor" }
    ))?;
    if shown.late > 0 {
        let says = format!("{} after the sign-off: a second one is asked for", counted(shown.late, "entry", "entries"));
        desk.ui.toned(Tone::Look, &says)?;
    }
    for words in &shown.waiting {
        desk.ui.toned(Tone::Look, &format!("waiting for a supervisor: {}", words.trim()))?;
    }
    Ok(())
}

fn row(unit: &UnitLine) -> Vec<String> {
    let mut look = vec![];
    if unit.contradictions > 0 {
        look.push(counted(unit.contradictions, "contradiction", "contradictions"));
    }
    if unit.blockers > 0 {
        look.push(format!("{} block", unit.blockers));
    }
    let outcome = unit.outcome.map_or("open", Outcome::says).to_owned();
    vec![
        unit.unit_no.clone(),
        unit.assigned.clone(),
        outcome,
        unit.status.to_owned(),
        unit.readings.to_string(),
        look.join(", "),
    ]
}

fn lay_out(
    file: &VisitFile<'_>,
    book: &Book,
    system: Option<client_core::trade::unit::System>,
) -> Shown {
    let say = Say { names: book, system };
    let read = &file.head.read;
    let contradictions = file.contradictions();
    let blockers: Vec<_> =
        file.blockers().into_iter().filter(|own| own.excepted.is_none()).collect();
    let plain = |field: &&(Field, _)| field.0.of.is_none();
    let fields = read.fields.iter().filter(plain);
    let line = |entry: &Entry| (entry.body.kind(), entry_line(&say, entry, &[]));
    let head = |kind: &Kind| {
        matches!(
            kind,
            Kind::Crew | Kind::Labour | Kind::SignOff | Kind::Reopen | Kind::Exception | Kind::Query
                | Kind::Reply
        )
    };
    let doubles = client_core::record::contradiction::counted_twice(read);
    let minutes = read.counted(Kind::Labour).filter(|entry| !doubles.contains(&entry.id));
    let minutes = minutes.map(|entry| match &entry.body {
        Body::Labour(labour) => u64::from(labour.minutes),
        _ => 0,
    });
    let waiting = file.papers().flat_map(|papers| &papers.read.entries);
    Shown {
        fields: fields.clone().map(|(field, merged)| field_json(&say, field, merged)).collect(),
        words: fields
            .map(|(field, merged)| {
                let tone = if merged.contested() { Tone::Look } else { Tone::Plain };
                (tone, format!("  {}: {}", field.def.says, field_words(&say, field, merged)))
            })
            .collect(),
        units: units(file, book, &contradictions, &blockers),
        head: read
            .entries
            .iter()
            .filter(|entry| entry.shown() && head(&entry.body.kind()))
            .map(line)
            .collect(),
        texts: read
            .texts
            .iter()
            .map(|text| (text.note.to_string(), text.subject.clone(), text.text.clone()))
            .collect(),
        contradictions: contradictions.len(),
        blockers: blockers.len(),
        waiting: waiting
            .filter(|entry| !entry.shown())
            .map(|entry| entry_line(&say, entry, &[]))
            .collect(),
        released: file.signed().released,
        late: file.late().len(),
        minutes: minutes.sum(),
    }
}

fn units(
    file: &VisitFile<'_>,
    book: &Book,
    contradictions: &[Contradiction],
    blockers: &[client_core::record::blocker::Blocker],
) -> Vec<UnitLine> {
    let mut lines: Vec<(i64, UnitLine)> = file
        .units
        .iter()
        .map(|unit| {
            let of = Of::Appliance(unit.appliance);
            let field = |key: &str| file.head.read.field(&Field::named(key).about(of));
            let assigned = match field("assign/{}/person").and_then(|own| own.governs()) {
                Some(said) => match said.value {
                    FieldValue::Person(person) => book.person(person),
                    _ => String::new(),
                },
                None if field("assign/{}/person").is_some() => "NOT SETTLED".to_owned(),
                None => String::new(),
            };
            let order = match field("assign/{}/order").and_then(|own| own.governs()) {
                Some(said) => match said.value {
                    FieldValue::Figure(figure) => figure.digits.mantissa(),
                    _ => i64::MAX,
                },
                None => i64::MAX,
            };
            let sheet = unit.sheet.as_ref();
            let outcome = sheet.and_then(|sheet| sheet.read.named("sheet/outcome"));
            let outcome = outcome.and_then(|merged| merged.governs()).and_then(|said| match said.value {
                FieldValue::Word(code) => Some(Outcome::from_code(code)),
                _ => None,
            });
            let own = |one: &&Contradiction| {
                one.doc().and_then(client_core::record::doc_id::DocId::appliance) == Some(unit.appliance)
            };
            let line = UnitLine {
                unit_no: book.unit(unit.appliance),
                id: unit.appliance.to_string(),
                assigned,
                outcome,
                status: unit.status().says(),
                readings: sheet.map_or(0, |sheet| sheet.read.counted(Kind::Reading).count()),
                contradictions: contradictions.iter().filter(own).count(),
                blockers: blockers.iter().filter(|own| own.appliance == unit.appliance).count(),
            };
            (order, line)
        })
        .collect();
    lines.sort_by(|one, other| (one.0, &one.1.unit_no).cmp(&(other.0, &other.1.unit_no)));
    lines.into_iter().map(|(_, line)| line).collect()
}

fn as_json(visit: &str, site: &str, shown: &Shown) -> Value {
    let units: Vec<_> = shown
        .units
        .iter()
        .map(|unit| {
            json!({
                "unit": unit.id,
                "unit_no": unit.unit_no,
                "assigned": unit.assigned,
                "outcome": unit.outcome.map(Outcome::key),
                "status": unit.status,
                "readings": unit.readings,
                "contradictions": unit.contradictions,
                "blockers": unit.blockers,
            })
        })
        .collect();
    let texts: Vec<_> = shown
        .texts
        .iter()
        .map(|(note, subject, text)| json!({ "note": note, "subject": subject, "text": text }))
        .collect();
    let head: Vec<_> =
        shown.head.iter().map(|(kind, words)| json!({ "kind": kind.root(), "says": words.trim() })).collect();
    json!({
        "visit": visit,
        "site": site,
        "values": shown.fields,
        "units": units,
        "head": head,
        "texts": texts,
        "labour_minutes": shown.minutes,
        "contradictions": shown.contradictions,
        "blockers": shown.blockers,
        "released": shown.released,
        "after_sign_off": shown.late,
        "waiting": shown.waiting.len(),
    })
}
