//! Joining: a one-time code makes a key a person's.

use client_core::exchange::delivery::{device_id, signed};
use client_core::exchange::enrol::{EnrolAsk, EnrolReply, to_sign};
use client_core::exchange::frame::PersonRow;
use client_core::exchange::note::Certificate;
use client_core::record::id::PersonId;

use super::{Hub, people};
use crate::access::{CodeWrong, StoredCode};

impl Hub {
    /// Enrols a key by a one-time code. `from` is the address that asks, for counting wrong codes. The
    /// same key may ask again when the answer was lost.
    pub fn enrol(&mut self, now: i64, from: &str, ask: &EnrolAsk) -> Result<EnrolReply, CodeWrong> {
        if !signed(&ask.key, &to_sign(&ask.code, &ask.key), &ask.signature) {
            return Err(CodeWrong::Signature);
        }
        let code = self.access.code(now, from, &ask.code, &ask.key)?;
        let known = self.access.device(device_id(&ask.key));
        if known.is_some_and(|known| known.revoked.is_some()) {
            return Err(CodeWrong::Revoked);
        }
        let known = known.map(|known| known.certificate.clone());
        if let Some(known) = known.as_ref().filter(|_| code.used_by.is_some()) {
            // The answer was lost. Rights that changed since then are not given again.
            return Ok(self.enrolled(known));
        }
        let person = self.person_of(&code, known.as_ref(), ask)?;
        // The code is this key's before the key is anybody's: whatever happens in between, nobody else
        // can use it, and this key may ask again.
        let code = self.access.use_code(&ask.code, &code, &ask.key, person)?;
        let certificate = Certificate {
            key: ask.key,
            person,
            role: code.role,
            sites: code.sites.clone(),
            label: people::name(&ask.label).unwrap_or_default(),
            given: known.as_ref().map_or(now, |known| known.given),
        };
        let reply = self.enrolled(&certificate);
        if known.is_none_or(|known| known != certificate) {
            // A later certificate of the same key has to be later by its date too.
            let given = now.max(certificate.given.saturating_add(1));
            let note = self.certificate(Certificate { given, ..certificate });
            self.append_notes(self.identity.company(), vec![note])?;
        }
        Ok(reply)
    }

    fn enrolled(&self, certificate: &Certificate) -> EnrolReply {
        EnrolReply {
            hub: self.identity.hub,
            hub_key: self.identity.public(),
            person: certificate.person,
            role: certificate.role,
            sites: certificate.sites.clone(),
        }
    }

    /// The person whom the key will stand for; somebody new is written into the directory.
    fn person_of(
        &mut self,
        code: &StoredCode,
        known: Option<&Certificate>,
        ask: &EnrolAsk,
    ) -> Result<PersonId, CodeWrong> {
        if let Some(known) = known {
            // One key, one person, for ever: its entries say who made them.
            let same = code.person.is_none_or(|person| person == known.person);
            return if same { Ok(known.person) } else { Err(CodeWrong::OtherPerson) };
        }
        if let Some(person) = code.person {
            return Ok(person);
        }
        let name = ask.name.as_deref().and_then(people::name).ok_or(CodeWrong::NameNeeded)?;
        let mut id = [0; 8];
        (self.random)(&mut id);
        let person = PersonId(id);
        let row = PersonRow { person, name: Some(name), contact: None, licence: None };
        self.access.put_people(&[row])?;
        Ok(person)
    }
}
