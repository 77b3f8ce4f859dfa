//! The first half of a request: authenticate, read, and gather what it brings.

use std::collections::BTreeSet;

use client_core::exchange::delivery::{Delivery, DeliveryWrong, device_id};
use client_core::exchange::frame::{
    Ask, Envelope, PATH, REQUEST_BYTES_MAX, SignedNote, SitePack, Verdict, decode,
};
use client_core::exchange::note::{Note, Says};
use client_core::exchange::pack::{PLAIN_BYTES_MAX, PackWrong, announced, unpack};
use client_core::gate::scan;
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
/// Verdict: nobody who may begin the site's log has; offer it again another time.
const NOT_YET: u8 = 5;

/// Most bytes of one request's packs when they are expanded. What goes beyond gets no verdict, so it is
/// offered again.
const EXPANDED_MAX: u64 = PLAIN_BYTES_MAX as u64;
/// Most deliveries judged for one request; likewise.
const JUDGED_MAX: usize = 1_000;
/// Most notes that one request hands back.
const NOTES_MAX: usize = 10_000;
/// Clocks that differ by more than this are noted in the log.
const CLOCK_NOTED_S: i64 = 120;

/// A request that was read.
#[derive(Debug)]
pub struct Received {
    /// Who asks.
    pub device: DeviceId,
    /// What they ask.
    pub ask: Ask,
    /// Something is to be appended for it.
    pub brought: bool,
    /// Verdicts on what they brought, by site.
    pub verdicts: Vec<(SiteId, Verdict)>,
    /// Ids of what they brought: echoed by id alone.
    pub own: BTreeSet<[u8; 32]>,
    /// The counter was not higher than the last one.
    pub stale: bool,
    /// Notes were handed back.
    pub notes_taken: bool,
}

impl Received {
    /// How far the device's clock is ahead of the hub's, when the request tells. One that was prepared has
    /// waited nobody knows how long: it tells only that a clock is ahead.
    fn ahead_s(&self, now: i64) -> Option<i64> {
        let ahead_s = self.ask.clock.saturating_sub(now);
        (self.ask.prepared != Some(true) || ahead_s > 0).then_some(ahead_s)
    }
}

/// What the requests that are answered together bring.
#[derive(Debug, Default)]
pub(super) struct Batch {
    /// What is to be appended.
    pub(super) arrivals: Vec<(SiteId, Arrival)>,
    /// Who brought something for which site.
    pub(super) by: BTreeSet<(SiteId, DeviceId)>,
    ids: BTreeSet<(SiteId, [u8; 32])>,
}

impl Hub {
    pub(super) fn receive(
        &mut self,
        now: i64,
        body: &[u8],
        batch: &mut Batch,
    ) -> Result<Received, Turn> {
        self.introduce(body)?;
        let (envelope, fresh) = self.open(now, body, PATH)?;
        let device = envelope.device;
        let ask: Ask = decode(envelope.ask, REQUEST_BYTES_MAX)?;
        let mut received = Received {
            device,
            ask,
            brought: false,
            verdicts: vec![],
            own: BTreeSet::new(),
            stale: !fresh,
            notes_taken: false,
        };
        if received.stale {
            return Ok(received);
        }
        let ahead_s = received.ahead_s(now);
        let seen = self.seen.entry(device).or_default();
        seen.at = now;
        seen.ahead_s = ahead_s.unwrap_or(seen.ahead_s);
        if let Some(notes) = received.ask.notes.take() {
            if self.access.device(device).is_some_and(|enrolled| enrolled.revoked.is_none()) {
                self.notes_again(&notes)?;
            }
            received.notes_taken = true;
        }
        let mut room = EXPANDED_MAX;
        for pack in received.ask.packs.take().unwrap_or_default() {
            let expanded = announced(&pack.pack).unwrap_or_default();
            if expanded > room && room < EXPANDED_MAX {
                continue;
            }
            room = room.saturating_sub(expanded.max(1));
            self.pack(now, &mut received, &pack, batch)?;
        }
        if let Some(people) = &received.ask.people {
            let enrolled = self.access.device(device).ok_or(Turn::Unknown)?.clone();
            if enrolled.revoked.is_none() {
                self.add_people(&enrolled, people)?;
            }
        }
        Ok(received)
    }

