//! Joining: a one-time code makes a key a person's.

use client_core::exchange::delivery::{device_id, signed};
use client_core::exchange::enrol::{EnrolAsk, EnrolReply, to_sign};
use client_core::exchange::frame::PersonRow;
use client_core::exchange::note::Certificate;
use client_core::record::id::PersonId;

use super::Hub;
use crate::access::CodeWrong;

/// Most characters of a label or a name.
const WORDS_MAX: usize = 120;

impl Hub {
    /// Enrols a key by a one-time code. `from` is the address that asks, for counting wrong codes. The
    /// same key may ask again when the answer was lost.
    pub fn enrol(&mut self, now: i64, from: &str, ask: &EnrolAsk) -> Result<EnrolReply, CodeWrong> {
        if !signed(&ask.key, &to_sign(&ask.code, &ask.key), &ask.signature) {
            return Err(CodeWrong::Signature);
        }
        let code = self.access.code(now, from, &ask.code, &ask.key)?;
        let words = |text: &str| text.trim().chars().take(WORDS_MAX).collect::<String>();
        let person = match code.person {
            Some(person) => person,
            None => {
                let name = ask.name.as_deref().map(words).filter(|name| !name.is_empty());
                let name = name.ok_or(CodeWrong::NameNeeded)?;
                let mut id = [0; 8];
                (self.random)(&mut id);
                let person = PersonId(id);
                let row = PersonRow { person, name: Some(name), contact: None, licence: None };
                self.access.put_people(&[row])?;
                person
            }
        };
        if self.access.device(device_id(&ask.key)).is_none() {
            let note = self.certificate(Certificate {
                key: ask.key,
                person,
                role: code.role,
                sites: code.sites.clone(),
                label: words(&ask.label),
                given: now,
            });
            let company = self.identity.company();
            self.append(&[(company, note)])?;
        }
        self.access.use_code(&ask.code, &code, &ask.key, person)?;
        Ok(EnrolReply {
            hub: self.identity.hub,
            hub_key: self.identity.public(),
            person,
            role: code.role,
            sites: code.sites,
        })
    }
}
