//! A whole document from a stranger.
#![no_main]

use client_core::gate::snapshot;
use libfuzzer_sys::fuzz_target;

fuzz_target!(|bytes: &[u8]| {
    drop(snapshot::load(bytes, &[]));
});
