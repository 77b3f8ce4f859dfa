//! Finding the fault: exact posteriors, and what is never proposed.

use std::path::Path;

use client_core::fault::advise::{Advice, Job, Search, Step, Stop, advise};
use client_core::fault::belief::{Belief, Candidate, TestResult, weigh};
use client_core::fault::choice::{Care, CareSet, Family, Need, State};
use client_core::fault::permit::{Conditions, GasSmell};
use client_core::fault::say;
use client_core::fault::signs::{Danger, Signs};
use client_core::fault::table::{Table, TestId};
use client_core::fault::weights::Weights;

fn fixture(name: &str) -> Vec<String> {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("fixtures/fault").join(name);
    let text = std::fs::read_to_string(path).unwrap();
    text.lines().filter(|line| !line.starts_with('#')).map(str::to_owned).collect()
}

fn result(table: &Table, test: &str, outcome: &str) -> TestResult {
    let test = table.test(test).unwrap();
    TestResult { test, outcome: table[test].outcome(outcome).unwrap() }
}

/// Words in pairs: candidate and probability.
fn shares<'a>(words: &'a str) -> Vec<(&'a str, f64)> {
    let words: Vec<&'a str> = words.split_whitespace().collect();
    words.chunks(2).map(|pair| (pair[0], pair[1].parse().unwrap())).collect()
}

/// Reference: exact fractions from the same tables (see the fixture's head).
#[test]
fn worked_examples_to_one_part_in_a_thousand_million() {
    let table = Table::standard();
    let (mut belief, mut steps) = (None, 0);
    for line in fixture("worked.txt") {
        if let Some(head) = line.strip_prefix("example ") {
            let words: Vec<&str> = head.split_whitespace().collect();
            let symptom = table.symptom(words[0]).unwrap();
            let family = Family::from_key(words[1]).unwrap();
            let prior = Belief::prior(table, symptom, family, &Weights::general());
            assert_eq!(prior.among_listed().len().to_string(), words[2]);
            belief = Some(prior);
            continue;
        }
        let (told, wanted) = line.split_once(": ").unwrap();
        let (test, outcome) = told.split_once(" = ").unwrap();
        let after = belief.unwrap().after(table, result(table, test, outcome));
        let listed = after.among_listed();
        for (cause, wanted) in shares(wanted) {
            let id = table.cause(cause).unwrap();
            let got = listed.iter().find(|(known, _)| *known == id).unwrap().1;
            assert!((got - wanted).abs() < 1e-9, "{told} {cause}: {got} is not {wanted}");
        }
        belief = Some(after);
        steps += 1;
    }
    assert_eq!(steps, 28);
}

/// Reference: pyagrum 3.3.1, a general Bayesian-network library; tests/reference/fault_networks.py.
#[test]
fn posteriors_agree_with_a_general_network_library() {
    let lines = fixture("networks.txt");
    let (mut part, mut texts) = (String::new(), [String::new(), String::new(), String::new()]);
    let (mut table, mut cases) = (Table::standard().clone(), 0);
    for line in lines {
        if line.starts_with("== ") {
            texts = [String::new(), String::new(), String::new()];
            "-- cases".clone_into(&mut part);
        } else if line.starts_with("-- ") {
            if line == "-- cases" {
                let texts = texts.clone().map(|text| &*Box::leak(text.into_boxed_str()));
                table = Table::parse(texts[0], texts[1], texts[2]).unwrap();
            }
            part = line;
        } else if part == "-- cases" {
            check_case(&table, &line);
            cases += 1;
        } else {
            let place =
                ["-- symptoms", "-- causes", "-- tests"].iter().position(|name| *name == part);
            texts[place.unwrap()].extend([
                line.as_str(),
                "
",
            ]);
        }
    }
    assert_eq!(cases, 120 + 12 * 8);
}

fn check_case(table: &Table, line: &str) {
    let parts: Vec<&str> = line.split(" | ").collect();
    let (symptom, family) = parts[0].split_once(' ').unwrap();
    let prior = Belief::prior(
        table,
        table.symptom(symptom).unwrap(),
        Family::from_key(family).unwrap(),
        &Weights::general(),
    );
    let results: Vec<TestResult> = parts[1]
        .split("; ")
        .map(|word| {
            let (test, outcome) = word.split_once(' ').unwrap();
            TestResult { test: table.test(test).unwrap(), outcome: outcome.parse().unwrap() }
        })
        .collect();
    let belief = weigh(table, &prior, &results).belief;
    let wanted = shares(parts[2]);
    assert_eq!(belief.candidates().len(), wanted.len());
    for (name, wanted) in wanted {
        let candidate = (name != "none_of_these").then(|| table.cause(name).unwrap());
        let got = belief.of(candidate);
        assert!((got - wanted).abs() < 1e-9, "{line}\n{name}: {got} is not {wanted}");
    }
}

