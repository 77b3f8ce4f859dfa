//! Passkeys: a second way to sign in, beside the password that always works. A person adds and removes them
//! on their own page; what a passkey proves is judged by `webauthn_rp`.
//!
//! The name that a passkey is bound to is the one by which the browser reaches the hub, as the browser says
//! itself; it gives a passkey to no page of another name.

use std::borrow::Cow;

use axum::Json;
use axum::body::Body;
use axum::extract::State;
use axum::http::{HeaderMap, StatusCode};
use axum::response::{IntoResponse, Redirect, Response};
use client_core::record::id::PersonId;
use client_core::record::value::Moment;
use serde_json::json;
use webauthn_rp::bin::{Decode, Encode};
use webauthn_rp::request::auth::AuthenticationVerificationOptions;
use webauthn_rp::request::register::{
    CredProtect, Nickname, PublicKeyCredentialUserEntity, RegistrationVerificationOptions,
    UserHandle16, Username,
};
use webauthn_rp::request::{
    AsciiDomain, FixedCapHashSet, InsertResult, PublicKeyCredentialDescriptor, RpId,
};
use webauthn_rp::response::register::{DynamicState, StaticState};
use webauthn_rp::response::{AuthTransports, CredentialId};
use webauthn_rp::{
    AuthenticatedCredential, DiscoverableAuthentication16, DiscoverableAuthenticationServerState,
    DiscoverableCredentialRequestOptions, PublicKeyCredentialCreationOptions, Registration,
    RegistrationServerState,
};

use super::doors::{Proof, enter, prove, way};
use super::form::{self, Posted};
use super::look::turned;
use super::people::origin;
use super::wrong::PageWrong;
use super::{Answer, In, Shared, on_hub, shown};
use crate::access::account::Account;
use crate::access::passkey::{PASSKEYS_MAX, Passkey};
use crate::hub::{Acting, Hub};
use crate::pages;
use crate::pages::me::{Me, PasskeyLine};
use crate::review::difference::at;
use crate::routes::Peer;
use crate::worker::Wrong;

/// Asked for and not answered yet, of each kind. Each is forgotten after five minutes.
const AT_ONCE: usize = 2_000;
/// Letters of what somebody calls a passkey.
const LABEL_MAX: usize = 60;

/// What was asked of somebody's device and not answered yet. A restart of the hub forgets it.
#[derive(Debug)]
pub(in crate::routes) struct Asked {
    adding: FixedCapHashSet<RegistrationServerState<16>>,
    signing: FixedCapHashSet<DiscoverableAuthenticationServerState>,
}

impl Default for Asked {
    fn default() -> Asked {
        Asked { adding: FixedCapHashSet::new(AT_ONCE), signing: FixedCapHashSet::new(AT_ONCE) }
    }
}

/// What stands for a person on their devices: it tells nobody who they are.
fn handle(person: PersonId) -> UserHandle16 {
    let hash = blake3::derive_key("dripleg 2026-11-28 passkey handle 1", &person.0);
    let mut short = [0; 16];
    short.copy_from_slice(&hash[..16]);
    match UserHandle16::decode(short) {
        Ok(handle) => handle,
        Err(never) => match never {},
    }
}

/// The name that passkeys are bound to, and the origin of the pages.
fn bound_to(headers: &HeaderMap, tls: bool) -> Result<(RpId, String), PageWrong> {
    let origin = origin(headers, tls);
    let authority = origin.split_once("://").map_or("", |(_, authority)| authority);
    let name = match authority.rsplit_once(':') {
        Some((name, port)) if port.bytes().all(|byte| byte.is_ascii_digit()) => name,
        _ => authority,
    };
    let number = name.starts_with('[') || name.parse::<std::net::Ipv4Addr>().is_ok();
    let domain = AsciiDomain::try_from(name.to_owned()).ok().filter(|_| !number);
    let domain = domain.ok_or_else(|| {
        let says = "a passkey is bound to a name, and this hub was reached by a number; open it by \
                    its name, or go on with the password";
        PageWrong::Typed(says.to_owned())
    })?;
    Ok((RpId::Domain(domain), origin))
}

/// An answer for the script of a page.
fn told(status: StatusCode, says: &str) -> Response {
    (status, Json(json!({ "says": says }))).into_response()
}

