//! The advice in words: observation, comparison, meaning, next step, authority.
//!
//! A cause is never named without its runner-up, a chance is said as a count, and nothing here promises,
//! approves or orders a part. The sentences are for any face; the figures behind them are in [`Search`].

use crate::record::phrase::{Gap, Phrase};
use crate::trade::stats::words::{about, about_with};

use super::advise::{Search, Step, Stop};
use super::belief::{Candidate, SetAside, TestResult};
use super::history::Shift;
use super::next::{Offer, outlooks};
use super::permit::{GAS_CHECK_AND_WAIT_MIN, Refusal};
use super::signs::Danger;
use super::table::{CauseId, Table};

/// A candidate's name.
pub fn name(table: &Table, candidate: Candidate) -> &'static str {
    candidate.map_or("none of these", |cause| table[cause].name)
}

/// A chance as a count.
pub fn chance(p: f64) -> Phrase {
    let (words, number) = about_with(p);
    Phrase::new(words, vec![Gap::As(number)])
}

/// Where the search stands: leader, runner-up, and "none of these".
pub fn standing(table: &Table, search: &Search) -> Phrase {
    let one = |words, place: usize| {
        let (candidate, p) = search.ranked[place];
        Phrase::new(words, vec![Gap::word(name(table, candidate)), chance(p).into()])
    };
    let mut parts = vec![one("suggests: {}, {}", 0)];
    if search.ranked.len() > 1 {
        parts.push(one("runner-up: {}, {}", 1));
    }
    let shown = search.ranked.iter().take(2).any(|(candidate, _)| candidate.is_none());
    if !shown {
        let none = chance(search.belief.none()).into();
        parts.push(Phrase::new("none of these: {}", vec![none]));
    }
    if search.together.is_some() {
        parts.push(Phrase::plain(
            "no single test tells the first two apart, the repair with its as-left does",
        ));
    }
    Phrase::new("{}", vec![Gap::List("; ", parts.into_iter().map(Gap::Of).collect())])
}

/// What to do next, with the reason.
pub fn next(table: &Table, search: &Search, results: &[TestResult]) -> String {
    let step = match &search.step {
        Step::ReadAmbientCo => {
            "read the ambient CO first, at the door and under the unit: nothing is lit before"
                .to_owned()
        }
        Step::CheckGasSmell => {
            "check for gas smell low and high with nose and detector: nothing is lit before"
                .to_owned()
        }
        Step::GasCheckAndWait(test) => format!(
            "two trials in a row: gas check and wait, {GAS_CHECK_AND_WAIT_MIN:.0} minutes or what the label \
             says, then {}",
            table[*test].name
        ),
        Step::Test(offer) => why(table, search, offer),
        Step::Stop(stop) => stopped(table, search, *stop),
    };
    match search.dangers.as_slice() {
        [] => step,
        dangers => {
            let seen: Vec<String> =
                dangers.iter().map(|found| danger(table, search, found).to_string()).collect();
            format!(
                "{}. Proposed: shut down, a qualified person decides; only tests on a dead unit from here{}. {}",
                seen.join("; "),
                if results.is_empty() { "" } else { ", and no later result takes this back" },
                step
            )
        }
    }
}

/// Why a test is worth its minutes.
pub fn why(table: &Table, search: &Search, offer: &Offer) -> String {
    let test = &table[offer.test];
    let setup = if offer.setup_min > 0.0 {
        format!(
            ", {:.0} of them set-up that the next test there does not pay again",
            offer.setup_min
        )
    } else {
        String::new()
    };
    let mut parts = vec![
        format!("{}, at {}: {:.0} minutes{setup}", test.name, test.place, offer.minutes),
        "tells most for its minutes".to_owned(),
    ];
    if offer.permit.cock_closed {
        parts.push("gas cock closed first".to_owned());
    }
    parts.extend(outlooks(table, &search.belief, offer.test).into_iter().map(|outlook| {
        format!(
            "\"{}\" ({}) would leave {} {} before {} {}",
            test.outcomes[outlook.outcome],
            about(outlook.chance),
            name(table, outlook.leader.0),
            about(outlook.leader.1),
            name(table, outlook.runner_up.0),
            about(outlook.runner_up.1),
        )
    }));
    parts.join("; ")
}

