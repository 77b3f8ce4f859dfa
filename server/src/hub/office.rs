//! Orders of the office.

use client_core::exchange::frame::{PersonRow, decode};
use client_core::exchange::note::{Certificate, Revocation};
use client_core::exchange::office::{DeviceRow, Order, OrderReply, PATH};
use client_core::record::code::Role;
use client_core::record::id::{DeviceId, PersonId, SiteId};

use super::{Acting, Hub, Turn};
use crate::access::{CODE_SECONDS, CodeFor};

/// Most bytes of an order.
const ORDER_BYTES_MAX: usize = 16 * 1024;
/// Most characters of the reason for a revocation.
const REASON_MAX: usize = 400;
/// Most sites that one certificate names.
const SITES_MAX: usize = 1_000;

/// Who orders.
#[derive(Clone, Copy)]
struct Orderer {
    device: DeviceId,
    person: PersonId,
    role: Role,
}

impl Hub {
    /// Carries out a signed order.
    pub fn order(&mut self, now: i64, body: &[u8]) -> Result<OrderReply, Turn> {
        let (envelope, fresh) = self.open(now, body, PATH)?;
        let device = envelope.device;
        let order: Order = decode(envelope.ask, ORDER_BYTES_MAX)?;
        let enrolled = self.standing(device)?;
        let by = Orderer {
            device,
            person: enrolled.certificate.person,
            role: enrolled.certificate.role,
        };
        if !matches!(by.role, Role::Supervisor | Role::Office) {
            return Err(Turn::Role);
        }
        // An order is not idempotent: one that was sent before is not carried out again, not even after
        // the hub was killed in the middle of it.
        if !fresh {
            let counter = self.last_counter(device, PATH).saturating_add(1);
            return Err(Turn::Stale { counter });
        }
        self.keep_counters()?;
        self.carry_out(now, by, order)
    }

    /// Carries out an order of somebody on the pages, and notes it.
    pub fn order_of(&mut self, now: i64, by: &Acting, order: Order) -> Result<OrderReply, Turn> {
        if !matches!(by.role, Role::Supervisor | Role::Office) {
            return Err(Turn::Role);
        }
        let noted = match &order {
            Order::NewCode { role, .. } => Some(("gave a code", role.key().to_owned())),
            Order::Revoke { device, .. } => Some(("revoked a device", device.to_string())),
            Order::Grant { device, .. } => Some(("changed rights of a device", device.to_string())),
            Order::Erase { person } => Some(("erased a person", person.to_string())),
            Order::Devices => None,
        };
        let orderer = Orderer { device: by.device, person: by.person, role: by.role };
        let reply = self.carry_out(now, orderer, order)?;
        if let (Some((what, to)), false) = (noted, matches!(reply, OrderReply::Refused(_))) {
            self.access.note(now, Some(by.person), what, &to)?;
        }
        Ok(reply)
    }

    fn carry_out(&mut self, now: i64, by: Orderer, order: Order) -> Result<OrderReply, Turn> {
        match order {
            Order::NewCode { person, role, sites } => {
                may_give(by, role)?;
                if let Some(words) = too_many(sites.as_deref()) {
                    return Ok(words);
                }
                let mut random = [0; 24];
                (self.random)(&mut random);
                let what = CodeFor { person, role, sites, by: Some(by.device) };
                let (code, token) = self.access.issue(now, what, &random)?;
                Ok(OrderReply::Code { code, token, until: now + CODE_SECONDS })
            }
            Order::Revoke { device, reason } => self.revoke(now, device, &reason, by),
            Order::Grant { device, role, sites } => self.grant(now, device, role, sites, by),
            Order::Devices => Ok(OrderReply::Devices(self.device_rows())),
            Order::Erase { person } => self.erase(person),
        }
    }

    fn grant(
        &mut self,
        now: i64,
        device: DeviceId,
        role: Role,
        sites: Option<Vec<SiteId>>,
        by: Orderer,
    ) -> Result<OrderReply, Turn> {
        may_give(by, role)?;
        let Some(known) = self.access.device(device) else { return Ok(no_device(device)) };
        // Nor does anybody else unmake them.
        may_give(by, known.certificate.role)?;
        if known.revoked.is_some() {
            let words = format!("device {device} was revoked; give its person a new code");
            return Ok(OrderReply::Refused(words));
        }
        if let Some(words) = too_many(sites.as_deref()) {
            return Ok(words);
        }
        if role != Role::Supervisor && self.is_last_supervisor(device) {
            return Ok(OrderReply::Refused(LAST.to_owned()));
        }
        let certificate = Certificate { role, sites, ..known.certificate.clone() };
        if certificate != known.certificate {
            let given = now.max(certificate.given.saturating_add(1));
            let certificate = Certificate { given, ..certificate };
            let note = self.certificate(certificate);
            self.append_notes(self.identity.company(), vec![note])?;
        }
        Ok(OrderReply::Done)
    }

    fn revoke(
        &mut self,
        now: i64,
        device: DeviceId,
        reason: &str,
        by: Orderer,
    ) -> Result<OrderReply, Turn> {
        let Some(known) = self.access.device(device) else { return Ok(no_device(device)) };
        if known.revoked.is_some() {
            // What was accepted by the first revocation stays accepted, and nothing later.
            return Ok(OrderReply::Done);
        }
        if self.is_last_supervisor(device) {
            return Ok(OrderReply::Refused(LAST.to_owned()));
        }
        self.fold()?;
        let last = self.view.last_of(device)?;
        let reason = reason.trim().chars().take(REASON_MAX).collect();
        let note = self.revocation(Revocation { device, last, reason, at: now, by: by.person });
        self.append_notes(self.identity.company(), vec![note])?;
        Ok(OrderReply::Done)
    }

    fn is_last_supervisor(&self, device: DeviceId) -> bool {
        let supervises = self.access.device(device).is_some_and(|known| {
            known.revoked.is_none() && known.certificate.role == Role::Supervisor
        });
        supervises && self.access.supervisors() <= 1
    }

    fn erase(&mut self, person: PersonId) -> Result<OrderReply, Turn> {
        let row = PersonRow { person, name: None, contact: None, licence: None };
        self.access.put_people(&[row])?;
        Ok(OrderReply::Done)
    }

    fn device_rows(&self) -> Vec<DeviceRow> {
        self.access
            .devices()
            .map(|(device, enrolled)| {
                let seen = self.seen.get(device);
                DeviceRow {
                    device: *device,
                    person: enrolled.certificate.person,
                    role: enrolled.certificate.role,
                    sites: enrolled.certificate.sites.clone(),
                    label: enrolled.certificate.label.clone(),
                    given: enrolled.certificate.given,
                    revoked: enrolled.revoked.clone(),
                    seen: seen.map(|seen| seen.at),
                    ahead_s: seen.map(|seen| seen.ahead_s),
                }
            })
            .collect()
    }
}

/// Only supervisors make supervisors.
fn may_give(by: Orderer, role: Role) -> Result<(), Turn> {
    if role == Role::Supervisor && by.role != Role::Supervisor {
        return Err(Turn::Role);
    }
    Ok(())
}

const LAST: &str = "this is the last supervisor's device; give a code for another one first";

fn no_device(device: DeviceId) -> OrderReply {
    OrderReply::Refused(format!("no device {device} is enrolled here"))
}

fn too_many(sites: Option<&[SiteId]>) -> Option<OrderReply> {
    let found = sites.map_or(0, <[SiteId]>::len);
    let words = || format!("{found} sites are named, at most {SITES_MAX} are taken");
    (found > SITES_MAX).then(|| OrderReply::Refused(words()))
}
