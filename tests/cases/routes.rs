//! The routes without sockets: every failure has its status and sentence, limits hold, one request's
//! misfortune is its own.

mod limits;
mod misfortune;

use std::sync::atomic::Ordering;

use axum::http::Method;
use client_core::device::{Device, Report, Wish};
use client_core::exchange::bell::{self, BellAsk};
use client_core::exchange::enrol::{self, EnrolReply};
use client_core::exchange::frame::{self, Reply};
use client_core::exchange::office::{self, Order, OrderReply};
use client_core::exchange::talk::{Next, Talk};
use client_core::record::code::Role;
use client_core::record::id::SiteId;
use client_core::store::MemoryBytes;
use ed25519_dalek::SigningKey;
use server::config::{MetricsFor, Settings, Tls};
use tests::net::guest::{device_on, joining};
use tests::net::hall::Answer;
use tests::net::{Hall, Said};

use crate::hub_rules::{SITE, begin, enter};
use crate::thread::NOW;

const AT: &str = "192.0.2.1";

fn hall(seed: u64) -> Hall {
    Hall::new(seed, NOW, &Settings::in_folder(""), None)
}

/// Joins by a code.
pub(crate) fn join(hall: &Hall, code: &str, name: &str) -> Device {
    join_on(MemoryBytes::default(), hall, code, name)
}

/// The same, on bytes that can be kept from outside.
pub(crate) fn join_on(bytes: MemoryBytes, hall: &Hall, code: &str, name: &str) -> Device {
    let mut random = hall.random();
    let mut secret = [0; 32];
    random.fill(&mut secret);
    let key = SigningKey::from_bytes(&secret);
    let answer = hall.post(AT, enrol::PATH, &frame::encode(&joining(&key, code, name)));
    assert_eq!(answer.status, 200, "{}", answer.text());
    let reply: EnrolReply = frame::decode(&answer.body, 4096).unwrap();
    device_on(bytes, &key, &reply, &mut random)
}

pub(crate) fn boss(hall: &Hall) -> Device {
    join(hall, &hall.code(false).0, "Oriane")
}

fn order(hall: &Hall, device: &mut Device, order: &Order) -> Answer {
    let now = hall.clock.load(Ordering::Relaxed);
    let body = device.signed_request(office::PATH, now, &frame::encode(order));
    hall.post(AT, office::PATH, &body)
}

pub(crate) fn technician(
    hall: &Hall,
    boss: &mut Device,
    name: &str,
    sites: Option<Vec<SiteId>>,
) -> Device {
    let wish = Order::NewCode { person: None, role: Role::Technician, sites };
    let answer = order(hall, boss, &wish);
    match frame::decode(&answer.body, 4096).unwrap() {
        OrderReply::Code { code, .. } => join(hall, &code, name),
        other => panic!("{other:?}"),
    }
}

/// Exchanges until nothing is left, or the hub says something else than an answer.
fn exchange(hall: &Hall, device: &mut Device) -> Result<Report, Said> {
    let mut talk = Talk::default();
    let mut report = Report::default();
    loop {
        let clock = hall.clock.load(Ordering::Relaxed);
        let wish = Wish { clock, today: i32::try_from(clock / 86_400).unwrap() };
        let request = device.request(&mut talk, wish).unwrap();
        let answer = hall.post(AT, frame::PATH, &request);
        if answer.status != 200 {
            return Err(Said { status: answer.status, body: answer.body, counter: None });
        }
        match device.hear(&mut talk, clock, &answer.body, &mut report).unwrap() {
            Next::Again => {}
            Next::Done | Next::Stuck => return Ok(report),
        }
    }
}

fn idle(device: &mut Device) -> Vec<u8> {
    device.request(&mut Talk::default(), Wish { clock: NOW, today: 0 }).unwrap()
}

#[test]
fn a_company_joins_pushes_and_hears_over_the_routes() {
    let hall = hall(40);
    let mut boss = boss(&hall);
    begin(&mut boss, SITE);
    assert_eq!(exchange(&hall, &mut boss).unwrap().echoed, 1);
    let mut ilse = technician(&hall, &mut boss, "Ilse", Some(vec![SITE]));
    assert_eq!(exchange(&hall, &mut ilse).unwrap().taken, 1);
    enter(&mut ilse, SITE, 350);
    assert_eq!(exchange(&hall, &mut ilse).unwrap().echoed, 1);
    assert_eq!(exchange(&hall, &mut boss).unwrap().taken, 1);
    let shown = hall.shown();
    assert_eq!((shown.totals.deliveries, shown.devices, shown.panics), (2, 2, 0));
    let opened = hall.stopped();
    assert_eq!(opened.hub.log().end(SITE).unwrap().n, 2);
    let checked = server::log::check::check(&opened.store.read().unwrap()).unwrap();
    assert_eq!((checked.deliveries, checked.devices), (2, 2));
}

