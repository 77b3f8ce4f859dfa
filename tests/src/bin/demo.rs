//! `cargo demo`: the invented scenario on a real hub and three real stores, told while it is played.
//!
//! It stops on the morning after the second visit: what the two halves of the record disagree on is left to
//! whoever opens the supervisor's pages. `--settled` goes on to the third visit and lets the story's supervisor
//! settle and sign on her own device. `--once` does that too and ends after the story: 0 when every figure was
//! as the scenario says, 1 otherwise. `--folder DIR` puts the stores into a new folder of that name, `--port N`
//! lets the hub listen there; `--again` starts the hub of such a folder once more, without the story. Unless it
//! ends after the story, or `--no-phone` says so, the demo builds the phone's files and hands them out.
#![expect(
    clippy::print_stdout,
    clippy::print_stderr,
    reason = "it is a program that tells a story"
)]

use std::collections::BTreeMap;
use std::net::{Ipv4Addr, SocketAddr};
use std::path::{Path, PathBuf};
use std::process::{Command, ExitCode, Stdio};
use std::sync::Arc;
use std::sync::atomic::{AtomicI64, Ordering};
use std::time::Instant;

use client_core::device::Device;
use client_core::exchange::enrol;
use client_core::record::code::Role;
use client_core::record::id::SiteId;
use client_core::store::{Manner, Store};
use qrcode::QrCode;
use qrcode::render::unicode::Dense1x2;
use server::config::Settings;
use server::quota::Quota;
use server::serve::{Parts, Server, system_random, wall_clock};
use server::worker::NewCode;
use tests::net::{Line, Wrong};
use tests::story::day::AHEAD_S;
use tests::story::player::Who;
use tests::story::{Player, tell, today};
use tests::world::Seeded;

/// The day on which the devices are handed out.
const HANDED_OUT: i64 = 1_727_772_000;

const USAGE: &str =
    "usage: cargo demo [--once] [--settled] [--no-phone] [--folder DIR [--again]] [--port N]";

/// How much of the story is told.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Tale {
    /// Up to what the two halves disagree on.
    Unsettled,
    /// All of it; the hub goes on.
    Settled,
    /// All of it, and no more.
    Once,
    /// None: the hub of an earlier demo goes on.
    Again,
}

struct Wish {
    tale: Tale,
    no_phone: bool,
    folder: Option<PathBuf>,
    port: u16,
}

fn main() -> ExitCode {
    let wish = match wish() {
        Ok(wish) => wish,
        Err(words) => {
            eprintln!("demo: {words}\n{USAGE}");
            return ExitCode::from(2);
        }
    };
    match run(&wish) {
        Ok(()) => ExitCode::SUCCESS,
        Err(wrong) => {
            println!();
            eprintln!("demo: {wrong}");
            ExitCode::FAILURE
        }
    }
}

fn wish() -> Result<Wish, String> {
    let mut wish = Wish { tale: Tale::Unsettled, no_phone: false, folder: None, port: 0 };
    let mut words = std::env::args().skip(1);
    while let Some(word) = words.next() {
        match word.as_str() {
            "--once" => wish.tale = Tale::Once,
            "--settled" if wish.tale == Tale::Unsettled => wish.tale = Tale::Settled,
            "--settled" => {}
            "--again" => wish.tale = Tale::Again,
            "--no-phone" => wish.no_phone = true,
            "--folder" => {
                wish.folder = Some(words.next().ok_or("--folder needs a folder")?.into());
            }
            "--port" => {
                let port = words.next().ok_or("--port needs a number")?;
                wish.port = port
                    .parse()
                    .map_err(|_| format!("--port: found '{port}', allowed is 0 to 65535"))?;
            }
            other => return Err(format!("there is no option '{other}'")),
        }
    }
    if wish.tale == Tale::Again && wish.folder.is_none() {
        return Err("--again needs the --folder of an earlier demo".to_owned());
    }
    Ok(wish)
}

fn run(wish: &Wish) -> Result<(), Wrong> {
    let folder = match &wish.folder {
        Some(folder) => folder.clone(),
        None => std::env::temp_dir().join(format!("dripleg-demo-{}", std::process::id())),
    };
    if wish.tale == Tale::Again {
        return again(wish, &folder);
    }
    std::fs::create_dir(&folder)
        .map_err(|wrong| format!("cannot make the folder {}: {wrong}", folder.display()))?;
    let outcome = play(wish, &folder);
    if wish.tale == Tale::Once && wish.folder.is_none() {
        // What cannot be removed is left to whoever tidies the machine's temporary files.
        drop(std::fs::remove_dir_all(&folder));
    }
    outcome
}

