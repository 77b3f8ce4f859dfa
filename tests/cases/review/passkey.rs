//! Passkeys on the pages, with a key made here that answers as an authenticator does (W3C Web
//! Authentication, Level 3: 6.1 authenticator data, 6.5 attestation, 7 what the hub checks).

use base64::Engine;
use base64::engine::general_purpose::URL_SAFE_NO_PAD as BASE64;
use client_core::record::code::Role;
use ed25519_dalek::{Signer, SigningKey};
use minicbor::Encoder;
use serde_json::{Value, json};
use sha2::{Digest, Sha256};
use tests::net::desk::{HOST, value_of};
use tests::net::hall::Answer;
use tests::net::{Desk, Hall};

use super::{AT, Firm, code_for, firm};

const PASSWORD: &str = "the long password of Oriane";
const NUMBER: &[u8] = b"a passkey's own number";

/// A key in somebody's hand.
struct Key {
    secret: SigningKey,
    /// What the hub stands for its owner by.
    handle: String,
    uses: u32,
    origin: String,
    name: String,
}

const PRESENT: u8 = 1;
const VERIFIED: u8 = 4;
const WITH_KEY: u8 = 64;

impl Key {
    fn new() -> Key {
        Key {
            secret: SigningKey::from_bytes(&[7; 32]),
            handle: String::new(),
            uses: 0,
            origin: format!("https://{HOST}"),
            name: HOST.to_owned(),
        }
    }

    fn said(&self, kind: &str, asked: &Value) -> Vec<u8> {
        let challenge = asked["challenge"].as_str().unwrap();
        let said = json!({ "type": kind, "challenge": challenge, "origin": self.origin, "crossOrigin": false });
        said.to_string().into_bytes()
    }

    fn data(&mut self, flags: u8) -> Vec<u8> {
        self.uses += 1;
        let mut data = Sha256::digest(self.name.as_bytes()).to_vec();
        data.push(flags);
        data.extend(self.uses.to_be_bytes());
        data
    }

    /// What it answers when it is made.
    fn made(&mut self, asked: &Value) -> String {
        asked["user"]["id"].as_str().unwrap().clone_into(&mut self.handle);
        let mut data = self.data(PRESENT | VERIFIED | WITH_KEY);
        data.extend([0; 16]);
        data.extend(u16::try_from(NUMBER.len()).unwrap().to_be_bytes());
        data.extend(NUMBER);
        let public = self.secret.verifying_key().to_bytes();
        let mut key = Encoder::new(vec![]);
        // RFC 9053, 7.2: an octet key pair of Ed25519 for EdDSA.
        key.map(4).unwrap().i8(1).unwrap().i8(1).unwrap().i8(3).unwrap().i8(-8).unwrap();
        key.i8(-1).unwrap().i8(6).unwrap().i8(-2).unwrap().bytes(&public).unwrap();
        data.extend(key.into_writer());
        let mut object = Encoder::new(vec![]);
        object.map(3).unwrap().str("fmt").unwrap().str("none").unwrap();
        object.str("attStmt").unwrap().map(0).unwrap();
        object.str("authData").unwrap().bytes(&data).unwrap();
        Key::answer(&json!({
            "clientDataJSON": BASE64.encode(self.said("webauthn.create", asked)),
            "attestationObject": BASE64.encode(object.into_writer()),
            "transports": ["internal"],
        }))
    }

    /// What it answers when its owner signs in.
    fn proves(&mut self, asked: &Value) -> String {
        let data = self.data(PRESENT | VERIFIED);
        let said = self.said("webauthn.get", asked);
        let signed = [&data[..], &Sha256::digest(&said)].concat();
        let signature = self.secret.sign(&signed).to_bytes();
        Key::answer(&json!({
            "clientDataJSON": BASE64.encode(said),
            "authenticatorData": BASE64.encode(data),
            "signature": BASE64.encode(signature),
            "userHandle": self.handle,
        }))
    }

    fn answer(response: &Value) -> String {
        let id = BASE64.encode(NUMBER);
        let whole = json!({
            "id": id,
            "rawId": id,
            "type": "public-key",
            "response": response,
            "clientExtensionResults": {},
        });
        whole.to_string()
    }
}

fn json_of(answer: &Answer) -> Value {
    assert_eq!(answer.status, 200, "{}", answer.text());
    serde_json::from_slice(&answer.body).unwrap()
}

fn asked_to_add(hall: &Hall, desk: &mut Desk, password: &str) -> Answer {
    desk.page(hall, "/review/me");
    desk.post(hall, "/review/me/passkey/begin", &[("password", password)])
}

