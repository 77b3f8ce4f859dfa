//! One-time codes: single use, ten minutes, few tries. A code to be typed and a link's token are twins:
//! using one uses both.

use std::collections::BTreeMap;

use client_core::exchange::enrol::{CODE_CHARS, tidy};
use client_core::record::code::Role;
use client_core::record::id::{self, DeviceId, PersonId, SiteId};
use client_core::store::{Get, StoreError, Table, Write};
use minicbor::{Decode, Encode};

use super::Access;
use crate::log::LogError;

/// Seconds that a code is good for.
pub const CODE_SECONDS: i64 = 600;
/// Seconds in which wrong codes are counted.
const TRIES_SECONDS: i64 = 600;
/// Wrong codes from one address in that time.
pub const TRIES_MAX: u32 = 5;
/// Wrong typed codes from anywhere in that time. A link's token has 128 bits: nobody finds one by trying,
/// so strangers who use this up do not keep links from working.
const TRIES_ALL_MAX: u32 = 100;
/// Addresses whose tries are counted at once.
const ADDRESSES_MAX: usize = 10_000;

const CODE: &[u8] = b"code ";

/// What a code is for.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct CodeFor {
    /// The person; none lets the joining person name themselves.
    pub person: Option<PersonId>,
    /// The role.
    pub role: Role,
    /// Sites; none means every site.
    pub sites: Option<Vec<SiteId>>,
    /// The device that ordered it; none when the console did.
    pub by: Option<DeviceId>,
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
    /// The device that ordered it. When it is revoked, its codes are void.
    #[n(6)]
    pub by: Option<DeviceId>,
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
    /// The key was revoked.
    #[error("this device's key was revoked; join with a new key")]
    Revoked,
    /// The key is another person's.
    #[error("this device is enrolled for another person; join with a new key")]
    OtherPerson,
    /// A technician's code.
    #[error("this code is for a technician's device; the pages are for supervisors and the office")]
    NotForPages,
    /// The name to sign in with is empty or too long.
    #[error("the name to sign in with has 1 to 64 characters")]
    SignInName,
    /// Somebody else signs in with this name.
    #[error("somebody else signs in with this name; choose another")]
    SignInTaken,
    /// The store failed.
    #[error("the hub could not note the code")]
    Store(#[from] StoreError),
    /// The log failed.
    #[error("the hub could not note the certificate")]
    Log(#[from] LogError),
}

/// Wrong codes of the last minutes.
#[derive(Debug, Default)]
pub(super) struct Tries {
    addresses: BTreeMap<String, Count>,
    typed: Count,
}

#[derive(Clone, Copy, Debug, Default)]
struct Count {
    since: i64,
    wrong: u32,
}

impl Count {
    const fn now(self, now: i64) -> u32 {
        if now - self.since < TRIES_SECONDS { self.wrong } else { 0 }
    }

    fn add(&mut self, now: i64) {
        if self.now(now) == 0 {
            *self = Count { since: now, wrong: 0 };
        }
        self.wrong = self.wrong.saturating_add(1);
    }
}

impl Tries {
    fn may(&self, now: i64, from: &str, typed: bool) -> bool {
        let own = self.addresses.get(from).map_or(0, |count| count.now(now));
        own < TRIES_MAX && (!typed || self.typed.now(now) < TRIES_ALL_MAX)
    }

    fn wrong(&mut self, now: i64, from: &str, typed: bool) {
        if self.addresses.len() >= ADDRESSES_MAX {
            self.addresses.retain(|_, count| count.now(now) > 0);
        }
        if self.addresses.len() >= ADDRESSES_MAX {
            self.addresses.pop_first();
        }
        self.addresses.entry(from.to_owned()).or_default().add(now);
        if typed {
            self.typed.add(now);
        }
    }
}

impl Access {
    /// Makes a code and its link token from random bytes; both are good for ten minutes.
    pub fn new_code(
        &self,
        now: i64,
        person: Option<PersonId>,
        role: Role,
        sites: Option<Vec<SiteId>>,
        random: &[u8; 24],
    ) -> Result<(String, String), StoreError> {
        self.issue(now, CodeFor { person, role, sites, by: None }, random)
    }

    /// Makes a code and its link token from random bytes; both are good for ten minutes.
    pub fn issue(
        &self,
        now: i64,
        what: CodeFor,
        random: &[u8; 24],
    ) -> Result<(String, String), StoreError> {
        let code: String = id::encode(&random[..5]).chars().take(CODE_CHARS).collect();
        let token = id::encode(&random[8..]);
        let CodeFor { person, role, sites, by } = what;
        let twin = token.clone();
        let until = now + CODE_SECONDS;
        let stored = StoredCode { until, person, role, sites, twin, used_by: None, by };
        let write = self.store.write()?;
        for (key, value) in write.under(Table::Access, CODE)? {
            let old: Option<StoredCode> = minicbor::decode(&value).ok();
            if old.is_none_or(|old| old.until + CODE_SECONDS < now) {
                write.remove(Table::Access, &key)?;
            }
        }
        put_code(&write, &code, &stored)?;
        put_code(&write, &token, &StoredCode { twin: code.clone(), ..stored })?;
        write.commit()?;
        Ok((code, token))
    }

    /// The code, if it may be used by this key now. `from` is the address that asks.
    pub fn code(
        &mut self,
        now: i64,
        from: &str,
        text: &str,
        key: &[u8; 32],
    ) -> Result<StoredCode, CodeWrong> {
        let typed = tidy(text).chars().count() <= CODE_CHARS;
        if !self.tries.may(now, from, typed) {
            return Err(CodeWrong::TooMany);
        }
        let stored = self.store.read()?.get(Table::Access, &code_key(text))?;
        let stored: Option<StoredCode> = stored.and_then(|bytes| minicbor::decode(&bytes).ok());
        let void = |by| self.device(by).is_none_or(|device| device.revoked.is_some());
        let fits = |code: &StoredCode| {
            now < code.until
                && code.used_by.is_none_or(|by| by == *key)
                && !code.by.is_some_and(void)
        };
        if let Some(code) = stored.filter(fits) {
            return Ok(code);
        }
        self.tries.wrong(now, from, typed);
        Err(CodeWrong::Invalid)
    }

    /// Whether somebody at an address may try a password for a name: five wrong ones in ten minutes from one
    /// address, and twenty for one name from anywhere. Strangers can keep a person out for ten minutes at
    /// most.
    pub fn may_sign_in(&self, now: i64, from: &str, name: &str) -> bool {
        let count = |key: String| self.tries.addresses.get(&key).map_or(0, |count| count.now(now));
        count(sign_in_from(from)) < TRIES_MAX && count(sign_in_as(name)) < 4 * TRIES_MAX
    }

    /// Counts a wrong password.
    pub fn wrong_sign_in(&mut self, now: i64, from: &str, name: &str) {
        self.tries.wrong(now, &sign_in_from(from), false);
        self.tries.wrong(now, &sign_in_as(name), false);
    }

    /// The person whom a code is bound to, whether it may be used or not.
    pub fn code_person(&self, text: &str) -> Result<Option<PersonId>, StoreError> {
        let stored = self.store.read()?.get(Table::Access, &code_key(text))?;
        let stored: Option<StoredCode> = stored.and_then(|bytes| minicbor::decode(&bytes).ok());
        Ok(stored.and_then(|code| code.person))
    }

    /// Notes that a key has used a code, and for which person; both its forms are used up. Gives the code
    /// as it stands now.
    pub fn use_code(
        &self,
        text: &str,
        code: &StoredCode,
        key: &[u8; 32],
        person: PersonId,
    ) -> Result<StoredCode, StoreError> {
        let used = StoredCode { used_by: Some(*key), person: Some(person), ..code.clone() };
        if used == *code {
            return Ok(used);
        }
        let write = self.store.write()?;
        put_code(&write, text, &used)?;
        put_code(&write, &code.twin, &StoredCode { twin: tidy(text), ..used.clone() })?;
        write.commit()?;
        Ok(used)
    }
}

/// Under which wrong passwords from an address are counted.
fn sign_in_from(address: &str) -> String {
    format!("sign-in from {address}")
}

/// Under which wrong passwords for a name are counted.
fn sign_in_as(name: &str) -> String {
    let name = super::account::tidy(name).unwrap_or_default();
    format!("sign-in as {name}")
}

fn code_key(text: &str) -> Vec<u8> {
    [CODE, tidy(text).as_bytes()].concat()
}

fn put_code(write: &Write, text: &str, code: &StoredCode) -> Result<(), StoreError> {
    write.put(Table::Access, &code_key(text), &minicbor::to_vec(code).expect("memory takes it"))
}
