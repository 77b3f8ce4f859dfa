//! Limits of the gate. `docs/limits.md` lists them with the measurements behind them.

/// Most bytes of one change, plain.
pub const CHANGE_BYTES_MAX: usize = 64 * 1024;
/// Most changes that a change may build on. 65 devices may add to one document without seeing each other.
pub const DEPS_MAX: u64 = 1_024;
/// Most unjoined ends of one document that one device may leave open. An honest one leaves as many as
/// there are copies of it; without a limit one device could make the next honest change build on more
/// than [`DEPS_MAX`] others.
pub const HEADS_MAX: usize = 16;
/// Most changes of one device that may wait for changes that are not here.
pub const ORPHANS_MAX: usize = 500;
/// Most bytes of them.
pub const ORPHAN_BYTES_MAX: usize = 5 * 1024 * 1024;
/// Largest sequence and operation number.
pub const COUNTER_MAX: u64 = (1 << 31) - 1;
/// Most bytes of a change's message.
pub const MESSAGE_BYTES_MAX: u64 = 1_024;
/// Most other actors that a change may name.
pub const OTHER_ACTORS_MAX: u64 = 1_024;
/// Most columns of a change.
pub const COLUMNS_MAX: u64 = 32;
/// Most operations of a change, and most items of any of its columns.
pub const OPS_MAX: u64 = 10_000;
/// Most bytes of a key.
pub const KEY_BYTES_MAX: u64 = 4 * 1024;
/// Deepest nesting of objects.
pub const DEPTH_MAX: usize = 12;
/// Most changes of one document part. Own writers begin the next part long before.
pub const DOC_CHANGES_MAX: usize = 5_000;
/// Most bytes of a whole document.
pub const DOC_BYTES_MAX: usize = 8 * 1024 * 1024;
/// Most items of any column of a whole document.
pub const DOC_ITEMS_MAX: u64 = 4_000_000;
/// Most actors of a whole document.
pub const DOC_ACTORS_MAX: u64 = 20_000;
