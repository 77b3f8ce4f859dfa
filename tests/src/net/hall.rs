//! The routes of a hub without sockets, on stores in memory.

use std::net::SocketAddr;
use std::sync::atomic::{AtomicI64, Ordering};
use std::sync::{Arc, Mutex};

use axum::Router;
use axum::body::{Body, to_bytes};
use axum::extract::ConnectInfo;
use axum::http::{HeaderMap, Method, Request};
use client_core::record::id::LogId;
use client_core::store::MemoryBytes;
use client_core::store::pictures::Pictures;
use server::access::Access;
use server::config::Settings;
use server::folder::Opened;
use server::hub::Hub;
use server::identity::HubIdentity;
use server::log::HubLog;
use server::log::redb::RedbLog;
use server::metrics::Sizes;
use server::routes::{App, Rules, router};
use server::view::View;
use server::worker;
use tower::ServiceExt;

use crate::net::TempFolder;
use crate::world::Seeded;
use crate::world::hub::{MANNER, store_on};

/// Puts something before the hub's log.
pub type Before = Arc<dyn Fn(Box<dyn HubLog>) -> Box<dyn HubLog> + Send + Sync>;

/// An answer.
#[derive(Debug)]
pub struct Answer {
    /// Status.
    pub status: u16,
    /// Headers.
    pub headers: HeaderMap,
    /// Body.
    pub body: Vec<u8>,
}

impl Answer {
    /// The body as text.
    pub fn text(&self) -> String {
        String::from_utf8(self.body.clone()).unwrap()
    }
}

/// The routes of a hub, with the thread behind them.
pub struct Hall {
    /// All routes.
    pub router: Router,
    /// The hub's clock.
    pub clock: Arc<AtomicI64>,
    /// The hub's log.
    pub log: MemoryBytes,
    /// The pictures that have come.
    pub pictures: Pictures,
    _folder: TempFolder,
    worker: Option<worker::Handle>,
    random: Arc<Mutex<Seeded>>,
    runtime: tokio::runtime::Runtime,
}

impl std::fmt::Debug for Hall {
    fn fmt(&self, out: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        out.write_str("Hall")
    }
}

impl Hall {
    /// A hall by settings of its own. `before` is put before the log each time that the hub is opened.
    pub fn new(seed: u64, now: i64, settings: &Settings, before: Option<Before>) -> Hall {
        let (log, view) = (MemoryBytes::default(), MemoryBytes::default());
        let random = Arc::new(Mutex::new(Seeded::new(seed)));
        let clock = Arc::new(AtomicI64::new(now));
        let folder = TempFolder::new("hall");
        let pictures = Pictures::new(folder.join("photos"));
        let opener = {
            let (log, random) = (log.clone(), Arc::clone(&random));
            move |discard_view: bool| {
                let view = if discard_view { MemoryBytes::default() } else { view.clone() };
                Ok(open(&log, &view, &random, before.as_ref()))
            }
        };
        let mut opener: worker::Opener = Box::new(opener);
        let opened = opener(false).unwrap();
        let (quota, kept) = (settings.quota, pictures.clone());
        let tell: worker::Clock = {
            let clock = Arc::clone(&clock);
            Arc::new(move || clock.load(Ordering::Relaxed))
        };
        let worker = worker::start(
            opened,
            opener,
            Box::new(move |hub: &mut Hub| {
                hub.limit(quota);
                hub.keep_photos(kept.clone());
            }),
            Arc::clone(&tell),
            (settings.limits.queue, settings.limits.bells),
        )
        .unwrap();
        let rules = Rules {
            quota,
            limits: settings.limits,
            waits: settings.waits,
            metrics: settings.metrics,
            behind_proxy: settings.behind_proxy,
            tls: settings.tls.is_some(),
        };
        let window = Arc::clone(&worker.window);
        let app = App::new(worker.jobs.clone(), window, Arc::new(Sizes::default()), rules, tell);
        let router = router(Arc::new(app), Router::new());
        let runtime = tokio::runtime::Builder::new_current_thread().enable_all().build().unwrap();
        let worker = Some(worker);
        Hall { router, clock, log, pictures, _folder: folder, worker, random, runtime }
    }

