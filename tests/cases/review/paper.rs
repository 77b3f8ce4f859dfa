//! Reports as PDF out of the hub, from the address to what stands on the pages: the scenario settled and
//! signed, in every language, on letter and A4. `DRIPLEG_PAPERS=FOLDER` keeps the files, to be looked at.

use lopdf::Document;
use tests::net::desk::value_of;

use super::story::{Played, SITE, played};

const LANGUAGES: [&str; 3] = ["en", "fr", "es"];
const SHEETS: [&str; 2] = ["letter", "a4"];

/// A paper as it came.
struct Paper {
    pages: usize,
    text: String,
    raw: Document,
}

/// Letters alone: lines break elsewhere on paper, and hyphens at their ends.
fn tight(text: &str) -> String {
    text.chars().filter(|letter| !letter.is_whitespace()).collect()
}

fn paper(played: &mut Played, rest: &str) -> Paper {
    let path = format!("/review/sites/{SITE}/report/{rest}&face=pdf");
    let answer = played.desk.get(&played.hall, &path);
    assert_eq!(answer.status, 200, "{path}: {}", String::from_utf8_lossy(&answer.body));
    assert_eq!(answer.headers["content-type"], "application/pdf", "{path}");
    let disposition = answer.headers["content-disposition"].to_str().unwrap();
    assert!(disposition.starts_with("attachment; filename=\""), "{disposition}");
    assert!(answer.body.starts_with(b"%PDF-1.7"), "{path}");
    if let Some(folder) = std::env::var_os("DRIPLEG_PAPERS") {
        let name: String =
            rest.chars().map(|own| if own.is_alphanumeric() { own } else { '-' }).collect();
        std::fs::create_dir_all(&folder).unwrap();
        std::fs::write(std::path::Path::new(&folder).join(format!("{name}.pdf")), &answer.body)
            .unwrap();
    }
    let raw = Document::load_mem(&answer.body).unwrap();
    let numbers: Vec<u32> = raw.get_pages().into_keys().collect();
    let text = raw.extract_text(&numbers).unwrap();
    Paper { pages: numbers.len(), text: tight(&text), raw }
}

impl Paper {
    fn has(&self, words: &[&str]) {
        for own in words {
            assert!(self.text.contains(&tight(own)), "{own:?} is not on the paper: {}", self.text);
        }
    }
}

/// Both visits of the story settled and signed on the pages, the firm named.
fn signed(seed: u64) -> Played {
    let mut played = played(seed);
    let fields = [("name", "Quillhatch Heat Service"), ("phone", "555 0100")];
    played.desk.page(&played.hall, "/review/people");
    assert_eq!(played.desk.post(&played.hall, "/review/firm", &fields).status, 303);
    for key in ["V-1", "V-2"] {
        let visit = played.visit(key);
        played.settle_all(&visit);
        played.except_all(&visit);
        assert_eq!(played.sign(&visit), 303);
    }
    played
}

#[test]
fn the_page_for_the_customer_is_one_page_in_every_language_on_every_sheet() {
    let mut played = signed(180);
    let asked = [
        ("en", ["Needs your decision", "Done at this visit", "What was not tested, and why"]),
        (
            "fr",
            ["À décider par vous", "Fait à cette visite", "Ce qui n’a pas été testé, et pourquoi"],
        ),
        ("es", ["Necesita su decisión", "Hecho en esta visita", "Lo que no se probó, y por qué"]),
    ];
    let mut wrong = vec![];
    for key in ["V-1", "V-2"] {
        let visit = played.player.visit(key).unwrap();
        for (language, heads) in &asked {
            for sheet in SHEETS {
                for units in ["us", "si"] {
                    let rest = format!(
                        "customer?visit={visit}&lang={language}&units={units}&paper={sheet}"
                    );
                    let paper = paper(&mut played, &rest);
                    paper.has(heads);
                    paper.has(&["Quillhatch Heat Service", "Ostrel Road", "UH-08"]);
                    if paper.pages != 1 {
                        wrong.push(format!("{key} {language} {units} {sheet}: {}", paper.pages));
                    }
                }
            }
        }
    }
    assert!(wrong.is_empty(), "more than one page: {wrong:#?}");
}

#[test]
fn what_stands_on_the_page_stands_on_the_paper() {
    let mut played = signed(181);
    let visit = played.player.visit("V-2").unwrap();
    let unit = played.player.unit("UH-08").unwrap();
    for language in LANGUAGES {
        let record = paper(&mut played, &format!("visit?visit={visit}&lang={language}"));
        record.has(&["UH-08", "RT-01", "Ilse Marrable", "Dov Kestering", "Oriane Tullock", "N-M2"]);
        // Tagged, with its language, for readers that speak.
        let catalogue = record.raw.catalog().unwrap();
        assert!(catalogue.get(b"StructTreeRoot").is_ok(), "{language}: not tagged");
        assert_eq!(catalogue.get(b"Lang").unwrap().as_str().unwrap(), language.as_bytes());
    }
    for roll in ["roll58", "roll80"] {
        let slip = paper(&mut played, &format!("shut_down?visit={visit}&unit={unit}&paper={roll}"));
        slip.has(&["DO NOT USE", "UH-08", "555 0100"]);
        assert_eq!(slip.pages, 1, "{roll}");
    }
    let path = format!("/review/sites/{SITE}/report/visit?visit={visit}&face=pdf&paper=roll58");
    let answer = played.desk.get(&played.hall, &path);
    assert_eq!(answer.status, 422, "{}", answer.text());
    assert!(answer.text().contains("a roll of 58 or 80 mm"), "{}", answer.text());
}

#[test]
fn a_customer_with_a_link_gets_the_paper_too() {
    let mut played = signed(182);
    let visit = played.visit("V-1");
    played.desk.page(&played.hall, &visit);
    let fields = [("days", "7"), ("lang", "es"), ("units", "si")];
    let page = played.desk.post(&played.hall, &format!("{visit}/share"), &fields).text();
    let token = page.split("/shared/").nth(1).unwrap().split('"').next().unwrap().to_owned();
    assert!(value_of(&page, "share").is_none(), "the token itself is not kept");
    let mut customer = tests::net::Desk::at("192.0.2.91");
    let answer = customer.get(&played.hall, &format!("/shared/{token}?face=pdf&paper=a4"));
    assert_eq!(answer.status, 200);
    let raw = Document::load_mem(&answer.body).unwrap();
    assert_eq!(raw.get_pages().len(), 1);
    let text = tight(&raw.extract_text(&[1]).unwrap());
    assert!(text.contains(&tight("Ostrel Road")), "{text}");
}
