//! The review pages on HTTP: cookies, forms and headers here; what a page shows is laid out by
//! [`crate::review`], and how it looks by [`crate::pages`].

mod api;
mod building;
mod deed;
mod doors;
mod files;
mod form;
mod hear;
mod look;
pub(super) mod passkey;
mod pattern;
mod people;
mod report;
pub(super) mod session;
mod share;
mod unit;
mod wrong;

use axum::Router;
use axum::extract::State;
use axum::http::{HeaderName, HeaderValue, header};
use axum::middleware::{Next, from_fn};
use axum::response::{Html, IntoResponse, Redirect, Response};
use axum::routing::{get, post};
use maud::Markup;
use tokio::sync::oneshot;

use super::Shared;
use super::refusal::Refusal;
use crate::hub::Hub;
use crate::worker::{Job, Task, Wrong};

use session::Signed;
use wrong::PageWrong;

/// What a page may do: its own styles, fonts and one script, forms to its own hub, nothing else.
const POLICY: &str = "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self'; \
     font-src 'self'; connect-src 'self'; form-action 'self'; base-uri 'none'; frame-ancestors 'none'; \
     require-trusted-types-for 'script'; trusted-types 'none'";

/// An answer of a page, or why there is none.
type Answer = Result<Response, PageWrong>;

/// All pages.
pub(super) fn router() -> Router<Shared> {
    let visit = "/review/sites/{site}/visits/{visit}";
    let at = |rest: &str| format!("{visit}{rest}");
    Router::new()
        .route("/", get(async || Redirect::to("/review")))
        .route("/review", get(look::home))
        .route("/review/sign-in", get(doors::sign_in_page).post(doors::sign_in))
        .route("/review/join", get(doors::join_page).post(doors::join))
        .route("/review/sign-in/passkey/begin", post(passkey::begin_signing))
        .route("/review/sign-in/passkey", post(passkey::sign_in))
        .route("/review/sign-out", post(doors::sign_out))
        .route("/review/me", get(passkey::me))
        .route("/review/me/passkey/begin", post(passkey::begin_adding))
        .route("/review/me/passkey", post(passkey::add))
        .route("/review/me/passkey/remove", post(passkey::remove))
        .route("/review/look", post(doors::look))
        .route("/review/files/{*name}", get(files::file))
        .route("/review/bell", get(hear::bell))
        .route("/review/visits", get(look::visits))
        .route("/review/sites", get(look::sites))
        .route("/review/sites/new", post(building::begin))
        .route("/review/sites/{site}", get(look::site))
        .route("/review/sites/{site}/set", post(building::set_site))
        .route("/review/sites/{site}/area", post(building::area))
        .route("/review/sites/{site}/import", get(building::import_page).post(building::import))
        .route("/review/sites/{site}/labels", get(building::labels))
        .route("/review/sites/{site}/units/{unit}/set", post(building::set_unit))
        .route("/review/sites/{site}/building", get(pattern::building))
        .route("/review/sites/{site}/units/{unit}", get(unit::unit))
        .route("/review/sites/{site}/units/{unit}/answer", post(unit::answer))
        .route("/review/questions", get(unit::questions))
        .route(visit, get(look::visit))
        .route(&at("/photo/{unit}/{hash}"), get(look::photo))
        .route(&at("/settle"), get(look::settle).post(deed::settle))
        .route(&at("/sign"), post(deed::sign))
        .route(&at("/except"), post(deed::except))
        .route(&at("/reopen"), post(deed::reopen))
        .route(&at("/query"), post(deed::query))
        .route(&at("/vouch"), post(deed::vouch))
        .route(&at("/share"), post(share::share))
        .route(&at("/unshare"), post(share::unshare))
        .route(&at("/export/{what}"), get(report::export))
        .route("/review/sites/{site}/report/{kind}", get(report::report))
        .route("/review/firm", post(report::firm))
        .route("/shared/{token}", get(share::shared))
        .route("/review/people", get(people::people))
        .route("/review/people/code", post(people::code))
        .route("/review/people/revoke", post(people::revoke))
        .route("/review/quarantine", get(people::quarantine))
        .route("/review/quarantine/word", post(people::word))
        .route("/review/audit", get(people::audit))
        .route("/review/search", get(look::search))
        .merge(api())
        .layer(from_fn(framed))
}

/// The same for programs.
fn api() -> Router<Shared> {
    Router::new()
        .route("/api/1/openapi.json", get(api::openapi))
        .route("/api/1/home", get(api::home))
        .route("/api/1/sites", get(api::sites))
        .route("/api/1/sites/{site}", get(api::site))
        .route("/api/1/sites/{site}/building", get(api::building))
        .route("/api/1/sites/{site}/units/{unit}", get(api::unit))
        .route("/api/1/sites/{site}/visits/{visit}", get(api::visit))
        .route("/api/1/questions", get(api::questions))
        .route("/api/1/people", get(api::people))
        .route("/api/1/search", get(api::search))
}

/// Headers of a page. With `no-referrer` a browser would not say where a form comes from.
async fn framed(request: axum::extract::Request, next: Next) -> Response {
    let mut response = next.run(request).await;
    let headers = response.headers_mut();
    headers.insert(header::CONTENT_SECURITY_POLICY, HeaderValue::from_static(POLICY));
    headers.insert(header::REFERRER_POLICY, HeaderValue::from_static("same-origin"));
    headers.insert(
        HeaderName::from_static("permissions-policy"),
        HeaderValue::from_static("camera=(), microphone=(), geolocation=(), payment=(), usb=()"),
    );
    response
}

/// Runs something on the hub's thread.
async fn on_hub<T: Send + 'static>(
    app: &Shared,
    run: impl FnOnce(&mut Hub, i64) -> Result<T, Wrong> + Send + 'static,
) -> Result<T, PageWrong> {
    let (answer, waits) = oneshot::channel();
    app.send(Job::Page { task: Task::new(run), answer })?;
    let made = waits.await.map_err(|_| Refusal::Stopping)?;
    let made = made.map_err(Refusal::Worker)?;
    Ok(*made.downcast::<T>().map_err(|_| Refusal::Panicked)?)
}

/// A page as an answer.
fn shown(page: Markup) -> Response {
    Html(page.into_string()).into_response()
}

/// The state and who is signed in, as every page takes them.
type In = (State<Shared>, Signed);
