//! Orders of the office.

use client_core::exchange::frame::{PersonRow, decode};
use client_core::exchange::note::{Certificate, LastAccepted, Revocation};
use client_core::exchange::office::{DeviceRow, Order, OrderReply, PATH};
use client_core::record::code::Role;
use client_core::record::id::{DeviceId, PersonId};

use super::{Hub, Turn};
use crate::access::CODE_SECONDS;

/// Most bytes of an order.
const ORDER_BYTES_MAX: usize = 16 * 1024;

impl Hub {
    /// Carries out a signed order.
    pub fn order(&mut self, now: i64, body: &[u8]) -> Result<OrderReply, Turn> {
        let (envelope, fresh) = self.open(body, PATH)?;
        let device = envelope.device;
        let order: Order = decode(envelope.ask, ORDER_BYTES_MAX)?;
        let enrolled = self.access.device(device).ok_or(Turn::Unknown)?;
        let (role, by) = (enrolled.certificate.role, enrolled.certificate.person);
        if enrolled.revoked.is_some() || !matches!(role, Role::Supervisor | Role::Office) {
            return Err(Turn::Role);
        }
        // An order is not idempotent: one that was sent before is not carried out again.
        if !fresh {
            return Ok(OrderReply::Refused("the order was sent before; send it anew".to_owned()));
        }
        match order {
            Order::NewCode { person, role: wanted, sites } => {
                if wanted == Role::Supervisor && role != Role::Supervisor {
                    return Err(Turn::Role);
                }
                let mut random = [0; 24];
                (self.random)(&mut random);
                let (code, token) = self.access.new_code(now, person, wanted, sites, &random)?;
                Ok(OrderReply::Code { code, token, until: now + CODE_SECONDS })
            }
            Order::Revoke { device, reason } => self.revoke(now, device, reason, by),
            Order::Grant { device, role: wanted, sites } => {
                if wanted == Role::Supervisor && role != Role::Supervisor {
                    return Err(Turn::Role);
                }
                let Some(known) = self.access.device(device) else {
                    return Ok(OrderReply::Refused(format!("no device {device}")));
                };
                let certificate = Certificate { role: wanted, sites, ..known.certificate.clone() };
                let note = self.certificate(certificate);
                self.append(&[(self.identity.company(), note)])?;
                Ok(OrderReply::Done)
            }
            Order::Devices => Ok(OrderReply::Devices(self.device_rows())),
            Order::Erase { person } => self.erase(person),
        }
    }

    fn revoke(
        &mut self,
        now: i64,
        device: DeviceId,
        reason: String,
        by: PersonId,
    ) -> Result<OrderReply, Turn> {
        if self.access.device(device).is_none() {
            return Ok(OrderReply::Refused(format!("no device {device}")));
        }
        let last = self.log.sites()?;
        let last = last.into_iter().map(|(site, end)| LastAccepted { site, n: end.n }).collect();
        let note = self.revocation(Revocation { device, last, reason, at: now, by });
        self.append(&[(self.identity.company(), note)])?;
        Ok(OrderReply::Done)
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
