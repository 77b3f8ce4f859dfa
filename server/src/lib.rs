//! The hub: where the halves of a record meet.
//!
//! `log` is the ground state; `view` is derived from it and may be deleted; `access` says which keys may
//! come in; `hub` answers requests without sockets; `routes` and `worker` put it on the network; `shell`
//! hands out the phone's files.

pub mod access;
pub mod backup;
pub mod commands;
pub mod config;
pub mod folder;
pub mod hub;
pub mod identity;
pub mod log;
pub mod metrics;
pub mod pages;
pub mod quota;
pub mod review;
pub mod routes;
pub mod serve;
pub mod shell;
pub mod view;
pub mod worker;

/// A failure with everything below it, in one line.
pub fn in_full(wrong: &dyn std::error::Error) -> String {
    let mut words = wrong.to_string();
    let mut below = wrong.source();
    while let Some(next) = below {
        let text = next.to_string();
        // Wrappers that repeat what they wrap say it once.
        if !words.ends_with(&text) {
            words.push_str(": ");
            words.push_str(&text);
        }
        below = next.source();
    }
    words
}
