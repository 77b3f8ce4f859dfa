//! Loss of a margin between visits: so much per 1,000 firing hours, and when it meets a line.

use super::Day;
use crate::trade::stats::Interval;
use crate::trade::stats::special::student_quantile;

/// A value read on a day at so many firing hours. Unit of the value: the caller's, uA for flame current.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Mark {
    /// The day.
    pub day: Day,
    /// Firing hours on the meter.
    pub hours: f64,
    /// The value.
    pub value: f64,
}

/// What was read of one quantity at one visit to one unit.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Visit {
    /// As found.
    pub found: Option<Mark>,
    /// As left.
    pub left: Option<Mark>,
}

/// The loss from one as-left to the next as-found.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Loss {
    /// As left.
    pub from: Mark,
    /// As found next.
    pub to: Mark,
    /// Loss of value for 1,000 firing hours; negative is a gain.
    pub per_1000_h: f64,
    /// The same with the instrument's accuracy at both ends.
    pub range: Interval,
}

impl Loss {
    /// Firing hours between the two.
    pub fn hours(&self) -> f64 {
        self.to.hours - self.from.hours
    }
}

/// Losses between visits in the order of time. A visit at which the unit was not opened is stepped over.
/// `accuracy` is that of one reading in the unit of the value (0.1 uA is usual for flame current).
///
/// ```
/// use client_core::pattern::{Day, drift::{Mark, Visit, losses}};
/// let mark = |date, hours, value| Some(Mark { day: Day::parse(date).unwrap(), hours, value });
/// let visits = [
///     Visit { found: None, left: mark("2024-10-08", 0.0, 4.2) },
///     Visit { found: mark("2025-01-22", 520.0, 0.9), left: mark("2025-01-22", 520.0, 4.0) },
///     Visit { found: mark("2025-10-14", 1135.0, 3.4), left: None },
/// ];
/// let said: Vec<String> =
///     losses(&visits, 0.1).iter().map(|loss| format!("{:.1}", loss.per_1000_h)).collect();
/// assert_eq!(said, ["6.3", "1.0"]);
/// ```
pub fn losses(visits: &[Visit], accuracy: f64) -> Vec<Loss> {
    let mut losses = Vec::new();
    let mut from: Option<Mark> = None;
    for visit in visits {
        if let (Some(left), Some(found)) = (from, visit.found) {
            losses.extend(loss(left, found, accuracy));
        }
        // Once found, the stretch is closed; without a new as-left there is nothing to start the next from.
        from = if visit.left.is_some() {
            visit.left
        } else if visit.found.is_some() {
            None
        } else {
            from
        };
    }
    losses
}

fn loss(from: Mark, to: Mark, accuracy: f64) -> Option<Loss> {
    let hours = to.hours - from.hours;
    let lost = from.value - to.value;
    if !(hours > 0.0 && hours.is_finite() && lost.is_finite()) {
        return None;
    }
    let scale = 1_000.0 / hours;
    let half = std::f64::consts::SQRT_2 * accuracy.abs() * scale;
    let per_1000_h = lost * scale;
    Some(Loss {
        from,
        to,
        per_1000_h,
        range: Interval { low: per_1000_h - half, high: per_1000_h + half },
    })
}

/// The fall of a unit over several stretches.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Fall {
    /// Stretches behind it.
    pub stretches: usize,
    /// Firing hours behind it.
    pub hours: f64,
    /// Loss for 1,000 firing hours: all that was lost over all hours.
    pub per_1000_h: f64,
    /// What another stretch may show. With one or two stretches it is what was seen, widened by the
    /// instrument; from three on the 80 % range of another one.
    pub range: Interval,
    /// Firing hours a day: usual, and the range over the stretches.
    pub hours_a_day: f64,
    /// The range of firing hours a day over the stretches.
    pub hours_a_day_range: Interval,
}

