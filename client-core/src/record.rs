//! The record: what people observed, did and decided, as typed views over automerge documents.
//!
//! Flow: an [`action::Action`] is applied to a [`doc::Doc`] under a [`stamp::Stamp`] and becomes one
//! automerge change. Reading a document never fails: broken or foreign parts come back as a list of
//! problems beside what could be read.
//!
//! What this room does not do: no storage, no network, no clock, no sums on measured quantities.

pub mod action;
pub mod apply;
pub mod blocker;
pub mod body;
pub mod code;
pub mod contradiction;
pub mod deed;
pub mod derived;
pub mod doc;
pub mod doc_id;
pub mod doubt;
pub mod field;
pub mod file;
pub mod id;
pub mod inside;
pub mod instrument;
pub mod key;
pub mod mark;
pub mod merged;
pub mod phrase;
pub mod read;
pub mod refused;
pub mod row;
pub mod signer;
pub mod stamp;
pub mod value;
