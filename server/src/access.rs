//! Who may write and read: certificates out of the company's log, one-time codes, the directory.
//!
//! Authority over what an entry says is judged when it is read. Here only this is decided: which key is
//! enrolled, which sites it may follow and bring deliveries for, and whether it was revoked.

use std::collections::BTreeMap;
use std::sync::Arc;

use client_core::exchange::delivery::device_id;
use client_core::exchange::enrol::{CODE_CHARS, tidy};
use client_core::exchange::frame::PersonRow;
use client_core::exchange::note::{Certificate, LastAccepted, Says};
use client_core::record::code::Role;
use client_core::record::id::{self, DeviceId, PersonId, SiteId};
use client_core::store::{Get, Store, StoreError, Table, Write};
use minicbor::{Decode, Encode};

use crate::log::{Arrival, HubLog, LogError};

/// Seconds that a code is good for.
pub const CODE_SECONDS: i64 = 600;
/// Seconds in which wrong codes are counted.
const TRIES_SECONDS: i64 = 600;
/// Wrong codes from one address in that time.
pub const TRIES_MAX: u32 = 5;
/// Wrong codes from anywhere in that time.
const TRIES_ALL_MAX: u32 = 100;

const CODE: &[u8] = b"code ";
const VERSION: &[u8] = b"directory version";

/// A device that may write, or once might.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Enrolled {
    /// Its certificate, as last given.
    pub certificate: Certificate,
    /// Why it was revoked, when it was.
    pub revoked: Option<String>,
    /// Last accepted arrivals, when it was revoked.
    pub last: Vec<LastAccepted>,
    /// Sites that it was ever enrolled for; none means every site. What was written while it was
    /// enrolled is taken afterwards too.
    pub ever: Option<Vec<SiteId>>,
}

/// A one-time code as stored.
#[derive(Clone, Debug, PartialEq, Eq, Encode, Decode)]
#[cbor(map)]
pub struct StoredCode {
    /// Until when, seconds since 1970.
    #[n(0)]
    pub until: i64,
    /// The person it is bound to.
    #[n(1)]
    pub person: Option<PersonId>,
    /// The role.
    #[n(2)]
    pub role: Role,
    /// Sites; none means every site.
    #[n(3)]
    pub sites: Option<Vec<SiteId>>,
    /// The other form of the same code: using one uses both.
    #[n(4)]
    pub twin: String,
    /// The key that used it. It may use it again when the answer was lost.
    #[n(5)]
    #[cbor(with = "minicbor::bytes")]
    pub used_by: Option<[u8; 32]>,
}

