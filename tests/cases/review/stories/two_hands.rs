//! Those of the twenty in which two halves of the record say different things, or in which what one device
//! held is not what the other knew: both sides on the page, one settlement, and what the reports make of it.

use client_core::device::Device;
use client_core::record::body::{Claim, Kind, Lock, Part, Tag};
use client_core::record::code::{CheckItem, CheckResult, LockState, Role};
use client_core::record::deed;
use client_core::store::{MemoryBytes, Store};
use tests::net::desk::value_of;
use tests::net::guest::PHONE;

use super::super::story::links;
use super::*;
use crate::routes::join_on;
use crate::thread::check;

/// Another unit that all three devices know; nobody has said anything about it yet.
const OTHER: ApplianceId = ApplianceId([8; 8]);
const OTHER_DOC: DocId = DocId::new(SITE, DocKind::Appliance(OTHER));
const OTHER_SHEET: DocId = DocId::new(SITE, DocKind::Sheet(VISIT, OTHER));

/// Two technicians, the supervisor, and a unit that is new to all.
struct Pair {
    hall: Hall,
    boss: Device,
    ilse: Device,
    dov: Device,
    desk: Desk,
}

fn pair(seed: u64) -> Pair {
    let Firm { hall, mut boss, mut ilse, desk } = firm(seed);
    let deed = deed::new_appliance(SITE, OTHER, "UH-08", vec![set("unit/status", "in_service")]);
    let stamp = stamp(&boss, NOW);
    boss.carry_out(deed, &stamp).unwrap();
    exchange(&hall, &mut boss);
    let dov = second(&hall, &mut boss);
    exchange(&hall, &mut ilse);
    Pair { hall, boss, ilse, dov, desk }
}

impl Pair {
    fn join(&mut self) {
        join(&self.hall, &mut self.ilse, &mut self.dov);
    }

    /// The path of the page on which a difference of the visit is settled.
    fn difference(&mut self, key: &str) -> Option<String> {
        let page = page(&self.hall, &mut self.desk);
        let all = links(&page, &format!("{}/settle", visit_path()));
        all.into_iter().find(|path| path.contains(&format!("key={key}")))
    }

    /// The page on which it is settled; it has to say these words.
    fn open(&mut self, key: &str, words: &[&str]) -> String {
        let path = self.difference(key).unwrap_or_else(|| panic!("{key} is not on the page"));
        let page = self.desk.page(&self.hall, &path);
        has(&page, words);
        page
    }

    /// Settles on the page as its form says: with the side that says this, or in words alone.
    fn settle(&mut self, key: &str, says: Option<&str>, more: &[(&str, &str)]) {
        let page = self.open(key, &[]);
        let form = page.split("<form").find(|form| form.contains("name=\"reason\"")).unwrap();
        let text = |name: &str| value_of(form, name).unwrap_or_default();
        let chosen = says.map_or_else(String::new, |says| super::super::side_that_says(form, says));
        let (key, unit, table) = (text("key"), text("unit"), text("table"));
        let mut fields = vec![
            ("key", key.as_str()),
            ("unit", &unit),
            ("table", &table),
            ("offset", "-300"),
            ("chosen", &chosen),
            ("reason", "compared with the evidence"),
        ];
        for field in more {
            fields.retain(|(name, _)| name != &field.0);
            fields.push(*field);
        }
        let answer = self.desk.post(&self.hall, &format!("{}/settle", visit_path()), &fields);
        assert_eq!(answer.status, 303, "{}", answer.text());
    }

    fn report(&mut self, rest: &str) -> String {
        report(&self.hall, &mut self.desk, rest)
    }

    /// Signs as the page is shown, everything that holds it excepted in words.
    fn sign(&mut self) {
        let page = page(&self.hall, &mut self.desk);
        for form in page.split("<form").filter(|form| form.contains("/except\"")) {
            let blocker = value_of(form, "blocker").unwrap();
            let fields =
                [("blocker", blocker.as_str()), ("reason", "looked at"), ("offset", "-300")];
            let answer = self.desk.post(&self.hall, &format!("{}/except", visit_path()), &fields);
            assert_eq!(answer.status, 303, "{}", answer.text());
        }
        let page = super::page(&self.hall, &mut self.desk);
        let seen = value_of(&page, "shown").unwrap();
        let fields = [("shown", seen.as_str()), ("statement", ""), ("offset", "-300")];
        let answer = self.desk.post(&self.hall, &format!("{}/sign", visit_path()), &fields);
        assert_eq!(answer.status, 303, "{}", answer.text());
    }
}

