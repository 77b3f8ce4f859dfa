//! What a technician who reads French or Spanish sees: every screen of the scenario, searched for English.

use std::collections::{BTreeMap, BTreeSet};

use client_core::fault::table::Table;
use client_core::record::code::VisitKind;
use client_core::record::id::{ApplianceId, SiteId};
use client_core::record::value::Moment;
use phone::app::App;
use phone::tap::{Deed, Name, Place};
use serde_json::Value;
use tests::story::player::Who;

/// Words that every English sentence has some of, and that are no words of French or Spanish.
const ENGLISH: [&str; 30] = [
    "the", "is", "are", "was", "and", "with", "of", "not", "by", "from", "to", "for", "this",
    "that", "has", "after", "before", "taken", "read", "only", "still", "since", "until", "at",
    "it", "its", "both", "you", "who", "what",
];

/// A cold morning after the scenario.
const MORNING: i64 = 1_768_903_200;

struct Hand {
    app: App,
    now: i64,
}

impl Hand {
    fn tap(&mut self, words: &str) -> String {
        self.now += 2;
        self.app.tap(words, BTreeMap::new(), Moment { secs: self.now, offset_min: 0 });
        self.app.page()
    }
}

/// Every text of the scenario: what people typed stays in the language they typed it in.
fn typed_by_people(value: &Value, into: &mut BTreeSet<String>) {
    match value {
        Value::String(text) => {
            let text = text.to_lowercase();
            // Parts of a text stand alone on a screen, or in another order.
            into.extend(text.split(['.', ',', ';', ':']).map(|part| part.trim().to_owned()));
            into.insert(text);
        }
        Value::Array(all) => all.iter().for_each(|own| typed_by_people(own, into)),
        Value::Object(all) => all.values().for_each(|own| typed_by_people(own, into)),
        _ => {}
    }
}

/// What a person reads or hears on a page: texts and labels.
fn texts(page: &str) -> Vec<String> {
    let plain = |text: &str| {
        text.replace("&lt;", "<").replace("&gt;", ">").replace("&quot;", "\"").replace("&amp;", "&")
    };
    let mut found: Vec<String> = vec![];
    for part in page.split('>').skip(1) {
        found.extend(part.split('<').next().map(plain));
    }
    for name in [" aria-label=\"", " alt=\"", " placeholder=\""] {
        found.extend(page.split(name).skip(1).filter_map(|rest| rest.split('"').next()).map(plain));
    }
    found.retain(|text| text.chars().any(char::is_alphabetic));
    found
}

/// English words of a text, people's own texts left out.
fn english(text: &str, people: &[String]) -> Vec<String> {
    let mut text = text.to_lowercase();
    // The slip's line of work is somebody's own text, cut at its width.
    for line in ["\nfait ", "\nhecho "] {
        if let Some((before, after)) = text.split_once(line) {
            text = format!("{before}\n{}", after.split_once('\n').map_or("", |(_, rest)| rest));
        }
    }
    for own in people {
        if text.contains(own.as_str()) {
            text = text.replace(own.as_str(), " ");
        }
    }
    text.split(|letter: char| !letter.is_alphabetic() && letter != '\u{2019}' && letter != '\'')
        .filter(|word| ENGLISH.contains(word))
        .map(str::to_owned)
        .collect()
}

/// Taps that lead to another screen and change nothing.
fn ways(page: &str) -> Vec<String> {
    let taps = page.split(" data-tap=\"").skip(1).filter_map(|rest| rest.split('"').next());
    taps.filter(|tap| tap.starts_with("go ")).map(str::to_owned).collect()
}

#[test]
fn no_screen_of_the_scenario_says_a_sentence_in_english_to_who_reads_french_or_spanish() {
    let scenario = std::fs::read_to_string(
        std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("fixtures/demo/scenario.json"),
    );
    let scenario: Value = serde_json::from_str(&scenario.unwrap()).unwrap();
    let mut people = BTreeSet::new();
    typed_by_people(&scenario, &mut people);
    // Texts that the story puts together out of the scenario's.
    people.extend(
        [
            "and tagged",
            "and raised room co",
            "repaired or replaced by a licensed firm",
            "and proved",
        ]
        .map(str::to_owned),
    );
    // The longest first: a short one may be part of it.
    let mut people: Vec<String> = people.into_iter().filter(|own| own.contains(' ')).collect();
    people.sort_by_key(|own| std::cmp::Reverse(own.len()));

    let (mut player, ..) = crate::story::played();
    let device = player.devices.remove(&Who::Ilse).unwrap();
    let unit: ApplianceId = player.units["UH-01"];
    let app = App::open(device, Moment { secs: MORNING, offset_min: 0 }).unwrap();
    let mut hand = Hand { app, now: MORNING };
    let mut wrong: BTreeMap<String, String> = BTreeMap::new();
    let mut pages = 0;
    for language in ["fr", "es"] {
        hand.tap(&format!("set language {language}"));
        let mut look = |page: &str, tap: &str| {
            pages += 1;
            for text in texts(page) {
                if !english(&text, &people).is_empty() {
                    wrong.entry(text).or_insert_with(|| format!("{language}: {tap}"));
                }
            }
        };
        let sites = hand.tap(&format!("go {}", Place::Sites {}));
        let visits: Vec<String> = sites
            .split(" data-tap=\"visit ")
            .skip(1)
            .filter_map(|rest| Some(format!("visit {}", rest.split('"').next()?)))
            .collect();
        assert!(visits.len() > 1, "{sites}");
        look(&sites, "sites");
        for visit in visits {
            let mut seen = BTreeSet::new();
            let mut open = vec![visit];
            while let Some(tap) = open.pop() {
                let page = hand.tap(&tap);
                look(&page, &tap);
                let new = ways(&page).into_iter().filter(|way| seen.insert(way.clone()));
                open.extend(new.collect::<Vec<_>>());
            }
        }
        // A search for a fault, with a result of every kind that the first test offers.
        hand.tap(&Deed::Begin { site: SiteId([0x0a; 8]), kind: VisitKind::NoHeat }.to_string());
        let table = Table::standard();
        for symptom in table.symptom_ids() {
            let key = table[symptom].key;
            let deed = Deed::ItDoes { unit, symptom: Name(key.to_owned()) };
            hand.tap(&deed.to_string());
            for tap in [
                format!("go {}", Place::Start { unit }),
                Deed::StartNow { unit }.to_string(),
                Deed::Stamp { unit, step: 0 }.to_string(),
                Deed::StopAfter { unit, step: 0 }.to_string(),
                Deed::NoSmell { unit }.to_string(),
                format!("go {}", Place::Tests { unit }),
                format!("go {}", Place::Fault { unit }),
            ] {
                let page = hand.tap(&tap);
                look(&page, &tap);
            }
        }
    }
    assert!(pages > 1_000, "only {pages}");
    assert!(wrong.is_empty(), "{} texts in English: {wrong:#?}", wrong.len());
}
