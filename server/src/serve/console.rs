//! The console of a running hub: a socket in its folder that only its owner can open. One line asks, the
//! answer is lines that say something, then `ok`, or `no` and why.

use std::fmt::Write as _;
use std::future::Future;
use std::path::{Path, PathBuf};
use std::sync::Arc;

use client_core::exchange::enrol::show;
use tokio::io::{AsyncBufReadExt, AsyncReadExt, AsyncWriteExt, BufReader};
use tokio::net::{UnixListener, UnixStream};
use tokio::sync::mpsc::Sender;
use tokio::sync::oneshot;

use crate::backup::{self, Taken};
use crate::folder::Folder;
use crate::log::check::{Checked, check};
use crate::worker::{Clock, ConsoleJob, Job, NewCode, Snapshot, Wrong};

/// Most bytes of a line that asks.
const LINE_MAX: u64 = 8 * 1024;

/// What the console needs.
pub(super) struct Console {
    pub(super) jobs: Sender<Job>,
    pub(super) folder: Folder,
    pub(super) url: String,
    pub(super) clock: Clock,
}

/// What was said, or why nothing was done.
pub type Said = Result<Vec<String>, String>;

/// Listens on the socket. The folder's log is open, so no other hub can be listening there: a socket that
/// is there was left by one that was killed.
pub(super) fn listen(
    path: &Path,
    console: Console,
) -> std::io::Result<impl Future<Output = ()> + Send + 'static> {
    match std::fs::remove_file(path) {
        Err(wrong) if wrong.kind() != std::io::ErrorKind::NotFound => return Err(wrong),
        _ => {}
    }
    let listener = UnixListener::bind(path)?;
    let owner = std::os::unix::fs::PermissionsExt::from_mode(0o600);
    std::fs::set_permissions(path, owner)?;
    let console = Arc::new(console);
    Ok(async move {
        loop {
            match listener.accept().await {
                Ok((stream, _)) => drop(tokio::spawn(talk(Arc::clone(&console), stream))),
                Err(wrong) => {
                    tracing::warn!(%wrong, "the console could not be heard");
                    tokio::time::sleep(std::time::Duration::from_secs(1)).await;
                }
            }
        }
    })
}

async fn talk(console: Arc<Console>, stream: UnixStream) {
    let mut stream = BufReader::new(stream.take(LINE_MAX));
    let mut line = String::new();
    if stream.read_line(&mut line).await.is_err() {
        return;
    }
    let mut text = String::new();
    let written = match console.ask(line.trim_end_matches('\n')).await {
        Ok(lines) => lines
            .iter()
            .try_for_each(|line| writeln!(text, "say {line}"))
            .map(|()| text.push_str("ok\n")),
        Err(why) => writeln!(text, "no {}", why.replace('\n', " ")),
    };
    written.expect("writing to memory does not fail");
    let mut stream = stream.into_inner().into_inner();
    if let Err(wrong) = stream.write_all(text.as_bytes()).await {
        tracing::debug!(%wrong, "whoever asked at the console has gone");
    }
}

impl Console {
    async fn ask(&self, line: &str) -> Said {
        match line.split_once(' ').unwrap_or((line, "")) {
            ("code", another) => self.code(another == "another").await,
            ("backup", path) if !path.is_empty() => self.backup(PathBuf::from(path)).await,
            ("check", "") => self.check().await,
            ("compact", "") => self.compact().await,
            _ => {
                let word: String = line.chars().take(40).collect();
                Err(format!("the hub does not know '{word}'"))
            }
        }
    }

    async fn job<T>(
        &self,
        job: impl FnOnce(oneshot::Sender<T>) -> ConsoleJob,
    ) -> Result<T, String> {
        let (answer, waits) = oneshot::channel();
        let stopping = || "the hub is stopping".to_owned();
        self.jobs.send(Job::Console(job(answer))).await.map_err(|_| stopping())?;
        waits.await.map_err(|_| stopping())
    }

    async fn code(&self, another: bool) -> Said {
        let code = self.job(|answer| ConsoleJob::Code { another, answer }).await?;
        code_lines(&self.url, &code.map_err(|wrong| crate::in_full(&wrong))?)
    }

