//! A hub on the network: its folder opened, its thread started, its port bound. The program and whoever
//! wants a hub inside another program start it the same way.

mod accept;
pub mod console;

use std::net::{SocketAddr, TcpListener};
use std::path::PathBuf;
use std::sync::{Arc, PoisonError};
use std::time::Duration;

use axum_server::Handle as Listening;
use axum_server::accept::NoDelayAcceptor;
use axum_server::tls_rustls::{RustlsAcceptor, RustlsConfig};
use tokio::runtime::Runtime;
use tokio::task::JoinHandle;

use crate::config::{Settings, Tls};
use crate::folder::{Folder, FolderWrong};
use crate::hub::{Hub, Random, Totals};
use crate::metrics::Sizes;
use crate::routes::{App, Rules, router};
use crate::worker::{self, Clock, ConsoleJob, Job, NewCode, Shown, Wrong};

use accept::Limited;

/// How often the worker is told to do what does not want to be done at every request.
const TICK: Duration = Duration::from_secs(10);
/// How long tasks that will not end are waited for.
const TASKS_WAIT: Duration = Duration::from_secs(5);

/// Most bytes of a request's head.
const HEAD_BYTES_MAX: usize = 16 * 1024;
/// Streams of one HTTP/2 connection at one time.
const STREAMS_MAX: u32 = 32;
/// How long an HTTP/2 connection may be silent before it is asked whether it is still there.
const PING: Duration = Duration::from_secs(30);

