//! Exchanges and orders of the office: signed by an enrolled device.

use axum::body::Body;
use axum::extract::{Path, State};
use axum::http::HeaderMap;
use axum::response::Response;

use super::refusal::Refusal;
use super::{BODY_MAX, Peer, Shared, body, octets, speaks};
use crate::worker::Job;

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
    let read = body::read(&app, &peer, &headers, body, BODY_MAX).await?;
    let answer = app.ask(read, |body, answer| Job::Exchange { body, answer }).await?;
    app.metrics.bytes_out.inc_by(u64::try_from(answer.len()).unwrap_or_default());
    Ok(octets(answer))
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
    let read = body::read(&app, &peer, &headers, body, PHOTO_MAX).await?;
    let answer = app.ask(read, |body, answer| Job::Photo { body, answer }).await?;
    app.metrics.bytes_out.inc_by(u64::try_from(answer.len()).unwrap_or_default());
    Ok(octets(answer))
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
    let read = body::read(&app, &peer, &headers, body, ORDER_MAX).await?;
    let answer = app.ask(read, |body, answer| Job::Office { body, answer }).await?;
    Ok(octets(answer))
}
