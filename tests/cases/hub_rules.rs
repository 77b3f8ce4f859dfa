//! What the hub takes from whom, and what it tells to whom.

use client_core::device::{Device, Step};
use client_core::exchange::enrol::EnrolReply;
use client_core::exchange::frame::{self, PersonRow, Reply};
use client_core::exchange::office::{self, Order, OrderReply};
use client_core::exchange::talk::Talk;
use client_core::record::action::Action;
use client_core::record::code::{Phase, Role};
use client_core::record::doc_id::{DocId, DocKind};
use client_core::record::id::{ApplianceId, PersonId, SiteId, VisitId};
use client_core::store::MemoryBytes;
use ed25519_dalek::SigningKey;
use server::access::CodeWrong;
use server::hub::{Hub, Totals, Turn};
use tests::net::guest::joining;
use tests::world::hub::{MANNER, store_on};
use tests::world::{HubDisk, Joined, Seeded, enrol, exchange, hub_on};

use crate::thread::{NOW, manifold, set, stamp};

pub(crate) const SITE: SiteId = SiteId([7; 8]);

/// A hub whose disk stays, so that it can be opened again.
pub(crate) struct Yard {
    pub(crate) disk: HubDisk,
    pub(crate) random: Seeded,
    pub(crate) hub: Hub,
}

impl Yard {
    pub(crate) fn new(seed: u64) -> Yard {
        let mut random = Seeded::new(seed);
        let disk = HubDisk::default();
        let hub = hub_on(disk.log.clone(), disk.view.clone(), &mut random).unwrap();
        Yard { disk, random, hub }
    }

    pub(crate) fn join(&mut self, name: &str, role: Role, sites: Option<Vec<SiteId>>) -> Device {
        let who = Joined { name: name.to_owned(), person: None, role, sites };
        let store = store_on(MemoryBytes::default(), MANNER).unwrap();
        enrol(&mut self.hub, store, &who, NOW, &mut self.random).unwrap()
    }

    /// The hub is stopped and started again, its log as it was then.
    pub(crate) fn restart(&mut self, log: Vec<u8>, view: Option<Vec<u8>>) {
        self.disk = HubDisk {
            log: MemoryBytes::with(log),
            view: view.map(MemoryBytes::with).unwrap_or_default(),
        };
        self.hub = hub_on(self.disk.log.clone(), self.disk.view.clone(), &mut self.random).unwrap();
    }

    fn code(&mut self, now: i64, person: Option<PersonId>, role: Role) -> (String, String) {
        let mut random = [0; 24];
        self.random.fill(&mut random);
        self.hub.access().new_code(now, person, role, None, &random).unwrap()
    }

    fn try_code(
        &mut self,
        now: i64,
        from: &str,
        key: &SigningKey,
        code: &str,
    ) -> Result<EnrolReply, CodeWrong> {
        let ask = joining(key, code, "Ilse");
        self.hub.enrol(now, from, &ask)
    }
}

fn key(seed: u8) -> SigningKey {
    SigningKey::from_bytes(&[seed; 32])
}

pub(crate) fn order(
    hub: &mut Hub,
    device: &mut Device,
    now: i64,
    order: &Order,
) -> Result<OrderReply, Turn> {
    let body = device.signed_request(office::PATH, now, &frame::encode(order));
    hub.order(now, &body)
}

fn sheet(site: SiteId) -> DocId {
    DocId::new(site, DocKind::Sheet(VisitId([2; 8]), ApplianceId([1; 8])))
}

pub(crate) fn enter(device: &mut Device, site: SiteId, hundredths: i64) {
    let by = stamp(device, NOW);
    let reading = Action::Enter(vec![manifold(hundredths, Phase::InWork)]);
    device.act(&[Step::new(sheet(site), reading)], &by).unwrap();
}

pub(crate) fn begin(device: &mut Device, site: SiteId) {
    let by = stamp(device, NOW);
    let name = Action::Set(vec![set("site/name", "Ostrel Road")]);
    device.act(&[Step::new(DocId::new(site, DocKind::Site), name)], &by).unwrap();
}

