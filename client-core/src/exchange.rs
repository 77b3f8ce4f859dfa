//! The exchange: how a device and a hub bring each other up to date, without sockets, clocks or files.
//!
//! A hub keeps one append-only log for each site. A request carries a device's places in those logs and
//! its unsent deliveries; the answer carries verdicts, everything after the places, and the new places.
//! `docs/sync.md` specifies every byte.

pub mod bell;
pub mod codec;
pub mod delivery;
pub mod enrol;
pub mod frame;
pub mod note;
pub mod office;
pub mod pack;
pub mod photo;
pub mod place;
pub mod talk;
