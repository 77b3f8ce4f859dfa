//! Things that really happen to two people with two phones, from what they did to what the supervisor sees.
//! Twenty in all: those with two answers stand in `two_hands`, the others here.

mod two_hands;

use client_core::device::{Device, Step};
use client_core::record::action::Action;
use client_core::record::body::{Ack, Advisory, Body, Drawn, Photo, Reading, Reopen};
use client_core::record::code::unit::UnitCode;
use client_core::record::code::{AdvisorySeverity, Channel, Phase, Quantity};
use client_core::record::doc_id::{DocId, DocKind};
use client_core::record::id::{ApplianceId, PersonId};
use client_core::record::stamp::Stamp;
use client_core::record::value::{Figure, Measured, Moment};
use tests::net::hall::Answer;
use tests::net::{Desk, Hall};

use super::{Firm, SITE, UNIT, VISIT, exchange, firm, visit_path};
use crate::routes::technician;
use crate::thread::{NOW, manifold, set, stamp};

const UNIT_DOC: DocId = DocId::new(SITE, DocKind::Appliance(UNIT));
const SHEET: DocId = DocId::new(SITE, DocKind::Sheet(VISIT, UNIT));
const HEAD: DocId = DocId::new(SITE, DocKind::Visit(VISIT));

/// A second technician who has the site and has seen what is there.
fn second(hall: &Hall, boss: &mut Device) -> Device {
    let mut dov = technician(hall, boss, "Dov", Some(vec![SITE]));
    exchange(hall, &mut dov);
    dov
}

fn act(device: &mut Device, doc: DocId, action: Action) {
    act_at(device, doc, action, NOW, -300);
}

fn act_at(device: &mut Device, doc: DocId, action: Action, secs: i64, offset_min: i16) {
    let stamp = Stamp::new(device.identity().person, Moment { secs, offset_min });
    device.act(&[Step::new(doc, action)], &stamp).unwrap();
}

fn join(hall: &Hall, one: &mut Device, other: &mut Device) {
    exchange(hall, one);
    exchange(hall, other);
    exchange(hall, one);
}

fn page(hall: &Hall, desk: &mut Desk) -> String {
    desk.page(hall, &visit_path())
}

/// A report as text, by what follows its kind in the path.
fn report(hall: &Hall, desk: &mut Desk, rest: &str) -> String {
    let path = format!("/review/sites/{SITE}/report/{rest}&face=text");
    let answer = desk.get(hall, &path);
    assert_eq!(answer.status, 200, "{path}: {}", answer.text());
    answer.text()
}

fn has(page: &str, words: &[&str]) {
    for own in words {
        assert!(page.contains(own), "{own:?} is not on the page: {page}");
    }
}

#[test]
fn the_same_photo_twice_stays_twice() {
    let Firm { hall, mut boss, mut ilse, mut desk } = firm(150);
    let mut dov = second(&hall, &mut boss);
    for device in [&mut ilse, &mut dov] {
        let photo = Photo {
            hash: vec![7; 32],
            subject: "plate".to_owned(),
            phase: None,
            size: None,
            of: None,
            small: None,
        };
        act(device, SHEET, Action::Enter(vec![photo.into()]));
    }
    join(&hall, &mut ilse, &mut dov);
    let page = page(&hall, &mut desk);
    assert!(page.matches("photo").count() >= 2, "both photos stay");
    let record = report(&hall, &mut desk, &format!("visit?visit={VISIT}"));
    for who in ["Ilse", "Dov"] {
        has(&record, &[&format!("Photo: photo of “plate” (07070707) ({who})")]);
    }
}

#[test]
fn one_heater_under_two_numbers_is_two_units_until_somebody_says_so() {
    let Firm { hall, mut boss, mut ilse, mut desk } = firm(151);
    let mut dov = second(&hall, &mut boss);
    let other = ApplianceId([9; 8]);
    let deed = client_core::record::deed::new_appliance(SITE, other, "UH-5", vec![]);
    for (doc, action) in deed {
        act(&mut dov, doc, action);
    }
    let double = DocId::new(SITE, DocKind::Sheet(VISIT, other));
    act(&mut dov, double, Action::Enter(vec![manifold(351, Phase::AsFound)]));
    join(&hall, &mut ilse, &mut dov);
    has(&page(&hall, &mut desk), &["UH-05", "UH-5"]);
    for (doc, action) in client_core::record::deed::merge_units(SITE, other, UNIT, "one heater") {
        act(&mut boss, doc, action);
    }
    exchange(&hall, &mut boss);
    let unit = desk.page(&hall, &format!("/review/sites/{SITE}/units/{other}"));
    has(&unit, &["merged into UH-05"]);
    has(&page(&hall, &mut desk), &["UH-5", "3.51"]);
    for kind in [format!("visit?visit={VISIT}"), format!("unit?unit={UNIT}")] {
        let record = report(&hall, &mut desk, &kind);
        has(&record, &["Entered for UH-5, belongs here", "3.51"]);
    }
}

