//! Signing in and out, and coming with a one-time code.

use std::sync::{Arc, LazyLock};

use argon2::password_hash::{PasswordHasher, PasswordVerifier, phc::PasswordHash};
use argon2::{Algorithm, Argon2, Params, Version};
use axum::body::Body;
use axum::extract::{Query, State};
use axum::http::{HeaderMap, StatusCode, header};
use axum::response::{IntoResponse, Redirect, Response};
use std::collections::BTreeMap;
use tokio::sync::Semaphore;

use super::form::{self, Form, Posted};
use super::session::{COOKIE, LOOK_COOKIE, cookie, look as look_of, set_cookie};
use super::wrong::{PageWrong, of_code};
use super::{Answer, Shared, on_hub, shown};
use crate::access::account::Account;
use crate::hub::Joining;
use crate::pages::Chrome;
use crate::pages::sign_in::{self as page, PASSWORD_MAX, PASSWORD_MIN, Typed};
use crate::routes::Peer;
use crate::routes::refusal::Refusal;
use crate::worker::Wrong;

/// Passwords worked out at one time: each takes 19 MiB and some tens of milliseconds of one core.
static AT_ONCE: LazyLock<Arc<Semaphore>> = LazyLock::new(|| Arc::new(Semaphore::new(2)));

/// argon2id with 19 MiB and two passes: the least that the OWASP Password Storage Cheat Sheet names.
fn argon() -> Argon2<'static> {
    let params =
        Params::new(19 * 1_024, 2, 1, None).expect("the figures are within argon2's limits");
    Argon2::new(Algorithm::Argon2id, Version::V0x13, params)
}

/// What is compared when nobody has the name that was typed: the time tells nothing.
static NOBODY: LazyLock<String> = LazyLock::new(|| hashed("nobody has this password"));

fn hashed(password: &str) -> String {
    let mut salt = [0; 16];
    crate::serve::system_random(&mut salt);
    let hash = argon().hash_password_with_salt(password.as_bytes(), &salt);
    hash.expect("argon2 takes any password of this length").to_string()
}

fn fits(password: &str, secret: &str) -> bool {
    PasswordHash::new(secret)
        .is_ok_and(|known| argon().verify_password(password.as_bytes(), &known).is_ok())
}

/// Works something heavy out beside the network's threads, two at a time.
pub(super) async fn heavy<T: Send + 'static>(
    run: impl FnOnce() -> T + Send + 'static,
) -> Result<T, PageWrong> {
    let place = Arc::clone(&AT_ONCE).acquire_owned().await.map_err(|_| Refusal::Stopping)?;
    let done = tokio::task::spawn_blocking(move || {
        let done = run();
        drop(place);
        done
    });
    done.await.map_err(|_| PageWrong::Refusal(Refusal::Panicked))
}

pub(super) fn chrome(headers: &HeaderMap) -> Chrome {
    Chrome { look: look_of(headers), ..Chrome::default() }
}

pub(super) fn with_status(mut response: Response, status: StatusCode) -> Response {
    *response.status_mut() = status;
    response
}

/// Only paths of the pages themselves are gone to.
pub(super) fn way(to: &str) -> &str {
    let plain = !to.contains(['\\', '\r', '\n', '\t']) && !to.contains("//");
    if plain && (to == "/review" || to.starts_with("/review/")) { to } else { "/review" }
}

/// `GET /review/sign-in`
pub(super) async fn sign_in_page(
    headers: HeaderMap,
    Query(asked): Query<BTreeMap<String, String>>,
) -> Response {
    let to = asked.get("to").map_or("", String::as_str);
    shown(page::sign_in(&chrome(&headers), "", way(to), None))
}

/// What became of a name and a password.
pub(super) enum Proof {
    /// They belong together.
    Right(Account),
    /// They do not.
    Wrong,
    /// Too many wrong ones from this address or for this name.
    TooMany,
}

/// Tries a password for a name. What came of it is counted, and written down in these words: right, wrong.
pub(super) async fn prove(
    app: &Shared,
    name: &str,
    password: &str,
    from: &str,
    (right, wrong): (&'static str, &'static str),
) -> Result<Proof, PageWrong> {
    let asked = (name.to_owned(), from.to_owned());
    let found = on_hub(app, move |hub, now| {
        let (name, from) = asked;
        let may = hub.access_mut().may_sign_in(now, &from, &name);
        let account = hub.access().account(&name).map_err(|wrong| Wrong::Turn(wrong.into()))?;
        Ok((may, account))
    });
    let (may, account) = found.await?;
    if !may {
        return Ok(Proof::TooMany);
    }
    let secret = account.as_ref().map_or_else(|| NOBODY.clone(), |account| account.secret.clone());
    let password = password.to_owned();
    let fit = heavy(move || password.chars().count() <= PASSWORD_MAX && fits(&password, &secret));
    let fit = fit.await?;
    let account = account.filter(|_| fit);
    let noted = (name.to_owned(), from.to_owned(), account.as_ref().map(|account| account.person));
    on_hub(app, move |hub, now| {
        let (name, from, who) = noted;
        if who.is_none() {
            hub.access_mut().wrong_sign_in(now, &from, &name);
        }
        let what = if who.is_some() { right } else { wrong };
        hub.access().note(now, who, what, &from).map_err(|wrong| Wrong::Turn(wrong.into()))
    })
    .await?;
    Ok(account.map_or(Proof::Wrong, Proof::Right))
}

