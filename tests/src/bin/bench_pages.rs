//! How long pages take, from the request to the last byte, on the routes of a hub without sockets:
//! `cargo run --release -p tests --bin bench_pages`. It prints times and how they grow, and judges nothing.
#![expect(
    clippy::print_stdout,
    clippy::print_stderr,
    reason = "it is a program that prints figures"
)]

use std::collections::BTreeSet;
use std::process::ExitCode;
use std::time::Instant;

use client_core::device::{Device, Report, Step, Wish};
use client_core::exchange::enrol::{self, EnrolReply};
use client_core::exchange::frame;
use client_core::exchange::office::{self, Order, OrderReply};
use client_core::exchange::talk::{Next, Talk};
use client_core::record::action::{Action, Setting};
use client_core::record::body::{Body, Reading};
use client_core::record::code::unit::UnitCode;
use client_core::record::code::{Phase, Quantity, Role};
use client_core::record::doc_id::{DocId, DocKind};
use client_core::record::field::Field;
use client_core::record::id::{ApplianceId, SiteId, VisitId};
use client_core::record::stamp::Stamp;
use client_core::record::value::{Figure, Measured, Moment};
use ed25519_dalek::SigningKey;
use server::config::Settings;
use server::quota::Quota;
use tests::net::guest::{device_of, joining};
use tests::net::{Desk, Hall, Wrong};

const NOW: i64 = 1_760_000_000;
const AT: &str = "192.0.2.1";
const ROUNDS: u32 = 20;
/// Units and readings of each: 14 times 50 are 700.
const UNITS: u8 = 14;
const EACH: i64 = 50;
/// Sites of the queue; their visits are shared out evenly.
const SITES: u16 = 20;

fn main() -> ExitCode {
    match run() {
        Ok(()) => ExitCode::SUCCESS,
        Err(wrong) => {
            eprintln!("bench_pages: {wrong}");
            ExitCode::FAILURE
        }
    }
}

struct Bench {
    hall: Hall,
    boss: Device,
    desk: Desk,
}

fn set(key: &str, typed: &str) -> Result<Setting, Wrong> {
    let field = Field::named(key);
    let value = field.parse(typed).map_err(|wrong| wrong.to_string())?;
    Ok(Setting { field, value, reason: None })
}

impl Bench {
    fn new(seed: u64) -> Result<Bench, Wrong> {
        let quota = Quota { requests_per_s: 0, bytes_per_hour: 0, ..Settings::in_folder("").quota };
        let hall = Hall::new(seed, NOW, &Settings { quota, ..Settings::in_folder("") }, None);
        let mut random = hall.random();
        let mut secret = [0; 32];
        random.fill(&mut secret);
        let key = SigningKey::from_bytes(&secret);
        let ask = frame::encode(&joining(&key, &hall.code(false).0, "Oriane"));
        let reply: EnrolReply = frame::decode(&hall.post(AT, enrol::PATH, &ask).body, 4_096)?;
        let mut boss = device_of(&key, &reply, &mut random);
        let order = Order::NewCode {
            person: Some(boss.identity().person),
            role: Role::Supervisor,
            sites: None,
        };
        let body = boss.signed_request(office::PATH, NOW, &frame::encode(&order));
        let OrderReply::Code { code, .. } =
            frame::decode(&hall.post(AT, office::PATH, &body).body, 4_096)?
        else {
            return Err("the hub gave no code for the pages".into());
        };
        let desk = Desk::joined(&hall, AT, &code, "Oriane");
        Ok(Bench { hall, boss, desk })
    }

    fn act(&mut self, steps: &[Step]) -> Result<(), Wrong> {
        let person = self.boss.identity().person;
        self.boss.act(steps, &Stamp::new(person, Moment { secs: NOW, offset_min: 0 }))?;
        Ok(())
    }

    fn exchange(&mut self) -> Result<(), Wrong> {
        let mut talk = Talk::default();
        let mut report = Report::default();
        loop {
            let request = self.boss.request(&mut talk, Wish { clock: NOW, today: 0 })?;
            let answer = self.hall.post(AT, frame::PATH, &request);
            match self.boss.hear(&mut talk, NOW, &answer.body, &mut report)? {
                Next::Again => {}
                Next::Done | Next::Stuck => return Ok(()),
            }
        }
    }