#[test]
fn what_is_left_while_the_other_opens_the_visit_again_is_kept() {
    let Firm { hall, mut boss, mut ilse, mut desk } = firm(152);
    let mut dov = second(&hall, &mut boss);
    let signed = {
        let opened = ilse.open_visit(SITE, VISIT).unwrap();
        let file = opened.file();
        client_core::record::body::SignOff {
            role: client_core::record::code::Role::Technician,
            docs: file.to_sign(),
            statement: None,
            shown: client_core::record::derived::signed::to_sign(&file),
            drawn: None,
        }
    };
    act(&mut ilse, HEAD, Action::SignOff(signed));
    join(&hall, &mut ilse, &mut dov);
    let sign_off = {
        let opened = dov.open_visit(SITE, VISIT).unwrap();
        opened.file().signed().sign_offs[0].0
    };
    let reopen = Reopen { sign_off, reason: "the rise was not read".to_owned() };
    act(&mut dov, HEAD, Action::Enter(vec![reopen.into()]));
    act(&mut ilse, SHEET, Action::Enter(vec![manifold(349, Phase::AsLeft)]));
    join(&hall, &mut ilse, &mut dov);
    has(&page(&hall, &mut desk), &["3.49", "the rise was not read"]);
    let record = report(&hall, &mut desk, &format!("visit?visit={VISIT}"));
    has(&record, &["3.49", "the rise was not read", "Not signed"]);
    let slip = report(&hall, &mut desk, &format!("column?visit={VISIT}&unit={UNIT}"));
    has(&slip, &["MANIFOLD    3.50   3.49"]);
}

#[test]
fn a_clock_that_is_a_whole_day_wrong_is_noted_and_orders_nothing() {
    let Firm { hall, mut ilse, mut desk, .. } = firm(153);
    act_at(&mut ilse, SHEET, Action::Enter(vec![manifold(344, Phase::AsLeft)]), NOW + 86_400, -300);
    let clock = hall.clock.load(std::sync::atomic::Ordering::Relaxed);
    let mut talk = client_core::exchange::talk::Talk::default();
    let wish = client_core::device::Wish { clock: clock + 86_400, today: 0 };
    loop {
        let request = ilse.request(&mut talk, wish).unwrap();
        let answer: Answer = hall.post("192.0.2.1", client_core::exchange::frame::PATH, &request);
        assert_eq!(answer.status, 200, "{}", answer.text());
        let mut report = client_core::device::Report::default();
        match ilse.hear(&mut talk, clock + 86_400, &answer.body, &mut report).unwrap() {
            client_core::exchange::talk::Next::Again => {}
            _ => break,
        }
    }
    has(&page(&hall, &mut desk), &["1440 min ahead of the hub", "3.44"]);
    let record = report(&hall, &mut desk, &format!("visit?visit={VISIT}"));
    has(&record, &["clock of Ilse: 1440 minutes ahead of the hub", "3.44"]);
}

#[test]
fn a_drive_into_another_time_zone_changes_no_order() {
    let Firm { hall, mut ilse, mut desk, .. } = firm(154);
    act_at(&mut ilse, SHEET, Action::Enter(vec![manifold(341, Phase::AsLeft)]), NOW + 600, -300);
    act_at(&mut ilse, SHEET, Action::Enter(vec![manifold(352, Phase::AsLeft)]), NOW + 1_200, -360);
    exchange(&hall, &mut ilse);
    let page = page(&hall, &mut desk);
    // The wall clock of the second one stands 50 minutes before the first; the second one is the last.
    has(&page, &["3.41", "3.52"]);
    let table = page.split("Beside the limits entered").nth(1).unwrap();
    let row = table.split("</tr>").find(|row| row.contains("manifold")).unwrap();
    assert!(row.contains("3.52"), "the last one governs: {row}");
    let slip = report(&hall, &mut desk, &format!("column?visit={VISIT}&unit={UNIT}"));
    has(&slip, &["MANIFOLD    3.50   3.52"]);
}

