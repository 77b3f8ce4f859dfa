//! Checking a whole log: every arrival against its id, the chain, the index, the ends, and every
//! signature against the certificates that the log itself holds.

use std::collections::BTreeMap;

use client_core::exchange::delivery::{DeliveryWrong, device_id};
use client_core::exchange::note::Says;
use client_core::exchange::place;
use client_core::record::id::{DeviceId, SiteId};
use client_core::store::{Get, StoreError, Table};

use super::redb::{end_of, key};
use super::{Arrival, ArrivalWrong};
use crate::identity::HubIdentity;

/// What a log holds, when it holds together.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Checked {
    /// Logs of sites, the company's own included.
    pub sites: u64,
    /// Arrivals.
    pub arrivals: u64,
    /// Deliveries among them.
    pub deliveries: u64,
    /// Changes in the deliveries.
    pub changes: u64,
    /// Notes of the hub among them.
    pub notes: u64,
    /// Devices that a certificate names.
    pub devices: u64,
}

/// The first thing that does not hold together.
#[derive(Debug, thiserror::Error)]
pub enum Fault {
    /// The store failed.
    #[error(transparent)]
    Store(#[from] StoreError),
    /// A value was changed after it was stored.
    #[error("site {site}, arrival {n}: the stored bytes do not have their checksum")]
    Checksum {
        /// The site.
        site: SiteId,
        /// The arrival.
        n: u64,
    },
    /// No identity.
    #[error("the store holds no hub identity")]
    NoIdentity,
    /// An arrival is missing.
    #[error("site {site}, arrival {n}: it is missing")]
    Gap {
        /// The site.
        site: SiteId,
        /// The arrival.
        n: u64,
    },
    /// An arrival cannot be read.
    #[error("site {site}, arrival {n}: it cannot be read: {wrong}")]
    Unreadable {
        /// The site.
        site: SiteId,
        /// The arrival.
        n: u64,
        /// Why.
        wrong: ArrivalWrong,
    },
    /// Something about an arrival is not as it should be.
    #[error("site {site}, arrival {n}: {what}")]
    Arrival {
        /// The site.
        site: SiteId,
        /// The arrival.
        n: u64,
        /// What.
        what: &'static str,
    },
    /// Nobody enrolled the device that signed a delivery.
    #[error("site {site}, arrival {n}: no certificate names device {device}, which signed it")]
    NoCertificate {
        /// The site.
        site: SiteId,
        /// The arrival.
        n: u64,
        /// The device.
        device: DeviceId,
    },
    /// A delivery does not hold together.
    #[error("site {site}, arrival {n}: {wrong}")]
    Delivery {
        /// The site.
        site: SiteId,
        /// The arrival.
        n: u64,
        /// Why.
        wrong: DeliveryWrong,
    },
    /// What is stored for a site beside its arrivals does not fit them.
    #[error("site {site}: {what}")]
    Site {
        /// The site.
        site: SiteId,
        /// What.
        what: &'static str,
    },
}

/// Checks everything. The company's log comes first: its certificates say who signs for the rest.
pub fn check(store: &impl Get) -> Result<Checked, Fault> {
    let identity = HubIdentity::load(store)?.ok_or(Fault::NoIdentity)?;
    let mut checker = Checker {
        store,
        company: identity.company(),
        hub_key: identity.public(),
        identity,
        keys: BTreeMap::new(),
        checked: Checked::default(),
    };
    let mut ends = vec![];
    for (site, value) in store.under(Table::Logs, &[])? {
        let site = SiteId::from_slice(&site).unwrap_or(SiteId([0; 8]));
        let wrong = Fault::Site { site, what: "the end of its log cannot be read" };
        ends.push((site, end_of(&value).ok_or(wrong)?));
    }
    ends.sort_by_key(|(site, _)| (*site != checker.company, *site));
    for (site, end) in &ends {
        checker.site(*site, *end)?;
    }
    checker.strays(&ends)?;
    checker.checked.devices = u64::try_from(checker.keys.len()).unwrap_or_default();
    Ok(checker.checked)
}

struct Checker<'a, G> {
    store: &'a G,
    identity: HubIdentity,
    company: SiteId,
    hub_key: [u8; 32],
    keys: BTreeMap<DeviceId, [u8; 32]>,
    checked: Checked,
}

