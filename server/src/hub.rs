//! The hub without sockets: requests in, replies out, one log below.
//!
//! A batch of requests is answered together: what they bring is appended in one durable commit, then
//! each reply is made. Nothing is acknowledged that the log does not hold.

mod bell;
mod deed;
mod enrol;
mod fold;
mod notes;
mod office;
mod page;
mod people;
mod photo;
mod receive;
mod remembered;
mod start;
mod tell;

use std::collections::{BTreeMap, BTreeSet};

use client_core::exchange::frame::{COUNTER_MAX, Envelope, FrameWrong, PAGE_BYTES, Reply, encode};
use client_core::exchange::place::Place;
use client_core::record::id::{DeviceId, SiteId};
use client_core::store::StoreError;
use client_core::store::pictures::Pictures as Files;

use crate::access::counter::Heard;
use crate::access::{Access, Enrolled};
use crate::identity::HubIdentity;
use crate::log::{Arrival, HubLog, LogError};
use crate::quota::{Quota, Used};
use crate::view::{View, ViewError};

pub use bell::Hearer;
pub use deed::DeedWrong;
pub use page::{Acting, Joining, LABEL};
pub use receive::Received;

use deed::PagePen;
use photo::Pictures;
use receive::Batch;
use remembered::Remembered;

/// Where random bytes come from.
pub type Random = Box<dyn FnMut(&mut [u8]) + Send>;

