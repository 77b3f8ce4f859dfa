//! Joining: what a stranger may ask.

use axum::body::Body;
use axum::extract::{Path, State};
use axum::http::HeaderMap;
use axum::response::Response;
use client_core::exchange::enrol::REQUEST_BYTES_MAX;

use super::refusal::Refusal;
use super::{Peer, Shared, body, octets, speaks};
use crate::worker::Job;

/// `POST /enrol/1`
pub(super) async fn enrol(
    State(app): State<Shared>,
    Path(version): Path<String>,
    peer: Peer,
    headers: HeaderMap,
    body: Body,
) -> Result<Response, Refusal> {
    speaks("enrol", &version)?;
    let read = body::read(&app, &peer, &headers, body, REQUEST_BYTES_MAX).await?;
    let from = read.sender.clone();
    let answer = app.ask(read, |body, answer| Job::Enrol { from, body, answer }).await?;
    Ok(octets(answer))
}