    /// Asks from an address.
    pub fn ask(
        &self,
        from: &str,
        method: &Method,
        path: &str,
        headers: &[(&str, &str)],
        body: impl Into<Body>,
    ) -> Answer {
        self.runtime.block_on(ask(self.router.clone(), from, method, path, headers, body))
    }

    /// Posts bytes from an address.
    pub fn post(&self, from: &str, path: &str, body: &[u8]) -> Answer {
        self.ask(from, &Method::POST, path, &[], body.to_vec())
    }

    /// Runs something beside.
    pub fn block_on<T>(&self, future: impl Future<Output = T>) -> T {
        self.runtime.block_on(future)
    }

    /// A supervisor's code, as the console gives it.
    pub fn code(&self, another: bool) -> (String, String) {
        let (answer, waits) = tokio::sync::oneshot::channel();
        let job = worker::Job::Console(worker::ConsoleJob::Code { another, answer });
        self.worker.as_ref().unwrap().jobs.blocking_send(job).unwrap();
        match waits.blocking_recv().unwrap().unwrap() {
            worker::NewCode::Code { code, token, .. } => (code, token),
            worker::NewCode::NotNeeded => panic!("there is a supervisor"),
        }
    }

    /// What the hub shows of itself.
    pub fn shown(&self) -> worker::Shown {
        *self.worker.as_ref().unwrap().window.lock().unwrap()
    }

    /// A fork of the hall's random numbers.
    pub fn random(&self) -> Seeded {
        self.random.lock().unwrap().fork()
    }

    /// Stops the hub and opens its log to look at it.
    pub fn stopped(mut self) -> Opened {
        drop(std::mem::take(&mut self.router));
        self.worker.take().unwrap().stop();
        open(&self.log, &MemoryBytes::default(), &self.random, None)
    }
}

/// Asks a router from an address.
pub async fn ask(
    router: Router,
    from: &str,
    method: &Method,
    path: &str,
    headers: &[(&str, &str)],
    body: impl Into<Body>,
) -> Answer {
    let mut request = Request::builder().method(method).uri(path);
    for (name, value) in headers {
        request = request.header(*name, *value);
    }
    let mut request = request.body(body.into()).unwrap();
    let from: SocketAddr = format!("{from}:9").parse().unwrap();
    request.extensions_mut().insert(ConnectInfo(from));
    let response = router.oneshot(request).await.unwrap();
    let status = response.status().as_u16();
    let headers = response.headers().clone();
    let body = to_bytes(response.into_body(), usize::MAX).await.unwrap().to_vec();
    Answer { status, headers, body }
}

fn open(
    log: &MemoryBytes,
    view: &MemoryBytes,
    random: &Arc<Mutex<Seeded>>,
    before: Option<&Before>,
) -> Opened {
    let mut random = random.lock().unwrap();
    let store = Arc::new(store_on(log.clone(), MANNER).unwrap());
    let mut bytes = [0; 40];
    random.fill(&mut bytes);
    let identity = HubIdentity::open(&store, HubIdentity::new(&bytes)).unwrap();
    let mut id = [0; 8];
    random.fill(&mut id);
    let redb = RedbLog::open(Arc::clone(&store), identity.hub, LogId(id)).unwrap();
    let access = Access::open(Arc::clone(&store), &redb, identity.company()).unwrap();
    let view_store = Arc::new(store_on(view.clone(), MANNER).unwrap());
    let view = View::open(Arc::clone(&view_store)).unwrap();
    let log: Box<dyn HubLog> = Box::new(redb);
    let log = match before {
        Some(before) => before(log),
        None => log,
    };
    let hub = Hub::new(identity, log, access, view, random.fork().source());
    Opened { hub, store, view_store, first_start: false, view_made: None }
}