/// A request, and the status and sentence that it gets.
type Asked<'a> = (&'a Method, &'a str, &'a [(&'a str, &'a str)], Vec<u8>, u16, &'a str);

const POST: &Method = &Method::POST;
const GET: &Method = &Method::GET;

fn each_is_said(hall: &Hall, table: &[Asked]) {
    for (method, path, headers, body, status, sentence) in table {
        let answer = hall.ask(AT, method, path, headers, body.clone());
        let found = (answer.status, answer.text());
        assert_eq!(found, (*status, (*sentence).to_owned()), "{method} {path}");
        assert_eq!(answer.headers["content-type"], "text/plain; charset=utf-8");
        assert_eq!(answer.headers.contains_key("dripleg-counter"), *status == 409);
        assert_eq!(answer.headers.contains_key("allow"), *status == 405);
    }
}

#[test]
fn wrong_paths_methods_and_bodies_have_their_status_and_one_plain_sentence() {
    let speaks = |what: &str| {
        format!("this hub speaks {what} version 1 only; use a program that speaks it too")
    };
    let (exchange, office) = (speaks("exchange"), speaks("office"));
    let (enrol, bell) = (speaks("enrol"), speaks("bell"));
    let nothing = "there is nothing here";
    let only_post = "is not answered here, only POST";
    let (get, delete) = (format!("GET {only_post}"), format!("DELETE {only_post}"));
    let octets: &[_] = &[("content-type", "application/octet-stream")];
    let packed: &[_] = &[("content-encoding", "gzip")];
    let json: &[_] = &[("content-type", "application/json")];
    let long: &[_] = &[("content-length", "1048577")];
    let large = "the body has more than 1048576 bytes";
    let paths: &[Asked] = &[
        (GET, "/nothing", &[], vec![], 404, nothing),
        (GET, "/nothing", &[], vec![], 404, nothing),
        (POST, "/exchange", &[], vec![], 404, nothing),
        (POST, "/exchange/2", octets, vec![], 404, &exchange),
        (POST, "/office/9", &[], vec![], 404, &office),
        (POST, "/enrol/0", &[], vec![], 404, &enrol),
        (POST, "/bell/1.1", &[], vec![], 404, &bell),
        (GET, "/exchange/1", &[], vec![], 405, &get),
        (&Method::DELETE, "/office/1", &[], vec![], 405, &delete),
        (POST, "/healthz", &[], vec![], 405, "POST is not answered here, only GET"),
        (GET, "/metrics", &[], vec![], 403, "only this machine may read this"),
    ];
    let bodies: &[Asked] = &[
        (
            POST,
            "/exchange/1",
            packed,
            vec![1],
            415,
            "the body has content encoding gzip; send it as it is, frames are packed already",
        ),
        (
            POST,
            "/exchange/1",
            json,
            vec![1],
            415,
            "the body is application/json; application/octet-stream is taken",
        ),
        (POST, "/exchange/1", long, vec![], 413, large),
        (POST, "/exchange/1", &[], vec![1; 1_048_577], 413, large),
        (POST, "/enrol/1", &[], vec![1; 4_097], 413, "the body has more than 4096 bytes"),
        (POST, "/office/1", &[], vec![1; 32_769], 413, "the body has more than 32768 bytes"),
        (POST, "/bell/1", &[], vec![1; 2_000], 413, "the body has more than 1152 bytes"),
    ];
    let hall = hall(41);
    each_is_said(&hall, paths);
    each_is_said(&hall, bodies);
}