#[test]
fn two_who_measure_one_manifold_are_never_averaged() {
    let mut all = pair(170);
    act(&mut all.ilse, OTHER_SHEET, Action::Enter(vec![manifold(343, Phase::AsLeft)]));
    act(&mut all.dov, OTHER_SHEET, Action::Enter(vec![manifold(363, Phase::AsLeft)]));
    all.join();
    let key = "reading%2Fmanifold_high%2Fas_left";
    let page = all.open(key, &["3.43", "3.63", "Ilse", "Dov"]);
    assert!(!page.contains("3.53"), "nobody measured the mean: {page}");
    all.settle(key, Some("3.63"), &[]);
    assert_eq!(all.difference(key), None);
    for kind in ["visit?visit=", "differences?visit="] {
        let report = all.report(&format!("{kind}{VISIT}"));
        has(&report, &["3.43", "3.63", "compared with the evidence"]);
        assert!(!report.contains("3.53"), "{report}");
    }
    let slip = all.report(&format!("column?visit={VISIT}&unit={OTHER}"));
    assert!(slip.contains("3.63") && !slip.contains("3.53"), "{slip}");
}

/// The rows under "Used" in the list for the truck.
fn used(restock: &str) -> &str {
    restock.split("\nUsed\n").nth(1).unwrap().split("Worth carrying").next().unwrap()
}

#[test]
fn one_part_that_both_entered_is_one_event_once_somebody_says_so() {
    let mut all = pair(171);
    let rod = Part {
        part: "flame rod".to_owned(),
        number: None,
        for_gas: None,
        rating: None,
        quantity: Figure::new(1, 0, UnitCode::from_key("n").unwrap()),
        source: Some("truck".to_owned()),
        old: None,
        note: None,
    };
    for device in [&mut all.ilse, &mut all.dov] {
        act(device, OTHER_SHEET, Action::Enter(vec![rod.clone().into()]));
    }
    all.join();
    // Until somebody says so both count, and the list for the truck says that one may be too many.
    let restock = format!("restock?visit={VISIT}");
    let before = all.report(&restock);
    assert!(used(&before).contains("2  flame rod"), "{before}");
    has(&before, &["1 pair of lines may be one event entered twice"]);
    all.open("double%2F", &["one event; this entry counts", "two events; both count"]);
    all.settle("double%2F", Some("one event; this entry counts"), &[]);
    let after = all.report(&restock);
    assert!(used(&after).contains("1  flame rod") && !after.contains("twice"), "{after}");
    let lines = all.desk.get(&all.hall, &format!("{}/export/lines.csv", visit_path())).text();
    let rods: Vec<&str> = lines.lines().filter(|line| line.contains("flame rod")).collect();
    assert_eq!(rods.len(), 2, "both rows stay: {lines}");
    assert_eq!(rods.iter().filter(|line| line.contains("double")).count(), 1, "{lines}");
    has(&all.report(&format!("visit?visit={VISIT}")), &["flame rod", "twice"]);
}

#[test]
fn a_tag_governs_while_somebody_else_marks_the_unit_as_running() {
    let mut all = pair(172);
    let tag = Tag {
        reason: "soot at the seam".to_owned(),
        isolations: vec!["gas cock".to_owned()],
        customer_told: Some("shift lead".to_owned()),
        utility_told: None,
        release_when: Some("the exchanger is proved".to_owned()),
        advisory: None,
        visit: Some(VISIT),
        told_person: None,
    };
    let lock = Lock {
        point: "gas cock".to_owned(),
        state: LockState::On,
        number: Some("7".to_owned()),
        takes_off: None,
        visit: Some(VISIT),
    };
    act(&mut all.ilse, OTHER_DOC, Action::ShutDown { tag, locks: vec![lock] });
    act(&mut all.dov, OTHER_SHEET, Action::Enter(vec![manifold(350, Phase::AsLeft)]));
    act(&mut all.dov, OTHER_DOC, Action::Set(vec![set("unit/status", "in_service_part_awaited")]));
    all.join();
    let page = page(&all.hall, &mut all.desk);
    let first = page.split("id=\"g1\"").nth(1).unwrap().split("id=\"g2\"").next().unwrap();
    has(first, &["UH-08", "soot at the seam"]);
    let path = links(&page, &format!("{}/settle", visit_path()));
    let path = path.iter().find(|path| path.contains(&format!("unit={OTHER}"))).unwrap().clone();
    let settle = all.desk.page(&all.hall, &path);
    let governs = settle.split("<div><p class=\"dim\">").find(|side| side.contains("governs now"));
    let governs = governs.unwrap();
    assert!(governs.contains("shut down, tagged") && governs.contains("Ilse"), "{governs}");
    let slip = all.report(&format!("shut_down?visit={VISIT}&unit={OTHER}"));
    has(&slip, &["DO NOT USE", "UH-08"]);
    has(&all.report(&format!("customer?visit={VISIT}")), &["UH-08 is shut down. Do not use it."]);
    let record = all.report(&format!("visit?visit={VISIT}"));
    has(&record, &["shut down, tagged", "in service, part awaited", "soot at the seam"]);
}

