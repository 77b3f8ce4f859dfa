//! The hub: where the halves of a record meet.
//!
//! `log` is the ground state; `view` is derived from it and may be deleted; `access` says which keys may
//! come in; `hub` answers requests without sockets; `routes` and `worker` put it on the network; `shell`
//! hands out the phone's files.

pub mod access;
pub mod hub;
pub mod identity;
pub mod log;
pub mod shell;
pub mod view;
