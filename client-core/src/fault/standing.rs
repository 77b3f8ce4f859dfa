//! Where the search at one unit stands: what the record knows, what is so today, and the advice out of both.
//! Every face asks here, so that the same record gives the same advice everywhere.

use super::advise::{Advice, AdviseError, Job, Search, advise};
use super::belief::TestResult;
use super::choice::{CareSet, Family};
use super::history::Learnt;
use super::known::Known;
use super::permit::{Conditions, GasSmell};
use super::signs::Signs;
use super::table::{SymptomId, Table};

/// What is so today and stands in no entry; what is said here goes before what the record says, but for a tag
/// and for gas smell, which are never taken back here.
#[expect(clippy::struct_excessive_bools, reason = "each is a sign that was seen or not")]
#[derive(Debug, Clone, Default)]
pub struct Today {
    /// What a person can meet.
    pub cares: CareSet,
    /// Trials for ignition in a row since the last gas check and wait.
    pub trials: u8,
    /// A tag hangs on the unit.
    pub tagged: bool,
    /// Gas smell, where it was asked.
    pub gas_smell: Option<GasSmell>,
    /// CO in the room air, ppm, where it was read.
    pub ambient_co_ppm: Option<f64>,
    /// The CO in the room is rising.
    pub ambient_co_rising: bool,
    /// The flame or the flue O2 moves when the circulating fan starts.
    pub fan_moves_flame: bool,
    /// Soot, scorched paint or melted wire where flame has rolled out.
    pub rollout_marks: bool,
    /// Results that are not entered.
    pub results: Vec<TestResult>,
}

/// Where the search for one unit stands.
#[derive(Clone, Debug)]
pub struct Standing {
    /// What the record knows.
    pub known: Known,
    /// The symptom that is searched for.
    pub symptom: SymptomId,
    /// The family whose tables are used.
    pub family: Family,
    /// The building's own counts.
    pub learnt: Learnt,
    /// Results, as the search takes them: those of the record, then today's.
    pub results: Vec<TestResult>,
    /// The advice, or why there is none.
    pub advice: Result<Advice, AdviseError>,
}

impl Standing {
    /// The search for what shows this symptom.
    pub fn of(
        table: &Table,
        known: Known,
        (symptom, family): (SymptomId, Family),
        learnt: Learnt,
        today: &Today,
    ) -> Standing {
        let mut results = known.results();
        results.extend(&today.results);
        let ambient_co_ppm = today.ambient_co_ppm.or(known.signs.ambient_co_ppm);
        let conditions = Conditions {
            tagged: known.tagged || today.tagged,
            // Smell that stands in the record is taken back there, by a name, and not in passing.
            gas_smell: match known.gas_smell {
                GasSmell::Present => GasSmell::Present,
                said => today.gas_smell.unwrap_or(said),
            },
            ambient_co_ppm,
            cares: today.cares,
            trials: today.trials,
        };
        let signs = Signs {
            ambient_co_ppm,
            rollout_marks: known.signs.rollout_marks || today.rollout_marks,
            fan_moves_flame: known.signs.fan_moves_flame || today.fan_moves_flame,
            ambient_co_rising: known.signs.ambient_co_rising || today.ambient_co_rising,
            ..known.signs
        };
        let advice = advise(&Job {
            table,
            symptom,
            family,
            weights: &learnt.weights,
            results: &results,
            conditions: &conditions,
            signs: &signs,
        });
        Standing { known, symptom, family, learnt, results, advice }
    }

    /// The search; none on gas smell, or where the symptom does not happen to the family.
    pub fn search(&self) -> Option<&Search> {
        match &self.advice {
            Ok(Advice::Search(search)) => Some(search),
            _ => None,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn of(table: &Table, known: Known, today: &Today) -> Standing {
        let job = (table.symptom("lights_drops").unwrap(), Family::Dsi);
        Standing::of(table, known, job, Learnt::default(), today)
    }

    fn ready() -> Today {
        Today {
            cares: CareSet::all(),
            gas_smell: Some(GasSmell::None),
            ambient_co_ppm: Some(0.0),
            ..Today::default()
        }
    }

    #[test]
    fn a_tag_holds_whoever_says_it_and_smell_leaves_nothing_but_the_gas_procedure() {
        let table = Table::standard();
        let lit = |standing: &Standing| {
            let offers = &standing.search().unwrap().offers;
            assert!(!offers.is_empty());
            offers.iter().any(|offer| !table[offer.test].on_dead_unit())
        };
        assert!(lit(&of(table, Known::default(), &ready())));
        let tagged = Known { tagged: true, ..Known::default() };
        assert!(!lit(&of(table, tagged, &ready())));
        assert!(!lit(&of(table, Known::default(), &Today { tagged: true, ..ready() })));
        let smelled = Today { gas_smell: Some(GasSmell::Present), ..ready() };
        assert!(matches!(of(table, Known::default(), &smelled).advice, Ok(Advice::GasProcedure)));
        // Smell in the record is not taken back in passing.
        let known = Known { gas_smell: GasSmell::Present, ..Known::default() };
        for today in [Today { gas_smell: None, ..ready() }, ready()] {
            assert!(matches!(of(table, known.clone(), &today).advice, Ok(Advice::GasProcedure)));
        }
    }

    #[test]
    fn signs_of_the_record_and_of_today_both_count() {
        let table = Table::standard();
        let dangers =
            |known: Known, today: &Today| of(table, known, today).search().unwrap().dangers.len();
        let marks = Signs { rollout_marks: true, ..Signs::default() };
        let known = Known { signs: marks, ..Known::default() };
        assert_eq!(dangers(Known::default(), &ready()), 0);
        assert_eq!(dangers(known, &ready()), 1);
        assert_eq!(dangers(Known::default(), &Today { rollout_marks: true, ..ready() }), 1);
        let results = vec![TestResult { test: table.test("polarity").unwrap(), outcome: 0 }];
        let standing = of(table, Known::default(), &Today { results: results.clone(), ..ready() });
        assert_eq!(standing.results, results);
        let other = (table.symptom("pilot_out").unwrap(), Family::Dsi);
        let wrong =
            Standing::of(table, Known::default(), other, Learnt::default(), &Today::default());
        assert!(wrong.advice.is_err() && wrong.search().is_none());
    }
}
