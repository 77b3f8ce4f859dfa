//! Notes that the hub signs into its logs.

use client_core::exchange::note::{Certificate, Clock, Late, Note, Refusal, Revocation, Says};
use client_core::record::id::{DeviceId, SiteId};
use client_core::record::signer::ClockSpan;

use super::Hub;
use crate::log::Arrival;

impl Hub {
    /// A signed note. The count, random at the start of a run, keeps equal notes apart.
    fn note(&mut self, site: SiteId, says: &Says) -> Arrival {
        if self.notes == 0 {
            let mut random = [0; 8];
            (self.random)(&mut random);
            self.notes = u64::from_be_bytes(random) >> 1;
        }
        self.notes += 1;
        let bytes = Note::encode(says, self.notes);
        let signature = self.identity.sign(&Note::to_sign(site, &bytes));
        Arrival::Note(Note { bytes, signature })
    }

    pub(super) fn clock_note(
        &mut self,
        site: SiteId,
        device: DeviceId,
        nonce: [u8; 16],
        span: ClockSpan,
    ) -> Arrival {
        self.note(site, &Says::Clock(Clock { device, nonce, span }))
    }

    pub(super) fn late(&mut self, site: SiteId, delivery: [u8; 32], known: &[[u8; 32]]) -> Arrival {
        let known = (!known.is_empty()).then(|| known.concat().into());
        self.note(site, &Says::Late(Late { delivery, known }))
    }

    pub(super) fn refusal(&mut self, site: SiteId, refusal: Refusal) -> Arrival {
        self.note(site, &Says::Refusal(refusal))
    }

    pub(super) fn certificate(&mut self, certificate: Certificate) -> Arrival {
        self.note(self.identity.company(), &Says::Certificate(certificate))
    }

    pub(super) fn revocation(&mut self, revocation: Revocation) -> Arrival {
        self.note(self.identity.company(), &Says::Revocation(revocation))
    }
}
