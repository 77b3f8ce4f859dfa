//! The one thread that owns the hub. Requests come through a bounded queue; it takes everything that
//! waits and answers it together, so that concurrent pushes share one durable commit; what has arrived
//! is folded into the view when nobody waits.
//!
//! A request that panics is answered alone and told so; the hub is opened again from its stores.

mod bells;
mod console;
mod job;
mod mend;
mod task;

use std::panic::{AssertUnwindSafe, catch_unwind};
use std::sync::{Arc, Mutex, PoisonError};
use std::time::{Duration, Instant};

use client_core::exchange::enrol::{EnrolAsk, REQUEST_BYTES_MAX as ENROL_BYTES_MAX, check_number};
use client_core::exchange::frame::{decode, encode};
use tokio::sync::mpsc::error::TryRecvError;
use tokio::sync::mpsc::{Receiver, Sender, channel};
use tokio::sync::oneshot;

use crate::access::CodeWrong;
use crate::folder::{FolderWrong, Opened};
use crate::hub::{Hub, Totals};

pub use bells::Rings;
pub(crate) use console::supervisors_code;
pub use job::{Answer, ConsoleJob, ConsoleWrong, Job, NewCode, Snapshot, Wrong};

pub use task::{Made, Task};

use bells::Bells;
use mend::{Remedy, remedy_of};

/// Requests answered together.
const BATCH_MAX: usize = 64;
/// Bytes of the bodies of requests answered together.
const BATCH_BYTES: usize = 8 * 1024 * 1024;
/// Arrivals that the view may lag behind before it is folded though somebody waits.
const LAG_MAX: u64 = 2_000;
/// How long a failed fold or opening is left alone the first time; each time after that twice as long.
const REST: Duration = Duration::from_millis(250);
/// How long at most.
const REST_MAX: Duration = Duration::from_secs(30);

/// The wall clock, seconds since 1970.
pub type Clock = Arc<dyn Fn() -> i64 + Send + Sync>;
/// Opens the hub of its folder; told whether the view is to be made anew.
pub type Opener = Box<dyn FnMut(bool) -> Result<Opened, FolderWrong> + Send>;

/// What the worker shows of itself, for metrics and readiness.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Shown {
    /// Counts.
    pub totals: Totals,
    /// The hub is open.
    pub open: bool,
    /// The view has folded everything at least once.
    pub folded: bool,
    /// Arrivals that the view has not folded.
    pub lag: u64,
    /// Logs of sites.
    pub sites: u64,
    /// Devices that may write.
    pub devices: u64,
    /// Devices that hear the bell.
    pub bells: u64,
    /// Requests that panicked.
    pub panics: u64,
    /// Times that the hub was opened again after a failure.
    pub reopened: u64,
}

/// Where the worker shows itself.
pub type Window = Arc<Mutex<Shown>>;

/// The thread's own.
struct Worker {
    jobs: Receiver<Job>,
    opener: Opener,
    opened: Option<Opened>,
    totals: Totals,
    setup: Box<dyn FnMut(&mut Hub) + Send>,
    clock: Clock,
    bells: Bells,
    window: Window,
    rest: Duration,
    rest_until: Option<Instant>,
    behind: bool,
    shown: Shown,
}

/// The worker as others hold it.
#[derive(Debug)]
pub struct Handle {
    /// Where jobs go.
    pub jobs: Sender<Job>,
    /// What it shows.
    pub window: Window,
    thread: std::thread::JoinHandle<()>,
}

