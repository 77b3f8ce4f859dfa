//! Devices that reach a hub over a real socket, through the command line's own connection.

use cli::wire::{Http, Wire};
use client_core::device::Device;
use client_core::device::identity::Identity;
use client_core::exchange::enrol::{self, EnrolAsk, EnrolReply, to_sign};
use client_core::exchange::frame;
use client_core::exchange::office::{self, Order, OrderReply};
use client_core::record::code::Role;
use client_core::record::id::{PersonId, SiteId};
use client_core::store::Store;
use ed25519_dalek::{Signer, SigningKey};

use crate::world::{Seeded, Trip, talk};

/// Anything that can go wrong on the way.
pub type Wrong = Box<dyn std::error::Error>;

/// A connection to a hub, kept open.
#[derive(Debug)]
pub struct Line {
    http: Http,
    address: String,
}

impl Line {
    /// A connection to an address.
    ///
    /// # Errors
    /// When the address is none.
    pub fn to(address: &str) -> Result<Line, Wrong> {
        Ok(Line { http: Http::new(address, None)?, address: address.to_owned() })
    }

    /// Posts a request; the hub's own sentence is the error when it turns it away.
    ///
    /// # Errors
    /// When nobody answers, or the hub turns the request away.
    pub fn post(&mut self, path: &str, body: &[u8]) -> Result<Vec<u8>, Wrong> {
        let answer = self.http.post(path, body)?;
        match answer.status {
            200 => Ok(answer.body),
            status => {
                Err(format!("the hub says {status}: {}", String::from_utf8_lossy(&answer.body))
                    .into())
            }
        }
    }

    /// Makes the store a person's device, with a code.
    ///
    /// # Errors
    /// When the hub refuses the code, or the store fails.
    pub fn join(
        &mut self,
        store: Store,
        name: &str,
        code: &str,
        random: &mut Seeded,
    ) -> Result<Device, Wrong> {
        let mut secret = [0; 32];
        random.fill(&mut secret);
        let key = SigningKey::from_bytes(&secret);
        let public = key.verifying_key().to_bytes();
        let signature = key.sign(&to_sign(code, &public)).to_bytes();
        let label = format!("{name} phone");
        let name = Some(name.to_owned());
        let ask =
            EnrolAsk { code: code.to_owned(), key: public, label: label.clone(), name, signature };
        let reply = self.post(enrol::PATH, &frame::encode(&ask))?;
        let reply: EnrolReply = frame::decode(&reply, enrol::REQUEST_BYTES_MAX)?;
        let identity = Identity {
            secret,
            hub: reply.hub,
            hub_key: reply.hub_key,
            person: reply.person,
            role: reply.role,
            address: self.address.clone(),
            label,
        };
        Ok(Device::enrol(store, &identity, random.fork().source())?)
    }

    /// Has the office make a code for another device.
    ///
    /// # Errors
    /// When the hub refuses.
    pub fn code(
        &mut self,
        office: &mut Device,
        role: Role,
        sites: Option<Vec<SiteId>>,
    ) -> Result<String, Wrong> {
        self.code_for(office, None, role, sites)
    }

    /// The same, for a person's own next device or browser.
    ///
    /// # Errors
    /// When the hub refuses.
    pub fn code_for(
        &mut self,
        office: &mut Device,
        person: Option<PersonId>,
        role: Role,
        sites: Option<Vec<SiteId>>,
    ) -> Result<String, Wrong> {
        let order = office.order(&Order::NewCode { person, role, sites });
        let reply = self.post(office::PATH, &order)?;
        match frame::decode(&reply, frame::REPLY_BYTES_MAX)? {
            OrderReply::Code { code, .. } => Ok(code),
            OrderReply::Refused(words) => Err(words.into()),
            other => Err(format!("the hub answered {other:?} to an order for a code").into()),
        }
    }

    /// Exchanges until nothing is left.
    ///
    /// # Errors
    /// When the device or the connection fails.
    pub fn exchange(&mut self, device: &mut Device, clock: i64) -> Result<Trip, Wrong> {
        talk(device, clock, vec![], &mut |request| self.post(frame::PATH, request))
    }
}
