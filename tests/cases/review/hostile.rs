//! Hostile text in every text field of the record: every register that holds words, and every text of every
//! kind of entry that the invented scenario has. No page, report or export makes markup of any of it.

use std::collections::BTreeMap;
use std::sync::atomic::Ordering;

use client_core::device::Step;
use client_core::exchange::frame;
use client_core::record::action::{Action, Setting};
use client_core::record::body::{Body, Home, Kind, decode, encode};
use client_core::record::doc_id::{DocId, DocKind};
use client_core::record::field::{FIELDS, Field, FieldValue, Holds};
use client_core::record::stamp::Stamp;
use client_core::record::value::Moment;
use minicbor::data::Type;
use minicbor::{Decoder, Encoder};
use tests::net::Desk;
use tests::story::player::Who;
use tests::world::talk;

use super::AT;
use super::guard::{HOSTILE, stays_text};
use super::story::{Played, SITE, links, played};

/// Kinds that are entered by acts of their own; their texts come through forms or other acts below.
const BY_ACT: [Kind; 11] = [
    Kind::SignOff,
    Kind::Tag,
    Kind::Release,
    Kind::Lock,
    Kind::Question,
    Kind::Answer,
    Kind::Target,
    Kind::Note,
    Kind::Void,
    Kind::Settlement,
    Kind::Roster,
];

/// Copies CBOR item by item; the text at `at` becomes another one. Gives how many texts there are.
fn with_text(bytes: &[u8], at: usize, text: &str) -> (Vec<u8>, usize) {
    let mut input = Decoder::new(bytes);
    let mut out = Encoder::new(vec![]);
    let mut texts = 0;
    while input.position() < bytes.len() {
        let start = input.position();
        match input.datatype().unwrap() {
            Type::Array => drop(out.array(input.array().unwrap().unwrap()).unwrap()),
            Type::Map => drop(out.map(input.map().unwrap().unwrap()).unwrap()),
            Type::String => {
                let own = input.str().unwrap();
                let own = if texts == at { text } else { own };
                texts += 1;
                out.str(own).unwrap();
            }
            _ => {
                input.skip().unwrap();
                out.writer_mut().extend_from_slice(&bytes[start..input.position()]);
            }
        }
    }
    (out.into_writer(), texts)
}

/// An entry with hostile words in each of its texts, as far as they are free.
fn hostile_body(stamp: &Stamp, body: &Body) -> Body {
    let mut body = body.clone();
    let mut at = 0;
    loop {
        let bytes = encode(stamp, &body);
        let words = format!("{at} {}", HOSTILE.join(" "));
        let (bent, texts) = with_text(&bytes[1..], at, &words);
        if at >= texts {
            return body;
        }
        // A word of a closed list takes no other: it stays.
        if let Ok((_, own)) = decode(body.kind(), &[&bytes[..1], &bent].concat()) {
            body = own;
        }
        at += 1;
    }
}

/// One entry of each kind, with the document it stands in.
fn one_of_each(played: &mut Played) -> BTreeMap<Kind, (DocId, Body)> {
    let mut docs = vec![DocId::new(SITE, DocKind::Site)];
    let units: Vec<_> = played.player.units.values().copied().collect();
    docs.extend(units.iter().map(|unit| DocId::new(SITE, DocKind::Appliance(*unit))));
    for visit in played.player.visits.values().copied() {
        docs.push(DocId::new(SITE, DocKind::Visit(visit)));
        docs.extend(units.iter().map(|unit| DocId::new(SITE, DocKind::Sheet(visit, *unit))));
    }
    let mut found = BTreeMap::new();
    for doc in docs {
        let Ok(papers) = played.player.device(Who::Oriane).read_doc(doc) else { continue };
        for entry in papers.read.entries.iter().filter(|entry| entry.counts()) {
            found.entry(entry.body.kind()).or_insert_with(|| (doc, entry.body.clone()));
        }
    }
    found
}

fn words_everywhere() -> String {
    HOSTILE.join(" ")
}

/// Every register that holds words, of a home.
fn registers(home: Home) -> Vec<Setting> {
    let words = |def: &&client_core::record::field::FieldDef| {
        def.home == home && def.holds == Holds::Text && !def.key.contains("{}")
    };
    let own = FIELDS.iter().filter(words);
    own.map(|def| {
        let value = FieldValue::Text(words_everywhere());
        Setting { field: Field::named(def.key), value, reason: Some(words_everywhere()) }
    })
    .collect()
}

fn exchange(played: &mut Played) {
    let now = played.hall.clock.load(Ordering::Relaxed);
    let hall = &played.hall;
    let boss = played.player.devices.get_mut(&Who::Oriane).unwrap();
    talk(boss, now, vec![], &mut |request| {
        let answer = hall.post(AT, frame::PATH, request);
        assert_eq!(answer.status, 200, "{}", answer.text());
        Ok(answer.body)
    })
    .unwrap();
}

