//! Real processes and disks that fail.

use std::collections::BTreeSet;
use std::fs::File;
use std::io::{self, BufRead, BufReader, Read, Write};
use std::net::{TcpListener, TcpStream};
use std::os::unix::fs::FileExt;
use std::path::{Path, PathBuf};
use std::process::{Command, Output, Stdio};
use std::sync::Arc;
use std::sync::atomic::{AtomicU64, Ordering};
use std::time::Duration;

use client_core::exchange::enrol::{self, EnrolAsk};
use client_core::exchange::frame;
use client_core::record::code::Role;
use client_core::store::{Bytes, Manner, Store, StoreError};
use serde_json::Value;
use server::hub::Hub;
use tests::world::{HubDisk, Seeded, hub_on};

/// A file on a disk that is full: the head of the file can be written over, nothing else.
#[derive(Debug)]
struct FullDisk(File);

impl Bytes for FullDisk {
    fn len(&self) -> io::Result<u64> {
        Ok(self.0.metadata()?.len())
    }

    fn read(&self, offset: u64, out: &mut [u8]) -> io::Result<()> {
        self.0.read_exact_at(out, offset)
    }

    fn set_len(&self, length: u64) -> io::Result<()> {
        if length <= self.len()? { self.0.set_len(length) } else { Err(full()) }
    }

    fn sync(&self) -> io::Result<()> {
        self.0.sync_data()
    }

    fn write(&self, offset: u64, data: &[u8]) -> io::Result<()> {
        if offset == 0 { self.0.write_all_at(data, offset) } else { Err(full()) }
    }
}

fn full() -> io::Error {
    io::Error::from(io::ErrorKind::StorageFull)
}

/// The store of a file on a full disk.
pub(super) fn full_store(file: &Path) -> Result<Store, StoreError> {
    let open = File::options().read(true).write(true).open(file);
    let open = open.map_err(client_core::store::io_error)?;
    Store::open(FullDisk(open), Manner::DEVICE)
}

/// A hub behind a socket of this machine: HTTP as small as it can be, and every byte counted.
pub(super) struct Loopback {
    pub(super) address: String,
    pub(super) code: String,
    pub(super) up: Arc<AtomicU64>,
    pub(super) down: Arc<AtomicU64>,
}

impl Loopback {
    fn start(seed: u64) -> Loopback {
        let listener = TcpListener::bind("127.0.0.1:0").unwrap();
        let address = format!("http://{}", listener.local_addr().unwrap());
        let (up, down) = (Arc::new(AtomicU64::new(0)), Arc::new(AtomicU64::new(0)));
        let (tell, told) = std::sync::mpsc::channel();
        let counters = (Arc::clone(&up), Arc::clone(&down));
        std::thread::spawn(move || {
            let mut random = Seeded::new(seed);
            let disk = HubDisk::default();
            let mut hub = hub_on(disk.log, disk.view, &mut random).unwrap();
            let mut bytes = [0; 24];
            random.fill(&mut bytes);
            let code = hub.access_mut().new_code(now(), None, Role::Supervisor, None, &bytes);
            tell.send(code.unwrap().0).unwrap();
            for stream in listener.incoming() {
                // One connection after the other is enough for one device.
                drop(stream.and_then(|stream| answer(&stream, &mut hub, &counters)));
            }
        });
        Loopback { address, code: told.recv().unwrap(), up, down }
    }

    fn taken(&self) -> (u64, u64) {
        (self.up.swap(0, Ordering::SeqCst), self.down.swap(0, Ordering::SeqCst))
    }
}

fn now() -> i64 {
    let now = std::time::SystemTime::now().duration_since(std::time::UNIX_EPOCH).unwrap();
    i64::try_from(now.as_secs()).unwrap()
}

