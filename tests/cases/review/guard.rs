//! What the pages keep out: strangers, forms of other sites, other people's sites, roles that may not,
//! texts that would like to be markup.

use client_core::device::Step;
use client_core::record::action::Action;
use client_core::record::code::Role;
use client_core::record::doc_id::{DocId, DocKind};
use client_core::record::id::SiteId;
use serde_json::Value;
use tests::net::Desk;
use tests::net::desk::value_of;
use tests::net::hall::Answer;

use super::{AT, Firm, SITE, UNIT, VISIT, code_for, exchange, firm, real, visit_path};
use crate::thread::{NOW, set, stamp};

/// Every path of the description, and whether it is posted and needs a session.
fn paths(description: &Value) -> Vec<(String, bool, bool)> {
    let mut found = vec![];
    for (path, operations) in description["paths"].as_object().unwrap() {
        for (method, operation) in operations.as_object().unwrap() {
            let path = real(path);
            found.push((path, method == "post", operation.get("security").is_some()));
        }
    }
    found
}

fn description(firm: &mut Firm) -> Value {
    let answer = firm.desk.get(&firm.hall, "/api/1/openapi.json");
    assert_eq!(answer.status, 200);
    serde_json::from_slice(&answer.body).unwrap()
}

#[test]
fn without_a_session_nothing_is_shown_and_nothing_is_done() {
    let mut firm = firm(70);
    let all = paths(&description(&mut firm));
    assert!(all.iter().filter(|(_, _, signed_in)| *signed_in).count() > 25);
    for (path, post, _) in all.iter().filter(|(_, _, signed_in)| *signed_in) {
        let mut stranger = Desk::at("192.0.2.77");
        let answer = match post {
            true => stranger.post(&firm.hall, path, &[]),
            false => stranger.get(&firm.hall, path),
        };
        if path.starts_with("/api/") {
            assert_eq!(answer.status, 401, "{path}");
        } else {
            assert_eq!(answer.status, 303, "{path}");
            let to = answer.headers["location"].to_str().unwrap();
            assert!(to.starts_with("/review/sign-in"), "{path} leads to {to}");
        }
        assert!(!answer.text().contains("UH-05"), "{path}");
    }
}

#[test]
fn a_form_without_its_token_or_from_elsewhere_is_not_taken() {
    let mut firm = firm(71);
    let hall = &firm.hall;
    let token = value_of(&firm.desk.page(hall, "/review"), "token").unwrap();
    let path = format!("{}/query", visit_path());
    let fields = [("text", "who was there")];
    for wrong in ["", "guessed", &token[1..], &token.to_uppercase()] {
        assert_eq!(firm.desk.post_with(hall, &path, &fields, wrong).status, 403, "{wrong}");
    }
    let cookies = firm.desk.cookies();
    let body = format!("token={token}&text=who");
    let kind = ("content-type", "application/x-www-form-urlencoded");
    for headers in [
        vec![("origin", "https://evil.example")],
        vec![("origin", "null")],
        vec![("sec-fetch-site", "cross-site")],
        vec![("sec-fetch-site", "same-site"), ("origin", "https://hub.example")],
        vec![],
    ] {
        let mut all = vec![("host", "hub.example"), ("cookie", cookies.as_str()), kind];
        all.extend(headers.clone());
        let answer = hall.ask(AT, &axum::http::Method::POST, &path, &all, body.clone());
        assert_eq!(answer.status, 403, "{headers:?}");
    }
    assert_eq!(firm.desk.post_with(hall, &path, &fields, &token).status, 303);
    let page = firm.desk.page(hall, &visit_path());
    assert_eq!(page.matches("who was there").count(), 1);
}

