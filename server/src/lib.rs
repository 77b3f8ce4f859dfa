//! The hub: where the halves of a record meet.