    async fn snapshot(&self) -> Result<Box<Snapshot>, String> {
        let snapshot = self.job(|answer| ConsoleJob::Snapshot { answer }).await?;
        snapshot.map_err(|wrong: Wrong| crate::in_full(&wrong))
    }

    async fn backup(&self, to: PathBuf) -> Said {
        let snapshot = self.snapshot().await?;
        let (folder, now) = (self.folder.clone(), (self.clock)());
        let taken = tokio::task::spawn_blocking(move || {
            let taken = backup::take(&snapshot.read, &folder, &to, now);
            taken.map(|taken| (taken, to)).map_err(|wrong| crate::in_full(&wrong))
        });
        let (taken, to) = taken.await.map_err(|_| "taking the backup panicked".to_owned())??;
        let lines = backup_lines(&taken, &to);
        let arrivals = taken.about.arrivals;
        let ends = taken.ends;
        let noted = self.job(|answer| ConsoleJob::BackedUp { ends, answer }).await?;
        noted.map_err(|wrong| format!("the backup is there, but was not noted: {wrong}"))?;
        tracing::info!(arrivals, "a backup was taken");
        Ok(lines)
    }

    async fn check(&self) -> Said {
        let snapshot = self.snapshot().await?;
        let outcome = tokio::task::spawn_blocking(move || check(&snapshot.read));
        let outcome = outcome.await.map_err(|_| "checking panicked".to_owned())?;
        Ok(vec![checked_line(&outcome.map_err(|fault| crate::in_full(&fault))?)])
    }

    async fn compact(&self) -> Said {
        let outcome = self.job(|answer| ConsoleJob::Compact { answer }).await?;
        outcome.map_err(|wrong| crate::in_full(&wrong))?;
        Ok(vec!["unused room of both stores was given back".to_owned()])
    }
}

/// What a check found, when everything holds together.
pub fn checked_line(found: &Checked) -> String {
    let Checked { sites, arrivals, deliveries, changes, notes, devices } = found;
    format!(
        "the log holds together: {sites} sites, {arrivals} arrivals ({deliveries} deliveries with \
         {changes} changes, {notes} notes), {devices} devices"
    )
}

/// What a backup holds.
pub fn backup_lines(taken: &Taken, to: &Path) -> Vec<String> {
    let (sites, arrivals) = (taken.about.sites, taken.about.arrivals);
    vec![
        format!("{}: {sites} sites, {arrivals} arrivals, copied and checked", to.display()),
        "it holds the hub's secret key: keep it where nobody else reads it".to_owned(),
    ]
}

/// A code as it is shown on the console.
pub fn code_lines(url: &str, code: &NewCode) -> Said {
    match code {
        NewCode::NotNeeded => {
            let words = "there is a supervisor already, who gives codes; 'dripleg-hub code --another' \
                         makes one for another supervisor all the same";
            Err(words.to_owned())
        }
        NewCode::Code { code, token, .. } => Ok(vec![
            format!("supervisor's code  {}   (once, within ten minutes)", show(code)),
            format!("or the link        {url}/join#{token}"),
        ]),
    }
}

/// Asks the hub that runs in a folder; none when none runs there.
pub fn ask(socket: &Path, line: &str) -> std::io::Result<Option<Said>> {
    use std::io::{ErrorKind, Read, Write};
    let mut stream = match std::os::unix::net::UnixStream::connect(socket) {
        Ok(stream) => stream,
        Err(wrong)
            if matches!(wrong.kind(), ErrorKind::NotFound | ErrorKind::ConnectionRefused) =>
        {
            return Ok(None);
        }
        Err(wrong) => return Err(wrong),
    };
    stream.write_all(format!("{line}\n").as_bytes())?;
    let mut text = String::new();
    stream.read_to_string(&mut text)?;
    let mut lines = vec![];
    for line in text.lines() {
        match line.split_once(' ').unwrap_or((line, "")) {
            ("say", words) => lines.push(words.to_owned()),
            ("ok", _) => return Ok(Some(Ok(lines))),
            ("no", why) => return Ok(Some(Err(why.to_owned()))),
            _ => {}
        }
    }
    Ok(Some(Err("the hub stopped before it had answered".to_owned())))
}
