//! What the office keeps of a site on the pages: values, areas, units out of a list, labels; and what comes
//! after a key was revoked.

use client_core::device::Step;
use client_core::record::action::Action;
use client_core::record::code::{Phase, Role};
use client_core::record::doc_id::{DocId, DocKind};
use tests::net::desk::value_of;

use super::{AT, Firm, SITE, UNIT, VISIT, code_for, exchange, firm, visit_path};
use crate::thread::{NOW, manifold, stamp};

#[test]
fn units_come_out_of_a_list_whole_or_not_at_all() {
    let Firm { hall, mut boss, mut desk, .. } = firm(120);
    let site = format!("/review/sites/{SITE}");
    desk.page(&hall, &site);
    let area = [("label", "A1"), ("offset", "0")];
    assert_eq!(desk.post(&hall, &format!("{site}/area"), &area).status, 303);
    let import = format!("{site}/import");
    assert!(desk.page(&hall, &import).contains("plate_input"));
    let list =
        "unit_no,area,maker,plate_input\nUH-21,A1,Quarrel,200 MBH\nUH-05,A1,,\nUH-22,B7,,many\n";
    let bad = [("list", list), ("do", "enter"), ("offset", "0")];
    let answer = desk.post(&hall, &import, &bad);
    assert_eq!(answer.status, 422);
    let page = answer.text();
    for words in [
        "1 good row",
        "2 wrong rows",
        "Nothing was entered",
        "there is a unit of this number",
        "it has a1",
        "plate_input",
    ] {
        assert!(page.contains(words), "{words}: {page}");
    }
    assert!(page.contains("UH-22,B7"), "what was typed is still there");
    assert!(!desk.page(&hall, &site).contains("UH-21"));
    let looked = [("list", "unit_no\nUH-21\n"), ("do", "check")];
    assert!(desk.post(&hall, &import, &looked).text().contains("only looked at"));
    let good = [("list", list), ("do", "enter"), ("partial", "yes"), ("offset", "0")];
    let answer = desk.post(&hall, &import, &good);
    assert!(answer.text().contains("1 unit was entered"), "{}", answer.text());
    let page = desk.page(&hall, &site);
    assert!(page.contains("UH-21") && !page.contains("UH-22"));
    exchange(&hall, &mut boss);
    let units = boss.units(SITE).unwrap();
    let unit = units.iter().find(|unit| unit.row.unit_no == "UH-21").unwrap();
    assert_eq!(unit.row.plate.len(), 1, "{:?}", unit.row);
    let labels = desk.page(&hall, &format!("{site}/labels"));
    assert_eq!(labels.matches("class=\"qr\"").count(), units.len());
    assert!(labels.contains("UH-21") && labels.contains("data-print"));
}

#[test]
fn a_value_is_set_with_a_reason_where_it_is_unusual() {
    let Firm { hall, mut boss, mut desk, .. } = firm(121);
    let unit = format!("/review/sites/{SITE}/units/{UNIT}");
    desk.page(&hall, &unit);
    let set = format!("{unit}/set");
    let odd = [("field", "plate/input"), ("value", "9000"), ("reason", "")];
    let answer = desk.post(&hall, &set, &odd);
    assert_eq!(answer.status, 422);
    assert!(answer.text().contains("give a reason"), "{}", answer.text());
    let other = [("field", "site/town"), ("value", "Ostrel"), ("reason", "")];
    assert_eq!(desk.post(&hall, &set, &other).status, 422, "a unit has no town");
    let good = [("field", "plate/input"), ("value", "175 MBH"), ("reason", "photo of the plate")];
    assert_eq!(desk.post(&hall, &set, &good).status, 303);
    assert!(desk.page(&hall, &unit).contains("175 MBH"));
    let town = [("field", "site/town"), ("value", "Ostrel"), ("reason", "")];
    assert_eq!(desk.post(&hall, &format!("/review/sites/{SITE}/set"), &town).status, 303);
    exchange(&hall, &mut boss);
    let papers = boss.read_doc(DocId::new(SITE, DocKind::Appliance(UNIT))).unwrap();
    assert!(papers.read.named("plate/input").unwrap().governs().is_some());
}

#[test]
fn a_site_is_begun_on_the_pages() {
    let Firm { hall, mut boss, mut desk, .. } = firm(122);
    desk.page(&hall, "/review/sites");
    let fields = [("name", "Second Hall"), ("town", ""), ("customer", "Brine & Sons")];
    let answer = desk.post(&hall, "/review/sites/new", &fields);
    assert_eq!(answer.status, 303, "{}", answer.text());
    assert!(desk.page(&hall, "/review/sites").contains("Second Hall"));
    exchange(&hall, &mut boss);
    assert!(boss.sites().unwrap().len() >= 2);
    let code = code_for(&hall, &mut boss, None, Role::Office, Some(vec![SITE]));
    let mut office = tests::net::Desk::joined(&hall, "192.0.2.40", &code, "Office");
    office.page(&hall, "/review/sites");
    assert_eq!(office.post(&hall, "/review/sites/new", &fields).status, 403);
}

#[test]
fn what_a_revoked_key_signed_waits_until_a_supervisor_answers_for_it() {
    let Firm { hall, mut boss, mut ilse, mut desk } = firm(123);
    desk.page(&hall, "/review/people");
    let device = ilse.identity().device().to_string();
    let revoke = [("device", device.as_str()), ("reason", "lost on the drive")];
    assert_eq!(desk.post(&hall, "/review/people/revoke", &revoke).status, 303);
    let sheet = DocId::new(SITE, DocKind::Sheet(VISIT, UNIT));
    let by = stamp(&ilse, NOW);
    let reading = manifold(344, Phase::AsLeft);
    ilse.act(&[Step::new(sheet, Action::Enter(vec![reading]))], &by).unwrap();
    let mut talk = client_core::exchange::talk::Talk::default();
    let wish = client_core::device::Wish { clock: NOW, today: 0 };
    for _ in 0..3 {
        let request = ilse.request(&mut talk, wish).unwrap();
        let answer = hall.post(AT, client_core::exchange::frame::PATH, &request);
        if answer.status != 200 {
            break;
        }
        let mut report = client_core::device::Report::default();
        drop(ilse.hear(&mut talk, NOW, &answer.body, &mut report));
    }
    let page = desk.page(&hall, &visit_path());
    assert!(page.contains("1 entry waits</b> of Ilse"), "{page}");
    let form = page.split("<form").find(|form| form.contains("/vouch\"")).unwrap();
    let entry = value_of(form, "entry").unwrap();
    let fields = [("entry", entry.as_str()), ("reason", "read to me on the telephone")];
    let answer = desk.post(&hall, &format!("{}/vouch", visit_path()), &fields);
    assert_eq!(answer.status, 303, "{}", answer.text());
    let page = desk.page(&hall, &visit_path());
    assert!(!page.contains("entry waits"), "{page}");
    assert!(page.contains("a supervisor answers for it"), "{page}");
    assert_eq!(desk.post(&hall, &format!("{}/vouch", visit_path()), &fields).status, 409);
    exchange(&hall, &mut boss);
    let papers = boss.read_doc(sheet).unwrap();
    assert!(papers.read.entries.iter().all(client_core::record::read::Entry::shown));
}