#[test]
fn two_answers_on_the_gas_judge_nothing_until_settled() {
    let Firm { hall, mut boss, mut ilse, mut desk } = firm(155);
    let mut dov = second(&hall, &mut boss);
    act(&mut ilse, UNIT_DOC, Action::Set(vec![set("unit/supplied_gas", "natural")]));
    act(&mut dov, UNIT_DOC, Action::Set(vec![set("unit/supplied_gas", "lp")]));
    join(&hall, &mut ilse, &mut dov);
    let page = page(&hall, &mut desk);
    has(&page, &["Gas supplied", "None governs; what depends on it is not judged"]);
    let record = report(&hall, &mut desk, &format!("visit?visit={VISIT}"));
    has(&record, &["UH-05: gas supplied", "natural gas", "LP"]);
    let slip = report(&hall, &mut desk, &format!("column?visit={VISIT}&unit={UNIT}"));
    has(&slip, &["GAS?"]);
}

#[test]
fn a_unit_given_to_two_people_shows_both() {
    let Firm { hall, mut boss, mut ilse, mut desk } = firm(156);
    let mut dov = second(&hall, &mut boss);
    let people = [ilse.identity().person, dov.identity().person];
    let give = |person: PersonId| {
        let field = client_core::record::field::Field::named("assign/{}/person")
            .about(client_core::record::field::Of::Appliance(UNIT));
        let value = client_core::record::field::FieldValue::Person(person);
        Action::Set(vec![client_core::record::action::Setting { field, value, reason: None }])
    };
    act(&mut ilse, HEAD, give(people[0]));
    act(&mut dov, HEAD, give(people[1]));
    join(&hall, &mut ilse, &mut dov);
    has(&page(&hall, &mut desk), &["Assigned to", "Ilse", "Dov"]);
    let register = report(&hall, &mut desk, "differences?");
    let part = register.split("the visit: assigned to").nth(1).unwrap();
    has(part, &["Ilse", "Dov", "Open."]);
}

#[test]
fn a_customer_told_twice_in_different_words_keeps_both() {
    let Firm { hall, mut boss, mut ilse, mut desk } = firm(157);
    let advisory = Advisory {
        severity: AdvisorySeverity::Advise,
        text: "salt in the air".to_owned(),
        due: None,
        visit: Some(VISIT),
    };
    act(&mut ilse, UNIT_DOC, Action::Enter(vec![advisory.into()]));
    exchange(&hall, &mut ilse);
    let mut dov = second(&hall, &mut boss);
    let of = {
        let papers = dov.read_doc(UNIT_DOC).unwrap();
        papers.read.counted(client_core::record::body::Kind::Advisory).next().unwrap().id
    };
    for (device, words) in [(&mut ilse, "told the shift lead"), (&mut dov, "told the front desk")] {
        let ack = Ack {
            of,
            told: words.to_owned(),
            how: Channel::InPerson,
            acknowledged: true,
            decision: None,
            decided_by: None,
            deferred_to: None,
            text: None,
            told_person: None,
            decided_person: None,
            drawn: Drawn::read("10,40 12,38"),
        };
        act(device, UNIT_DOC, Action::Enter(vec![ack.into()]));
    }
    join(&hall, &mut ilse, &mut dov);
    let unit = desk.page(&hall, &format!("/review/sites/{SITE}/units/{UNIT}"));
    has(&unit, &["told the shift lead", "told the front desk"]);
    has(
        &page(&hall, &mut desk),
        &["told the shift lead", "told the front desk", "<path d=\"M10 40L12 38\">"],
    );
    let dossier = report(&hall, &mut desk, &format!("unit?unit={UNIT}"));
    has(&dossier, &["told the shift lead", "told the front desk"]);
}

