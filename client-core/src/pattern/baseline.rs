//! A unit against itself, where no target is known: its first proved as-left block, and a chart once there
//! are enough readings.

use super::Day;
use crate::trade::stats::StatsError;
use crate::trade::stats::control::{Limits, Point};

/// Readings that a chart's baseline needs before it can say that a unit has moved. Fewer make limits so wide
/// or so lucky that they mislead. Common practice is 20; 8 is the least that this program draws.
pub const CHART_READINGS_MIN: usize = 8;

/// An as-left block that may serve as baseline.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Block {
    /// Its place in the caller's list.
    pub place: usize,
    /// Its day.
    pub day: Day,
    /// Steady, panels on, all points taken, instruments in date: proved.
    pub proved: bool,
    /// The unit was within its limits or targets as left, as far as any are known.
    pub within: bool,
}

/// The baseline: the first block that is proved and within. `None` while there is none.
pub fn baseline(blocks: &[Block]) -> Option<&Block> {
    blocks.iter().filter(|block| block.proved && block.within).min_by_key(|block| block.day)
}

/// How far a quantity may stray from its baseline before it is said to have moved.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Band {
    /// So many of the quantity's unit: 1.0 for flue O2 in % points (common practice, no source).
    Absolute(f64),
    /// This share of the baseline: 0.10 for net stack temperature (common practice, no source).
    Share(f64),
}

/// A value beside its baseline.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Against {
    /// The value now.
    pub value: f64,
    /// The baseline's.
    pub baseline: f64,
    /// Value less baseline.
    pub difference: f64,
    /// Whether it left the band.
    pub moved: bool,
}

/// Compares a value with its baseline; `None` when either is no number.
pub fn against(value: f64, baseline: f64, band: Band) -> Option<Against> {
    let difference = value - baseline;
    let half = match band {
        Band::Absolute(half) => half,
        Band::Share(share) => share * baseline.abs(),
    };
    // Readings of a tenth differ by a hair from what they say; on the edge is inside.
    let moved = difference.abs() > half + 1e-9;
    (difference.is_finite() && half.is_finite()).then_some(Against {
        value,
        baseline,
        difference,
        moved,
    })
}

/// A unit's readings of one quantity on a chart: limits from the first `baseline` readings, and each point.
pub fn chart(values: &[f64], baseline: usize) -> Result<(Limits, Vec<Point>), StatsError> {
    let have = values.len().min(baseline);
    if have < CHART_READINGS_MIN {
        let need = CHART_READINGS_MIN;
        return Err(StatsError::TooFew { what: "baseline readings", have, need });
    }
    let limits = Limits::from_baseline(&values[..have])?;
    let points = limits.walk(values)?;
    Ok((limits, points))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_first_proved_block_is_the_baseline() {
        let block = |place, date, proved, within| Block {
            place,
            day: Day::parse(date).unwrap(),
            proved,
            within,
        };
        let blocks = [
            block(0, "2025-10-14", true, true),
            block(1, "2024-10-08", false, true),
            block(2, "2024-11-01", true, false),
            block(3, "2025-01-22", true, true),
        ];
        assert_eq!(baseline(&blocks).unwrap().place, 3);
        assert_eq!(baseline(&blocks[1..3]), None);
    }

    /// The demo hall's heater in the salt room: O2 8.7 as left, 6.5 as found; and one on the band's edge.
    #[test]
    fn a_value_beside_its_baseline() {
        let moved = against(6.5, 8.7, Band::Absolute(1.0)).unwrap();
        assert!(moved.moved && (moved.difference + 2.2).abs() < 1e-9);
        assert!(!against(7.7, 8.7, Band::Absolute(1.0)).unwrap().moved);
        assert!(against(436.0, 351.0, Band::Share(0.10)).unwrap().moved);
        assert_eq!(against(f64::NAN, 8.7, Band::Absolute(1.0)), None);
    }

    #[test]
    fn three_visits_are_not_enough_for_a_chart() {
        assert!(matches!(
            chart(&[4.2, 4.0, 4.2], 3),
            Err(StatsError::TooFew { have: 3, need: 8, .. })
        ));
        let values = [4.1, 4.0, 4.2, 4.1, 4.0, 4.2, 4.1, 4.0, 3.2];
        let (_, points) = chart(&values, 8).unwrap();
        assert!(points.last().unwrap().moved());
    }
}
