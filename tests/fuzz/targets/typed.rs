//! A figure as somebody types it, read as every register would read it: what is taken fits the register.
#![no_main]

use client_core::record::field::{FIELDS, Field};
use client_core::trade::unit::parse;
use libfuzzer_sys::fuzz_target;

fuzz_target!(|text: &str| {
    drop(parse(text));
    for def in FIELDS.iter().filter(|def| !def.key.contains("{}")) {
        let field = Field::named(def.key);
        if let Ok(value) = field.parse(text) {
            assert!(field.fits(&value), "{}: '{text}'", def.key);
            drop(field.show(&value));
        }
    }
});
