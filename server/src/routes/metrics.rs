//! What is counted and measured, for Prometheus.

use std::sync::atomic::Ordering;

use axum::extract::State;
use axum::http::{HeaderMap, HeaderValue, header};
use axum::response::{IntoResponse, Response};

use super::refusal::Refusal;
use super::sender::is_local;
use super::{Peer, Shared};
use crate::config::MetricsFor;

/// `GET /metrics`
pub(super) async fn metrics(
    State(app): State<Shared>,
    peer: Peer,
    headers: HeaderMap,
) -> Result<Response, Refusal> {
    match app.rules.metrics {
        MetricsFor::Off => return Err(Refusal::NothingHere),
        MetricsFor::Loopback if !is_local(&peer, &headers) => return Err(Refusal::NotForYou),
        MetricsFor::Loopback | MetricsFor::Anyone => {}
    }
    let waiting = i64::try_from(app.waiting()).unwrap_or(i64::MAX);
    app.sizes.queue.store(waiting, Ordering::Relaxed);
    let kind = "application/openmetrics-text; version=1.0.0; charset=utf-8";
    let kind = [(header::CONTENT_TYPE, HeaderValue::from_static(kind))];
    Ok((kind, app.metrics.text()).into_response())
}
