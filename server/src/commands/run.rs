//! `run`

use std::io::IsTerminal;
use std::time::Duration;

use tokio::signal::unix::{Signal, SignalKind, signal};
use tracing_subscriber::EnvFilter;

use super::{Outcome, say};
use crate::config::{LogFormat, Settings};
use crate::serve::console::code_lines;
use crate::serve::{Parts, Server};
use crate::worker::NewCode;

/// How often it is looked whether the hub's thread still lives.
const LOOK: Duration = Duration::from_secs(2);

/// What ended the wait.
enum Woken {
    Stop(&'static str),
    Reload,
    Died,
}

/// Runs the hub until it is told to stop.
pub(super) fn run(settings: &Settings) -> Outcome {
    logs(settings);
    let server = match Server::start(settings, Parts::default()) {
        Ok(server) => server,
        Err(wrong) => return wrong.into(),
    };
    // Heard from here on: whoever reads that the hub runs may tell it to stop at once.
    let mut signals = match server.runtime().block_on(async { Signals::heard() }) {
        Ok(signals) => signals,
        Err(wrong) => return wrong.into(),
    };
    greet(settings, &server);
    loop {
        match server.runtime().block_on(woken(&server, &mut signals)) {
            Woken::Stop(name) => {
                tracing::info!(signal = name, "stopping");
                server.stop();
                tracing::info!("stopped");
                return Outcome::Done(vec![]);
            }
            Woken::Reload => match server.reload_tls() {
                Ok(true) => tracing::info!("the certificate was read again"),
                Ok(false) => tracing::info!("there is no certificate to read again"),
                Err(wrong) => {
                    let wrong = crate::in_full(&wrong);
                    tracing::error!(wrong, "the certificate was not read again; the old one holds");
                }
            },
            Woken::Died => {
                return Outcome::Failed("the hub's thread has died; start it again".to_owned());
            }
        }
    }
}

/// What whoever starts the hub has to know. The code is on the console only, and in no log.
fn greet(settings: &Settings, server: &Server) {
    tracing::info!(
        address = %server.address(),
        folder = %settings.folder.display(),
        first_start = server.first_start(),
        "the hub runs"
    );
    say(&format!("hub at             {}", server.url()));
    say(&format!("fingerprint        {}", server.fingerprint()));
    let code = server.supervisors_code(false);
    match code.map(|code| (code_lines(server.url(), &code), code)) {
        Ok((Ok(lines), NewCode::Code { .. })) => {
            for line in &lines {
                say(line);
            }
        }
        Ok(_) => {}
        Err(wrong) => tracing::error!(wrong = %crate::in_full(&wrong), "no code could be made"),
    }
}

/// Signals that the hub obeys.
struct Signals {
    terminate: Signal,
    interrupt: Signal,
    hang_up: Signal,
}

impl Signals {
    fn heard() -> std::io::Result<Signals> {
        Ok(Signals {
            terminate: signal(SignalKind::terminate())?,
            interrupt: signal(SignalKind::interrupt())?,
            hang_up: signal(SignalKind::hangup())?,
        })
    }
}

async fn woken(server: &Server, signals: &mut Signals) -> Woken {
    loop {
        tokio::select! {
            _ = signals.terminate.recv() => return Woken::Stop("SIGTERM"),
            _ = signals.interrupt.recv() => return Woken::Stop("SIGINT"),
            _ = signals.hang_up.recv() => return Woken::Reload,
            () = tokio::time::sleep(LOOK) => {
                if !server.alive() {
                    return Woken::Died;
                }
            }
        }
    }
}

/// Logs go to standard error: text for people, JSON for programs. No names, contacts or notes are in them.
fn logs(settings: &Settings) {
    let terminal = std::io::stderr().is_terminal();
    let json = match settings.log_format {
        LogFormat::Json => true,
        LogFormat::Text => false,
        LogFormat::Auto => !terminal,
    };
    // Libraries below speak up only when something is wrong.
    let level = &settings.log_level;
    let filter = EnvFilter::new(format!("warn,server={level},hyper=error"));
    let logs = tracing_subscriber::fmt()
        .with_env_filter(filter)
        .with_writer(std::io::stderr)
        .with_ansi(terminal);
    let set = if json { logs.json().try_init() } else { logs.try_init() };
    if let Err(wrong) = set {
        tracing::debug!(%wrong, "logs go where another part of the program sends them");
    }
    std::panic::set_hook(Box::new(|panic| {
        let place = panic.location().map(ToString::to_string).unwrap_or_default();
        tracing::error!(place, "a panic");
    }));
}
