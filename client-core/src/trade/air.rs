//! The air side: what moves through the unit, up the vent, and into the room.

pub mod draft;
pub mod exhaust;
pub mod moist;
pub mod opening;
pub mod rise;
pub mod static_pressure;