/// The hub's clock while the story is played: what the story says, then the wall clock.
#[derive(Clone, Default)]
struct StoryClock(Arc<AtomicI64>);

impl StoryClock {
    fn set(&self, now: i64) {
        self.0.store(now, Ordering::SeqCst);
    }

    fn now(&self) -> i64 {
        match self.0.load(Ordering::SeqCst) {
            0 => wall_clock(),
            now => now,
        }
    }
}

fn play(wish: &Wish, folder: &Path) -> Result<(), Wrong> {
    let begin = Instant::now();
    let clock = StoryClock::default();
    clock.set(HANDED_OUT);
    let hub_clock = clock.clone();
    let phone = if wish.tale == Tale::Once || wish.no_phone { None } else { phone_files() };
    let settings = settings(wish, folder, phone);
    let parts = Parts { clock: Arc::new(move || hub_clock.now()), ..Parts::default() };
    let server = Server::start(&settings, parts)?;
    println!("Dripleg: two technicians, one building without signal, one merged record.");
    println!("A hub runs at {}; three devices join it.", server.url());
    let mut seed = [0; 8];
    system_random(&mut seed);
    let mut random = Seeded::new(u64::from_be_bytes(seed));
    let (devices, mut lines) = join(&server, folder, &mut random)?;
    let mut site = [0; 8];
    random.fill(&mut site);
    let site = SiteId(site);
    let mut player = Player::new(devices, site, random.fork());
    let mut link = |device: &mut Device, at: i64| {
        let label = device.identity().label.clone();
        // On one day one phone's clock is wrong; the hub's never is.
        let wrong_day = (1_737_500_000..1_737_600_000).contains(&at) && label.starts_with("Dov");
        clock.set(if wrong_day { at - AHEAD_S } else { at });
        lines.get_mut(&label).ok_or("no line for this device")?.exchange(device, at)
    };
    let mut out = std::io::stdout();
    if wish.tale == Tale::Unsettled {
        tell::tell_unsettled(&mut player, &mut link, &mut out)?;
    } else {
        let now_ms = || begin.elapsed().as_millis();
        let summary = tell::tell(&mut player, &mut link, &now_ms, &mut out)?;
        println!(
            "  {} exchanges, {} round trips, {:.1} s in all.",
            summary.exchanges,
            summary.rounds,
            begin.elapsed().as_secs_f64()
        );
    }
    clock.set(0);
    if wish.tale == Tale::Once {
        server.stop();
        return Ok(());
    }
    let now = wall_clock();
    today::plan(&mut player, site, now)?;
    let boss = player.device(Who::Oriane);
    let label = boss.identity().label.clone();
    lines.get_mut(&label).ok_or("no line for the supervisor")?.exchange(boss, now)?;
    let codes = codes(&mut player, &mut lines)?;
    drop(player);
    next(&server, folder, &codes);
    if settings.phone.is_some() {
        phone_link(&server, &codes.phone)?;
    }
    wait(server, folder)
}

/// The hub's settings in the demo.
fn settings(wish: &Wish, folder: &Path, phone: Option<PathBuf>) -> Settings {
    Settings {
        listen: SocketAddr::new(Ipv4Addr::LOCALHOST.into(), wish.port),
        phone,
        // Two years are played in a second: the story would look like a flood.
        quota: Quota { requests_per_s: 0, bytes_per_hour: 0, ..Settings::in_folder("").quota },
        ..Settings::in_folder(folder.join("hub"))
    }
}

/// The hub of an earlier demo, as it was left.
fn again(wish: &Wish, folder: &Path) -> Result<(), Wrong> {
    if !folder.join("hub").is_dir() {
        return Err(format!("{} holds no hub of an earlier demo", folder.display()).into());
    }
    let phone = if wish.no_phone { None } else { phone_files() };
    let server = Server::start(&settings(wish, folder, phone), Parts::default())?;
    println!(
        "The hub runs again at {}; the phone's page is {}/phone/.",
        server.url(),
        server.url()
    );
    wait(server, folder)
}

/// Runs until somebody stops it.
fn wait(server: Server, folder: &Path) -> Result<(), Wrong> {
    println!("Ctrl-C stops it.");
    server.runtime().block_on(tokio::signal::ctrl_c())?;
    let port = server.address().port();
    println!("\nThe hub stops; the folder stays. The same hub once more:");
    println!("  cargo demo --folder {} --port {port} --again", folder.display());
    server.stop();
    Ok(())
}