fn add(hall: &Hall, desk: &mut Desk, key: &mut Key) -> Answer {
    let asked = json_of(&asked_to_add(hall, desk, PASSWORD));
    let answer = key.made(&asked);
    desk.post(hall, "/review/me/passkey", &[("answer", &answer), ("label", "this computer")])
}

fn asked_to_sign_in(hall: &Hall, desk: &mut Desk) -> Value {
    json_of(&desk.post(hall, "/review/sign-in/passkey/begin", &[]))
}

fn sign_in(hall: &Hall, desk: &mut Desk, key: &mut Key) -> Answer {
    let asked = asked_to_sign_in(hall, desk);
    let answer = key.proves(&asked);
    desk.post(hall, "/review/sign-in/passkey", &[("answer", &answer), ("to", "/review/visits")])
}

#[test]
fn a_passkey_is_added_with_the_password_opens_the_pages_and_is_removed() {
    let Firm { hall, mut desk, .. } = firm(190);
    let mut key = Key::new();
    let wrong = asked_to_add(&hall, &mut desk, "not the password at all");
    assert_eq!(wrong.status, 401, "{}", wrong.text());
    let answer = add(&hall, &mut desk, &mut key);
    assert_eq!((answer.status, &answer.headers["location"]), (303, &"/review/me".parse().unwrap()));
    let page = desk.page(&hall, "/review/me");
    assert!(page.contains("this computer") && page.contains("not used yet"), "{page}");
    // The same one once more is no other one.
    assert_eq!(add(&hall, &mut desk, &mut key).status, 409);

    let mut other = Desk::at("192.0.2.40");
    let answer = sign_in(&hall, &mut other, &mut key);
    let to = answer.headers["location"].to_str().unwrap();
    assert_eq!((answer.status, to), (303, "/review/visits"));
    let set = answer.headers["set-cookie"].to_str().unwrap();
    assert!(set.ends_with("; Path=/; Secure; HttpOnly; SameSite=Strict"), "{set}");
    assert!(other.page(&hall, "/review").contains("Oriane, supervisor"));
    let page = other.page(&hall, "/review/me");
    assert!(!page.contains("not used yet"), "{page}");
    let audit = desk.page(&hall, "/review/audit");
    for what in ["added a passkey", "signed in with a passkey", "gave a wrong password"] {
        assert!(audit.contains(what), "{what}: {audit}");
    }
    let name = value_of(&desk.page(&hall, "/review/me"), "passkey").unwrap();
    let gone = desk.post(&hall, "/review/me/passkey/remove", &[("passkey", &name)]);
    assert_eq!(gone.status, 303);
    assert_eq!(desk.post(&hall, "/review/me/passkey/remove", &[("passkey", &name)]).status, 409);
    let mut third = Desk::at("192.0.2.41");
    let answer = sign_in(&hall, &mut third, &mut key);
    assert_eq!(answer.status, 401, "{}", answer.text());
    assert!(answer.text().contains("opens nothing here"));
}

#[test]
fn what_a_passkey_answers_counts_once_and_here_alone() {
    let Firm { hall, mut desk, .. } = firm(191);
    let mut key = Key::new();
    assert_eq!(add(&hall, &mut desk, &mut key).status, 303);
    let mut other = Desk::at("192.0.2.42");
    let asked = asked_to_sign_in(&hall, &mut other);
    let answer = key.proves(&asked);
    let fields = [("answer", answer.as_str())];
    assert_eq!(other.post(&hall, "/review/sign-in/passkey", &fields).status, 303);
    let mut thief = Desk::at("192.0.2.43");
    assert_eq!(thief.post(&hall, "/review/sign-in/passkey", &fields).status, 401, "a second time");
    for bend in 0..4 {
        let mut bent = Key { uses: 40, ..Key::new() };
        bent.handle.clone_from(&key.handle);
        match bend {
            0 => bent.origin = "https://evil.example".to_owned(),
            1 => bent.name = "evil.example".to_owned(),
            2 => bent.secret = SigningKey::from_bytes(&[8; 32]),
            // The counter of a copy stands still.
            _ => bent.uses = 0,
        }
        let mut stranger = Desk::at(&format!("192.0.2.{}", 50 + bend));
        assert_eq!(sign_in(&hall, &mut stranger, &mut bent).status, 401, "{bend}");
    }
    for unread in ["", "{}", "[]", "{\"id\":1}", &answer[..40]] {
        let mut stranger = Desk::at("192.0.2.60");
        let answer = stranger.post(&hall, "/review/sign-in/passkey", &[("answer", unread)]);
        assert_eq!(answer.status, 422, "{unread}");
    }
    // A form of another place is taken here no more than with a password.
    let body = tests::net::desk::encoded(&fields);
    let headers = [
        ("host", HOST),
        ("origin", "https://evil.example"),
        ("content-type", "application/x-www-form-urlencoded"),
    ];
    for path in ["/review/sign-in/passkey", "/review/sign-in/passkey/begin"] {
        let answer = hall.ask(AT, &axum::http::Method::POST, path, &headers, body.clone());
        assert_eq!(answer.status, 403, "{path}");
    }
}

