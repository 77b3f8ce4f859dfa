//! The first half of a request: authenticate, read, and gather what it brings.

use client_core::exchange::delivery::{Delivery, DeliveryWrong};
use client_core::exchange::frame::{Ask, SitePack, Verdict};
use client_core::exchange::pack::{PackWrong, unpack};
use client_core::record::id::{DeviceId, SiteId};
use client_core::record::inside::inside;
use client_core::record::signer::ClockSpan;

use super::{Hub, Turn};
use crate::log::Arrival;

/// Verdict: taken into the log.
const TAKEN: u8 = 0;
/// Verdict: it was there already.
const HAD_IT: u8 = 1;
/// Verdict: say it unpacked.
const SAY_PLAIN: u8 = 2;
/// Verdict: malformed.
const MALFORMED: u8 = 3;
/// Verdict: not for this device.
const NOT_YOURS: u8 = 4;

/// Clocks that differ by more than this are noted in the log.
const CLOCK_NOTED_S: i64 = 120;

/// A request that was read.
#[derive(Debug)]
pub struct Received {
    /// Who asks.
    pub device: DeviceId,
    /// What they ask.
    pub ask: Ask,
    /// What is to be appended.
    pub arrivals: Vec<(SiteId, Arrival)>,
    /// Verdicts on what they brought, by site.
    pub verdicts: Vec<(SiteId, Verdict)>,
    /// Ids of what they brought: echoed by id alone.
    pub own: Vec<[u8; 32]>,
    /// The counter was not higher than the last one.
    pub stale: bool,
}

impl Hub {
    pub(super) fn receive(
        &mut self,
        now: i64,
        body: &[u8],
        batch: &[(SiteId, Arrival)],
    ) -> Result<Received, Turn> {
        let (envelope, fresh) = self.open(body, Hub::path())?;
        let device = envelope.device;
        let ask = Hub::ask(&envelope)?;
        let mut received = Received {
            device,
            ask,
            arrivals: vec![],
            verdicts: vec![],
            own: vec![],
            stale: !fresh,
        };
        if received.stale {
            return Ok(received);
        }
        self.told_of(device, now, received.ask.clock);
        for pack in received.ask.packs.clone().unwrap_or_default() {
            self.pack(now, &mut received, &pack, batch)?;
        }
        if let Some(people) = &received.ask.people {
            self.access.put_people(people)?;
        }
        Ok(received)
    }

    /// Reads one pack and judges each delivery in it.
    fn pack(
        &mut self,
        now: i64,
        received: &mut Received,
        pack: &SitePack,
        batch: &[(SiteId, Arrival)],
    ) -> Result<(), Turn> {
        let site = pack.site;
        let plain = pack.pack.first() == Some(&0);
        let key = |device| self.access.key(device);
        let deliveries = match unpack(&pack.pack, self.identity.hub, site, &key) {
            Ok(deliveries) => deliveries,
            Err(wrong) => {
                received.verdicts.push((site, unread(plain, &wrong)));
                self.totals.malformed += 1;
                return Ok(());
            }
        };
        for delivery in deliveries {
            let id = delivery.id();
            let verdict = self.judge(received, &delivery, id, plain, batch)?;
            if verdict.answer == HAD_IT {
                self.totals.repeats += 1;
                received.own.push(id);
            } else if verdict.answer == TAKEN {
                received.own.push(id);
                self.chain_break(received, &delivery);
                let ahead_s = received.ask.clock.saturating_sub(now);
                let (device, nonce) = (delivery.head.device, delivery.head.nonce);
                let span = span(&delivery, ahead_s);
                received.arrivals.push((site, Arrival::Delivery(Box::new(delivery))));
                // What a relay or a colleague carries says nothing about the clock it was made under.
                if let Some(span) = span.filter(|_| device == received.device)
                    && ahead_s.abs() > CLOCK_NOTED_S
                {
                    let note = self.clock_note(site, device, nonce, span);
                    received.arrivals.push((site, note));
                }
            } else {
                self.totals.malformed += u64::from(verdict.answer == MALFORMED);
            }
            received.verdicts.push((site, verdict));
        }
        Ok(())
    }

    fn judge(
        &self,
        received: &Received,
        delivery: &Delivery,
        id: [u8; 32],
        plain: bool,
        batch: &[(SiteId, Arrival)],
    ) -> Result<Verdict, Turn> {
        let mut short = [0; 8];
        short.copy_from_slice(&id[..8]);
        let verdict = |answer, words| Verdict { id: short, answer, words, at: None };
        let site = delivery.head.site;
        let queued = batch.iter().chain(&received.arrivals);
        let queued = queued.into_iter().any(|(at, arrival)| *at == site && arrival.id(site) == id);
        let at = self.log.number(site, &id)?;
        if queued || at.is_some() {
            return Ok(Verdict { at, ..verdict(HAD_IT, None) });
        }
        let company = self.identity.company();
        // A relay or a colleague may carry what another device signed: the signer's rights count.
        let Some(signer) = self.access.device(delivery.head.device) else {
            return Ok(verdict(
                NOT_YOURS,
                Some("nobody enrolled the device that signed it".to_owned()),
            ));
        };
        let begins = self.log.end(site)?.n == 0 && site != company;
        if !signer.might(site, company) || (begins && !signer.may_begin(site)) {
            let words = "the device that signed it is not enrolled for this site".to_owned();
            return Ok(verdict(NOT_YOURS, Some(words)));
        }
        Ok(match delivery.check(&signer.certificate.key) {
            Ok(()) => verdict(TAKEN, None),
            Err(DeliveryWrong::Signature) if !plain => {
                verdict(SAY_PLAIN, Some("the packed form could not be read".to_owned()))
            }
            Err(wrong) => verdict(MALFORMED, Some(wrong.to_string())),
        })
    }

    /// A gap, a repeat or a fork in a session's chain is reported and never refused: it tells of a
    /// restored or copied device.
    fn chain_break(&mut self, received: &Received, delivery: &Delivery) {
        let previous = delivery.head.previous;
        let queued = received.own.contains(&previous);
        let known = previous == [0; 32] && delivery.head.seq == 1
            || queued
            || self.log.number(delivery.head.site, &previous).is_ok_and(|n| n.is_some());
        if !known {
            self.totals.chain_breaks += 1;
        }
    }
}

/// The entries of a delivery, as made under a clock that is so far ahead.
fn span(delivery: &Delivery, ahead_s: i64) -> Option<ClockSpan> {
    let changes = delivery.docs.iter().flat_map(|part| &part.changes);
    let numbers: Vec<u32> =
        changes.flat_map(|change| inside(change)).map(|inside| inside.id.n).collect();
    let (first, last) = (numbers.iter().min()?, numbers.iter().max()?);
    Some(ClockSpan { first: *first, last: *last, ahead_s })
}

fn unread(plain: bool, wrong: &PackWrong) -> Verdict {
    let answer = if plain { MALFORMED } else { SAY_PLAIN };
    Verdict { id: [0; 8], answer, words: Some(wrong.to_string()), at: None }
}
