//! What was done on the pages and with rights: one line after the other, each chained to the one before.
//!
//! Keys are `audit ` and a number; a value is CBOR [time, who, what, words, hash], the hash being BLAKE3
//! over the hash before and the rest. Lines are never taken out; no text of a record stands in them.

use client_core::record::id::PersonId;
use client_core::store::{Get, StoreError, Table};
use minicbor::{Decode, Encode};

use super::Access;

const LINE: &[u8] = b"audit ";

/// One line.
#[derive(Clone, Debug, PartialEq, Eq, Encode, Decode)]
#[cbor(map)]
pub struct Line {
    /// Seconds since 1970, by the hub's clock.
    #[n(0)]
    pub at: i64,
    /// Who did it, where that is known.
    #[n(1)]
    pub who: Option<PersonId>,
    /// What was done: a word of a short list.
    #[n(2)]
    pub what: String,
    /// To what: ids and addresses, never names.
    #[n(3)]
    pub to: String,
    /// Hash over the one before and this one.
    #[n(4)]
    #[cbor(with = "minicbor::bytes")]
    pub hash: [u8; 32],
}

impl Line {
    fn chained(&self, before: &[u8; 32]) -> [u8; 32] {
        let bare = minicbor::to_vec((self.at, self.who, &self.what, &self.to));
        let mut hash = blake3::Hasher::new_derive_key("dripleg 2026-11-25 audit 1");
        hash.update(before).update(&bare.expect("memory takes it"));
        *hash.finalize().as_bytes()
    }
}

impl Access {
    /// Adds a line.
    pub fn note(
        &self,
        at: i64,
        who: Option<PersonId>,
        what: &str,
        to: &str,
    ) -> Result<(), StoreError> {
        let write = self.store.write()?;
        let last = write.last(Table::Access, LINE, None)?;
        let last = last.and_then(|(key, value)| Some((number(&key)?, read(&value)?)));
        let (n, before) = last.map_or((1, [0; 32]), |(n, line)| (n + 1, line.hash));
        let to: String = to.chars().take(200).collect();
        let mut line = Line { at, who, what: what.to_owned(), to, hash: [0; 32] };
        line.hash = line.chained(&before);
        let value = minicbor::to_vec(&line).expect("memory takes it");
        write.put(Table::Access, &[LINE, &u64::to_be_bytes(n)].concat(), &value)?;
        write.commit()
    }

    /// The newest lines, newest first, and whether the whole chain holds.
    pub fn audit(&self, most: usize) -> Result<(Vec<Line>, bool), StoreError> {
        let all = self.store.read()?.under(Table::Access, LINE)?;
        let mut before = [0; 32];
        let mut whole = true;
        let mut lines = vec![];
        for (position, (key, value)) in all.iter().enumerate() {
            let Some(line) = read(value) else {
                whole = false;
                continue;
            };
            let counted = u64::try_from(position).ok().map(|position| position + 1);
            whole &= number(key) == counted && line.chained(&before) == line.hash;
            before = line.hash;
            lines.push(line);
        }
        lines.reverse();
        lines.truncate(most);
        Ok((lines, whole))
    }
}

fn number(key: &[u8]) -> Option<u64> {
    Some(u64::from_be_bytes(key.get(LINE.len()..)?.try_into().ok()?))
}

fn read(value: &[u8]) -> Option<Line> {
    minicbor::decode(value).ok()
}