/// Starts the thread on an open hub. `setup` is told of every hub that is opened, the first included.
pub fn start(
    opened: Opened,
    opener: Opener,
    mut setup: Box<dyn FnMut(&mut Hub) + Send>,
    clock: Clock,
    (queue, bells): (usize, usize),
) -> std::io::Result<Handle> {
    let (jobs, receiver) = channel(queue);
    let window = Window::default();
    let mut opened = opened;
    setup(&mut opened.hub);
    let mut worker = Worker {
        jobs: receiver,
        opener,
        opened: Some(opened),
        totals: Totals::default(),
        setup,
        clock,
        bells: Bells::new(bells),
        window: Arc::clone(&window),
        rest: REST,
        rest_until: None,
        behind: true,
        shown: Shown::default(),
    };
    worker.show();
    let thread = std::thread::Builder::new().name("hub".to_owned()).spawn(move || worker.run())?;
    Ok(Handle { jobs, window, thread })
}

impl Handle {
    /// Lets the thread finish what waits, and close the stores.
    pub fn stop(self) {
        drop(self.jobs);
        if self.thread.join().is_err() {
            tracing::error!("the hub's thread had panicked");
        }
    }
}

/// One exchange that waits for its answer.
type Waiting = (Vec<u8>, oneshot::Sender<Answer>);

impl Worker {
    fn run(&mut self) {
        while let Some(job) = self.next() {
            let mut group: Vec<Waiting> = vec![];
            let mut bytes = 0;
            let mut job = Some(job);
            while let Some(one) = job.take() {
                match one {
                    Job::Exchange { body, answer } => {
                        bytes += body.len();
                        // Whoever asked may have gone meanwhile; it will ask again.
                        if !answer.is_closed() {
                            group.push((body, answer));
                        }
                        if group.len() < BATCH_MAX && bytes < BATCH_BYTES {
                            job = self.jobs.try_recv().ok();
                        }
                    }
                    other => {
                        self.exchange(std::mem::take(&mut group));
                        self.single(other);
                    }
                }
            }
            self.exchange(group);
            self.ring();
            self.fold_when_far_behind();
            self.show();
        }
        if let Some(opened) = &mut self.opened
            && let Err(wrong) = opened.hub.keep_counters()
        {
            tracing::warn!(wrong = %crate::in_full(&wrong), "counters were not kept");
        }
    }

    /// The next job. While nobody waits, the view is folded.
    fn next(&mut self) -> Option<Job> {
        loop {
            let resting = self.rest_until.is_some_and(|until| Instant::now() < until);
            if !self.behind || resting || self.opened.is_none() {
                return self.jobs.blocking_recv();
            }
            match self.jobs.try_recv() {
                Ok(job) => return Some(job),
                Err(TryRecvError::Disconnected) => return None,
                Err(TryRecvError::Empty) => {
                    self.fold();
                    self.ring();
                    self.show();
                }
            }
        }
    }

    /// The hub, opened again when it had to be closed.
    fn hub(&mut self) -> Result<&mut Hub, Wrong> {
        if self.opened.is_none() {
            if self.rest_until.is_some_and(|until| Instant::now() < until) {
                return Err(Wrong::Closed);
            }
            self.open(false);
        }
        self.opened.as_mut().map(|opened| &mut opened.hub).ok_or(Wrong::Closed)
    }

    /// Closes the hub and opens it again: after a failed write a store's handle is dead, and after a panic
    /// nothing in memory is to be trusted.
    fn reopen(&mut self, discard_view: bool) {
        if let Some(opened) = self.opened.take() {
            self.totals = opened.hub.totals();
            drop(opened);
        }
        self.shown.reopened += 1;
        self.open(discard_view);
    }

    fn open(&mut self, discard_view: bool) {
        let outcome = catch_unwind(AssertUnwindSafe(|| (self.opener)(discard_view)));
        match outcome {
            Ok(Ok(mut opened)) => {
                if let Err(wrong) = opened.hub.resume((self.clock)(), self.totals) {
                    tracing::error!(wrong = %crate::in_full(&wrong), "the hub could not go on");
                    self.pause();
                    return;
                }
                (self.setup)(&mut opened.hub);
                if let Some(reason) = &opened.view_made {
                    tracing::warn!(reason, "the view is made anew");
                }
                self.opened = Some(opened);
                self.behind = true;
                tracing::info!("the hub was opened again");
            }
            Ok(Err(wrong)) => {
                tracing::error!(wrong = %crate::in_full(&wrong), "the hub could not be opened again");
                self.pause();
            }
            Err(_) => {
                tracing::error!("opening the hub panicked");
                self.pause();
            }
        }
    }

