//! `join`: make this store a person's device on a hub.

use client_core::device::identity::Identity;
use client_core::device::DeviceError;
use client_core::exchange::delivery::device_id;
use client_core::exchange::enrol::{self, EnrolAsk, EnrolReply, PATH, check_number, to_sign};
use client_core::exchange::frame;
use client_core::store::{Get, Store, Table};
use ed25519_dalek::{Signer as _, SigningKey};
use serde_json::json;

use crate::desk::{Desk, TRUST_FILE, file_wrong, write_whole};
use crate::error::Trouble;
use crate::ui::Tone;
use crate::wire::{loopback, tidy_address};

/// Join a hub with a code or a link from the office
///
/// Both screens show a check number; if they differ, somebody stands between: stop and call the office.
#[derive(Debug, clap::Args)]
pub struct Args {
    /// Address of the hub, or the whole link
    address: String,
    /// The code, when no link is given
    code: Option<String>,
    /// What you call this device
    #[arg(long, default_value = "command line")]
    label: String,
    /// Your name, where the code is for a new person
    #[arg(long)]
    name: Option<String>,
    /// File of certificates to trust, where the hub has its own
    #[arg(long, value_name = "FILE")]
    trust: Option<std::path::PathBuf>,
}

/// Key under which the secret waits between the question and the answer: a code is good for one key, and
/// the same key may ask again when the answer was lost.
const JOINING: &[u8] = b"joining";

pub(crate) fn run(args: &Args, desk: &mut Desk<'_>) -> Result<(), Trouble> {
    let (address, code) = taken_apart(args)?;
    match desk.device() {
        Ok(device) => {
            let known = DeviceError::Enrolled(device.identity().device());
            return Err(known.into());
        }
        Err(
            Trouble::Device(DeviceError::NotEnrolled)
            | Trouble::Store(client_core::store::StoreError::Missing(_)),
        ) => {}
        Err(wrong) => return Err(wrong),
    }
    let store = desk.make_store()?;
    if let Some(trust) = &args.trust {
        let pem = std::fs::read(trust).map_err(|wrong| file_wrong(trust, "read", &wrong))?;
        write_whole(&desk.file(TRUST_FILE)?, &pem)?;
    }
    if address.starts_with("http://") && !loopback(&address) {
        desk.ui.talk(Tone::Look, "this connection is not encrypted: anybody on the way reads along");
    }
    let secret = secret(desk, &store)?;
    let key = SigningKey::from_bytes(&secret);
    let public = key.verifying_key().to_bytes();
    let signature = key.sign(&to_sign(&code, &public)).to_bytes();
    let ask = EnrolAsk {
        code,
        key: public,
        label: args.label.clone(),
        name: args.name.clone(),
        signature,
    };
    let mut wire = desk.wire(&address)?;
    let answer = wire.post(PATH, &frame::encode(&ask))?;
    let body = super::exchange::body(answer)?;
    let reply: EnrolReply = frame::decode(&body, frame::REPLY_BYTES_MAX)?;
    let identity = Identity {
        secret,
        hub: reply.hub,
        hub_key: reply.hub_key,
        person: reply.person,
        role: reply.role,
        address,
        label: args.label.clone(),
    };
    debug_assert_eq!(identity.device(), device_id(&public), "one key, one device");
    let write = store.write()?;
    write.remove(Table::Meta, JOINING)?;
    write.commit()?;
    let number = check_number(&reply.hub_key, &public);
    let device = identity.device();
    desk.enrolled(store, identity)?;
    if let Some(name) = &args.name {
        desk.device()?.note_own_name(name)?;
    }
    if desk.ui.manners.json {
        return desk.ui.json(&json!({
            "device": device.to_string(),
            "person": reply.person.to_string(),
            "role": reply.role.key(),
            "hub": reply.hub.to_string(),
            "check_number": number,
        }));
    }
    desk.ui.line(&format!("joined as {}, device {}", reply.role.says(), device.short()))?;
    desk.ui.line(&format!("check number {number}"))?;
    desk.ui.talk(Tone::Look, "compare the check number with the office's screen, then: dripleg exchange");
    Ok(())
}

/// Address and code; a link carries its token behind `#`.
fn taken_apart(args: &Args) -> Result<(String, String), Trouble> {
    let (address, code) = match (args.address.split_once('#'), &args.code) {
        (Some((address, token)), None) => {
            let address = address.trim_end_matches('/');
            (address.strip_suffix("/join").unwrap_or(address), token.to_owned())
        }
        (Some(_), Some(_)) => {
            return Err(Trouble::Usage("a link carries its code: give one of them".to_owned()));
        }
        (None, Some(code)) => (args.address.as_str(), code.clone()),
        (None, None) => {
            return Err(Trouble::Usage("give the code that the office made".to_owned()));
        }
    };
    let code = enrol::tidy(&code);
    if code.is_empty() {
        return Err(Trouble::Usage("the code is empty".to_owned()));
    }
    Ok((tidy_address(address)?, code))
}

/// The device's secret: the one of an earlier try, or a new one, kept before it is used.
fn secret(desk: &Desk<'_>, store: &Store) -> Result<[u8; 32], Trouble> {
    let known = store.read()?.get(Table::Meta, JOINING)?;
    if let Some(secret) = known.and_then(|bytes| <[u8; 32]>::try_from(bytes).ok()) {
        return Ok(secret);
    }
    let mut secret = [0; 32];
    desk.fill(&mut secret);
    let write = store.write()?;
    write.put(Table::Meta, JOINING, &secret)?;
    write.commit()?;
    Ok(secret)
}
