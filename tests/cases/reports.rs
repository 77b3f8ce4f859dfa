//! Reports and exports of the invented scenario: whole, in every language and system of units, the same bytes
//! each time, and as they were looked at when the fixtures were renewed (`UPDATE_FIXTURES=1`).

use std::collections::BTreeMap;

use client_core::device::Device;
use client_core::record::id::{SiteId, VisitId};
use client_core::record::value::Day;
use client_core::trade::unit::System;
use reports::export::{self, line, open, table, whole};
use reports::face::{drawing, page, terminal};
use reports::gather::{Gatherer, Wanted};
use reports::layout::Block;
use reports::text::Span;
use reports::{Firm, Language, Report, Tongue};
use serde_json::Value;
use tests::story::Player;
use tests::story::player::Who;

const SYSTEMS: [(System, &str); 2] = [(System::Us, "us"), (System::Si, "si")];

fn firm() -> Firm {
    Firm { name: "Quillhatch Heat Service".to_owned(), phone: Some("555 0100".to_owned()) }
}

/// Every report that the scenario can give, by a name for its files.
fn wanted(player: &Player) -> Vec<(&'static str, Wanted)> {
    let visit = |key| player.visit(key).unwrap();
    let unit = |tag| player.unit(tag).unwrap();
    let keys: Vec<&String> = player.visits.keys().collect();
    let [first, second, third] = keys.as_slice() else { panic!("three visits: {keys:?}") };
    let question = player.entry("Q-1").unwrap();
    vec![
        ("customer", Wanted::Customer(visit(third))),
        ("visit", Wanted::Visit(visit(second))),
        ("first_visit", Wanted::Visit(visit(first))),
        ("unit", Wanted::Unit(unit("UH-06"))),
        ("question", Wanted::Question(unit("UH-07"), question)),
        ("morning", Wanted::Morning(visit(third))),
        ("restock", Wanted::Restock(visit(second))),
        ("differences", Wanted::Differences),
        ("column", Wanted::Column(visit(third), unit("UH-06"), Day::parse("2026-10-01").ok())),
        ("shut_down", Wanted::ShutDown(visit(second), unit("UH-08"))),
        ("flue", Wanted::Flue(visit(third), unit("UH-06"))),
    ]
}

/// Compares with a fixture, or renews it.
fn keep(name: &str, text: &str) {
    let path = tests::fixture::path(&format!("reports/{name}"));
    if std::env::var_os("UPDATE_FIXTURES").is_some() {
        std::fs::create_dir_all(path.parent().unwrap()).unwrap();
        std::fs::write(&path, text).unwrap();
        return;
    }
    let known = std::fs::read_to_string(&path).unwrap_or_default();
    if let Some((at, (old, new))) =
        known.lines().zip(text.lines()).enumerate().find(|(_, (old, new))| old != new)
    {
        panic!("reports/{name} differs at line {}:\n- {old}\n+ {new}", at + 1);
    }
    assert_eq!(known.len(), text.len(), "reports/{name} has another length");
}

/// What a report may never say, whatever the record holds; our own words only.
fn check_words(name: &str, report: &Report) {
    let own = |span: &Span| match span {
        Span::Words(words) | Span::Strong(words) => Some(words.to_lowercase()),
        Span::Name(_) | Span::Typed(_) => None,
    };
    for words in report.texts().iter().flat_map(|text| &text.0).filter_map(own) {
        // A message that no file has comes in angle brackets.
        assert!(
            !words.contains('<') || words.contains("<400a") || name == "flue" || name == "column",
            "{name}: {words}"
        );
        assert_eq!(forbidden(report.tongue.language, &words), None, "{name}: {words}");
    }
}

/// Words and beginnings of words that no report says in this language, and phrases: promises, orders, a cure
/// for a reading, and absence as proof.
fn never(language: Language) -> (&'static [&'static str], &'static [&'static str]) {
    match language {
        Language::English => (
            &["safe", "safely", "approved*", "certifi*", "complian*", "guarant*", "ignore*"],
            &["ok to run", "no leak", "reset and try", "leak free", "replace part", "will save"],
        ),
        Language::French => (
            &[
                "sûr",
                "sûre",
                "sécuritaire*",
                "approuv*",
                "certifi*",
                "conforme*",
                "garanti*",
                "ignore*",
            ],
            &["aucune fuite", "pas de fuite", "sans fuite", "sans danger", "réarmer et"],
        ),
        Language::Spanish => (
            &["seguro", "segura", "aprobad*", "certific*", "conforme*", "garant*", "ignor*"],
            &["sin fuga", "ninguna fuga", "no hay fuga", "sin peligro", "rearmar y"],
        ),
    }
}

