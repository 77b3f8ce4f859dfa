//! What it costs to be sure: an edit until it is durable beside a bare commit of the store below, a list
//! of ten thousand visits, and writers that share the hub's commits.

use std::path::PathBuf;
use std::time::Instant;

use client_core::device::{Device, Report, Step, Wish};
use client_core::exchange::talk::{Next, Talk};
use client_core::record::action::Action;
use client_core::record::code::{Role, VisitKind};
use client_core::record::deed::{plan_visit, setting};
use client_core::record::doc_id::{DocId, DocKind};
use client_core::record::field::FieldValue;
use client_core::record::id::SiteId;
use client_core::record::row;
use client_core::record::stamp::Stamp;
use client_core::record::value::{Day, Moment};
use client_core::store::{Manner, MemoryBytes, Store, Table};
use redb::{Database, ReadableDatabase, TableDefinition};
use serde_json::{Value, json};
use server::hub::Hub;
use server::serve::Server;
use server::worker::NewCode;

use super::build::{self, SITE, TODAY};
use super::{entry, instrument, sheet, unit, visit};
use crate::bench::middle;
use crate::net::{Line, Wrong};
use crate::world::Seeded;

/// Edits, and bare commits, that are timed.
const EDITS: u64 = 400;
/// Visits that are listed.
const VISITS: u64 = 10_000;
/// Writers at once.
const WRITERS: usize = 64;
/// Pushes of each of them.
const PUSHES: usize = 6;

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
    let mut writers = writers(&server, &mut line, &mut office)?;
    server.stop();
    let settings = build::settings(&folder.0);
    let opened = server::folder::Folder::new(settings.folder, settings.cache_bytes)
        .open(Box::new(server::serve::system_random))?;
    let mut hub = opened.hub;
    hub.resume(TODAY, hub.totals())?;
    hub.limit(settings.quota);
    hub.fold()?;
    let one = rate(&mut hub, &mut writers, 1)?;
    let many = rate(&mut hub, &mut writers, WRITERS)?;
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

/// Writers, each at a site of its own: nobody's reply carries what another has pushed.
struct Writer {
    device: Device,
    site: SiteId,
    random: Seeded,
    talk: Talk,
}

fn writers(server: &Server, line: &mut Line, office: &mut Device) -> Result<Vec<Writer>, Wrong> {
    let mut writers = vec![];
    for number in 0..WRITERS {
        let site = SiteId(u64::try_from(number)?.to_be_bytes());
        let text = FieldValue::Text(format!("Hall {number}"));
        let set = Action::Set(vec![setting("site/name", text)]);
        let mut deed = vec![(DocId::new(site, DocKind::Site), set)];
        deed.extend(plan_visit(site, visit(0), VisitKind::PreSeason, Day(20_000), vec![], &[]));
        let stamp = Stamp::new(office.identity().person, Moment { secs: TODAY, offset_min: 0 });
        let steps: Vec<Step> =
            deed.into_iter().map(|(doc, action)| Step::new(doc, action)).collect();
        office.act(&steps, &stamp)?;
        line.exchange(office, TODAY)?;
        let code = line.code(office, Role::Technician, Some(vec![site]))?;
        // The writers' own stores are in memory: what is measured is the hub's.
        let store = Store::create(MemoryBytes::default(), Manner::DEVICE)?;
        let mut random = Seeded::new(u64::try_from(number)? + 100);
        let mut device = line.join(store, &format!("w{number}"), &code, &mut random)?;
        Line::to(server.url())?.exchange(&mut device, TODAY)?;
        writers.push(Writer { device, site, random, talk: Talk::new(vec![]) });
    }
    Ok(writers)
}

impl Writer {
    /// The request that brings one small entry.
    fn request(&mut self, round: usize) -> Result<Vec<u8>, Wrong> {
        let clock = TODAY + i64::try_from(round)?;
        let stamp =
            Stamp::new(self.device.identity().person, Moment { secs: clock, offset_min: 0 });
        let doc = DocId::new(self.site, DocKind::Sheet(visit(0), unit(0)));
        let own = instrument(&mut Seeded::new(1));
        self.device.act(&[Step::new(doc, entry(&mut self.random, own))], &stamp)?;
        self.talk = Talk::new(vec![]);
        let today = i32::try_from(clock.div_euclid(86_400))?;
        Ok(self.device.request(&mut self.talk, Wish { clock, today })?)
    }

    fn hear(&mut self, round: usize, reply: &[u8]) -> Result<(), Wrong> {
        let clock = TODAY + i64::try_from(round)?;
        let mut report = Report::default();
        let next = self.device.hear(&mut self.talk, clock, reply, &mut report)?;
        if (report.echoed, next) == (1, Next::Done) {
            return Ok(());
        }
        Err(format!("a push was not echoed in one round trip: {next:?}, {report:?}").into())
    }
}

/// Pushes a second that the hub takes, writers being answered so many at a time. The writers' own work is
/// not in the time: they have processors of their own.
fn rate(hub: &mut Hub, writers: &mut [Writer], at_once: usize) -> Result<f64, Wrong> {
    let mut took = 0.0;
    for round in 0..PUSHES {
        for group in writers.chunks_mut(at_once) {
            let requests: Result<Vec<Vec<u8>>, Wrong> =
                group.iter_mut().map(|writer| writer.request(round)).collect();
            let requests = requests?;
            let bodies: Vec<&[u8]> = requests.iter().map(Vec::as_slice).collect();
            let begin = Instant::now();
            let replies = hub.exchange(TODAY + i64::try_from(round)?, &bodies);
            took += begin.elapsed().as_secs_f64();
            for (writer, reply) in group.iter_mut().zip(replies) {
                writer.hear(round, &reply?)?;
            }
        }
    }
    Ok(f64::from(u32::try_from(writers.len() * PUSHES)?) / took)
}

struct Folder(PathBuf);

impl Drop for Folder {
    fn drop(&mut self) {
        // What cannot be removed is in the folder for temporary files.
        drop(std::fs::remove_dir_all(&self.0));
    }
}
