//! Simulated jobs: how often the search ends on the true cause, in how many minutes, against two plain ways
//! of searching; how well it bears tables that are off by a factor of two; whether its percentages hold.
//!
//! `cargo run --release -p tests --bin bench_fault [JOBS [SEED]]`; the same seed gives the same figures,
//! but for the latency. The jobs are drawn from the tables themselves, so this tests the search and not the
//! tables: only settled findings can do that.
#![expect(clippy::print_stdout, reason = "a bench prints its figures")]

use std::process::ExitCode;
use std::time::{Duration, Instant};

use client_core::fault::advise::{Advice, Job, STOP_AT, Search, Step, Stop, advise};
use client_core::fault::belief::{Candidate, NONE_SHARE, TestResult, chance};
use client_core::fault::choice::{CareSet, Family, State};
use client_core::fault::next::paid;
use client_core::fault::permit::{Case, Conditions, GAS_CHECK_AND_WAIT_MIN, GasSmell, Refusal};
use client_core::fault::signs::Signs;
use client_core::fault::table::{CauseId, SymptomId, Table, TestId};
use client_core::fault::weights::{self, Here, Season, Weights};

/// The order in which many people search: power, call, air, gas, spark, flame; the rest in table order.
const FIXED_ORDER: &str = "line_volts xfmr_volts polarity chain \
    call_volts stat_look w2_volts status_lamp permit_volts \
    inducer_start inducer_volts inducer_amps ps_differential hose_look ps_trip air_prove_dp end_switch \
    air_look fan_start fan_amps temp_rise vent_look vent_draft bldg_dp door_trial \
    cock_pos inlet_static inlet_flow manifold leakby valve_volts valve_ohms gas_label clocked \
    spark_look gap_look hv_look hsi_volts hsi_ohms \
    pilot_look spark_stops tc_open tc_loaded tc_dropout flame_ua ua_after_clean rod_insul main_look \
    light_time o2_base co_airfree stack_base";

fn main() -> ExitCode {
    let mut arguments = std::env::args().skip(1);
    let number = |text: Option<String>, usual: u64| text.map_or(Ok(usual), |text| text.parse());
    let (Ok(jobs), Ok(seed)) =
        (number(arguments.next(), 10_000), number(arguments.next(), 20_260_101))
    else {
        println!("usage: bench_fault [JOBS [SEED]]");
        return ExitCode::from(2);
    };
    let table = Table::standard();
    println!("{jobs} simulated jobs from seed {seed}, family known, all cares met\n");
    let draws = draw_jobs(table, jobs, &mut Random(seed));
    println!("results drawn from the tables as they are");
    let searched = compare(table, table, &draws, seed);
    println!("\nresults drawn from tables whose chances are each off by up to a factor of two");
    let off = perturbed(table, &mut Random(seed ^ 0x5eed));
    compare(table, &off, &draws, seed);
    reliability(table, &draws, seed);
    hazards(table, &searched);
    learning(table, seed);
    unlisted(table, &draws, seed);
    latency(&searched);
    ExitCode::SUCCESS
}

/// One simulated job.
#[derive(Clone, Copy)]
struct Draw {
    symptom: SymptomId,
    family: Family,
    truth: Candidate,
}

/// How one search went.
struct Run {
    truth: Candidate,
    minutes: f64,
    tests: usize,
    search: Search,
    beliefs: Vec<(f64, bool)>,
    slowest: Vec<Duration>,
}

impl Run {
    fn right(&self) -> bool {
        self.search.ranked[0].0 == self.truth
    }

    /// Minutes of the usual repairs, tried in the order of belief until the true cause is reached.
    fn repairs(&self, table: &Table) -> f64 {
        let order = self.search.ranked.iter().filter_map(|(candidate, _)| *candidate);
        let mut tried = 0.0;
        for cause in order {
            tried += table[cause].repair_min;
            if Some(cause) == self.truth {
                break;
            }
        }
        tried
    }
}

/// A way of choosing the next test.
#[derive(Clone, Copy, PartialEq)]
enum Way {
    Dripleg,
    FixedOrder,
    PriorFirst,
}

