//! Runs the parts of a workload as processes, with a counting link between them.

use std::io::{BufRead, BufReader, Write};
use std::net::SocketAddr;
use std::path::Path;
use std::process::{Child, ChildStdout, Command, Stdio};

use serde_json::{Value, json};

use super::build::{self, NAMES, SITE};
use crate::bench::floor;
use crate::bench::link::{Link, Pace};
use crate::net::{Line, Wrong};
use client_core::record::code::Role;
use client_core::store::{Manner, Store};

/// A part that runs as a process.
struct Part {
    child: Child,
    lines: BufReader<ChildStdout>,
}

impl Part {
    fn start(words: &[&str]) -> Result<Part, Wrong> {
        let mut child = Command::new(std::env::current_exe()?)
            .args(words)
            .stdin(Stdio::piped())
            .stdout(Stdio::piped())
            .spawn()?;
        let out = child.stdout.take().ok_or("the part has no output")?;
        Ok(Part { child, lines: BufReader::new(out) })
    }

    fn hear(&mut self) -> Result<Value, Wrong> {
        let mut line = String::new();
        if self.lines.read_line(&mut line)? == 0 {
            return Err("a part of the workload ended early; its own words are above".into());
        }
        Ok(serde_json::from_str(&line)?)
    }

    fn tell(&mut self) -> Result<(), Wrong> {
        let input = self.child.stdin.as_mut().ok_or("the part has no input")?;
        input.write_all(b"go\n")?;
        Ok(input.flush()?)
    }

    fn end(mut self) -> Result<(), Wrong> {
        drop(self.child.stdin.take());
        let ended = self.child.wait()?;
        if ended.success() {
            Ok(())
        } else {
            Err(format!("a part of the workload: {ended}").into())
        }
    }
}

struct Hub {
    part: Part,
    address: SocketAddr,
}

impl Hub {
    fn start(folder: &str) -> Result<Hub, Wrong> {
        let mut part = Part::start(&["part", "hub", folder])?;
        let said = part.hear()?;
        let url = said["url"].as_str().ok_or("the hub did not say its address")?;
        let address = url.trim_start_matches("http://").parse()?;
        Ok(Hub { part, address })
    }

    fn rss(&mut self) -> Result<Value, Wrong> {
        self.part.tell()?;
        Ok(self.part.hear()?["rss_kib"].clone())
    }
}

/// One exchange, with what crossed the link.
fn exchange(folder: &str, hub: &Hub, name: &str, pace: Pace) -> Result<Value, Wrong> {
    let link = Link::to(hub.address, pace)?;
    let url = format!("http://{}", link.address);
    let mut part = Part::start(&["part", "exchange", folder, name, &url])?;
    counted(&link, &mut part, pace).and_then(|said| part.end().map(|()| said))
}

/// Lets a part that has connected go, and counts what crosses the link from then on.
fn counted(link: &Link, part: &mut Part, pace: Pace) -> Result<Value, Wrong> {
    part.hear()?;
    let (up, down) = (link.up(), link.down());
    part.tell()?;
    let mut said = part.hear()?;
    let (up, down) = (link.up() - up, link.down() - down);
    said["bytes_up"] = json!(up);
    said["bytes_down"] = json!(down);
    let rounds = said["round_trips"].as_u64().and_then(|rounds| u32::try_from(rounds).ok());
    // Up and down share no wire: the longer way counts, with what the other adds before it.
    said["least_seconds"] = json!(pace.least_seconds(rounds.unwrap_or(0), up + down));
    Ok(said)
}