/// Why a code is not taken.
#[derive(Debug, thiserror::Error)]
pub enum CodeWrong {
    /// Unknown, used or expired: the three are not told apart to strangers.
    #[error("this code is not valid any more; ask the office for a new one")]
    Invalid,
    /// Too many wrong codes.
    #[error("too many wrong codes; wait ten minutes")]
    TooMany,
    /// The joining key did not sign.
    #[error("the request is not signed by the key it brings")]
    Signature,
    /// A name is needed.
    #[error("this code is for a new person; give a name")]
    NameNeeded,
    /// The store failed.
    #[error("the hub could not note the code")]
    Store(#[from] StoreError),
    /// The log failed.
    #[error("the hub could not note the certificate")]
    Log(#[from] LogError),
}

/// Who may write and read.
#[derive(Debug)]
pub struct Access {
    store: Arc<Store>,
    devices: BTreeMap<DeviceId, Enrolled>,
    folded: u64,
    tries: BTreeMap<String, (i64, u32)>,
}

impl Access {
    /// Reads who is enrolled out of the company's log.
    pub fn open(store: Arc<Store>, log: &dyn HubLog, company: SiteId) -> Result<Access, LogError> {
        let mut access =
            Access { store, devices: BTreeMap::new(), folded: 0, tries: BTreeMap::new() };
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
                let known = self.devices.remove(&device);
                let mut ever = certificate.sites.clone();
                let (mut revoked, mut last) = (None, vec![]);
                if let Some(known) = known {
                    ever = ever.zip(known.ever).map(|(now, then)| [now, then].concat());
                    (revoked, last) = (known.revoked, known.last);
                }
                self.devices.insert(device, Enrolled { certificate, revoked, last, ever });
            }
            Says::Revocation(revocation) => {
                if let Some(enrolled) = self.devices.get_mut(&revocation.device) {
                    enrolled.revoked = Some(revocation.reason);
                    enrolled.last = revocation.last;
                }
            }
            Says::Refusal(_) | Says::Clock(_) => {}
        }
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

    /// Makes a code and its link token from random bytes; both are good for ten minutes.
    pub fn new_code(
        &self,
        now: i64,
        person: Option<PersonId>,
        role: Role,
        sites: Option<Vec<SiteId>>,
        random: &[u8; 24],
    ) -> Result<(String, String), StoreError> {
        let code: String = id::encode(&random[..5]).chars().take(CODE_CHARS).collect();
        let token = id::encode(&random[8..]);
        let until = now + CODE_SECONDS;
        let stored = |twin: &String| StoredCode {
            until,
            person,
            role,
            sites: sites.clone(),
            twin: twin.clone(),
            used_by: None,
        };
        let write = self.store.write()?;
        for (key, value) in write.under(Table::Access, CODE)? {
            let old: Option<StoredCode> = minicbor::decode(&value).ok();
            if old.is_none_or(|old| old.until + CODE_SECONDS < now) {
                write.remove(Table::Access, &key)?;
            }
        }
        put_code(&write, &code, &stored(&token))?;
        put_code(&write, &token, &stored(&code))?;
        write.commit()?;
        Ok((code, token))
    }

    /// Counts a wrong code; says whether more are answered.
    fn wrong_code(&mut self, now: i64, from: &str) -> CodeWrong {
        self.tries.retain(|_, (since, _)| now - *since < TRIES_SECONDS);
        for name in [from, "*"] {
            let (_, count) = self.tries.entry(name.to_owned()).or_insert((now, 0));
            *count += 1;
        }
        CodeWrong::Invalid
    }

    fn may_try(&self, now: i64, from: &str) -> bool {
        let count = |name: &str| match self.tries.get(name) {
            Some((since, count)) if now - since < TRIES_SECONDS => *count,
            _ => 0,
        };
        count(from) < TRIES_MAX && count("*") < TRIES_ALL_MAX
    }

    /// The code, if it may be used by this key now.
    pub fn code(
        &mut self,
        now: i64,
        from: &str,
        text: &str,
        key: &[u8; 32],
    ) -> Result<StoredCode, CodeWrong> {
        if !self.may_try(now, from) {
            return Err(CodeWrong::TooMany);
        }
        let stored = self.store.read()?.get(Table::Access, &code_key(text))?;
        let stored: Option<StoredCode> = stored.and_then(|bytes| minicbor::decode(&bytes).ok());
        let fits = |code: &StoredCode| now < code.until && code.used_by.is_none_or(|by| by == *key);
        match stored.filter(fits) {
            Some(code) => Ok(code),
            None => Err(self.wrong_code(now, from)),
        }
    }

    /// Notes that a key has used a code, and for which person; both its forms are used up.
    pub fn use_code(
        &self,
        text: &str,
        code: &StoredCode,
        key: &[u8; 32],
        person: PersonId,
    ) -> Result<(), StoreError> {
        let write = self.store.write()?;
        let used = StoredCode { used_by: Some(*key), person: Some(person), ..code.clone() };
        put_code(&write, text, &used)?;
        put_code(&write, &code.twin, &StoredCode { twin: tidy(text), ..used })?;
        write.commit()
    }

    /// Version of the directory.
    pub fn directory_version(&self) -> Result<u64, StoreError> {
        version(&self.store.read()?)
    }

    /// Writes persons into the directory.
    pub fn put_people(&self, people: &[PersonRow]) -> Result<(), StoreError> {
        let write = self.store.write()?;
        let version = version(&write)? + 1;
        for person in people {
            let value = minicbor::to_vec((version, person)).expect("memory takes it");
            write.put(Table::Directory, &person.person.0, &value)?;
        }
        write.put(Table::Access, VERSION, &version.to_be_bytes())?;
        write.commit()
    }

    /// Persons of the directory that changed after a version.
    pub fn people_after(&self, known: u64) -> Result<Vec<PersonRow>, StoreError> {
        let rows = self.store.read()?.under(Table::Directory, &[])?;
        let rows = rows.iter().filter_map(|(_, value)| minicbor::decode(value).ok());
        let rows = rows.filter(|(version, _): &(u64, PersonRow)| *version > known);
        Ok(rows.map(|(_, person)| person).collect())
    }
}

fn version(store: &impl Get) -> Result<u64, StoreError> {
    let stored = store.get(Table::Access, VERSION)?.unwrap_or_default();
    Ok(<[u8; 8]>::try_from(stored.as_slice()).map_or(0, u64::from_be_bytes))
}

fn code_key(text: &str) -> Vec<u8> {
    [CODE, tidy(text).as_bytes()].concat()
}

fn put_code(write: &Write, text: &str, code: &StoredCode) -> Result<(), StoreError> {
    write.put(Table::Access, &code_key(text), &minicbor::to_vec(code).expect("memory takes it"))
}

impl Enrolled {
    /// Whether the device may follow a site and bring deliveries for it.
    pub fn may(&self, site: SiteId, company: SiteId) -> bool {
        site == company || self.certificate.sites.as_ref().is_none_or(|sites| sites.contains(&site))
    }

    /// Whether deliveries of the device are taken for a site: it was enrolled for it once.
    pub fn might(&self, site: SiteId, company: SiteId) -> bool {
        site == company || self.ever.as_ref().is_none_or(|sites| sites.contains(&site))
    }

    /// Whether the device may begin the log of a site: the office may, and whoever is enrolled for this
    /// very site.
    pub fn may_begin(&self, site: SiteId) -> bool {
        let named = self.ever.as_ref().is_some_and(|sites| sites.contains(&site));
        named || matches!(self.certificate.role, Role::Supervisor | Role::Office)
    }
}
