//! The second half of a request: what the device does not know yet.

use std::collections::BTreeMap;

use client_core::exchange::delivery::Delivery;
use client_core::exchange::frame::{Reply, SiteReply, Told, Verdict};
use client_core::exchange::pack::pack;
use client_core::exchange::place::{self, Place};
use client_core::record::doc_id::DocId;
use client_core::record::id::{LogId, SiteId};

use super::{Hub, Received, Turn};
use crate::access::Enrolled;
use crate::log::{Arrival, Stored};

impl Hub {
    pub(super) fn reply(
        &mut self,
        now: i64,
        mut received: Received,
        ends_before: &BTreeMap<SiteId, Place>,
    ) -> Result<Reply, Turn> {
        if received.stale {
            return Ok(self.counter_reply(now, received.device));
        }
        let enrolled = self.access.device(received.device).ok_or(Turn::Unknown)?.clone();
        let directory = self.access.directory_version()?;
        let mut reply = Reply { clock: now, ..Reply::default() };
        reply.people_taken = received.ask.people.is_some().then_some(true);
        if let Some(reason) = &enrolled.revoked {
            // Nothing new goes out to a revoked key; what it brought was taken.
            reply.revoked = Some(reason.clone());
            reply.sites = verdicts_only(&received);
            return Ok(reply);
        }
        let company = self.identity.company();
        let sites = self.sites_of(&enrolled, &received)?;
        let known = self.known_places(&received, &sites, ends_before, directory);
        reply.say_places = known.is_none().then_some(true);
        let complete = received.ask.digest.is_none();
        let known = known.unwrap_or_else(|| said(&received));
        let mut room = self.page_bytes;
        let mut replies: Vec<SiteReply> = vec![];
        let mut after: Vec<(SiteId, Place)> = vec![];
        for site in &sites {
            let mut one = SiteReply::new(*site);
            one.verdicts = some(self.take_verdicts(&mut received, *site, known.get(site))?);
            match known.get(site) {
                // A first exchange by rows tells of its own place; the log follows from there.
                Some(place) if place.n == 0 && starts(&received, *site) => {
                    after.push((*site, *place));
                }
                Some(place) => {
                    let place = self.tell(&received, *place, &mut one, &mut room)?;
                    after.push((*site, place));
                }
                None if complete && reply.say_places.is_none() => {
                    one.assigned = Some(self.log.end(*site)?.n);
                    one.log = Some(self.log.id());
                    one.more = Some(true);
                }
                None => {}
            }
            if one != SiteReply::new(*site) {
                replies.push(one);
            }
        }
        self.first_exchanges(now, &received, &sites, &mut replies)?;
        self.wanted(&received, &sites, &mut replies)?;
        self.strays(&received, &sites, known.keys().copied(), company, &mut replies);
        if received.ask.directory.is_some_and(|known| known < directory) {
            reply.directory = Some(directory);
            reply.people = Some(self.access.people_after(received.ask.directory.unwrap_or(0))?);
        }
        replies.sort_by_key(|one| (one.site != company, one.site));
        reply.sites = some(replies);
        if complete || reply.say_places.is_none() {
            self.remember(received.device, after);
        }
        Ok(reply)
    }

    /// Sites of a device that have a log or that it follows already, the company's own first.
    fn sites_of(&self, enrolled: &Enrolled, received: &Received) -> Result<Vec<SiteId>, Turn> {
        let company = self.identity.company();
        let mut sites: Vec<SiteId> = self.log.sites()?.into_iter().map(|(site, _)| site).collect();
        let ask = &received.ask;
        sites.extend(ask.places.iter().flatten().map(|said| said.site));
        sites.extend(ask.starts.iter().flatten().map(|start| start.site));
        let remembered = self.remembered.get(&received.device);
        sites.extend(remembered.iter().copied().flatten().map(|(site, _)| *site));
        sites.retain(|site| *site != company && enrolled.may(*site, company));
        sites.sort_unstable();
        sites.dedup();
        sites.insert(0, company);
        Ok(sites)
    }

