//! The second half of a request: what the device does not know yet.

use std::collections::{BTreeMap, BTreeSet};

use client_core::exchange::delivery::Delivery;
use client_core::exchange::frame::{PATH, Reply, SiteReply, Told, Verdict};
use client_core::exchange::pack::{pack, pack_plain};
use client_core::exchange::place::{self, Place};
use client_core::record::doc_id::DocId;
use client_core::record::id::SiteId;

use super::start::at;
use super::{Ends, Hub, Received, Turn};
use crate::access::Enrolled;
use crate::log::{Arrival, Stored};

/// Most bytes of directory rows in one reply.
const PEOPLE_BYTES: usize = 64 * 1024;

impl Hub {
    pub(super) fn reply(
        &mut self,
        now: i64,
        mut received: Received,
        ends: &Ends,
    ) -> Result<Reply, Turn> {
        if received.stale {
            return Ok(self.counter_reply(now, received.device, PATH));
        }
        let enrolled = self.access.device(received.device).ok_or(Turn::Unknown)?.clone();
        let mut reply = Reply { clock: now, ..Reply::default() };
        reply.people_taken = received.ask.people.is_some().then_some(true);
        reply.notes_taken = received.notes_taken.then_some(true);
        if let Some(reason) = &enrolled.revoked {
            // Nothing new goes out to a revoked key; what it brought was taken.
            reply.revoked = Some(reason.clone());
            let mut replies = vec![];
            verdicts_of(&received, &mut replies);
            reply.sites = some(replies);
            return Ok(reply);
        }
        let company = self.identity.company();
        let sites = self.sites_of(&enrolled, &received, ends);
        let known = self.known_places(&received, &sites, ends)?;
        reply.say_places = known.is_none().then_some(true);
        let all_known = known.is_some();
        let known = known.unwrap_or_else(|| said(&received));
        let mut room = self.page_bytes;
        let mut replies: Vec<SiteReply> = vec![];
        let mut after: Vec<(SiteId, Place)> = vec![];
        for site in &sites {
            let mut one = SiteReply::new(*site);
            one.verdicts = some(self.take_verdicts(&mut received, *site, known.get(site))?);
            match known.get(site) {
                // A first exchange leads to its place by itself.
                Some(place) if place.n == 0 && starts(&received, *site) => {
                    after.push((*site, *place));
                }
                Some(place) => {
                    let place = self.tell(&received, *place, &mut one, &mut room)?;
                    after.push((*site, place));
                }
                None if all_known => {
                    one.assigned = Some(self.log.end(*site)?.n);
                    one.log = Some(self.log.id());
                    one.more = Some(true);
                    after.push((*site, Place::begin(self.log.id(), *site)));
                }
                None => {}
            }
            if *site == company && one.more.is_some() {
                // Certificates first: without them nobody can tell who signed the rest.
                room = 0;
            }
            if one != SiteReply::new(*site) {
                replies.push(one);
            }
        }
        if room > 0 {
            self.first_exchanges(&received, &sites, &mut replies, &mut after)?;
        }
        self.wanted(&received, &sites, &mut replies)?;
        strays(&received, &enrolled, company, known.keys().copied(), &mut replies);
        self.directory(&received, company, &mut reply, &mut replies)?;
        replies.sort_by_key(|one| (one.site != company, one.site));
        reply.sites = some(replies);
        if all_known {
            self.remembered.remember(received.device, after);
        }
        Ok(reply)
    }

    /// Sites of a device, the company's own first: those that have a log, and those that the device says
    /// it knows. A hub that was restored from a backup may have lost the whole log of a site, and the
    /// device can bring it back.
    fn sites_of(&self, enrolled: &Enrolled, received: &Received, ends: &Ends) -> Vec<SiteId> {
        let company = self.identity.company();
        let mut sites: BTreeSet<SiteId> = ends.now.iter().map(|(site, _)| *site).collect();
        let said = received.ask.places.iter().flatten();
        sites.extend(said.map(|said| said.site));
        sites.extend(received.ask.starts.iter().flatten().map(|start| start.site));
        let remembered = self.remembered.places(received.device).unwrap_or_default();
        sites.extend(remembered.iter().map(|(site, _)| *site));
        sites.retain(|site| *site != company && enrolled.may(*site, company));
        std::iter::once(company).chain(sites).collect()
    }

