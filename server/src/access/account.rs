//! Accounts of people who work on the pages: a name to sign in with, and what their password comes to.
//!
//! What a person may do there is not kept here: it stands in the certificate of their page key, in the
//! company's signed log, like every other right.

use client_core::record::id::PersonId;
use client_core::store::{Get, StoreError, Table};
use minicbor::{Decode, Encode};

use super::Access;

const ACCOUNT: &[u8] = b"account ";

/// Most characters of a name to sign in with.
pub const SIGN_IN_MAX: usize = 64;

/// A person who may sign in to the pages.
#[derive(Clone, PartialEq, Eq, Encode, Decode)]
#[cbor(map)]
pub struct Account {
    /// The name to sign in with, tidied.
    #[n(0)]
    pub sign_in: String,
    /// The person.
    #[n(1)]
    pub person: PersonId,
    /// What the password comes to, in the PHC string form with its parameters and salt.
    #[n(2)]
    pub secret: String,
    /// Which of the person's page keys is in use.
    #[n(3)]
    pub round: u32,
    /// When the password was chosen, seconds since 1970.
    #[n(4)]
    pub made: i64,
}

impl std::fmt::Debug for Account {
    fn fmt(&self, out: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(out, "Account({} of {})", self.sign_in, self.person)
    }
}

/// A name to sign in with, in its one form; none when it is empty or too long.
pub fn tidy(name: &str) -> Option<String> {
    let words: Vec<&str> = name.split_whitespace().collect();
    let tidied = words.join(" ").to_lowercase();
    let fits = !tidied.is_empty() && tidied.chars().count() <= SIGN_IN_MAX;
    (fits && !tidied.chars().any(char::is_control)).then_some(tidied)
}

fn key(sign_in: &str) -> Vec<u8> {
    [ACCOUNT, sign_in.as_bytes()].concat()
}

impl Access {
    /// The account of a name, tidied or not.
    pub fn account(&self, name: &str) -> Result<Option<Account>, StoreError> {
        let Some(sign_in) = tidy(name) else { return Ok(None) };
        let found = self.store.read()?.get(Table::Access, &key(&sign_in))?;
        Ok(found.and_then(|bytes| minicbor::decode(&bytes).ok()))
    }

    /// The account of a person.
    pub fn account_of(&self, person: PersonId) -> Result<Option<Account>, StoreError> {
        let found = self.store.read()?.under(Table::Access, ACCOUNT)?;
        let accounts = found.iter().filter_map(|(_, bytes)| minicbor::decode(bytes).ok());
        Ok(accounts.into_iter().find(|account: &Account| account.person == person))
    }

    /// Keeps an account; an earlier one of the same person goes.
    pub fn put_account(&self, account: &Account) -> Result<(), StoreError> {
        let earlier = self.account_of(account.person)?;
        let write = self.store.write()?;
        if let Some(earlier) = earlier.filter(|earlier| earlier.sign_in != account.sign_in) {
            write.remove(Table::Access, &key(&earlier.sign_in))?;
        }
        let value = minicbor::to_vec(account).expect("memory takes it");
        write.put(Table::Access, &key(&account.sign_in), &value)?;
        write.commit()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn one_name_has_one_form() {
        assert_eq!(tidy("  Oriane   TULLOCK "), Some("oriane tullock".to_owned()));
        assert_eq!(tidy(" "), None);
        assert_eq!(tidy("a\u{0}b"), None);
        assert_eq!(tidy(&"x".repeat(SIGN_IN_MAX + 1)), None);
    }
}
