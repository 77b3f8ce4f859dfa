//! How a verdict is said: observation, comparison, meaning, who decides.

use crate::trade::quantity::Amount;
use crate::trade::unit::show::places;
use crate::trade::verdict::{Change, Limit, Side, Verdict};

/// Words that the program never says of an appliance, whatever was measured.
pub const NEVER: &[&str] = &[
    "safe",
    "approved",
    "certified",
    "compliant",
    "guaranteed",
    "ok to run",
    "no leak",
    "ignore",
    "passed",
];

/// Said at the foot of every page of figures.
pub const AUTHORITY: &str =
    "Readings beside the limits entered. The plate, local code and a licensed person decide.";

impl Verdict {
    /// One or two words for a column.
    pub const fn label(&self) -> &'static str {
        match self {
            Verdict::Within { .. } => "within",
            Verdict::OutsideBy { .. } => "outside",
            Verdict::TooCloseToCall { .. } => "too close to call",
            Verdict::NotTested { .. } => "not tested",
            Verdict::NoTargetYet { .. } => "no target yet",
        }
    }

    /// The whole sentence, with the limit and its source.
    ///
    /// ```
    /// use client_core::trade::quantity::Amount;
    /// use client_core::trade::uncertainty::Uncertain;
    /// use client_core::trade::unit::Unit;
    /// use client_core::trade::verdict::{judge, Guard, Limit};
    /// let read = Uncertain { amount: Amount::new(4.12, Unit::InWc), u: 0.03 };
    /// let inches = |value| Amount::new(value, Unit::InWc);
    /// let limit = Limit::between(inches(3.3), inches(3.7), "plate 3.5, 0.2 either way");
    /// let said = judge(read, &limit, Guard::COMMON).unwrap().sentence("manifold", Some(&limit));
    /// assert_eq!(
    ///     said,
    ///     "manifold is over 3.70 in w.c. by 0.42 in w.c. (plate 3.5, 0.2 either way)"
    /// );
    /// ```
    pub fn sentence(&self, name: &str, limit: Option<&Limit>) -> String {
        let source = limit.map(|limit| format!(" ({})", limit.source)).unwrap_or_default();
        match self {
            Verdict::Within { margin } => {
                format!("{name} is within the limit entered, {} from it{source}", fine(*margin))
            }
            Verdict::OutsideBy { by, side } => {
                format!("{name} is {} by {}{source}", beyond(*side, limit, *by), fine(*by))
            }
            Verdict::TooCloseToCall { margin, side, chance_inside } => {
                let where_it_is = if margin.value < 0.0 { "beyond" } else { "inside" };
                let distance = Amount::new(margin.value.abs(), margin.unit);
                let end = if *side == Side::Over { "upper" } else { "lower" };
                format!(
                    "{name} is too close to call: {} {where_it_is} the {end} limit, about \
                     {chance_inside:.0} in 100 that it is inside{source}; measure again or with a \
                     finer instrument",
                    fine(distance),
                )
            }
            Verdict::NotTested { reason } if reason.is_empty() => format!("{name} was not tested"),
            Verdict::NotTested { reason } => format!("{name} was not tested: {reason}"),
            Verdict::NoTargetYet { against_baseline: None } => {
                format!("{name} has no target yet and no baseline of its own")
            }
            Verdict::NoTargetYet { against_baseline: Some(change) } => {
                format!("{name} has no target yet; {}", baseline(change))
            }
        }
    }
}

fn beyond(side: Side, limit: Option<&Limit>, by: Amount) -> String {
    let (word, end) = match side {
        Side::Over => ("over", limit.and_then(|limit| limit.high)),
        Side::Under => ("under", limit.and_then(|limit| limit.low)),
    };
    match end.and_then(|end| end.to(by.unit)) {
        Some(end) => format!("{word} {}", fine(end)),
        None => format!("{word} the limit"),
    }
}

fn baseline(change: &Change) -> String {
    let size = fine(Amount::new(change.change.value.abs(), change.change.unit));
    let direction = if change.change.value < 0.0 { "lower" } else { "higher" };
    match (change.beyond_doubt, change.beyond_usual) {
        (false, _) => format!("about as its own baseline ({size} {direction}, within the doubt)"),
        (true, false) => format!("{size} {direction} than its own baseline"),
        (true, true) => {
            format!("{size} {direction} than its own baseline, more than is usual: find out why")
        }
    }
}

/// Shown finely enough that a figure beyond a limit never rounds away to nothing.
fn fine(amount: Amount) -> String {
    let mut digits = places(amount.unit);
    while digits < 6
        && amount.value != 0.0
        && amount.value.abs() < 0.5 * 10_f64.powi(-i32::from(digits))
    {
        digits += 1;
    }
    amount.show(digits)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::trade::unit::Unit;

    fn every_verdict() -> Vec<Verdict> {
        let amount = |value| Amount::new(value, Unit::Ppm);
        let change = |beyond_doubt, beyond_usual| Verdict::NoTargetYet {
            against_baseline: Some(Change { change: amount(-3.0), beyond_doubt, beyond_usual }),
        };
        vec![
            Verdict::Within { margin: amount(20.0) },
            Verdict::OutsideBy { by: amount(204.0), side: Side::Over },
            Verdict::OutsideBy { by: amount(0.0004), side: Side::Under },
            Verdict::TooCloseToCall { margin: amount(-3.0), side: Side::Over, chance_inside: 40.0 },
            Verdict::NotTested { reason: "blocked by racks".to_owned() },
            Verdict::NotTested { reason: String::new() },
            Verdict::NoTargetYet { against_baseline: None },
            change(false, false),
            change(true, false),
            change(true, true),
        ]
    }

    #[test]
    fn no_sentence_says_what_is_never_said() {
        let limit = Limit::at_most(Amount::new(400.0, Unit::Ppm), "firm's setting");
        for verdict in every_verdict() {
            for limit in [None, Some(&limit)] {
                let said = verdict.sentence("flue co", limit).to_lowercase();
                for never in NEVER {
                    assert!(!said.contains(never), "'{said}' says '{never}'");
                }
                assert!(!said.contains("nan") && !said.contains("inf"));
            }
        }
    }

    #[test]
    fn a_figure_just_beyond_a_limit_does_not_round_away() {
        let verdict = Verdict::OutsideBy { by: Amount::new(0.0004, Unit::Ppm), side: Side::Over };
        assert!(verdict.sentence("co", None).contains("0.0004"));
    }

    #[test]
    fn a_missing_test_never_sounds_like_a_result() {
        let verdict = Verdict::NotTested { reason: String::new() };
        assert_eq!(verdict.label(), "not tested");
        assert!(verdict.sentence("leak check", None).contains("not tested"));
    }
}
