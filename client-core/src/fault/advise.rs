//! What to do next on this unit: the belief, the next step, and what is held back with the reason.

use super::belief::{Belief, Candidate, SetAside, TestResult, weigh};
use super::choice::Family;
use super::next::{Offer, paid, rank};
use super::pairs::inseparable;
use super::permit::{Case, Conditions, GAS_CHECK_AND_WAIT_MIN, GasSmell, Permit, Refusal};
use super::signs::{Danger, Signs, in_belief, seen};
use super::table::{CauseId, SymptomId, Table, TestId};
use super::weights::Weights;

/// Probability at which the search stops. Trade judgement: about 85 %.
pub const STOP_AT: f64 = 0.85;
/// Probability of the leader from which a dear test gives way to trying the repair. Trade judgement.
pub const TRY_REPAIR_AT: f64 = 0.5;
/// Information under which a test is not worth offering, bits.
const BITS_MIN: f64 = 0.01;
/// Minutes of reading the ambient CO or checking for gas smell, as far as choosing the next step goes.
const READING_MIN: f64 = 1.0;

/// The search for one fault on one unit.
#[derive(Debug, Clone, Copy)]
pub struct Job<'a> {
    /// The tables.
    pub table: &'a Table,
    /// What is seen.
    pub symptom: SymptomId,
    /// The unit's family.
    pub family: Family,
    /// How common the causes are here.
    pub weights: &'a Weights,
    /// Results in the order they were taken.
    pub results: &'a [TestResult],
    /// How the unit, the person and the place are now.
    pub conditions: &'a Conditions,
    /// What was seen besides.
    pub signs: &'a Signs,
}

/// Why there is no advice.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum AdviseError {
    /// The symptom cannot happen to the family.
    #[error(
        "`{symptom}` does not happen to family `{family}`; look at the unit again and pick what is seen"
    )]
    OtherFamily {
        /// The symptom's key.
        symptom: &'static str,
        /// The family's key.
        family: &'static str,
    },
    /// A result names an outcome that its test does not have.
    #[error("result {place} is not among the results of `{test}`")]
    NoSuchOutcome {
        /// Place in the list of results, counted from 0.
        place: usize,
        /// The test's key.
        test: &'static str,
    },
}

/// The advice.
#[derive(Debug, Clone, PartialEq)]
pub enum Advice {
    /// Gas smell: the gas procedure and nothing else.
    GasProcedure,
    /// Everything else.
    Search(Box<Search>),
}

/// Where the search stands.
#[derive(Debug, Clone, PartialEq)]
pub struct Search {
    /// The belief after all results that count.
    pub belief: Belief,
    /// Candidates from the most to the least probable, "none of these" among them.
    pub ranked: Vec<(Candidate, f64)>,
    /// Reasons for proposing shut-down; not empty means that it is proposed and stays so.
    pub dangers: Vec<Danger>,
    /// What to do next.
    pub step: Step,
    /// Tests that may be made now, best first.
    pub offers: Vec<Offer>,
    /// Tests of this family that may not be made now, with the reason.
    pub held_back: Vec<(TestId, Refusal)>,
    /// Results that were set aside, by place, with the reason.
    pub set_aside: Vec<(usize, SetAside)>,
    /// Leader and runner-up when no single test separates them: shown together.
    pub together: Option<(CauseId, CauseId)>,
}

/// The cause that a person settles on, with what speaks for it: the material of a finding.
#[derive(Debug, Clone, PartialEq)]
pub struct Chosen {
    /// The cause's key, or `other` when it is on no list.
    pub cause: &'static str,
    /// Its probability when it was chosen, 0 to 1.
    pub probability: f64,
    /// The most probable candidate besides it, with its probability.
    pub runner_up: Option<(Candidate, f64)>,
    /// Places of the results that count as evidence.
    pub evidence: Vec<usize>,
}