#[test]
fn other_peoples_sites_are_not_there() {
    let Firm { hall, mut boss, .. } = firm(72);
    let other = SiteId([8; 8]);
    let doc = DocId::new(other, DocKind::Site);
    let by = stamp(&boss, NOW);
    let name = Action::Set(vec![set("site/name", "Second Hall")]);
    boss.act(&[Step::new(doc, name)], &by).unwrap();
    exchange(&hall, &mut boss);
    let code = code_for(&hall, &mut boss, None, Role::Supervisor, Some(vec![other]));
    let mut desk = Desk::joined(&hall, "192.0.2.9", &code, "Second");
    let home = desk.page(&hall, "/review/sites");
    assert!(home.contains("Second Hall") && !home.contains("Ostrel Road"), "{home}");
    let unit = format!("/review/sites/{SITE}/units/{UNIT}");
    let pages = [
        format!("/review/sites/{SITE}"),
        visit_path(),
        unit.clone(),
        format!("{}/settle?key=unit%2Fstatus&unit={UNIT}", visit_path()),
        format!("{}/export/lines.csv", visit_path()),
        format!("/review/sites/{SITE}/report/visit?visit={VISIT}"),
        format!("/review/sites/{SITE}/report/unit?unit={UNIT}&face=text"),
        format!("/api/1/sites/{SITE}"),
        format!("/api/1/sites/{SITE}/visits/{VISIT}"),
        format!("/api/1/sites/{SITE}/units/{UNIT}"),
    ];
    for path in pages {
        let answer = desk.get(&hall, &path);
        assert_eq!(answer.status, 404, "{path}");
        assert!(!answer.text().contains("UH-05"), "{path}");
    }
    for path in [
        "/review",
        "/review/visits",
        "/review/search?q=UH-05",
        "/api/1/home",
        "/api/1/search?q=UH-05",
    ] {
        let page = desk.page(&hall, path);
        assert!(!page.contains("Ostrel") && !page.contains(&UNIT.to_string()), "{path}: {page}");
    }
    desk.page(&hall, "/review");
    let fields = [("text", "q"), ("reason", "r"), ("blocker", "b"), ("key", "unit/status")];
    let fields = [&fields[..], &[("days", "7"), ("lang", "en"), ("share", "x")]].concat();
    for rest in ["query", "settle", "except", "sign", "share", "unshare"] {
        let answer = desk.post(&hall, &format!("{}/{rest}", visit_path()), &fields);
        assert_eq!(answer.status, 404, "{rest}");
    }
    // Nor does anybody give others more sites than they have.
    let more = [("role", "technician"), ("every", "yes")];
    assert_eq!(desk.post(&hall, "/review/people/code", &more).status, 403);
}

#[test]
fn the_office_looks_and_asks_and_a_supervisor_decides() {
    let Firm { hall, mut boss, mut ilse, .. } = firm(73);
    let code = code_for(&hall, &mut boss, None, Role::Office, None);
    let mut desk = Desk::joined(&hall, "192.0.2.8", &code, "Office");
    let page = desk.page(&hall, &visit_path());
    assert!(page.contains("A supervisor signs.") && !page.contains("/except"));
    let fields = [
        ("reason", "because"),
        ("blocker", "b"),
        ("key", "unit/status"),
        ("unit", &UNIT.to_string()),
        ("shown", "x"),
        ("entry", ""),
        ("device", &ilse.identity().device().to_string()),
    ];
    for rest in ["settle", "sign", "except", "reopen"] {
        let answer = desk.post(&hall, &format!("{}/{rest}", visit_path()), &fields);
        assert_eq!(answer.status, 403, "{rest}: {}", answer.text());
    }
    assert_eq!(desk.post(&hall, "/review/people/revoke", &fields).status, 403);
    let supervisor = [("role", "supervisor"), ("every", "yes")];
    assert_eq!(desk.post(&hall, "/review/people/code", &supervisor).status, 403);
    let question = [("text", "which manometer was it"), ("offset", "-300")];
    let asked = desk.post(&hall, &format!("{}/query", visit_path()), &question);
    assert_eq!(asked.status, 303, "{}", asked.text());
    exchange(&hall, &mut ilse);
    let head = ilse.read_doc(DocId::new(SITE, DocKind::Visit(VISIT))).unwrap();
    let queries: Vec<_> = head.read.counted(client_core::record::body::Kind::Query).collect();
    assert_eq!(queries.len(), 1, "the question reaches the technician");
}