    /// The device's places: as it said them, or as its digest tells. None: it has to say them.
    fn known_places(
        &self,
        received: &Received,
        sites: &[SiteId],
        ends: &Ends,
    ) -> Result<Option<BTreeMap<SiteId, Place>>, Turn> {
        let Some(digest) = received.ask.digest else { return Ok(Some(said(received))) };
        let version = match received.ask.directory {
            Some(version) => version,
            None => self.access.directory_version()?,
        };
        // What began in this very batch is not among the places that the device had when it asked. What
        // it says of single sites beside the digest holds.
        let before = sites.iter().filter_map(|site| Some((*site, *ends.before.get(site)?)));
        let remembered = self.remembered.places(received.device).unwrap_or_default();
        let fits = |mut places: BTreeMap<SiteId, Place>| {
            places.extend(said(received));
            let listed: Vec<(SiteId, Place)> = places.iter().map(|(a, b)| (*a, *b)).collect();
            (place::digest(&listed, version) == digest).then_some(places)
        };
        Ok(fits(before.collect()).or_else(|| fits(remembered.iter().copied().collect())))
    }

    /// Takes the verdicts of a site out of what was received. A delivery that was taken is echoed by the
    /// log itself, unless it lies before the place from which the log is told.
    fn take_verdicts(
        &self,
        received: &mut Received,
        site: SiteId,
        from: Option<&Place>,
    ) -> Result<Vec<Verdict>, Turn> {
        let all = std::mem::take(&mut received.verdicts);
        let (own, rest): (Vec<_>, Vec<_>) = all.into_iter().partition(|(at, _)| *at == site);
        received.verdicts = rest;
        // What the log held before a place says something only to a device that follows this very log: its
        // place has to be found out first.
        let shared = match from {
            Some(from) => self.log.chain_at(site, from.n)? == Some(from.chain),
            None => false,
        };
        let starts = starts(received, site) && from.is_none_or(|from| from.n == 0 || shared);
        let mut told = vec![];
        for (_, mut verdict) in own {
            if verdict.answer < 2 {
                let id = received.own.iter().find(|id| id[..8] == verdict.id);
                if let (None, Some(id)) = (verdict.at, id) {
                    verdict.at = self.log.number(site, id)?;
                }
                let before =
                    shared && from.is_some_and(|from| verdict.at.is_some_and(|n| n <= from.n));
                if !starts && !before {
                    continue;
                }
            }
            told.push(verdict);
        }
        Ok(told)
    }

    /// A page of the directory, when the device's is older.
    fn directory(
        &self,
        received: &Received,
        company: SiteId,
        reply: &mut Reply,
        replies: &mut Vec<SiteReply>,
    ) -> Result<(), Turn> {
        let Some(known) = received.ask.directory else { return Ok(()) };
        if known >= self.access.directory_version()? {
            return Ok(());
        }
        let page = self.access.people_after(known, PEOPLE_BYTES)?;
        reply.directory = Some(page.version);
        reply.people = Some(page.rows);
        if page.more {
            at(replies, company).more = Some(true);
        }
        Ok(())
    }

