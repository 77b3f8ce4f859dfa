//! Who may write and read: certificates out of the company's log. `code` keeps one-time codes, `people`
//! the directory, `counter` how far each device has counted its requests, `account` who may sign in to the
//! pages, `passkey` what opens them beside a password, `audit` what was done there, `share` links that show
//! a report, `firm` whose name stands on it, `word` what was said of a change that did not pass the gate.
//!
//! Authority over what an entry says is judged when it is read. Here only this is decided: which key is
//! enrolled, which sites it may follow and bring deliveries for, and whether it was revoked.

pub mod account;
pub mod audit;
pub mod code;
pub mod counter;
pub mod firm;
pub mod passkey;
pub mod people;
pub mod share;
pub mod word;

use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

use client_core::exchange::delivery::{Head, device_id};
use client_core::exchange::note::{Certificate, LastAccepted, Says};
use client_core::record::code::Role;
use client_core::record::id::{DeviceId, SiteId};
use client_core::store::Store;

use crate::log::{Arrival, HubLog, LogError};

pub use code::{CODE_SECONDS, CodeFor, CodeWrong, StoredCode, TRIES_MAX};

/// A device that may write, or once might.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Enrolled {
    /// Its certificate, as last given.
    pub certificate: Certificate,
    /// Why it was revoked, when it was.
    pub revoked: Option<String>,
    /// Last accepted deliveries of its sessions, when it was revoked.
    pub last: Vec<LastAccepted>,
    /// What any of its certificates ever allowed: honest work made under an older one still arrives.
    ever: Ever,
}

/// What a device's certificates allowed, taken together.
#[derive(Clone, Debug, PartialEq, Eq)]
struct Ever {
    /// Sites; none means every site.
    sites: Option<BTreeSet<SiteId>>,
    /// Whether one of them let it begin the log of a new site.
    begins: bool,
}

/// Who may write and read.
#[derive(Debug)]
pub struct Access {
    store: Arc<Store>,
    devices: BTreeMap<DeviceId, Enrolled>,
    folded: u64,
    tries: code::Tries,
}

impl Access {
    /// Reads who is enrolled out of the company's log.
    pub fn open(store: Arc<Store>, log: &dyn HubLog, company: SiteId) -> Result<Access, LogError> {
        let mut access =
            Access { store, devices: BTreeMap::new(), folded: 0, tries: code::Tries::default() };
        access.fold(log, company)?;
        Ok(access)
    }

    /// Takes in what the company's log says since the last time.
    pub fn fold(&mut self, log: &dyn HubLog, company: SiteId) -> Result<(), LogError> {
        loop {
            let page = log.after(company, self.folded, 256 * 1024)?;
            let Some(last) = page.last() else { return Ok(()) };
            self.folded = last.n;
            for stored in &page {
                if let Arrival::Note(note) = &stored.arrival
                    && let Ok(says) = note.says()
                {
                    self.take(says);
                }
            }
        }
    }

    fn take(&mut self, says: Says) {
        match says {
            Says::Certificate(certificate) => {
                let device = device_id(&certificate.key);
                match self.devices.get_mut(&device) {
                    Some(known) => {
                        known.ever.add(&certificate);
                        // Of two certificates the later one holds, whatever their order in the log.
                        if certificate.given >= known.certificate.given {
                            known.certificate = certificate;
                        }
                    }
                    None => drop(self.devices.insert(device, Enrolled::new(certificate))),
                }
            }
            Says::Revocation(revocation) => {
                if let Some(enrolled) = self.devices.get_mut(&revocation.device) {
                    enrolled.revoked = Some(revocation.reason);
                    enrolled.last = revocation.last;
                }
            }
            Says::Refusal(_) | Says::Clock(_) | Says::Late(_) => {}
        }
    }

    /// Whether a note that was handed back tells something that the log does not know any more.
    pub fn is_news(&self, says: &Says) -> bool {
        match says {
            Says::Certificate(certificate) => {
                let known = self.devices.get(&device_id(&certificate.key));
                known.is_none_or(|known| known.certificate.given < certificate.given)
            }
            Says::Revocation(revocation) => {
                let known = self.devices.get(&revocation.device);
                known.is_some_and(|known| known.revoked.is_none())
            }
            Says::Refusal(_) | Says::Clock(_) | Says::Late(_) => false,
        }
    }

    /// The store of the log, to be read beside the hub's thread.
    pub fn store(&self) -> Arc<Store> {
        Arc::clone(&self.store)
    }

    /// How far the company's log was read: another number means that certificates may have changed.
    pub const fn version(&self) -> u64 {
        self.folded
    }

    /// A device.
    pub fn device(&self, device: DeviceId) -> Option<&Enrolled> {
        self.devices.get(&device)
    }

    /// Every device.
    pub fn devices(&self) -> impl Iterator<Item = (&DeviceId, &Enrolled)> {
        self.devices.iter()
    }

    /// The key of a device.
    pub fn key(&self, device: DeviceId) -> Option<[u8; 32]> {
        self.devices.get(&device).map(|enrolled| enrolled.certificate.key)
    }

    /// Whether anybody is enrolled.
    pub fn nobody(&self) -> bool {
        self.devices.is_empty()
    }

    /// How many devices of supervisors may still write.
    pub fn supervisors(&self) -> usize {
        self.devices
            .values()
            .filter(|one| one.revoked.is_none() && one.certificate.role == Role::Supervisor)
            .count()
    }
}

impl Enrolled {
    /// Whether a delivery came before the device was revoked, as far as its sessions' counts tell.
    pub fn accepted(&self, head: &Head) -> bool {
        self.last
            .iter()
            .any(|last| last.site == head.site && last.nonce == head.nonce && head.seq <= last.seq)
    }

    fn new(certificate: Certificate) -> Enrolled {
        let mut ever = Ever { sites: Some(BTreeSet::new()), begins: false };
        ever.add(&certificate);
        Enrolled { certificate, revoked: None, last: vec![], ever }
    }

    /// Whether the device may follow a site now.
    pub fn may(&self, site: SiteId, company: SiteId) -> bool {
        self.revoked.is_none()
            && (site == company
                || self.certificate.sites.as_ref().is_none_or(|sites| sites.contains(&site)))
    }

    /// Whether deliveries that the device signed for a site are taken: by any of its certificates, for
    /// what it wrote before its rights changed must not be lost.
    pub fn might(&self, site: SiteId, company: SiteId) -> bool {
        site == company || self.ever.sites.as_ref().is_none_or(|sites| sites.contains(&site))
    }

    /// Whether the device's deliveries may begin the log of a new site.
    pub const fn might_begin_site(&self) -> bool {
        self.ever.begins
    }
}

impl Ever {
    fn add(&mut self, certificate: &Certificate) {
        self.begins |= matches!(certificate.role, Role::Supervisor | Role::Office);
        match (&mut self.sites, &certificate.sites) {
            (Some(known), Some(more)) => known.extend(more.iter().copied()),
            (known, None) => *known = None,
            (None, _) => {}
        }
    }
}
