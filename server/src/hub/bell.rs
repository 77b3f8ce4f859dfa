//! Who hears the bell.

use std::collections::{BTreeMap, BTreeSet};

use client_core::exchange::bell::{BellAsk, PATH, REQUEST_BYTES_MAX};
use client_core::exchange::frame::decode;
use client_core::record::id::{DeviceId, SiteId};

use super::{Hub, Turn};

/// A device that may hear the bell.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Hearer {
    /// The device.
    pub device: DeviceId,
}

impl Hub {
    /// Opens a request for the bell.
    pub fn hearer(&mut self, now: i64, body: &[u8]) -> Result<Hearer, Turn> {
        let (envelope, fresh) = self.open(now, body, PATH)?;
        let device = envelope.device;
        let _: BellAsk = decode(envelope.ask, REQUEST_BYTES_MAX)?;
        self.standing(device)?;
        if !fresh {
            let counter = self.last_counter(device, PATH).saturating_add(1);
            return Err(Turn::Stale { counter });
        }
        Ok(Hearer { device })
    }

    /// Which of the sites that rang a device hears: its own sites, unless it brought the news itself. None
    /// when it may hear nothing any more.
    pub fn heard_by(
        &self,
        device: DeviceId,
        rung: &BTreeMap<SiteId, Option<DeviceId>>,
    ) -> Option<BTreeSet<SiteId>> {
        let enrolled = self.standing(device).ok()?;
        let company = self.identity.company();
        let news = rung.iter().filter(|(_, by)| **by != Some(device));
        Some(news.map(|(site, _)| *site).filter(|site| enrolled.may(*site, company)).collect())
    }
}