/// Why a request gets no reply of its own kind.
#[derive(Debug, thiserror::Error)]
pub enum Turn {
    /// It cannot be read.
    #[error(transparent)]
    Frame(#[from] FrameWrong),
    /// Nobody enrolled this key.
    #[error("this device is not enrolled here; join with a code of the office")]
    Unknown,
    /// Not signed by the device it names.
    #[error("the request is not signed by the device it names")]
    Signature,
    /// The device was revoked.
    #[error("this device was revoked; ask the office")]
    Revoked,
    /// The person may not order this.
    #[error("this device's role may not order that")]
    Role,
    /// The request was sent before, or is older than one that was.
    #[error("the hub has answered a later request of this device; ask again")]
    Stale {
        /// A counter that is fresh.
        counter: u64,
    },
    /// The device asks too much.
    #[error("this device asks more than its share; wait {wait_s} s")]
    Quota {
        /// Seconds to wait.
        wait_s: u32,
    },
    /// The disk is full: nothing was taken.
    #[error("the hub's disk is full; nothing was taken, tell whoever runs the hub")]
    Full,
    /// The commit that it shared with others failed: nothing was taken.
    #[error("the hub could not store it; nothing was taken, try again")]
    NotStored,
    /// The log failed: nothing was taken.
    #[error("the hub could not read or write its log; nothing was taken, try again")]
    Log(#[from] LogError),
    /// The store failed.
    #[error("the hub could not read or store; try again")]
    Store(#[from] StoreError),
    /// The view failed.
    #[error("the hub could not lay out its documents; try again")]
    View(#[from] ViewError),
    /// A picture's file failed.
    #[error("the hub could not read or write the file of the picture ({0}); try again")]
    Photo(std::io::ErrorKind),
}

/// The hub.
pub struct Hub {
    identity: HubIdentity,
    log: Box<dyn HubLog>,
    access: Access,
    view: View,
    remembered: Remembered,
    seen: BTreeMap<DeviceId, Heard>,
    counters: Counters,
    pens: BTreeMap<DeviceId, PagePen>,
    pictures: Pictures,
    used: Used<DeviceId>,
    notes: u64,
    random: Random,
    rung: BTreeMap<SiteId, Option<DeviceId>>,
    behind: Option<BTreeSet<SiteId>>,
    totals: Totals,
    failure: Option<LogError>,
    sites: u64,
    page_bytes: usize,
}

/// How far each device has counted its requests.
#[derive(Debug, Default)]
struct Counters {
    last: BTreeMap<DeviceId, u64>,
    /// Counters of exchanges at or below this are not fresh, whatever the device.
    floor: u64,
    /// The same for orders, which keep their counters before they are carried out.
    order_floor: u64,
    /// Devices whose counter is not kept yet.
    unkept: BTreeSet<DeviceId>,
}

/// Ends of all logs before and after what a batch brought.
struct Ends {
    before: BTreeMap<SiteId, Place>,
    now: Vec<(SiteId, Place)>,
}

/// Counts since the start, for metrics.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Totals {
    /// Requests answered.
    pub requests: u64,
    /// Requests turned away.
    pub turned: u64,
    /// Deliveries appended.
    pub deliveries: u64,
    /// Changes in them.
    pub changes: u64,
    /// Deliveries that were there already.
    pub repeats: u64,
    /// Deliveries refused as malformed.
    pub malformed: u64,
    /// Changes refused by the gate at the fold.
    pub refused: u64,
    /// Appends, each one durable commit.
    pub commits: u64,
    /// Gaps, repeats and forks seen in chains of deliveries.
    pub chain_breaks: u64,
}

impl std::fmt::Debug for Hub {
    fn fmt(&self, out: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(out, "Hub({})", self.identity.hub)
    }
}

impl Hub {
    /// A hub on a log, with its view.
    pub fn new(
        identity: HubIdentity,
        log: Box<dyn HubLog>,
        access: Access,
        view: View,
        random: Random,
    ) -> Hub {
        Hub {
            identity,
            log,
            access,
            view,
            remembered: Remembered::default(),
            seen: BTreeMap::new(),
            counters: Counters::default(),
            pens: BTreeMap::new(),
            pictures: Pictures::default(),
            used: Used::new(Quota::default()),
            notes: 0,
            random,
            rung: BTreeMap::new(),
            behind: None,
            totals: Totals::default(),
            failure: None,
            sites: 0,
            page_bytes: PAGE_BYTES,
        }
    }

    /// Takes pages of another size than the usual one.
    pub const fn set_page_bytes(&mut self, bytes: usize) {
        self.page_bytes = bytes;
    }

    /// Limits what each device may ask.
    pub fn limit(&mut self, quota: Quota) {
        self.used = Used::new(quota);
    }

    /// Keeps pictures there. Without it none are taken.
    pub fn keep_photos(&mut self, photos: Files) {
        self.pictures = Pictures::kept_in(photos);
    }

    /// Goes on where an earlier run stopped. An exchange that somebody recorded before `now` is not fresh
    /// any more: a device whose clock is behind is told which counter to use.
    pub fn resume(&mut self, now: i64, totals: Totals) -> Result<(), StoreError> {
        self.counters.floor = u64::try_from(now).unwrap_or_default().saturating_mul(1_000);
        self.counters.order_floor = self.access.order_floor()?;
        self.counters.last = self.access.counters()?.into_iter().collect();
        self.seen = self.access.heard()?.into_iter().collect();
        self.totals = totals;
        Ok(())
    }

    /// Keeps counters that are not kept yet; says whether there were any.
    pub fn keep_counters(&mut self) -> Result<bool, StoreError> {
        let unkept = std::mem::take(&mut self.counters.unkept);
        let (last, seen) = (&self.counters.last, &self.seen);
        let of = |device| {
            last.get(&device).map(|counter| (device, *counter, seen.get(&device).copied()))
        };
        let kept = !unkept.is_empty();
        if kept {
            self.access.keep_counters(unkept.into_iter().filter_map(of))?;
        }
        Ok(kept)
    }

    /// The hub's key and installation.
    pub const fn identity(&self) -> &HubIdentity {
        &self.identity
    }

    /// Who may write and read.
    pub const fn access(&self) -> &Access {
        &self.access
    }

    /// Who may write and read, for making codes.
    pub const fn access_mut(&mut self) -> &mut Access {
        &mut self.access
    }

    /// The log.
    pub fn log(&self) -> &dyn HubLog {
        self.log.as_ref()
    }

    /// The view.
    pub const fn view_mut(&mut self) -> &mut View {
        &mut self.view
    }

    /// Counts since the start.
    pub const fn totals(&self) -> Totals {
        self.totals
    }

    /// How many sites have a log, as far as the last look at all of them told.
    pub const fn site_count(&self) -> u64 {
        self.sites
    }

    /// Fills bytes at random.
    pub fn fill(&mut self, out: &mut [u8]) {
        (self.random)(out);
    }

    /// Why the last batch could not be stored, once.
    pub const fn take_failure(&mut self) -> Option<LogError> {
        self.failure.take()
    }

    /// Sites that got something new since the last time this was asked, each with the device that brought
    /// it, where it was one alone: it has been told in its reply.
    pub fn rung(&mut self) -> BTreeMap<SiteId, Option<DeviceId>> {
        std::mem::take(&mut self.rung)
    }

    /// Answers a batch of exchange requests.
    pub fn exchange(&mut self, now: i64, bodies: &[&[u8]]) -> Vec<Result<Vec<u8>, Turn>> {
        let before = match self.log.sites() {
            Ok(sites) => sites,
            Err(wrong) => return self.none_answered(wrong, bodies.len()),
        };
        let mut batch = Batch::default();
        let received: Vec<Result<Received, Turn>> =
            bodies.iter().map(|body| self.receive(now, body, &mut batch)).collect();
        let failed = self.append(&batch.arrivals).err();
        let moved = failed.is_none() && !batch.arrivals.is_empty();
        let ends = if moved { self.log.sites() } else { Ok(before.clone()) };
        let ends = match ends {
            Ok(now) => {
                self.sites = u64::try_from(now.len()).unwrap_or_default();
                Ends { before: before.into_iter().collect(), now }
            }
            Err(wrong) => return self.none_answered(wrong, bodies.len()),
        };
        if failed.is_none() {
            for (site, by) in batch.by {
                self.ring(site, Some(by));
            }
        }
        let replies = received.into_iter().map(|one| {
            let reply = one.and_then(|one| match &failed {
                // Nothing is acknowledged that the log does not hold.
                Some(wrong) if one.brought => Err(not_stored(wrong)),
                _ => self.reply(now, one, &ends),
            });
            self.totals.requests += 1;
            self.totals.turned += u64::from(reply.is_err());
            reply.map(|reply| encode(&reply))
        });
        let replies = replies.collect();
        self.failure = failed;
        replies
    }

    fn none_answered(&mut self, wrong: LogError, requests: usize) -> Vec<Result<Vec<u8>, Turn>> {
        let turned = u64::try_from(requests).unwrap_or_default();
        self.totals.requests += turned;
        self.totals.turned += turned;
        let replies = (0..requests).map(|_| Err(not_stored(&wrong))).collect();
        self.failure = Some(wrong);
        replies
    }

    /// Appends in one durable commit.
    fn append(&mut self, batch: &[(SiteId, Arrival)]) -> Result<(), LogError> {
        if batch.is_empty() {
            return Ok(());
        }
        self.log.append(batch)?;
        self.totals.commits += 1;
        for (site, arrival) in batch {
            if let Some(behind) = &mut self.behind {
                behind.insert(*site);
            }
            if let Arrival::Delivery(delivery) = arrival {
                let changes: usize = delivery.docs.iter().map(|part| part.changes.len()).sum();
                self.totals.deliveries += 1;
                self.totals.changes += u64::try_from(changes).unwrap_or_default();
            }
        }
        let company = self.identity.company();
        if batch.iter().any(|(site, _)| *site == company) {
            self.access.fold(self.log.as_ref(), company)?;
        }
        Ok(())
    }

    /// Appends notes of the hub itself and rings for everybody.
    fn append_notes(&mut self, site: SiteId, notes: Vec<Arrival>) -> Result<(), LogError> {
        let batch: Vec<(SiteId, Arrival)> = notes.into_iter().map(|note| (site, note)).collect();
        self.append(&batch)?;
        self.ring(site, None);
        Ok(())
    }

    fn ring(&mut self, site: SiteId, by: Option<DeviceId>) {
        let known = self.rung.entry(site).or_insert(by);
        if *known != by {
            *known = None;
        }
    }

    /// Opens a signed request: who sent it, and whether its counter is fresh. What strangers send is turned
    /// away before anything of it is read.
    fn open<'b>(
        &mut self,
        now: i64,
        body: &'b [u8],
        path: &str,
    ) -> Result<(Envelope<'b>, bool), Turn> {
        let envelope = Envelope::open(body)?;
        let device = envelope.device;
        let enrolled = self.access.device(device).ok_or(Turn::Unknown)?;
        if !envelope.signed_by(&enrolled.certificate.key, self.identity.hub, path) {
            return Err(Turn::Signature);
        }
        let now_ms = now.saturating_mul(1_000);
        self.used.may(now_ms, &device).map_err(|wait_s| Turn::Quota { wait_s })?;
        self.used.count(now_ms, &device, body.len());
        let fresh = (self.last_counter(device, path).saturating_add(1)..=COUNTER_MAX)
            .contains(&envelope.counter);
        if fresh {
            self.counters.last.insert(device, envelope.counter);
            self.counters.unkept.insert(device);
        }
        Ok((envelope, fresh))
    }

    /// The last counter of a device.
    fn last_counter(&self, device: DeviceId, path: &str) -> u64 {
        let last = self.counters.last.get(&device).copied().unwrap_or_default();
        match path {
            client_core::exchange::office::PATH => last.max(self.counters.order_floor),
            _ => last.max(self.counters.floor),
        }
    }

    /// The device of a request, when it may still ask.
    fn standing(&self, device: DeviceId) -> Result<&Enrolled, Turn> {
        let enrolled = self.access.device(device).ok_or(Turn::Unknown)?;
        if enrolled.revoked.is_some() { Err(Turn::Revoked) } else { Ok(enrolled) }
    }

    /// A reply that only says which counter to use.
    fn counter_reply(&self, now: i64, device: DeviceId, path: &str) -> Reply {
        let counter = self.last_counter(device, path).saturating_add(1);
        Reply { clock: now, counter: Some(counter), ..Reply::default() }
    }
}

/// The same failure for everybody who shared the commit.
const fn not_stored(wrong: &LogError) -> Turn {
    match wrong {
        LogError::Store(StoreError::Full) => Turn::Full,
        _ => Turn::NotStored,
    }
}