pub(crate) fn meet(device: &mut Device, hub: &mut Hub) -> tests::world::Trip {
    let trip = exchange(device, hub, NOW, NOW, vec![]).unwrap();
    assert!(trip.report.wrong.is_empty(), "{:?}", trip.report);
    trip
}

#[test]
fn a_code_is_good_once_for_ten_minutes_and_again_for_the_key_that_used_it() {
    let mut yard = Yard::new(10);
    let (code, token) = yard.code(NOW, None, Role::Technician);
    let shown = client_core::exchange::enrol::show(&code).to_uppercase();
    let first = yard.try_code(NOW + 599, "a", &key(1), &shown).unwrap();
    let again = yard.try_code(NOW + 599, "a", &key(1), &token).unwrap();
    assert_eq!(first, again, "the answer was lost, and the link is asked this time");
    assert_eq!(yard.hub.access().devices().count(), 1);
    for form in [&code, &token] {
        let other = yard.try_code(NOW, "b", &key(2), form);
        assert!(matches!(other, Err(CodeWrong::Invalid)), "used by another key: {other:?}");
    }
    let late = yard.try_code(NOW + 600, "c", &key(1), &code);
    assert!(matches!(late, Err(CodeWrong::Invalid)), "ten minutes are over: {late:?}");
    let (code, _) = yard.code(NOW, None, Role::Technician);
    let mut unsigned = joining(&key(3), &code, "Dov");
    unsigned.signature[0] ^= 1;
    assert!(matches!(yard.hub.enrol(NOW, "d", &unsigned), Err(CodeWrong::Signature)));
    let nameless = joining(&key(3), &code, "  ");
    assert!(matches!(yard.hub.enrol(NOW, "d", &nameless), Err(CodeWrong::NameNeeded)));
}

#[test]
fn wrong_codes_are_counted_by_address_and_links_outlast_them() {
    let mut yard = Yard::new(11);
    let (code, token) = yard.code(NOW, None, Role::Technician);
    for _ in 0..5 {
        assert!(matches!(yard.try_code(NOW, "a", &key(1), "0000-0000"), Err(CodeWrong::Invalid)));
    }
    assert!(matches!(yard.try_code(NOW, "a", &key(1), &code), Err(CodeWrong::TooMany)));
    assert!(matches!(yard.try_code(NOW, "a", &key(1), &token), Err(CodeWrong::TooMany)));
    for stranger in 0..25 {
        for _ in 0..5 {
            drop(yard.try_code(NOW, &format!("s{stranger}"), &key(1), "0000-0000"));
        }
    }
    assert!(matches!(yard.try_code(NOW, "b", &key(1), &code), Err(CodeWrong::TooMany)));
    assert!(yard.try_code(NOW, "b", &key(1), &token).is_ok(), "nobody guesses 128 bits");
    let (code, _) = yard.code(NOW + 600, None, Role::Technician);
    assert!(yard.try_code(NOW + 600, "a", &key(2), &code).is_ok(), "ten minutes later");
}

#[test]
fn one_key_is_one_persons_for_ever() {
    let mut yard = Yard::new(12);
    let mut boss = yard.join("Oriane", Role::Supervisor, None);
    let (code, _) = yard.code(NOW, None, Role::Technician);
    let joined = yard.try_code(NOW, "a", &key(1), &code).unwrap();
    let device = client_core::exchange::delivery::device_id(&key(1).verifying_key().to_bytes());
    let grant = Order::Grant { device, role: Role::Technician, sites: Some(vec![SITE]) };
    assert_eq!(order(&mut yard.hub, &mut boss, NOW, &grant).unwrap(), OrderReply::Done);
    let again = yard.try_code(NOW, "a", &key(1), &code).unwrap();
    assert_eq!(again.sites, Some(vec![SITE]), "a lost answer does not bring old rights back");

    let (code, _) = yard.code(NOW, Some(PersonId([9; 8])), Role::Supervisor);
    let other = yard.try_code(NOW, "a", &key(1), &code);
    assert!(matches!(other, Err(CodeWrong::OtherPerson)), "{other:?}");
    let (code, _) = yard.code(NOW, Some(joined.person), Role::Office);
    let more = yard.try_code(NOW, "a", &key(1), &code).unwrap();
    assert_eq!((more.person, more.role), (joined.person, Role::Office));

    let revoke = Order::Revoke { device, reason: "lost".to_owned() };
    assert_eq!(order(&mut yard.hub, &mut boss, NOW, &revoke).unwrap(), OrderReply::Done);
    let (code, _) = yard.code(NOW, Some(joined.person), Role::Technician);
    let back = yard.try_code(NOW, "a", &key(1), &code);
    assert!(matches!(back, Err(CodeWrong::Revoked)), "{back:?}");
}

