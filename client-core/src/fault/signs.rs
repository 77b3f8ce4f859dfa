//! Signs on which shut-down is proposed, for a qualified decision, whatever the figures say.

use super::belief::Belief;
use super::belief::TestResult;
use super::table::{CauseId, Table};

/// Flue CO, air-free: over it vented heaters are shut down unless the maker's sheet says otherwise.
/// Source: 400 ppm is the design-test figure for vented heating equipment in the ANSI Z21/Z83 family, as
/// reported in the trade press.
pub const FLUE_CO_AIR_FREE_PPM_MAX: f64 = 400.0;
/// Ambient CO at which suspects are shut down. Common practice, no source.
pub const AMBIENT_CO_SHUT_DOWN_PPM: f64 = 35.0;
/// Ambient CO from which nothing is lit until its source is found. Common practice, no source; a firm may
/// set its own.
pub const AMBIENT_CO_NO_FIRING_PPM: f64 = 10.0;
/// Sum of the hazard-3 causes over which shut-down is proposed. Trade judgement.
pub const HAZARD_SUM_MAX: f64 = 0.5;

/// What was seen or read besides the tests. Missing is not seen as fine: it is not known.
#[expect(clippy::struct_excessive_bools, reason = "each is a sign that was seen or not")]
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Signs {
    /// CO in the room air, ppm.
    pub ambient_co_ppm: Option<f64>,
    /// The room's CO is rising.
    pub ambient_co_rising: bool,
    /// CO in the flue, air-free, ppm.
    pub flue_co_air_free_ppm: Option<f64>,
    /// The flame or the flue O2 moves when the circulating fan starts.
    pub fan_moves_flame: bool,
    /// Soot, scorched paint or melted wire where flame has rolled out.
    pub rollout_marks: bool,
    /// Gas pressure at the valve inlet, in w.c.
    pub inlet_in_wc: Option<f64>,
    /// Highest inlet pressure on the valve or the plate, in w.c.
    pub inlet_max_in_wc: Option<f64>,
    /// Parts for natural gas seen in a unit supplied with LP: about 2.6 times the input.
    pub natural_parts_on_lp: bool,
}

/// A reason to propose shut-down.
#[derive(Debug, Clone, PartialEq)]
pub enum Danger {
    /// Flue CO, air-free, over the figure that vented heaters are tested to; the reading when there is one.
    FlueCo(Option<f64>),
    /// Ambient CO at or over the line, ppm.
    AmbientCo(f64),
    /// Ambient CO is rising.
    AmbientCoRising,
    /// The circulating fan moves the flame or the flue O2.
    FanMovesFlame,
    /// Marks of flame rollout.
    RolloutMarks,
    /// Inlet pressure over the rating, both in w.c.
    InletOverRating {
        /// Measured.
        inlet: f64,
        /// Highest allowed.
        max: f64,
    },
    /// Natural-gas parts on an LP supply: cock shut at once, no clocking, no flue test.
    NaturalPartsOnLp,
    /// The causes that call for shut-down hold most of the probability.
    Causes {
        /// Their sum, 0 to 1.
        sum: f64,
        /// The two most probable of them; the second is absent when there is only one.
        leading: (CauseId, Option<CauseId>),
    },
}

/// Dangers from signs and from single results, in the order of the list above.
pub fn seen(table: &Table, signs: &Signs, results: &[TestResult]) -> Vec<Danger> {
    let got = |test: &str, outcome: &str| {
        results.iter().any(|result| {
            let known = &table[result.test];
            known.key == test && known.outcomes.get(result.outcome) == Some(&outcome)
        })
    };
    let mut dangers = Vec::new();
    let over = signs.flue_co_air_free_ppm.filter(|ppm| *ppm > FLUE_CO_AIR_FREE_PPM_MAX);
    if over.is_some() || got("co_airfree", "over 400 ppm") {
        dangers.push(Danger::FlueCo(over));
    }
    if let Some(ppm) = signs.ambient_co_ppm.filter(|ppm| *ppm >= AMBIENT_CO_SHUT_DOWN_PPM) {
        dangers.push(Danger::AmbientCo(ppm));
    }
    if signs.ambient_co_rising {
        dangers.push(Danger::AmbientCoRising);
    }
    if signs.fan_moves_flame || got("fan_disturb", "changes") {
        dangers.push(Danger::FanMovesFlame);
    }
    if signs.rollout_marks {
        dangers.push(Danger::RolloutMarks);
    }
    if let (Some(inlet), Some(max)) = (signs.inlet_in_wc, signs.inlet_max_in_wc)
        && inlet > max
    {
        dangers.push(Danger::InletOverRating { inlet, max });
    }
    if signs.natural_parts_on_lp {
        dangers.push(Danger::NaturalPartsOnLp);
    }
    dangers
}

/// The danger that lies in the probabilities alone. The sum is taken among the listed causes, so that a
/// large "none of these" does not hide it.
pub fn in_belief(table: &Table, belief: &Belief) -> Option<Danger> {
    let mut hazards: Vec<(CauseId, f64)> =
        belief.among_listed().into_iter().filter(|(cause, _)| table[*cause].hazard == 3).collect();
    let sum: f64 = hazards.iter().map(|(_, p)| p).sum();
    if sum <= HAZARD_SUM_MAX {
        return None;
    }
    hazards.sort_by(|a, b| b.1.total_cmp(&a.1));
    let second = hazards.get(1).map(|(cause, _)| *cause);
    Some(Danger::Causes { sum, leading: (hazards[0].0, second) })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_sign_of_the_list_is_a_danger_by_itself() {
        let table = Table::standard();
        let signs = [
            Signs { flue_co_air_free_ppm: Some(401.0), ..Signs::default() },
            Signs { ambient_co_ppm: Some(35.0), ..Signs::default() },
            Signs { ambient_co_rising: true, ..Signs::default() },
            Signs { fan_moves_flame: true, ..Signs::default() },
            Signs { rollout_marks: true, ..Signs::default() },
            Signs { inlet_in_wc: Some(14.1), inlet_max_in_wc: Some(14.0), ..Signs::default() },
            Signs { natural_parts_on_lp: true, ..Signs::default() },
        ];
        for signs in signs {
            assert_eq!(seen(table, &signs, &[]).len(), 1, "{signs:?}");
        }
        assert!(seen(table, &Signs::default(), &[]).is_empty());
        let quiet = Signs {
            flue_co_air_free_ppm: Some(400.0),
            ambient_co_ppm: Some(34.0),
            inlet_in_wc: Some(14.0),
            inlet_max_in_wc: Some(14.0),
            ..Signs::default()
        };
        assert!(seen(table, &quiet, &[]).is_empty());
    }

    #[test]
    fn the_results_that_call_for_shut_down_exist_in_the_table() {
        let table = Table::standard();
        for (test, outcome) in [("co_airfree", "over 400 ppm"), ("fan_disturb", "changes")] {
            let test = table.test(test).unwrap();
            let outcome = table[test].outcome(outcome).unwrap();
            assert_eq!(seen(table, &Signs::default(), &[TestResult { test, outcome }]).len(), 1);
        }
    }
}
