//! What it costs to be sure: an edit until it is durable beside a bare commit of the store below, a list
//! of ten thousand visits, and writers that share the hub's commits.

use std::path::PathBuf;
use std::sync::Barrier;
use std::time::Instant;

use client_core::device::{Device, Step};
use client_core::record::action::Action;
use client_core::record::code::{Role, VisitKind};
use client_core::record::deed::{plan_visit, setting};
use client_core::record::doc_id::{DocId, DocKind};
use client_core::record::field::FieldValue;
use client_core::record::row;
use client_core::record::stamp::Stamp;
use client_core::record::value::{Day, Moment};
use client_core::store::{Manner, Store, Table};
use redb::{Database, ReadableDatabase, TableDefinition};
use serde_json::{Value, json};
use server::serve::Server;
use server::worker::NewCode;

use super::build::{self, SITE, TODAY};
use super::{entry, instrument, sheet, visit};
use crate::bench::middle;
use crate::net::{Line, Wrong};
use crate::world::{Seeded, talk};

/// Edits, and bare commits, that are timed.
const EDITS: u64 = 400;
/// Visits that are listed.
const VISITS: u64 = 10_000;
/// Writers at once.
const WRITERS: usize = 64;
/// Pushes of each of them.
const PUSHES: usize = 12;

/// All three measurements.
///
/// # Errors
/// When a store or the hub fails.
pub fn all() -> Result<Value, Wrong> {
    let folder =
        Folder(std::env::temp_dir().join(format!("dripleg-commit-{}", std::process::id())));
    std::fs::create_dir_all(&folder.0)?;
    let server = build::hub(&folder.0)?;
    let (mut line, mut random) = (Line::to(server.url())?, Seeded::new(3));
    let NewCode::Code { code, .. } = server.supervisors_code(false)? else {
        return Err("the new hub gave no code for its first supervisor".into());
    };
    let store = Store::create_file(&folder.0.join("office.redb"), Manner::DEVICE)?;
    let mut office = line.join(store, "office", &code, &mut random)?;
    let (edit, bare) = edits(&mut office, &folder.0.join("bare.redb"))?;
    let (list, loaded) = list(&mut office)?;
    line.exchange(&mut office, TODAY)?;
    let (one, many) = writers(&server, &mut line, &mut office, &folder.0)?;
    server.stop();
    Ok(json!({
        "edit_ms": edit,
        "bare_commit_ms": bare,
        "edit_over_bare": edit / bare,
        "list_10000_visits_ms": list,
        "list_documents_loaded": loaded,
        "pushes_per_s_1": one,
        "pushes_per_s_64": many,
        "shared_commits": many / one,
    }))
}

/// The middle of edits until durable, and of bare commits of as many bytes in turn with them, ms.
fn edits(device: &mut Device, bare: &std::path::Path) -> Result<(f64, f64), Wrong> {
    const BYTES: TableDefinition<'_, u64, &[u8]> = TableDefinition::new("bytes");
    let bare = Database::create(bare)?;
    let mut random = Seeded::new(5);
    let own = instrument(&mut random);
    let (mut edits, mut commits) = (vec![], vec![]);
    let doc = sheet(SITE, 0);
    for number in 0..EDITS {
        let secs = TODAY + i64::try_from(number)?;
        let stamp = Stamp::new(device.identity().person, Moment { secs, offset_min: 0 });
        let step = Step::new(doc, entry(&mut random, own));
        let begin = Instant::now();
        device.act(&[step], &stamp)?;
        edits.push(begin.elapsed().as_secs_f64() * 1e3);
        let begin = Instant::now();
        let write = bare.begin_write()?;
        write.open_table(BYTES)?.insert(number, &[7_u8; 300][..])?;
        write.commit()?;
        commits.push(begin.elapsed().as_secs_f64() * 1e3);
    }
    let kept = bare.begin_read()?.open_table(BYTES)?;
    if redb::ReadableTableMetadata::len(&kept)? != EDITS {
        return Err("the bare store lost commits".into());
    }
    Ok((middle(&mut edits), middle(&mut commits)))
}

