//! Causes that no single test tells apart: they are shown together, and the repair with its as-left decides.

use super::choice::Family;
use super::table::{CauseId, Table, TestId};

/// Total-variation distance under which a test does not separate two causes well.
pub const WEAK: f64 = 0.5;

/// The test that separates two causes best, and how well.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Separation {
    /// The best test of the family.
    pub test: TestId,
    /// Total-variation distance of its results under the two causes, 0 (blind) to 1 (certain).
    pub distance: f64,
}

/// The best separation of two causes over the tests that serve a family; `None` without any test.
pub fn separation(table: &Table, family: Family, a: CauseId, b: CauseId) -> Option<Separation> {
    table
        .test_ids()
        .filter(|test| table[*test].families.has(family))
        .map(|test| Separation { test, distance: distance(table, test, a, b) })
        .reduce(|best, next| if next.distance > best.distance { next } else { best })
}

/// Whether no single test of the family separates the two well.
pub fn inseparable(table: &Table, family: Family, a: CauseId, b: CauseId) -> bool {
    separation(table, family, a, b).is_none_or(|best| best.distance < WEAK)
}

fn distance(table: &Table, test: TestId, a: CauseId, b: CauseId) -> f64 {
    let (a, b) = (table[test].chances(a), table[test].chances(b));
    a.iter().zip(b).map(|(p, q)| (p - q).abs()).sum::<f64>() / 2.0
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_three_causes_of_poor_airflow_hang_together() {
        let table = Table::standard();
        let id = |key| table.cause(key).unwrap();
        for (a, b, wanted) in
            [("fan_motor", "fan_drive", 0.43), ("fan_drive", "airflow_block", 0.41)]
        {
            let best = separation(table, Family::Two, id(a), id(b)).unwrap();
            assert!((best.distance - wanted).abs() < 0.005, "{a} {b}: {best:?}");
            assert!(inseparable(table, Family::Two, id(a), id(b)));
        }
        assert!(!inseparable(table, Family::Two, id("fan_motor"), id("airflow_block")));
    }
}