#[test]
fn codes_of_a_revoked_device_are_void_and_the_last_supervisor_stays() {
    let mut yard = Yard::new(13);
    let mut boss = yard.join("Oriane", Role::Supervisor, None);
    let mut other = yard.join("Ilse", Role::Supervisor, None);
    let mut desk = yard.join("Dov", Role::Office, None);
    let new_code = |role| Order::NewCode { person: None, role, sites: None };
    let issued = order(&mut yard.hub, &mut other, NOW, &new_code(Role::Supervisor)).unwrap();
    let OrderReply::Code { code, .. } = issued else { panic!("{issued:?}") };
    let device = other.identity().device();
    let revoke = Order::Revoke { device, reason: "left".to_owned() };
    order(&mut yard.hub, &mut boss, NOW, &revoke).unwrap();
    let used = yard.try_code(NOW, "a", &key(1), &code);
    assert!(matches!(used, Err(CodeWrong::Invalid)), "{used:?}");
    assert!(matches!(order(&mut yard.hub, &mut other, NOW, &Order::Devices), Err(Turn::Revoked)));
    assert!(matches!(
        order(&mut yard.hub, &mut desk, NOW, &new_code(Role::Supervisor)),
        Err(Turn::Role)
    ));
    let last = boss.identity().device();
    let unmake = Order::Grant { device: last, role: Role::Technician, sites: None };
    assert!(matches!(order(&mut yard.hub, &mut desk, NOW, &unmake), Err(Turn::Role)));
    for refused in [unmake, Order::Revoke { device: last, reason: String::new() }] {
        let reply = order(&mut yard.hub, &mut boss, NOW, &refused).unwrap();
        assert!(matches!(reply, OrderReply::Refused(_)), "{reply:?}");
    }
}

#[test]
fn an_order_is_never_carried_out_twice_not_even_after_a_restart() {
    let mut yard = Yard::new(14);
    let mut boss = yard.join("Oriane", Role::Supervisor, None);
    let ask = frame::encode(&Order::NewCode { person: None, role: Role::Supervisor, sites: None });
    let recorded = boss.signed_request(office::PATH, NOW, &ask);
    assert!(matches!(yard.hub.order(NOW, &recorded), Ok(OrderReply::Code { .. })));
    assert!(matches!(yard.hub.order(NOW, &recorded), Err(Turn::Stale { .. })));
    yard.restart(yard.disk.log.content(), None);
    yard.hub.resume(NOW - 10, Totals::default()).unwrap();
    let Err(Turn::Stale { counter }) = yard.hub.order(NOW, &recorded) else {
        panic!("a recorded order was carried out again")
    };
    // A device whose clock went back an hour counts on from there.
    assert!(boss.count_on(counter));
    assert!(order(&mut yard.hub, &mut boss, NOW - 3_600, &Order::Devices).is_ok());
}

#[test]
fn an_exchange_that_was_recorded_tells_nothing_after_a_restart() {
    let mut yard = Yard::new(15);
    let mut boss = yard.join("Oriane", Role::Supervisor, None);
    begin(&mut boss, SITE);
    meet(&mut boss, &mut yard.hub);
    let wish = client_core::device::Wish { clock: NOW, today: 0 };
    let recorded = boss.request(&mut Talk::default(), wish).unwrap();
    yard.restart(yard.disk.log.content(), None);
    yard.hub.resume(NOW + 60, Totals::default()).unwrap();
    let reply = yard.hub.exchange(NOW + 60, &[&recorded]).pop().unwrap().unwrap();
    let reply: Reply = frame::decode(&reply, reply.len()).unwrap();
    assert!(reply.counter.is_some() && reply.sites.is_none() && reply.people.is_none());
    // A device whose clock is behind the hub's start gets through with one round more.
    enter(&mut boss, SITE, 350);
    let trip = exchange(&mut boss, &mut yard.hub, NOW, NOW + 70, vec![]).unwrap();
    assert_eq!((trip.rounds, trip.report.echoed), (2, 1), "{:?}", trip.report);
}

