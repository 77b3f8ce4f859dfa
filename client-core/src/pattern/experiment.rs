//! Natural experiments: one unit was changed, its like was not.

use super::Day;
use super::drift::Loss;

/// A change to a unit or its area: outside combustion air, another product sprayed below.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Change<'a> {
    /// What was changed, in words.
    pub what: &'a str,
    /// When.
    pub day: Day,
}

/// A unit of the experiment.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Unit<'a> {
    /// Its tag.
    pub unit: &'a str,
    /// Whether the change was made to it.
    pub changed: bool,
    /// Its losses, in the order of time.
    pub losses: &'a [Loss],
}

/// One unit before and after.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Arm<'a> {
    /// Its tag.
    pub unit: &'a str,
    /// Loss for 1,000 firing hours before the change.
    pub before: f64,
    /// Loss for 1,000 firing hours after it.
    pub after: f64,
    /// What the instrument's accuracy alone can put between the two.
    pub blur: f64,
    /// The change fell inside the stretch that counts as after, in its first half.
    pub mixed: bool,
}

impl Arm<'_> {
    fn drop(&self) -> f64 {
        self.before - self.after
    }
}

/// How much the comparison can carry.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Strength {
    /// No difference that the instruments can show.
    NoDifference,
    /// A difference, but nothing unchanged to compare with, or one that moved nearly as much.
    WeakHint,
    /// One or two pairs that agree, and the unchanged ones stayed.
    StrongHint,
    /// Three pairs or more, all the same way.
    Supported,
}

/// A natural experiment.
#[derive(Debug, Clone, PartialEq)]
pub struct Experiment<'a> {
    /// The change.
    pub change: Change<'a>,
    /// Units that were changed.
    pub changed: Vec<Arm<'a>>,
    /// Units that were not.
    pub unchanged: Vec<Arm<'a>>,
    /// What it can carry.
    pub strength: Strength,
}

/// Sets the units against each other. `None` when no changed unit has a loss on both sides of the change.
pub fn experiment<'a>(change: Change<'a>, units: &[Unit<'a>]) -> Option<Experiment<'a>> {
    let arms = |changed: bool| -> Vec<Arm<'a>> {
        let group = units.iter().filter(|unit| unit.changed == changed);
        group.filter_map(|unit| arm(unit, change.day)).collect()
    };
    let (changed, unchanged) = (arms(true), arms(false));
    if changed.is_empty() {
        return None;
    }
    let strength = strength(&changed, &unchanged);
    Some(Experiment { change, changed, unchanged, strength })
}

fn arm<'a>(unit: &Unit<'a>, change: Day) -> Option<Arm<'a>> {
    let before = unit.losses.iter().rfind(|loss| !after(loss, change))?;
    let later = unit.losses.iter().find(|loss| after(loss, change))?;
    let half = |loss: &Loss| (loss.range.high - loss.range.low) / 2.0;
    Some(Arm {
        unit: unit.unit,
        before: before.per_1000_h,
        after: later.per_1000_h,
        blur: half(before).hypot(half(later)),
        mixed: later.from.day < change,
    })
}

/// A stretch counts as after when most of its days lie after the change.
fn after(loss: &Loss, change: Day) -> bool {
    2 * change.since(loss.from.day) <= loss.to.day.since(loss.from.day)
}

fn strength(changed: &[Arm<'_>], unchanged: &[Arm<'_>]) -> Strength {
    let shown = |arm: &Arm<'_>| arm.drop().abs() > arm.blur;
    if !changed.iter().any(shown) {
        return Strength::NoDifference;
    }
    let count = crate::trade::stats::real;
    let moved = changed.iter().map(Arm::drop).sum::<f64>() / count(changed.len());
    let agree = changed.iter().all(|arm| shown(arm) && arm.drop().signum() == moved.signum());
    let others = unchanged.iter().map(|arm| arm.drop().abs()).fold(0.0, f64::max);
    if unchanged.is_empty() || !agree || others > 0.5 * moved.abs() {
        Strength::WeakHint
    } else if changed.len().min(unchanged.len()) >= 3 {
        Strength::Supported
    } else {
        Strength::StrongHint
    }
}