/// Why a hub does not start.
#[derive(Debug, thiserror::Error)]
pub enum StartWrong {
    /// The folder cannot be opened.
    #[error(transparent)]
    Folder(#[from] FolderWrong),
    /// The address is taken, or not this machine's.
    #[error("could not listen on {address}: {wrong}")]
    Listen {
        /// The address.
        address: SocketAddr,
        /// Why.
        #[source]
        wrong: std::io::Error,
    },
    /// The certificate or key cannot be used.
    #[error("TLS with certificate {} and key {}: {wrong}", certificate.display(), key.display())]
    Tls {
        /// The certificate's file.
        certificate: PathBuf,
        /// The key's file.
        key: PathBuf,
        /// Why.
        #[source]
        wrong: std::io::Error,
    },
    /// The phone's files cannot be read.
    #[error("the phone's files in {}: {wrong}; make them with `cargo run -p bundle`", path.display())]
    Phone {
        /// Their folder.
        path: PathBuf,
        /// Why.
        #[source]
        wrong: std::io::Error,
    },
    /// The console's socket cannot be made.
    #[error("could not make the console's socket {}: {wrong}", path.display())]
    Console {
        /// The socket.
        path: PathBuf,
        /// Why.
        #[source]
        wrong: std::io::Error,
    },
    /// Threads cannot be started.
    #[error("could not start threads: {0}")]
    Threads(std::io::Error),
    /// The hub could not go on where it was.
    #[error("the hub could not read its own state: {0}")]
    State(#[from] client_core::store::StoreError),
}

/// What a hub needs from outside.
pub struct Parts {
    /// The wall clock.
    pub clock: Clock,
    /// Makes a source of random bytes, for each time that the stores are opened.
    pub random: Box<dyn FnMut() -> Random + Send>,
}

impl std::fmt::Debug for Parts {
    fn fmt(&self, out: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        out.write_str("Parts")
    }
}

impl Default for Parts {
    fn default() -> Parts {
        Parts { clock: Arc::new(wall_clock), random: Box::new(|| Box::new(system_random)) }
    }
}

/// Seconds since 1970 by this machine's clock.
pub fn wall_clock() -> i64 {
    let since = std::time::SystemTime::now().duration_since(std::time::UNIX_EPOCH);
    since.map_or(0, |since| i64::try_from(since.as_secs()).unwrap_or(i64::MAX))
}

/// Random bytes of the system.
pub fn system_random(out: &mut [u8]) {
    getrandom::fill(out).expect("a system without random bytes cannot make keys");
}

/// A hub on the network.
#[derive(Debug)]
pub struct Server {
    address: SocketAddr,
    url: String,
    fingerprint: String,
    first_start: bool,
    stop_wait: Duration,
    tls: Option<(RustlsConfig, Tls)>,
    listening: Listening<SocketAddr>,
    served: JoinHandle<std::io::Result<()>>,
    tasks: Vec<JoinHandle<()>>,
    socket: PathBuf,
    worker: worker::Handle,
    runtime: Runtime,
}

impl Server {
    /// Starts a hub. When this returns it answers.
    pub fn start(settings: &Settings, parts: Parts) -> Result<Server, StartWrong> {
        let runtime = tokio::runtime::Builder::new_multi_thread()
            .worker_threads(2)
            .thread_name("hub-net")
            .enable_all()
            .build()
            .map_err(StartWrong::Threads)?;
        let tls = match &settings.tls {
            Some(files) => Some((runtime.block_on(read_tls(files))?, files.clone())),
            None => None,
        };
        let listen = |wrong| StartWrong::Listen { address: settings.listen, wrong };
        let shell = match &settings.phone {
            Some(path) => crate::shell::shell(path)
                .map_err(|wrong| StartWrong::Phone { path: path.clone(), wrong })?,
            None => axum::Router::new(),
        };
        let folder = Folder::new(settings.folder.clone(), settings.cache_bytes);
        let Parts { clock, mut random } = parts;
        let mut opened = folder.open(random())?;
        let listener = TcpListener::bind(settings.listen).map_err(listen)?;
        let address = listener.local_addr().map_err(listen)?;
        let url = settings.url(address);
        let identity = opened.hub.identity();
        let fingerprint = client_core::exchange::enrol::fingerprint(&identity.public());
        let first_start = opened.first_start;
        opened.hub.resume(clock(), Totals::default())?;
        if let Some(reason) = &opened.view_made {
            tracing::warn!(reason, "the view is made anew");
        }
        let quota = settings.quota;
        let again = folder.clone();
        let worker = worker::start(
            opened,
            Box::new(move |discard_view| {
                if discard_view {
                    again.discard_view()?;
                }
                again.open(random())
            }),
            Box::new(move |hub: &mut Hub| hub.limit(quota)),
            Arc::clone(&clock),
            (settings.limits.queue, settings.limits.bells),
        )
        .map_err(StartWrong::Threads)?;
        let app = app(settings, &folder, &worker, &clock);
        let listening = Listening::new();
        let guard = runtime.enter();
        let served = serve(
            settings,
            listener,
            tls.as_ref().map(|(config, _)| config),
            &listening,
            router(Arc::new(app), shell),
        )
        .map_err(listen)?;
        let served = runtime.spawn(served);
        let socket = folder.socket();
        let console =
            console::Console { jobs: worker.jobs.clone(), folder, url: url.clone(), clock };
        let console = console::listen(&socket, console)
            .map_err(|wrong| StartWrong::Console { path: socket.clone(), wrong })?;
        let tasks = vec![runtime.spawn(console), runtime.spawn(ticks(worker.jobs.clone()))];
        drop(guard);
        Ok(Server {
            address,
            url,
            fingerprint,
            first_start,
            stop_wait: settings.waits.stop,
            tls,
            listening,
            served,
            tasks,
            socket,
            worker,
            runtime,
        })
    }

    /// Where it listens.
    pub const fn address(&self) -> SocketAddr {
        self.address
    }

    /// The address that devices use.
    pub fn url(&self) -> &str {
        &self.url
    }

    /// Fingerprint of the hub's key.
    pub fn fingerprint(&self) -> &str {
        &self.fingerprint
    }

    /// The hub's folder was begun just now.
    pub const fn first_start(&self) -> bool {
        self.first_start
    }

    /// What the hub shows of itself.
    pub fn shown(&self) -> Shown {
        *self.worker.window.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// A supervisor's one-time code, as the console gives it: the first one, or another when asked for.
    pub fn supervisors_code(&self, another: bool) -> Result<NewCode, Wrong> {
        let (answer, waits) = tokio::sync::oneshot::channel();
        let job = Job::Console(ConsoleJob::Code { another, answer });
        self.worker.jobs.blocking_send(job).map_err(|_| Wrong::Closed)?;
        waits.blocking_recv().unwrap_or(Err(Wrong::Closed))
    }

    /// Whether the hub's thread still lives.
    pub fn alive(&self) -> bool {
        !self.worker.jobs.is_closed()
    }

    /// Runs something beside the hub, on its own threads.
    pub const fn runtime(&self) -> &Runtime {
        &self.runtime
    }

    /// Reads the certificate and key again. Connections that are open keep the old ones.
    pub fn reload_tls(&self) -> Result<bool, StartWrong> {
        let Some((config, files)) = &self.tls else { return Ok(false) };
        let reload = config.reload_from_pem_file(&files.certificate, &files.key);
        self.runtime.block_on(reload).map_err(|wrong| tls_wrong(files, wrong))?;
        Ok(true)
    }

    /// Stops gracefully: no new connections, requests under way are finished, the stores are closed.
    pub fn stop(self) {
        // Whoever hears the bell would keep its connection open for ever.
        drop(self.worker.jobs.blocking_send(Job::Quiet));
        self.listening.graceful_shutdown(Some(self.stop_wait));
        let served = self.runtime.block_on(self.served);
        if let Ok(Err(wrong)) = served {
            tracing::error!(%wrong, "serving ended");
        }
        for task in &self.tasks {
            task.abort();
        }
        self.runtime.shutdown_timeout(TASKS_WAIT);
        self.worker.stop();
        if let Err(wrong) = std::fs::remove_file(&self.socket) {
            tracing::debug!(%wrong, "the console's socket was gone");
        }
    }
}

fn app(settings: &Settings, folder: &Folder, worker: &worker::Handle, clock: &Clock) -> App {
    let sizes = Sizes {
        log_file: Some(folder.log_file()),
        view_file: Some(folder.view_file()),
        ..Sizes::default()
    };
    let rules = Rules {
        quota: settings.quota,
        limits: settings.limits,
        waits: settings.waits,
        metrics: settings.metrics,
        behind_proxy: settings.behind_proxy,
        tls: settings.tls.is_some(),
    };
    let window = Arc::clone(&worker.window);
    App::new(worker.jobs.clone(), window, Arc::new(sizes), rules, Arc::clone(clock))
}

/// The future that serves until it is told to stop.
fn serve(
    settings: &Settings,
    listener: TcpListener,
    tls: Option<&RustlsConfig>,
    listening: &Listening<SocketAddr>,
    routes: axum::Router,
) -> std::io::Result<impl Future<Output = std::io::Result<()>> + Send + 'static> {
    let service = routes.into_make_service_with_connect_info::<SocketAddr>();
    let mut server = axum_server::from_tcp(listener)?.handle(listening.clone());
    let http = server.http_builder();
    http.http1().header_read_timeout(settings.waits.idle).max_buf_size(HEAD_BYTES_MAX);
    http.http2()
        .max_concurrent_streams(STREAMS_MAX)
        .max_header_list_size(u32::try_from(HEAD_BYTES_MAX).unwrap_or(u32::MAX))
        .keep_alive_interval(PING)
        .keep_alive_timeout(settings.waits.header);
    let server = server.first_request_timeout(settings.waits.header).accept_error_handler(
        |_: Option<&SocketAddr>, wrong: &std::io::Error| {
            tracing::debug!(%wrong, "a connection was not accepted");
        },
    );
    let most = settings.limits.connections;
    let control = listening.control();
    let secure = tls.map(|config| {
        RustlsAcceptor::new(config.clone())
            .handshake_timeout(settings.waits.header)
            .acceptor(NoDelayAcceptor::new())
    });
    Ok(async move {
        match secure {
            Some(secure) => {
                server.acceptor(Limited::new(secure, control, most)).serve(service).await
            }
            None => {
                let plain = NoDelayAcceptor::new();
                server.acceptor(Limited::new(plain, control, most)).serve(service).await
            }
        }
    })
}

async fn read_tls(files: &Tls) -> Result<RustlsConfig, StartWrong> {
    let config = RustlsConfig::from_pem_file(&files.certificate, &files.key).await;
    config.map_err(|wrong| tls_wrong(files, wrong))
}

fn tls_wrong(files: &Tls, wrong: std::io::Error) -> StartWrong {
    StartWrong::Tls { certificate: files.certificate.clone(), key: files.key.clone(), wrong }
}

async fn ticks(jobs: tokio::sync::mpsc::Sender<Job>) {
    let mut ticks = tokio::time::interval(TICK);
    loop {
        ticks.tick().await;
        if jobs.send(Job::Tick).await.is_err() {
            return;
        }
    }
}