    /// Middle time of a page, in milliseconds, and its size.
    fn page(&mut self, path: &str) -> (f64, usize) {
        let mut times = vec![];
        let mut size = 0;
        for _ in 0..=ROUNDS {
            let begin = Instant::now();
            size = self.desk.page(&self.hall, path).len();
            times.push(begin.elapsed().as_secs_f64() * 1_000.0);
        }
        // The first one warms up.
        times.remove(0);
        times.sort_by(f64::total_cmp);
        (times[times.len() / 2], size)
    }

    fn visit(&mut self, site: SiteId, readings: i64) -> Result<String, Wrong> {
        let visit = VisitId([7; 8]);
        let head = DocId::new(site, DocKind::Visit(visit));
        self.act(&[
            Step::new(
                DocId::new(site, DocKind::Site),
                Action::Set(vec![set("site/name", "Hall")?]),
            ),
            Step::new(head, Action::Set(vec![set("visit/day", "2025-10-14")?])),
        ])?;
        for unit in 1..=UNITS {
            let appliance = ApplianceId([unit; 8]);
            let no = format!("UH-{unit:02}");
            let plate = vec![set("unit/no", &no)?, set("plate/manifold_high", "3.5 in w.c.")?];
            let mut bodies: Vec<Body> = vec![];
            for at in 0..readings {
                let quantity =
                    Quantity::ALL[usize::try_from(at).unwrap_or(0) % Quantity::ALL.len()];
                let phase = if at % 2 == 0 { Phase::AsFound } else { Phase::AsLeft };
                let value = Measured::Figure(Figure::new(300 + at, 2, UnitCode(1)));
                bodies.push(Reading::new(quantity, value, phase).into());
            }
            self.act(&[
                Step::new(DocId::new(site, DocKind::Appliance(appliance)), Action::Set(plate)),
                Step::new(
                    DocId::new(site, DocKind::Sheet(visit, appliance)),
                    Action::Enter(bodies),
                ),
            ])?;
        }
        Ok(format!("/review/sites/{site}/visits/{visit}"))
    }

    fn queue(&mut self, from: u32, upto: u32) -> Result<(), Wrong> {
        let mut named = BTreeSet::new();
        for n in from..upto {
            let site_no = u16::try_from(n % u32::from(SITES))?;
            let [high, low] = site_no.to_be_bytes();
            let site = SiteId([9, 9, 9, 9, 9, 9, high, low]);
            let mut steps = vec![];
            if from == 0 && named.insert(site_no) {
                let name = vec![set("site/name", &format!("Hall {site_no}"))?];
                steps.push(Step::new(DocId::new(site, DocKind::Site), Action::Set(name)));
            }
            let mut id = [0; 8];
            id[..4].copy_from_slice(&n.to_be_bytes());
            let day = format!("2025-{:02}-{:02}", 1 + n % 12, 1 + n % 28);
            let words = vec![set("visit/kind", "pre_season")?, set("visit/day", &day)?];
            let doc = DocId::new(site, DocKind::Visit(VisitId(id)));
            steps.push(Step::new(doc, Action::Set(words)));
            self.act(&steps)?;
            if n % 500 == 499 {
                self.exchange()?;
            }
        }
        self.exchange()
    }
}

fn run() -> Result<(), Wrong> {
    let site = SiteId([1; 8]);
    println!("middle of {ROUNDS} rounds, milliseconds; size in kB");
    let mut small = Bench::new(1)?;
    let path = small.visit(site, EACH / 10)?;
    small.exchange()?;
    let (few, _) = small.page(&path);
    let mut large = Bench::new(2)?;
    let path = large.visit(site, EACH)?;
    large.exchange()?;
    let (many, size) = large.page(&path);
    println!("visit of 70 readings     {few:8.1}");
    println!(
        "visit of 700 readings    {many:8.1}   {:6} kB   {:.1} times the one of 70",
        size / 1_000,
        many / few
    );
    let customer = format!("/review/sites/{site}/report/customer?visit={}", VisitId([7; 8]));
    let (customer, size) = large.page(&customer);
    println!("customer's page of it    {customer:8.1}   {:6} kB", size / 1_000);
    let mut queue = Bench::new(3)?;
    queue.queue(0, 1_000)?;
    let (few, _) = queue.page("/review");
    queue.queue(1_000, 10_000)?;
    let (many, size) = queue.page("/review");
    println!("queue of 1,000 visits    {few:8.1}");
    println!(
        "queue of 10,000 visits   {many:8.1}   {:6} kB   {:.1} times the one of 1,000",
        size / 1_000,
        many / few
    );
    let (search, _) = queue.page("/review/search?q=hall+7+pre");
    println!("search in 10,000 visits  {search:8.1}");
    Ok(())
}