fn busy() -> Response {
    let says =
        "Too many are signing in with passkeys just now. Wait a minute, or use the password.";
    told(StatusCode::SERVICE_UNAVAILABLE, says)
}

fn unread() -> PageWrong {
    let says = "what the passkey answered could not be read; try again, or use the password";
    PageWrong::Typed(says.to_owned())
}

/// The account of whoever is signed in, and its passkeys.
fn own(hub: &mut Hub, acting: &Acting) -> Result<Option<(Account, Vec<Passkey>)>, Wrong> {
    let Some(account) = hub.access().account_of(acting.person).map_err(turned)? else {
        return Ok(None);
    };
    let passkeys = hub.access().passkeys_of(account.person, account.made).map_err(turned)?;
    Ok(Some((account, passkeys)))
}

/// `GET /review/me`
pub(super) async fn me((State(app), signed): In) -> Answer {
    let acting = signed.acting.clone();
    let found = on_hub(&app, move |hub, _| {
        let sites = hub.sites_seen(&acting).map_err(turned)?;
        let named = sites.into_iter().map(|(id, row)| row.name.unwrap_or_else(|| id.short()));
        let sites = acting.sites.is_some().then(|| named.collect());
        Ok(own(hub, &acting)?.map(|(account, passkeys)| (account, passkeys, sites)))
    });
    let (account, passkeys, sites) = found.await?.ok_or(PageWrong::Nothing)?;
    let shown_at = |secs| at(Moment { secs, offset_min: 0 });
    let lines = passkeys.iter().map(|passkey| PasskeyLine {
        name: passkey.name(),
        label: passkey.label.clone(),
        made: shown_at(passkey.made),
        used: passkey.used.map(shown_at),
    });
    let me = Me {
        sign_in: account.sign_in,
        sites,
        passkeys: lines.collect(),
        room: passkeys.len() < PASSKEYS_MAX,
    };
    Ok(shown(pages::me::me(&signed.chrome, &me)))
}

/// `POST /review/me/passkey/begin`: the password once more, then what the person's device is asked.
pub(super) async fn begin_adding(Posted { app, signed, headers, form }: Posted) -> Answer {
    let (rp, _) = match bound_to(&headers, app.rules.tls) {
        Ok(bound) => bound,
        Err(wrong) => return Ok(told(wrong.status(), &wrong.sentence())),
    };
    let acting = signed.acting.clone();
    let (account, passkeys) =
        on_hub(&app, move |hub, _| own(hub, &acting)).await?.ok_or(PageWrong::Nothing)?;
    if passkeys.len() >= PASSKEYS_MAX {
        return Ok(told(StatusCode::UNPROCESSABLE_ENTITY, "Remove one before another is added."));
    }
    let said = ("gave the password to add a passkey", "gave a wrong password");
    match prove(&app, &account.sign_in, form.exact("password"), &signed.sender, said).await? {
        Proof::Right(_) => {}
        Proof::Wrong => {
            return Ok(told(
                StatusCode::UNAUTHORIZED,
                "This is not the password. Nothing was added.",
            ));
        }
        Proof::TooMany => {
            return Ok(told(
                StatusCode::TOO_MANY_REQUESTS,
                "Too many wrong passwords. Wait ten minutes.",
            ));
        }
    }
    let id = handle(account.person);
    // Names with blanks are none to the rules of user names; people read the other one.
    let name = Username::try_from(account.sign_in.replace(' ', "."));
    let name = name.or_else(|_| Username::try_from(account.person.to_string()));
    let name = name.map_err(|_| PageWrong::Nothing)?;
    let display = signed.chrome.who.as_ref().map(|(name, _)| Cow::from(name.as_str()));
    let display_name = display.and_then(|name| Nickname::try_from(name).ok());
    let user = PublicKeyCredentialUserEntity { name, id: &id, display_name };
    let known = passkeys.iter().filter_map(known).collect();
    let mut options = PublicKeyCredentialCreationOptions::passkey(&rp, user, known);
    // Many devices know nothing of this extension and refuse what insists on it; that its owner is verified
    // is asked in any case.
    options.extensions.cred_protect = CredProtect::None;
    let (server, client) = options.start_ceremony().map_err(|_| PageWrong::Nothing)?;
    match app.asked().adding.insert_or_replace_all_expired(server) {
        InsertResult::Success => Ok(Json(client).into_response()),
        InsertResult::CapacityFull | InsertResult::Duplicate => Ok(busy()),
    }
}

