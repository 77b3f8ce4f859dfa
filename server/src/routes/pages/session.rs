//! Sessions of signed-in people: a random token in a cookie that scripts cannot read, and what it stands
//! for in memory. A restart of the hub signs everybody out.

use std::collections::BTreeMap;

use axum::extract::FromRequestParts;
use axum::http::request::Parts;
use axum::http::{HeaderMap, HeaderValue, Method, header};
use client_core::record::code::Role;
use client_core::record::id::encode;

use super::wrong::PageWrong;
use super::{Shared, on_hub};
use crate::hub::Acting;
use crate::pages::{Chrome, Look};
use crate::routes::Peer;
use crate::routes::refusal::Refusal;
use crate::routes::sender::{Slot, address, counted};
use crate::worker::Wrong;

/// The cookie of a session. Browsers take it only over TLS or from this very machine, and only for the
/// whole site.
pub(super) const COOKIE: &str = "__Host-dripleg";
/// The cookie that says light or dark.
pub(super) const LOOK_COOKIE: &str = "__Host-look";
/// How long a session lasts.
const WHOLE_S: i64 = 8 * 3_600;
/// How long it lasts while nobody does anything.
const IDLE_S: i64 = 30 * 60;
/// Sessions at one time; the one that was idle longest goes.
const MOST: usize = 10_000;

/// One session.
#[derive(Clone, Debug)]
struct Session {
    sign_in: String,
    made: i64,
    begun: i64,
    last: i64,
}

/// All sessions, by the hash of their token: memory that leaks tells no token.
#[derive(Debug, Default)]
pub(in crate::routes) struct Sessions(BTreeMap<[u8; 32], Session>);

impl Sessions {
    /// Begins a session; gives its token.
    pub(super) fn begin(&mut self, now: i64, sign_in: &str, made: i64) -> String {
        let mut bytes = [0; 32];
        crate::serve::system_random(&mut bytes);
        let token = encode(&bytes);
        self.0.retain(|_, one| one.lives(now));
        if self.0.len() >= MOST
            && let Some(oldest) = self.0.iter().min_by_key(|(_, one)| one.last)
        {
            let oldest = *oldest.0;
            self.0.remove(&oldest);
        }
        let session = Session { sign_in: sign_in.to_owned(), made, begun: now, last: now };
        self.0.insert(hash(&token), session);
        token
    }

    /// What a token stands for.
    fn find(&mut self, now: i64, token: &str) -> Option<(String, i64)> {
        let session = self.0.get_mut(&hash(token)).filter(|one| one.lives(now))?;
        session.last = now;
        Some((session.sign_in.clone(), session.made))
    }

    /// Ends a session.
    pub(super) fn end(&mut self, token: &str) {
        self.0.remove(&hash(token));
    }
}

impl Session {
    const fn lives(&self, now: i64) -> bool {
        now - self.begun < WHOLE_S && now - self.last < IDLE_S
    }
}

fn hash(token: &str) -> [u8; 32] {
    blake3::derive_key("dripleg 2026-11-25 session 1", token.as_bytes())
}

/// What stands in every form of a session.
pub(super) fn form_token(token: &str) -> String {
    encode(&blake3::derive_key("dripleg 2026-11-25 form token 1", token.as_bytes())[..20])
}

/// The value of a cookie.
pub(super) fn cookie<'h>(headers: &'h HeaderMap, name: &str) -> Option<&'h str> {
    let all = headers.get_all(header::COOKIE).iter().filter_map(|value| value.to_str().ok());
    let mut pairs = all.flat_map(|value| value.split(';')).filter_map(|pair| pair.split_once('='));
    pairs.find(|(found, _)| found.trim() == name).map(|(_, value)| value.trim())
}

/// The header that sets a cookie.
pub(super) fn set_cookie(name: &str, value: &str, seconds: Option<i64>) -> HeaderValue {
    let age = seconds.map(|seconds| format!("; Max-Age={seconds}")).unwrap_or_default();
    let text = format!("{name}={value}; Path=/; Secure; HttpOnly; SameSite=Strict{age}");
    HeaderValue::from_str(&text).expect("tokens are letters and digits")
}

/// Light or dark, as the reader chose.
pub(super) fn look(headers: &HeaderMap) -> Look {
    match cookie(headers, LOOK_COOKIE) {
        Some("light") => Look::Light,
        Some("dark") => Look::Dark,
        _ => Look::Device,
    }
}