    /// Tells what arrived after a place, as far as there is room; gives the place after it.
    fn tell(
        &mut self,
        received: &Received,
        from: Place,
        one: &mut SiteReply,
        room: &mut usize,
    ) -> Result<Place, Turn> {
        let site = one.site;
        let end = self.log.end(site)?;
        let own_log = self.log.id();
        let shared = from.n <= end.n && self.log.chain_at(site, from.n)? == Some(from.chain);
        if !shared {
            return self.climb(received, from, one);
        }
        if from.log != own_log {
            one.log = Some(own_log);
        }
        let backed_up = self.log.backed_up(site)?;
        one.backed_up = (backed_up > 0 && from.n < end.n).then_some(backed_up);
        if *room == 0 || from.n == end.n {
            one.more = (from.n < end.n).then_some(true);
            return Ok(Place { log: own_log, ..from });
        }
        let page = self.log.after(site, from.n, *room)?;
        let mut place = Place { log: own_log, ..from };
        let mut told = vec![];
        let mut packed: Vec<&Delivery> = vec![];
        let mut bytes = 0;
        for stored in &page {
            told.push(match &stored.arrival {
                Arrival::Note(note) => {
                    bytes += note.bytes.len() + 64;
                    Told::Note(note.bytes.clone().into(), note.signature)
                }
                Arrival::Delivery(_) if received.own.contains(&stored.id) => Told::Own(stored.id),
                Arrival::Delivery(delivery) => {
                    packed.push(delivery);
                    Told::Packed
                }
            });
            place = place.after(&stored.id);
        }
        if !packed.is_empty() {
            let pack = pack(site, &packed).unwrap_or_else(|_| pack_plain(&packed));
            bytes += pack.len();
            one.pack = Some(pack.into());
        }
        *room = room.saturating_sub(bytes.max(1));
        let mut check = [0; 8];
        check.copy_from_slice(&place.chain[..8]);
        one.check = Some(check);
        one.told = Some(told);
        one.more = (place.n < end.n).then_some(true);
        self.rows_touched(received, one, &page)?;
        Ok(place)
    }

    /// The place is not shared: find the last one that is, or ask for a ladder.
    fn climb(&self, received: &Received, from: Place, one: &mut SiteReply) -> Result<Place, Turn> {
        let site = one.site;
        let ladders = received.ask.ladders.as_deref().unwrap_or_default();
        let Some(ladder) = ladders.iter().find(|ladder| ladder.site == site) else {
            one.climb = Some(true);
            return Ok(from);
        };
        for step in &ladder.steps {
            if self.log.chain_at(site, step.n)? == Some(step.chain) {
                one.common = Some(step.n);
                one.log = Some(self.log.id());
                one.more = Some(true);
                return Ok(Place { log: self.log.id(), n: step.n, chain: step.chain });
            }
        }
        one.common = Some(0);
        one.log = Some(self.log.id());
        one.more = Some(true);
        Ok(Place::begin(self.log.id(), site))
    }

    /// Rows of documents touched, for a site that the device follows by rows.
    fn rows_touched(
        &mut self,
        received: &Received,
        one: &mut SiteReply,
        page: &[Stored],
    ) -> Result<(), Turn> {
        let by_rows = received.ask.by_rows.as_deref().unwrap_or_default();
        if !by_rows.contains(&one.site) {
            return Ok(());
        }
        let mut docs: Vec<DocId> = vec![];
        for stored in page {
            if let Arrival::Delivery(delivery) = &stored.arrival {
                docs.extend(delivery.docs.iter().map(|part| part.doc));
            }
        }
        docs.sort_unstable();
        docs.dedup();
        self.fold_site(one.site)?;
        one.rows = self.view.rows_of(one.site, &docs)?;
        Ok(())
    }
}

/// Sites that the device follows, or has brought something for, and that are not its own any more.
fn strays(
    received: &Received,
    enrolled: &Enrolled,
    company: SiteId,
    known: impl Iterator<Item = SiteId>,
    replies: &mut Vec<SiteReply>,
) {
    verdicts_of(received, replies);
    let brought = received.verdicts.iter().map(|(site, _)| *site);
    for site in known.chain(brought).filter(|site| !enrolled.may(*site, company)) {
        at(replies, site).gone = Some(true);
    }
}

/// Verdicts that no site's part of the reply tells yet.
fn verdicts_of(received: &Received, replies: &mut Vec<SiteReply>) {
    for (site, verdict) in &received.verdicts {
        at(replies, *site).verdicts.get_or_insert_default().push(verdict.clone());
    }
}

fn starts(received: &Received, site: SiteId) -> bool {
    received.ask.starts.iter().flatten().any(|start| start.site == site)
}

fn said(received: &Received) -> BTreeMap<SiteId, Place> {
    let places = received.ask.places.iter().flatten();
    places.map(|said| (said.site, said.place)).collect()
}

fn some<T>(list: Vec<T>) -> Option<Vec<T>> {
    if list.is_empty() { None } else { Some(list) }
}
