//! Frames: what is read is written again as it can be read.
#![no_main]

use client_core::exchange::frame::{self, Ask, Envelope, REPLY_BYTES_MAX, REQUEST_BYTES_MAX, Reply};
use client_core::exchange::note::Note;
use client_core::exchange::photo::{ASK_BYTES_MAX, PhotoAsk, PhotoReply};
use libfuzzer_sys::fuzz_target;

fuzz_target!(|bytes: &[u8]| {
    drop(Envelope::open(bytes));
    if let Ok(ask) = frame::decode::<Ask>(bytes, REQUEST_BYTES_MAX) {
        assert_eq!(frame::decode::<Ask>(&frame::encode(&ask), REQUEST_BYTES_MAX).ok(), Some(ask));
    }
    if let Ok(ask) = frame::decode::<PhotoAsk>(bytes, ASK_BYTES_MAX) {
        assert_eq!(frame::decode::<PhotoAsk>(&frame::encode(&ask), ASK_BYTES_MAX).ok(), Some(ask));
    }
    drop(frame::decode::<PhotoReply>(bytes, ASK_BYTES_MAX));
    if let Ok(reply) = frame::decode::<Reply>(bytes, REPLY_BYTES_MAX) {
        assert_eq!(frame::decode::<Reply>(&frame::encode(&reply), REPLY_BYTES_MAX).ok(), Some(reply));
    }
    drop(Note { bytes: bytes.to_vec(), signature: [0; 64] }.says());
});
