//! Devices: joining a hub and exchanging with it.

use client_core::device::identity::Identity;
use client_core::device::{Device, ReplyWrong, Report, Wish};
use client_core::exchange::delivery::device_id;
use client_core::exchange::enrol::{EnrolAsk, to_sign};
use client_core::exchange::talk::{Next, Talk};
use client_core::record::code::Role;
use client_core::record::doc_id::DocId;
use client_core::record::id::{PersonId, SiteId};
use client_core::store::Store;
use ed25519_dalek::{Signer, SigningKey};
use server::hub::Hub;

use super::Seeded;

/// Who joins.
#[derive(Clone, Debug)]
pub struct Joined {
    /// Name of the person.
    pub name: String,
    /// The person, when known already.
    pub person: Option<PersonId>,
    /// Role.
    pub role: Role,
    /// Sites; none means every site.
    pub sites: Option<Vec<SiteId>>,
}

/// Enrols a new device on a store.
///
/// # Errors
/// When the hub or the store refuses.
pub fn enrol(
    hub: &mut Hub,
    store: Store,
    who: &Joined,
    now: i64,
    random: &mut Seeded,
) -> Result<Device, Box<dyn std::error::Error>> {
    let mut secret = [0; 32];
    random.fill(&mut secret);
    let key = SigningKey::from_bytes(&secret);
    let public = key.verifying_key().to_bytes();
    let mut bytes = [0; 24];
    random.fill(&mut bytes);
    let (code, _) = hub.access().new_code(now, who.person, who.role, who.sites.clone(), &bytes)?;
    let signature = key.sign(&to_sign(&code, &public)).to_bytes();
    let label = format!("{} phone", who.name);
    let ask = EnrolAsk {
        code,
        key: public,
        label: label.clone(),
        name: Some(who.name.clone()),
        signature,
    };
    let reply = hub.enrol(now, "here", &ask)?;
    let identity = Identity {
        secret,
        hub: reply.hub,
        hub_key: reply.hub_key,
        person: reply.person,
        role: reply.role,
        address: "in this thread".to_owned(),
        label,
    };
    debug_assert_eq!(identity.device(), device_id(&public), "one key, one device");
    Ok(Device::enrol(store, &identity, random.fork().source())?)
}

/// What a whole exchange took.
#[derive(Debug, Default)]
pub struct Trip {
    /// What it did.
    pub report: Report,
    /// Round trips.
    pub rounds: u32,
    /// Bytes of request bodies.
    pub up: usize,
    /// Bytes of reply bodies.
    pub down: usize,
    /// How it ended.
    pub stuck: bool,
}

/// Exchanges with a hub in this thread until nothing is left.
///
/// # Errors
/// When the device or the hub fails.
pub fn exchange(
    device: &mut Device,
    hub: &mut Hub,
    device_clock: i64,
    hub_clock: i64,
    wanted: Vec<DocId>,
) -> Result<Trip, Box<dyn std::error::Error>> {
    talk(device, device_clock, wanted, &mut |request| {
        Ok(hub.exchange(hub_clock, &[request]).pop().ok_or("no reply")??)
    })
}

/// Carries a request to the hub and brings the reply.
pub type Carry<'c> = dyn FnMut(&[u8]) -> Result<Vec<u8>, Box<dyn std::error::Error>> + 'c;

/// Exchanges over whatever carries the requests until nothing is left.
///
/// # Errors
/// When the device fails, or what carries.
pub fn talk(
    device: &mut Device,
    clock: i64,
    wanted: Vec<DocId>,
    carry: &mut Carry<'_>,
) -> Result<Trip, Box<dyn std::error::Error>> {
    let mut talk = Talk::new(wanted);
    let mut trip = Trip::default();
    loop {
        let today = i32::try_from(clock.div_euclid(86_400))?;
        let request = device.request(&mut talk, Wish { clock, today })?;
        trip.up += request.len();
        let reply = carry(&request)?;
        trip.down += reply.len();
        let next = device.hear(&mut talk, clock, &reply, &mut trip.report);
        trip.rounds = talk.rounds();
        match next {
            Ok(Next::Again) => {}
            Ok(Next::Done) => return Ok(trip),
            Ok(Next::Stuck) => {
                trip.stuck = true;
                return Ok(trip);
            }
            Err(wrong @ ReplyWrong::Device(_)) => return Err(wrong.into()),
            Err(wrong) => {
                trip.report.wrong.push(wrong);
                return Ok(trip);
            }
        }
    }
}