fn stopped(table: &Table, search: &Search, stop: Stop) -> String {
    let standing = standing(table, search);
    let proof = "the proof is the repair with a clean as-left; plate, local code and the licensed person decide";
    let repair = |cause: CauseId| format!("usual repair once proved: {}", table[cause].repair);
    match stop {
        Stop::Clear(cause) => format!("{standing}. {}; {proof}", repair(cause)),
        Stop::Together(first, second) => {
            format!("{standing}. {}; or {}; {proof}", repair(first), repair(second))
        }
        Stop::RepairIsShorter { cause, test_min, repair_min } => format!(
            "{standing}. The next test takes {test_min:.0} minutes, the usual repair {repair_min:.0}; {}; {proof}",
            repair(cause)
        ),
        Stop::NoneOfThese => format!(
            "{standing}. The results fit none of the listed causes: look at the sequence again, or ask the \
             maker's desk with model, serial and these results"
        ),
        Stop::NothingLeft => format!(
            "{standing}. No test that may be made now would tell more; {}",
            match search.held_back.len() {
                0 => "ask the maker's desk with model, serial and these results",
                1 => "one is held back, see its reason",
                _ => "some are held back, see their reasons",
            }
        ),
    }
}

/// A reason to propose shut-down, with its source.
pub fn danger(table: &Table, search: &Search, danger: &Danger) -> Phrase {
    let whole = |figure: f64| Gap::As(format!("{figure:.0}"));
    let tenths = |figure: f64| Gap::As(format!("{figure:.1}"));
    match danger {
        Danger::FlueCo(Some(ppm)) => Phrase::new(
            "flue CO air-free {} ppm, over 400, the figure vented heaters are tested to (ANSI Z21/Z83 family as \
             reported in the trade press)",
            vec![whole(*ppm)],
        ),
        Danger::FlueCo(None) => Phrase::plain(
            "flue CO air-free over 400 ppm, the figure vented heaters are tested to (ANSI Z21/Z83 family as \
             reported in the trade press)",
        ),
        Danger::AmbientCo(ppm) => Phrase::new(
            "ambient CO {} ppm, at or over 35 (common practice): leave the area, warn others, ventilate",
            vec![whole(*ppm)],
        ),
        Danger::AmbientCoRising => Phrase::plain(
            "ambient CO is rising (common practice): leave the area, warn others, ventilate",
        ),
        Danger::FanMovesFlame => Phrase::plain(
            "the circulating fan moves the flame or the flue O2: the exchanger may be open (common practice)",
        ),
        Danger::RolloutMarks => Phrase::plain("marks of flame rollout (common practice)"),
        Danger::InletOverRating { inlet, max } => Phrase::new(
            "inlet {} in w.c., over the {} of valve or plate",
            vec![tenths(*inlet), tenths(*max)],
        ),
        Danger::NaturalPartsOnLp => Phrase::plain(
            "natural-gas parts on LP, about 2.6 times the input (orifice equation): cock shut at once, no \
             clocking, no flue test",
        ),
        Danger::Causes { sum, leading: (first, second) } => {
            let other = second.or_else(|| {
                let rivals = search.ranked.iter().filter_map(|(candidate, _)| *candidate);
                rivals.into_iter().find(|candidate| candidate != first)
            });
            let with = vec![
                chance(*sum).into(),
                Gap::word(table[*first].name),
                Gap::word(name(table, other)),
            ];
            Phrase::new(
                "causes that call for shut-down hold {} ({} before {}; trade judgement)",
                with,
            )
        }
    }
}

/// Why a test is held back.
pub fn refusal(table: &Table, refusal: Refusal) -> Phrase {
    match refusal {
        Refusal::Tagged => Phrase::plain("the unit is tagged: only tests on a dead unit"),
        Refusal::ShutDownProposed => {
            Phrase::plain("shut-down is proposed: only tests on a dead unit")
        }
        Refusal::Gate(test) => Phrase::new("first: {}", vec![Gap::word(table[test].name)]),
        Refusal::OutOfReach(state) => Phrase::new(
            "the unit does not get as far as \"{}\" with this symptom",
            vec![Gap::word(state.key())],
        ),
        Refusal::GasSmellNotChecked => Phrase::plain("gas smell is not checked"),
        Refusal::AmbientCoNotRead => Phrase::plain("ambient CO is not read"),
        Refusal::AmbientCoHigh(ppm) => Phrase::new(
            "ambient CO {} ppm: from 10 up (common practice) its source comes first, with this unit off",
            vec![Gap::As(format!("{ppm:.0}"))],
        ),
        Refusal::TrialsUsed => Phrase::plain("two trials in a row: gas check and wait first"),
        Refusal::Care(care) => Phrase::new("needs: {}", vec![Gap::word(care.words())]),
        Refusal::OtherFamily => Phrase::plain("for another kind of unit"),
        Refusal::Made => Phrase::plain("made already"),
    }
}

