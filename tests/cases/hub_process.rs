//! Real hubs: processes that are killed, folders that are shared by mistake, backups, sockets and TLS.
//!
//! `DRIPLEG_KILLS=500 cargo test -p tests hub_process` kills more often than the default.

mod bell;
mod drill;
mod kill;
mod tls;

use std::io::{BufRead, BufReader};
use std::path::Path;
use std::process::{Child, Command, Output, Stdio};
use std::time::{Duration, Instant, SystemTime};

use client_core::exchange::office::{Order, OrderReply};
use client_core::record::code::Role;
use client_core::record::id::SiteId;
use tests::net::{Guest, TempFolder};
use tests::world::Seeded;

use crate::hub_rules::{SITE, begin};

const PROGRAM: &str = env!("CARGO_BIN_EXE_hub_under_test");

/// A hub that runs as a process of its own.
struct Running {
    child: Child,
    url: String,
    fingerprint: String,
    code: Option<String>,
}

/// What runs and how it is asked.
fn program(folder: &Path, arguments: &[&str]) -> Command {
    let mut command = Command::new(PROGRAM);
    command.env_clear().arg("--folder").arg(folder).args(arguments);
    command
}

fn run(folder: &Path, arguments: &[&str]) -> Output {
    program(folder, arguments).output().unwrap()
}

fn said(output: &Output) -> String {
    let text = |bytes: &[u8]| String::from_utf8(bytes.to_vec()).unwrap();
    text(&output.stdout) + &text(&output.stderr)
}

impl Running {
    /// Starts a hub without limits, for tests ask more than people do.
    fn start(folder: &Path, more: &[&str]) -> Running {
        let first = !folder.exists();
        let log = std::fs::File::options()
            .create(true)
            .append(true)
            .open(folder.with_extension("log"))
            .unwrap();
        let free =
            ["--listen", "127.0.0.1:0", "--requests-per-s", "0", "--megabytes-per-hour", "0"];
        let mut child =
            program(folder, &free).args(more).stdout(Stdio::piped()).stderr(log).spawn().unwrap();
        let mut lines = BufReader::new(child.stdout.take().unwrap()).lines().map_while(Result::ok);
        let mut next = |name: &str| {
            let line = lines.next().unwrap_or_default();
            let Some(rest) = line.strip_prefix(name) else {
                let log = std::fs::read_to_string(folder.with_extension("log"));
                panic!("'{line}' instead of '{name}'; {log:?}")
            };
            rest.trim().to_owned()
        };
        let (url, fingerprint) = (next("hub at "), next("fingerprint "));
        let code = first.then(|| next("supervisor's code "));
        let code = code.map(|code| code.split(' ').next().unwrap_or_default().to_owned());
        Running { child, url, fingerprint, code }
    }

    fn kill(mut self) {
        self.child.kill().unwrap();
        self.child.wait().unwrap();
    }

    fn signal(&self, name: &str) {
        let id = self.child.id().to_string();
        assert!(Command::new("kill").args([name, &id]).status().unwrap().success());
    }

    /// Stops it gracefully; says how long that took.
    fn stop(mut self) -> Duration {
        let began = Instant::now();
        self.signal("-TERM");
        let status = self.child.wait().unwrap();
        assert!(status.success(), "{status}");
        began.elapsed()
    }
}

fn now() -> i64 {
    let since = SystemTime::now().duration_since(SystemTime::UNIX_EPOCH).unwrap();
    i64::try_from(since.as_secs()).unwrap()
}

/// The supervisor of a new hub, with a site begun.
fn supervisor(hub: &Running, random: &mut Seeded) -> Guest {
    let mut boss = Guest::join(&hub.url, hub.code.as_ref().unwrap(), "Oriane", random).unwrap();
    begin(&mut boss.device, SITE);
    assert_eq!(boss.exchange(&hub.url, now()).unwrap().echoed, 1);
    boss
}

fn technician(url: &str, boss: &mut Guest, name: &str, random: &mut Seeded) -> Guest {
    let order = Order::NewCode { person: None, role: Role::Technician, sites: Some(vec![SITE]) };
    let OrderReply::Code { code, .. } = boss.order(url, now(), &order).unwrap() else {
        panic!("no code")
    };
    let mut guest = Guest::join(url, &code, name, random).unwrap();
    guest.exchange(url, now()).unwrap();
    guest
}

/// Entries of everybody at a site, as a device sees them.
fn entries(guest: &mut Guest, site: SiteId) -> usize {
    use client_core::record::doc_id::{DocId, DocKind};
    use client_core::record::id::{ApplianceId, VisitId};
    let sheet = DocId::new(site, DocKind::Sheet(VisitId([2; 8]), ApplianceId([1; 8])));
    guest.device.read_doc(sheet).unwrap().read.entries.len()
}

