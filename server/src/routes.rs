//! The hub on HTTP: bodies in, jobs to the worker, answers out. Every failure has one status and one
//! plain sentence.
//!
//! Bodies are read in one place only, `body`, which bounds their size and time: no route takes one from
//! an extractor.

mod bell;
mod body;
mod enrol;
mod health;
mod metrics;
mod pages;
pub mod refusal;
mod sender;
mod signed;

use std::net::SocketAddr;
use std::sync::{Arc, Mutex, PoisonError};
use std::time::Instant;

use axum::Router;
use axum::extract::{ConnectInfo, Request, State};
use axum::http::{HeaderName, HeaderValue, Method, StatusCode, header};
use axum::middleware::{Next, from_fn_with_state};
use axum::response::{IntoResponse, Response};
use axum::routing::{get, post};
use tokio::sync::mpsc::Sender;
use tokio::sync::mpsc::error::TrySendError;
use tower_http::catch_panic::CatchPanicLayer;
use tower_http::set_header::SetResponseHeaderLayer;

use crate::config::{Limits, MetricsFor, Waits};
use crate::metrics::{Metrics, Sizes};
use crate::quota::{Quota, Used};
use crate::worker::{Clock, Job, Window};

use pages::passkey::Asked;
use pages::session::Sessions;
use refusal::Refusal;
use sender::InFlight;

/// Most bytes of any request body.
const BODY_MAX: usize = client_core::exchange::frame::REQUEST_BYTES_MAX;

/// What every route needs.
#[derive(Debug)]
pub struct App {
    jobs: Sender<Job>,
    window: Window,
    metrics: Metrics,
    sizes: Arc<Sizes>,
    strangers: Mutex<Used<String>>,
    in_flight: InFlight,
    sessions: Mutex<Sessions>,
    asked: Mutex<Asked>,
    rules: Rules,
    clock: ClockOf,
}

/// What every route obeys.
#[derive(Clone, Copy, Debug)]
pub struct Rules {
    /// What one address of strangers may ask.
    pub quota: Quota,
    /// What all may ask together.
    pub limits: Limits,
    /// How long the hub waits for something.
    pub waits: Waits,
    /// Who may read the metrics.
    pub metrics: MetricsFor,
    /// A proxy stands before the hub.
    pub behind_proxy: bool,
    /// Answers go over TLS.
    pub tls: bool,
}

#[derive(Clone)]
struct ClockOf(Clock);

impl std::fmt::Debug for ClockOf {
    fn fmt(&self, out: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        out.write_str("clock")
    }
}

/// Shared by all routes.
pub type Shared = Arc<App>;

impl App {
    /// Routes to a worker.
    pub fn new(
        jobs: Sender<Job>,
        window: Window,
        sizes: Arc<Sizes>,
        rules: Rules,
        clock: Clock,
    ) -> App {
        App {
            metrics: Metrics::new(Arc::clone(&window), Arc::clone(&sizes)),
            jobs,
            window,
            sizes,
            strangers: Mutex::new(Used::new(rules.quota)),
            in_flight: InFlight::new(
                rules.limits.requests_at_once,
                rules.limits.requests_at_once_per_address,
            ),
            sessions: Mutex::default(),
            asked: Mutex::default(),
            rules,
            clock: ClockOf(clock),
        }
    }

    fn strangers(&self) -> std::sync::MutexGuard<'_, Used<String>> {
        self.strangers.lock().unwrap_or_else(PoisonError::into_inner)
    }

    fn sessions(&self) -> std::sync::MutexGuard<'_, Sessions> {
        self.sessions.lock().unwrap_or_else(PoisonError::into_inner)
    }

    fn asked(&self) -> std::sync::MutexGuard<'_, Asked> {
        self.asked.lock().unwrap_or_else(PoisonError::into_inner)
    }

    fn now(&self) -> i64 {
        (self.clock.0)()
    }

    /// Hands a job to the worker, unless too many wait.
    fn send(&self, job: Job) -> Result<(), Refusal> {
        self.jobs.try_send(job).map_err(|full| match full {
            TrySendError::Full(_) => Refusal::Busy,
            TrySendError::Closed(_) => Refusal::Stopping,
        })
    }

    /// Requests that wait for the worker.
    fn waiting(&self) -> usize {
        self.jobs.max_capacity().saturating_sub(self.jobs.capacity())
    }
}