/// Small steps of a linear congruential generator are enough to walk everywhere. Source: Knuth, MMIX.
struct Walk(u64);

impl Walk {
    fn below(&mut self, end: usize) -> usize {
        self.0 =
            self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        usize::try_from(self.0 >> 33).unwrap() % end
    }

    fn once_in(&mut self, times: usize) -> bool {
        self.below(times) == 0
    }
}

fn conditions(walk: &mut Walk) -> Conditions {
    let mut cares = CareSet::all();
    for care in Care::ALL {
        if walk.once_in(6) {
            cares = cares.without(*care);
        }
    }
    Conditions {
        tagged: walk.once_in(5),
        gas_smell: [GasSmell::None, GasSmell::None, GasSmell::None, GasSmell::NotChecked]
            [walk.below(4)],
        ambient_co_ppm: [Some(0.0), Some(3.0), Some(9.9), Some(10.0), Some(40.0), None]
            [walk.below(6)],
        cares,
        trials: u8::try_from(walk.below(4)).unwrap(),
    }
}

fn search(job: &Job<'_>) -> Search {
    match advise(job).unwrap() {
        Advice::Search(search) => *search,
        Advice::GasProcedure => panic!("nobody smelled gas"),
    }
}

/// What must hold of a test that is proposed on a job.
fn assert_allowed(job: &Job<'_>, search: &Search, id: TestId, after_wait: bool) {
    let (table, conditions) = (job.table, job.conditions);
    let test = &table[id];
    let lights = test.state.fires() || test.cares.has(Care::Firing) || test.needs.has(Need::Flame);
    let says = format!("{} on {}", test.key, table[job.symptom].key);
    assert!(test.families.has(job.family), "{says}");
    if conditions.tagged || !search.dangers.is_empty() {
        assert!(
            test.state == State::Off && test.needs.is_empty(),
            "{says}: the unit is to stay dead"
        );
        assert!(!lights, "{says}");
    }
    if lights {
        assert_eq!(conditions.gas_smell, GasSmell::None, "{says}");
        assert!(conditions.ambient_co_ppm.is_some_and(|ppm| ppm < 10.0), "{says}");
        assert!(after_wait || conditions.trials < 2, "{says}: two trials in a row");
    }
    if lights || test.needs.has(Need::Call) {
        for gate in &table[job.symptom].gates {
            let latest = job.results.iter().rev().find(|result| result.test == gate.test);
            assert!(latest.is_some_and(|result| result.outcome == gate.wanted), "{says}: gate");
        }
    }
    for care in test.cares.members() {
        assert!(conditions.cares.has(care), "{says}: {care:?} cannot be met");
    }
    assert!(table[job.symptom].reachable.has(test.state), "{says}: out of reach");
    assert!(job.results.iter().all(|result| result.test != id), "{says}: made already");
}

/// No path ever proposes a test whose gate is not met or that lights a tagged unit; once shut-down is
/// proposed it stays proposed, and then only tests on a dead unit are offered.
#[test]
fn no_path_proposes_what_must_not_be_done() {
    let table = Table::standard();
    let mut walk = Walk(7);
    let (mut proposed, mut shut_down) = (0, 0);
    for _ in 0..4_000 {
        let symptom = table.symptom_ids().nth(walk.below(table.symptoms.len())).unwrap();
        let families: Vec<Family> = table[symptom].families.members().collect();
        let family = families[walk.below(families.len())];
        let mut signs = Signs::default();
        let mut results: Vec<TestResult> = Vec::new();
        let mut had_danger = false;
        let mut conditions = conditions(&mut walk);
        for _ in 0..8 {
            let weights = Weights::general();
            let job = Job {
                table,
                symptom,
                family,
                weights: &weights,
                results: &results,
                conditions: &conditions,
                signs: &signs,
            };
            let search = search(&job);
            assert!(!had_danger || !search.dangers.is_empty(), "a proposal was taken back");
            had_danger = !search.dangers.is_empty();
            shut_down += usize::from(had_danger);
            let next = match &search.step {
                Step::Test(offer) => {
                    assert_allowed(&job, &search, offer.test, false);
                    Some(offer.test)
                }
                Step::GasCheckAndWait(test) => {
                    assert_allowed(&job, &search, *test, true);
                    Some(*test)
                }
                Step::ReadAmbientCo | Step::CheckGasSmell | Step::Stop(_) => None,
            };
            for offer in &search.offers {
                assert_allowed(&job, &search, offer.test, false);
                proposed += 1;
            }
            // Any other test that may be made, with any result, must keep the next advice in bounds too.
            let any =
                search.offers.get(walk.below(search.offers.len().max(1))).map(|offer| offer.test);
            let Some(test) = (if walk.once_in(2) { any.or(next) } else { next.or(any) }) else {
                break;
            };
            results.push(TestResult { test, outcome: walk.below(table[test].outcomes.len()) });
            conditions.trials = u8::try_from(walk.below(4)).unwrap();
            signs.ambient_co_rising |= walk.once_in(40);
            signs.rollout_marks |= walk.once_in(40);
        }
    }
    assert!(proposed > 10_000 && shut_down > 1_000, "{proposed} {shut_down}");
}

