//! Reading a request's body within its limits, and handing it to the worker.

use axum::body::Body;
use axum::http::{HeaderMap, header};
use tokio::sync::oneshot;
use tokio_stream::StreamExt;

use super::refusal::Refusal;
use super::sender::{Slot, address, counted};
use super::{App, Peer};
use crate::worker::{Job, Wrong};

/// How long an answer may take before whoever asked is told to come back.
const ANSWER_WAIT: std::time::Duration = std::time::Duration::from_secs(120);

/// A request that was let in and read.
pub(super) struct Read {
    /// Its body.
    pub(super) body: Vec<u8>,
    /// Its sender, as it is counted.
    pub(super) sender: String,
    /// Its place among the requests under way.
    pub(super) slot: Slot,
}

/// What a form is sent as.
pub(super) const FORM: &str = "application/x-www-form-urlencoded";
/// What a frame is sent as.
const FRAME: &str = "application/octet-stream";

/// Lets a request in and reads its body, a frame.
pub(super) async fn read(
    app: &App,
    peer: &Peer,
    headers: &HeaderMap,
    body: Body,
    most: usize,
) -> Result<Read, Refusal> {
    read_kind(app, peer, headers, body, (most, FRAME)).await
}

/// Lets a request in and reads its body, a form.
pub(super) async fn read_form(
    app: &App,
    peer: &Peer,
    headers: &HeaderMap,
    body: Body,
    most: usize,
) -> Result<Read, Refusal> {
    read_kind(app, peer, headers, body, (most, FORM)).await
}

async fn read_kind(
    app: &App,
    peer: &Peer,
    headers: &HeaderMap,
    body: Body,
    (most, kind): (usize, &'static str),
) -> Result<Read, Refusal> {
    let sender = address(app, peer, headers).map_or_else(|| "nowhere".to_owned(), counted);
    let now_ms = app.now().saturating_mul(1_000);
    let share = app.strangers().may(now_ms, &sender);
    share.map_err(|wait_s| Refusal::Quota { wait_s })?;
    let slot = app.in_flight.enter(&sender).inspect_err(|_| {
        app.metrics.shed.inc();
    })?;
    let outcome = bounded(app, headers, body, most, kind).await;
    let body = outcome.inspect_err(|wrong| app.count_strange(&sender, wrong, 0))?;
    Ok(Read { body, sender, slot })
}

/// Reads a body of one kind within its size and time.
pub(super) async fn bounded(
    app: &App,
    headers: &HeaderMap,
    body: Body,
    most: usize,
    kind: &'static str,
) -> Result<Vec<u8>, Refusal> {
    plain(headers, most, kind)?;
    let wait = app.rules.waits.body;
    let read = tokio::time::timeout(wait, gather(body, most)).await;
    let body = read.map_err(|_| Refusal::Slow { seconds: wait.as_secs() })??;
    app.metrics.bytes_in.inc_by(u64::try_from(body.len()).unwrap_or_default());
    Ok(body)
}

/// Whether the head announces a body as it is taken.
fn plain(headers: &HeaderMap, most: usize, taken: &'static str) -> Result<(), Refusal> {
    let shown = |value: &axum::http::HeaderValue| {
        String::from_utf8_lossy(value.as_bytes()).chars().take(60).collect::<String>()
    };
    if let Some(encoding) = headers.get(header::CONTENT_ENCODING)
        && encoding.as_bytes() != b"identity"
    {
        return Err(Refusal::Encoded(shown(encoding)));
    }
    if let Some(kind) = headers.get(header::CONTENT_TYPE)
        && kind.as_bytes().split(|byte| *byte == b';').next() != Some(taken.as_bytes())
    {
        return Err(Refusal::Kind { found: shown(kind), taken });
    }
    let length = headers.get(header::CONTENT_LENGTH).and_then(|length| length.to_str().ok());
    let length: Option<usize> = length.and_then(|length| length.parse().ok());
    if length.is_some_and(|length| length > most) {
        return Err(Refusal::Large { most });
    }
    Ok(())
}

async fn gather(body: Body, most: usize) -> Result<Vec<u8>, Refusal> {
    let mut bytes = vec![];
    let mut stream = body.into_data_stream();
    while let Some(chunk) = stream.next().await {
        let chunk = chunk.map_err(|_| Refusal::Broken)?;
        if bytes.len() + chunk.len() > most {
            return Err(Refusal::Large { most });
        }
        bytes.extend_from_slice(&chunk);
    }
    Ok(bytes)
}

impl App {
    /// Counts what strangers send against their address.
    pub(super) fn count_strange(&self, sender: &str, wrong: &Refusal, bytes: usize) {
        if wrong.strange() {
            let now_ms = self.now().saturating_mul(1_000);
            self.strangers().count(now_ms, &sender.to_owned(), bytes);
        }
    }

    /// Hands a read request to the worker and waits for its answer.
    pub(super) async fn ask<T>(
        &self,
        read: Read,
        job: impl FnOnce(Vec<u8>, oneshot::Sender<Result<T, Wrong>>) -> Job,
    ) -> Result<T, Refusal> {
        let (answer, waits) = oneshot::channel();
        let Read { body, sender, slot } = read;
        let bytes = body.len();
        if let Err(busy) = self.send(job(body, answer)) {
            self.metrics.shed.inc();
            return Err(busy);
        }
        let outcome = match tokio::time::timeout(ANSWER_WAIT, waits).await {
            Ok(Ok(outcome)) => outcome.map_err(Refusal::Worker),
            Ok(Err(_)) => Err(Refusal::Stopping),
            Err(_) => Err(Refusal::Busy),
        };
        drop(slot);
        outcome.inspect_err(|wrong| {
            self.count_strange(&sender, wrong, bytes);
            if wrong.status().is_server_error() {
                tracing::warn!(wrong = %crate::in_full(wrong), "not answered");
            }
        })
    }
}
