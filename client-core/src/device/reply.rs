//! What a reply means: verdicts, arrivals, first exchanges, the directory.

use std::collections::BTreeMap;

use super::ask::{put_directory_version, waiting_people};
use super::standing::{self, following};
use super::{Device, DeviceError};
use crate::exchange::delivery::DeliveryWrong;
use crate::exchange::frame::{self, FrameWrong, Reply, SiteReply};
use crate::exchange::pack::PackWrong;
use crate::exchange::talk::{Moved, Next, Talk};
use crate::gate::Turned;
use crate::record::doc_id::DocId;
use crate::record::id::{PersonId, SiteId};
use crate::store::{Get, StoreError, Table};

/// Why a reply, or what it says of one site, was not taken.
#[derive(Debug, thiserror::Error)]
pub enum ReplyWrong {
    /// The reply cannot be read.
    #[error(transparent)]
    Frame(#[from] FrameWrong),
    /// A pack cannot be read.
    #[error("what the hub sent for site {site} cannot be read: {wrong}")]
    Pack {
        /// The site.
        site: SiteId,
        /// What is wrong.
        wrong: PackWrong,
    },
    /// A delivery does not hold together.
    #[error("a delivery for site {site} does not hold together: {wrong}")]
    Delivery {
        /// The site.
        site: SiteId,
        /// What is wrong.
        wrong: DeliveryWrong,
    },
    /// Not what the hub signed.
    #[error("a note for site {0} is not signed by the hub this device joined")]
    Note(SiteId),
    /// The chain does not fit.
    #[error("the log of site {0} does not hold together; it will be compared step by step")]
    Chain(SiteId),
    /// The hub names a delivery of this device that it does not hold.
    #[error("the hub names a delivery of this device that is not here")]
    NotOwn,
    /// A whole document did not pass.
    #[error("{doc} as the hub sent it did not pass: {turned}")]
    Whole {
        /// The document.
        doc: DocId,
        /// Why.
        turned: Turned,
    },
    /// The device failed.
    #[error(transparent)]
    Device(#[from] DeviceError),
}

impl From<StoreError> for ReplyWrong {
    fn from(wrong: StoreError) -> ReplyWrong {
        ReplyWrong::Device(wrong.into())
    }
}

/// Entries that arrived from somebody else.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Told {
    /// How many entries of each person in each document.
    pub entries: BTreeMap<(PersonId, DocId), u32>,
}

/// What an exchange did, as far as it went.
#[derive(Debug, Default)]
pub struct Report {
    /// Own deliveries that the hub's log has echoed.
    pub echoed: u32,
    /// Own changes in them.
    pub changes_up: u32,
    /// Deliveries of others taken in.
    pub taken: u32,
    /// Changes of others taken in.
    pub changes_down: u32,
    /// Changes refused by this device's gate.
    pub refused: u32,
    /// Whole documents received.
    pub wholes: u32,
    /// Rows received.
    pub rows: u64,
    /// Pieces of a first exchange that are still to come, about.
    pub left: u64,
    /// Entries from others.
    pub news: Told,
    /// Seconds that this device's clock is ahead of the hub's, as measured last.
    pub ahead_s: Option<i64>,
    /// The device's key was revoked; why.
    pub revoked: Option<String>,
    /// Sites that were taken away.
    pub gone: Vec<SiteId>,
    /// What went wrong with single sites; the others went on.
    pub wrong: Vec<ReplyWrong>,
}

impl Device {
    /// Takes a reply in. What one site's part of it gets wrong does not stop the others.
    pub fn hear(
        &mut self,
        talk: &mut Talk,
        clock: i64,
        bytes: &[u8],
        report: &mut Report,
    ) -> Result<Next, ReplyWrong> {
        let reply: Reply = frame::decode(bytes, frame::REPLY_BYTES_MAX)?;
        report.ahead_s = Some(clock.saturating_sub(reply.clock));
        report.revoked = reply.revoked.clone().or(report.revoked.take());
        let mut moved = Moved::default();
        if reply.notes_taken == Some(true) {
            let write = self.store.write()?;
            write.clear(Table::Notes, &[])?;
            write.commit()?;
        }
        if let Some(counter) = reply.counter {
            moved.counter = self.count_on(counter);
        }
        moved.moved |= self.directory(&reply)?;
        for site in reply.sites.as_deref().unwrap_or_default() {
            moved.more |= site.more == Some(true);
            match self.site(site, reply.revoked.is_some(), report) {
                Ok(site_moved) => moved.moved |= site_moved,
                // A chain that does not fit is climbed in this very talk.
                Err(ReplyWrong::Device(wrong)) => return Err(wrong.into()),
                Err(wrong) => report.wrong.push(wrong),
            }
        }
        let read = self.store.read()?;
        for (site, following) in standing::all_following(&read)? {
            moved.starts_left |= following.cursor.is_some() && !following.gone;
            moved.offers_left |= !self.offers(site, 0)?.is_empty();
            moved.offers_left |= read.count(Table::Unsent, &site.0)? > 0;
        }
        Ok(talk.hear(&reply, moved))
    }

    fn directory(&mut self, reply: &Reply) -> Result<bool, ReplyWrong> {
        let taken = reply.people_taken == Some(true);
        if reply.people.is_none() && reply.directory.is_none() && !taken {
            return Ok(false);
        }
        let write = self.store.write()?;
        for person in reply.people.as_deref().unwrap_or_default() {
            write.put(Table::Directory, &person.person.0, &standing::cbor(person))?;
        }
        if let Some(version) = reply.directory {
            put_directory_version(&write, version)?;
        }
        if taken && !waiting_people(&write)?.is_empty() {
            write.clear(Table::Requests, &[])?;
        }
        write.commit()?;
        Ok(true)
    }

    /// Takes one site's part in, in one transaction.
    fn site(
        &mut self,
        reply: &SiteReply,
        revoked: bool,
        report: &mut Report,
    ) -> Result<bool, ReplyWrong> {
        let write = self.store.write()?;
        let outcome = self.site_in(&write, reply, revoked, report);
        match outcome {
            Ok(moved) => match write.commit() {
                Ok(()) => {
                    self.signers_again()?;
                    Ok(moved)
                }
                Err(wrong) => {
                    self.start_over();
                    Err(wrong.into())
                }
            },
            Err(wrong) => {
                // Nothing of it is stored: nothing of it may stay in memory.
                drop(write);
                self.shelf.clear();
                self.signers_again()?;
                Err(wrong)
            }
        }
    }

    /// Who signs for what may have changed.
    pub(super) fn signers_again(&mut self) -> Result<(), StoreError> {
        self.signers = standing::signers(&self.store.read()?, Some(&self.identity))?;
        let own = self.session.pen.actor.half();
        if self.signers.get(own).is_none() {
            self.signers.insert(own, self.identity.signer());
        }
        Ok(())
    }

    /// How many documents of a site are held whole and how many as rows only.
    pub fn held(&self, site: SiteId) -> Result<(usize, usize), DeviceError> {
        let read = self.store.read()?;
        let docs = crate::store::doc_table::of_site(&read, site)?;
        let whole = docs.iter().filter(|(_, info)| info.whole).count();
        let rows = match following(&read, site)? {
            Some(following) if following.by_rows => read.count(Table::Rows, &[])?,
            _ => 0,
        };
        Ok((whole, usize::try_from(rows).unwrap_or(usize::MAX)))
    }
}
