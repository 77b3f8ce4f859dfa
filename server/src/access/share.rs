//! Links that show a customer's report to whoever has them, read only, until a day.
//!
//! Keys are `share ` and the hash of the link's token: a store that is read by somebody else opens no
//! report. A link is never taken out; it ends by its day or by a person.

use client_core::record::id::{PersonId, SiteId, VisitId, encode};
use client_core::store::{Get, StoreError, Table};
use minicbor::{Decode, Encode};

use super::Access;

const SHARE: &[u8] = b"share ";

/// Bytes of a token: nobody finds one by trying.
pub const TOKEN_BYTES: usize = 20;

/// A link to a report.
#[derive(Clone, Debug, PartialEq, Eq, Encode, Decode)]
#[cbor(map)]
pub struct Share {
    /// The site.
    #[n(0)]
    pub site: SiteId,
    /// The visit.
    #[n(1)]
    pub visit: VisitId,
    /// The language, by its code.
    #[n(2)]
    pub language: String,
    /// The units, by their key.
    #[n(3)]
    pub units: String,
    /// Who made it.
    #[n(4)]
    pub by: PersonId,
    /// When, seconds since 1970.
    #[n(5)]
    pub made: i64,
    /// Until when, seconds since 1970.
    #[n(6)]
    pub until: i64,
    /// When somebody ended it before that.
    #[n(7)]
    pub ended: Option<i64>,
}

impl Share {
    /// Whether it opens something at this time.
    pub const fn opens(&self, now: i64) -> bool {
        self.ended.is_none() && now < self.until
    }
}

/// What a token is known by.
fn name(token: &str) -> String {
    encode(&blake3::derive_key("dripleg 2026-11-28 share 1", token.as_bytes()))
}

fn key(name: &str) -> Vec<u8> {
    [SHARE, name.as_bytes()].concat()
}

impl Access {
    /// Keeps a new link; gives its token, which stands nowhere else.
    pub fn new_share(
        &self,
        share: &Share,
        random: &[u8; TOKEN_BYTES],
    ) -> Result<String, StoreError> {
        let token = encode(random);
        self.put_share(&name(&token), share)?;
        Ok(token)
    }

    fn put_share(&self, name: &str, share: &Share) -> Result<(), StoreError> {
        let write = self.store.write()?;
        let value = minicbor::to_vec(share).expect("memory takes it");
        write.put(Table::Access, &key(name), &value)?;
        write.commit()
    }

    /// What a token opens, whether it still does or not.
    pub fn share(&self, token: &str) -> Result<Option<Share>, StoreError> {
        self.share_named(&name(token))
    }

    fn share_named(&self, name: &str) -> Result<Option<Share>, StoreError> {
        let found = self.store.read()?.get(Table::Access, &key(name))?;
        Ok(found.and_then(|bytes| minicbor::decode(&bytes).ok()))
    }

    /// Links of a visit by what they are known by, the newest first.
    pub fn shares_of(
        &self,
        site: SiteId,
        visit: VisitId,
    ) -> Result<Vec<(String, Share)>, StoreError> {
        let all = self.store.read()?.under(Table::Access, SHARE)?;
        let one = |(key, value): &(Vec<u8>, Vec<u8>)| {
            let name = std::str::from_utf8(key.get(SHARE.len()..)?).ok()?.to_owned();
            Some((name, minicbor::decode::<Share>(value).ok()?))
        };
        let mut found: Vec<(String, Share)> = all.iter().filter_map(one).collect();
        found.retain(|(_, share)| share.site == site && share.visit == visit);
        found.sort_by_key(|(_, share)| std::cmp::Reverse(share.made));
        Ok(found)
    }

    /// Ends a link of a visit; says whether there was one to end.
    pub fn end_share(
        &self,
        now: i64,
        (site, visit): (SiteId, VisitId),
        name: &str,
    ) -> Result<bool, StoreError> {
        let known = self.share_named(name)?;
        let known = known.filter(|known| known.site == site && known.visit == visit);
        let Some(known) = known.filter(|known| known.ended.is_none()) else { return Ok(false) };
        self.put_share(name, &Share { ended: Some(now), ..known })?;
        Ok(true)
    }
}