/// Why a result is in view but not counted.
pub fn set_aside(table: &Table, results: &[TestResult], why: SetAside) -> Phrase {
    match why {
        SetAside::MadeAgain => Phrase::plain("made again later with the same result, counted once"),
        SetAside::Disagrees => Phrase::plain(
            "made again later with another result, the later one counts; measure once more",
        ),
        SetAside::SameObservation { counted } => match results.get(counted) {
            Some(result) => Phrase::new(
                "the same observation as {}, which tells more; counted once",
                vec![Gap::word(table[result.test].name)],
            ),
            None => Phrase::plain("the same observation as another test; counted once"),
        },
    }
}

/// How far this building moved a cause: "9 of 22 findings in this building; with this symptom in general about
/// 1 in 7, here about 1 in 3 before any test".
pub fn shift(table: &Table, cause: CauseId, shift: &Shift) -> String {
    let (hits, total) = shift.count;
    let age = shift.without_age.map_or(String::new(), |(age, without)| {
        format!("; its age ({}) moves it from {} to there", age.words(), about(without))
    });
    format!(
        "{}: {hits} of {total} findings in this building; with this symptom in general {}, here {} before \
         any test{age}",
        table[cause].name,
        about(shift.general),
        about(shift.now)
    )
}

#[cfg(test)]
mod tests {
    use super::super::advise::{Advice, Job, advise};
    use super::super::choice::{CareSet, Family};
    use super::super::permit::{Conditions, GasSmell};
    use super::super::signs::Signs;
    use super::super::weights::Weights;
    use super::*;

    fn search(results: &[(&str, &str)]) -> (Search, Vec<TestResult>) {
        let table = Table::standard();
        let results: Vec<TestResult> = results
            .iter()
            .map(|(test, outcome)| {
                let test = table.test(test).unwrap();
                TestResult { test, outcome: table[test].outcome(outcome).unwrap() }
            })
            .collect();
        let job = Job {
            table,
            symptom: table.symptom("lights_drops").unwrap(),
            family: Family::Dsi,
            weights: &Weights::general(),
            results: &results,
            conditions: &Conditions {
                tagged: false,
                gas_smell: GasSmell::None,
                ambient_co_ppm: Some(0.0),
                cares: CareSet::all(),
                trials: 0,
            },
            signs: &Signs::default(),
        };
        match advise(&job).unwrap() {
            Advice::Search(search) => (*search, results),
            Advice::GasProcedure => unreachable!("nobody smelled gas"),
        }
    }

    #[test]
    fn the_leader_stands_with_its_runner_up_and_none_of_these() {
        let table = Table::standard();
        let (search, _) = search(&[("flame_ua", "below minimum")]);
        assert_eq!(
            standing(table, &search).to_string(),
            "suggests: Flame rod coated (oxide, silica, salt, other residue), about 5 in 10; runner-up: Flame \
             rod insulator cracked or bridged by damp salt, or sensor wire grounded, about 1 in 6; none of \
             these: about 1 in 80"
        );
    }

    #[test]
    fn a_test_is_proposed_with_what_each_result_would_say() {
        let table = Table::standard();
        let (search, results) = search(&[("flame_ua", "below minimum")]);
        let said = next(table, &search, &results);
        assert!(said.contains("tells most for its minutes"), "{said}");
        assert!(said.contains("would leave") && said.contains(" before "), "{said}");
    }

    #[test]
    fn a_clear_cause_asks_for_proof_and_not_for_a_part() {
        let table = Table::standard();
        let (search, results) = search(&[
            ("flame_ua", "below minimum"),
            ("polarity", "correct"),
            ("rod_insul", "open"),
            ("ua_after_clean", "rises well"),
        ]);
        let said = next(table, &search, &results);
        assert!(said.starts_with("suggests: Flame rod coated"), "{said}");
        assert!(said.contains("runner-up: Flame lifts off the rod"), "{said}");
        assert!(said.contains("the proof is the repair with a clean as-left"), "{said}");
    }
}
