//! The advice in words: observation, comparison, meaning, next step, authority.
//!
//! A cause is never named without its runner-up, a chance is said as a count, and nothing here promises,
//! approves or orders a part. The sentences are for any face; the figures behind them are in [`Search`].

use crate::trade::stats::words::about;

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

/// Where the search stands: leader, runner-up, and "none of these".
pub fn standing(table: &Table, search: &Search) -> String {
    let one = |place: usize| {
        let (candidate, p) = search.ranked[place];
        format!("{}, {}", name(table, candidate), about(p))
    };
    let mut parts = vec![format!("suggests: {}", one(0))];
    if search.ranked.len() > 1 {
        parts.push(format!("runner-up: {}", one(1)));
    }
    let shown = search.ranked.iter().take(2).any(|(candidate, _)| candidate.is_none());
    if !shown {
        parts.push(format!("none of these: {}", about(search.belief.none())));
    }
    if search.together.is_some() {
        parts.push(
            "no single test tells the first two apart, the repair with its as-left does".to_owned(),
        );
    }
    parts.join("; ")
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
                dangers.iter().map(|found| danger(table, search, found)).collect();
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
pub fn danger(table: &Table, search: &Search, danger: &Danger) -> String {
    match danger {
        Danger::FlueCo(Some(ppm)) => format!(
            "flue CO air-free {ppm:.0} ppm, over 400, the figure vented heaters are tested to (ANSI Z21/Z83 \
             family as reported in the trade press)"
        ),
        Danger::FlueCo(None) => "flue CO air-free over 400 ppm, the figure vented heaters are tested to (ANSI \
                                 Z21/Z83 family as reported in the trade press)"
            .to_owned(),
        Danger::AmbientCo(ppm) => format!(
            "ambient CO {ppm:.0} ppm, at or over 35 (common practice): leave the area, warn others, ventilate"
        ),
        Danger::AmbientCoRising => "ambient CO is rising (common practice): leave the area, warn others, \
                                    ventilate"
            .to_owned(),
        Danger::FanMovesFlame => {
            "the circulating fan moves the flame or the flue O2: the exchanger may be open (common practice)"
                .to_owned()
        }
        Danger::RolloutMarks => "marks of flame rollout (common practice)".to_owned(),
        Danger::InletOverRating { inlet, max } => {
            format!("inlet {inlet:.1} in w.c., over the {max:.1} of valve or plate")
        }
        Danger::NaturalPartsOnLp => "natural-gas parts on LP, about 2.6 times the input (orifice equation): \
                                     cock shut at once, no clocking, no flue test"
            .to_owned(),
        Danger::Causes { sum, leading: (first, second) } => {
            let other = second.or_else(|| {
                let rivals = search.ranked.iter().filter_map(|(candidate, _)| *candidate);
                rivals.into_iter().find(|candidate| candidate != first)
            });
            let others = format!("{} before {}", table[*first].name, name(table, other));
            format!("causes that call for shut-down hold {} ({others}; trade judgement)", about(*sum))
        }
    }
}

/// Why a test is held back.
pub fn refusal(table: &Table, refusal: Refusal) -> String {
    match refusal {
        Refusal::Tagged => "the unit is tagged: only tests on a dead unit".to_owned(),
        Refusal::ShutDownProposed => "shut-down is proposed: only tests on a dead unit".to_owned(),
        Refusal::Gate(test) => format!("first: {}", table[test].name),
        Refusal::OutOfReach(state) => {
            format!("the unit does not get as far as \"{}\" with this symptom", state.key())
        }
        Refusal::GasSmellNotChecked => "gas smell is not checked".to_owned(),
        Refusal::AmbientCoNotRead => "ambient CO is not read".to_owned(),
        Refusal::AmbientCoHigh(ppm) => format!(
            "ambient CO {ppm:.0} ppm: from 10 up (common practice) its source comes first, with this unit off"
        ),
        Refusal::TrialsUsed => "two trials in a row: gas check and wait first".to_owned(),
        Refusal::Care(care) => format!("needs: {}", care.words()),
        Refusal::OtherFamily => "for another kind of unit".to_owned(),
        Refusal::Made => "made".to_owned(),
    }
}

/// Why a result is in view but not counted.
pub fn set_aside(table: &Table, results: &[TestResult], why: SetAside) -> String {
    match why {
        SetAside::MadeAgain => "made again later with the same result, counted once".to_owned(),
        SetAside::Disagrees => {
            "made again later with another result, the later one counts; measure once more"
                .to_owned()
        }
        SetAside::SameObservation { counted } => match results.get(counted) {
            Some(result) => format!(
                "the same observation as {}, which tells more; counted once",
                table[result.test].name
            ),
            None => "the same observation as another test; counted once".to_owned(),
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
            standing(table, &search),
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