/// Texts that would like to be markup.
pub(super) const HOSTILE: [&str; 8] = [
    "<script>alert(1)</script>",
    "\"><img src=x onerror=alert(1)>",
    "' onmouseover='alert(1)",
    "</title><script>alert(1)</script>",
    "javascript:alert(1)",
    "<!--<svg onload=alert(1)>-->",
    "{{7*7}}${7*7}",
    "]]><x>&lt;b&gt;",
];

#[test]
fn hostile_texts_stay_texts() {
    let Firm { hall, mut boss, mut ilse, mut desk } = firm(74);
    let all = HOSTILE.join(" ");
    let words = |device: &client_core::device::Device| stamp(device, NOW);
    let site = DocId::new(SITE, DocKind::Site);
    let unit = DocId::new(SITE, DocKind::Appliance(UNIT));
    let head = DocId::new(SITE, DocKind::Visit(VISIT));
    let sheet = DocId::new(SITE, DocKind::Sheet(VISIT, UNIT));
    let by = words(&boss);
    let mut steps = vec![];
    for key in ["site/name", "site/town", "customer/name"] {
        steps.push(Step::new(site, Action::Set(vec![set(key, &all)])));
    }
    for key in ["unit/no", "unit/kind", "unit/maker", "unit/serial"] {
        steps.push(Step::new(unit, Action::Set(vec![set(key, &all)])));
    }
    steps.push(Step::new(head, Action::Set(vec![set("visit/reference", &all)])));
    let note = |subject: &str| Action::Write {
        subject: subject.to_owned(),
        about: None,
        text: all.clone(),
    };
    steps.push(Step::new(sheet, note(&all)));
    boss.act(&steps, &by).unwrap();
    exchange(&hall, &mut boss);
    let by = words(&ilse);
    let kind = client_core::record::body::Question {
        asked: all.clone(),
        to: Some(all.clone()),
        visit: None,
        about: None,
    };
    ilse.act(&[Step::new(unit, Action::Ask(kind))], &by).unwrap();
    exchange(&hall, &mut ilse);
    let code = code_for(&hall, &mut boss, None, Role::Supervisor, None);
    Desk::joined(&hall, "192.0.2.5", &code, "<b>Eve</b>");
    desk.page(&hall, "/review");
    let query = [("text", all.as_str()), ("offset", "0")];
    assert_eq!(desk.post(&hall, &format!("{}/query", visit_path()), &query).status, 303);
    for path in [
        "/review".to_owned(),
        "/review/visits".to_owned(),
        "/review/sites".to_owned(),
        "/review/people".to_owned(),
        "/review/questions".to_owned(),
        "/review/audit".to_owned(),
        format!(
            "/review/search?q={}",
            tests::net::desk::encoded(&[("x", HOSTILE[1])]).replace("x=", "")
        ),
        format!("/review/sites/{SITE}"),
        format!("/review/sites/{SITE}/units/{UNIT}"),
        format!("{}/settle?key=unit%2Fstatus&unit={UNIT}", visit_path()),
        visit_path(),
        format!("/review/sites/{SITE}/report/visit?visit={VISIT}"),
        format!("/review/sites/{SITE}/report/unit?unit={UNIT}&lang=fr"),
        format!("/review/sites/{SITE}/report/customer?visit={VISIT}&lang=es"),
        "/review/sign-in?to=%22%3E%3Cscript%3Ealert(1)%3C/script%3E".to_owned(),
    ] {
        let page = desk.page(&hall, &path);
        stays_text(&page, &path);
    }
}

/// Nothing of the hostile texts became markup.
pub(super) fn stays_text(page: &str, path: &str) {
    for raw in
        ["<script>alert", "<img src=x", "onmouseover='alert(1)\"", "<svg onload", "<x>", "<b>Eve"]
    {
        assert!(!page.contains(raw), "{path} holds {raw}");
    }
    assert!(!page.contains("href=\"javascript:"), "{path}");
    attributes_hold(page, path);
}

/// No attribute begins that the pages do not have themselves.
pub(super) fn attributes_hold(page: &str, path: &str) {
    for tag in page.split('<').skip(1) {
        let tag = &tag[..tag.find('>').unwrap_or(tag.len())];
        let outside: String = tag
            .split('"')
            .enumerate()
            .filter(|(at, _)| at % 2 == 0)
            .map(|(_, part)| part)
            .collect();
        assert!(!outside.contains(" on"), "{path}: {tag}");
    }
}