fn draw_jobs(table: &Table, jobs: u64, random: &mut Random) -> Vec<Draw> {
    let symptoms: Vec<SymptomId> = table.symptom_ids().collect();
    (0..jobs)
        .map(|_| {
            let symptom = symptoms[random.below(symptoms.len())];
            let families: Vec<Family> = table[symptom].families.members().collect();
            let family = families[random.below(families.len())];
            let causes = Weights::general().of(table, symptom, family);
            let shares: Vec<f64> = causes.iter().map(|(_, weight)| *weight).collect();
            Draw { symptom, family, truth: Some(causes[random.pick(&shares)].0) }
        })
        .collect()
}

fn compare(table: &Table, nature: &Table, draws: &[Draw], seed: u64) -> Vec<Run> {
    println!("  {:<34} right at stop   mean minutes   tests a job   with repairs", "");
    let mut kept = Vec::new();
    let mut base = None;
    for (way, name) in [
        (Way::Dripleg, "best information for each minute"),
        (Way::FixedOrder, "power, call, air, gas, spark, flame"),
        (Way::PriorFirst, "commonest cause first"),
    ] {
        let runs: Vec<Run> = draws
            .iter()
            .zip(0_u64..)
            .map(|(draw, place)| {
                let nature = |test, random: &mut Random| drawn(nature, test, draw.truth, random);
                run(
                    table,
                    draw,
                    way,
                    &Weights::general(),
                    &nature,
                    &mut Random(seed + place * 7919),
                )
            })
            .collect();
        let right = share(runs.iter().filter(|run| run.right()).count(), runs.len());
        let minutes = mean(runs.iter().map(|run| run.minutes));
        let tests = mean(runs.iter().map(|run| real(run.tests)));
        let ratio = minutes / *base.get_or_insert(minutes);
        let mended = mean(runs.iter().map(|run| run.minutes + run.repairs(table)));
        println!(
            "  {name:<36} {right:>10.1} % {minutes:>9.1} ({ratio:.2} x) {tests:>8.1} {mended:>14.1}"
        );
        if way == Way::Dripleg {
            kept = runs;
        }
    }
    kept
}

/// A result drawn from the chances that a table gives it under the true cause.
fn drawn(table: &Table, test: TestId, truth: Candidate, random: &mut Random) -> usize {
    let known = &table[test];
    let chances: Vec<f64> =
        (0..known.outcomes.len()).map(|outcome| chance(known, truth, outcome)).collect();
    random.pick(&chances)
}

/// Runs one search to its end. All ways share the belief, the filters and the stopping rule.
fn run(
    table: &Table,
    draw: &Draw,
    way: Way,
    weights: &Weights,
    nature: &dyn Fn(TestId, &mut Random) -> usize,
    random: &mut Random,
) -> Run {
    let mut conditions = Conditions {
        tagged: false,
        gas_smell: GasSmell::None,
        ambient_co_ppm: Some(0.0),
        cares: CareSet::all(),
        trials: 0,
    };
    let mut results: Vec<TestResult> = Vec::new();
    let (mut minutes, mut beliefs, mut slowest) = (0.0, Vec::new(), Vec::new());
    loop {
        let job = Job {
            table,
            symptom: draw.symptom,
            family: draw.family,
            weights,
            results: &results,
            conditions: &conditions,
            signs: &Signs::default(),
        };
        let began = Instant::now();
        let Ok(Advice::Search(search)) = advise(&job) else {
            unreachable!("a drawn job fits its family, and nobody smells gas in it")
        };
        slowest.push(began.elapsed());
        beliefs.extend(search.ranked.iter().map(|(candidate, p)| (*p, *candidate == draw.truth)));
        let next = match way {
            Way::Dripleg => dripleg(&search),
            Way::FixedOrder => plain(&job, &search, &fixed_order(table)),
            Way::PriorFirst => plain(&job, &search, &prior_first(&job)),
        };
        let Some(test) = next else {
            let tests = results.len();
            return Run { truth: draw.truth, minutes, tests, search: *search, beliefs, slowest };
        };
        let known = &table[test];
        let continued = known.state == State::Steady
            && results.last().is_some_and(|last| table[last.test].state == State::Steady);
        if known.state.fires() && !continued {
            if conditions.trials >= 2 {
                minutes += GAS_CHECK_AND_WAIT_MIN;
                conditions.trials = 0;
            }
            conditions.trials += 1;
        }
        let paid = paid(table, &results);
        let setup = known.setup.filter(|setup| !paid.contains(setup));
        minutes += known.minutes + setup.map_or(0.0, |setup| table[setup].minutes);
        results.push(TestResult { test, outcome: nature(test, random) });
    }
}