#[test]
fn the_directory_is_written_by_its_own_persons_and_the_office() {
    let mut yard = Yard::new(16);
    let mut boss = yard.join("Oriane", Role::Supervisor, None);
    let mut ilse = yard.join("Ilse", Role::Technician, Some(vec![SITE]));
    let mut dov = yard.join("Dov", Role::Technician, Some(vec![SITE]));
    let row = |person, name: &str| PersonRow {
        person,
        name: Some(name.to_owned()),
        contact: None,
        licence: None,
    };
    let (own, other) = (ilse.identity().person, dov.identity().person);
    meet(&mut ilse, &mut yard.hub);
    ilse.add_person(&row(own, "Ilse M.")).unwrap();
    ilse.add_person(&row(other, "Somebody")).unwrap();
    ilse.add_person(&row(PersonId([8; 8]), "The caretaker")).unwrap();
    meet(&mut ilse, &mut yard.hub);
    meet(&mut ilse, &mut yard.hub);
    let named = |device: &Device, person| device.person(person).unwrap().and_then(|row| row.name);
    assert_eq!(named(&ilse, own).as_deref(), Some("Ilse M."));
    assert_eq!(named(&ilse, other).as_deref(), Some("Dov"), "told again as it stands");
    meet(&mut dov, &mut yard.hub);
    assert_eq!(named(&dov, PersonId([8; 8])).as_deref(), Some("The caretaker"));

    let erase = Order::Erase { person: other };
    order(&mut yard.hub, &mut boss, NOW, &erase).unwrap();
    dov.add_person(&row(other, "Dov again")).unwrap();
    meet(&mut dov, &mut yard.hub);
    meet(&mut dov, &mut yard.hub);
    assert_eq!(named(&dov, other), None, "who was erased stays erased");
    assert_eq!(yard.hub.access().person(other).unwrap().unwrap().name, None);
}

#[test]
fn a_long_directory_is_told_in_pages_within_one_talk() {
    let mut yard = Yard::new(17);
    let mut boss = yard.join("Oriane", Role::Supervisor, None);
    let words = "unit ".repeat(60);
    let rows: Vec<PersonRow> = (0..1_000u16)
        .map(|n| PersonRow {
            person: PersonId([&n.to_be_bytes()[..], &[1; 6]].concat().try_into().unwrap()),
            name: Some(format!("person {n}")),
            contact: Some(words.clone()),
            licence: None,
        })
        .collect();
    yard.hub.access().put_people(&rows).unwrap();
    let trip = meet(&mut boss, &mut yard.hub);
    assert!(trip.rounds >= 4 && !trip.stuck, "{} rounds", trip.rounds);
    assert_eq!(boss.people().unwrap().len(), 1_001);
    assert_eq!(meet(&mut boss, &mut yard.hub).rounds, 1);
}

