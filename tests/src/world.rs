//! A hub and devices in one thread, from one seed. No sockets, no clocks, no files: what a request
//! brings is handed to the hub, what the hub answers is handed back.

pub mod deed;
pub mod disk;
pub mod evidence;
pub mod hub;
pub mod phone;
pub mod random;
pub mod sim;

pub use disk::{Disk, Fault, Tear};
pub use hub::{HubDisk, hub_on};
pub use phone::{Joined, Trip, enrol, exchange, talk};
pub use random::Seeded;
