//! What the pages show, as plain data: made of rows and laid-out records, before any HTML. Nothing here
//! decides, merges or reads a store.

pub mod book;
pub mod building;
pub mod difference;
pub mod history;
pub mod home;
pub mod import;
pub mod people;
pub mod question;
pub mod queue;
pub mod search;
pub mod shared;
pub mod sheet;
pub mod visit;

pub use book::Book;

use serde::Serialize;
use utoipa::ToSchema;

/// Something with a name that has a page.
#[derive(Clone, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Serialize, ToSchema)]
pub struct Named {
    /// Its id.
    pub id: String,
    /// What it is called.
    pub name: String,
}

impl Named {
    /// Something with a name.
    pub fn new(id: impl ToString, name: impl Into<String>) -> Named {
        Named { id: id.to_string(), name: name.into() }
    }
}