/// The fall over these stretches; `None` when there is none.
pub fn fall(losses: &[Loss]) -> Option<Fall> {
    let hours: f64 = losses.iter().map(Loss::hours).sum();
    let days: f64 = losses.iter().map(days).sum();
    if losses.is_empty() || hours <= 0.0 || days <= 0.0 {
        return None;
    }
    let lost: f64 = losses.iter().map(|loss| loss.from.value - loss.to.value).sum();
    let per_1000_h = lost / hours * 1_000.0;
    let seen = Interval {
        low: losses.iter().map(|loss| loss.range.low).fold(f64::INFINITY, f64::min),
        high: losses.iter().map(|loss| loss.range.high).fold(f64::NEG_INFINITY, f64::max),
    };
    let paces = || losses.iter().map(|loss| loss.hours() / days_of(loss));
    Some(Fall {
        stretches: losses.len(),
        hours,
        per_1000_h,
        range: if losses.len() < 3 { seen } else { another(losses) },
        hours_a_day: hours / days,
        hours_a_day_range: Interval {
            low: paces().fold(f64::INFINITY, f64::min),
            high: paces().fold(f64::NEG_INFINITY, f64::max),
        },
    })
}

fn days(loss: &Loss) -> f64 {
    f64::from(loss.to.day.since(loss.from.day))
}

/// At least a day, so that two marks on one day do not make an endless pace.
fn days_of(loss: &Loss) -> f64 {
    days(loss).max(1.0)
}

/// 80 % range of one more stretch like these (Student's t prediction).
fn another(losses: &[Loss]) -> Interval {
    let count = crate::trade::stats::real(losses.len());
    let mean = losses.iter().map(|loss| loss.per_1000_h).sum::<f64>() / count;
    let squares: f64 = losses.iter().map(|loss| (loss.per_1000_h - mean).powi(2)).sum();
    let spread = (squares / (count - 1.0)).sqrt();
    let half = student_quantile(count - 1.0, 0.1) * spread * (1.0 + 1.0 / count).sqrt();
    Interval { low: mean - half, high: mean + half }
}

/// When a value will meet a line.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Reach {
    /// It is there already.
    Under,
    /// It does not fall, or may not.
    NotFalling,
    /// It meets the line after so many firing hours, on about this day.
    At {
        /// Firing hours from the last as-left at the usual fall.
        hours: f64,
        /// The day at the usual fall and the usual hours a day.
        day: Day,
        /// The first day of the range: the fastest fall at the most hours a day.
        earliest: Day,
        /// The last day; `None` when at the slowest fall it never meets the line.
        latest: Option<Day>,
    },
}

/// When the value meets `line` after the last as-left, for flame current twice the minimum.
pub fn reach(last_left: Mark, line: f64, fall: &Fall) -> Reach {
    let margin = last_left.value - line;
    if margin <= 0.0 {
        return Reach::Under;
    }
    let hours = |per_1000_h: f64| (per_1000_h > 0.0).then(|| margin / per_1000_h * 1_000.0);
    let day = |hours: f64, pace: f64| last_left.day.plus(whole_days(hours / pace));
    let (Some(usual), Some(soonest)) = (hours(fall.per_1000_h), hours(fall.range.high)) else {
        return Reach::NotFalling;
    };
    Reach::At {
        hours: usual,
        day: day(usual, fall.hours_a_day),
        earliest: day(soonest, fall.hours_a_day_range.high),
        latest: hours(fall.range.low).map(|hours| day(hours, fall.hours_a_day_range.low)),
    }
}

#[expect(
    clippy::cast_possible_truncation,
    reason = "a float cast stops at the ends of the integer"
)]
fn whole_days(days: f64) -> i32 {
    days.max(0.0).floor() as i32
}

/// The loss in words, with the count behind it: "5.5 uA per 1,000 h over 2 stretches, 1,160 h".
pub fn say(fall: &Fall, unit: &str) -> String {
    let times =
        if fall.stretches == 1 { "1 stretch" } else { &format!("{} stretches", fall.stretches) };
    format!(
        "{:.1} {unit} per 1,000 h over {times}, {:.0} h; another may show between about {:.1} and {:.1}",
        fall.per_1000_h, fall.hours, fall.range.low, fall.range.high
    )
}

