//! Reports on the pages: for the supervisor, for the office, and for a customer who was sent a link.

use std::sync::atomic::Ordering;

use tests::net::Desk;
use tests::net::desk::value_of;

use super::story::{Played, SITE, played};

const DAY_S: i64 = 86_400;

/// The first visit, settled and signed.
fn released(seed: u64) -> (Played, String) {
    let mut played = played(seed);
    let visit = played.visit("V-1");
    played.settle_all(&visit);
    played.except_all(&visit);
    assert_eq!(played.sign(&visit), 303);
    (played, visit)
}

#[test]
fn every_report_is_a_page_a_text_and_rows_in_every_language() {
    let mut played = played(110);
    let visit = played.player.visit("V-2").unwrap();
    let unit = played.player.unit("UH-08").unwrap();
    let asked = played.player.unit("UH-07").unwrap();
    let question = played.player.entry("Q-1").unwrap();
    let reports = [
        format!("customer?visit={visit}"),
        format!("visit?visit={visit}"),
        format!("morning?visit={visit}"),
        format!("restock?visit={visit}"),
        "differences?".to_owned(),
        format!("unit?unit={unit}"),
        format!("question?unit={asked}&question={question}"),
        format!("column?visit={visit}&unit={unit}&next=2026-10-01"),
        format!("shut_down?visit={visit}&unit={unit}"),
        format!("flue?visit={visit}&unit={unit}"),
    ];
    for report in &reports {
        for language in ["en", "fr", "es"] {
            let path = format!("/review/sites/{SITE}/report/{report}&lang={language}&units=si");
            let page = played.desk.page(&played.hall, &path);
            assert!(page.contains(&format!("lang=\"{language}\"")), "{path}");
            assert!(page.contains("class=\"report\""), "{path}");
            assert!(!page.contains(" style=") && !page.contains("<style"), "{path}");
            let text = played.desk.get(&played.hall, &format!("{path}&face=text"));
            assert_eq!(text.headers["content-type"], "text/plain; charset=utf-8");
            let disposition = text.headers["content-disposition"].to_str().unwrap();
            assert!(disposition.starts_with("attachment; filename=\""), "{disposition}");
            assert!(text.text().len() > 60, "{path}");
        }
    }
    let lacks = format!("/review/sites/{SITE}/report/shut_down?visit={visit}&unit={asked}");
    let answer = played.desk.get(&played.hall, &lacks);
    assert_eq!(answer.status, 404);
    assert!(answer.text().contains("No shut-down record of the unit is in force"));
    for (what, begin) in [("lines.csv", "id,"), ("open.csv", "id,"), ("visit.json", "{")] {
        let path = format!("{}/export/{what}", played.visit("V-2"));
        let answer = played.desk.get(&played.hall, &path);
        assert_eq!(answer.status, 200, "{what}");
        assert!(answer.text().starts_with(begin), "{what}: {}", &answer.text()[..60]);
    }
}

#[test]
fn the_firm_is_named_once_and_stands_on_every_report() {
    let mut played = played(111);
    let path = format!(
        "/review/sites/{SITE}/report/customer?visit={}",
        played.player.visit("V-2").unwrap()
    );
    assert!(played.desk.page(&played.hall, &path).contains("No firm stands on reports yet"));
    let fields = [("name", "Quillhatch Heat Service"), ("phone", "555 0100")];
    assert_eq!(played.desk.post(&played.hall, "/review/firm", &fields).status, 303);
    let page = played.desk.page(&played.hall, &path);
    assert!(page.contains("Quillhatch Heat Service") && !page.contains("No firm stands"));
    let people = played.desk.page(&played.hall, "/review/people");
    assert!(people.contains("Quillhatch Heat Service"));
    let instruments = people.split("id=\"instruments\"").nth(1).unwrap();
    assert!(instruments.contains("N-M2") && instruments.contains("manometer"), "{instruments}");
}

#[test]
fn a_link_shows_a_customer_the_signed_report_until_it_ends() {
    let (mut played, visit) = released(112);
    let fields = [("days", "7"), ("lang", "fr"), ("units", "si")];
    let answer = played.desk.post(&played.hall, &format!("{visit}/share"), &fields);
    assert_eq!(answer.status, 200, "{}", answer.text());
    let page = answer.text();
    let token = page.split("/shared/").nth(1).unwrap().split('"').next().unwrap().to_owned();
    let path = format!("/shared/{token}");
    let mut customer = Desk::at("192.0.2.90");
    let shared = customer.get(&played.hall, &path);
    assert_eq!(shared.status, 200);
    assert_eq!(shared.headers["x-robots-tag"], "noindex, nofollow");
    assert!(shared.headers.get("set-cookie").is_none());
    let text = shared.text();
    assert!(text.contains("lang=\"fr\"") && text.contains("Ostrel Road"), "{text}");
    assert!(!text.contains("/review/sites") && !text.contains("<script"), "no way further in");
    assert_eq!(customer.get(&played.hall, &format!("{path}?face=text")).status, 200);
    // A link that was bent, and the store's own name of the link, open nothing.
    assert_eq!(customer.get(&played.hall, "/shared/guessed").status, 404);
    let name = value_of(&played.desk.page(&played.hall, &visit), "share").unwrap();
    assert_ne!(name, token);
    assert_eq!(customer.get(&played.hall, &format!("/shared/{name}")).status, 404);
    // Opened again, the visit's report is not shown until somebody answers for it.
    let page = played.desk.page(&played.hall, &visit);
    let form = page.split("<form").find(|form| form.contains("/reopen\"")).unwrap();
    let entry = value_of(form, "entry").unwrap();
    let fields = [("entry", entry.as_str()), ("reason", "a figure is wrong"), ("offset", "0")];
    assert_eq!(played.desk.post(&played.hall, &format!("{visit}/reopen"), &fields).status, 303);
    let answer = customer.get(&played.hall, &path);
    assert_eq!(answer.status, 404);
    assert!(answer.text().contains("opened this visit again"), "{}", answer.text());
    assert_eq!(played.sign(&visit), 303);
    assert_eq!(customer.get(&played.hall, &path).status, 200);
    // Ended by a person; another one by its day.
    let ended = [("share", name.as_str())];
    assert_eq!(played.desk.post(&played.hall, &format!("{visit}/unshare"), &ended).status, 303);
    assert_eq!(customer.get(&played.hall, &path).status, 404);
    assert_eq!(played.desk.post(&played.hall, &format!("{visit}/unshare"), &ended).status, 409);
    let fields = [("days", "30"), ("lang", "en"), ("units", "us")];
    let page = played.desk.post(&played.hall, &format!("{visit}/share"), &fields).text();
    let token = page.split("/shared/").nth(1).unwrap().split('"').next().unwrap().to_owned();
    let path = format!("/shared/{token}");
    assert_eq!(customer.get(&played.hall, &path).status, 200);
    played.hall.clock.fetch_add(30 * DAY_S, Ordering::Relaxed);
    assert_eq!(customer.get(&played.hall, &path).status, 404, "its last day is over");
}

#[test]
fn nothing_is_shared_that_no_supervisor_answers_for() {
    let mut played = played(113);
    let visit = played.visit("V-2");
    played.desk.page(&played.hall, &visit);
    let fields = [("days", "7"), ("lang", "en"), ("units", "us")];
    let answer = played.desk.post(&played.hall, &format!("{visit}/share"), &fields);
    assert_eq!(answer.status, 422);
    assert!(answer.text().contains("o supervisor has signed this visit"));
}
