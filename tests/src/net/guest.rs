//! A device that speaks HTTP.

use std::time::Duration;

use client_core::device::identity::Identity;
use client_core::device::{Device, DeviceError, Report, Wish};
use client_core::exchange::enrol::{self, EnrolAsk, EnrolReply};
use client_core::exchange::frame;
use client_core::exchange::office::{self, Order, OrderReply};
use client_core::exchange::talk::{Next, Talk};
use client_core::store::{Manner, MemoryBytes, Store};
use ed25519_dalek::{Signer, SigningKey};

use crate::world::Seeded;

/// What a hub said.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Said {
    /// Status.
    pub status: u16,
    /// Body.
    pub body: Vec<u8>,
    /// The counter that it told to use.
    pub counter: Option<u64>,
}

/// Why a talk with a hub ended.
#[derive(Debug)]
pub enum Lost {
    /// The hub was not reached, or the connection broke.
    Net(ureq::Error),
    /// It said something else.
    Said(Said),
    /// The device failed.
    Device(String),
}

/// A device that speaks HTTP.
#[derive(Debug)]
pub struct Guest {
    /// The device.
    pub device: Device,
    agent: ureq::Agent,
}

/// A client that takes every status as an answer.
pub fn agent() -> ureq::Agent {
    ureq::Agent::config_builder()
        .http_status_as_error(false)
        .timeout_global(Some(Duration::from_secs(30)))
        .proxy(None)
        .build()
        .new_agent()
}

/// Posts bytes.
pub fn post(agent: &ureq::Agent, url: &str, path: &str, body: &[u8]) -> Result<Said, ureq::Error> {
    let mut response =
        agent.post(format!("{url}{path}")).content_type("application/octet-stream").send(body)?;
    let counter = response.headers().get("dripleg-counter");
    let counter = counter.and_then(|counter| counter.to_str().ok()?.parse().ok());
    let status = response.status().as_u16();
    Ok(Said { status, body: response.body_mut().read_to_vec()?, counter })
}

/// A joining request for a code.
pub fn joining(key: &SigningKey, code: &str, name: &str) -> EnrolAsk {
    let public = key.verifying_key().to_bytes();
    EnrolAsk {
        code: code.to_owned(),
        key: public,
        label: format!("{name} phone"),
        name: Some(name.to_owned()),
        signature: key.sign(&enrol::to_sign(code, &public)).to_bytes(),
    }
}

/// The device that a hub's reply makes of a key.
pub fn device_of(key: &SigningKey, reply: &EnrolReply, random: &mut Seeded) -> Device {
    device_on(MemoryBytes::default(), key, reply, random)
}

/// The same, on bytes that can be looked at and kept from outside.
pub fn device_on(
    bytes: MemoryBytes,
    key: &SigningKey,
    reply: &EnrolReply,
    random: &mut Seeded,
) -> Device {
    let identity = Identity {
        secret: key.to_bytes(),
        hub: reply.hub,
        hub_key: reply.hub_key,
        person: reply.person,
        role: reply.role,
        address: "over the network".to_owned(),
        label: "a phone".to_owned(),
    };
    let store = Store::create(bytes, PHONE).unwrap();
    Device::enrol(store, &identity, random.fork().source()).unwrap()
}

/// A phone's own manner, with a cache that many phones in one test can afford.
pub const PHONE: Manner =
    Manner { cache_bytes: 1024 * 1024, check_up_to_bytes: 0, ..Manner::DEVICE };

impl Guest {
    /// A device that speaks HTTP.
    pub fn new(device: Device) -> Guest {
        Guest { device, agent: agent() }
    }

    /// Joins a hub by a code.
    pub fn join(url: &str, code: &str, name: &str, random: &mut Seeded) -> Result<Guest, Lost> {
        let mut secret = [0; 32];
        random.fill(&mut secret);
        let key = SigningKey::from_bytes(&secret);
        let agent = agent();
        let ask = frame::encode(&joining(&key, code, name));
        let said = post(&agent, url, enrol::PATH, &ask).map_err(Lost::Net)?;
        if said.status != 200 {
            return Err(Lost::Said(said));
        }
        let reply: EnrolReply = frame::decode(&said.body, 4096).unwrap();
        Ok(Guest { device: device_of(&key, &reply, random), agent })
    }

    /// Posts bytes.
    pub fn post(&self, url: &str, path: &str, body: &[u8]) -> Result<Said, Lost> {
        post(&self.agent, url, path, body).map_err(Lost::Net)
    }

    /// Exchanges until nothing is left.
    pub fn exchange(&mut self, url: &str, clock: i64) -> Result<Report, Lost> {
        let mut talk = Talk::default();
        let mut report = Report::default();
        let failed = |wrong: DeviceError| Lost::Device(wrong.to_string());
        loop {
            let today = i32::try_from(clock / 86_400).unwrap();
            let request = self.device.request(&mut talk, Wish { clock, today }).map_err(failed)?;
            let said = self.post(url, frame::PATH, &request)?;
            if said.status != 200 {
                return Err(Lost::Said(said));
            }
            let next = self.device.hear(&mut talk, clock, &said.body, &mut report);
            match next.map_err(|wrong| Lost::Device(wrong.to_string()))? {
                Next::Again => {}
                Next::Done | Next::Stuck => return Ok(report),
            }
        }
    }

    /// Gives an order of the office, once more with the counter that the hub asks for.
    pub fn order(&mut self, url: &str, clock: i64, order: &Order) -> Result<OrderReply, Lost> {
        for _ in 0..2 {
            let body = self.device.signed_request(office::PATH, clock, &frame::encode(order));
            let said = self.post(url, office::PATH, &body)?;
            match (said.status, said.counter) {
                (200, _) => return Ok(frame::decode(&said.body, 1024 * 1024).unwrap()),
                (409, Some(counter)) if self.device.count_on(counter) => {}
                _ => return Err(Lost::Said(said)),
            }
        }
        Err(Lost::Device("the hub wants another counter each time".to_owned()))
    }
}
