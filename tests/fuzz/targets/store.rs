//! The file of a store, read through when it is opened and not.
#![no_main]

use client_core::store::{Get, Manner, MemoryBytes, Store, Table};
use libfuzzer_sys::fuzz_target;

fuzz_target!(|bytes: &[u8]| {
    for check_up_to_bytes in [0, u64::MAX] {
        let manner = Manner { check_up_to_bytes, cache_bytes: 64 * 1024, ..Manner::DEVICE };
        let Ok(store) = Store::open(MemoryBytes::with(bytes.to_vec()), manner) else { continue };
        let Ok(read) = store.read() else { continue };
        for table in Table::ALL {
            drop(read.under(*table, &[]));
        }
    }
});