#[test]
fn wrong_requests_have_their_status_and_one_plain_sentence() {
    let hall = hall(49);
    let mut boss = boss(&hall);
    let mut ilse = technician(&hall, &mut boss, "Ilse", Some(vec![SITE]));
    let request = idle(&mut boss);
    let forged = |at: usize| {
        let mut bytes = request.clone();
        bytes[at] ^= 1;
        bytes
    };
    let layout = boss.signed_request(frame::PATH, NOW, &[0xff]);
    let elsewhere = boss.signed_request(bell::PATH, NOW, &[0xa0]);
    let sent = frame::encode(&Order::Devices);
    let old = boss.signed_request(office::PATH, NOW - 86_400, &sent);
    let newer = boss.signed_request(office::PATH, NOW + 10, &sent);
    assert_eq!(hall.post(AT, office::PATH, &newer).status, 200);
    let role = ilse.signed_request(office::PATH, NOW, &sent);
    let unread = "the message cannot be read: unexpected type break at position 0: expected map";
    let unsigned = "the request is not signed by the device it names";
    let early = "the message cannot be read: it ends early";
    let version = "the message is of version 7, this program speaks 1";
    let unknown = "this device is not enrolled here; join with a code of the office";
    let stale = "the hub has answered a later request of this device; ask again";
    let table: &[Asked] = &[
        (POST, "/exchange/1", &[], vec![], 400, early),
        (POST, "/exchange/1", &[], vec![7], 400, version),
        (POST, "/exchange/1", &[], layout, 400, unread),
        (POST, "/exchange/1", &[], forged(1), 401, unknown),
        (POST, "/exchange/1", &[], forged(25), 401, unsigned),
        (POST, "/exchange/1", &[], forged(request.len() - 1), 401, unsigned),
        (POST, "/exchange/1", &[], elsewhere, 401, unsigned),
        (POST, "/office/1", &[], old, 409, stale),
        (POST, "/office/1", &[], role, 403, "this device's role may not order that"),
        (POST, "/enrol/1", &[], vec![0xff], 400, unread),
    ];
    each_is_said(&hall, table);
    assert_eq!(hall.post(AT, frame::PATH, &request).status, 200, "the one that was not forged");
}

#[test]
fn wrong_codes_have_their_status_and_one_plain_sentence() {
    let hall = hall(39);
    let (code, _) = hall.code(false);
    let key = SigningKey::from_bytes(&[9; 32]);
    let wrong = frame::encode(&joining(&key, "0000-0000", "Dov"));
    let mut unsigned = joining(&key, &code, "Dov");
    unsigned.signature[3] ^= 1;
    let nameless = frame::encode(&joining(&key, &code, " "));
    let invalid = "this code is not valid any more; ask the office for a new one";
    let forged = "the request is not signed by the key it brings";
    let name = "this code is for a new person; give a name";
    let table: &[Asked] = &[
        (POST, "/enrol/1", &[], wrong, 403, invalid),
        (POST, "/enrol/1", &[], frame::encode(&unsigned), 401, forged),
        (POST, "/enrol/1", &[], nameless, 422, name),
    ];
    each_is_said(&hall, table);
    let right = frame::encode(&joining(&key, &code, "Dov"));
    assert_eq!(hall.post(AT, "/enrol/1", &right).status, 200);
}

#[test]
fn a_code_over_the_routes_is_good_once_and_again_when_the_answer_was_lost() {
    let hall = hall(42);
    let (code, token) = hall.code(false);
    let ask = |seed: u8, code: &str, from: &str| {
        let key = SigningKey::from_bytes(&[seed; 32]);
        hall.post(from, enrol::PATH, &frame::encode(&joining(&key, code, "Oriane")))
    };
    let first = ask(1, &code, AT);
    hall.clock.fetch_add(599, Ordering::Relaxed);
    let again = ask(1, &token, "192.0.2.2");
    assert_eq!((first.status, again.status), (200, 200));
    assert_eq!(first.body, again.body);
    assert_eq!(ask(2, &code, AT).status, 403, "another key");
    hall.clock.fetch_add(1, Ordering::Relaxed);
    assert_eq!(ask(1, &code, AT).status, 403, "ten minutes later");
    let (code, _) = hall.code(true);
    let tries: Vec<u16> = (0..5).map(|_| ask(3, "zzzz-zzzz", "192.0.2.9").status).collect();
    assert_eq!(tries, [403; 5]);
    let more = ask(3, &code, "192.0.2.9");
    assert_eq!(
        (more.status, more.text().as_str()),
        (429, "too many wrong codes; wait ten minutes")
    );
    assert_eq!(more.headers["retry-after"], "600");
    let forwarded = joining(&SigningKey::from_bytes(&[3; 32]), &code, "Dov");
    let forwarded = hall.ask(
        "192.0.2.9",
        &Method::POST,
        enrol::PATH,
        &[("x-forwarded-for", "198.51.100.1")],
        frame::encode(&forwarded),
    );
    assert_eq!(forwarded.status, 429, "nobody chooses their own address");
    assert_eq!(ask(3, &code, "192.0.2.10").status, 200);
}

