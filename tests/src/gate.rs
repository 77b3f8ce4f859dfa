//! What the gate looks at itself: under which licences everything comes that the project is built from, and
//! whether a version of it was taken back by its publisher.

pub mod licence;
pub mod yanked;
