//! How long PDFs of a visit to fifteen units take, beside a yardstick of the same run:
//! `cargo run --release -p tests --features pdf --bin bench_paper`. It prints and judges nothing.
#![expect(
    clippy::print_stdout,
    clippy::print_stderr,
    reason = "it is a program that prints figures"
)]

use std::process::ExitCode;
use std::time::Instant;

use client_core::device::{Device, Step};
use client_core::record::action::{Action, Setting};
use client_core::record::code::Role;
use client_core::record::doc_id::{DocId, DocKind};
use client_core::record::field::Field;
use client_core::record::id::SiteId;
use client_core::record::stamp::Stamp;
use client_core::record::value::Moment;
use client_core::store::MemoryBytes;
use client_core::trade::unit::System;
use reports::face::paper::{Paper, pdf};
use reports::face::{page, terminal};
use reports::gather::{Gatherer, Wanted};
use reports::{Firm, Language, Report, Tongue};
use sha2::{Digest, Sha256};
use tests::bench::middle;
use tests::net::Wrong;
use tests::workload::{entry, instrument, sheet, unit, visit};
use tests::world::hub::{MANNER, store_on};
use tests::world::{HubDisk, Joined, Seeded, enrol, hub_on};

const SITE: SiteId = SiteId([1; 8]);
const UNITS: u64 = 15;
/// Entries of each unit: a found and a left block, checks, work, a part.
const EACH: u64 = 40;
const ROUNDS: usize = 5;
const NOW: i64 = 1_760_000_000;

fn main() -> ExitCode {
    match run() {
        Ok(()) => ExitCode::SUCCESS,
        Err(wrong) => {
            eprintln!("bench_paper: {wrong}");
            ExitCode::FAILURE
        }
    }
}

fn set(key: &str, typed: &str) -> Result<Setting, Wrong> {
    let field = Field::named(key);
    let value = field.parse(typed).map_err(|wrong| wrong.to_string())?;
    Ok(Setting { field, value, reason: None })
}

fn worked(random: &mut Seeded) -> Result<Device, Wrong> {
    let disk = HubDisk::default();
    let mut hub = hub_on(disk.log, disk.view, random)?;
    let store = store_on(MemoryBytes::default(), MANNER)?;
    let who =
        Joined { name: "Oriane".to_owned(), person: None, role: Role::Supervisor, sites: None };
    let mut device = enrol(&mut hub, store, &who, NOW, random)?;
    let mut steps = vec![
        Step::new(
            DocId::new(SITE, DocKind::Site),
            Action::Set(vec![set("site/name", "Hall")?, set("site/gas_kind", "natural")?]),
        ),
        Step::new(
            DocId::new(SITE, DocKind::Visit(visit(0))),
            Action::Set(vec![set("visit/kind", "pre_season")?, set("visit/day", "2025-10-14")?]),
        ),
    ];
    for number in 0..UNITS {
        let plate = vec![
            set("unit/no", &format!("UH-{:02}", number + 1))?,
            set("plate/input", "175")?,
            set("plate/manifold_high", "3.5")?,
            set("plate/rise_min", "43")?,
            set("plate/rise_max", "67")?,
        ];
        steps.push(Step::new(
            DocId::new(SITE, DocKind::Appliance(unit(number))),
            Action::Set(plate),
        ));
        let with = instrument(random);
        for _ in 0..EACH {
            steps.push(Step::new(sheet(SITE, number), entry(random, with)));
        }
    }
    let stamp = Stamp::new(device.identity().person, Moment { secs: NOW, offset_min: 0 });
    for part in steps.chunks(50) {
        device.act(part, &stamp)?;
    }
    Ok(device)
}

/// Milliseconds of the first time, and the middle of the others.
fn timed(mut run: impl FnMut() -> Result<(), Wrong>) -> Result<(f64, f64), Wrong> {
    let mut times = vec![];
    for _ in 0..=ROUNDS {
        let begin = Instant::now();
        run()?;
        times.push(begin.elapsed().as_secs_f64() * 1_000.0);
    }
    let first = times.remove(0);
    Ok((first, middle(&mut times)))
}

fn run() -> Result<(), Wrong> {
    let mut device = worked(&mut Seeded::new(15))?;
    let firm = Firm { name: "Quillhatch Heat Service".to_owned(), phone: None };
    let mut gatherer = Gatherer::new(&mut device, firm)?;
    let tongue = Tongue::new(Language::English, System::Us);
    let mut report =
        |wanted| -> Result<Report, Wrong> { Ok(gatherer.model(SITE, wanted)?.report(tongue)) };
    let bytes = vec![7; 64 * 1024 * 1024];
    let mut sum = 0_u32;
    let (_, yard) = timed(|| {
        sum = sum.wrapping_add(u32::from(Sha256::digest(&bytes)[0]));
        Ok(())
    })?;
    println!(
        "{UNITS} units with {EACH} entries each; the first time, then the middle of {ROUNDS}, ms"
    );
    println!("yardstick: SHA-256 of 64 MiB   {yard:8.0}   ({sum})");
    for (name, wanted) in [
        ("customer's page", Wanted::Customer(visit(0))),
        ("parts for the truck", Wanted::Restock(visit(0))),
        ("supervisor's record", Wanted::Visit(visit(0))),
    ] {
        let report = report(wanted)?;
        let mut size = 0;
        let (first, again) = timed(|| {
            size = pdf(&report, Paper::Letter)?.len();
            Ok(())
        })?;
        let mut length = 0;
        let (_, text) = timed(|| {
            length = terminal::text(&report).len() + page::body(&report).into_string().len();
            Ok(())
        })?;
        println!(
            "{name:<22} PDF {first:8.0} {again:8.0}   {:6.1} yardsticks, {:5.0} kB; as text and as \
             page {text:6.1} ms, {:5.0} kB",
            again / yard,
            f64::from(u32::try_from(size)?) / 1_000.0,
            f64::from(u32::try_from(length)?) / 1_000.0
        );
    }
    Ok(())
}