#[test]
fn no_text_of_the_record_becomes_markup_on_any_page_or_report() {
    let mut played = played(130);
    let now = played.hall.clock.load(Ordering::Relaxed);
    let person = played.player.device(Who::Oriane).identity().person;
    let stamp = Stamp::new(person, Moment { secs: now, offset_min: -300 });
    let each = one_of_each(&mut played);
    assert!(each.len() > 20, "{:?}", each.keys());
    let mut entered = 0;
    for (kind, (doc, body)) in &each {
        let hostile = hostile_body(&stamp, body);
        let step = match hostile {
            Body::Question(question) => Step::new(*doc, Action::Ask(question)),
            other => Step::new(*doc, Action::Enter(vec![other])),
        };
        match played.player.device(Who::Oriane).act(&[step], &stamp) {
            Ok(_) => entered += 1,
            Err(wrong) => assert!(BY_ACT.contains(kind), "{kind:?}: {wrong}"),
        }
    }
    assert!(entered >= 16, "{entered} kinds");
    let visit = played.player.visit("V-2").unwrap();
    let unit = played.player.unit("UH-05").unwrap();
    let homes = [
        (Home::Site, DocKind::Site),
        (Home::Appliance, DocKind::Appliance(unit)),
        (Home::Visit, DocKind::Visit(visit)),
        (Home::Sheet, DocKind::Sheet(visit, unit)),
    ];
    for (home, kind) in homes {
        let settings = registers(home);
        assert!(!settings.is_empty(), "{home:?}");
        let step = Step::new(DocId::new(SITE, kind), Action::Set(settings));
        played.player.device(Who::Oriane).act(&[step], &stamp).unwrap();
    }
    exchange(&mut played);
    forms(&mut played);
    look(&mut played);
}

/// What people type into forms.
fn forms(played: &mut Played) {
    let words = words_everywhere();
    let visit = played.visit("V-2");
    played.desk.page(&played.hall, &visit);
    let text = [("text", words.as_str()), ("reason", words.as_str()), ("name", words.as_str())];
    for path in [format!("{visit}/query"), "/review/firm".to_owned()] {
        let answer = played.desk.post(&played.hall, &path, &text);
        assert_eq!(answer.status, 303, "{path}: {}", answer.text());
    }
    let area = [("label", words.as_str())];
    let path = format!("/review/sites/{SITE}/area");
    assert_eq!(played.desk.post(&played.hall, &path, &area).status, 303);
    let list =
        format!("unit_no,maker\n\"{}\",\"{}\"\n", words.replace('"', "'"), words.replace('"', "'"));
    for list in [list, words.clone()] {
        let fields = [("list", list.as_str()), ("reason", words.as_str()), ("do", "enter")];
        let answer =
            played.desk.post(&played.hall, &format!("/review/sites/{SITE}/import"), &fields);
        stays_text(&String::from_utf8(answer.body).unwrap(), "import");
    }
    let wrong = [("name", words.as_str()), ("password", "x"), ("to", words.as_str())];
    let answer = Desk::at("192.0.2.99").post(&played.hall, "/review/sign-in", &wrong);
    stays_text(&answer.text(), "sign-in");
}

fn look(played: &mut Played) {
    let mut pages = vec![
        "/review".to_owned(),
        "/review/visits".to_owned(),
        "/review/sites".to_owned(),
        "/review/questions".to_owned(),
        "/review/people".to_owned(),
        "/review/audit".to_owned(),
        "/review/quarantine".to_owned(),
        "/review/search?q=alert".to_owned(),
        format!("/review/sites/{SITE}"),
        format!("/review/sites/{SITE}/labels"),
        format!("/review/sites/{SITE}/report/differences?lang=fr"),
    ];
    let units: Vec<_> = played.player.units.values().copied().collect();
    for key in ["V-1", "V-2"] {
        let visit = played.visit(key);
        let page = played.desk.page(&played.hall, &visit);
        pages.extend(links(&page, &format!("{visit}/settle")));
        let id = played.player.visit(key).unwrap();
        for kind in ["customer", "visit", "morning", "restock"] {
            for language in ["en", "fr", "es"] {
                pages
                    .push(format!("/review/sites/{SITE}/report/{kind}?visit={id}&lang={language}"));
            }
        }
        let unit = units[0];
        pages.push(format!("/review/sites/{SITE}/report/column?visit={id}&unit={unit}"));
        pages.push(visit);
    }
    for unit in &units {
        pages.push(format!("/review/sites/{SITE}/units/{unit}"));
        pages.push(format!("/review/sites/{SITE}/report/unit?unit={unit}"));
    }
    let mut shown = 0;
    for path in pages {
        let answer = played.desk.get(&played.hall, &path);
        if answer.status == 404 {
            continue;
        }
        assert_eq!(answer.status, 200, "{path}");
        let page = answer.text();
        shown += usize::from(page.contains("&lt;script&gt;alert(1)"));
        stays_text(&page, &path);
    }
    assert!(shown > 30, "the texts are shown, as texts, on {shown} pages");
}

#[test]
fn whatever_is_put_into_pages_as_it_is_was_written_here() {
    let trusted = ["server/src/pages/shape.rs", "reports/src/face/page.rs"];
    let top = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).parent().unwrap();
    let mut open = vec![top.join("server/src"), top.join("reports/src")];
    while let Some(folder) = open.pop() {
        for entry in std::fs::read_dir(folder).unwrap() {
            let path = entry.unwrap().path();
            if path.is_dir() {
                open.push(path);
                continue;
            }
            let text = std::fs::read_to_string(&path).unwrap_or_default();
            let name = path.strip_prefix(top).unwrap().to_string_lossy().into_owned();
            if path.extension().is_some_and(|ending| ending == "rs") && text.contains("PreEscaped(")
            {
                assert!(trusted.contains(&name.as_str()), "{name} puts text in unescaped");
            }
        }
    }
}
