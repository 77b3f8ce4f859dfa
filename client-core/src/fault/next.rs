//! What each test would tell for its minutes.

use super::belief::{Belief, Candidate, TestResult, chance, entropy};
use super::permit::Permit;
use super::table::{SetupId, Table, TestId};

/// A test that may be made now, with what it is worth.
#[derive(Debug, Clone, PartialEq)]
pub struct Offer {
    /// The test.
    pub test: TestId,
    /// What must be in order before it.
    pub permit: Permit,
    /// Expected information, bits.
    pub bits: f64,
    /// Minutes, its set-up included when that is not paid yet.
    pub minutes: f64,
    /// Minutes of that set-up.
    pub setup_min: f64,
    /// Expected information for each minute; a shared set-up is spread over the best second test at the port.
    pub bits_a_minute: f64,
}

/// One possible result and what would follow from it.
#[derive(Debug, Clone, PartialEq)]
pub struct Outlook {
    /// Place of the result among the test's outcomes.
    pub outcome: usize,
    /// How probable it is, 0 to 1.
    pub chance: f64,
    /// The candidate that would lead, with its probability.
    pub leader: (Candidate, f64),
    /// The candidate that would come second.
    pub runner_up: (Candidate, f64),
}

/// Expected information of one test, bits.
pub fn information(table: &Table, belief: &Belief, test: TestId) -> f64 {
    let test = &table[test];
    let outcomes = 0..test.outcomes.len();
    let joint = |outcome: usize| {
        belief.candidates().iter().map(move |(candidate, p)| p * chance(test, *candidate, outcome))
    };
    belief.entropy() - outcomes.map(|outcome| left_open(joint(outcome))).sum::<f64>()
}

/// Expected information of two tests made together, bits.
fn information_of_two(table: &Table, belief: &Belief, a: TestId, b: TestId) -> f64 {
    let (a, b) = (&table[a], &table[b]);
    let mut open = 0.0;
    for first in 0..a.outcomes.len() {
        for second in 0..b.outcomes.len() {
            open += left_open(belief.candidates().iter().map(|(candidate, p)| {
                p * chance(a, *candidate, first) * chance(b, *candidate, second)
            }));
        }
    }
    belief.entropy() - open
}

/// Entropy that stays open after one result, times the chance of that result.
fn left_open(joint: impl Iterator<Item = f64> + Clone) -> f64 {
    let total: f64 = joint.clone().sum();
    if total <= 0.0 {
        return 0.0;
    }
    total * entropy(joint.map(|p| p / total))
}

/// Set-ups that earlier results have paid.
pub fn paid(table: &Table, results: &[TestResult]) -> Vec<SetupId> {
    let mut paid: Vec<SetupId> =
        results.iter().filter_map(|result| table[result.test].setup).collect();
    paid.sort_unstable();
    paid.dedup();
    paid
}

/// The permitted tests from the best to the least for their minutes; equals keep table order.
pub fn rank(
    table: &Table,
    belief: &Belief,
    permitted: &[(TestId, Permit)],
    paid: &[SetupId],
) -> Vec<Offer> {
    let unpaid = |test: TestId| table[test].setup.filter(|setup| !paid.contains(setup));
    let mut offers: Vec<Offer> = permitted
        .iter()
        .map(|&(test, permit)| {
            let setup_min = unpaid(test).map_or(0.0, |setup| table[setup].minutes);
            let minutes = table[test].minutes + setup_min;
            let bits = information(table, belief, test);
            Offer { test, permit, bits, minutes, setup_min, bits_a_minute: bits / minutes }
        })
        .collect();
    for own in &mut offers {
        let Some(setup) = unpaid(own.test) else { continue };
        let partners = permitted.iter().map(|(test, _)| *test);
        own.bits_a_minute = partners
            .filter(|test| *test != own.test && table[*test].setup == Some(setup))
            .map(|test| {
                let minutes = own.minutes + table[test].minutes;
                information_of_two(table, belief, own.test, test) / minutes
            })
            .fold(own.bits_a_minute, f64::max);
    }
    offers.sort_by(|a, b| b.bits_a_minute.total_cmp(&a.bits_a_minute));
    offers
}

/// What each result of a test would say.
pub fn outlooks(table: &Table, belief: &Belief, test: TestId) -> Vec<Outlook> {
    let outcomes = 0..table[test].outcomes.len();
    outcomes
        .filter_map(|outcome| {
            let weights = belief.candidates().iter();
            let chance: f64 =
                weights.map(|(candidate, p)| p * chance(&table[test], *candidate, outcome)).sum();
            let ranked = belief.after(table, TestResult { test, outcome }).ranked();
            let (leader, runner_up) = (*ranked.first()?, *ranked.get(1)?);
            Some(Outlook { outcome, chance, leader, runner_up })
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::super::choice::Family;
    use super::super::weights::Weights;
    use super::*;

    fn belief(symptom: &str, family: Family) -> Belief {
        let table = Table::standard();
        Belief::prior(table, table.symptom(symptom).unwrap(), family, &Weights::general())
    }

    #[test]
    fn information_is_never_negative_and_two_tests_tell_at_least_as_much_as_one() {
        let table = Table::standard();
        let belief = belief("bad_combustion", Family::Isp);
        for a in table.test_ids() {
            let one = information(table, &belief, a);
            assert!(one >= -1e-12, "{}", table[a].key);
            for b in table.test_ids().filter(|b| *b != a) {
                assert!(information_of_two(table, &belief, a, b) >= one - 1e-12);
            }
        }
    }

    #[test]
    fn a_set_up_is_paid_once() {
        let table = Table::standard();
        let belief = belief("bad_combustion", Family::Isp);
        let permit = Permit { cares: super::super::choice::CareSet::NONE, cock_closed: false };
        let o2 = table.test("o2_base").unwrap();
        let stack = table.test("stack_base").unwrap();
        let offers = rank(table, &belief, &[(stack, permit)], &[]);
        assert!((offers[0].minutes - 16.0).abs() < 1e-12);
        let done = [TestResult { test: o2, outcome: 0 }];
        let offers = rank(table, &belief, &[(stack, permit)], &paid(table, &done));
        assert!((offers[0].minutes - 2.0).abs() < 1e-12);
    }

    #[test]
    fn the_chances_of_the_results_sum_to_one() {
        let table = Table::standard();
        let belief = belief("lights_drops", Family::Dsi);
        for test in table.test_ids() {
            let sum: f64 =
                outlooks(table, &belief, test).iter().map(|outlook| outlook.chance).sum();
            assert!((sum - 1.0).abs() < 1e-12);
        }
    }
}