/// The experiment in words: figures of each unit, then what they can carry. Never a share of improvement.
pub fn say(experiment: &Experiment<'_>, unit: &str) -> String {
    let one = |arm: &Arm<'_>| format!("{} {:.1} to {:.1}", arm.unit, arm.before, arm.after);
    let list = |arms: &[Arm<'_>]| arms.iter().map(one).collect::<Vec<String>>().join(", ");
    let unchanged = if experiment.unchanged.is_empty() {
        "nothing unchanged to compare with".to_owned()
    } else {
        format!("unchanged: {}", list(&experiment.unchanged))
    };
    let pairs = experiment.changed.len().min(experiment.unchanged.len());
    let count = match pairs {
        0 => "no pair".to_owned(),
        1 => "one pair".to_owned(),
        many => format!("{many} pairs"),
    };
    let carries = match experiment.strength {
        Strength::NoDifference => "no difference that the instruments can show",
        Strength::WeakHint => "weak hint, not proof",
        Strength::StrongHint => "strong hint, not proof",
        Strength::Supported => "supported by every pair; the cause behind it is still a judgement",
    };
    let mixed = if experiment.changed.iter().any(|arm| arm.mixed) {
        "; the change came during the later stretch"
    } else {
        ""
    };
    format!(
        "{}, {}: loss in {unit} per 1,000 h, changed: {}; {unchanged}. {count}, one stretch each side{mixed}: \
         {carries}",
        experiment.change.what,
        experiment.change.day,
        list(&experiment.changed),
    )
}

#[cfg(test)]
mod tests {
    use super::super::drift::{Mark, Visit, losses};
    use super::*;

    fn day(date: &str) -> Day {
        Day::parse(date).unwrap()
    }

    /// Two stretches of 500 and 600 hours between the demo hall's three visits, each from 4.0 uA.
    fn stretches(first: f64, second: f64) -> Vec<Loss> {
        let mark = |date, hours, value| Some(Mark { day: day(date), hours, value });
        let visits = [
            Visit { found: None, left: mark("2024-10-08", 0.0, 4.0) },
            Visit {
                found: mark("2025-01-22", 500.0, 4.0 - first * 0.5),
                left: mark("2025-01-22", 500.0, 4.0),
            },
            Visit { found: mark("2025-10-14", 1100.0, 4.0 - second * 0.6), left: None },
        ];
        losses(&visits, 0.1)
    }

    fn outside_air() -> Change<'static> {
        Change { what: "combustion air ducted from outside", day: day("2025-03-15") }
    }

    /// The demo hall: one heater of the salt room was given outside air, its like was not.
    #[test]
    fn one_pair_is_a_strong_hint_and_no_proof() {
        let (changed, like) = (stretches(6.35, 0.98), stretches(5.62, 5.43));
        let units = [
            Unit { unit: "UH-05", changed: true, losses: &changed },
            Unit { unit: "UH-06", changed: false, losses: &like },
        ];
        let experiment = experiment(outside_air(), &units).unwrap();
        assert_eq!(experiment.strength, Strength::StrongHint);
        let said = say(&experiment, "uA");
        assert_eq!(
            said,
            "combustion air ducted from outside, 2025-03-15: loss in uA per 1,000 h, changed: UH-05 6.3 to 1.0; \
             unchanged: UH-06 5.6 to 5.4. one pair, one stretch each side; the change came during the later \
             stretch: strong hint, not proof"
        );
        assert!(!said.contains('%'));
    }

    #[test]
    fn a_like_that_moved_as_well_or_is_missing_leaves_a_weak_hint() {
        let (changed, like) = (stretches(6.3, 1.0), stretches(5.6, 1.2));
        let unit = Unit { unit: "UH-05", changed: true, losses: &changed };
        let both = [unit, Unit { unit: "UH-06", changed: false, losses: &like }];
        assert_eq!(experiment(outside_air(), &both).unwrap().strength, Strength::WeakHint);
        assert_eq!(experiment(outside_air(), &[unit]).unwrap().strength, Strength::WeakHint);
    }

    #[test]
    fn what_the_instruments_cannot_show_is_no_difference() {
        let (changed, like) = (stretches(5.6, 5.4), stretches(5.6, 5.4));
        let units = [
            Unit { unit: "A", changed: true, losses: &changed },
            Unit { unit: "B", changed: false, losses: &like },
        ];
        assert_eq!(experiment(outside_air(), &units).unwrap().strength, Strength::NoDifference);
    }

    #[test]
    fn three_pairs_the_same_way_support_it_and_no_stretch_after_gives_nothing() {
        let (changed, like) = (stretches(6.3, 1.0), stretches(5.6, 5.4));
        let mut units = Vec::new();
        for (a, b) in [("A", "B"), ("C", "D"), ("E", "F")] {
            units.push(Unit { unit: a, changed: true, losses: &changed });
            units.push(Unit { unit: b, changed: false, losses: &like });
        }
        assert_eq!(experiment(outside_air(), &units).unwrap().strength, Strength::Supported);
        let late = Change { what: "x", day: day("2025-10-01") };
        assert_eq!(experiment(late, &units), None);
    }
}
