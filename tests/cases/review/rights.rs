//! Who may do what: every route of the description stands in one table, with every role.

use client_core::device::Step;
use client_core::record::action::Action;
use client_core::record::code::Role;
use client_core::record::doc_id::{DocId, DocKind};
use client_core::record::id::{ActorHalf, EntryId, SiteId};
use serde_json::Value;
use tests::net::Desk;
use tests::net::hall::Answer;

use super::photos::photo;
use super::{AT, Firm, UNIT, code_for, exchange, firm, real};
use crate::thread::{NOW, set, stamp};

/// What somebody gets.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum May {
    /// What they asked for, or a word about what they typed.
    Yes,
    /// Told that another role does it.
    No,
    /// Told that there is nothing: it is of a site that is not theirs.
    Nothing,
}

use May::{No, Nothing, Yes};

/// Method and path; then the office, a supervisor, and a supervisor of another site.
const TABLE: &[(&str, &str, [May; 3])] = &[
    ("get", "/api/1/home", [Yes, Yes, Yes]),
    ("get", "/api/1/sites", [Yes, Yes, Yes]),
    ("get", "/api/1/sites/{site}", [Yes, Yes, Nothing]),
    ("get", "/api/1/sites/{site}/building", [Yes, Yes, Nothing]),
    ("get", "/api/1/sites/{site}/units/{unit}", [Yes, Yes, Nothing]),
    ("get", "/api/1/sites/{site}/visits/{visit}", [Yes, Yes, Nothing]),
    ("get", "/api/1/questions", [Yes, Yes, Yes]),
    ("get", "/api/1/people", [Yes, Yes, Yes]),
    ("get", "/api/1/search", [Yes, Yes, Yes]),
    ("post", "/review/look", [Yes, Yes, Yes]),
    ("get", "/review", [Yes, Yes, Yes]),
    ("get", "/review/visits", [Yes, Yes, Yes]),
    ("get", "/review/sites", [Yes, Yes, Yes]),
    ("get", "/review/sites/{site}", [Yes, Yes, Nothing]),
    ("post", "/review/sites/new", [Yes, Yes, No]),
    ("post", "/review/sites/{site}/set", [Yes, Yes, Nothing]),
    ("post", "/review/sites/{site}/area", [Yes, Yes, Nothing]),
    ("get", "/review/sites/{site}/import", [Yes, Yes, Nothing]),
    ("post", "/review/sites/{site}/import", [Yes, Yes, Nothing]),
    ("get", "/review/sites/{site}/building", [Yes, Yes, Nothing]),
    ("get", "/review/sites/{site}/labels", [Yes, Yes, Nothing]),
    ("get", "/review/sites/{site}/units/{unit}", [Yes, Yes, Nothing]),
    ("post", "/review/sites/{site}/units/{unit}/set", [Yes, Yes, Nothing]),
    ("post", "/review/sites/{site}/units/{unit}/answer", [Yes, Yes, Nothing]),
    ("get", "/review/sites/{site}/visits/{visit}", [Yes, Yes, Nothing]),
    ("get", "/review/sites/{site}/visits/{visit}/settle", [Yes, Yes, Nothing]),
    ("post", "/review/sites/{site}/visits/{visit}/settle", [No, Yes, Nothing]),
    ("post", "/review/sites/{site}/visits/{visit}/sign", [No, Yes, Nothing]),
    ("post", "/review/sites/{site}/visits/{visit}/except", [No, Yes, Nothing]),
    ("post", "/review/sites/{site}/visits/{visit}/reopen", [No, Yes, Nothing]),
    ("post", "/review/sites/{site}/visits/{visit}/query", [Yes, Yes, Nothing]),
    ("post", "/review/sites/{site}/visits/{visit}/vouch", [No, Yes, Nothing]),
    ("post", "/review/sites/{site}/visits/{visit}/share", [Yes, Yes, Nothing]),
    ("post", "/review/sites/{site}/visits/{visit}/unshare", [Yes, Yes, Nothing]),
    ("get", "/review/sites/{site}/visits/{visit}/export/{what}", [Yes, Yes, Nothing]),
    ("get", "/review/sites/{site}/visits/{visit}/photo/{unit}/{hash}", [Yes, Yes, Nothing]),
    ("get", "/review/sites/{site}/report/{kind}", [Yes, Yes, Nothing]),
    ("post", "/review/firm", [Yes, Yes, Yes]),
    ("get", "/review/questions", [Yes, Yes, Yes]),
    ("get", "/review/people", [Yes, Yes, Yes]),
    ("post", "/review/people/code", [Yes, Yes, No]),
    ("post", "/review/people/revoke", [No, Yes, Yes]),
    ("get", "/review/quarantine", [Yes, Yes, Yes]),
    ("post", "/review/quarantine/word", [No, Yes, Nothing]),
    ("get", "/review/me", [Yes, Yes, Yes]),
    // A wrong password, an answer that was not asked for, a passkey that is not there.
    ("post", "/review/me/passkey/begin", [Yes, Yes, Yes]),
    ("post", "/review/me/passkey", [Yes, Yes, Yes]),
    ("post", "/review/me/passkey/remove", [Yes, Yes, Yes]),
    ("get", "/review/audit", [Yes, Yes, Yes]),
    ("get", "/review/search", [Yes, Yes, Yes]),
];

