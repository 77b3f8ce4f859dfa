//! What the workloads are measured with: a link of known delay and rate that counts its bytes, the memory
//! of a process, and what automerge's own bundles of the same changes would take.

pub mod floor;
pub mod link;
pub mod memory;

/// The middle of some figures; zero where there are none.
pub fn middle(figures: &mut [f64]) -> f64 {
    figures.sort_by(f64::total_cmp);
    figures.get(figures.len() / 2).copied().unwrap_or(0.0)
}