fn dripleg(search: &Search) -> Option<TestId> {
    match &search.step {
        Step::Test(offer) => Some(offer.test),
        Step::GasCheckAndWait(test) => Some(*test),
        Step::Stop(_) | Step::ReadAmbientCo | Step::CheckGasSmell => None,
    }
}

/// The first test of an order that the filters let through, unless the shared stopping rule holds.
fn plain(job: &Job<'_>, search: &Search, order: &[TestId]) -> Option<TestId> {
    if let Step::Stop(Stop::Clear(_) | Stop::Together(..) | Stop::NoneOfThese) = search.step {
        return None;
    }
    let case = Case {
        table: job.table,
        symptom: job.symptom,
        family: job.family,
        results: job.results,
        conditions: job.conditions,
        shut_down: !search.dangers.is_empty(),
    };
    let tells = |test: TestId| {
        let named = search.belief.candidates().iter().filter_map(|(candidate, _)| *candidate);
        named.into_iter().any(|cause| job.table[test].chances(cause) != job.table[test].otherwise)
    };
    order
        .iter()
        .copied()
        .find(|test| matches!(case.permit(*test), Ok(_) | Err(Refusal::TrialsUsed)) && tells(*test))
}

fn fixed_order(table: &Table) -> Vec<TestId> {
    let mut order: Vec<TestId> =
        FIXED_ORDER.split_whitespace().filter_map(|key| table.test(key)).collect();
    let rest: Vec<TestId> = table.test_ids().filter(|test| !order.contains(test)).collect();
    order.extend(rest);
    order
}

/// For each cause from the commonest on, the tests that show it, the clearest first.
fn prior_first(job: &Job<'_>) -> Vec<TestId> {
    let mut causes = job.weights.of(job.table, job.symptom, job.family);
    causes.sort_by(|a, b| b.1.total_cmp(&a.1));
    let mut order = Vec::new();
    for (cause, _) in causes {
        let gap = |test: TestId| -> f64 {
            let test = &job.table[test];
            let pairs = test.chances(cause).iter().zip(&test.otherwise);
            pairs.map(|(a, b)| (a - b).abs()).sum::<f64>() / 2.0
        };
        let mut tests: Vec<TestId> =
            job.table.test_ids().filter(|test| gap(*test) >= 0.5).collect();
        tests.sort_by(|a, b| gap(*b).total_cmp(&gap(*a)));
        order.extend(tests);
    }
    order
}

/// The same tables with every chance multiplied by something between a half and two.
fn perturbed(table: &Table, random: &mut Random) -> Table {
    let mut off = table.clone();
    let mut shake = |row: &mut Vec<f64>| {
        for chance in row.iter_mut() {
            *chance *= (random.unit() * 2.0 - 1.0).exp2();
        }
        let total: f64 = row.iter().sum();
        for chance in row.iter_mut() {
            *chance /= total;
        }
    };
    for test in &mut off.tests {
        shake(&mut test.otherwise);
        test.given.iter_mut().flatten().for_each(&mut shake);
    }
    off
}