/// Not asked with the others: one stays open, one ends the session.
const APART: [(&str, &str); 2] = [("get", "/review/bell"), ("post", "/review/sign-out")];

/// What the description says needs a session.
fn described(firm: &mut Firm) -> Vec<(String, String)> {
    let answer = firm.desk.get(&firm.hall, "/api/1/openapi.json");
    let description: Value = serde_json::from_slice(&answer.body).unwrap();
    let mut found = vec![];
    for (path, operations) in description["paths"].as_object().unwrap() {
        for (method, operation) in operations.as_object().unwrap() {
            if operation.get("security").is_some() {
                found.push((method.clone(), path.clone()));
            }
        }
    }
    found
}

fn got(answer: &Answer, path: &str) -> May {
    match answer.status {
        200 | 401 | 409 | 422 => Yes,
        303 => {
            let to = answer.headers["location"].to_str().unwrap();
            assert!(!to.starts_with("/review/sign-in"), "{path} leads to the door");
            Yes
        }
        403 => No,
        404 => Nothing,
        other => panic!("{path}: {other}: {}", answer.text()),
    }
}

fn ask(firm: &Firm, desk: &mut Desk, method: &str, path: &str) -> Answer {
    let entry = EntryId { actor: ActorHalf([3; 8]), n: 1 }.to_string();
    let (unit, site) = (UNIT.to_string(), super::SITE.to_string());
    let device = firm.ilse.identity().device().to_string();
    let fields = [
        ("key", "unit/status"),
        ("unit", &unit),
        ("table", "x"),
        ("chosen", "x"),
        ("reason", "looked at"),
        ("text", "words"),
        ("blocker", "none"),
        ("shown", "x"),
        ("entry", &entry),
        ("question", &entry),
        ("source", "phone_call"),
        ("days", "7"),
        ("lang", "en"),
        ("share", "x"),
        ("role", "technician"),
        ("every", "yes"),
        ("device", &device),
        ("name", "Quillhatch"),
        ("site", &site),
        ("change", "x"),
        ("answer", "{}"),
        ("passkey", "x"),
        ("look", "dark"),
        ("label", "A9"),
        ("value", "words"),
        ("field", if path.contains("/units/") { "unit/maker" } else { "site/town" }),
        ("list", "unit_no\nUH-90\n"),
        ("do", "check"),
    ];
    let mut path = real(path);
    if path.ends_with("/settle") && method == "get" {
        path = format!("{path}?key=unit%2Fstatus&unit={UNIT}");
    }
    match method {
        "post" => desk.post(&firm.hall, &path, &fields),
        _ => desk.get(&firm.hall, &path),
    }
}