impl Search {
    /// The finding's material for a cause that a person chose; it need not be the leader.
    pub fn choose(&self, table: &Table, candidate: Candidate, results: usize) -> Chosen {
        let aside = |place: &usize| self.set_aside.iter().any(|(other, _)| other == place);
        Chosen {
            cause: candidate.map_or("other", |cause| table[cause].key),
            probability: self.belief.of(candidate),
            runner_up: self.ranked.iter().copied().find(|(other, _)| *other != candidate),
            evidence: (0..results).filter(|place| !aside(place)).collect(),
        }
    }
}

/// The next step.
#[derive(Debug, Clone, PartialEq)]
pub enum Step {
    /// Read the ambient CO before anything else.
    ReadAmbientCo,
    /// Check for gas smell, low and high, before anything is lit.
    CheckGasSmell,
    /// Gas check and wait before another trial; then this test.
    GasCheckAndWait(TestId),
    /// Make this test.
    Test(Offer),
    /// Stop searching.
    Stop(Stop),
}

/// Why the search stops.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Stop {
    /// One cause has passed the stopping probability.
    Clear(CauseId),
    /// Two causes that no single test separates hold it together.
    Together(CauseId, CauseId),
    /// The next test takes longer than the leading cause's usual repair.
    RepairIsShorter {
        /// The leading cause.
        cause: CauseId,
        /// Minutes of the next test.
        test_min: f64,
        /// Minutes of the repair.
        repair_min: f64,
    },
    /// The results fit none of the listed causes.
    NoneOfThese,
    /// No permitted test would tell more.
    NothingLeft,
}

/// Advises on a job. Pure: the same job gives the same advice.
pub fn advise(job: &Job<'_>) -> Result<Advice, AdviseError> {
    check(job)?;
    if job.conditions.gas_smell == GasSmell::Present {
        return Ok(Advice::GasProcedure);
    }
    let prior = Belief::prior(job.table, job.symptom, job.family, job.weights);
    let weighed = weigh(job.table, &prior, job.results);
    let dangers = dangers(job, &prior, &weighed.belief);
    let case = Case {
        table: job.table,
        symptom: job.symptom,
        family: job.family,
        results: job.results,
        conditions: job.conditions,
        shut_down: !dangers.is_empty(),
    };
    let (mut permitted, mut held_back) = (Vec::new(), Vec::new());
    for test in job.table.test_ids() {
        match case.permit(test) {
            Ok(permit) => permitted.push((test, permit)),
            Err(Refusal::OtherFamily | Refusal::Made) => {}
            Err(refusal) => held_back.push((test, refusal)),
        }
    }
    let paid = paid(job.table, job.results);
    let mut offers = rank(job.table, &weighed.belief, &permitted, &paid);
    offers.retain(|offer| offer.bits >= BITS_MIN);
    let ranked = weighed.belief.ranked();
    let together = together(job, &ranked);
    let stop = stop(job, &ranked, together, offers.first());
    let step = match (first_of_all(job), stop) {
        (Some(step), _) => {
            offers.clear();
            step
        }
        (None, Some(stop)) => Step::Stop(stop),
        (None, None) => next_step(job, &weighed.belief, &offers, &held_back),
    };
    Ok(Advice::Search(Box::new(Search {
        belief: weighed.belief,
        ranked,
        dangers,
        step,
        offers,
        held_back,
        set_aside: weighed.set_aside,
        together,
    })))
}

fn check(job: &Job<'_>) -> Result<(), AdviseError> {
    let symptom = &job.table[job.symptom];
    if !symptom.families.has(job.family) {
        return Err(AdviseError::OtherFamily { symptom: symptom.key, family: job.family.key() });
    }
    for (place, result) in job.results.iter().enumerate() {
        let test = &job.table[result.test];
        if result.outcome >= test.outcomes.len() {
            return Err(AdviseError::NoSuchOutcome { place, test: test.key });
        }
    }
    Ok(())
}

