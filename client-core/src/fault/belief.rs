//! What the results so far say about each cause: exact, by Bayes' rule.
//!
//! "None of these" stands among the causes with a weight and chances of its own, so that results which fit
//! no listed cause raise it instead of the least unlikely listed one. Among the listed causes alone the
//! figures are the same with or without it ([`Belief::among_listed`]).

use super::choice::Family;
use super::table::{CauseId, SymptomId, Table, Test, TestId};
use super::weights::Weights;

/// Weight of "none of these" before any test, as a share of the listed causes' weight. Trade judgement:
/// about one job in twenty ends with a cause that is not on the list.
pub const NONE_SHARE: f64 = 0.05;

/// How far "none of these" spreads a test's chances away from those of a cause that the test does not name:
/// nobody knows whether the unlisted cause shows in this test. Trade judgement.
const NONE_SPREAD: f64 = 0.25;

/// A result of a test on this unit.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct TestResult {
    /// The test.
    pub test: TestId,
    /// Place of the result among the test's outcomes.
    pub outcome: usize,
}

/// A candidate cause; `None` is "none of these".
pub type Candidate = Option<CauseId>;

/// Probabilities over the candidates; they sum to 1.
#[derive(Debug, Clone, PartialEq)]
pub struct Belief {
    candidates: Vec<(Candidate, f64)>,
}

impl Belief {
    /// Before any test: the weights of the causes that fit symptom and family, and "none of these".
    pub fn prior(table: &Table, symptom: SymptomId, family: Family, weights: &Weights) -> Self {
        let listed = weights.of(table, symptom, family);
        let total: f64 = listed.iter().map(|(_, weight)| weight).sum();
        let mut candidates: Vec<(Candidate, f64)> =
            listed.into_iter().map(|(cause, weight)| (Some(cause), weight)).collect();
        candidates
            .push((None, if total > 0.0 { NONE_SHARE * total + weights.unlisted() } else { 1.0 }));
        let mut belief = Self { candidates };
        belief.normalise();
        belief
    }

    /// After one more result that is independent of the others.
    #[must_use]
    pub fn after(&self, table: &Table, result: TestResult) -> Self {
        let test = &table[result.test];
        let mut belief = self.clone();
        for (candidate, probability) in &mut belief.candidates {
            *probability *= chance(test, *candidate, result.outcome);
        }
        belief.normalise();
        belief
    }

    /// Every candidate with its probability, in table order, "none of these" last.
    pub fn candidates(&self) -> &[(Candidate, f64)] {
        &self.candidates
    }

    /// The probability of one candidate; 0 when it is not among them.
    pub fn of(&self, candidate: Candidate) -> f64 {
        self.candidates.iter().find(|(known, _)| *known == candidate).map_or(0.0, |(_, p)| *p)
    }

    /// The probability of "none of these".
    pub fn none(&self) -> f64 {
        self.of(None)
    }

    /// Candidates from the most to the least probable; equals keep table order.
    pub fn ranked(&self) -> Vec<(Candidate, f64)> {
        let mut ranked = self.candidates.clone();
        ranked.sort_by(|a, b| b.1.total_cmp(&a.1));
        ranked
    }

    /// The listed causes alone, their probabilities summing to 1, in table order.
    pub fn among_listed(&self) -> Vec<(CauseId, f64)> {
        let listed = 1.0 - self.none();
        let causes = self.candidates.iter();
        causes.filter_map(|(candidate, p)| candidate.map(|cause| (cause, p / listed))).collect()
    }

    /// How much is still unknown, in bits.
    pub fn entropy(&self) -> f64 {
        entropy(self.candidates.iter().map(|(_, p)| *p))
    }

    fn normalise(&mut self) {
        let total: f64 = self.candidates.iter().map(|(_, p)| p).sum();
        // Chances are never 0, so the total is not either; a row of 40 results stays far above underflow.
        for (_, probability) in &mut self.candidates {
            *probability /= total;
        }
    }
}

/// Chance of a result under a candidate.
pub fn chance(test: &Test, candidate: Candidate, outcome: usize) -> f64 {
    if let Some(cause) = candidate {
        return test.chances(cause)[outcome];
    }
    let even = 1.0 / f64::from(u32::try_from(test.outcomes.len()).unwrap_or(u32::MAX));
    (1.0 - NONE_SPREAD) * test.otherwise[outcome] + NONE_SPREAD * even
}

/// Entropy of probabilities, in bits.
pub(super) fn entropy(probabilities: impl Iterator<Item = f64>) -> f64 {
    -probabilities.filter(|p| *p > 0.0).map(|p| p * p.log2()).sum::<f64>()
}

/// Why a result is kept in view but not counted.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum SetAside {
    /// The same test was made again later; the later result tells how the unit is now.
    MadeAgain,
    /// The same test was made again with another result: the two disagree, measure once more.
    Disagrees,
    /// Another test of the same observation tells more, and the two are not independent.
    SameObservation {
        /// Place of the result that is counted instead.
        counted: usize,
    },
}

/// The belief after a list of results, and which of them were set aside.
#[derive(Debug, Clone, PartialEq)]
pub struct Weighed {
    /// The belief.
    pub belief: Belief,
    /// Place in the list and why it was not counted.
    pub set_aside: Vec<(usize, SetAside)>,
}

