//! Following one start step by step: what was seen, when, and what the step that did not happen means.
//!
//! One key stamps each step as it is seen; or the phone stays in the pocket, and the last thing seen is
//! picked afterwards ([`stopped_after`]). A time that was not taken is "not timed", never a pass, and an
//! overdue step is said to be overdue: only the person says that it failed.

use super::sequence::{Leads, Sequence};

/// A step that was seen.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Seen {
    /// Place of the step in the sequence.
    pub step: usize,
    /// Seconds since the start was begun; `None` when it was not timed.
    pub at_s: Option<f64>,
    /// It happened, but weakly.
    pub weak: bool,
}

/// How a step's time stands to its window.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Timing {
    /// No time, or none for the step before.
    NotTimed,
    /// Sooner than the window, by so many seconds.
    Early(f64),
    /// In the window, so many seconds after the step before.
    InWindow(f64),
    /// Later than the window, by so many seconds.
    Late(f64),
}

/// Where a start stands.
#[derive(Debug, Clone, PartialEq)]
pub struct Start {
    /// Each step seen, in the order of the sequence, with its timing.
    pub seen: Vec<(Seen, Timing)>,
    /// Steps before the last one seen that nobody stamped: not seen is not passed.
    pub not_stamped: Vec<usize>,
    /// What comes next.
    pub next: Next,
}

/// What a start waits for.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Next {
    /// This step, with the seconds left in its window when they can be told; negative is overdue.
    Step {
        /// Place of the step.
        step: usize,
        /// Seconds left.
        left_s: Option<f64>,
    },
    /// The last step was seen.
    Complete,
}

/// Follows a start. Stamps may come in any order; of two for one step the first in time is kept, because the
/// key may be pressed twice with a glove.
pub fn follow(sequence: &Sequence, stamps: &[Seen], now_s: Option<f64>) -> Start {
    let mut kept: Vec<Option<Seen>> = vec![None; sequence.steps.len()];
    for stamp in stamps.iter().filter(|stamp| stamp.step < sequence.steps.len()) {
        let slot = &mut kept[stamp.step];
        let earlier = |known: &Seen| match (known.at_s, stamp.at_s) {
            (Some(known), Some(new)) => new < known,
            (None, Some(_)) => true,
            _ => false,
        };
        if slot.as_ref().is_none_or(earlier) {
            *slot = Some(*stamp);
        }
    }
    let time = |step: usize| kept.get(step).copied().flatten().and_then(|seen| seen.at_s);
    let before = |step: usize| if step == 0 { Some(0.0) } else { time(step - 1) };
    let seen: Vec<(Seen, Timing)> = kept
        .iter()
        .flatten()
        .map(|seen| {
            (*seen, timing(sequence.steps[seen.step].window_s, before(seen.step), seen.at_s))
        })
        .collect();
    let reached = seen.last().map_or(0, |(last, _)| last.step + 1);
    let not_stamped = (0..reached).filter(|step| kept[*step].is_none()).collect();
    let next = if reached == sequence.steps.len() {
        Next::Complete
    } else {
        let latest = sequence.steps[reached].window_s.1;
        let left_s = before(reached).zip(now_s).map(|(since, now)| since + latest - now);
        Next::Step { step: reached, left_s }
    };
    Start { seen, not_stamped, next }
}

fn timing(window: (f64, f64), before: Option<f64>, at: Option<f64>) -> Timing {
    let (Some(before), Some(at)) = (before, at) else { return Timing::NotTimed };
    let after = at - before;
    if !(after.is_finite() && after >= 0.0) {
        Timing::NotTimed
    } else if after < window.0 {
        Timing::Early(window.0 - after)
    } else if after > window.1 {
        Timing::Late(after - window.1)
    } else {
        Timing::InWindow(after)
    }
}

/// Where the start leads when `last` was the last thing seen (`None`: nothing happened), or `None` when the
/// whole sequence was seen.
pub fn stopped_after(sequence: &Sequence, last: Option<usize>) -> Option<Leads> {
    let failed = last.map_or(0, |step| step + 1);
    sequence.steps.get(failed).map(|step| step.fails_to)
}

/// Where a step leads that happened, but weakly; `None` when weakness of this step means nothing of its own.
pub fn weak(sequence: &Sequence, step: usize) -> Option<Leads> {
    sequence.steps.get(step)?.weak.map(Leads::Symptom)
}

#[cfg(test)]
mod tests {
    use super::super::sequence::named;
    use super::super::table::Table;
    use super::*;

    fn at(step: usize, at_s: f64) -> Seen {
        Seen { step, at_s: Some(at_s), weak: false }
    }

    fn symptom(key: &str) -> Option<Leads> {
        Table::standard().symptom(key).map(Leads::Symptom)
    }

    #[test]
    fn a_start_is_timed_step_by_step() {
        let sequence = named("dsi").unwrap();
        let start = follow(sequence, &[at(0, 1.0), at(1, 45.0), at(2, 75.0)], Some(80.0));
        let timings: Vec<Timing> = start.seen.iter().map(|(_, timing)| *timing).collect();
        assert_eq!(timings, [Timing::InWindow(1.0), Timing::Late(14.0), Timing::InWindow(30.0)]);
        assert_eq!(start.next, Next::Step { step: 3, left_s: Some(10.0) });
        let late = follow(sequence, &[at(2, 75.0)], Some(100.0));
        assert_eq!(late.next, Next::Step { step: 3, left_s: Some(-10.0) });
        assert_eq!(late.not_stamped, [0, 1]);
    }

    #[test]
    fn a_time_that_was_not_taken_is_no_pass() {
        let sequence = named("dsi").unwrap();
        let untimed = Seen { step: 1, at_s: None, weak: false };
        let start = follow(sequence, &[at(0, 1.0), untimed, at(2, 75.0)], None);
        assert_eq!(start.seen[1].1, Timing::NotTimed);
        assert_eq!(start.seen[2].1, Timing::NotTimed);
        assert_eq!(start.next, Next::Step { step: 3, left_s: None });
    }

    #[test]
    fn a_key_pressed_twice_counts_once_and_nonsense_is_not_timed() {
        let sequence = named("dsi").unwrap();
        let start = follow(sequence, &[at(0, 1.5), at(0, 1.0), at(99, 3.0)], None);
        assert_eq!(start.seen, [(at(0, 1.0), Timing::InWindow(1.0))]);
        let start = follow(sequence, &[at(0, f64::NAN)], None);
        assert_eq!(start.seen[0].1, Timing::NotTimed);
        let start = follow(sequence, &[at(0, 5.0), at(1, 3.0)], None);
        assert_eq!(start.seen[1].1, Timing::NotTimed);
    }

    #[test]
    fn the_step_that_did_not_happen_gives_the_symptom() {
        let isp = named("isp").unwrap();
        assert_eq!(stopped_after(isp, None), symptom("dead"));
        assert_eq!(stopped_after(isp, Some(4)), symptom("try_no_light"));
        assert_eq!(stopped_after(isp, Some(6)), symptom("pilot_no_main"));
        assert_eq!(stopped_after(isp, Some(12)), None);
        assert_eq!(weak(isp, 8), symptom("weak_flame"));
        assert_eq!(weak(isp, 0), None);
        let spc = named("spc").unwrap();
        assert_eq!(stopped_after(spc, None), Some(Leads::GasProcedure));
        let dsi = named("dsi").unwrap();
        assert_eq!(stopped_after(dsi, Some(6)), Some(Leads::ShutDown));
    }
}