/// A temporary jumper is no test: no test, place or symptom speaks of one.
#[test]
fn no_test_is_a_bypass() {
    let table = Table::standard();
    let forbidden =
        ["bypass", "jumper", "bridge", "defeat", "hold the reset", "hold reset", "short across"];
    for test in &table.tests {
        let text =
            format!("{} {} {}", test.name, test.place, test.outcomes.join(" ")).to_lowercase();
        for word in forbidden {
            assert!(!text.contains(word), "{}: {word}", test.key);
        }
    }
}

#[test]
fn gas_smell_leaves_one_procedure_and_nothing_else() {
    let table = Table::standard();
    for symptom in table.symptom_ids() {
        let conditions = Conditions {
            gas_smell: GasSmell::Present,
            cares: CareSet::all(),
            ..Conditions::default()
        };
        let job = Job {
            table,
            symptom,
            family: table[symptom].families.members().next().unwrap(),
            weights: &Weights::general(),
            results: &[],
            conditions: &conditions,
            signs: &Signs::default(),
        };
        assert_eq!(advise(&job), Ok(Advice::GasProcedure));
    }
}

fn ready() -> Conditions {
    Conditions {
        tagged: false,
        gas_smell: GasSmell::None,
        ambient_co_ppm: Some(0.0),
        cares: CareSet::all(),
        trials: 0,
    }
}

/// Runs one search with everything at hand.
fn at(symptom: &str, family: Family, results: &[(&str, &str)], signs: Signs) -> Search {
    let table = Table::standard();
    let results: Vec<TestResult> = results.iter().map(|(t, o)| result(table, t, o)).collect();
    search(&Job {
        table,
        symptom: table.symptom(symptom).unwrap(),
        family,
        weights: &Weights::general(),
        results: &results,
        conditions: &ready(),
        signs: &signs,
    })
}

fn key(candidate: Candidate) -> &'static str {
    candidate.map_or("none_of_these", |cause| Table::standard()[cause].key)
}

#[test]
fn ambient_co_comes_before_anything_on_bad_combustion() {
    let table = Table::standard();
    let conditions = Conditions { ambient_co_ppm: None, ..ready() };
    let search = search(&Job {
        table,
        symptom: table.symptom("bad_combustion").unwrap(),
        family: Family::Isp,
        weights: &Weights::general(),
        results: &[],
        conditions: &conditions,
        signs: &Signs::default(),
    });
    assert_eq!(search.step, Step::ReadAmbientCo);
    assert!(search.offers.is_empty());
}

/// Hazard 3 past one half proposes shut-down; and it stays when a later result lowers the sum.
#[test]
fn hazards_past_one_half_propose_shut_down_for_good() {
    let chain = [("chain", "rollout/vent open")];
    let search = at("dead", Family::Isp, &chain, Signs::default());
    let [Danger::Causes { sum, leading }] = search.dangers.as_slice() else {
        panic!("{:?}", search.dangers)
    };
    assert!(*sum > 0.5, "{sum}");
    assert_eq!(key(Some(leading.0)), "rollout_open");
    let later = [chain[0], ("vent_look", "clear"), ("ps_trip", "makes at rating")];
    let search = at("dead", Family::Isp, &later, Signs::default());
    assert!(!search.dangers.is_empty());
}

/// The demo hall: the salt room's heater, flame drops after 3 s, current under minimum, rod dry to ground.
#[test]
fn a_crusted_rod_is_found_and_its_runner_up_is_there() {
    let results = [
        ("flame_ua", "below minimum"),
        ("polarity", "correct"),
        ("rod_insul", "open"),
        ("ua_after_clean", "rises well"),
    ];
    let search = at("lights_drops", Family::Dsi, &results, Signs::default());
    assert_eq!(key(search.ranked[0].0), "rod_dirty");
    assert!(matches!(search.step, Step::Stop(Stop::Clear(_))));
    let chosen = search.choose(Table::standard(), search.ranked[0].0, results.len());
    assert_eq!((chosen.cause, chosen.evidence), ("rod_dirty", vec![0, 1, 2, 3]));
    assert_eq!(chosen.runner_up.map(|(other, _)| key(other)), Some("flame_lift"));
    assert!(
        search.ranked.len() >= 2 && search.ranked.iter().any(|(candidate, _)| candidate.is_none())
    );
}