/// The first thing said that must not be said.
fn forbidden(language: Language, words: &str) -> Option<&'static str> {
    let low = words.to_lowercase();
    let (own, phrases) = never(language);
    let said = |never: &&&str| {
        let mut words = low.split(|letter: char| !letter.is_alphanumeric());
        match never.strip_suffix('*') {
            Some(begins) => words.any(|word| word.starts_with(begins)),
            None => words.any(|word| word == **never),
        }
    };
    own.iter().find(said).or_else(|| phrases.iter().find(|never| low.contains(**never))).copied()
}

#[test]
fn no_message_in_any_language_says_what_the_program_never_says() {
    let root = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).parent().unwrap();
    let mut seen = 0;
    for language in Language::ALL {
        let folder = root.join("reports/src/words").join(language.key());
        for file in std::fs::read_dir(folder).unwrap() {
            let path = file.unwrap().path();
            for line in std::fs::read_to_string(&path).unwrap().lines() {
                let Some((key, words)) = line.split_once(" = ") else { continue };
                seen += 1;
                assert_eq!(forbidden(language, words), None, "{}: {key}", path.display());
            }
        }
    }
    assert!(seen > 2_000, "{seen} messages");
    // The scan finds what it looks for.
    assert_eq!(forbidden(Language::English, "The unit is safe."), Some("safe"));
    assert_eq!(forbidden(Language::French, "Aucune fuite."), Some("aucune fuite"));
    assert_eq!(forbidden(Language::Spanish, "Garantizado"), Some("garant*"));
    assert_eq!(forbidden(Language::English, "Pilot safety magnet"), None);
}

fn check_table(name: &str, report: &Report) {
    for block in &report.blocks {
        let Block::Table(table) = block else { continue };
        for row in &table.rows {
            assert_eq!(row.0.len(), table.columns.len(), "{name}: {:?}", table.caption);
            for cell in &row.0 {
                assert!(!cell.text.is_empty(), "{name}: an empty cell in {:?}", table.caption);
            }
        }
    }
}

fn check_text(name: &str, text: &str) {
    for line in text.lines() {
        let width = textwrap::core::display_width(line);
        assert!(width <= terminal::COLUMNS, "{name}: {width} columns: {line}");
        assert!(!line.ends_with(' '), "{name}: a blank at the end of: {line}");
    }
}

/// What the customer keeps is one page, in every language, on both sheets.
#[cfg(feature = "pdf")]
fn is_one_page(name: &str, report: &Report) {
    use reports::face::paper::{Paper, pdf};
    for (paper, sheet) in [(Paper::A4, "a4"), (Paper::Letter, "letter")] {
        let bytes = pdf(report, paper).unwrap();
        if let Some(folder) = std::env::var_os("DRIPLEG_PAPERS") {
            std::fs::create_dir_all(&folder).unwrap();
            let path = std::path::Path::new(&folder).join(format!("{name}.{sheet}.pdf"));
            std::fs::write(path, &bytes).unwrap();
        }
        let pages = lopdf::Document::load_mem(&bytes).unwrap().get_pages().len();
        assert_eq!(pages, 1, "{name} on {sheet}");
    }
}