/// Both technicians come back; the second one's exchange is the one told.
///
/// # Errors
/// When a part fails.
pub fn truck_day(folder: &Path, sheets: u64, pace: Pace) -> Result<Value, Wrong> {
    let work = Scratch::copy_of(folder)?;
    let at = work.path()?;
    let before = floor::heads(&open(&work.0, NAMES[1])?, SITE)?;
    for name in &NAMES[1..] {
        Part::start(&["part", "edit", at, name, &sheets.to_string()])?.end()?;
    }
    let [one, two] =
        [NAMES[1], NAMES[2]].map(|name| floor::since(&open(&work.0, name)?, SITE, &before));
    let (floor_down, floor_up) = (one?, two?);
    let mut hub = Hub::start(at)?;
    exchange(at, &hub, NAMES[1], Pace::LOOPBACK)?;
    let mut said = exchange(at, &hub, NAMES[2], pace)?;
    said["hub_rss_kib"] = hub.rss()?;
    hub.part.end()?;
    said["floor_bundle_bytes"] = json!(floor_up);
    said["floor_bundle_bytes_down"] = json!(floor_down);
    Ok(renamed(said))
}

/// A technician whose phone has everything learns so.
///
/// # Errors
/// When a part fails.
pub fn idle(folder: &Path, pace: Pace) -> Result<Value, Wrong> {
    let work = Scratch::copy_of(folder)?;
    let at = work.path()?;
    let mut hub = Hub::start(at)?;
    let mut said = exchange(at, &hub, NAMES[1], pace)?;
    said["hub_rss_kib"] = hub.rss()?;
    hub.part.end()?;
    said["floor_bundle_bytes"] = json!(0);
    Ok(renamed(said))
}

/// An empty phone fetches today's visit and the rows of everything.
///
/// # Errors
/// When a part fails.
pub fn new_phone(folder: &Path, pace: Pace) -> Result<Value, Wrong> {
    let work = Scratch::copy_of(folder)?;
    let at = work.path()?;
    let mut hub = Hub::start(at)?;
    let code = {
        let mut line = Line::to(&format!("http://{}", hub.address))?;
        let store = open(&work.0, NAMES[0])?;
        let random = crate::world::Seeded::new(5).source();
        let mut office = client_core::device::Device::open(store, random)?;
        line.exchange(&mut office, build::TODAY + 3_000)?;
        line.code(&mut office, Role::Technician, Some(vec![SITE]))?
    };
    let link = Link::to(hub.address, pace)?;
    let url = format!("http://{}", link.address);
    let mut part = Part::start(&["part", "fresh", at, &url, &code])?;
    let mut said = counted(&link, &mut part, pace)?;
    part.end()?;
    said["hub_rss_kib"] = hub.rss()?;
    hub.part.end()?;
    said["floor_bundle_bytes"] = json!(null);
    Ok(renamed(said))
}

fn renamed(mut said: Value) -> Value {
    if let Some(map) = said.as_object_mut()
        && let Some(rss) = map.remove("rss_kib")
    {
        map.insert("client_rss_kib".to_owned(), rss);
    }
    said
}

fn open(folder: &Path, name: &str) -> Result<Store, Wrong> {
    Ok(Store::open_file(&build::store_file(folder, name), Manner::DEVICE)?)
}

/// A copy of the stored site that a measurement may change.
struct Scratch(std::path::PathBuf);

impl Scratch {
    fn copy_of(folder: &Path) -> Result<Scratch, Wrong> {
        let own = folder.with_extension(format!("run-{}", std::process::id()));
        std::fs::create_dir_all(own.join("hub"))?;
        let scratch = Scratch(own);
        for from in [folder.to_path_buf(), folder.join("hub")] {
            for file in std::fs::read_dir(&from)? {
                let file = file?;
                if file.file_type()?.is_file() {
                    let to = if from == folder { scratch.0.clone() } else { scratch.0.join("hub") };
                    std::fs::copy(file.path(), to.join(file.file_name()))?;
                }
            }
        }
        Ok(scratch)
    }

    fn path(&self) -> Result<&str, Wrong> {
        self.0.to_str().ok_or_else(|| "the folder's name is not UTF-8".into())
    }
}

impl Drop for Scratch {
    fn drop(&mut self) {
        // What cannot be removed is in the folder for temporary files.
        drop(std::fs::remove_dir_all(&self.0));
    }
}