/// The middle time of listing ten thousand visits, ms, and how many documents that opened.
fn list(device: &mut Device) -> Result<(f64, u64), Wrong> {
    let write = device.store().write()?;
    for number in 0..VISITS {
        let made = row::VisitRow {
            kind: Some(VisitKind::PreSeason),
            day: Some(Day(i32::try_from(number / 3)?)),
            units: 20,
            done: 20,
            entries: 400,
            readings: 260,
            reference: Some(format!("W-{number}")),
            ..row::VisitRow::default()
        };
        write.put(Table::Rows, &row::visit_key(SITE, Some(visit(number))), &row::encode(&made))?;
    }
    write.commit()?;
    let before = device.documents_loaded();
    let mut took = vec![];
    for _ in 0..21 {
        let begin = Instant::now();
        let listed = device.visits(SITE)?;
        took.push(begin.elapsed().as_secs_f64() * 1e3);
        if u64::try_from(listed.len())? != VISITS {
            return Err(format!("listed {} visits of {VISITS}", listed.len()).into());
        }
    }
    let write = device.store().write()?;
    write.clear(Table::Rows, &row::visit_key(SITE, None))?;
    write.commit()?;
    Ok((middle(&mut took), device.documents_loaded() - before))
}

/// Pushes a second of one writer, and of all of them at once, over kept connections.
fn writers(
    server: &Server,
    line: &mut Line,
    office: &mut Device,
    folder: &std::path::Path,
) -> Result<(f64, f64), Wrong> {
    let text = FieldValue::Text("Measured Hall".to_owned());
    let site = Action::Set(vec![setting("site/name", text)]);
    let mut deed = vec![(DocId::new(SITE, DocKind::Site), site)];
    deed.extend(plan_visit(SITE, visit(0), VisitKind::PreSeason, Day(20_000), vec![], &[]));
    let stamp = Stamp::new(office.identity().person, Moment { secs: TODAY, offset_min: 0 });
    let steps: Vec<Step> = deed.into_iter().map(|(doc, action)| Step::new(doc, action)).collect();
    office.act(&steps, &stamp)?;
    line.exchange(office, TODAY)?;
    let mut devices = vec![];
    for number in 0..WRITERS {
        let code = line.code(office, Role::Technician, Some(vec![SITE]))?;
        // The writers' own stores are in memory: what is measured is the hub's.
        let store = Store::create(client_core::store::MemoryBytes::default(), Manner::DEVICE)?;
        let mut random = Seeded::new(u64::try_from(number)? + 100);
        let mut device = line.join(store, &format!("w{number}"), &code, &mut random)?;
        let mut own = Line::to(server.url())?;
        own.exchange(&mut device, TODAY)?;
        devices.push((device, own));
    }
    let _ = folder;
    let one = rate(&mut devices[..1], PUSHES * 8)?;
    let many = rate(&mut devices, PUSHES)?;
    Ok((one, many))
}

/// Each device pushes so many small deliveries; gives pushes a second over all of them. The requests are
/// made beforehand: a hundred phones do not share one processor.
fn rate(devices: &mut [(Device, Line)], pushes: usize) -> Result<f64, Wrong> {
    let barrier = Barrier::new(devices.len() + 1);
    let total = devices.len() * pushes;
    let took = std::thread::scope(|scope| {
        let mut threads = vec![];
        for (number, (device, line)) in devices.iter_mut().enumerate() {
            let barrier = &barrier;
            threads.push(scope.spawn(move || {
                barrier.wait();
                push(device, line, u64::try_from(number).unwrap_or_default(), pushes)
                    .map_err(|wrong| wrong.to_string())
            }));
        }
        barrier.wait();
        let begin = Instant::now();
        for thread in threads {
            thread.join().map_err(|_| "a writer panicked".to_owned())??;
        }
        Ok::<f64, String>(begin.elapsed().as_secs_f64())
    })?;
    Ok(f64::from(u32::try_from(total)?) / took)
}

fn push(device: &mut Device, line: &mut Line, number: u64, pushes: usize) -> Result<(), Wrong> {
    let mut random = Seeded::new(number + 900);
    let own = instrument(&mut random);
    for round in 0..pushes {
        let secs = TODAY + i64::try_from(round)?;
        let stamp = Stamp::new(device.identity().person, Moment { secs, offset_min: 0 });
        device.act(&[Step::new(sheet(SITE, number), entry(&mut random, own))], &stamp)?;
        let trip = talk(device, secs, vec![], &mut |request| line.post("/exchange/1", request))?;
        if trip.report.echoed == 0 {
            return Err("a push was not echoed".into());
        }
    }
    Ok(())
}

struct Folder(PathBuf);

impl Drop for Folder {
    fn drop(&mut self) {
        // What cannot be removed is in the folder for temporary files.
        drop(std::fs::remove_dir_all(&self.0));
    }
}