/// Answers requests on one connection until it is closed.
fn answer(
    stream: &TcpStream,
    hub: &mut Hub,
    (up, down): &(Arc<AtomicU64>, Arc<AtomicU64>),
) -> io::Result<()> {
    let mut reader = BufReader::new(stream);
    loop {
        let mut line = String::new();
        if reader.read_line(&mut line)? == 0 {
            return Ok(());
        }
        let mut taken = line.len();
        let path = line.split(' ').nth(1).unwrap_or_default().to_owned();
        let mut length = 0;
        loop {
            let mut header = String::new();
            taken += reader.read_line(&mut header)?;
            let header = header.trim().to_lowercase();
            if header.is_empty() {
                break;
            }
            if let Some(value) = header.strip_prefix("content-length:") {
                length = value.trim().parse().unwrap_or(0);
            }
        }
        let mut body = vec![0; length];
        reader.read_exact(&mut body)?;
        up.fetch_add(u64::try_from(taken + length).unwrap(), Ordering::SeqCst);
        let (status, body) = match path.as_str() {
            enrol::PATH => match frame::decode::<EnrolAsk>(&body, 4096) {
                Ok(ask) => match hub.enrol(now(), "here", &ask) {
                    Ok(reply) => (200, frame::encode(&reply)),
                    Err(wrong) => (403, wrong.to_string().into_bytes()),
                },
                Err(wrong) => (400, wrong.to_string().into_bytes()),
            },
            frame::PATH => match hub.exchange(now(), &[&body]).pop().unwrap() {
                Ok(reply) => (200, reply),
                Err(turn) => (401, turn.to_string().into_bytes()),
            },
            _ => (404, b"this hub speaks /exchange/1, /enrol/1 and /office/1".to_vec()),
        };
        // The headers that a usual server sends of itself.
        let head = format!(
            "HTTP/1.1 {status} OK\r\ncontent-type: application/octet-stream\r\ncontent-length: {}\r\ndate: \
             Thu, 09 Oct 2025 08:53:20 GMT\r\n\r\n",
            body.len()
        );
        let mut out = stream;
        out.write_all(head.as_bytes())?;
        out.write_all(&body)?;
        down.fetch_add(u64::try_from(head.len() + body.len()).unwrap(), Ordering::SeqCst);
    }
}

/// A store of its own and the program that works on it.
struct Program {
    store: PathBuf,
}

impl Program {
    fn new(name: &str) -> Program {
        let store = Path::new(env!("CARGO_TARGET_TMPDIR")).join(format!("process-{name}"));
        drop(std::fs::remove_dir_all(&store));
        Program { store }
    }

    fn command(&self, words: &[&str]) -> Command {
        let mut command = Command::new(env!("CARGO_BIN_EXE_one_dripleg"));
        command.args(words).env("DRIPLEG_STORE", &self.store).env_remove("http_proxy");
        command.stdin(Stdio::null()).stdout(Stdio::piped()).stderr(Stdio::piped());
        command
    }

    fn run(&self, words: &[&str]) -> Output {
        self.command(words).output().unwrap()
    }

    fn done(&self, words: &[&str]) -> String {
        let ran = self.run(words);
        let said = String::from_utf8_lossy(&ran.stderr);
        assert_eq!(ran.status.code(), Some(0), "{words:?}: {said}");
        String::from_utf8(ran.stdout).unwrap()
    }

    /// Joined, with a site, a unit and a visit.
    fn with_visit(name: &str, hub: &Loopback) -> Program {
        let program = Program::new(name);
        program.done(&["join", &hub.address, &hub.code, "--name", "Oriane"]);
        program.done(&["site", "add", "Ostrel Road"]);
        program.done(&["unit", "add", "UH-05"]);
        program.done(&["plan", "visit", "repair", "2025-10-09", "--reference", "V-1"]);
        program
    }
}

#[test]
fn a_second_process_on_the_same_store_is_refused_clearly() {
    let hub = Loopback::start(1);
    let program = Program::with_visit("second", &hub);
    let mut first = program.command(&["lines"]).stdin(Stdio::piped()).spawn().unwrap();
    let mut input = first.stdin.take().unwrap();
    let mut output = BufReader::new(first.stdout.take().unwrap());
    input.write_all(b"claim UH-05\n").unwrap();
    let mut line = String::new();
    output.read_line(&mut line).unwrap();
    assert!(line.contains("works here"), "{line}");
    let second = program.run(&["status"]);
    assert_eq!(second.status.code(), Some(1));
    let said = String::from_utf8_lossy(&second.stderr).into_owned();
    assert!(said.contains("another program has the store open"), "{said}");
    // What cannot be entered is not lost: it stands on the screen.
    let second = program.run(&["claim", "UH-05"]);
    let said = String::from_utf8_lossy(&second.stderr).into_owned();
    assert!(said.contains("dripleg claim UH-05") || said.contains("kept"), "{said}");
    drop(input);
    assert!(first.wait().unwrap().success());
    program.done(&["status"]);
}

