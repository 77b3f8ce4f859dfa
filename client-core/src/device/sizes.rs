//! How much of something fits before the next one begins. The usual sizes are far above what a case can
//! fill in a moment; a simulation takes small ones.

use crate::exchange::delivery::CHANGES_MAX;
use crate::record::doc::PART_CHANGES;

/// How much of something fits before the next one begins.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Sizes {
    /// Changes of a part of a document: behind them the next part begins.
    pub part_changes: usize,
    /// Changes of a delivery, never more than [`CHANGES_MAX`].
    pub delivery_changes: usize,
    /// Bytes of changes that one request offers.
    pub offer_bytes: usize,
    /// A site whose log is longer than this is begun by rows; a shorter one is followed whole.
    pub whole_log: u64,
    /// Documents kept in memory.
    pub shelf: usize,
    /// Changes behind the last snapshot after which a rested document gets a new one: a snapshot takes
    /// about a tenth of its changes, and making one costs a save and a load.
    pub rest_changes: u32,
}

impl Sizes {
    /// The sizes of a device at work.
    pub const USUAL: Sizes = Sizes {
        part_changes: PART_CHANGES,
        delivery_changes: CHANGES_MAX,
        offer_bytes: 512 * 1024,
        whole_log: 500,
        shelf: 64,
        rest_changes: 64,
    };
}