#[test]
fn what_an_apprentice_entered_under_the_leads_name_says_both() {
    let Firm { hall, mut boss, mut ilse, mut desk } = firm(158);
    let dov = second(&hall, &mut boss);
    let mut by = stamp(&ilse, NOW);
    by.entered_for = Some(dov.identity().person);
    let step = Step::new(SHEET, Action::Enter(vec![manifold(337, Phase::AsLeft)]));
    ilse.act(&[step], &by).unwrap();
    exchange(&hall, &mut ilse);
    let page = page(&hall, &mut desk);
    let row = page.split("<tr").find(|row| row.contains("3.37") && row.contains("left:")).unwrap();
    assert!(row.contains("Dov") && row.contains("Ilse"), "{row}");
    let record = report(&hall, &mut desk, &format!("visit?visit={VISIT}"));
    let line = record.lines().find(|line| line.contains("3.37") && line.contains("Dov")).unwrap();
    has(line, &["manifold, high fire", "entered by Ilse"]);
}

#[test]
fn a_decimal_slip_stays_beside_its_correction_and_the_report_has_the_right_one() {
    let Firm { hall, mut ilse, mut desk, .. } = firm(159);
    let wrong = Measured::Figure(Figure::new(35, 0, UnitCode(1)));
    let mut slip = Reading::new(Quantity::ManifoldHigh, wrong, Phase::AsLeft);
    slip.why_unusual = Some("typed in a hurry".to_owned());
    act(&mut ilse, SHEET, Action::Enter(vec![slip.into()]));
    exchange(&hall, &mut ilse);
    let record = format!("visit?visit={VISIT}");
    has(&report(&hall, &mut desk, &record), &["35"]);
    let slip = {
        let papers = ilse.read_doc(SHEET).unwrap();
        let mut all = papers.read.counted(client_core::record::body::Kind::Reading);
        all.find(|entry| matches!(&entry.body, Body::Reading(own) if own.phase == Phase::AsLeft))
            .unwrap()
            .id
    };
    let right = Measured::Figure(Figure::new(350, 2, UnitCode(1)));
    let mut reading = Reading::new(Quantity::ManifoldHigh, right, Phase::AsLeft);
    reading.corrects = Some(slip);
    reading.why_corrected = Some("decimal slip".to_owned());
    act(&mut ilse, SHEET, Action::Enter(vec![reading.into()]));
    exchange(&hall, &mut ilse);
    let page = page(&hall, &mut desk);
    has(&page, &["corrected by a later entry", "3.50"]);
    let table = page.split("Beside the limits entered").nth(1).unwrap();
    let row = table.split("</tr>").find(|row| row.contains("manifold")).unwrap();
    assert!(row.contains("3.50") && !row.contains("35 in"), "{row}");
    has(&report(&hall, &mut desk, &record), &["3.50"]);
    let slip = report(&hall, &mut desk, &format!("column?visit={VISIT}&unit={UNIT}"));
    has(&slip, &["MANIFOLD    3.50   3.50"]);
}

#[test]
fn two_answers_of_a_manufacturer_stand_side_by_side() {
    let Firm { hall, mut ilse, mut desk, .. } = firm(160);
    let question = client_core::record::body::Question {
        asked: "least flame current".to_owned(),
        to: None,
        visit: Some(VISIT),
        about: Some(vec![Quantity::FlameCurrent]),
    };
    act(&mut ilse, UNIT_DOC, Action::Ask(question));
    exchange(&hall, &mut ilse);
    let unit = format!("/review/sites/{SITE}/units/{UNIT}");
    for (source, least, text) in
        [("written_answer", "1.0 uA", "one at least"), ("phone_call", "1.5 uA", "one and a half")]
    {
        let page = desk.page(&hall, &unit);
        let id = tests::net::desk::value_of(&page, "question").unwrap();
        let fields = [
            ("question", id.as_str()),
            ("text", text),
            ("source", source),
            ("day", "2025-10-20"),
            ("quantity0", "flame_current"),
            ("least0", least),
        ];
        let answer = desk.post(&hall, &format!("{unit}/answer"), &fields);
        assert_eq!(answer.status, 303, "{}", answer.text());
    }
    let page = desk.page(&hall, &unit);
    has(&page, &["one at least", "one and a half", "1.0 uA", "1.5 uA"]);
    let dossier = report(&hall, &mut desk, &format!("unit?unit={UNIT}"));
    has(&dossier, &["one at least", "one and a half", "1.0 µA", "1.5 µA"]);
}
