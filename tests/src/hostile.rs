//! Bytes that nobody honest would send, made from bytes that somebody would.

pub mod mutate;
pub mod range;
