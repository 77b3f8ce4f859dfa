//! The same cause on the same unit again.

use super::Day;

/// A repeat comes inside so many days. Common practice, no source.
pub const REPEAT_DAYS: i32 = 400;
/// Or inside so many firing hours. Common practice, no source.
pub const REPEAT_HOURS: f64 = 1_500.0;

/// A settled finding.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Finding<'a> {
    /// The unit.
    pub unit: &'a str,
    /// Its area.
    pub area: &'a str,
    /// The cause's key.
    pub cause: &'a str,
    /// The day of the visit.
    pub day: Day,
    /// Firing hours on the meter, when known.
    pub hours: Option<f64>,
}

/// A cause that came back on one unit.
#[derive(Debug, Clone, PartialEq)]
pub struct Repeat<'a> {
    /// The unit.
    pub unit: &'a str,
    /// Its area.
    pub area: &'a str,
    /// The cause's key.
    pub cause: &'a str,
    /// The days, first to last, each inside the limits of the one before.
    pub days: Vec<Day>,
    /// Firing hours between neighbours, where both are known.
    pub hours_between: Vec<Option<f64>>,
}

/// Repeats, the most frequent first, then by unit and cause. Two findings of one day are one.
pub fn repeats<'a>(findings: &[Finding<'a>]) -> Vec<Repeat<'a>> {
    let mut sorted = findings.to_vec();
    sorted.sort_by_key(|finding| (finding.unit, finding.cause, finding.day));
    sorted.dedup_by_key(|finding| (finding.unit, finding.cause, finding.day));
    let chains = sorted.chunk_by(|a, b| a.unit == b.unit && a.cause == b.cause && within(a, b));
    let mut repeats: Vec<Repeat<'a>> = chains
        .filter(|chain| chain.len() > 1)
        .map(|chain| Repeat {
            unit: chain[0].unit,
            area: chain[0].area,
            cause: chain[0].cause,
            days: chain.iter().map(|finding| finding.day).collect(),
            hours_between: chain.windows(2).map(|pair| between(&pair[0], &pair[1])).collect(),
        })
        .collect();
    repeats.sort_by(|a, b| {
        b.days.len().cmp(&a.days.len()).then((a.unit, a.cause).cmp(&(b.unit, b.cause)))
    });
    repeats
}

fn between(earlier: &Finding<'_>, later: &Finding<'_>) -> Option<f64> {
    let hours = later.hours? - earlier.hours?;
    (hours >= 0.0 && hours.is_finite()).then_some(hours)
}

fn within(earlier: &Finding<'_>, later: &Finding<'_>) -> bool {
    later.day.since(earlier.day) <= REPEAT_DAYS
        || between(earlier, later).is_some_and(|hours| hours <= REPEAT_HOURS)
}

#[cfg(test)]
pub(super) mod tests {
    use super::*;

    /// Findings of the demo hall's three visits: unit, area, cause, visit, hours.
    pub(in super::super) fn demo() -> Vec<Finding<'static>> {
        let days = ["2024-10-08", "2025-01-22", "2025-10-14"].map(|date| Day::parse(date).unwrap());
        [
            ("UH-01", "A1", "manifold_low", 0, 0.0),
            ("UH-05", "A3", "rod_dirty", 0, 0.0),
            ("UH-06", "A3", "rod_dirty", 0, 0.0),
            ("UH-07", "A4", "rod_dirty", 0, 0.0),
            ("MU-01", "A3", "air_prove", 0, 0.0),
            ("DF-01", "A2", "airflow_block", 0, 0.0),
            ("IR-01", "A1", "ir_tube", 0, 0.0),
            ("UH-02", "A1", "ps_hose", 1, 398.0),
            ("UH-05", "A3", "rod_dirty", 1, 520.0),
            ("UH-06", "A3", "rod_dirty", 1, 534.0),
            ("UH-07", "A4", "rod_dirty", 1, 388.0),
            ("UH-05", "A3", "burner_dirty", 1, 520.0),
            ("UH-06", "A3", "rod_leak", 1, 534.0),
            ("RT-01", "A6", "hsi_open", 1, 300.0),
            ("UH-04", "A2", "manifold_high", 2, 988.0),
            ("UH-06", "A3", "rod_dirty", 2, 1160.0),
            ("UH-07", "A4", "rod_dirty", 2, 860.0),
            ("MU-01", "A3", "mod_valve", 2, 1040.0),
            ("RT-01", "A6", "stage2_call", 2, 702.0),
            ("UH-06", "A3", "loose_wiring", 2, 1160.0),
        ]
        .into_iter()
        .map(|(unit, area, cause, visit, hours)| Finding {
            unit,
            area,
            cause,
            day: days[visit],
            hours: Some(hours),
        })
        .collect()
    }

    #[test]
    fn the_demo_halls_rods_come_back() {
        let repeats = repeats(&demo());
        let said: Vec<(&str, &str, usize)> =
            repeats.iter().map(|repeat| (repeat.unit, repeat.cause, repeat.days.len())).collect();
        assert_eq!(
            said,
            [("UH-06", "rod_dirty", 3), ("UH-07", "rod_dirty", 3), ("UH-05", "rod_dirty", 2)]
        );
        assert_eq!(repeats[2].hours_between, [Some(520.0)]);
    }

    #[test]
    fn far_apart_is_no_repeat_unless_the_hours_are_few() {
        let finding = |date, hours| Finding {
            unit: "U",
            area: "A",
            cause: "rod_dirty",
            day: Day::parse(date).unwrap(),
            hours,
        };
        let far = [finding("2022-01-01", None), finding("2024-01-01", None)];
        assert!(repeats(&far).is_empty());
        let idle = [finding("2022-01-01", Some(100.0)), finding("2024-01-01", Some(900.0))];
        assert_eq!(repeats(&idle).len(), 1);
        let busy = [finding("2022-01-01", Some(100.0)), finding("2024-01-01", Some(4_900.0))];
        assert!(repeats(&busy).is_empty());
        let twice = [finding("2022-01-01", None), finding("2022-01-01", None)];
        assert!(repeats(&twice).is_empty());
    }
}
