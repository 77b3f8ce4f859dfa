//! The bell: a signed request whose answer stays open and tells which sites have news.

use std::convert::Infallible;

use axum::body::Body;
use axum::extract::{Path, State};
use axum::http::HeaderMap;
use axum::response::sse::{Event, KeepAlive, Sse};
use axum::response::{IntoResponse, Response};
use client_core::exchange::bell::{HERE, REQUEST_BYTES_MAX, RING, data};
use tokio_stream::StreamExt;
use tokio_stream::wrappers::ReceiverStream;

use super::refusal::Refusal;
use super::{Peer, Shared, body, speaks};
use crate::worker::Job;

/// Bytes of a signed request around what it asks.
const ENVELOPE: usize = 128;

/// `POST /bell/1`
pub(super) async fn bell(
    State(app): State<Shared>,
    Path(version): Path<String>,
    peer: Peer,
    headers: HeaderMap,
    body: Body,
) -> Result<Response, Refusal> {
    speaks("bell", &version)?;
    let read = body::read(&app, &peer, &headers, body, REQUEST_BYTES_MAX + ENVELOPE).await?;
    let rings = app.ask(read, |body, answer| Job::Bell { body, answer }).await?;
    let here = tokio_stream::once(Event::default().event(HERE).data(""));
    let rings =
        ReceiverStream::new(rings).map(|sites| Event::default().event(RING).data(data(sites)));
    let events = here.chain(rings).map(Ok::<Event, Infallible>);
    let quiet = KeepAlive::new().interval(app.rules.waits.bell_quiet).text("here");
    Ok(Sse::new(events).keep_alive(quiet).into_response())
}
