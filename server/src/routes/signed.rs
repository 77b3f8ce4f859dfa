//! Exchanges, pictures and orders of the office: signed by an enrolled device.

use axum::body::Body;
use axum::extract::{Path, State};
use axum::http::HeaderMap;
use axum::response::Response;
use tokio::sync::oneshot::Sender;

use super::refusal::Refusal;
use super::{App, BODY_MAX, Peer, Shared, body, octets, speaks};
use crate::worker::{Answer, Job};

/// Most bytes of an order.
const ORDER_MAX: usize = 32 * 1024;
/// Most bytes of a request about a picture: what it asks, and the envelope around it.
const PHOTO_MAX: usize = client_core::exchange::photo::ASK_BYTES_MAX + 128;

/// `POST /exchange/1`
pub(super) async fn exchange(
    State(app): State<Shared>,
    Path(version): Path<String>,
    peer: Peer,
    headers: HeaderMap,
    body: Body,
) -> Result<Response, Refusal> {
    speaks("exchange", &version)?;
    let job = |body, answer| Job::Exchange { body, answer };
    answered(&app, &peer, &headers, (body, BODY_MAX), job).await
}

/// `POST /photo/1`
pub(super) async fn photo(
    State(app): State<Shared>,
    Path(version): Path<String>,
    peer: Peer,
    headers: HeaderMap,
    body: Body,
) -> Result<Response, Refusal> {
    speaks("photo", &version)?;
    let job = |body, answer| Job::Photo { body, answer };
    answered(&app, &peer, &headers, (body, PHOTO_MAX), job).await
}

/// `POST /office/1`
pub(super) async fn office(
    State(app): State<Shared>,
    Path(version): Path<String>,
    peer: Peer,
    headers: HeaderMap,
    body: Body,
) -> Result<Response, Refusal> {
    speaks("office", &version)?;
    let job = |body, answer| Job::Office { body, answer };
    answered(&app, &peer, &headers, (body, ORDER_MAX), job).await
}

/// Reads a body within its limit and lets the worker answer it.
async fn answered(
    app: &App,
    peer: &Peer,
    headers: &HeaderMap,
    (body, most): (Body, usize),
    job: impl FnOnce(Vec<u8>, Sender<Answer>) -> Job,
) -> Result<Response, Refusal> {
    let read = body::read(app, peer, headers, body, most).await?;
    let answer = app.ask(read, job).await?;
    app.metrics.bytes_out.inc_by(u64::try_from(answer.len()).unwrap_or_default());
    Ok(octets(answer))
}