/// When, in words; says how little it rests on, and what would settle it.
pub fn say_reach(reach: &Reach, fall: &Fall) -> String {
    match reach {
        Reach::Under => "under the line already".to_owned(),
        Reach::NotFalling => {
            "no fall that would meet the line; one more season of readings would tell".to_owned()
        }
        Reach::At { day, earliest, latest, .. } => {
            let latest = latest.map_or("much later".to_owned(), |day| day.to_string());
            let thin = if fall.stretches < 3 {
                "; few stretches, one more season of readings would narrow it"
            } else {
                ""
            };
            format!("about {day}, between about {earliest} and {latest}{thin}")
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn mark(date: &str, hours: f64, value: f64) -> Mark {
        Mark { day: Day::parse(date).unwrap(), hours, value }
    }

    fn visit(found: Option<Mark>, left: Option<Mark>) -> Visit {
        Visit { found, left }
    }

    fn rates(visits: &[Visit]) -> Vec<String> {
        losses(visits, 0.1).iter().map(|loss| format!("{:.1}", loss.per_1000_h)).collect()
    }

    /// The demo hall: hours and flame currents of its heaters at the three visits.
    #[test]
    fn losses_of_the_demo_hall() {
        let (v1, v2, v3) = ("2024-10-08", "2025-01-22", "2025-10-14");
        let opened = |h2, f2, l2, h3, f3, l1| {
            [
                visit(None, Some(mark(v1, 0.0, l1))),
                visit(Some(mark(v2, h2, f2)), Some(mark(v2, h2, l2))),
                visit(Some(mark(v3, h3, f3)), None),
            ]
        };
        assert_eq!(rates(&opened(520.0, 0.9, 4.0, 1135.0, 3.4, 4.2)), ["6.3", "1.0"]);
        assert_eq!(rates(&opened(534.0, 1.1, 4.1, 1160.0, 0.7, 4.1)), ["5.6", "5.4"]);
        assert_eq!(rates(&opened(388.0, 1.6, 3.9, 860.0, 1.4, 4.0)), ["6.2", "5.3"]);
        // Two heaters that were not opened at the second visit.
        for (hours, found, left) in [(905.0, 4.0, 4.3), (1010.0, 4.1, 4.4)] {
            let visits = [
                visit(None, Some(mark(v1, 0.0, left))),
                Visit::default(),
                visit(Some(mark(v3, hours, found)), None),
            ];
            assert_eq!(rates(&visits), ["0.3"]);
        }
    }

    #[test]
    fn a_date_comes_with_its_range_and_the_fast_end_first() {
        let v2 = "2025-01-22";
        let visits = [
            visit(None, Some(mark("2024-10-08", 0.0, 4.1))),
            visit(Some(mark(v2, 534.0, 1.1)), Some(mark(v2, 534.0, 4.1))),
            visit(Some(mark("2025-10-14", 1160.0, 0.7)), None),
        ];
        let fall = fall(&losses(&visits, 0.1)).unwrap();
        assert_eq!(fall.stretches, 2);
        assert!((fall.per_1000_h - 5.517).abs() < 0.001);
        let last = mark("2025-10-14", 1160.0, 4.0);
        let Reach::At { hours, day, earliest, latest } = reach(last, 2.0, &fall) else {
            panic!("it falls");
        };
        assert!((hours - 362.5).abs() < 0.1, "{hours}");
        assert!(earliest < day && day < latest.unwrap(), "{earliest} {day} {latest:?}");
        assert!(say_reach(&reach(last, 2.0, &fall), &fall).contains("few stretches"));
        assert_eq!(reach(last, 4.0, &fall), Reach::Under);
    }

    #[test]
    fn a_steady_unit_has_no_date_or_a_far_one() {
        let visits = [
            visit(None, Some(mark("2024-10-08", 0.0, 4.0))),
            visit(Some(mark("2025-10-08", 900.0, 4.1)), None),
        ];
        let fall = fall(&losses(&visits, 0.1)).unwrap();
        assert_eq!(reach(mark("2025-10-08", 900.0, 4.1), 2.0, &fall), Reach::NotFalling);
    }

    #[test]
    fn hours_that_run_backwards_give_no_loss() {
        let visits = [
            visit(None, Some(mark("2024-10-08", 900.0, 4.0))),
            visit(Some(mark("2025-10-08", 100.0, 3.0)), None),
        ];
        assert!(losses(&visits, 0.1).is_empty());
        assert_eq!(fall(&[]), None);
    }
}