#[test]
fn a_plate_read_two_ways_judges_nothing_until_somebody_looked() {
    let mut all = pair(173);
    act(&mut all.ilse, OTHER_SHEET, Action::Enter(vec![manifold(350, Phase::AsFound)]));
    act(&mut all.ilse, OTHER_DOC, Action::Set(vec![set("plate/input", "125")]));
    act(&mut all.dov, OTHER_DOC, Action::Set(vec![set("plate/input", "175")]));
    all.join();
    all.open("plate%2Finput", &["125 MBH", "175 MBH", "None governs"]);
    let dossier = format!("unit?unit={OTHER}");
    has(&all.report(&dossier), &["125 MBH", "175 MBH"]);
    all.settle("plate%2Finput", Some("175 MBH"), &[]);
    let unit = all.desk.page(&all.hall, &format!("/review/sites/{SITE}/units/{OTHER}"));
    assert!(unit.contains("175 MBH"), "{unit}");
    let record = all.report(&format!("differences?visit={VISIT}"));
    has(&record, &["125 MBH", "175 MBH", "Settled by Oriane", "compared with the evidence"]);
}

#[test]
fn a_note_that_two_people_edited_holds_the_words_of_both() {
    let mut all = pair(174);
    let begun = Action::Write {
        subject: "description".to_owned(),
        about: None,
        text: "Locks out at shift start.".to_owned(),
    };
    act(&mut all.ilse, OTHER_SHEET, begun);
    all.join();
    let note = {
        let papers = all.dov.read_doc(OTHER_SHEET).unwrap();
        papers.read.texts[0].note
    };
    let edit = |text: &str| Action::Edit { note, text: text.to_owned() };
    act(&mut all.ilse, OTHER_SHEET, edit("Locks out at shift start. Crust on the rod is salt."));
    act(&mut all.dov, OTHER_SHEET, edit("Locks out at shift start, twice on Monday."));
    all.join();
    let both = ["twice on Monday", "Crust on the rod is salt"];
    has(&page(&all.hall, &mut all.desk), &both);
    let page = all.open("text%2F", &["The text as it reads now"]);
    has(&page, &both);
    all.settle("text%2F", None, &[]);
    let plain = all.report(&format!("visit?visit={VISIT}")).replace('\n', " ");
    for words in ["twice on", "Crust on"] {
        assert!(plain.contains(words), "{words}: {plain}");
    }
    has(&all.report("differences?"), &["two people edited this text", "Settled by Oriane"]);
}

#[test]
fn a_unit_taken_off_the_list_that_somebody_had_measured_keeps_its_evidence() {
    let mut all = pair(175);
    let extra = ApplianceId([11; 8]);
    let deed = deed::new_appliance(SITE, extra, "UH-11", vec![]);
    let by = stamp(&all.dov, NOW);
    all.dov.carry_out(deed, &by).unwrap();
    all.join();
    let sheet = DocId::new(SITE, DocKind::Sheet(VISIT, extra));
    act(&mut all.ilse, sheet, Action::Enter(vec![manifold(347, Phase::AsFound)]));
    act(&mut all.dov, OTHER_SHEET, Action::Enter(vec![manifold(352, Phase::AsFound)]));
    let by = stamp(&all.dov, NOW + 60);
    all.dov.remove_unit(SITE, extra, "made by mistake", &by).unwrap();
    all.join();
    let page = all.open("removed%2F", &["UH-11", "to another unit, under a wrong number"]);
    assert!(page.contains("made by mistake"), "{page}");
    let record = format!("visit?visit={VISIT}");
    has(&all.report(&record), &["UH-11", "3.47"]);
    let into = OTHER.to_string();
    all.settle("removed%2F", None, &[("chosen", "into"), ("into", &into)]);
    assert_eq!(all.difference("removed%2F"), None);
    let unit = all.desk.page(&all.hall, &format!("/review/sites/{SITE}/units/{extra}"));
    has(&unit, &["merged into UH-08"]);
    has(&all.report(&record), &["3.47"]);
    has(&all.report(&format!("unit?unit={OTHER}")), &["3.47"]);
}