    /// Leaves what failed alone for a while.
    fn pause(&mut self) {
        self.rest_until = Some(Instant::now() + self.rest);
        self.rest = (self.rest * 2).min(REST_MAX);
    }

    /// Answers exchanges together.
    fn exchange(&mut self, group: Vec<Waiting>) {
        if group.is_empty() {
            return;
        }
        let now = (self.clock)();
        let Ok(hub) = self.hub() else {
            for (_, answer) in group {
                drop(answer.send(Err(Wrong::Closed)));
            }
            return;
        };
        let bodies: Vec<&[u8]> = group.iter().map(|(body, _)| body.as_slice()).collect();
        let outcome =
            catch_unwind(AssertUnwindSafe(|| (hub.exchange(now, &bodies), hub.take_failure())));
        match outcome {
            Ok((replies, failure)) => {
                let mut remedy = failure.as_ref().map(|_| Remedy::Reopen);
                if let Some(wrong) = &failure {
                    tracing::error!(wrong = %crate::in_full(wrong), "a batch could not be stored");
                }
                for ((_, answer), reply) in group.into_iter().zip(replies) {
                    remedy = remedy.max(reply.as_ref().err().and_then(remedy_of));
                    drop(answer.send(reply.map_err(Wrong::Turn)));
                }
                self.mend(remedy);
            }
            Err(_) => {
                self.shown.panics += 1;
                tracing::error!(requests = group.len(), "answering panicked");
                self.reopen(false);
                if group.len() == 1 {
                    for (_, answer) in group {
                        drop(answer.send(Err(Wrong::Panicked)));
                    }
                    return;
                }
                // One of them did it: each is answered alone.
                for one in group {
                    self.exchange(vec![one]);
                }
            }
        }
    }

    fn single(&mut self, job: Job) {
        match job {
            Job::Exchange { body, answer } => self.exchange(vec![(body, answer)]),
            Job::Office { body, answer } => {
                let reply = self.guarded(|hub, now| {
                    hub.order(now, &body).map(|reply| encode(&reply)).map_err(Wrong::Turn)
                });
                drop(answer.send(reply));
            }
            Job::Photo { body, answer } => {
                let reply = self.guarded(|hub, now| {
                    hub.photo(now, &body).map(|reply| encode(&reply)).map_err(Wrong::Turn)
                });
                drop(answer.send(reply));
            }
            Job::Enrol { from, body, answer } => {
                let reply = self.guarded(|hub, now| enrol(hub, now, &from, &body));
                drop(answer.send(reply));
            }
            Job::Bell { body, answer } => {
                let hearer = self.guarded(|hub, now| hub.hearer(now, &body).map_err(Wrong::Turn));
                let rings = hearer.and_then(|hearer| self.bells.hang(hearer).ok_or(Wrong::Full));
                drop(answer.send(rings));
            }
            Job::Page { task, answer } => {
                let made = self.guarded(|hub, now| task.run(hub, now));
                drop(answer.send(made));
            }
            Job::Hear { hearer, answer } => {
                drop(answer.send(self.bells.hang(hearer).ok_or(Wrong::Full)));
            }
            Job::Console(job) => self.console(job),
            Job::Tick => self.tick(),
            Job::Quiet => self.bells = Bells::new(0),
        }
    }