/// Builds the phone's files. Without them the demo goes on, and says why.
fn phone_files() -> Option<PathBuf> {
    let top = Path::new(env!("CARGO_MANIFEST_DIR")).parent()?;
    let out = top.join("target/phone-bundle");
    println!("The phone's files are being built: two minutes the first time.");
    let cargo = std::env::var_os("CARGO").unwrap_or_else(|| "cargo".into());
    let mut command = Command::new(cargo);
    command.args(["run", "--quiet", "-p", "bundle", "--"]).arg(&out).current_dir(top);
    match command.stdout(Stdio::null()).status() {
        Ok(status) if status.success() => Some(out),
        outcome => {
            let why = outcome.map_or_else(|wrong| wrong.to_string(), |status| status.to_string());
            println!("They could not be built ({why}), so no phone is handed out.");
            println!("The target for it: rustup target add wasm32-unknown-unknown");
            None
        }
    }
}

/// The link that makes a phone Ilse's, and the same as a code for a camera.
fn phone_link(server: &Server, code: &str) -> Result<(), Wrong> {
    let link = format!("{}/join#{code}", server.url());
    // Most terminals are dark: what is drawn is the light, as cameras expect it.
    let code = QrCode::new(&link)?;
    let mut drawing = code.render::<Dense1x2>();
    let drawn = drawing.dark_color(Dense1x2::Light).light_color(Dense1x2::Dark).build();
    println!("The phone, Ilse's, within ten minutes: open {link}");
    println!(
        "in a browser here (its phone view, 390 x 844), then stop this hub and go on without it."
    );
    println!("A true phone reaches a hub under its own name and certificate: docs/guides/hub.md.");
    println!("\n{drawn}\n");
    Ok(())
}

/// Devices by their person, and their lines by name.
type Joined = (BTreeMap<Who, Device>, BTreeMap<String, Line>);

/// Codes that are good for ten minutes from now.
struct Codes {
    /// For the supervisor's browser.
    browser: String,
    /// For somebody new.
    newcomer: String,
    /// For Ilse's next device.
    phone: String,
}

fn codes(player: &mut Player, lines: &mut BTreeMap<String, Line>) -> Result<Codes, Wrong> {
    let ilse = Some(player.person(Who::Ilse));
    let device = player.device(Who::Oriane);
    let label = device.identity().label.clone();
    let line = lines.get_mut(&label).ok_or("no line for the supervisor")?;
    let person = Some(device.identity().person);
    let browser = line.code_for(device, person, Role::Supervisor, None)?;
    let newcomer = line.code(device, Role::Technician, None)?;
    let phone = line.code_for(device, ilse, Role::Technician, None)?;
    Ok(Codes { browser, newcomer, phone })
}

fn join(server: &Server, folder: &Path, random: &mut Seeded) -> Result<Joined, Wrong> {
    let mut devices = BTreeMap::new();
    let mut lines = BTreeMap::new();
    let NewCode::Code { code: first, .. } = server.supervisors_code(false)? else {
        return Err("the new hub gave no code for its first supervisor".into());
    };
    let mut codes = vec![first];
    for who in Who::ALL {
        let own = folder.join(who.name().to_lowercase());
        std::fs::create_dir(&own)?;
        let store = Store::create_file(&own.join("device.redb"), Manner::DEVICE)?;
        let mut line = Line::to(server.url())?;
        let code = codes.pop().ok_or("no code is left")?;
        let mut device = line.join(store, who.name(), &code, random)?;
        if who == Who::Oriane {
            for _ in 0..2 {
                codes.push(line.code(&mut device, Role::Technician, None)?);
            }
        }
        lines.insert(device.identity().label.clone(), line);
        devices.insert(who, device);
    }
    Ok((devices, lines))
}

fn next(server: &Server, folder: &Path, codes: &Codes) {
    let Codes { browser, newcomer, .. } = codes;
    let (url, folder) = (server.url(), folder.display());
    println!();
    println!("The supervisor's pages, within ten minutes: open {url}/review/join");
    println!("with the code {} and any name and password to sign in with.", enrol::show(browser));
    println!();
    println!("The hub goes on at {url}. What to try next, in another terminal:");
    println!();
    println!("  alias dripleg='cargo run --quiet -p cli --'");
    println!("  dripleg --store {folder}/oriane list visits");
    println!("  dripleg --store {folder}/ilse show visit");
    println!("  dripleg --store {folder}/yours join {url} {} --name You", enrol::show(newcomer));
    println!();
}