/// Signs, results, and the sum of the hazard-3 causes now or after any earlier result: once proposed, a
/// later result does not take the proposal back; a qualified person does.
fn dangers(job: &Job<'_>, prior: &Belief, now: &Belief) -> Vec<Danger> {
    let mut signs = *job.signs;
    if signs.ambient_co_ppm.is_none() {
        signs.ambient_co_ppm = job.conditions.ambient_co_ppm;
    }
    let mut dangers = seen(job.table, &signs, job.results);
    let earlier = (0..job.results.len()).find_map(|count| {
        in_belief(job.table, &weigh(job.table, prior, &job.results[..count]).belief)
    });
    dangers.extend(in_belief(job.table, now).or(earlier));
    dangers
}

/// What comes before any test of this symptom.
fn first_of_all(job: &Job<'_>) -> Option<Step> {
    let co_first = job.table[job.symptom].key == "bad_combustion";
    (co_first && job.conditions.ambient_co_ppm.is_none()).then_some(Step::ReadAmbientCo)
}

fn together(job: &Job<'_>, ranked: &[(Candidate, f64)]) -> Option<(CauseId, CauseId)> {
    match ranked {
        [(Some(leader), _), (Some(second), _), ..]
            if inseparable(job.table, job.family, *leader, *second) =>
        {
            Some((*leader, *second))
        }
        _ => None,
    }
}

fn stop(
    job: &Job<'_>,
    ranked: &[(Candidate, f64)],
    together: Option<(CauseId, CauseId)>,
    best: Option<&Offer>,
) -> Option<Stop> {
    let (leader, lead) = *ranked.first()?;
    let Some(cause) = leader else {
        return (lead >= TRY_REPAIR_AT).then_some(Stop::NoneOfThese);
    };
    if lead >= STOP_AT {
        return Some(Stop::Clear(cause));
    }
    if let Some((first, second)) = together
        && lead + ranked[1].1 >= STOP_AT
    {
        return Some(Stop::Together(first, second));
    }
    let (hazard, repair_min) = (job.table[cause].hazard, job.table[cause].repair_min);
    let dear = best.filter(|offer| offer.minutes > repair_min)?;
    // A hazard is not tried out, and a repair that takes no minutes is none.
    (lead >= TRY_REPAIR_AT && hazard < 3 && repair_min > 0.0).then_some(Stop::RepairIsShorter {
        cause,
        test_min: dear.minutes,
        repair_min,
    })
}

/// The best test, or the reading or the wait that would open a better one.
fn next_step(
    job: &Job<'_>,
    belief: &Belief,
    offers: &[Offer],
    held_back: &[(TestId, Refusal)],
) -> Step {
    let paid = paid(job.table, job.results);
    let best_now = offers.first().map_or(0.0, |offer| offer.bits_a_minute);
    let behind = |wanted: Refusal, minutes: f64| {
        let able = |test: &TestId| {
            let cares = job.table[*test].cares;
            cares.members().all(|care| job.conditions.cares.has(care))
        };
        let tests: Vec<(TestId, Permit)> = held_back
            .iter()
            .filter(|(test, refusal)| *refusal == wanted && able(test))
            .map(|(test, _)| (*test, Permit { cares: job.table[*test].cares, cock_closed: false }))
            .collect();
        rank(job.table, belief, &tests, &paid)
            .into_iter()
            .filter(|offer| offer.bits >= BITS_MIN)
            .map(|offer| (offer.test, offer.bits / (offer.minutes + minutes)))
            .find(|(_, worth)| *worth > best_now)
            .map(|(test, _)| test)
    };
    if behind(Refusal::GasSmellNotChecked, READING_MIN).is_some() {
        return Step::CheckGasSmell;
    }
    if behind(Refusal::AmbientCoNotRead, READING_MIN).is_some() {
        return Step::ReadAmbientCo;
    }
    if let Some(test) = behind(Refusal::TrialsUsed, GAS_CHECK_AND_WAIT_MIN) {
        return Step::GasCheckAndWait(test);
    }
    match offers.first() {
        Some(offer) => Step::Test(offer.clone()),
        None => Step::Stop(Stop::NothingLeft),
    }
}
