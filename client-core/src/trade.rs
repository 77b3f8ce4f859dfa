//! Sums on measured quantities: pure, exact where the trade uses rules of thumb.

pub mod stats;