    /// Reads one pack and judges each delivery in it.
    fn pack(
        &mut self,
        now: i64,
        received: &mut Received,
        pack: &SitePack,
        batch: &mut Batch,
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
            if received.verdicts.len() >= JUDGED_MAX {
                break;
            }
            let id = delivery.id();
            let verdict = self.judge(&delivery, id, plain, batch)?;
            match verdict.answer {
                HAD_IT => {
                    self.totals.repeats += 1;
                    received.own.insert(id);
                }
                TAKEN => self.take(now, received, id, delivery, batch)?,
                MALFORMED => self.totals.malformed += 1,
                _ => {}
            }
            received.verdicts.push((site, verdict));
        }
        Ok(())
    }

    fn take(
        &mut self,
        now: i64,
        received: &mut Received,
        id: [u8; 32],
        delivery: Delivery,
        batch: &mut Batch,
    ) -> Result<(), Turn> {
        let head = &delivery.head;
        let (site, from, nonce) = (head.site, head.device, head.nonce);
        self.chain_break(&delivery, batch);
        // What a relay or a colleague carries says nothing about the clock it was made under.
        let ahead_s = received.ahead_s(now).filter(|_| from == received.device);
        let wrong = ahead_s.filter(|ahead_s| ahead_s.saturating_abs() > CLOCK_NOTED_S);
        let span = wrong.and_then(|ahead_s| span(&delivery, ahead_s));
        received.own.insert(id);
        received.brought = true;
        batch.ids.insert((site, id));
        batch.by.insert((site, received.device));
        if self.comes_late(received.device, &delivery) {
            // The note stands before the delivery, so that nobody ever shows it otherwise.
            let known = self.arrived_before(&delivery, batch)?;
            let note = self.late(site, id, &known);
            batch.arrivals.push((site, note));
        }
        batch.arrivals.push((site, Arrival::Delivery(Box::new(delivery))));
        if let Some(span) = span {
            let note = self.clock_note(site, from, nonce, span);
            batch.arrivals.push((site, note));
        }
        Ok(())
    }

    /// Changes of a delivery that are in the log, or just about to be, by another delivery.
    fn arrived_before(
        &mut self,
        delivery: &Delivery,
        batch: &Batch,
    ) -> Result<Vec<[u8; 32]>, Turn> {
        let site = delivery.head.site;
        self.fold_site(site)?;
        let mut before = vec![];
        let mut coming: BTreeSet<&[u8]> = BTreeSet::new();
        for (_, arrival) in batch.arrivals.iter().filter(|(at, _)| *at == site) {
            if let Arrival::Delivery(other) = arrival {
                coming.extend(other.docs.iter().flat_map(|part| &part.changes).map(Vec::as_slice));
            }
        }
        for part in &delivery.docs {
            for change in &part.changes {
                let Ok(scan) = scan(change) else { continue };
                if coming.contains(change.as_slice()) || self.view.has(part.doc, &scan.hash)? {
                    before.push(scan.hash);
                }
            }
        }
        Ok(before)
    }

    /// Whether a delivery comes after its key was revoked. What a colleague brings of the time before, to a
    /// hub that lost it, does not.
    fn comes_late(&self, from: DeviceId, delivery: &Delivery) -> bool {
        let signer = self.access.device(delivery.head.device);
        signer.is_some_and(|signer| {
            let before = from != delivery.head.device && signer.accepted(&delivery.head);
            signer.revoked.is_some() && !before
        })
    }

    /// Takes notes back that this hub signed and has lost: certificates and revocations.
    fn notes_again(&mut self, notes: &[SignedNote]) -> Result<(), Turn> {
        let company = self.identity.company();
        for note in notes.iter().take(NOTES_MAX) {
            let note = Note { bytes: note.bytes.to_vec(), signature: note.signature };
            let news = note.says().is_ok_and(|says| self.access.is_news(&says));
            if news && note.signed_by(&self.identity.public(), company) {
                self.append_notes(company, vec![Arrival::Note(note)])?;
            }
        }
        Ok(())
    }

    /// A device that this hub does not know any more may bring the certificate that it was once given.
    fn introduce(&mut self, body: &[u8]) -> Result<(), Turn> {
        let Ok(envelope) = Envelope::open(body) else { return Ok(()) };
        if self.access.device(envelope.device).is_some() {
            return Ok(());
        }
        let Ok(ask) = decode::<Ask>(envelope.ask, REQUEST_BYTES_MAX) else { return Ok(()) };
        let of_device = |note: &&SignedNote| {
            let note = Note { bytes: note.bytes.to_vec(), signature: note.signature };
            matches!(note.says(), Ok(Says::Certificate(certificate))
                if device_id(&certificate.key) == envelope.device)
        };
        let own: Vec<SignedNote> = ask.notes.iter().flatten().filter(of_device).cloned().collect();
        self.notes_again(&own)
    }

    fn judge(
        &self,
        delivery: &Delivery,
        id: [u8; 32],
        plain: bool,
        batch: &Batch,
    ) -> Result<Verdict, Turn> {
        let mut short = [0; 8];
        short.copy_from_slice(&id[..8]);
        let verdict = |answer, words| Verdict { id: short, answer, words, at: None };
        let site = delivery.head.site;
        let at = self.log.number(site, &id)?;
        if batch.ids.contains(&(site, id)) || at.is_some() {
            return Ok(Verdict { at, ..verdict(HAD_IT, None) });
        }
        let company = self.identity.company();
        // A relay or a colleague may carry what another device signed: the signer's rights count.
        let Some(signer) = self.access.device(delivery.head.device) else {
            let words = "nobody enrolled the device that signed it".to_owned();
            return Ok(verdict(NOT_YOURS, Some(words)));
        };
        if !signer.might(site, company) {
            let words = "the device that signed it is not enrolled for this site".to_owned();
            return Ok(verdict(NOT_YOURS, Some(words)));
        }
        if let Err(wrong) = delivery.check(&signer.certificate.key) {
            return Ok(match wrong {
                DeliveryWrong::Signature if !plain => {
                    verdict(SAY_PLAIN, Some("the packed form could not be read".to_owned()))
                }
                wrong => verdict(MALFORMED, Some(wrong.to_string())),
            });
        }
        let begun = site == company
            || batch.arrivals.iter().any(|(at, _)| *at == site)
            || self.log.end(site)?.n > 0;
        if !begun && !signer.might_begin_site() {
            let words =
                "the hub does not know this site yet; the office has to begin it".to_owned();
            return Ok(verdict(NOT_YET, Some(words)));
        }
        Ok(verdict(TAKEN, None))
    }

    /// A gap, a repeat or a fork in a session's chain is reported and never refused: it tells of a
    /// restored or copied device.
    fn chain_break(&mut self, delivery: &Delivery, batch: &Batch) {
        let head = &delivery.head;
        let first = head.previous == [0; 32] && head.seq == 1;
        let known = first
            || batch.ids.contains(&(head.site, head.previous))
            || self.log.number(head.site, &head.previous).is_ok_and(|n| n.is_some());
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
