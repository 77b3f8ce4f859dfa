//! One installation: the only place where record, store and exchange meet.
//!
//! A person's act becomes automerge changes, durable before anyone is told "saved"; unsent changes are
//! sealed into deliveries; what the hub tells is checked, taken in and turned into rows.

mod act;
mod ask;
mod beside;
mod deed;
mod echo;
mod hand;
pub mod identity;
pub mod list;
mod note;
mod offer;
mod photo;
mod reenter;
mod reply;
mod rescue;
pub mod shelf;
pub mod sizes;
pub mod standing;
mod take;
mod view;

use std::collections::BTreeSet;
use std::fmt;

use ed25519_dalek::{Signer as _, SigningKey};

use crate::device::identity::Identity;
use crate::device::shelf::Shelf;
use crate::device::sizes::Sizes;
use crate::record::apply::Pen;
use crate::record::doc::session_actor;
use crate::record::doc_id::DocId;
use crate::record::id::{Actor, DeviceId, SiteId};
use crate::record::refused::Refused;
use crate::record::signer::Signers;
use crate::store::{Store, StoreError};

pub use act::Step;
pub use ask::Wish;
pub use hand::{HAND_OVER_BYTES_MAX, HandWrong};
pub use list::Listed;
pub use photo::{Carried as PhotoCarried, Heard as PhotoHeard, PhotoTalk, PhotosWaiting};
pub use reply::{ReplyWrong, Report, Told as News};
pub use rescue::{RescueWrong, hand_over_of};
pub use standing::{EntryState, Quarantined, Unsent};
pub use view::{Opened, Wanted};

/// Where random bytes come from. The caller brings it: a seed in tests, the system's source elsewhere.
pub type Random = Box<dyn FnMut(&mut [u8]) + Send>;

/// One installation.
pub struct Device {
    store: Store,
    identity: Identity,
    key: SigningKey,
    session: Session,
    shelf: Shelf,
    signers: Signers,
    random: Random,
    counter: u64,
    sizes: Sizes,
    /// Deliveries that the hub has turned away in this talk: they are offered again in the next one.
    turned: BTreeSet<[u8; 8]>,
}

impl fmt::Debug for Device {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(out, "Device({})", self.identity.device())
    }
}

/// What this run writes under. A new one at each start and after every failed append.
#[derive(Clone, Debug)]
struct Session {
    nonce: [u8; 16],
    pen: Pen,
}

/// Why a device could not do what was asked.
#[derive(Debug, thiserror::Error)]
pub enum DeviceError {
    /// The action was refused; nothing was stored and nothing is lost.
    #[error(transparent)]
    Refused(#[from] Refused),
    /// The store failed; nothing was saved.
    #[error(transparent)]
    Store(#[from] StoreError),
    /// The store belongs to no device yet.
    #[error("this store is not enrolled; join a hub first")]
    NotEnrolled,
    /// The store is enrolled already.
    #[error("this store is enrolled as {0} already")]
    Enrolled(DeviceId),
    /// The document is not here at all.
    #[error("{0} is not on this device")]
    NotHere(DocId),
    /// The site is not followed.
    #[error("site {0} is not on this device; exchange first")]
    NoSite(SiteId),
}

impl Device {
    /// Makes a device of an empty store: keeps its identity in it.
    pub fn enrol(store: Store, identity: &Identity, random: Random) -> Result<Device, DeviceError> {
        let read = store.read()?;
        if let Some(known) = identity::load(&read)? {
            return Err(DeviceError::Enrolled(known.device()));
        }
        drop(read);
        let write = store.write()?;
        identity::save(&write, identity)?;
        write.commit()?;
        Device::open(store, random)
    }

    /// Opens the device of a store.
    pub fn open(store: Store, mut random: Random) -> Result<Device, DeviceError> {
        let read = store.read()?;
        let identity = identity::load(&read)?.ok_or(DeviceError::NotEnrolled)?;
        let mut signers = standing::signers(&read, Some(&identity))?;
        drop(read);
        let key = SigningKey::from_bytes(&identity.secret);
        let session = Session::begin(&identity, &mut random);
        signers.insert(session.pen.actor.half(), identity.signer());
        let sizes = Sizes::USUAL;
        let shelf = Shelf::new(sizes.shelf, sizes.rest_changes);
        let (counter, turned) = (0, BTreeSet::new());
        Ok(Device { store, identity, key, session, shelf, signers, random, counter, sizes, turned })
    }

    /// Who this device is.
    pub const fn identity(&self) -> &Identity {
        &self.identity
    }

    /// Who signs for which session, as far as this device knows.
    pub const fn signers(&self) -> &Signers {
        &self.signers
    }

    /// The store.
    pub const fn store(&self) -> &Store {
        &self.store
    }

    /// The store, for compacting.
    pub const fn store_mut(&mut self) -> &mut Store {
        &mut self.store
    }

    /// How many documents were opened since the start.
    pub const fn documents_loaded(&self) -> u64 {
        self.shelf.loaded()
    }

    /// Takes other sizes than the usual ones.
    pub fn set_sizes(&mut self, sizes: Sizes) {
        self.sizes = sizes;
        self.shelf = Shelf::new(sizes.shelf, sizes.rest_changes);
    }

    /// The actor that this session writes under.
    pub const fn actor(&self) -> Actor {
        self.session.pen.actor
    }

    /// Gives the store back.
    pub fn close(self) -> Store {
        self.store
    }

    /// Eight random bytes, for a new id.
    pub fn new_id(&mut self) -> [u8; 8] {
        let mut id = [0; 8];
        (self.random)(&mut id);
        id
    }

    /// After a failed append: forget what is in memory, write under a new actor. The same actor with
    /// other content would wedge every document it touched.
    fn start_over(&mut self) {
        self.shelf.clear();
        self.session = Session::begin(&self.identity, &mut self.random);
        self.signers.insert(self.session.pen.actor.half(), self.identity.signer());
    }

    fn sign(&self, bytes: &[u8]) -> [u8; 64] {
        self.key.sign(bytes).to_bytes()
    }
}

impl Session {
    fn begin(identity: &Identity, random: &mut Random) -> Session {
        let mut nonce = [0; 16];
        random(&mut nonce);
        let actor = session_actor(&identity.public(), &nonce);
        Session { nonce, pen: Pen::new(actor, identity.role) }
    }
}