/// The demo hall: LP parts in a heater on natural gas; label, clock and O2 speak.
#[test]
fn a_wrong_kit_is_found_and_shut_down_is_proposed() {
    let results = [("gas_label", "mismatch"), ("clocked", "low"), ("orifice_gauge", "wrong size")];
    let search = at("weak_flame", Family::Dsi, &results, Signs::default());
    assert_eq!(key(search.ranked[0].0), "conversion_mismatch");
    assert!(matches!(search.dangers.as_slice(), [Danger::Causes { .. }]));
}

/// The demo hall: rise above the plate and a hot stack at the right input is airflow, and the causes that
/// no single test separates are shown together.
#[test]
fn poor_airflow_is_found_and_its_causes_are_shown_together() {
    let results = [("temp_rise", "high"), ("stack_base", "higher"), ("clocked", "within 5 %")];
    let search = at("limit_cycles", Family::Two, &results, Signs::default());
    let airflow = ["airflow_block", "fan_motor", "fan_drive"];
    for (candidate, _) in &search.ranked[..3] {
        assert!(airflow.contains(&key(*candidate)), "{}", key(*candidate));
    }
    let results = [results[0], results[1], results[2], ("air_look", "restricted")];
    let search = at("limit_cycles", Family::Two, &results, Signs::default());
    assert_eq!(key(search.ranked[0].0), "airflow_block");
    let (first, second) = search.together.unwrap();
    assert_eq!((key(Some(first)), key(Some(second))), ("airflow_block", "fan_drive"));
}

/// The demo hall: O2 jumps when the fan starts; nothing on a live unit is offered any more.
#[test]
fn a_flame_moved_by_the_fan_proposes_shut_down_at_once() {
    let signs = Signs { fan_moves_flame: true, ambient_co_ppm: Some(38.0), ..Signs::default() };
    let search = at("bad_combustion", Family::Spc, &[], signs);
    assert_eq!(search.dangers, [Danger::AmbientCo(38.0), Danger::FanMovesFlame]);
    let table = Table::standard();
    assert!(search.offers.iter().all(|offer| table[offer.test].on_dead_unit()));
    assert!(search.offers.iter().any(|offer| table[offer.test].key == "hx_look"));
}

/// Words that the program never says, and a cause that never stands alone, over many walks.
#[test]
fn advice_never_promises_and_never_names_a_cause_alone() {
    let table = Table::standard();
    let forbidden = [
        "safe",
        "approved",
        "certified",
        "compliant",
        "guaranteed",
        "ok to run",
        "no leak",
        "ignore",
    ];
    let mut walk = Walk(11);
    let mut said = 0;
    for _ in 0..1_500 {
        let symptom = table.symptom_ids().nth(walk.below(table.symptoms.len())).unwrap();
        let families: Vec<Family> = table[symptom].families.members().collect();
        let conditions = conditions(&mut walk);
        let mut results = Vec::new();
        for _ in 0..6 {
            let job = Job {
                table,
                symptom,
                family: families[0],
                weights: &Weights::general(),
                results: &results,
                conditions: &conditions,
                signs: &Signs::default(),
            };
            let search = search(&job);
            let standing = say::standing(table, &search).to_string();
            assert!(
                standing.contains("runner-up: ") && standing.contains("none of these"),
                "{standing}"
            );
            let mut sentences = vec![standing, say::next(table, &search, &results)];
            sentences.extend(
                search.held_back.iter().map(|(_, why)| say::refusal(table, *why).to_string()),
            );
            for sentence in &sentences {
                let words: Vec<String> = sentence
                    .to_lowercase()
                    .split(|letter: char| !letter.is_alphanumeric())
                    .map(str::to_owned)
                    .collect();
                let text = words.join(" ");
                for word in forbidden {
                    assert!(
                        !format!(" {text} ").contains(&format!(" {word} ")),
                        "{word}: {sentence}"
                    );
                }
                said += 1;
            }
            let Some(offer) = search.offers.first() else { break };
            let outcome = walk.below(table[offer.test].outcomes.len());
            results.push(TestResult { test: offer.test, outcome });
        }
    }
    assert!(said > 5_000, "{said}");
}