/// What a device is told of a passkey that there is already, so that it makes no second one.
fn known(passkey: &Passkey) -> Option<PublicKeyCredentialDescriptor<Vec<u8>>> {
    let id = CredentialId::decode(passkey.id.clone()).ok()?;
    let transports = AuthTransports::decode(passkey.ways).ok()?;
    Some(PublicKeyCredentialDescriptor { id, transports })
}

/// `POST /review/me/passkey`
pub(super) async fn add(Posted { app, signed, headers, form }: Posted) -> Answer {
    let (rp, origin) = bound_to(&headers, app.rules.tls)?;
    let label: String = form.get("label").chars().take(LABEL_MAX).collect();
    let label = if label.is_empty() { "passkey".to_owned() } else { label };
    let answered = Registration::from_json_relaxed(form.exact("answer").as_bytes());
    let answered = answered.map_err(|_| unread())?;
    let challenge = answered.challenge_relaxed().map_err(|_| unread())?;
    let asked = app.asked().adding.take(&challenge);
    let asked = asked.ok_or_else(|| {
        let says = "this was not asked, or it took longer than five minutes; begin again";
        PageWrong::Moved(says.to_owned())
    })?;
    let options = RegistrationVerificationOptions::<String, String> {
        allowed_origins: &[origin],
        error_on_unsolicited_extensions: false,
        ..RegistrationVerificationOptions::default()
    };
    let made = asked.verify(&rp, &answered, &options).map_err(|wrong| {
        PageWrong::Typed(format!("the passkey is not taken: {wrong}; nothing was added"))
    })?;
    if *made.user_id() != handle(signed.acting.person) {
        return Err(unread());
    }
    let (Ok(key), Ok(state)) = (made.static_state().encode(), made.dynamic_state().encode());
    let Ok(ways) = made.transports().encode();
    let (id, acting) = (made.id().as_ref().to_vec(), signed.acting.clone());
    let done = on_hub(&app, move |hub, now| {
        let Some((account, passkeys)) = own(hub, &acting)? else { return Ok(None) };
        let taken = hub.access().passkey(&id).map_err(turned)?.is_some();
        if taken || passkeys.len() >= PASSKEYS_MAX {
            return Ok(Some(false));
        }
        let passkey = Passkey {
            id,
            person: account.person,
            key,
            state: state.to_vec(),
            label: label.clone(),
            made: now,
            used: None,
            beside: account.made,
            ways,
        };
        hub.access().put_passkey(&passkey).map_err(turned)?;
        let noted = hub.access().note(now, Some(acting.person), "added a passkey", &label);
        noted.map_err(turned)?;
        Ok(Some(true))
    });
    match done.await?.ok_or(PageWrong::Nothing)? {
        true => Ok(Redirect::to("/review/me").into_response()),
        false => {
            Err(PageWrong::Moved("this passkey is known already; nothing was added".to_owned()))
        }
    }
}

/// `POST /review/me/passkey/remove`
pub(super) async fn remove(Posted { app, signed, form, .. }: Posted) -> Answer {
    let (acting, name) = (signed.acting.clone(), form.get("passkey").to_owned());
    let done = on_hub(&app, move |hub, now| {
        let Some((_, passkeys)) = own(hub, &acting)? else { return Ok(false) };
        let Some(passkey) = passkeys.iter().find(|passkey| passkey.name() == name) else {
            return Ok(false);
        };
        let removed = hub.access().remove_passkey(&passkey.id);
        removed.map_err(turned)?;
        let noted =
            hub.access().note(now, Some(acting.person), "removed a passkey", &passkey.label);
        noted.map_err(turned)?;
        Ok(true)
    });
    match done.await? {
        true => Ok(Redirect::to("/review/me").into_response()),
        false => Err(PageWrong::Moved("this passkey is not there any more".to_owned())),
    }
}

