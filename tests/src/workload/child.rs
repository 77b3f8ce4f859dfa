//! Parts of a workload that run as processes of their own, so that their memory can be told apart. Each
//! says what it measured as one line of JSON on standard output.

use std::io::{BufRead, Write};
use std::path::Path;
use std::time::Instant;

use client_core::device::{Device, Report, Step, Wish};
use client_core::exchange::frame;
use client_core::exchange::talk::{Next, Talk};
use client_core::record::stamp::Stamp;
use client_core::record::value::{Day, Moment};
use client_core::store::{Manner, Store};
use serde_json::{Value, json};

use super::build::{self, SITE, TODAY};
use super::{entry, instrument, sheet};
use crate::bench::memory;
use crate::net::{Line, Wrong};
use crate::world::{Seeded, Trip};

/// Sheets that a technician edits in a day, and how many of them the other edits too.
pub const EDITED: u64 = 12;
/// Sheets that both edit.
pub const SHARED: u64 = 6;
/// Small entries of a technician in a day.
pub const EDITS: u64 = 200;

/// What a process uses that has done nothing yet.
#[derive(Clone, Copy, Debug)]
pub struct Empty(u64);

impl Empty {
    /// To be made first of all.
    pub fn process() -> Empty {
        Empty(memory::peak_kib())
    }

    /// Most memory beyond it, KiB.
    pub fn over(self) -> u64 {
        memory::peak_kib().saturating_sub(self.0)
    }
}

/// Runs the hub until standard input ends.
///
/// # Errors
/// When the hub does not start.
pub fn hub(folder: &Path, empty: Empty) -> Result<(), Wrong> {
    let server = build::hub(folder)?;
    say(&json!({ "url": server.url() }))?;
    for line in std::io::stdin().lock().lines() {
        let _asked = line?;
        say(&json!({ "rss_kib": empty.over(), "now_kib": memory::now_kib() }))?;
    }
    server.stop();
    Ok(())
}

fn open(folder: &Path, name: &str, seed: u64) -> Result<Device, Wrong> {
    let store = Store::open_file(&build::store_file(folder, name), Manner::DEVICE)?;
    let mut random = Seeded::new(seed);
    Ok(Device::open(store, random.fork().source())?)
}

/// A day's work offline: small entries in a dozen sheets.
///
/// # Errors
/// When the store fails.
pub fn edit(folder: &Path, name: &str, sheets: u64) -> Result<(), Wrong> {
    let second = u64::from(name != build::NAMES[1]);
    let mut device = open(folder, name, 11 + second)?;
    let mut random = Seeded::new(101 + second);
    let own = instrument(&mut random);
    // The last sheets but a few, six of them shared.
    let from = sheets.saturating_sub(EDITED * 2 + second * (EDITED - SHARED));
    for number in 0..EDITS {
        let doc = sheet(SITE, from + number % EDITED);
        let secs = TODAY + 60 * i64::try_from(number)?;
        let stamp = Stamp::new(device.identity().person, Moment { secs, offset_min: -300 });
        device.act(&[Step::new(doc, entry(&mut random, own))], &stamp)?;
    }
    Ok(())
}

/// Connects, learns that nothing changed, then exchanges on the kept connection; or only the former.
///
/// # Errors
/// When the store or the connection fails.
pub fn exchange(folder: &Path, name: &str, url: &str, empty: Empty) -> Result<(), Wrong> {
    let mut line = Line::to(url)?;
    let mut device = open(folder, name, 23)?;
    // The connection is made by asking for nothing: a page of another version is refused at once.
    let _refused = line.post("/exchange/0", b"");
    say(&json!({ "connected": true }))?;
    wait()?;
    let begin = Instant::now();
    let trip = line.exchange(&mut device, TODAY + 40_000)?;
    let seconds = begin.elapsed().as_secs_f64();
    say(&told(&trip, seconds, device.documents_loaded(), empty))
}

fn told(trip: &Trip, seconds: f64, loaded: u64, empty: Empty) -> Value {
    json!({
        "round_trips": trip.rounds,
        "body_up": trip.up,
        "body_down": trip.down,
        "changes_up": trip.report.changes_up,
        "changes_down": trip.report.changes_down,
        "echoed": trip.report.echoed,
        "seconds": seconds,
        "documents_loaded": loaded,
        "rss_kib": empty.over(),
    })
}

/// A new phone: joins, then exchanges until all rows are there; says when today's visit could be opened.
///
/// # Errors
/// When the store or the connection fails.
pub fn fresh(folder: &Path, url: &str, code: &str, empty: Empty) -> Result<(), Wrong> {
    let mut line = Line::to(url)?;
    let mut random = Seeded::new(31);
    let file = build::store_file(folder, "fresh");
    let store = Store::create_file(&file, Manner::DEVICE)?;
    let mut device = line.join(store, "fresh", code, &mut random)?;
    say(&json!({ "connected": true }))?;
    wait()?;
    let begin = Instant::now();
    let clock = TODAY + 3_600;
    let today = i32::try_from(clock.div_euclid(86_400))?;
    let (mut talk, mut report) = (Talk::new(vec![]), Report::default());
    let (mut usable, mut up, mut down) = (None, 0, 0);
    loop {
        let request = device.request(&mut talk, Wish { clock, today })?;
        let reply = line.post(frame::PATH, &request)?;
        up += request.len();
        down += reply.len();
        let next = device.hear(&mut talk, clock, &reply, &mut report)?;
        if usable.is_none() && todays_visit(&mut device, Day(today))? {
            usable = Some(begin.elapsed().as_secs_f64());
        }
        if next != Next::Again {
            break;
        }
    }
    let seconds = begin.elapsed().as_secs_f64();
    let mut sheets = 0;
    for visit in device.visits(SITE)? {
        sheets += device.sheets(SITE, visit.id)?.len();
    }
    let trip = Trip { report, rounds: talk.rounds(), up, down, stuck: false };
    let mut said = told(&trip, seconds, device.documents_loaded(), empty);
    said["today_usable_s"] = json!(usable);
    said["rows"] = json!(sheets);
    said["store_bytes"] = json!(std::fs::metadata(&file)?.len());
    drop(device);
    std::fs::remove_file(&file)?;
    say(&said)
}

/// Whether today's visit can be opened with all its units' plates.
fn todays_visit(device: &mut Device, today: Day) -> Result<bool, Wrong> {
    let visits = device.visits(SITE)?;
    let Some(visit) = visits.iter().find(|visit| visit.row.day == Some(today)) else {
        return Ok(false);
    };
    let opened = device.open_visit(SITE, visit.id)?;
    let units = &opened.file().units;
    let plate = |unit: &client_core::record::file::UnitInVisit<'_>| unit.figure("plate/input");
    Ok(!units.is_empty() && units.iter().all(|unit| plate(unit).is_some()))
}

fn say(value: &Value) -> Result<(), Wrong> {
    let mut out = std::io::stdout().lock();
    writeln!(out, "{value}")?;
    Ok(out.flush()?)
}

fn wait() -> Result<(), Wrong> {
    let mut line = String::new();
    std::io::stdin().read_line(&mut line)?;
    Ok(())
}
