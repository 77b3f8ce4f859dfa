//! The review pages: a supervisor signs in, looks, settles and signs, and the technicians' devices see it.

mod api;
mod building;
mod guard;
mod hostile;
mod nine;
#[cfg(feature = "pdf")]
mod paper;
mod passkey;
mod pattern;
mod photos;
mod quarantine;
mod report;
mod rights;
mod stories;
mod story;

use client_core::device::{Device, Report, Step, Wish};
use client_core::exchange::frame;
use client_core::exchange::office::{self, Order, OrderReply};
use client_core::exchange::talk::{Next, Talk};
use client_core::record::action::Action;
use client_core::record::body::{Body, Kind};
use client_core::record::code::Role;
use client_core::record::doc_id::{DocId, DocKind};
use client_core::record::field::FieldValue;
use client_core::record::id::{ApplianceId, PersonId, SiteId, VisitId};
use client_core::record::signer::Standing;
use client_core::store::pictures::digits;
use server::config::Settings;
use tests::net::desk::value_of;
use tests::net::{Desk, Hall};

use crate::routes::{boss, join, technician};
use crate::thread::{NOW, set, stamp};

const AT: &str = "192.0.2.1";
const SITE: SiteId = SiteId([7; 8]);
const UNIT: ApplianceId = ApplianceId([1; 8]);
const VISIT: VisitId = VisitId([2; 8]);

pub(crate) fn exchange(hall: &Hall, device: &mut Device) -> Report {
    let mut talk = Talk::default();
    let mut report = Report::default();
    loop {
        let clock = hall.clock.load(std::sync::atomic::Ordering::Relaxed);
        let wish = Wish { clock, today: i32::try_from(clock / 86_400).unwrap() };
        let request = device.request(&mut talk, wish).unwrap();
        let answer = hall.post(AT, frame::PATH, &request);
        assert_eq!(answer.status, 200, "{}", answer.text());
        match device.hear(&mut talk, clock, &answer.body, &mut report).unwrap() {
            Next::Again => {}
            Next::Done | Next::Stuck => return report,
        }
    }
}

/// A code for a person's next device or browser.
pub(crate) fn code_for(
    hall: &Hall,
    boss: &mut Device,
    person: Option<PersonId>,
    role: Role,
    sites: Option<Vec<SiteId>>,
) -> String {
    code_at(hall, NOW, boss, person, role, sites)
}

/// The same at another time.
pub(crate) fn code_at(
    hall: &Hall,
    now: i64,
    boss: &mut Device,
    person: Option<PersonId>,
    role: Role,
    sites: Option<Vec<SiteId>>,
) -> String {
    let order = Order::NewCode { person, role, sites };
    let body = boss.signed_request(office::PATH, now, &frame::encode(&order));
    let answer = hall.post(AT, office::PATH, &body);
    match frame::decode(&answer.body, 4096).unwrap() {
        OrderReply::Code { code, .. } => code,
        other => panic!("{other:?}"),
    }
}

/// A path of the description with real ids in it.
pub(crate) fn real(path: &str) -> String {
    let path = path
        .replace("{site}", &SITE.to_string())
        .replace("{unit}", &UNIT.to_string())
        .replace("{visit}", &VISIT.to_string())
        .replace("{name}", "pages.css")
        .replace("{what}", "lines.csv")
        .replace("{hash}", &digits(blake3::hash(PICTURE).as_bytes()))
        .replace("{token}", "guessed");
    match path.strip_suffix("{kind}") {
        Some(begin) => format!("{begin}visit?visit={VISIT}"),
        None => path,
    }
}

/// The bytes of a picture.
const PICTURE: &[u8] = b"picture";

fn visit_path() -> String {
    format!("/review/sites/{SITE}/visits/{VISIT}")
}

/// A company whose two technicians said different things about one unit.
pub(crate) struct Firm {
    pub(crate) hall: Hall,
    pub(crate) boss: Device,
    pub(crate) ilse: Device,
    pub(crate) desk: Desk,
}