/// Somebody who is signed in.
#[derive(Debug)]
pub(super) struct Signed {
    /// Who, and what they may do now.
    pub(super) acting: Acting,
    /// The session's token.
    pub(super) token: String,
    /// What every page has round its content.
    pub(super) chrome: Chrome,
    /// The address that it came from, as it is counted.
    pub(super) sender: String,
    /// The place among the requests under way, held until the answer is made.
    _slot: Slot,
}

impl Signed {
    /// Whether they may settle, sign, except and revoke.
    pub(super) fn supervises(&self) -> Result<(), PageWrong> {
        match self.acting.role {
            Role::Supervisor => Ok(()),
            _ => Err(PageWrong::Role("a supervisor does this")),
        }
    }
}

/// Lets a request in, unless its address asks too much or too many are under way.
pub(super) fn let_in(
    app: &Shared,
    peer: &Peer,
    headers: &HeaderMap,
) -> Result<(Slot, String), Refusal> {
    let sender = address(app, peer, headers).map_or_else(|| "nowhere".to_owned(), counted);
    let share = app.strangers().may(app.now().saturating_mul(1_000), &sender);
    share.map_err(|wait_s| Refusal::Quota { wait_s })?;
    let slot = app.in_flight.enter(&sender).inspect_err(|_| {
        app.metrics.shed.inc();
    })?;
    Ok((slot, sender))
}

impl FromRequestParts<Shared> for Signed {
    type Rejection = PageWrong;

    async fn from_request_parts(parts: &mut Parts, app: &Shared) -> Result<Signed, PageWrong> {
        let peer = parts.extensions.get().copied().map(axum::extract::Extension);
        let (slot, sender) = let_in(app, &peer, &parts.headers)?;
        let now = app.now();
        let to = (parts.method == Method::GET).then(|| parts.uri.to_string());
        let away = || PageWrong::SignIn { to: to.clone() };
        let token = cookie(&parts.headers, COOKIE).ok_or_else(away)?.to_owned();
        let found = app.sessions().find(now, &token);
        let Some((sign_in, made)) = found else {
            app.strangers().count(now.saturating_mul(1_000), &sender, 0);
            return Err(away());
        };
        let looked = on_hub(app, move |hub, _| {
            let acting = match hub.acting(&sign_in, made) {
                Ok(acting) => acting,
                Err(crate::hub::Turn::Unknown | crate::hub::Turn::Revoked) => return Ok(None),
                Err(wrong) => return Err(Wrong::Turn(wrong)),
            };
            let known = hub.access().person(acting.person);
            let known = known.map_err(|wrong| Wrong::Turn(wrong.into()))?;
            let name = known.and_then(|row| row.name).unwrap_or_else(|| acting.person.short());
            Ok(Some((acting, name)))
        });
        let Some((acting, name)) = looked.await? else {
            app.sessions().end(&token);
            return Err(away());
        };
        let chrome = Chrome {
            who: Some((name, acting.role.says().to_owned())),
            token: form_token(&token),
            look: look(&parts.headers),
            hears: vec![],
        };
        Ok(Signed { acting, token, chrome, sender, _slot: slot })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_session_ends_when_nobody_uses_it_and_in_any_case_after_eight_hours() {
        let mut sessions = Sessions::default();
        let token = sessions.begin(0, "oriane", 7);
        assert_eq!(sessions.find(IDLE_S - 1, &token), Some(("oriane".to_owned(), 7)));
        assert_eq!(sessions.find(2 * IDLE_S, &token), None);
        let token = sessions.begin(0, "oriane", 7);
        for at in (0..WHOLE_S).step_by(1_000) {
            assert!(sessions.find(at, &token).is_some());
        }
        assert_eq!(sessions.find(WHOLE_S, &token), None);
        assert_eq!(sessions.find(0, "guessed"), None);
    }

    #[test]
    fn cookies_are_found_among_others() {
        let mut headers = HeaderMap::new();
        headers.insert(header::COOKIE, HeaderValue::from_static("a=1; __Host-dripleg=xyz ;b=2"));
        assert_eq!(cookie(&headers, COOKIE), Some("xyz"));
        assert_eq!(cookie(&headers, "c"), None);
    }
}