    /// Runs something on the hub; a panic is an answer like any other.
    fn guarded<T>(
        &mut self,
        run: impl FnOnce(&mut Hub, i64) -> Result<T, Wrong>,
    ) -> Result<T, Wrong> {
        let now = (self.clock)();
        let hub = self.hub()?;
        match catch_unwind(AssertUnwindSafe(|| run(hub, now))) {
            Ok(outcome) => {
                if let Err(wrong) = &outcome {
                    self.mend(match wrong {
                        Wrong::Turn(turn) => remedy_of(turn),
                        Wrong::Code(CodeWrong::Store(_) | CodeWrong::Log(_)) => {
                            Some(Remedy::Reopen)
                        }
                        Wrong::Code(_)
                        | Wrong::Frame(_)
                        | Wrong::Panicked
                        | Wrong::Closed
                        | Wrong::Full => None,
                    });
                }
                outcome
            }
            Err(_) => {
                self.shown.panics += 1;
                tracing::error!("a request panicked");
                self.reopen(false);
                Err(Wrong::Panicked)
            }
        }
    }

    fn mend(&mut self, remedy: Option<Remedy>) {
        match remedy {
            Some(Remedy::Reopen) => self.reopen(false),
            Some(Remedy::NewView) => self.reopen(true),
            None => {}
        }
    }

    fn fold_when_far_behind(&mut self) {
        self.behind = true;
        let lag = self.opened.as_mut().and_then(|opened| opened.hub.lag().ok());
        if lag.is_some_and(|lag| lag > LAG_MAX) {
            self.fold();
        }
    }

    /// Folds a piece.
    fn fold(&mut self) {
        let Some(opened) = &mut self.opened else { return };
        match catch_unwind(AssertUnwindSafe(|| opened.hub.fold_step())) {
            Ok(Ok(more)) => {
                self.behind = more;
                self.shown.folded |= !more;
                self.rest = REST;
            }
            Ok(Err(wrong)) => {
                tracing::error!(wrong = %crate::in_full(&wrong), "folding failed");
                let remedy = remedy_of(&wrong);
                self.mend(remedy);
                self.pause();
            }
            Err(_) => {
                self.shown.panics += 1;
                tracing::error!("folding panicked");
                self.reopen(false);
            }
        }
    }

    fn ring(&mut self) {
        let Some(opened) = &mut self.opened else { return };
        let rung = opened.hub.rung();
        if !rung.is_empty() {
            self.bells.ring(&opened.hub, &rung);
        }
    }

    fn tick(&mut self) {
        self.bells.sweep();
        // Nobody may have asked since the hub had to be closed.
        drop(self.hub());
        if let Some(opened) = &mut self.opened
            && let Err(wrong) = opened.hub.keep_counters()
        {
            tracing::warn!(wrong = %crate::in_full(&wrong), "counters were not kept");
            self.reopen(false);
        }
    }

    fn show(&mut self) {
        if let Some(opened) = &mut self.opened {
            self.totals = opened.hub.totals();
            self.shown.lag = opened.hub.lag().unwrap_or_default();
            self.shown.sites = opened.hub.site_count();
            let live = opened.hub.access().devices().filter(|(_, one)| one.revoked.is_none());
            self.shown.devices = u64::try_from(live.count()).unwrap_or_default();
        }
        self.shown.totals = self.totals;
        self.shown.open = self.opened.is_some();
        self.shown.bells = u64::try_from(self.bells.len()).unwrap_or_default();
        *self.window.lock().unwrap_or_else(PoisonError::into_inner) = self.shown;
    }
}

fn enrol(hub: &mut Hub, now: i64, from: &str, body: &[u8]) -> Result<Vec<u8>, Wrong> {
    let ask: EnrolAsk = decode(body, ENROL_BYTES_MAX).map_err(Wrong::Frame)?;
    let reply = hub.enrol(now, from, &ask).map_err(Wrong::Code)?;
    let device = client_core::exchange::delivery::device_id(&ask.key);
    let check = check_number(&reply.hub_key, &ask.key);
    tracing::info!(%device, person = %reply.person, role = reply.role.code(), check, "enrolled");
    Ok(encode(&reply))
}