/// All routes. `shell` hands out the phone's files; without them it is empty.
pub fn router(app: Shared, shell: Router) -> Router {
    let tls = app.rules.tls;
    let router = Router::new()
        .route("/exchange/{version}", post(signed::exchange).fallback(only_post))
        .route("/office/{version}", post(signed::office).fallback(only_post))
        .route("/photo/{version}", post(signed::photo).fallback(only_post))
        .route("/enrol/{version}", post(enrol::enrol).fallback(only_post))
        .route("/bell/{version}", post(bell::bell).fallback(only_post))
        .route("/healthz", get(health::healthz).fallback(only_get))
        .route("/readyz", get(health::readyz).fallback(only_get))
        .route("/metrics", get(metrics::metrics).fallback(only_get))
        .merge(pages::router())
        .merge(shell.with_state(()))
        .fallback(async || Refusal::NothingHere)
        .layer(from_fn_with_state(Arc::clone(&app), measured))
        .layer(CatchPanicLayer::custom(|_: Box<dyn std::any::Any + Send>| {
            tracing::error!("a route panicked");
            Refusal::Panicked.into_response()
        }))
        .with_state(app);
    protected(router, tls)
}

/// Headers that keep a browser from doing anything with an answer but showing it.
fn protected(router: Router, tls: bool) -> Router {
    let mut headers = vec![
        (header::X_CONTENT_TYPE_OPTIONS, "nosniff"),
        (header::REFERRER_POLICY, "no-referrer"),
        (header::CACHE_CONTROL, "no-store"),
        (
            header::CONTENT_SECURITY_POLICY,
            "default-src 'none'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'",
        ),
        (header::X_FRAME_OPTIONS, "DENY"),
        (HeaderName::from_static("cross-origin-opener-policy"), "same-origin"),
        (HeaderName::from_static("cross-origin-resource-policy"), "same-origin"),
    ];
    if tls {
        headers.push((header::STRICT_TRANSPORT_SECURITY, "max-age=31536000"));
    }
    headers.into_iter().fold(router, |router, (name, value)| {
        router.layer(SetResponseHeaderLayer::if_not_present(name, HeaderValue::from_static(value)))
    })
}

/// Counts and times every answer.
async fn measured(State(app): State<Shared>, request: Request, next: Next) -> Response {
    let began = Instant::now();
    let route = match request.uri().path().split('/').nth(1) {
        Some("exchange") => "exchange",
        Some("office") => "office",
        Some("photo") => "photo",
        Some("enrol") => "enrol",
        Some("bell") => "bell",
        Some("review" | "shared" | "") => "review",
        Some("healthz" | "readyz" | "metrics") => "health",
        Some("phone" | "join") => "phone",
        _ => "other",
    };
    let method = request.method().clone();
    let response = next.run(request).await;
    let seconds = began.elapsed().as_secs_f64();
    let status = response.status().as_u16();
    app.metrics.answered(route, status, seconds);
    let ms = began.elapsed().as_millis();
    if response.status().is_server_error() {
        tracing::warn!(route, %method, status, ms, "answered");
    } else {
        tracing::debug!(route, %method, status, ms, "answered");
    }
    response
}

async fn only_post(method: Method) -> Refusal {
    Refusal::Method { found: method, allowed: "POST" }
}

async fn only_get(method: Method) -> Refusal {
    Refusal::Method { found: method, allowed: "GET" }
}

/// Whether this hub speaks the version that a path names.
fn speaks(what: &'static str, version: &str) -> Result<(), Refusal> {
    match version {
        "1" => Ok(()),
        _ => Err(Refusal::Version { what }),
    }
}

/// The address that a connection comes from. Tests without sockets bring none.
type Peer = Option<axum::extract::Extension<ConnectInfo<SocketAddr>>>;

/// A frame as an answer.
fn octets(bytes: Vec<u8>) -> Response {
    let kind = HeaderValue::from_static("application/octet-stream");
    (StatusCode::OK, [(header::CONTENT_TYPE, kind)], bytes).into_response()
}
