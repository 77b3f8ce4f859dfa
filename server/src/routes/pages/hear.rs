//! The bell for pages: which sites have news, while a page is open.

use std::convert::Infallible;

use axum::response::IntoResponse;
use axum::response::sse::{Event, KeepAlive, Sse};
use client_core::exchange::bell::RING;
use tokio::sync::oneshot;
use tokio_stream::StreamExt;
use tokio_stream::wrappers::ReceiverStream;

use super::{Answer, In};
use crate::hub::Hearer;
use crate::routes::refusal::Refusal;
use crate::worker::Job;

/// `GET /review/bell`
pub(super) async fn bell((axum::extract::State(app), signed): In) -> Answer {
    let hearer = Hearer { device: signed.acting.device };
    let (answer, waits) = oneshot::channel();
    app.send(Job::Hear { hearer, answer })?;
    let rings = waits.await.map_err(|_| Refusal::Stopping)?.map_err(Refusal::Worker)?;
    let rings = ReceiverStream::new(rings).map(|sites| {
        let sites: Vec<String> = sites.iter().map(ToString::to_string).collect();
        Ok::<Event, Infallible>(Event::default().event(RING).data(sites.join(" ")))
    });
    let quiet = KeepAlive::new().interval(app.rules.waits.bell_quiet).text("here");
    Ok(Sse::new(rings).keep_alive(quiet).into_response())
}
