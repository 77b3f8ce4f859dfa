//! Time from a clean to the first lockout, units still fine counted as "at least".

use crate::trade::stats::StatsError;
use crate::trade::stats::survival::{Curve, Lifetime};

/// What became of a unit after a clean, in firing hours since it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Outcome {
    /// The first lockout came at so many hours.
    LockedOut(f64),
    /// It was found at so many hours to have locked out some time before: the true time is shorter.
    LockedOutBy(f64),
    /// Still fine at so many hours.
    Fine(f64),
}

/// Waiting times of a group of units.
#[derive(Debug, Clone, PartialEq)]
pub struct Waiting {
    /// The curve over firing hours.
    pub curve: Curve,
    /// Lockouts whose time is only known from the next visit: the curve is late by up to a stretch there.
    pub only_by: usize,
}

/// The curve of a group.
pub fn waiting(outcomes: &[Outcome]) -> Result<Waiting, StatsError> {
    let lifetimes = outcomes.iter().map(|outcome| match *outcome {
        Outcome::LockedOut(time) | Outcome::LockedOutBy(time) => Lifetime { time, ended: true },
        Outcome::Fine(time) => Lifetime { time, ended: false },
    });
    let only_by =
        outcomes.iter().filter(|outcome| matches!(outcome, Outcome::LockedOutBy(_))).count();
    Ok(Waiting { curve: Curve::new(lifetimes.collect())?, only_by })
}

/// In words: counts, then the half time when it was reached. Fewer than three lockouts give counts only: a
/// mean time between failures from two events says nothing. Where no control counts its lockouts the next
/// finding stands in, and that is said.
pub fn say(waiting: &Waiting, counted_lockouts: bool) -> String {
    let (events, units) = (waiting.curve.events(), waiting.curve.units());
    let ended = if counted_lockouts {
        "after a clean ended in a lockout"
    } else {
        "from one visit to the next ended in a finding"
    };
    let mut said = format!("{events} of {units} stretches {ended}");
    if events >= 3
        && let Some(median) = waiting.curve.median()
    {
        said = format!("{said}; half of them by about {median:.0} firing hours");
    }
    if waiting.only_by > 0 {
        said = format!("{said}; {} are known only from the next visit, so sooner", waiting.only_by);
    }
    said
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The demo hall: reported lockouts between visits, rooms with salt or silicone and the clean ones.
    #[test]
    fn dirty_rooms_lock_out_and_clean_ones_last() {
        let dirty = [
            Outcome::LockedOutBy(520.0),
            Outcome::LockedOutBy(534.0),
            Outcome::LockedOutBy(626.0),
            Outcome::LockedOutBy(388.0),
            Outcome::LockedOutBy(472.0),
            Outcome::Fine(615.0),
        ];
        let dirty = waiting(&dirty).unwrap();
        assert_eq!(dirty.curve.median(), Some(520.0));
        assert_eq!(
            say(&dirty, true),
            "5 of 6 stretches after a clean ended in a lockout; half of them by about 520 firing hours; 5 are \
             known only from the next visit, so sooner"
        );
        let clean = [Outcome::Fine(905.0), Outcome::LockedOutBy(1010.0), Outcome::Fine(988.0)];
        let clean = waiting(&clean).unwrap();
        assert!(say(&clean, true).starts_with("1 of 3 stretches"));
        assert!(!say(&clean, true).contains("half"));
    }

    #[test]
    fn nothing_to_go_by_is_refused() {
        assert!(waiting(&[]).is_err());
        assert!(waiting(&[Outcome::Fine(0.0)]).is_err());
    }
}
