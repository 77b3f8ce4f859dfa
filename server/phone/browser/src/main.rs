//! `cargo run -p browser -- FOLDER`: a hub in this process with the invented scenario in it and a visit
//! planned for today, and the phone's files out of FOLDER. It prints its address and a code for each
//! technician as one line of JSON. Tests of the phone in a real browser run against it.
#![expect(
    clippy::print_stdout,
    clippy::print_stderr,
    reason = "it is a program that tells what it does"
)]

mod scene;

use std::collections::BTreeMap;
use std::convert::Infallible;
use std::path::PathBuf;
use std::process::ExitCode;
use std::sync::{Arc, Mutex, PoisonError};
use std::time::{Duration, SystemTime};

use axum::Router;
use axum::body::Bytes;
use axum::extract::{Query, State};
use axum::http::StatusCode;
use axum::response::sse::{Event, KeepAlive, Sse};
use axum::response::{IntoResponse, Response};
use axum::routing::{get, post};
use client_core::exchange::bell;
use client_core::exchange::enrol::EnrolAsk;
use client_core::exchange::frame;
use server::hub::Hub;
use tokio::sync::broadcast;
use tokio_stream::wrappers::BroadcastStream;
use tokio_stream::{Stream, StreamExt};

use scene::{Scene, Technician};

/// What every route needs.
struct Served {
    hub: Mutex<Hub>,
    bell: broadcast::Sender<String>,
    people: BTreeMap<&'static str, Technician>,
}

type Shared = Arc<Served>;

fn now() -> i64 {
    let since = SystemTime::now().duration_since(SystemTime::UNIX_EPOCH);
    since.map_or(0, |since| i64::try_from(since.as_secs()).unwrap_or(0))
}

impl Served {
    fn hub(&self) -> std::sync::MutexGuard<'_, Hub> {
        self.hub.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

async fn exchange(State(served): State<Shared>, body: Bytes) -> Response {
    let mut hub = served.hub();
    let reply = hub.exchange(now(), &[&body]).pop();
    // The views follow at once here: a test does not wait for a worker.
    if let Err(wrong) = hub.fold() {
        return (StatusCode::INTERNAL_SERVER_ERROR, wrong.to_string()).into_response();
    }
    let rung = hub.rung();
    drop(hub);
    if !rung.is_empty() {
        // Nobody listening is no failure.
        drop(served.bell.send(bell::data(rung.into_keys())));
    }
    match reply {
        Some(Ok(bytes)) => bytes.into_response(),
        Some(Err(wrong)) => (StatusCode::FORBIDDEN, wrong.to_string()).into_response(),
        None => StatusCode::INTERNAL_SERVER_ERROR.into_response(),
    }
}

async fn enrol(State(served): State<Shared>, body: Bytes) -> Response {
    let ask: EnrolAsk = match frame::decode(&body, client_core::exchange::enrol::REQUEST_BYTES_MAX)
    {
        Ok(ask) => ask,
        Err(wrong) => return (StatusCode::BAD_REQUEST, wrong.to_string()).into_response(),
    };
    match served.hub().enrol(now(), "here", &ask) {
        Ok(reply) => frame::encode(&reply).into_response(),
        Err(wrong) => (StatusCode::FORBIDDEN, wrong.to_string()).into_response(),
    }
}

async fn hear(State(served): State<Shared>) -> Sse<impl Stream<Item = Result<Event, Infallible>>> {
    let rings = BroadcastStream::new(served.bell.subscribe());
    let rings =
        rings.filter_map(|ring| Some(Ok(Event::default().event(bell::RING).data(ring.ok()?))));
    let here = tokio_stream::once(Ok(Event::default().event(bell::HERE).data("")));
    Sse::new(here.chain(rings)).keep_alive(KeepAlive::new().interval(Duration::from_secs(20)))
}

/// A fresh code for a technician of the scene.
async fn code(
    State(served): State<Shared>,
    Query(asked): Query<BTreeMap<String, String>>,
) -> Response {
    let who = asked.get("who").map_or("Ilse", String::as_str);
    let Some(technician) = served.people.get(who) else {
        return StatusCode::NOT_FOUND.into_response();
    };
    match technician.code(&served.hub(), now()) {
        Ok(code) => code.into_response(),
        Err(wrong) => (StatusCode::INTERNAL_SERVER_ERROR, wrong.to_string()).into_response(),
    }
}

#[tokio::main]
async fn main() -> ExitCode {
    match serve().await {
        Ok(()) => ExitCode::SUCCESS,
        Err(wrong) => {
            eprintln!("{wrong}");
            ExitCode::FAILURE
        }
    }
}

async fn serve() -> Result<(), Box<dyn std::error::Error>> {
    let mut arguments = std::env::args().skip(1);
    let folder = arguments.next().map(PathBuf::from).ok_or("which folder holds the bundle?")?;
    let port: u16 = arguments.next().and_then(|port| port.parse().ok()).unwrap_or(0);
    let Scene { hub, people } = scene::play(now())?;
    let (bell, _) = broadcast::channel(64);
    let served: Shared = Arc::new(Served { hub: Mutex::new(hub), bell, people });
    let routes = Router::new()
        .route("/exchange/1", post(exchange))
        .route("/enrol/1", post(enrol))
        .route("/bell/1", post(hear))
        .route("/test/code", get(code))
        .with_state(served)
        .merge(server::shell::shell(&folder)?);
    let listener = tokio::net::TcpListener::bind(("127.0.0.1", port)).await?;
    let address = listener.local_addr()?;
    println!("{}", serde_json::json!({ "url": format!("http://{address}") }));
    axum::serve(listener, routes).await?;
    Ok(())
}