#[test]
fn every_report_of_the_scenario_in_every_tongue() {
    let (mut player, _, _) = super::story::played();
    let (site, wanted) = (player.site, wanted(&player));
    let mut gatherer = Gatherer::new(player.device(Who::Oriane), firm()).unwrap();
    let mut seen: BTreeMap<&str, usize> = BTreeMap::new();
    for (name, wanted) in wanted {
        let model = gatherer.model(site, wanted).unwrap_or_else(|wrong| panic!("{name}: {wrong}"));
        assert_eq!(model, gatherer.model(site, wanted).unwrap(), "{name}");
        for language in Language::ALL {
            for (system, units) in SYSTEMS {
                let report = model.report(Tongue::new(language, system));
                let name = format!("{name}.{}.{units}", language.key());
                check_words(name.split('.').next().unwrap(), &report);
                check_table(&name, &report);
                let text = terminal::text(&report);
                check_text(&name, &text);
                #[cfg(feature = "pdf")]
                if report.kind == reports::Kind::Customer {
                    is_one_page(&name, &report);
                }
                let html = page::body(&report).into_string();
                assert!(html.starts_with("<article"), "{name}");
                assert_eq!(html, page::body(&model.report(report.tongue)).into_string());
                if system == System::Us && language == Language::English
                    || system == System::Si && report.kind.narrow()
                    || name.starts_with("customer")
                {
                    keep(&format!("{name}.txt"), &text);
                }
            }
        }
        *seen.entry(model.kind().key()).or_default() += 1;
        let english = model.report(Tongue::new(Language::English, System::Us));
        if name == "customer" || name == "shut_down" {
            keep(&format!("{name}.en.us.html"), &page::body(&english).into_string());
        }
        if let Some(chart) = english.blocks.iter().find_map(|block| match block {
            Block::Chart(chart) => Some(chart),
            _ => None,
        }) {
            keep("flame_current.en.us.svg", &drawing::chart_file(chart));
        }
    }
    let all: Vec<&str> = reports::Kind::ALL.iter().map(|kind| kind.key()).collect();
    assert!(all.iter().all(|kind| seen.contains_key(kind)), "{seen:?} of {all:?}");
    let last = player.visits.values().copied().last().unwrap();
    let second = player.visits.values().copied().nth(1).unwrap();
    let mut gatherer = Gatherer::new(player.device(Who::Oriane), firm()).unwrap();
    exports(&mut gatherer, site, second, last);
}

/// Exports fit their schemas, in every language, and rows are the same in both formats.
fn exports(gatherer: &mut Gatherer<'_, Device>, site: SiteId, second: VisitId, last: VisitId) {
    let english = Tongue::new(Language::English, System::Us);
    for visit in [second, last] {
        let record = gatherer.record(site, visit).unwrap();
        for language in Language::ALL {
            let tongue = Tongue::new(language, System::Si);
            fits(export::VISIT_SCHEMA, &whole::json(&record, tongue));
            fits(export::LINES_SCHEMA, &line::json(&line::lines(&record, tongue)));
        }
    }
    let record = gatherer.record(site, second).unwrap();
    let lines = line::lines(&record, english);
    let mut ids: Vec<_> = lines.iter().map(|line| line.id).collect();
    ids.sort();
    ids.dedup();
    assert_eq!(ids.len(), lines.len(), "an entry is two rows");
    // One flame rod was entered twice and settled as one.
    assert_eq!(lines.iter().filter(|line| line.state == "double").count(), 1);
    let csv = table::csv(&line::table(&lines));
    let mut reader = csv::Reader::from_reader(csv.as_bytes());
    assert_eq!(reader.headers().unwrap().iter().collect::<Vec<_>>(), line::COLUMNS);
    assert_eq!(reader.records().count(), lines.len());
    keep("lines.csv", &csv);
    let rows = export::parquet::parquet(&line::table(&lines));
    let path = tests::fixture::path("reports/lines.parquet");
    if std::env::var_os("UPDATE_FIXTURES").is_some() {
        std::fs::write(&path, &rows).unwrap();
    }
    // tests/reference/parquet.py reads the stored file with pyarrow; here it is the same bytes.
    assert!(std::fs::read(&path).unwrap_or_default() == rows, "reports/lines.parquet differs");
    keep("visit.json", &format!("{:#}\n", whole::json(&record, english)));
    let on = Day::parse("2025-10-20").unwrap();
    let record = gatherer.record(site, last).unwrap();
    let open = open::open(&record, on);
    fits(export::OPEN_SCHEMA, &open::json(&open, on));
    keep("open.csv", &table::csv(&open::table(&open)));
}

fn fits(schema: &str, value: &Value) {
    let schema: Value = serde_json::from_str(schema).unwrap();
    let validator = jsonschema::draft202012::new(&schema).unwrap();
    let wrong: Vec<String> = validator
        .iter_errors(value)
        .take(5)
        .map(|wrong| format!("{} at {}", wrong, wrong.instance_path()))
        .collect();
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn a_schema_refuses_what_it_does_not_know() {
    let schema: Value = serde_json::from_str(export::LINES_SCHEMA).unwrap();
    let validator = jsonschema::draft202012::new(&schema).unwrap();
    let value = serde_json::json!({ "format": "dripleg.lines/1", "lines": [], "price": 3 });
    assert!(!validator.is_valid(&value));
}