/// `POST /review/sign-in/passkey/begin`: what the device of somebody who wants to sign in is asked.
pub(super) async fn begin_signing(
    State(app): State<Shared>,
    peer: Peer,
    headers: HeaderMap,
    body: Body,
) -> Answer {
    form::open(&app, &peer, &headers, body).await?;
    let (rp, _) = match bound_to(&headers, app.rules.tls) {
        Ok(bound) => bound,
        Err(wrong) => return Ok(told(wrong.status(), &wrong.sentence())),
    };
    let asked = DiscoverableCredentialRequestOptions::passkey(&rp).start_ceremony();
    let (server, client) = asked.map_err(|_| PageWrong::Nothing)?;
    match app.asked().signing.insert_or_replace_all_expired(server) {
        InsertResult::Success => Ok(Json(client).into_response()),
        InsertResult::CapacityFull | InsertResult::Duplicate => Ok(busy()),
    }
}

/// `POST /review/sign-in/passkey`
pub(super) async fn sign_in(
    State(app): State<Shared>,
    peer: Peer,
    headers: HeaderMap,
    body: Body,
) -> Answer {
    let (form, from) = form::open(&app, &peer, &headers, body).await?;
    let (rp, origin) = bound_to(&headers, app.rules.tls)?;
    let again = |says: &str, status| {
        let chrome = super::doors::chrome(&headers);
        let page = pages::sign_in::sign_in(&chrome, "", way(form.get("to")), Some(says));
        super::doors::with_status(shown(page), status)
    };
    let answered = DiscoverableAuthentication16::from_json_relaxed(form.exact("answer").as_bytes());
    let answered = answered.map_err(|_| unread())?;
    let challenge = answered.challenge_relaxed().map_err(|_| unread())?;
    let asked = app.asked().signing.take(&challenge);
    let (id, address) = (answered.raw_id().as_ref().to_vec(), from.clone());
    let found = on_hub(&app, move |hub, now| {
        let passkey = hub.access().passkey(&id).map_err(turned)?;
        let account = match &passkey {
            None => None,
            Some(passkey) => hub.access().account_of(passkey.person).map_err(turned)?,
        };
        // One of before the password that stands now opens nothing.
        let both = passkey.zip(account).filter(|(passkey, account)| passkey.beside == account.made);
        let name = both.as_ref().map_or(address.as_str(), |(_, account)| &account.sign_in);
        let may = hub.access_mut().may_sign_in(now, &address, name);
        Ok((may, both))
    });
    let (may, both) = found.await?;
    if !may {
        return Ok(again("Too many wrong tries. Wait ten minutes.", StatusCode::TOO_MANY_REQUESTS));
    }
    let who = both.as_ref().map(|(_, account)| account.sign_in.clone());
    let proved = asked.zip(both).and_then(|(asked, (passkey, account))| {
        let handle = handle(passkey.person);
        let key = StaticState::decode(&passkey.key).ok()?;
        let state = DynamicState::decode(<[u8; 7]>::try_from(&passkey.state[..]).ok()?).ok()?;
        let mut known =
            AuthenticatedCredential::new(answered.raw_id(), &handle, key, state).ok()?;
        let options = AuthenticationVerificationOptions::<String, String> {
            allowed_origins: &[origin],
            error_on_unsolicited_extensions: false,
            ..AuthenticationVerificationOptions::default()
        };
        asked.verify(&rp, &answered, &mut known, &options).ok()?;
        let Ok(state) = known.dynamic_state().encode();
        Some((Passkey { state: state.to_vec(), ..passkey }, account))
    });
    let noted = proved.clone();
    on_hub(&app, move |hub, now| {
        let person = noted.as_ref().map(|(passkey, _)| passkey.person);
        match noted {
            Some((passkey, _)) => {
                let used = Passkey { used: Some(now), ..passkey };
                hub.access().put_passkey(&used).map_err(turned)?;
            }
            None => hub.access_mut().wrong_sign_in(now, &from, who.as_deref().unwrap_or(&from)),
        }
        let what = match person {
            Some(_) => "signed in with a passkey",
            None => "was refused to sign in with a passkey",
        };
        hub.access().note(now, person, what, &from).map_err(turned)
    })
    .await?;
    let Some((_, account)) = proved else {
        let says = "This passkey opens nothing here. Sign in with the password, and look at your own page.";
        return Ok(again(says, StatusCode::UNAUTHORIZED));
    };
    Ok(enter(&app, &headers, &account.sign_in, account.made, way(form.get("to"))))
}
