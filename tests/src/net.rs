//! Hubs on the network: devices that speak HTTP, a hall of routes without sockets, folders that go away.

pub mod desk;
pub mod folder;
pub mod guest;
pub mod hall;
pub mod line;

pub use desk::Desk;
pub use folder::TempFolder;
pub use guest::{Guest, Said};
pub use hall::Hall;
pub use line::{Line, Wrong};
