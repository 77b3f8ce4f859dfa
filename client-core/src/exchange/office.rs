//! Orders of the office to the hub: codes, devices, rights. They are online requests, signed like an
//! exchange.

use minicbor::{Decode, Encode};

use crate::record::code::Role;
use crate::record::id::{DeviceId, PersonId, SiteId};

/// Path of office orders.
pub const PATH: &str = "/office/1";

/// What the office orders.
#[derive(Clone, Debug, PartialEq, Eq, Encode, Decode)]
pub enum Order {
    /// A one-time code for a person's new device.
    #[n(0)]
    NewCode {
        /// The person; none lets the joining person name themselves.
        #[n(0)]
        person: Option<PersonId>,
        /// The role.
        #[n(1)]
        role: Role,
        /// Sites; none means every site.
        #[n(2)]
        sites: Option<Vec<SiteId>>,
    },
    /// A device may not write any more.
    #[n(1)]
    Revoke {
        /// The device.
        #[n(0)]
        device: DeviceId,
        /// Why.
        #[n(1)]
        reason: String,
    },
    /// A device gets another role or other sites.
    #[n(2)]
    Grant {
        /// The device.
        #[n(0)]
        device: DeviceId,
        /// The role.
        #[n(1)]
        role: Role,
        /// Sites; none means every site.
        #[n(2)]
        sites: Option<Vec<SiteId>>,
    },
    /// A list of all devices.
    #[n(3)]
    Devices,
    /// A person's name and contact are erased from the directory.
    #[n(4)]
    Erase {
        /// The person.
        #[n(0)]
        person: PersonId,
    },
}

/// A device as the hub knows it.
#[derive(Clone, Debug, PartialEq, Eq, Encode, Decode)]
#[cbor(map)]
pub struct DeviceRow {
    /// The device.
    #[n(0)]
    pub device: DeviceId,
    /// Its person.
    #[n(1)]
    pub person: PersonId,
    /// Role.
    #[n(2)]
    pub role: Role,
    /// Sites; none means every site.
    #[n(3)]
    pub sites: Option<Vec<SiteId>>,
    /// What the person calls it.
    #[n(4)]
    pub label: String,
    /// When it was enrolled, seconds since 1970.
    #[n(5)]
    pub given: i64,
    /// Why it was revoked, when it was.
    #[n(6)]
    pub revoked: Option<String>,
    /// Last exchange, seconds since 1970, since the hub was started.
    #[n(7)]
    pub seen: Option<i64>,
    /// Seconds that its clock was ahead then.
    #[n(8)]
    pub ahead_s: Option<i64>,
}

/// The hub's answer.
#[derive(Clone, Debug, PartialEq, Eq, Encode, Decode)]
pub enum OrderReply {
    /// Done.
    #[n(0)]
    Done,
    /// A code, and the token of the link that does the same.
    #[n(1)]
    Code {
        /// To be typed.
        #[n(0)]
        code: String,
        /// For a link or a QR code.
        #[n(1)]
        token: String,
        /// Until when, seconds since 1970.
        #[n(2)]
        until: i64,
    },
    /// All devices.
    #[n(2)]
    Devices(#[n(0)] Vec<DeviceRow>),
    /// Not done; why.
    #[n(3)]
    Refused(#[n(0)] String),
}