/// Weighs results in the order they were taken. Of one observation only the strongest result counts: the one
/// that, alone, moves the prior most.
pub fn weigh(table: &Table, prior: &Belief, results: &[TestResult]) -> Weighed {
    let mut set_aside = Vec::new();
    let mut counted: Vec<usize> = Vec::new();
    for (place, result) in results.iter().enumerate() {
        let later = results[place + 1..].iter().find(|later| later.test == result.test);
        if let Some(later) = later {
            let same = later.outcome == result.outcome;
            set_aside.push((place, if same { SetAside::MadeAgain } else { SetAside::Disagrees }));
            continue;
        }
        let group = table[result.test].group;
        let rival = counted.iter().position(|other| table[results[*other].test].group == group);
        match rival {
            None => counted.push(place),
            Some(slot) => {
                let other = counted[slot];
                let moves = |place: usize| moved(prior, &prior.after(table, results[place]));
                let (stronger, weaker) =
                    if moves(place) > moves(other) { (place, other) } else { (other, place) };
                counted[slot] = stronger;
                set_aside.push((weaker, SetAside::SameObservation { counted: stronger }));
            }
        }
    }
    set_aside.sort_by_key(|(place, _)| *place);
    let belief =
        counted.iter().fold(prior.clone(), |belief, &place| belief.after(table, results[place]));
    Weighed { belief, set_aside }
}

/// How far a result moves a belief: relative entropy in bits.
fn moved(before: &Belief, after: &Belief) -> f64 {
    let pairs = before.candidates.iter().zip(&after.candidates);
    pairs.filter(|(_, (_, p))| *p > 0.0).map(|((_, q), (_, p))| p * (p / q).log2()).sum()
}

#[cfg(test)]
mod tests {
    use super::super::table::Table;
    use super::*;

    fn result(table: &Table, test: &str, outcome: &str) -> TestResult {
        let test = table.test(test).unwrap();
        TestResult { test, outcome: table[test].outcome(outcome).unwrap() }
    }

    fn prior(table: &Table, symptom: &str, family: Family) -> Belief {
        Belief::prior(table, table.symptom(symptom).unwrap(), family, &Weights::general())
    }

    #[test]
    fn probabilities_sum_to_one_after_any_result() {
        let table = Table::standard();
        for symptom in table.symptom_ids() {
            for family in table[symptom].families.members() {
                let prior = Belief::prior(table, symptom, family, &Weights::general());
                for test in table.test_ids() {
                    for outcome in 0..table[test].outcomes.len() {
                        let after = prior.after(table, TestResult { test, outcome });
                        let sum: f64 = after.candidates().iter().map(|(_, p)| p).sum();
                        assert!((sum - 1.0).abs() < 1e-12);
                        assert!(after.candidates().iter().all(|(_, p)| *p > 0.0));
                    }
                }
            }
        }
    }

    #[test]
    fn results_that_fit_nothing_listed_raise_none_of_these() {
        let table = Table::standard();
        let prior = prior(table, "lights_drops", Family::Dsi);
        let fine = [
            ("flame_ua", "at least twice minimum"),
            ("polarity", "correct"),
            ("rod_insul", "open"),
            ("manifold", "within band"),
            ("main_look", "even, blue"),
            ("valve_volts", "present"),
            ("ps_differential", "clear margin"),
            ("vent_look", "clear"),
            ("inlet_flow", "above plate minimum"),
        ];
        let results: Vec<TestResult> = fine.iter().map(|(t, o)| result(table, t, o)).collect();
        let after = weigh(table, &prior, &results).belief;
        assert!(after.none() > prior.none(), "{}", after.none());
    }

    #[test]
    fn the_same_test_twice_counts_once_and_a_disagreement_is_said() {
        let table = Table::standard();
        let prior = prior(table, "lights_drops", Family::Dsi);
        let low = result(table, "flame_ua", "below minimum");
        let fine = result(table, "flame_ua", "at least twice minimum");
        let once = weigh(table, &prior, &[low]);
        let twice = weigh(table, &prior, &[low, low]);
        assert_eq!(once.belief, twice.belief);
        assert_eq!(twice.set_aside, [(0, SetAside::MadeAgain)]);
        let changed = weigh(table, &prior, &[low, fine]);
        assert_eq!(changed.belief, prior.after(table, fine));
        assert_eq!(changed.set_aside, [(0, SetAside::Disagrees)]);
    }

    #[test]
    fn of_one_observation_the_stronger_result_counts() {
        let mut table = Table::standard().clone();
        let (amps, start) =
            (table.test("inducer_amps").unwrap(), table.test("inducer_start").unwrap());
        table.tests[amps.0].group = "turns";
        table.tests[start.0].group = "turns";
        let prior = prior(&table, "dead", Family::Isp);
        let weak = result(&table, "inducer_amps", "near plate");
        let strong = result(&table, "inducer_start", "hums or slow");
        for (results, set_aside) in [
            ([weak, strong], (0, SetAside::SameObservation { counted: 1 })),
            ([strong, weak], (1, SetAside::SameObservation { counted: 0 })),
        ] {
            let weighed = weigh(&table, &prior, &results);
            assert_eq!(weighed.belief, prior.after(&table, strong));
            assert_eq!(weighed.set_aside, [set_aside]);
        }
    }
}
