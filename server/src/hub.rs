//! The hub without sockets: requests in, replies out, one log below.
//!
//! A batch of requests is answered together: what they bring is appended in one durable commit, then
//! each reply is made. Nothing is acknowledged that the log does not hold.

mod enrol;
mod notes;
mod office;
mod receive;
pub(crate) mod start;
mod tell;

use std::collections::{BTreeMap, BTreeSet};

use client_core::exchange::frame::{
    Ask, Envelope, FrameWrong, PAGE_BYTES, PATH, Reply, decode, encode,
};
use client_core::exchange::place::Place;
use client_core::record::id::{DeviceId, SiteId};
use client_core::store::StoreError;

use crate::access::Access;
use crate::identity::HubIdentity;
use crate::log::{Arrival, HubLog, LogError};
use crate::view::{View, ViewError};

pub use receive::Received;
pub(crate) use start::squeeze_rows;

/// Where random bytes come from.
pub type Random = Box<dyn FnMut(&mut [u8]) + Send>;

/// Devices whose last places are remembered, so that a digest alone is enough.
const REMEMBERED_MAX: usize = 10_000;

/// Why a request gets no reply of its own kind.
#[derive(Debug, thiserror::Error)]
pub enum Turn {
    /// It cannot be read.
    #[error(transparent)]
    Frame(#[from] FrameWrong),
    /// Nobody enrolled this key.
    #[error("this device is not enrolled here")]
    Unknown,
    /// Not signed by the device it names.
    #[error("the request is not signed by the device it names")]
    Signature,
    /// The person may not order this.
    #[error("this device's role may not order that")]
    Role,
    /// The log failed: nothing was taken.
    #[error("the hub could not store it; nothing was taken, try again")]
    Log(#[from] LogError),
    /// The store failed.
    #[error("the hub could not read or store; try again")]
    Store(#[from] StoreError),
    /// The view failed.
    #[error("the hub could not lay out its documents; try again")]
    View(#[from] ViewError),
}

/// The hub.
pub struct Hub {
    identity: HubIdentity,
    log: Box<dyn HubLog>,
    access: Access,
    view: View,
    remembered: BTreeMap<DeviceId, Vec<(SiteId, Place)>>,
    seen: BTreeMap<DeviceId, Seen>,
    counters: BTreeMap<DeviceId, u64>,
    notes: u64,
    random: Random,
    rung: BTreeSet<SiteId>,
    totals: Totals,
    page_bytes: usize,
}

/// When a device was heard last and how its clock stood.
#[derive(Clone, Copy, Debug, Default)]
struct Seen {
    at: i64,
    ahead_s: i64,
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
            remembered: BTreeMap::new(),
            seen: BTreeMap::new(),
            counters: BTreeMap::new(),
            notes: 0,
            random,
            rung: BTreeSet::new(),
            totals: Totals::default(),
            page_bytes: PAGE_BYTES,
        }
    }

    /// Takes pages of another size than the usual one.
    pub const fn set_page_bytes(&mut self, bytes: usize) {
        self.page_bytes = bytes;
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

    /// Sites that got something new since the last time this was asked.
    pub fn rung(&mut self) -> BTreeSet<SiteId> {
        std::mem::take(&mut self.rung)
    }

    /// Answers a batch of exchange requests.
    pub fn exchange(&mut self, now: i64, bodies: &[&[u8]]) -> Vec<Result<Vec<u8>, Turn>> {
        let mut received: Vec<Result<Received, Turn>> = vec![];
        let mut batch: Vec<(SiteId, Arrival)> = vec![];
        for body in bodies {
            let one = self.receive(now, body, &batch);
            if let Ok(one) = &one {
                batch.extend(one.arrivals.iter().cloned());
            }
            received.push(one);
        }
        let ends = self.ends_before();
        let appended = self.append(&batch);
        received
            .into_iter()
            .map(|one| {
                self.totals.requests += 1;
                let reply = one.and_then(|one| {
                    // Nothing is acknowledged that the log does not hold.
                    appended.as_ref().map_err(again)?;
                    let ends = ends.as_ref().map_err(again)?;
                    self.reply(now, one, ends)
                });
                self.totals.turned += u64::from(reply.is_err());
                reply.map(|reply| encode(&reply))
            })
            .collect()
    }

    fn ends_before(&self) -> Result<BTreeMap<SiteId, Place>, LogError> {
        Ok(self.log.sites()?.into_iter().collect())
    }

    /// Appends in one durable commit and rings the bell.
    fn append(&mut self, batch: &[(SiteId, Arrival)]) -> Result<(), LogError> {
        if batch.is_empty() {
            return Ok(());
        }
        self.log.append(batch)?;
        self.totals.commits += 1;
        for (site, arrival) in batch {
            self.rung.insert(*site);
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

    /// Folds what has arrived into the view, and notes in the log what its gate refused.
    pub fn fold(&mut self) -> Result<(), Turn> {
        let company = self.identity.company();
        let mut sites: Vec<SiteId> = self.log.sites()?.into_iter().map(|(site, _)| site).collect();
        // Certificates first: they say who signs for the rest.
        sites.sort_by_key(|site| (*site != company, *site));
        for site in sites {
            let refused = self.view.fold(self.log.as_ref(), &self.access, site)?;
            if refused.is_empty() {
                continue;
            }
            self.totals.refused += u64::try_from(refused.len()).unwrap_or_default();
            let notes: Vec<(SiteId, Arrival)> =
                refused.into_iter().map(|refusal| (site, self.refusal(site, refusal))).collect();
            self.append(&notes)?;
            self.view.fold(self.log.as_ref(), &self.access, site)?;
        }
        Ok(())
    }

    /// Opens a signed request: who sent it, and what they ask.
    fn open<'b>(&mut self, body: &'b [u8], path: &str) -> Result<(Envelope<'b>, bool), Turn> {
        let envelope = Envelope::open(body)?;
        let enrolled = self.access.device(envelope.device).ok_or(Turn::Unknown)?;
        if !envelope.signed_by(&enrolled.certificate.key, self.identity.hub, path) {
            return Err(Turn::Signature);
        }
        let last = self.counters.get(&envelope.device).copied().unwrap_or_default();
        let fresh = envelope.counter > last;
        if fresh {
            self.counters.insert(envelope.device, envelope.counter);
        }
        Ok((envelope, fresh))
    }

    fn ask(envelope: &Envelope<'_>) -> Result<Ask, Turn> {
        Ok(decode(envelope.ask, client_core::exchange::frame::REQUEST_BYTES_MAX)?)
    }

    fn remember(&mut self, device: DeviceId, places: Vec<(SiteId, Place)>) {
        if self.remembered.len() >= REMEMBERED_MAX && !self.remembered.contains_key(&device) {
            self.remembered.pop_first();
        }
        self.remembered.insert(device, places);
    }

    fn told_of(&mut self, device: DeviceId, now: i64, clock: i64) {
        self.seen.insert(device, Seen { at: now, ahead_s: clock.saturating_sub(now) });
    }

    /// The path of an exchange, for verifying signatures.
    const fn path() -> &'static str {
        PATH
    }

    /// A reply that only says which counter to use.
    fn counter_reply(&self, now: i64, device: DeviceId) -> Reply {
        let last = self.counters.get(&device).copied().unwrap_or_default();
        Reply { clock: now, counter: Some(last.saturating_add(1)), ..Reply::default() }
    }
}

/// The same failure for everybody who shared the commit.
fn again(_: &LogError) -> Turn {
    let wrong = std::io::Error::other("the commit they shared failed");
    Turn::Store(client_core::store::io_error(wrong))
}