#[test]
fn a_revoked_device_is_turned_away_within_the_next_request() {
    let hall = hall(43);
    let mut boss = boss(&hall);
    begin(&mut boss, SITE);
    exchange(&hall, &mut boss).unwrap();
    let mut ilse = technician(&hall, &mut boss, "Ilse", Some(vec![SITE]));
    exchange(&hall, &mut ilse).unwrap();
    let ring = ilse.signed_request(bell::PATH, NOW + 1, &frame::encode(&BellAsk { clock: NOW }));
    let device = ilse.identity().device();
    let revoke = Order::Revoke { device, reason: "the phone was lost".to_owned() };
    assert_eq!(order(&hall, &mut boss, &revoke).status, 200);
    let answer = hall.post(AT, bell::PATH, &ring);
    assert_eq!(
        (answer.status, answer.text().as_str()),
        (403, "this device was revoked; ask the office")
    );
    let answer = hall.post(AT, frame::PATH, &idle(&mut ilse));
    let reply: Reply = frame::decode(&answer.body, 4096).unwrap();
    assert_eq!(reply.revoked.as_deref(), Some("the phone was lost"));
    assert!(reply.sites.is_none() && reply.people.is_none());
    enter(&mut ilse, SITE, 350);
    let report = exchange(&hall, &mut ilse).unwrap();
    assert_eq!((report.echoed, report.taken), (1, 0), "its work is kept, nothing goes out");
}

#[test]
fn answers_carry_headers_that_keep_browsers_harmless() {
    let plain = hall(44);
    let answer = plain.ask(AT, &Method::GET, "/healthz", &[], vec![]);
    assert_eq!(answer.text(), "alive\n");
    assert!(!answer.headers.contains_key("strict-transport-security"));
    let mut settings = Settings::in_folder("");
    settings.tls = Some(Tls { certificate: "c".into(), key: "k".into() });
    let secure = Hall::new(45, NOW, &settings, None);
    for path in ["/healthz", "/nothing", "/exchange/1", "/exchange/2"] {
        let answer = secure.ask(AT, &Method::GET, path, &[], vec![]);
        for (name, value) in [
            ("x-content-type-options", "nosniff"),
            ("referrer-policy", "no-referrer"),
            ("cache-control", "no-store"),
            ("strict-transport-security", "max-age=31536000"),
            ("x-frame-options", "DENY"),
        ] {
            assert_eq!(answer.headers[name], value, "{path}");
        }
        let policy = answer.headers["content-security-policy"].to_str().unwrap();
        assert!(policy.starts_with("default-src 'none'"), "{path}: {policy}");
    }
}

#[test]
fn metrics_are_for_this_machine_and_count() {
    let hall = hall(46);
    let mut boss = boss(&hall);
    begin(&mut boss, SITE);
    exchange(&hall, &mut boss).unwrap();
    hall.post(AT, "/exchange/1", &[7]);
    let read = |headers: &[(&str, &str)], from: &str| {
        hall.ask(from, &Method::GET, "/metrics", headers, vec![])
    };
    assert_eq!(read(&[], AT).status, 403);
    assert_eq!(read(&[("x-forwarded-for", "198.51.100.1")], "127.0.0.1").status, 403);
    let text = read(&[], "127.0.0.1").text();
    for line in [
        "dripleg_hub_requests_total{route=\"enrol\",status=\"200\"} 1",
        "dripleg_hub_requests_total{route=\"exchange\",status=\"400\"} 1",
        "dripleg_hub_deliveries_total 1",
        "dripleg_hub_changes_total 1",
        "dripleg_hub_devices 1",
        "dripleg_hub_sites 2",
        "dripleg_hub_queue 0",
        "dripleg_hub_panics_total 0",
        "dripleg_hub_up 1",
        "# UNIT dripleg_hub_latency_seconds seconds",
        "# EOF",
    ] {
        assert!(text.lines().any(|own| own == line), "{line} is not in\n{text}");
    }
    let mut settings = Settings::in_folder("");
    settings.metrics = MetricsFor::Off;
    let off = Hall::new(47, NOW, &settings, None);
    assert_eq!(off.ask("127.0.0.1", &Method::GET, "/metrics", &[], vec![]).status, 404);
    settings.metrics = MetricsFor::Anyone;
    let anyone = Hall::new(48, NOW, &settings, None);
    assert_eq!(anyone.ask(AT, &Method::GET, "/metrics", &[], vec![]).status, 200);
}