/// `POST /review/sign-in`
pub(super) async fn sign_in(
    State(app): State<Shared>,
    peer: Peer,
    headers: HeaderMap,
    body: Body,
) -> Answer {
    let (form, from) = form::open(&app, &peer, &headers, body).await?;
    let name = form.get("name").to_owned();
    let password: String = form.exact("password").to_owned();
    let again = |says: &str, status| {
        let to = way(form.get("to"));
        let shown = shown(page::sign_in(&chrome(&headers), &name, to, Some(says)));
        with_status(shown, status)
    };
    let said = ("signed in", "was refused to sign in");
    let account = match prove(&app, &name, &password, &from, said).await? {
        Proof::Right(account) => account,
        Proof::Wrong => {
            let says = "This name and password do not belong together.";
            return Ok(again(says, StatusCode::UNAUTHORIZED));
        }
        Proof::TooMany => {
            let says = "Too many wrong passwords. Wait ten minutes.";
            return Ok(again(says, StatusCode::TOO_MANY_REQUESTS));
        }
    };
    Ok(enter(&app, &headers, &account.sign_in, account.made, way(form.get("to"))))
}

/// Begins a session. An older one of the same browser ends: nobody keeps a token from before.
pub(super) fn enter(
    app: &Shared,
    headers: &HeaderMap,
    sign_in: &str,
    made: i64,
    to: &str,
) -> Response {
    let now = app.now();
    let mut sessions = app.sessions();
    if let Some(old) = cookie(headers, COOKIE) {
        sessions.end(old);
    }
    let token = sessions.begin(now, sign_in, made);
    drop(sessions);
    let cookie = set_cookie(COOKIE, &token, None);
    ([(header::SET_COOKIE, cookie)], Redirect::to(to)).into_response()
}

/// `GET /review/join`
pub(super) async fn join_page(headers: HeaderMap) -> Response {
    shown(page::join(&chrome(&headers), &Typed::default(), None))
}

/// `POST /review/join`
pub(super) async fn join(
    State(app): State<Shared>,
    peer: Peer,
    headers: HeaderMap,
    body: Body,
) -> Answer {
    let (form, from) = form::open(&app, &peer, &headers, body).await?;
    let typed = Typed {
        code: form.get("code").to_owned(),
        name: form.get("name").to_owned(),
        sign_in: form.get("sign_in").to_owned(),
    };
    let again = |says: &str, status| {
        with_status(shown(page::join(&chrome(&headers), &typed, Some(says))), status)
    };
    if let Some(says) = password_wrong(&form) {
        return Ok(again(&says, StatusCode::UNPROCESSABLE_ENTITY));
    }
    let password = form.exact("password").to_owned();
    let secret = heavy(move || hashed(&password)).await?;
    let joining = Joining {
        code: typed.code.clone(),
        name: Some(typed.name.clone()).filter(|name| !name.is_empty()),
        sign_in: typed.sign_in.clone(),
        secret,
    };
    let outcome = on_hub(&app, move |hub, now| match hub.join_pages(now, &from, &joining) {
        Ok(account) => Ok(Ok(account)),
        Err(wrong) => match of_code(&wrong) {
            Some(says) => Ok(Err((says, Refusal::Worker(Wrong::Code(wrong)).status()))),
            None => Err(Wrong::Code(wrong)),
        },
    });
    match outcome.await? {
        Ok(account) => Ok(enter(&app, &headers, &account.sign_in, account.made, "/review")),
        Err((says, status)) => Ok(again(&says, status)),
    }
}

fn password_wrong(form: &Form) -> Option<String> {
    let password = form.exact("password");
    let letters = password.chars().count();
    if !(PASSWORD_MIN..=PASSWORD_MAX).contains(&letters) {
        return Some(format!(
            "The password has {letters} characters; {PASSWORD_MIN} to {PASSWORD_MAX} are taken."
        ));
    }
    (form.exact("again") != password).then(|| "The two passwords differ.".to_owned())
}

/// `POST /review/sign-out`
pub(super) async fn sign_out(Posted { app, signed, .. }: Posted) -> Answer {
    app.sessions().end(&signed.token);
    let gone = set_cookie(COOKIE, "", Some(0));
    Ok(([(header::SET_COOKIE, gone)], Redirect::to("/review/sign-in")).into_response())
}

/// `POST /review/look`
pub(super) async fn look(Posted { headers, form, .. }: Posted) -> Answer {
    let chosen = match form.get("look") {
        "light" => "light",
        "dark" => "dark",
        _ => "device",
    };
    let cookie = set_cookie(LOOK_COOKIE, chosen, Some(400 * 86_400));
    Ok(([(header::SET_COOKIE, cookie)], Redirect::to(&back(&headers))).into_response())
}

/// The page that a form was sent from, as its browser says; the queue where it says nothing.
pub(super) fn back(headers: &HeaderMap) -> String {
    let back = headers.get(header::REFERER).and_then(|value| value.to_str().ok());
    let back = back.and_then(|back| back.split_once("://")?.1.split_once('/'));
    let back = back.map_or("/review".to_owned(), |(_, path)| format!("/{path}"));
    way(&back).to_owned()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_password_fits_its_own_secret_alone() {
        let secret = hashed("a long enough sentence");
        assert!(secret.starts_with("$argon2id$v=19$m=19456,t=2,p=1$"));
        assert!(fits("a long enough sentence", &secret));
        assert!(!fits("a long enough sentence ", &secret));
        assert!(!fits("anything", "not a secret"));
    }

    #[test]
    fn nobody_is_led_away_from_the_pages() {
        assert_eq!(way("/review/sites/x?key=a%2Fb"), "/review/sites/x?key=a%2Fb");
        for to in ["//evil", "https://evil", "/review//evil", "/reviewed", "/review/\\evil", ""] {
            assert_eq!(way(to), "/review", "{to}");
        }
    }
}
