//! Squeezed deliveries, with a key for everybody: a bomb must be refused, not unpacked.
#![no_main]

use client_core::exchange::codec;
use client_core::exchange::pack::{PLAIN_BYTES_MAX, unpack};
use client_core::record::id::{HubId, SiteId};
use libfuzzer_sys::fuzz_target;

fuzz_target!(|bytes: &[u8]| {
    if let Ok(plain) = codec::expand(bytes, PLAIN_BYTES_MAX) {
        assert!(plain.len() <= PLAIN_BYTES_MAX);
    }
    drop(unpack(bytes, HubId([7; 8]), SiteId([8; 8]), &|_| Some([1; 32])));
});