/// Kills a program that saves one entry after the other, again and again; `DRIPLEG_KILLS` makes it longer.
#[test]
fn a_killed_program_loses_no_entry_that_it_said_was_saved() {
    let hub = Loopback::start(2);
    let program = Program::with_visit("killed", &hub);
    let commands = program.store.join("commands.txt");
    let lines: Vec<String> =
        (0..2_000).map(|n| format!("read UH-05 ambient_co={}", n % 9)).collect();
    std::fs::write(&commands, lines.join("\n")).unwrap();
    let commands = commands.display().to_string();
    let kills = std::env::var("DRIPLEG_KILLS").ok().and_then(|own| own.parse().ok()).unwrap_or(4);
    let mut random = Seeded::new(3);
    let mut saved: Vec<String> = vec![];
    for _ in 0..kills {
        let mut child = program.command(&["lines", &commands]).spawn().unwrap();
        let mut output = BufReader::new(child.stdout.take().unwrap());
        for _ in 0..=random.below(30) {
            let mut line = String::new();
            output.read_line(&mut line).unwrap();
            saved.push(line.split_whitespace().next().unwrap().to_owned());
        }
        std::thread::sleep(Duration::from_micros(random.below(20_000)));
        // SIGKILL: nothing is told to the program.
        child.kill().unwrap();
        child.wait().unwrap();
        let mut rest = String::new();
        output.read_to_string(&mut rest).unwrap();
        let whole = rest.rsplit_once('\n').map_or("", |(whole, _)| whole);
        saved.extend(
            whole.lines().filter_map(|line| line.split_whitespace().next()).map(str::to_owned),
        );
    }
    let kept: Value =
        serde_json::from_str(&program.done(&["show", "sheet", "UH-05", "--json"])).unwrap();
    let entries = kept["entries"].as_array().unwrap();
    let kept: BTreeSet<String> = entries
        .iter()
        .map(|entry| {
            let whole = entry["entry"].as_str().unwrap();
            let (session, n) = whole.split_once('.').unwrap();
            format!("{}.{n}", &session[..6])
        })
        .collect();
    assert!(saved.len() >= kills, "{saved:?}");
    for entry in &saved {
        assert!(kept.contains(entry), "{entry} was said to be saved and is gone");
    }
    println!("{} entries said to be saved before {kills} kills, {} kept", saved.len(), kept.len());
    program.done(&["exchange"]);
}

#[test]
fn a_reader_that_goes_away_ends_the_program_quietly() {
    let program = Program::new("pipe");
    let mut child = program.command(&["words", "values"]).spawn().unwrap();
    drop(child.stdout.take());
    let ran = child.wait_with_output().unwrap();
    assert_eq!(ran.status.code(), Some(0));
    assert_eq!(String::from_utf8_lossy(&ran.stderr), "");
}

#[test]
fn exit_codes_tell_what_happened() {
    let program = Program::new("codes");
    assert_eq!(program.run(&["words", "checks"]).status.code(), Some(0));
    assert_eq!(program.run(&["status"]).status.code(), Some(1));
    assert_eq!(program.run(&["words", "nothing"]).status.code(), Some(2));
    let ran = program.run(&["join", "http://127.0.0.1:9", "k7029111", "--name", "x"]);
    assert_eq!(ran.status.code(), Some(1));
    let said = String::from_utf8_lossy(&ran.stderr).into_owned();
    assert!(said.contains("the hub at http://127.0.0.1:9 did not answer"), "{said}");
}

/// The store's folder is its owner's alone.
#[test]
fn a_store_is_kept_from_others() {
    use std::os::unix::fs::PermissionsExt as _;
    let hub = Loopback::start(4);
    let program = Program::new("private");
    program.done(&["join", &hub.address, &hub.code, "--name", "Oriane"]);
    for (path, mode) in [(program.store.clone(), 0o700), (program.store.join("device.redb"), 0o600)]
    {
        assert_eq!(std::fs::metadata(path).unwrap().permissions().mode() & 0o777, mode);
    }
}

#[test]
fn an_idle_exchange_is_small_on_the_wire() {
    let hub = Loopback::start(5);
    let program = Program::with_visit("idle", &hub);
    program.done(&["exchange"]);
    program.done(&["exchange"]);
    hub.taken();
    let value: Value = serde_json::from_str(&program.done(&["exchange", "--json"])).unwrap();
    let (up, down) = hub.taken();
    println!("idle exchange: {up} bytes up and {down} bytes down with HTTP headers: {value}");
    assert_eq!(value["round_trips"], 1);
    assert!(up < 300 && down < 300, "{up} up, {down} down");
}

#[test]
fn an_old_hub_or_another_server_is_told_apart() {
    let hub = Loopback::start(6);
    let program = Program::with_visit("office", &hub);
    // This hub answers office orders with "not found" and what it speaks.
    let ran = program.run(&["device", "list"]);
    let said = String::from_utf8_lossy(&ran.stderr).into_owned();
    assert!(ran.status.code() == Some(1) && said.contains("this hub speaks /exchange/1"), "{said}");
    assert!(said.contains("bring both up to date"), "{said}");
}