impl<G: Get> Checker<'_, G> {
    fn site(&mut self, site: SiteId, end: (u64, [u8; 32])) -> Result<(), Fault> {
        let mut chain = place::begin(site);
        let mut fault = None;
        let mut next = 1;
        let store = self.store;
        let to = client_core::store::after(&site.0);
        let scanned = store.scan(Table::Log, &key(site, 0), to.as_deref(), &mut |key, value| {
            let n = key.get(8..16).and_then(|n| n.try_into().ok()).map_or(0, u64::from_be_bytes);
            let outcome = match n == next {
                true => self.arrival(site, n, value, &mut chain),
                false => Err(Fault::Gap { site, n: next }),
            };
            next += 1;
            fault = outcome.err();
            fault.is_none()
        });
        scanned.map_err(|wrong| at(site, wrong))?;
        if let Some(fault) = fault {
            return Err(fault);
        }
        let last = next - 1;
        if last < end.0 {
            return Err(Fault::Gap { site, n: next });
        }
        if (last, chain) != end {
            let what = "the end noted for its log is not its last arrival";
            return Err(Fault::Site { site, what });
        }
        if self.store.count(Table::Arrivals, &site.0)? != last {
            let what = "the index names arrivals that its log does not hold";
            return Err(Fault::Site { site, what });
        }
        self.checked.sites += 1;
        Ok(())
    }

    fn arrival(
        &mut self,
        site: SiteId,
        n: u64,
        value: &[u8],
        chain: &mut [u8; 32],
    ) -> Result<(), Fault> {
        let wrong = |what| Fault::Arrival { site, n, what };
        let early = || wrong("it ends early");
        let (id, rest) = value.split_first_chunk::<32>().ok_or_else(early)?;
        let (stored, bytes) = rest.split_first_chunk::<32>().ok_or_else(early)?;
        let arrival = Arrival::decode(self.identity.hub, site, bytes)
            .map_err(|wrong| Fault::Unreadable { site, n, wrong })?;
        if arrival.id(site) != *id {
            return Err(wrong("its id is not that of its content"));
        }
        *chain = place::next(chain, id);
        if chain != stored {
            return Err(wrong("its chain hash does not follow from the ones before"));
        }
        let index = self.store.get(Table::Arrivals, &[&site.0[..], id].concat())?;
        if index.as_deref() != Some(&n.to_be_bytes()) {
            return Err(wrong("the index does not lead to it"));
        }
        self.checked.arrivals += 1;
        match arrival {
            Arrival::Note(note) => {
                if !note.signed_by(&self.hub_key, site) {
                    return Err(wrong("the note is not signed by this hub"));
                }
                self.checked.notes += 1;
                if let Ok(Says::Certificate(certificate)) = note.says()
                    && site == self.company
                {
                    self.keys.insert(device_id(&certificate.key), certificate.key);
                }
            }
            Arrival::Delivery(delivery) => {
                let device = delivery.head.device;
                let key = self.keys.get(&device);
                let key = key.ok_or(Fault::NoCertificate { site, n, device })?;
                delivery.check(key).map_err(|wrong| Fault::Delivery { site, n, wrong })?;
                self.checked.deliveries += 1;
                let changes: usize = delivery.docs.iter().map(|part| part.changes.len()).sum();
                self.checked.changes += u64::try_from(changes).unwrap_or_default();
            }
        }
        Ok(())
    }

    /// Arrivals of sites whose log has no end.
    fn strays(&self, ends: &[(SiteId, (u64, [u8; 32]))]) -> Result<(), Fault> {
        for table in [Table::Log, Table::Arrivals] {
            let mut from = Some(vec![]);
            while let Some(next) = from {
                let mut site = None;
                self.store.scan(table, &next, None, &mut |key, _| {
                    site = Some(key.get(..8).and_then(SiteId::from_slice).unwrap_or(self.company));
                    false
                })?;
                let Some(site) = site else { break };
                if !ends.iter().any(|(known, _)| *known == site) {
                    return Err(Fault::Site { site, what: "it has arrivals, but no end is noted" });
                }
                from = client_core::store::after(&site.0);
            }
        }
        Ok(())
    }
}

/// Where a damaged value lies, when its key says so.
fn at(site: SiteId, wrong: StoreError) -> Fault {
    match wrong {
        StoreError::Damaged { ref key, .. } if key.len() == 16 => {
            let n = key.get(8..16).and_then(|n| n.try_into().ok()).map_or(0, u64::from_be_bytes);
            Fault::Checksum { site, n }
        }
        other => Fault::Store(other),
    }
}