/// Whether what is called at so many percent is right so many times. Here one job in 21 has a cause that is
/// on no list, as the weight of "none of these" says.
fn reliability(table: &Table, draws: &[Draw], seed: u64) {
    let mut random = Random(seed ^ 0xca11);
    let runs: Vec<Run> = draws
        .iter()
        .map(|draw| {
            let unlisted = random.unit() < NONE_SHARE / (1.0 + NONE_SHARE);
            let draw = Draw { truth: draw.truth.filter(|_| !unlisted), ..*draw };
            let nature = |test, random: &mut Random| drawn(table, test, draw.truth, random);
            run(
                table,
                &draw,
                Way::Dripleg,
                &Weights::general(),
                &nature,
                &mut Random(random.next()),
            )
        })
        .collect();
    println!("\nreliability: every candidate at every step, by the probability it was given");
    println!("  called at       times    mean called   came true");
    let all: Vec<(f64, bool)> = runs.iter().flat_map(|run| run.beliefs.iter().copied()).collect();
    bins(&all);
    println!("the leading cause when the search stopped");
    let last: Vec<(f64, bool)> =
        runs.iter().map(|run| (run.search.ranked[0].1, run.right())).collect();
    bins(&last);
}

fn bins(all: &[(f64, bool)]) {
    let edges = [0.0, 0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8, 0.85, 0.9, 0.95, 1.000_001];
    for pair in edges.windows(2) {
        let inside: Vec<&(f64, bool)> =
            all.iter().filter(|(p, _)| pair[0] <= *p && *p < pair[1]).collect();
        if inside.len() >= 20 {
            let called = 100.0 * mean(inside.iter().map(|(p, _)| *p));
            let true_ones = inside.iter().filter(|(_, hit)| *hit).count();
            let came = share(true_ones, inside.len());
            let (low, high) = (100.0 * pair[0], 100.0 * pair[1]);
            println!(
                "  {low:>3.0} to {high:>3.0} % {:>9} {called:>11.1} % {came:>9.1} %",
                inside.len()
            );
        }
    }
}

fn hazards(table: &Table, runs: &[Run]) {
    let proposed = |run: &&Run| !run.search.dangers.is_empty();
    let (bad, other): (Vec<&Run>, Vec<&Run>) =
        runs.iter().partition(|run| run.truth.is_some_and(|cause| table[cause].hazard == 3));
    println!("\nshut-down proposed");
    for (name, group) in [("true cause of hazard 3", bad), ("other true cause", other)] {
        let hits = group.iter().filter(|run| proposed(run)).count();
        println!("  {name:<24} {hits} of {} ({:.1} %)", group.len(), share(hits, group.len()));
    }
}

/// Buildings whose causes are not as common as the table says, learnt over 200 jobs.
fn learning(table: &Table, seed: u64) {
    println!(
        "\nten buildings with weights of their own (each up to four times off), 1,000 jobs each after 200"
    );
    println!("  {:<34} right at stop   mean minutes   tests a job", "");
    let mut rows = [(0, 0.0, 0.0); 2];
    let (mut jobs, settled_jobs) = (0, 200);
    for building in 0..10_u64 {
        let mut random = Random(seed ^ ((building + 1) * 0x9e37_79b9));
        let own: Vec<f64> =
            table.causes.iter().map(|_| (random.unit() * 4.0 - 2.0).exp2()).collect();
        let mut draw = || {
            let base = draw_jobs(table, 1, &mut random)[0];
            let causes = Weights::general().of(table, base.symptom, base.family);
            let place = |cause: CauseId| table.cause_ids().position(|id| id == cause).unwrap_or(0);
            let shares: Vec<f64> =
                causes.iter().map(|(cause, weight)| weight * own[place(*cause)]).collect();
            Draw { truth: Some(causes[random.pick(&shares)].0), ..base }
        };
        let here = |draw: &Draw| Here {
            symptom: draw.symptom,
            family: draw.family,
            site: "hall",
            air: &[],
            season: Season::Heating,
            age: None,
        };
        let settled: Vec<weights::Case<'_>> = (0..settled_jobs)
            .map(|_| draw())
            .map(|job| weights::Case { cause: job.truth, here: here(&job) })
            .collect();
        for place in 0..1_000 {
            let job = draw();
            let learnt = Weights::learnt(table, &here(&job), &settled);
            for (row, weights) in rows.iter_mut().zip([&Weights::general(), &learnt]) {
                let nature = |test, random: &mut Random| drawn(table, test, job.truth, random);
                let mut random = Random(seed + building * 104_729 + place * 7919);
                let run = run(table, &job, Way::Dripleg, weights, &nature, &mut random);
                row.0 += usize::from(run.right());
                row.1 += run.minutes;
                row.2 += real(run.tests);
            }
            jobs += 1;
        }
    }
    for (name, row) in ["general weights", "weights learnt here"].iter().zip(rows) {
        let (minutes, tests) = (row.1 / real(jobs), row.2 / real(jobs));
        println!("  {name:<36} {:>10.1} % {minutes:>14.1} {tests:>12.1}", share(row.0, jobs));
    }
}