pub(crate) fn firm(seed: u64) -> Firm {
    let hall = Hall::new(seed, NOW, &Settings::in_folder(""), None);
    let mut boss = boss(&hall);
    let unit = DocId::new(SITE, DocKind::Appliance(UNIT));
    let head = DocId::new(SITE, DocKind::Visit(VISIT));
    let act = |device: &mut Device, doc, action| {
        let stamp = stamp(device, NOW);
        device.act(&[Step::new(doc, action)], &stamp).unwrap();
    };
    let names = vec![set("site/name", "Ostrel Road"), set("customer/name", "Brine & Sons")];
    act(&mut boss, DocId::new(SITE, DocKind::Site), Action::Set(names));
    act(&mut boss, unit, Action::Set(vec![set("unit/no", "UH-05")]));
    act(
        &mut boss,
        head,
        Action::Set(vec![set("visit/kind", "no_heat"), set("visit/day", "2025-10-09")]),
    );
    exchange(&hall, &mut boss);
    let mut ilse = technician(&hall, &mut boss, "Ilse", Some(vec![SITE]));
    let mut dov = technician(&hall, &mut boss, "Dov", Some(vec![SITE]));
    exchange(&hall, &mut ilse);
    exchange(&hall, &mut dov);
    let sheet = DocId::new(SITE, DocKind::Sheet(VISIT, UNIT));
    let reading = crate::thread::manifold(350, client_core::record::code::Phase::AsFound);
    act(&mut ilse, sheet, Action::Enter(vec![reading]));
    act(&mut ilse, unit, Action::Set(vec![set("unit/status", "shut_down_tagged")]));
    act(&mut dov, unit, Action::Set(vec![set("unit/status", "in_service")]));
    exchange(&hall, &mut ilse);
    exchange(&hall, &mut dov);
    let person = Some(boss.identity().person);
    let code = code_for(&hall, &mut boss, person, Role::Supervisor, None);
    let desk = Desk::joined(&hall, AT, &code, "Oriane");
    Firm { hall, boss, ilse, desk }
}

/// The fields of the form that settles the status.
fn status_form(page: &str, chosen: &str, reason: &str) -> Vec<(String, String)> {
    let text = |name: &str| value_of(page, name).unwrap();
    vec![
        ("key".to_owned(), text("key")),
        ("unit".to_owned(), text("unit")),
        ("table".to_owned(), text("table")),
        ("offset".to_owned(), "-300".to_owned()),
        ("chosen".to_owned(), chosen.to_owned()),
        ("reason".to_owned(), reason.to_owned()),
    ]
}

fn borrowed(fields: &[(String, String)]) -> Vec<(&str, &str)> {
    fields.iter().map(|(name, value)| (name.as_str(), value.as_str())).collect()
}

/// The entry of the side that says this, out of the choices of a form.
fn side_that_says(page: &str, says: &str) -> String {
    let choice =
        page.split("<label class=\"pick\">").skip(1).find(|part| part.contains(says)).unwrap();
    value_of(choice, "chosen").unwrap()
}

#[test]
fn a_supervisor_settles_on_a_page_and_the_technicians_see_it() {
    let Firm { hall, mut ilse, mut desk, boss, .. } = firm(60);
    let home = desk.page(&hall, "/review");
    assert!(home.contains("UH-05") && home.contains("Ostrel Road"), "{home}");
    let visit = desk.page(&hall, &visit_path());
    assert!(visit.contains("shut down, tagged") && visit.contains("in service"), "{visit}");
    assert!(visit.contains("Ilse") && visit.contains("Dov"));
    let settle = format!("{}/settle?key=unit%2Fstatus&unit={UNIT}", visit_path());
    let page = desk.page(&hall, &settle);
    assert!(page.contains("governs now"), "{page}");
    let chosen = side_that_says(&page, "shut down, tagged");
    let form = status_form(&page, &chosen, "the tag stays until the exchanger is proved");
    let answer = desk.post(&hall, &format!("{}/settle", visit_path()), &borrowed(&form));
    assert_eq!((answer.status, &answer.headers["location"]), (303, &visit_path().parse().unwrap()));
    exchange(&hall, &mut ilse);
    let papers = ilse.read_doc(DocId::new(SITE, DocKind::Appliance(UNIT))).unwrap();
    let merged = papers.read.named("unit/status").unwrap();
    assert!(!merged.contested());
    let said = merged.governs().unwrap();
    assert_eq!(said.value, FieldValue::Word(4));
    let person = boss.identity().person;
    assert_eq!((said.stamp.by, said.stamp.offset_min), (person, -300));
    let settlement = papers.read.counted(Kind::Settlement).next().unwrap();
    assert_eq!(settlement.standing, Standing::Good, "signed by a key certified for her");
    let Body::Settlement(words) = &settlement.body else { panic!("{settlement:?}") };
    assert_eq!(words.reason, "the tag stays until the exchanger is proved");
    let visit = desk.page(&hall, &visit_path());
    assert!(!visit.contains("key=unit%2Fstatus"), "nothing is left to settle");
    let opened = hall.stopped();
    let checked = server::log::check::check(&opened.store.read().unwrap()).unwrap();
    assert_eq!(checked.deliveries, 4, "the settlement is a delivery like any other");
}

