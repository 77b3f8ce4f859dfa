//! Whether the hub lives, and whether it is ready to answer.

use std::sync::PoisonError;

use axum::extract::State;

use super::Shared;
use super::refusal::Refusal;

/// `GET /healthz`: the program answers.
pub(super) async fn healthz() -> &'static str {
    "alive\n"
}

/// `GET /readyz`: its stores are open and its thread takes requests.
pub(super) async fn readyz(State(app): State<Shared>) -> Result<&'static str, Refusal> {
    if app.jobs.is_closed() {
        return Err(Refusal::Stopping);
    }
    let shown = *app.window.lock().unwrap_or_else(PoisonError::into_inner);
    if !shown.open {
        return Err(Refusal::NotReady("the stores are not open"));
    }
    if app.jobs.capacity() == 0 {
        return Err(Refusal::Busy);
    }
    Ok("ready\n")
}
