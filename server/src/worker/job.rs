//! What the worker is asked, and what it answers.

use std::sync::Arc;

use client_core::exchange::frame::FrameWrong;
use client_core::record::id::SiteId;
use client_core::store::{Read, Store, StoreError};
use tokio::sync::oneshot::Sender;

use super::{Made, Rings, Task};
use crate::access::CodeWrong;
use crate::hub::{Hearer, Turn};

/// Why a request has no answer of its own kind.
#[derive(Debug, thiserror::Error)]
pub enum Wrong {
    /// The hub turned it away.
    #[error(transparent)]
    Turn(Turn),
    /// The code is not taken.
    #[error(transparent)]
    Code(CodeWrong),
    /// It cannot be read.
    #[error(transparent)]
    Frame(FrameWrong),
    /// It stopped the hub in its tracks.
    #[error("the hub could not work this request out; nothing was taken")]
    Panicked,
    /// The hub is closed for a moment.
    #[error("the hub is opening its stores; try again in a moment")]
    Closed,
    /// As many hear the bell as may.
    #[error("as many devices hear the bell as may; exchange now and then instead")]
    Full,
}

/// An answer's body, or why there is none.
pub type Answer = Result<Vec<u8>, Wrong>;

/// What the worker is asked.
#[derive(Debug)]
pub enum Job {
    /// An exchange.
    Exchange {
        /// The request's body.
        body: Vec<u8>,
        /// Where the answer goes.
        answer: Sender<Answer>,
    },
    /// An order of the office.
    Office {
        /// The request's body.
        body: Vec<u8>,
        /// Where the answer goes.
        answer: Sender<Answer>,
    },
    /// A piece of a picture.
    Photo {
        /// The request's body.
        body: Vec<u8>,
        /// Where the answer goes.
        answer: Sender<Answer>,
    },
    /// A key that wants to join.
    Enrol {
        /// The address that asks.
        from: String,
        /// The request's body.
        body: Vec<u8>,
        /// Where the answer goes.
        answer: Sender<Answer>,
    },
    /// A device that wants to hear the bell.
    Bell {
        /// The request's body.
        body: Vec<u8>,
        /// Where the rings go.
        answer: Sender<Result<Rings, Wrong>>,
    },
    /// A page.
    Page {
        /// What is done.
        task: Task,
        /// Where the answer goes.
        answer: Sender<Result<Made, Wrong>>,
    },
    /// Somebody on a page who wants to hear the bell.
    Hear {
        /// Who.
        hearer: Hearer,
        /// Where the rings go.
        answer: Sender<Result<Rings, Wrong>>,
    },
    /// The console.
    Console(ConsoleJob),
    /// Now and then: what does not want to be done at every request.
    Tick,
    /// The hub stops: nobody hears the bell any more.
    Quiet,
}

/// What the console asks.
#[derive(Debug)]
pub enum ConsoleJob {
    /// A supervisor's one-time code.
    Code {
        /// Even though there is a supervisor.
        another: bool,
        /// Where the answer goes.
        answer: Sender<Result<NewCode, Wrong>>,
    },
    /// The log's store as it stands now.
    Snapshot {
        /// Where the answer goes.
        answer: Sender<Result<Box<Snapshot>, Wrong>>,
    },
    /// A backup was taken and holds these ends.
    BackedUp {
        /// Ends of the logs in it.
        ends: Vec<(SiteId, u64)>,
        /// Where the answer goes.
        answer: Sender<Result<(), Wrong>>,
    },
    /// Give unused pages back.
    Compact {
        /// Where the answer goes.
        answer: Sender<Result<(), ConsoleWrong>>,
    },
}

/// Why the console's order was not carried out.
#[derive(Debug, thiserror::Error)]
pub enum ConsoleWrong {
    /// The hub is closed for a moment.
    #[error("the hub is opening its stores; try again in a moment")]
    Closed,
    /// A backup or check reads the store.
    #[error("a backup or check is reading the store; try again after it")]
    InUse,
    /// The store failed.
    #[error(transparent)]
    Store(StoreError),
}

/// A supervisor's code.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum NewCode {
    /// A code, and the token of the link that does the same.
    Code {
        /// To be typed.
        code: String,
        /// For a link.
        token: String,
        /// Until when, seconds since 1970.
        until: i64,
    },
    /// There is a supervisor already.
    NotNeeded,
}

/// The log's store as it stood at one moment.
#[derive(Debug)]
pub struct Snapshot {
    /// What it held.
    pub read: Read,
    /// Keeps the store open as long as it is read.
    pub(super) _store: Arc<Store>,
}
