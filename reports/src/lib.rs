//! Reports: what the record says to people who were not on the ladder.
//!
//! Flow: a model is gathered from a visit laid out ([`client_core::record::file::VisitFile`]) and owns what
//! it holds; a [`Tongue`] turns it into a [`Report`], one intermediate document of headings, sentences,
//! tables and charts; a [`face`] (text, page, paper) lays that document out and adds no words of its own. So
//! no two faces and no two languages can say different things.
//!
//! What this crate does not do: no files, no clock, no printing. Nothing here decides or merges.

pub mod book;
pub mod chart;
pub mod customer;
pub mod difference;
pub mod dossier;
pub mod doubt;
pub mod export;
pub mod face;
pub mod figures;
pub mod gather;
pub mod kind;
pub mod layout;
pub mod morning;
pub mod question;
pub mod register;
pub mod restock;
pub mod saying;
pub mod slip;
pub mod text;
pub mod tongue;
pub mod trend;
pub mod unit_facts;
pub mod visit;
pub mod visit_head;
pub mod vocabulary;

pub use book::{Book, Firm, Person, Source};
pub use kind::{Kind, Model};
pub use layout::Report;
pub use tongue::{Language, Tongue};