    /// Takes the verdicts of a site out of what was received. A delivery that was taken is echoed by the
    /// log itself, unless it lies before the place from which the log is told.
    fn take_verdicts(
        &self,
        received: &mut Received,
        site: SiteId,
        from: Option<&Place>,
    ) -> Result<Vec<Verdict>, Turn> {
        let (own, rest): (Vec<_>, Vec<_>) =
            std::mem::take(&mut received.verdicts).into_iter().partition(|(at, _)| *at == site);
        received.verdicts = rest;
        let starts = starts(received, site);
        let mut told = vec![];
        for (_, mut verdict) in own {
            if verdict.answer < 2 {
                let id = received.own.iter().find(|id| id[..8] == verdict.id);
                if let (None, Some(id)) = (verdict.at, id) {
                    verdict.at = self.log.number(site, id)?;
                }
                let before = from.is_some_and(|from| verdict.at.is_some_and(|n| n <= from.n));
                if !starts && !before {
                    continue;
                }
            }
            told.push(verdict);
        }
        Ok(told)
    }

    /// The device's places: as it said them, or as its digest tells. None: it has to say them.
    fn known_places(
        &self,
        received: &Received,
        sites: &[SiteId],
        ends_before: &BTreeMap<SiteId, Place>,
        directory: u64,
    ) -> Option<BTreeMap<SiteId, Place>> {
        let Some(digest) = received.ask.digest else { return Some(said(received)) };
        let begin = |site: &SiteId| (*site, Place::begin(LogId([0; 8]), *site));
        let ends: Vec<(SiteId, Place)> = sites
            .iter()
            .map(|site| ends_before.get(site).map_or_else(|| begin(site), |end| (*site, *end)))
            .collect();
        let version = received.ask.directory.unwrap_or(directory);
        if place::digest(&ends, version) == digest {
            return Some(ends.into_iter().collect());
        }
        let remembered = self.remembered.get(&received.device)?;
        (place::digest(remembered, version) == digest).then(|| remembered.iter().copied().collect())
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
            let pack = pack(site, &packed).map_err(|wrong| crate::log::LogError::Damaged {
                site,
                n: from.n,
                wrong: wrong.to_string(),
            })?;
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
        self.fold()?;
        one.rows = self.view.rows_of(one.site, &docs)?;
        Ok(())
    }

    /// Sites that the device follows and that are not its own any more.
    fn strays(
        &self,
        received: &Received,
        sites: &[SiteId],
        known: impl Iterator<Item = SiteId>,
        company: SiteId,
        replies: &mut Vec<SiteReply>,
    ) {
        let enrolled = self.access.device(received.device);
        for site in known.filter(|site| !sites.contains(site)) {
            let may = enrolled.is_some_and(|enrolled| enrolled.may(site, company));
            if !may {
                let mut one = SiteReply::new(site);
                one.gone = Some(true);
                replies.push(one);
            }
        }
        // Verdicts on what was brought for a site that has no log or is not the device's.
        for (site, verdict) in &received.verdicts {
            match replies.iter_mut().find(|one| one.site == *site) {
                Some(one) => one.verdicts.get_or_insert_default().push(verdict.clone()),
                None => {
                    let mut one = SiteReply::new(*site);
                    one.verdicts = Some(vec![verdict.clone()]);
                    replies.push(one);
                }
            }
        }
    }
}

fn starts(received: &Received, site: SiteId) -> bool {
    received.ask.starts.iter().flatten().any(|start| start.site == site)
}

fn said(received: &Received) -> BTreeMap<SiteId, Place> {
    let places = received.ask.places.iter().flatten();
    places.map(|said| (said.site, said.place)).collect()
}

fn verdicts_only(received: &Received) -> Option<Vec<SiteReply>> {
    let mut replies: Vec<SiteReply> = vec![];
    for (site, verdict) in &received.verdicts {
        match replies.iter_mut().find(|one| one.site == *site) {
            Some(one) => one.verdicts.get_or_insert_default().push(verdict.clone()),
            None => {
                let mut one = SiteReply::new(*site);
                one.verdicts = Some(vec![verdict.clone()]);
                replies.push(one);
            }
        }
    }
    some(replies)
}

fn some<T>(list: Vec<T>) -> Option<Vec<T>> {
    if list.is_empty() { None } else { Some(list) }
}