#[test]
fn a_revoked_device_hears_nothing_and_its_work_is_taken() {
    let mut yard = Yard::new(18);
    let mut boss = yard.join("Oriane", Role::Supervisor, None);
    let mut ilse = yard.join("Ilse", Role::Technician, Some(vec![SITE]));
    begin(&mut boss, SITE);
    meet(&mut boss, &mut yard.hub);
    meet(&mut ilse, &mut yard.hub);
    yard.hub.rung();
    enter(&mut boss, SITE, 350);
    meet(&mut boss, &mut yard.hub);
    let rung = yard.hub.rung();
    let heard = |yard: &Yard, device: &Device| {
        yard.hub.heard_by(device.identity().device(), &rung).map(|sites| sites.len())
    };
    assert_eq!(heard(&yard, &ilse), Some(1));
    assert_eq!(heard(&yard, &boss), Some(0), "it brought the news itself");
    let device = ilse.identity().device();
    order(&mut yard.hub, &mut boss, NOW, &Order::Revoke { device, reason: "lost".to_owned() })
        .unwrap();
    assert_eq!(heard(&yard, &ilse), None);
    enter(&mut ilse, SITE, 360);
    let trip = meet(&mut ilse, &mut yard.hub);
    assert_eq!((trip.report.taken, trip.report.echoed, trip.rounds), (0, 1, 1));
    assert_eq!(trip.report.revoked.as_deref(), Some("lost"));
    meet(&mut boss, &mut yard.hub);
    assert!(boss.signers().any_late());
}

#[test]
fn work_for_a_site_that_was_taken_away_still_arrives_and_copies_go() {
    let mut yard = Yard::new(19);
    let mut boss = yard.join("Oriane", Role::Supervisor, None);
    let mut ilse = yard.join("Ilse", Role::Technician, Some(vec![SITE]));
    begin(&mut boss, SITE);
    meet(&mut boss, &mut yard.hub);
    meet(&mut ilse, &mut yard.hub);
    enter(&mut ilse, SITE, 350);
    let device = ilse.identity().device();
    let grant = Order::Grant { device, role: Role::Technician, sites: Some(vec![]) };
    order(&mut yard.hub, &mut boss, NOW, &grant).unwrap();
    let trip = meet(&mut ilse, &mut yard.hub);
    assert_eq!((trip.report.echoed, trip.report.gone.as_slice()), (1, &[SITE][..]));
    assert_eq!(ilse.held(SITE).unwrap().0, 0, "copies are taken away");
    assert!(meet(&mut boss, &mut yard.hub).report.taken >= 1);
    assert_eq!(meet(&mut ilse, &mut yard.hub).rounds, 1);
}

#[test]
fn a_new_site_is_told_to_a_device_that_sends_a_digest_only() {
    let mut yard = Yard::new(20);
    let mut boss = yard.join("Oriane", Role::Supervisor, None);
    let mut ilse = yard.join("Ilse", Role::Technician, None);
    begin(&mut boss, SITE);
    meet(&mut boss, &mut yard.hub);
    meet(&mut ilse, &mut yard.hub);
    meet(&mut ilse, &mut yard.hub);
    begin(&mut boss, SiteId([8; 8]));
    meet(&mut boss, &mut yard.hub);
    let trip = meet(&mut ilse, &mut yard.hub);
    assert_eq!((trip.report.taken, trip.rounds), (1, 2), "told of it, then told it");
    assert_eq!(ilse.sites().unwrap().len(), 2);
}

#[test]
fn a_site_that_a_restored_hub_lost_is_brought_back_by_a_technician() {
    let mut yard = Yard::new(21);
    let mut boss = yard.join("Oriane", Role::Supervisor, None);
    let mut ilse = yard.join("Ilse", Role::Technician, None);
    let backup = yard.disk.log.content();
    begin(&mut boss, SITE);
    meet(&mut boss, &mut yard.hub);
    meet(&mut ilse, &mut yard.hub);
    enter(&mut ilse, SITE, 350);
    meet(&mut ilse, &mut yard.hub);
    yard.restart(backup, None);
    assert_eq!(yard.hub.log().sites().unwrap().len(), 1);
    let trip = meet(&mut ilse, &mut yard.hub);
    assert!(!trip.stuck, "{:?}", trip.report);
    assert_eq!(yard.hub.log().end(SITE).unwrap().n, 2, "the supervisor's delivery too");
    assert_eq!(ilse.unsent(SITE).unwrap(), client_core::device::Unsent::default());
}