/// Jobs whose cause is on no list: three tests of the unit show something, the rest look as usual.
fn unlisted(table: &Table, draws: &[Draw], seed: u64) {
    let (mut none, mut clear, mut open) = (0, 0, 0);
    let some = &draws[..draws.len().min(2_000)];
    for (draw, place) in some.iter().zip(0_u64..) {
        let mut random = Random(seed ^ place.wrapping_mul(0x2545_f491_4f6c_dd1d));
        let served: Vec<TestId> =
            table.test_ids().filter(|test| table[*test].families.has(draw.family)).collect();
        let shown: Vec<TestId> = (0..3).map(|_| served[random.below(served.len())]).collect();
        let nature = |test: TestId, random: &mut Random| {
            let usual = &table[test].otherwise;
            if shown.contains(&test) { usual.len() - 1 } else { random.pick(usual) }
        };
        let run = run(table, draw, Way::Dripleg, &Weights::general(), &nature, &mut random);
        match run.search.ranked[0] {
            (None, _) => none += 1,
            (Some(_), p) if p >= STOP_AT => clear += 1,
            _ => open += 1,
        }
    }
    println!("\n{} jobs whose cause is on no list", some.len());
    println!(
        "  \"none of these\" led {none}, a listed cause led but stayed open {open}, a listed cause was called clear {clear}"
    );
}

fn latency(runs: &[Run]) {
    let mut all: Vec<Duration> = runs.iter().flat_map(|run| run.slowest.iter().copied()).collect();
    all.sort_unstable();
    let at = |per_mille: usize| all[(all.len() - 1) * per_mille / 1_000].as_secs_f64() * 1e3;
    println!("\nlatency of one advice over {} steps", all.len());
    println!(
        "  half under {:.3} ms, 99 % under {:.3} ms, slowest {:.3} ms",
        at(500),
        at(990),
        at(1_000)
    );
}

fn mean(values: impl Iterator<Item = f64>) -> f64 {
    let (count, sum) = values.fold((0_usize, 0.0), |(count, sum), value| (count + 1, sum + value));
    sum / real(count.max(1))
}

fn share(hits: usize, total: usize) -> f64 {
    100.0 * real(hits) / real(total.max(1))
}

#[expect(clippy::cast_precision_loss, reason = "counts of simulated jobs stay far below 2^53")]
fn real(count: usize) -> f64 {
    count as f64
}

/// SplitMix64: small, seeded, good enough to draw jobs. Source: Steele, Lea and Flood 2014.
struct Random(u64);

impl Random {
    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    }

    /// From 0 up to, not including, 1.
    fn unit(&mut self) -> f64 {
        #[expect(clippy::cast_precision_loss, reason = "53 bits fit a double")]
        let top = (self.next() >> 11) as f64;
        top / 9_007_199_254_740_992.0
    }

    fn below(&mut self, end: usize) -> usize {
        usize::try_from(self.next() % end as u64).unwrap_or(0)
    }

    /// A place drawn in proportion to the weights.
    fn pick(&mut self, weights: &[f64]) -> usize {
        let mut left = self.unit() * weights.iter().sum::<f64>();
        for (place, weight) in weights.iter().enumerate() {
            left -= weight;
            if left < 0.0 {
                return place;
            }
        }
        weights.len() - 1
    }
}