fn header<'a>(answer: &'a Answer, name: &str) -> &'a str {
    answer.headers[name].to_str().unwrap()
}

#[test]
fn pages_have_their_headers_and_sessions_their_cookie() {
    let Firm { hall, mut desk, .. } = firm(75);
    for path in ["/review", "/review/sign-in", "/review/people", "/api/1/home"] {
        let answer = desk.get(&hall, path);
        let policy = header(&answer, "content-security-policy");
        assert!(policy.starts_with("default-src 'none'; script-src 'self'; style-src 'self'"));
        assert!(!policy.contains("unsafe") && policy.contains("frame-ancestors 'none'"));
        assert_eq!(header(&answer, "x-content-type-options"), "nosniff");
        assert_eq!(header(&answer, "referrer-policy"), "same-origin");
        assert_eq!(header(&answer, "cache-control"), "no-store", "{path}");
        assert!(!answer.text().contains(" style="), "{path}");
    }
    desk.page(&hall, "/review");
    let before = desk.cookies();
    let signed_in = [("name", "Oriane"), ("password", "the long password of Oriane")];
    let answer = desk.post(&hall, "/review/sign-in", &signed_in);
    let set = header(&answer, "set-cookie");
    assert!(
        set.starts_with("__Host-dripleg=")
            && set.ends_with("; Path=/; Secure; HttpOnly; SameSite=Strict")
    );
    assert_ne!(desk.cookies(), before, "nobody keeps a token from before");
    let mut old = Desk::at(AT);
    old.take_cookies(&before);
    assert_eq!(old.get(&hall, "/review").status, 303, "the old session has ended");
    desk.page(&hall, "/review");
    let left = desk.cookies();
    assert_eq!(desk.post(&hall, "/review/sign-out", &[]).status, 303);
    let mut gone = Desk::at(AT);
    gone.take_cookies(&left);
    assert_eq!(gone.get(&hall, "/review").status, 303);
}

#[test]
fn wrong_passwords_are_counted_and_a_revoked_page_key_ends_its_session() {
    let Firm { hall, mut boss, mut desk, .. } = firm(76);
    let mut stranger = Desk::at("192.0.2.66");
    let guess = [("name", "oriane"), ("password", "a wrong long password")];
    for _ in 0..5 {
        assert_eq!(stranger.post(&hall, "/review/sign-in", &guess).status, 401);
    }
    let right = [("name", "ORIANE "), ("password", "the long password of Oriane")];
    assert_eq!(stranger.post(&hall, "/review/sign-in", &right).status, 429);
    let mut elsewhere = Desk::at("192.0.2.67");
    assert_eq!(elsewhere.post(&hall, "/review/sign-in", &right).status, 303);
    // A second supervisor revokes the pages of the first.
    let code = code_for(&hall, &mut boss, None, Role::Supervisor, None);
    let mut second = Desk::joined(&hall, "192.0.2.68", &code, "Second");
    let page = second.page(&hall, "/review/people");
    let own = page.split("<section").find(|part| part.contains("Oriane</h2>")).unwrap();
    let row = own.split("<tr>").find(|row| row.contains("review pages")).unwrap();
    let device = value_of(row, "device").unwrap();
    let revoke = [("device", device.as_str()), ("reason", "left the company")];
    assert_eq!(second.post(&hall, "/review/people/revoke", &revoke).status, 303);
    assert_eq!(desk.get(&hall, "/review").status, 303, "signed out at once");
    let audit = second.page(&hall, "/review/audit");
    assert!(audit.contains("revoked a device") && audit.contains("the chain holds"), "{audit}");
    let checked = second.page(&hall, "/review/audit?verify=yes");
    assert!(checked.contains("is as its device signed it"), "{checked}");
    // A new code begins the next page key, with a new password.
    let person = Some(boss.identity().person);
    let code = code_for(&hall, &mut boss, person, Role::Supervisor, None);
    let mut again = Desk::joined(&hall, AT, &code, "Oriane");
    assert!(again.page(&hall, "/review").contains("Oriane, supervisor"));
}