#[test]
fn a_technicians_work_waits_until_the_office_begins_the_site() {
    let mut yard = Yard::new(22);
    let mut boss = yard.join("Oriane", Role::Supervisor, None);
    let mut ilse = yard.join("Ilse", Role::Technician, None);
    enter(&mut ilse, SITE, 350);
    let trip = meet(&mut ilse, &mut yard.hub);
    assert!(!trip.stuck && trip.report.echoed == 0, "{:?}", trip.report);
    assert_ne!(ilse.unsent(SITE).unwrap(), client_core::device::Unsent::default(), "it waits");
    begin(&mut boss, SITE);
    meet(&mut boss, &mut yard.hub);
    let trip = meet(&mut ilse, &mut yard.hub);
    assert_eq!((trip.stuck, trip.report.echoed), (false, 1), "{:?}", trip.report);
}

#[test]
fn what_was_made_under_a_wrong_clock_is_noted() {
    let mut yard = Yard::new(23);
    let mut boss = yard.join("Oriane", Role::Supervisor, None);
    let notes = |yard: &Yard| {
        let log = yard.hub.log().after(SITE, 0, usize::MAX).unwrap();
        log.iter().filter(|one| matches!(one.arrival, server::log::Arrival::Note(_))).count()
    };
    begin(&mut boss, SITE);
    for (ahead, wanted) in [(3_600, 1), (3_610, 2), (90, 2), (-7_200, 3), (0, 3)] {
        enter(&mut boss, SITE, 350);
        exchange(&mut boss, &mut yard.hub, NOW + ahead, NOW, vec![]).unwrap();
        assert_eq!(notes(&yard), wanted, "{ahead} s ahead");
    }
}

/// What waits is sealed into a request that somebody else sends when a signal comes back.
#[test]
fn a_prepared_request_arrives_whenever_it_is_sent_and_never_twice() {
    let mut yard = Yard::new(24);
    let mut boss = yard.join("Oriane", Role::Supervisor, None);
    begin(&mut boss, SITE);
    exchange(&mut boss, &mut yard.hub, NOW, NOW, vec![]).unwrap();
    let count = |yard: &Yard, note: bool| {
        let log = yard.hub.log().after(SITE, 0, usize::MAX).unwrap();
        let is = |one: &server::log::Arrival| matches!(one, server::log::Arrival::Note(_)) == note;
        log.iter().filter(|one| is(&one.arrival)).count()
    };
    let wish = client_core::device::Wish { clock: NOW, today: 0 };
    assert_eq!(boss.prepared_request(wish).unwrap(), None, "nothing waits");
    enter(&mut boss, SITE, 350);
    let (before, notes) = (count(&yard, false), count(&yard, true));
    let prepared = boss.prepared_request(wish).unwrap().unwrap();
    // Sent five hours later, twice: taken once, and nobody's clock is called wrong for it.
    for _ in 0..2 {
        yard.hub.exchange(NOW + 18_000, &[&prepared]).pop().unwrap().unwrap();
        assert_eq!(count(&yard, false), before + 1);
    }
    assert_eq!(count(&yard, true), notes);
    // The device learns it by its next exchange, which brings the same once more.
    assert_eq!(boss.unsent_entries(SITE).unwrap(), 1);
    exchange(&mut boss, &mut yard.hub, NOW + 18_100, NOW + 18_100, vec![]).unwrap();
    assert_eq!(boss.unsent_entries(SITE).unwrap(), 0);
    assert_eq!(count(&yard, false), before + 1);
    // One that a later request has overtaken brings nothing, and one whose clock is ahead is noted.
    enter(&mut boss, SITE, 351);
    let old = boss.prepared_request(wish).unwrap().unwrap();
    exchange(&mut boss, &mut yard.hub, NOW + 18_200, NOW + 18_200, vec![]).unwrap();
    let now = count(&yard, false);
    yard.hub.exchange(NOW + 18_300, &[&old]).pop().unwrap().unwrap();
    assert_eq!((count(&yard, false), count(&yard, true)), (now, notes));
    enter(&mut boss, SITE, 352);
    let wish = client_core::device::Wish { clock: NOW + 30_000, today: 0 };
    let ahead = boss.prepared_request(wish).unwrap().unwrap();
    yard.hub.exchange(NOW + 18_400, &[&ahead]).pop().unwrap().unwrap();
    assert_eq!((count(&yard, false), count(&yard, true)), (now + 1, notes + 1));
}