#[test]
fn wrong_passkeys_are_counted_like_wrong_passwords() {
    let Firm { hall, mut desk, .. } = firm(192);
    let mut key = Key::new();
    assert_eq!(add(&hall, &mut desk, &mut key).status, 303);
    let mut stranger = Desk::at("192.0.2.70");
    let mut wrong = Key { secret: SigningKey::from_bytes(&[9; 32]), ..Key::new() };
    wrong.handle.clone_from(&key.handle);
    for _ in 0..5 {
        assert_eq!(sign_in(&hall, &mut stranger, &mut wrong).status, 401);
    }
    assert_eq!(sign_in(&hall, &mut stranger, &mut key).status, 429);
    let right = [("name", "oriane"), ("password", PASSWORD)];
    assert_eq!(stranger.post(&hall, "/review/sign-in", &right).status, 429, "one count for both");
    let mut elsewhere = Desk::at("192.0.2.71");
    assert_eq!(sign_in(&hall, &mut elsewhere, &mut key).status, 303);
    // The password that adds one is counted too.
    for _ in 0..5 {
        assert_eq!(asked_to_add(&hall, &mut desk, "a wrong long password").status, 401);
    }
    assert_eq!(asked_to_add(&hall, &mut desk, PASSWORD).status, 429);
}

#[test]
fn nobody_adds_a_passkey_for_somebody_else_and_a_new_password_ends_them() {
    let Firm { hall, mut boss, mut desk, .. } = firm(193);
    let code = code_for(&hall, &mut boss, None, Role::Office, None);
    let mut office = Desk::joined(&hall, "192.0.2.80", &code, "Second");
    // What one person's device was asked is no answer of another one's.
    let mut key = Key::new();
    let asked = json_of(&asked_to_add(&hall, &mut desk, PASSWORD));
    let answer = key.made(&asked);
    office.page(&hall, "/review/me");
    let fields = [("answer", answer.as_str()), ("label", "x")];
    assert_eq!(office.post(&hall, "/review/me/passkey", &fields).status, 422);
    assert_eq!(desk.post(&hall, "/review/me/passkey", &fields).status, 409, "it was used up");
    assert_eq!(add(&hall, &mut desk, &mut key).status, 303);
    // One cannot take out another's.
    let name = value_of(&desk.page(&hall, "/review/me"), "passkey").unwrap();
    office.page(&hall, "/review/me");
    let gone = office.post(&hall, "/review/me/passkey/remove", &[("passkey", &name)]);
    assert_eq!(gone.status, 409);
    hall.clock.fetch_add(60, std::sync::atomic::Ordering::Relaxed);
    let person = Some(boss.identity().person);
    let now = hall.clock.load(std::sync::atomic::Ordering::Relaxed);
    let code = super::code_at(&hall, now, &mut boss, person, Role::Supervisor, None);
    let mut again = Desk::joined(&hall, "192.0.2.81", &code, "Oriane");
    assert!(!again.page(&hall, "/review/me").contains("this computer"));
    let mut stranger = Desk::at("192.0.2.82");
    assert_eq!(sign_in(&hall, &mut stranger, &mut key).status, 401);
}

#[test]
fn a_hub_that_was_reached_by_a_number_says_that_passkeys_need_a_name() {
    let Firm { hall, .. } = firm(194);
    let headers = [
        ("host", "192.0.2.1:8443"),
        ("origin", "https://192.0.2.1:8443"),
        ("content-type", "application/x-www-form-urlencoded"),
    ];
    let path = "/review/sign-in/passkey/begin";
    let answer = hall.ask(AT, &axum::http::Method::POST, path, &headers, "");
    assert_eq!(answer.status, 422);
    let says: Value = serde_json::from_slice(&answer.body).unwrap();
    assert!(says["says"].as_str().unwrap().contains("bound to a name"), "{says}");
}
