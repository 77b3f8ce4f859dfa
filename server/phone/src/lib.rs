//! The phone: the whole visit with no network at all.
//!
//! One worker holds the [`app::App`]: the same core as everywhere else, over a file that the browser keeps
//! for this origin alone. A tap comes in as a line of words ([`tap`]), is carried out, and the screen goes
//! back as HTML. Each screen is a pure function of a read-only view of the device ([`see::See`]).
//! Scripts carry bytes and events; nothing is decided in them.

pub mod app;
pub mod bits;
pub mod carried;
pub mod join;

pub mod pad;
pub mod screens;
pub mod search;
pub mod see;
pub mod settings;
pub mod stop;
pub mod tap;
pub mod verdict;
pub mod words;

#[cfg(target_arch = "wasm32")]
pub mod abi;
#[cfg(target_arch = "wasm32")]
pub mod disk;