#[test]
fn a_folder_serves_one_hub_and_a_port_one_program() {
    let place = TempFolder::new("two");
    let folder = place.join("hub");
    let hub = Running::start(&folder, &[]);
    assert!(hub.code.is_some() && hub.fingerprint.len() == 19, "{}", hub.fingerprint);
    let second = run(&folder, &["--listen", "127.0.0.1:0"]);
    assert_eq!(second.status.code(), Some(1));
    assert!(said(&second).contains("another program has it open"), "{}", said(&second));
    let address = hub.url.strip_prefix("http://").unwrap();
    let other = run(&place.join("other"), &["--listen", address]);
    assert_eq!(other.status.code(), Some(1));
    assert!(said(&other).contains(&format!("could not listen on {address}")), "{}", said(&other));
    hub.stop();
}

#[test]
fn commands_say_what_is_wrong_and_exit_with_it() {
    let place = TempFolder::new("cmd");
    let none = place.join("none");
    let checked = run(&none, &["check"]);
    assert_eq!(checked.status.code(), Some(1));
    assert!(said(&checked).contains("there is no hub here yet"), "{}", said(&checked));
    let flag = run(&none, &["--queue", "0", "config"]);
    assert_eq!(flag.status.code(), Some(2));
    assert!(said(&flag).contains("flag --queue: queue: found '0', allowed is"), "{}", said(&flag));
    assert_eq!(run(&none, &["fly"]).status.code(), Some(2));
    assert_eq!(run(&none, &["--help"]).status.code(), Some(0));
    assert!(!none.exists(), "nothing was made");

    let folder = place.join("hub");
    let hub = Running::start(&folder, &[]);
    let first = hub.code.clone().unwrap();
    let again = run(&folder, &["code"]);
    assert_eq!(again.status.code(), Some(0));
    assert!(said(&again).contains("/join#") && !said(&again).contains(&first), "another code");
    let mut random = Seeded::new(70);
    supervisor(&hub, &mut random);
    let enough = run(&folder, &["code"]);
    assert_eq!(enough.status.code(), Some(1));
    assert!(said(&enough).contains("there is a supervisor already"), "{}", said(&enough));
    assert_eq!(run(&folder, &["code", "--another"]).status.code(), Some(0));
    for stopped in [false, true] {
        let checked = run(&folder, &["check"]);
        let words = "2 sites, 2 arrivals (1 deliveries with 1 changes, 1 notes), 1 devices";
        assert!(said(&checked).contains(words), "stopped: {stopped}: {}", said(&checked));
        assert_eq!(run(&folder, &["compact"]).status.code(), Some(0));
        if !stopped {
            hub.signal("-TERM");
            while std::os::unix::net::UnixStream::connect(folder.join("console.sock")).is_ok() {
                std::thread::sleep(Duration::from_millis(5));
            }
            std::thread::sleep(Duration::from_millis(200));
        }
    }
    let mut child = hub.child;
    child.wait().unwrap();
}

#[test]
fn a_damaged_log_stops_the_hub_and_a_damaged_view_does_not() {
    let place = TempFolder::new("dmg");
    let folder = place.join("hub");
    let hub = Running::start(&folder, &[]);
    let mut random = Seeded::new(71);
    let mut boss = supervisor(&hub, &mut random);
    hub.stop();
    std::fs::write(folder.join("view.redb"), b"not a store").unwrap();
    let hub = Running::start(&folder, &["--log-level", "warn"]);
    boss.exchange(&hub.url, now()).unwrap();
    hub.stop();
    let log = std::fs::read_to_string(folder.with_extension("log")).unwrap();
    assert!(log.contains("the view is made anew"), "{log}");

    // Fewer pages out of use; a bit that flips in one of those is nobody's loss.
    assert!(run(&folder, &["compact"]).status.success());
    let sound = said(&run(&folder, &["check"]));
    let path = folder.join("log.redb");
    let whole = std::fs::read(&path).unwrap();
    // A flipped bit is found, or it lies where nothing is read: never is something else told.
    let flip = |at: usize| {
        let mut bytes = whole.clone();
        bytes[at] ^= 0x10;
        std::fs::write(&path, &bytes).unwrap();
        let checked = run(&folder, &["check"]);
        assert!(checked.status.code() == Some(1) || said(&checked) == sound, "{}", said(&checked));
        checked.status.code() == Some(1)
    };
    for at in (0..whole.len()).step_by(whole.len() / 20) {
        flip(at);
    }
    let arrival = [&SITE.0[..], &1u64.to_be_bytes()].concat();
    let places: Vec<usize> =
        (0..whole.len() - 16).filter(|at| whole[*at..*at + 16] == arrival).collect();
    assert!(places.iter().any(|at| flip(*at + 3)), "the key of an arrival was changed");
    assert!(places.iter().any(|at| flip(*at + 100)), "an arrival was changed");
    for bytes in [&whole[..5_000], &b"not a store at all"[..]] {
        std::fs::write(&path, bytes).unwrap();
        let output = run(&folder, &["--listen", "127.0.0.1:0"]);
        assert_eq!(output.status.code(), Some(1));
        let words = said(&output);
        assert!(words.contains("the log is damaged") && words.contains("restore"), "{words}");
    }
    std::fs::remove_file(&path).unwrap();
    let output = run(&folder, &["--listen", "127.0.0.1:0"]);
    assert!(said(&output).contains("the log is missing"), "{}", said(&output));
}
