//! Sums on measured quantities: pure, exact where the trade uses rules of thumb.
//!
//! Every public function takes and gives quantities (`quantity`), refuses impossible inputs with a
//! typed reason (`impossible`), and comes with a worked sheet (`worked`) that shows inputs, steps,
//! formula, source, range, uncertainty, and the trade's own rule of thumb with its gap.

pub mod air;
pub mod atmosphere;
pub mod calc;
pub mod constant;
pub mod flue;
pub mod formula;
pub mod fuel;
pub mod gas;
pub mod heat;
pub mod impossible;
pub mod plan;
pub mod quantity;
pub mod reading;
pub mod signal;
mod species;
pub mod stats;
pub mod table;
pub mod uncertainty;
pub mod unit;
pub mod verdict;
pub mod water;
pub mod worked;
