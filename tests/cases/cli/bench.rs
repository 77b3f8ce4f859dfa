//! A hub and people with command lines, in one thread: each person has a store of their own, the wire is
//! a call.

use std::cell::{Cell, RefCell};
use std::io::{Cursor, Write};
use std::path::{Path, PathBuf};
use std::rc::Rc;

use cli::outside::{Files, Outside, Stores};
use cli::wire::{Answer, Wire, WireWrong};
use client_core::exchange::enrol::{self, EnrolAsk};
use client_core::exchange::{frame, office, photo};
use client_core::record::code::Role;
use client_core::record::id::PersonId;
use serde_json::Value;
use server::access::CodeWrong;
use server::hub::{Hub, Turn};
use server::routes::refusal::Refusal;
use server::worker::Wrong;
use tests::world::{HubDisk, Seeded, hub_on};

/// 2025-10-09T08:53:20Z.
pub(super) const NOW: i64 = 1_760_000_000;

/// What a command did.
#[derive(Debug)]
pub(super) struct Ran {
    pub(super) code: u8,
    pub(super) out: String,
    pub(super) err: String,
}

/// A text as one line: where it was wrapped does not matter.
pub(super) fn flat(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// A hub and its people.
pub(super) struct Bench {
    pub(super) hub: Rc<RefCell<Hub>>,
    pub(super) folder: PathBuf,
    pub(super) now: Rc<Cell<i64>>,
    /// No signal: nobody answers.
    pub(super) silent: Rc<Cell<bool>>,
    /// The disk takes nothing more.
    pub(super) full: Rc<Cell<bool>>,
    /// A person sits at the terminal and types this.
    pub(super) types: Option<String>,
    /// Seconds that each person's clock is ahead.
    pub(super) ahead: Rc<Cell<i64>>,
}

struct InThread {
    hub: Rc<RefCell<Hub>>,
    now: i64,
    silent: bool,
}

fn turned(turn: Turn) -> Answer {
    let words = turn.to_string();
    let refusal = Refusal::Worker(Wrong::Turn(turn));
    Answer { status: refusal.status().as_u16(), body: words.into_bytes() }
}

impl Wire for InThread {
    fn post(&mut self, path: &str, body: &[u8]) -> Result<Answer, WireWrong> {
        if self.silent {
            let (address, wrong) = ("https://hub.test".to_owned(), "no route".to_owned());
            return Err(WireWrong::Silent { address, wrong });
        }
        let mut hub = self.hub.borrow_mut();
        let said = |status, words: String| Answer { status, body: words.into_bytes() };
        Ok(match path {
            frame::PATH => match hub.exchange(self.now, &[body]).pop().unwrap() {
                Ok(body) => Answer { status: 200, body },
                Err(turn) => turned(turn),
            },
            photo::PATH => match hub.photo(self.now, body) {
                Ok(reply) => Answer { status: 200, body: frame::encode(&reply) },
                Err(turn) => turned(turn),
            },
            office::PATH => match hub.order(self.now, body) {
                Ok(reply) => Answer { status: 200, body: frame::encode(&reply) },
                Err(turn) => turned(turn),
            },
            enrol::PATH => match frame::decode::<EnrolAsk>(body, enrol::REQUEST_BYTES_MAX) {
                Err(wrong) => said(400, wrong.to_string()),
                Ok(ask) => match hub.enrol(self.now, "here", &ask) {
                    Ok(reply) => Answer { status: 200, body: frame::encode(&reply) },
                    Err(wrong @ CodeWrong::TooMany) => said(429, wrong.to_string()),
                    Err(wrong) => said(403, wrong.to_string()),
                },
            },
            other => said(404, format!("no {other} here")),
        })
    }
}

/// Bytes that several hold.
#[derive(Clone, Default)]
struct Shared(Rc<RefCell<Vec<u8>>>);

impl Write for Shared {
    fn write(&mut self, bytes: &[u8]) -> std::io::Result<usize> {
        self.0.borrow_mut().extend_from_slice(bytes);
        Ok(bytes.len())
    }

    fn flush(&mut self) -> std::io::Result<()> {
        Ok(())
    }
}

impl Shared {
    fn text(&self) -> String {
        String::from_utf8(self.0.borrow().clone()).unwrap()
    }
}

/// Stores on a disk that may be full.
struct Disks(bool);

impl Stores for Disks {
    fn open(
        &self,
        file: &Path,
    ) -> Result<client_core::store::Store, client_core::store::StoreError> {
        if self.0 { super::process::full_store(file) } else { Files.open(file) }
    }

    fn create(
        &self,
        file: &Path,
    ) -> Result<client_core::store::Store, client_core::store::StoreError> {
        Files.create(file)
    }
}

impl Bench {
    /// A hub with an empty folder of this name.
    pub(super) fn new(name: &str, seed: u64) -> Bench {
        let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join(format!("cli-{name}-{seed}"));
        drop(std::fs::remove_dir_all(&folder));
        std::fs::create_dir_all(&folder).unwrap();
        let mut random = Seeded::new(seed);
        let disk = HubDisk::default();
        let hub = hub_on(disk.log, disk.view, &mut random).unwrap();
        Bench {
            hub: Rc::new(RefCell::new(hub)),
            folder,
            now: Rc::new(Cell::new(NOW)),
            silent: Rc::new(Cell::new(false)),
            full: Rc::new(Cell::new(false)),
            types: None,
            ahead: Rc::new(Cell::new(0)),
        }
    }

    /// A code of the hub, for the first device of all.
    pub(super) fn code(&self, role: Role, person: Option<PersonId>) -> String {
        let mut random = [0; 24];
        Seeded::new(self.now.get().unsigned_abs()).fill(&mut random);
        let mut hub = self.hub.borrow_mut();
        let code = hub.access_mut().new_code(self.now.get(), person, role, None, &random);
        code.unwrap().0
    }

    /// Runs a command of somebody.
    pub(super) fn run(&self, who: &str, words: &[&str]) -> Ran {
        self.now.set(self.now.get() + 1);
        let (out, err) = (Shared::default(), Shared::default());
        let (hub, silent) = (Rc::clone(&self.hub), self.silent.get());
        let hub_now = self.now.get();
        let now = self.now.get() + self.ahead.get();
        let store = self.folder.join(who).display().to_string();
        let terminal = self.types.is_some();
        let code = {
            let mut outside = Outside {
                out: Box::new(out.clone()),
                err: Box::new(err.clone()),
                input: Box::new(Cursor::new(self.types.clone().unwrap_or_default())),
                out_terminal: false,
                err_terminal: terminal,
                in_terminal: terminal,
                now_ms: Box::new(move || now * 1_000),
                offset_min: -300,
                var: Box::new(move |name| match name {
                    "DRIPLEG_STORE" => Some(store.clone()),
                    "NO_COLOR" => Some("1".to_owned()),
                    _ => None,
                }),
                connect: Box::new(move |_, _| {
                    let hub = Rc::clone(&hub);
                    Ok(Box::new(InThread { hub, now: hub_now, silent }))
                }),
                random: |out| getrandom::fill(out).unwrap(),
                stores: Box::new(Disks(self.full.get())),
            };
            let argv = std::iter::once("dripleg").chain(words.iter().copied()).map(Into::into);
            cli::run(argv.collect(), &mut outside)
        };
        let ran = Ran { code, out: out.text(), err: err.text() };
        if !words.contains(&"always") {
            ran.fits(words);
        }
        ran
    }

    /// What a command prints with colours.
    pub(super) fn coloured(&self, who: &str, words: &[&str]) -> String {
        let ran = self.run(who, words);
        assert_eq!(ran.code, 0, "{who}: {words:?}: {}", ran.err);
        ran.out
    }

    /// Runs a command that is to be done; answers what it printed.
    pub(super) fn done(&self, who: &str, words: &[&str]) -> String {
        let ran = self.run(who, words);
        assert_eq!(ran.code, 0, "{who}: {words:?}: {}{}", ran.out, ran.err);
        ran.out
    }

    /// Runs a command that is not to be done; answers what it said.
    pub(super) fn refused(&self, who: &str, words: &[&str]) -> String {
        let ran = self.run(who, words);
        assert_eq!(ran.code, 1, "{who}: {words:?}: {}{}", ran.out, ran.err);
        flat(&ran.err)
    }

    /// Runs a command that is to be done; answers what it printed as one line.
    pub(super) fn says(&self, who: &str, words: &[&str]) -> String {
        flat(&self.done(who, words))
    }

    /// Runs a command with `--json`; its output must be one value.
    pub(super) fn json(&self, who: &str, words: &[&str]) -> Value {
        let words: Vec<&str> = words.iter().copied().chain(["--json"]).collect();
        let out = self.done(who, &words);
        assert_eq!(out.lines().count(), 1, "{words:?}: {out}");
        serde_json::from_str(&out).unwrap_or_else(|wrong| panic!("{words:?}: {wrong}: {out}"))
    }

    /// The number of the first entry that a command saved.
    pub(super) fn saved(&self, who: &str, words: &[&str]) -> String {
        let saved = self.json(who, words);
        saved["saved"][0]["entry"]
            .as_str()
            .unwrap_or_else(|| panic!("{words:?}: {saved}"))
            .to_owned()
    }

    /// Somebody joins with a code of this role.
    pub(super) fn join(&self, who: &str, role: Role) {
        let code = self.code(role, None);
        let name = format!("{who} of the test");
        self.done(who, &["join", "https://hub.test", &code, "--name", &name, "--label", who]);
    }

    /// Everybody exchanges, in order.
    pub(super) fn exchange(&self, people: &[&str]) {
        for who in people {
            self.done(who, &["exchange"]);
        }
    }

    /// A supervisor, two technicians, a site with three units and a visit of today, exchanged.
    pub(super) fn with_visit(name: &str, seed: u64) -> Bench {
        let bench = Bench::new(name, seed);
        bench.join("Oriane", Role::Supervisor);
        bench.join("Ilse", Role::Technician);
        bench.join("Dov", Role::Technician);
        bench.exchange(&["Oriane"]);
        bench.done("Oriane", &["site", "add", "Ostrel Road", "gas_kind=natural", "elevation=820"]);
        bench.done(
            "Oriane",
            &["site", "set", "heating_value=1025", "meter_dial=10 cf", "meter_pressure=2"],
        );
        bench.done(
            "Oriane",
            &["area", "A3", "--name", "salt bagging", "--contaminant", "salt,moisture"],
        );
        for unit in ["UH-05", "UH-06", "RT-01"] {
            bench.done(
                "Oriane",
                &[
                    "unit",
                    "add",
                    unit,
                    "family=isp",
                    "status=in_service",
                    "plate/input=175",
                    "plate/manifold_high=3.5",
                    "supplied_gas=natural",
                    "plate/gas=natural",
                    "flame_current_min=1.0",
                    "rise_min=43",
                    "rise_max=67",
                    "--area",
                    "A3",
                ],
            );
        }
        bench.done(
            "Oriane",
            &[
                "plan",
                "visit",
                "pre_season",
                "2025-10-09",
                "--reference",
                "V-1",
                "--assign",
                "Ilse=UH-05,UH-06",
                "--assign",
                "Dov=all",
            ],
        );
        bench.exchange(&["Oriane", "Ilse", "Dov"]);
        bench
    }
}

impl Ran {
    /// Lines fit 80 columns (a link and CSV are as long as they are), and nothing reaches a terminal that
    /// it would obey.
    fn fits(&self, words: &[&str]) {
        let made_for_programs = words.iter().any(|word| {
            matches!(*word, "--json" | "--rows" | "completions" | "man" | "export" | "html")
        });
        for (stream, text) in [("out", &self.out), ("err", &self.err)] {
            let obeyed = |letter: char| letter.is_control() && !matches!(letter, '\n' | '\r');
            if words.first() != Some(&"completions") {
                assert!(!text.contains(obeyed), "{words:?} {stream}: {text:?}");
            }
            if made_for_programs {
                continue;
            }
            for line in text.split(['\n', '\r']) {
                assert!(cli::ui::width(line) <= 80, "{words:?} {stream}: '{line}'");
            }
        }
    }
}
