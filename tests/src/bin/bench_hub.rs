//! How many pushes a second the hub takes over the network, by one device and by many at once: devices
//! that push together share durable commits. Prints one JSON line.
//!
//! `cargo run --release -p tests --bin bench_hub -- [SECONDS] [WRITERS]`

use std::io::Write;
use std::sync::atomic::{AtomicBool, AtomicU64, Ordering};
use std::time::{Duration, Instant};

use client_core::device::Step;
use client_core::exchange::office::{Order, OrderReply};
use client_core::record::action::{Action, Setting};
use client_core::record::body::{Body, Reading};
use client_core::record::code::unit::UnitCode;
use client_core::record::code::{Phase, Quantity, Role};
use client_core::record::doc_id::{DocId, DocKind};
use client_core::record::field::Field;
use client_core::record::id::{ApplianceId, SiteId, VisitId};
use client_core::record::stamp::Stamp;
use client_core::record::value::{Figure, Measured, Moment};
use server::config::Settings;
use server::quota::Quota;
use server::serve::{Parts, Server, wall_clock};
use server::worker::NewCode;
use tests::net::{Guest, TempFolder};
use tests::world::Seeded;

const SITE: SiteId = SiteId([7; 8]);

fn act(guest: &mut Guest, doc: DocId, action: Action) {
    let moment = Moment { secs: wall_clock(), offset_min: 0 };
    let stamp = Stamp::new(guest.device.identity().person, moment);
    guest.device.act(&[Step::new(doc, action)], &stamp).expect("the store is memory");
}

fn name(guest: &mut Guest) {
    let field = Field::named("site/name");
    let value = field.parse("Ostrel Road").expect("a name is a value");
    let set = Action::Set(vec![Setting { field, value, reason: None }]);
    act(guest, DocId::new(SITE, DocKind::Site), set);
}

/// One reading in a visit of the device's own.
fn read(guest: &mut Guest, writer: u8, n: i64) {
    let doc = DocKind::Sheet(VisitId([writer; 8]), ApplianceId([1; 8]));
    let value = Measured::Figure(Figure::new(300 + n % 100, 2, UnitCode(1)));
    let reading: Body = Reading::new(Quantity::ManifoldHigh, value, Phase::InWork).into();
    act(guest, DocId::new(SITE, doc), Action::Enter(vec![reading]));
}

/// Pushes for a while; gives pushes a second and deliveries a commit.
fn run(server: &Server, guests: &mut [Guest], writers: usize, seconds: u64) -> (f64, f64) {
    let stop = AtomicBool::new(false);
    let pushed = AtomicU64::new(0);
    let before = server.shown().totals;
    let began = Instant::now();
    std::thread::scope(|scope| {
        for (writer, guest) in guests.iter_mut().take(writers).enumerate() {
            let (stop, pushed, url) = (&stop, &pushed, server.url());
            scope.spawn(move || {
                let writer = u8::try_from(writer).unwrap_or_default();
                let mut n = 0;
                while !stop.load(Ordering::Relaxed) {
                    n += 1;
                    read(guest, writer, n);
                    let report = guest.exchange(url, wall_clock()).expect("the hub is there");
                    pushed.fetch_add(u64::from(report.echoed), Ordering::Relaxed);
                }
            });
        }
        std::thread::sleep(Duration::from_secs(seconds));
        stop.store(true, Ordering::Relaxed);
    });
    let took = began.elapsed().as_secs_f64();
    let after = server.shown().totals;
    let commits = after.commits - before.commits;
    let deliveries = after.deliveries - before.deliveries;
    #[expect(clippy::cast_precision_loss, reason = "counts of seconds are far below 2^52")]
    let rates = (pushed.into_inner() as f64 / took, deliveries as f64 / commits.max(1) as f64);
    rates
}

fn main() {
    let mut numbers = std::env::args().skip(1).filter_map(|text| text.parse::<u64>().ok());
    let seconds = numbers.next().unwrap_or(5);
    let writers = usize::try_from(numbers.next().unwrap_or(64)).unwrap_or(64);
    let place = TempFolder::new("bench");
    let mut settings = Settings::in_folder(place.join("hub"));
    settings.quota = Quota::default();
    settings.limits.requests_at_once_per_address = 1_000;
    let server = Server::start(&settings, Parts::default()).expect("a fresh folder");
    let code = server.supervisors_code(false);
    let Ok(NewCode::Code { code, .. }) = code else { panic!("a new hub gives a code") };
    let mut random = Seeded::new(1);
    let mut boss = Guest::join(server.url(), &code, "Oriane", &mut random).expect("a code");
    name(&mut boss);
    boss.exchange(server.url(), wall_clock()).expect("the hub is there");
    let mut guests: Vec<Guest> = (0..writers)
        .map(|_| {
            let order =
                Order::NewCode { person: None, role: Role::Technician, sites: Some(vec![SITE]) };
            let reply = boss.order(server.url(), wall_clock(), &order).expect("a supervisor");
            let OrderReply::Code { code, .. } = reply else { panic!("a supervisor may order") };
            let mut guest =
                Guest::join(server.url(), &code, "writer", &mut random).expect("a code");
            guest.exchange(server.url(), wall_clock()).expect("the hub is there");
            guest
        })
        .collect();
    let (one, _) = run(&server, &mut guests, 1, seconds);
    let (many, shared) = run(&server, &mut guests, writers, seconds);
    let line = serde_json::json!({
        "writers": writers,
        "pushes_per_s_of_one": one.round(),
        "pushes_per_s_of_all": many.round(),
        "times": (many / one * 10.0).round() / 10.0,
        "deliveries_per_commit": (shared * 10.0).round() / 10.0,
    });
    server.stop();
    writeln!(std::io::stdout(), "{line}").expect("somebody reads");
}