#[test]
fn two_supervisors_who_settle_at_once_do_not_overwrite_each_other() {
    let Firm { hall, mut boss, mut desk, .. } = firm(61);
    let code = code_for(&hall, &mut boss, None, Role::Supervisor, None);
    let mut other = Desk::joined(&hall, "192.0.2.2", &code, "Second");
    let settle = format!("{}/settle?key=unit%2Fstatus&unit={UNIT}", visit_path());
    let (page, same) = (desk.page(&hall, &settle), other.page(&hall, &settle));
    let post = format!("{}/settle", visit_path());
    let shut = status_form(&page, &side_that_says(&page, "shut down, tagged"), "tag on");
    let runs = status_form(&same, &side_that_says(&same, "in service"), "tested again");
    assert_eq!(desk.post(&hall, &post, &borrowed(&shut)).status, 303);
    let answer = other.post(&hall, &post, &borrowed(&runs));
    assert_eq!(answer.status, 409);
    assert!(answer.text().contains("omebody has settled this"), "{}", answer.text());
    exchange(&hall, &mut boss);
    let papers = boss.read_doc(DocId::new(SITE, DocKind::Appliance(UNIT))).unwrap();
    assert_eq!(papers.read.counted(Kind::Settlement).count(), 1);
}

#[test]
fn an_answer_that_came_since_the_page_was_shown_is_looked_at_first() {
    let Firm { hall, mut ilse, mut desk, .. } = firm(62);
    let settle = format!("{}/settle?key=unit%2Fstatus&unit={UNIT}", visit_path());
    let page = desk.page(&hall, &settle);
    let unit = DocId::new(SITE, DocKind::Appliance(UNIT));
    let stamp = stamp(&ilse, NOW);
    let mut watch = set("unit/status", "watch");
    watch.reason = Some("the seam was only dusty".to_owned());
    ilse.act(&[Step::new(unit, Action::Set(vec![watch]))], &stamp).unwrap();
    exchange(&hall, &mut ilse);
    let form = status_form(&page, &side_that_says(&page, "shut down, tagged"), "tag on");
    let answer = desk.post(&hall, &format!("{}/settle", visit_path()), &borrowed(&form));
    assert_eq!(answer.status, 409);
    assert!(
        answer.text().contains("another answer has come")
            || answer.text().contains("Another answer has come")
    );
    assert!(answer.text().contains("watch"), "the page shows what came");
}

#[test]
fn a_code_of_a_technician_opens_no_page_and_is_not_used_up() {
    let Firm { hall, mut boss, .. } = firm(63);
    let code = code_for(&hall, &mut boss, None, Role::Technician, Some(vec![SITE]));
    let mut desk = Desk::at("192.0.2.3");
    let password = "a password that is long enough";
    let fields = [
        ("code", code.as_str()),
        ("name", "Third"),
        ("sign_in", "third"),
        ("password", password),
        ("again", password),
    ];
    let answer = desk.post(&hall, "/review/join", &fields);
    assert_eq!(answer.status, 403);
    assert!(answer.text().contains("for a technician"));
    join(&hall, &code, "Third");
}