#[test]
fn every_route_lets_in_whom_the_table_says_and_nobody_else() {
    let mut firm = firm(100);
    let mut all = described(&mut firm);
    all.retain(|(method, path)| !APART.contains(&(method.as_str(), path.as_str())));
    let mut table: Vec<(String, String)> =
        TABLE.iter().map(|(method, path, _)| ((*method).to_owned(), (*path).to_owned())).collect();
    all.sort();
    table.sort();
    assert_eq!(all, table, "every route stands in the table");
    let other = SiteId([8; 8]);
    let doc = DocId::new(other, DocKind::Site);
    let by = stamp(&firm.boss, NOW);
    let name = Action::Set(vec![set("site/name", "Second Hall")]);
    firm.boss.act(&[Step::new(doc, name)], &by).unwrap();
    exchange(&firm.hall, &mut firm.boss);
    photo(&mut firm);
    let roles = [
        (Role::Office, None, "192.0.2.21"),
        (Role::Supervisor, None, "192.0.2.22"),
        (Role::Supervisor, Some(vec![other]), "192.0.2.23"),
    ];
    for (at, (role, sites, from)) in roles.into_iter().enumerate() {
        let code = code_for(&firm.hall, &mut firm.boss, None, role, sites);
        let mut desk = Desk::joined(&firm.hall, from, &code, from);
        desk.page(&firm.hall, "/review");
        for (method, path, may) in TABLE {
            // The second round may revoke what the third one would.
            let answer = ask(&firm, &mut desk, method, path);
            assert_eq!(got(&answer, path), may[at], "{role:?} {at}: {method} {path}");
        }
    }
}

#[test]
fn no_form_is_taken_from_elsewhere_whatever_the_route() {
    let mut firm = firm(101);
    let mut desk = std::mem::replace(&mut firm.desk, Desk::at(AT));
    firm.desk.take_cookies(&desk.cookies());
    let posts: Vec<String> = described(&mut firm)
        .into_iter()
        .filter(|(method, _)| method == "post")
        .map(|(_, path)| real(&path))
        .collect();
    assert!(posts.len() > 12, "{posts:?}");
    desk.page(&firm.hall, "/review");
    for path in &posts {
        for token in ["", "guessed"] {
            let answer = desk.post_with(&firm.hall, path, &[], token);
            assert_eq!(answer.status, 403, "{path}");
            assert!(answer.text().contains("not sent from a page of this hub"), "{path}");
        }
        let cookies = desk.cookies();
        let headers = [
            ("host", "hub.example"),
            ("cookie", cookies.as_str()),
            ("content-type", "application/x-www-form-urlencoded"),
            ("origin", "https://elsewhere.example"),
        ];
        let answer = firm.hall.ask(AT, &axum::http::Method::POST, path, &headers, "a=b");
        assert_eq!(answer.status, 403, "{path}");
    }
    assert!(desk.page(&firm.hall, "/review").contains("Oriane"), "still signed in");
}

#[test]
fn a_token_that_somebody_else_chose_never_becomes_a_session() {
    let Firm { hall, .. } = firm(102);
    let chosen = "__Host-dripleg=chosen-by-somebody-else";
    let mut desk = Desk::at(AT);
    desk.take_cookies(chosen);
    assert_eq!(desk.get(&hall, "/review").status, 303);
    let fields = [("name", "Oriane"), ("password", "the long password of Oriane")];
    assert_eq!(desk.post(&hall, "/review/sign-in", &fields).status, 303);
    assert_ne!(desk.cookies(), chosen, "signing in gives a new token");
    assert_eq!(desk.get(&hall, "/review").status, 200);
    let mut other = Desk::at("192.0.2.30");
    other.take_cookies(chosen);
    assert_eq!(other.get(&hall, "/review").status, 303, "the old one opens nothing");
}