#[test]
fn evidence_after_the_signature_counts_and_asks_for_a_second_one() {
    let mut all = pair(176);
    act(&mut all.ilse, OTHER_SHEET, Action::Enter(vec![manifold(351, Phase::AsLeft)]));
    all.join();
    all.settle("unit%2Fstatus", Some("in service"), &[]);
    all.sign();
    act(&mut all.dov, OTHER_SHEET, Action::Enter(vec![manifold(349, Phase::AsLeft)]));
    all.join();
    let page = page(&all.hall, &mut all.desk);
    has(&page, &["1 entry came after the sign-off", "a second sign-off is asked for", "3.49"]);
    let record = format!("visit?visit={VISIT}");
    has(&all.report(&record), &["3.49", "1 entry that the sign-off did not show"]);
    all.sign();
    let page = super::page(&all.hall, &mut all.desk);
    assert!(!page.contains("came after the sign-off"), "{page}");
    has(&all.report(&record), &["3.51", "3.49"]);
    has(&all.report("differences?"), &["1 entry that the sign-off did not show", "3.49"]);
}

#[test]
fn a_check_passed_by_one_and_not_done_by_the_other_is_tested_again() {
    let mut all = pair(177);
    let answer = |result| Action::Enter(vec![check(CheckItem::LeakCheck, result)]);
    act(&mut all.ilse, OTHER_SHEET, answer(CheckResult::Pass));
    act(&mut all.dov, OTHER_SHEET, answer(CheckResult::NotDone));
    all.join();
    let page = all.open("check%2Fleak_check", &["pass", "not done", "Ilse", "Dov"]);
    has(&page, &["The worst answer governs"]);
    let record = format!("visit?visit={VISIT}");
    has(&all.report(&record), &["leak check at the joints opened", "not done"]);
    act(&mut all.dov, OTHER_SHEET, answer(CheckResult::Pass));
    all.join();
    assert_eq!(all.difference("check%2Fleak_check"), None, "ended by evidence");
    let page = super::page(&all.hall, &mut all.desk);
    has(&page, &["not done, Dov"]);
    let register = all.report("differences?");
    has(&register, &["leak check at the joints opened: not", "Settled by Dov"]);
    assert!(!register.to_lowercase().contains("no leak"), "{register}");
}

#[test]
fn a_phone_restored_from_an_old_backup_loses_nothing_and_claims_nothing_twice() {
    let mut all = pair(178);
    let hall = &all.hall;
    let code =
        super::super::code_for(hall, &mut all.boss, None, Role::Technician, Some(vec![SITE]));
    let bytes = MemoryBytes::default();
    let mut phone = join_on(bytes.clone(), hall, &code, "Maren");
    exchange(hall, &mut phone);
    let here = |here| Action::Enter(vec![Claim { here }.into()]);
    act(&mut phone, OTHER_SHEET, here(true));
    act(&mut phone, OTHER_SHEET, Action::Enter(vec![manifold(352, Phase::AsFound)]));
    // The backup of that morning: nothing of this has been sent yet.
    let backup = bytes.content();
    act_at(
        &mut phone,
        OTHER_SHEET,
        Action::Enter(vec![manifold(344, Phase::AsLeft)]),
        NOW + 60,
        -300,
    );
    act_at(&mut phone, OTHER_SHEET, here(false), NOW + 120, -300);
    exchange(hall, &mut phone);
    drop(phone);
    // The phone is lost; the next one begins with the backup, works on, and meets the hub.
    let store = Store::open(MemoryBytes::with(backup), PHONE).unwrap();
    let mut restored = Device::open(store, hall.random().source()).unwrap();
    let later = Action::Enter(vec![manifold(348, Phase::AsLeft)]);
    act_at(&mut restored, OTHER_SHEET, later, NOW + 600, -300);
    let report = exchange(hall, &mut restored);
    assert!(report.wrong.is_empty(), "{:?}", report.wrong);
    let page = page(hall, &mut all.desk);
    let sheet = page.split("UH-08</").last().unwrap();
    for figure in ["3.52", "3.44", "3.48"] {
        assert!(sheet.contains(figure), "{figure}: {sheet}");
    }
    let record = all.report(&format!("visit?visit={VISIT}"));
    let entries = |says: &str| record.matches(says).count();
    assert_eq!((entries("works here"), entries("left the unit")), (1, 1), "{record}");
    has(&record, &["3.52", "3.44", "3.48"]);
    // The restored phone has what the lost one had sent, and its own claim is over.
    let read = restored.read_doc(OTHER_SHEET).unwrap().read;
    let claims: Vec<bool> = read
        .counted(Kind::Claim)
        .filter_map(|entry| match &entry.body {
            Body::Claim(claim) => Some(claim.here),
            _ => None,
        })
        .collect();
    assert_eq!(claims, [true, false]);
    assert_eq!(restored.unsent(SITE).unwrap(), client_core::device::Unsent::default());
}
