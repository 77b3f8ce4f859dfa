//! Symptoms, causes and tests as data, read from text kept beside the code.
//!
//! One line of text is one fact that a technician can read and correct. The shipped tables are parsed once
//! at first use; a firm that keeps its own may parse them with [`Table::parse`].

use std::ops::Index;
use std::sync::LazyLock;

use super::choice::{CareSet, FamilySet, NeedSet, State, StateSet};

mod parse;

pub use parse::TableError;

/// A symptom's place in its table.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct SymptomId(pub(crate) usize);

/// A cause's place in its table.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct CauseId(pub(crate) usize);

/// A test's place in its table.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct TestId(pub(crate) usize);

/// A set-up's place in its table.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct SetupId(pub(crate) usize);

/// What the person sees before any test.
#[derive(Debug, Clone, PartialEq)]
pub struct Symptom {
    /// Key in files and records.
    pub key: &'static str,
    /// What is seen, in words.
    pub text: &'static str,
    /// States that the unit still reaches.
    pub reachable: StateSet,
    /// Families it can happen to.
    pub families: FamilySet,
    /// Results that must stand before anything lights or calls.
    pub gates: Vec<Gate>,
}

/// A test and the result of it that opens the gate.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Gate {
    /// The test.
    pub test: TestId,
    /// Place of the wanted result among the test's outcomes.
    pub wanted: usize,
}

/// A physical reason for a failing step.
#[derive(Debug, Clone, PartialEq)]
pub struct Cause {
    /// Key in files and records.
    pub key: &'static str,
    /// What it is, in words.
    pub name: &'static str,
    /// Families it can happen to.
    pub families: FamilySet,
    /// Weight under each symptom that names it.
    pub weights: Vec<(SymptomId, f64)>,
    /// The usual repair.
    pub repair: &'static str,
    /// Minutes of that repair.
    pub repair_min: f64,
    /// 0 none, 1 nuisance, 2 can become dangerous, 3 shut down for a qualified decision.
    pub hazard: u8,
}

impl Cause {
    /// The weight under one symptom, 0 when the symptom does not name it.
    pub fn weight(&self, symptom: SymptomId) -> f64 {
        self.weights.iter().find(|(id, _)| *id == symptom).map_or(0.0, |(_, weight)| *weight)
    }
}

/// Something that can be looked at or measured.
#[derive(Debug, Clone, PartialEq)]
pub struct Test {
    /// Key in files and records.
    pub key: &'static str,
    /// What is done, in words.
    pub name: &'static str,
    /// Where.
    pub place: &'static str,
    /// Its possible results.
    pub outcomes: Vec<&'static str>,
    /// Chance of each result under a cause that the test does not name.
    pub otherwise: Vec<f64>,
    /// Chance of each result under a cause that it names; by cause.
    pub given: Vec<Option<Vec<f64>>>,
    /// Minutes, without its set-up.
    pub minutes: f64,
    /// A set-up that is paid once for each unit.
    pub setup: Option<SetupId>,
    /// What the person must have in order.
    pub cares: CareSet,
    /// What the unit must be doing.
    pub state: State,
    /// What it needs from the unit.
    pub needs: NeedSet,
    /// Families it serves.
    pub families: FamilySet,
    /// Tests of one group share an observation.
    pub group: &'static str,
}

impl Test {
    /// Chance of each result under one cause.
    pub fn chances(&self, cause: CauseId) -> &[f64] {
        self.given.get(cause.0).and_then(Option::as_deref).unwrap_or(&self.otherwise)
    }

    /// Whether it can be made on a unit that is dead: nothing runs, and no gas, call or power is needed.
    pub fn on_dead_unit(&self) -> bool {
        self.state == State::Off && self.needs.is_empty()
    }

    /// Place of a result among the outcomes.
    pub fn outcome(&self, words: &str) -> Option<usize> {
        self.outcomes.iter().position(|outcome| *outcome == words)
    }
}

/// A set-up shared by tests at one port, paid once for each unit.
#[derive(Debug, Clone, PartialEq)]
pub struct Setup {
    /// Key in the test lines.
    pub key: &'static str,
    /// Minutes.
    pub minutes: f64,
}

/// All that is known about symptoms, causes and tests.
#[derive(Debug, Clone, PartialEq)]
pub struct Table {
    /// Symptoms in the order of the file.
    pub symptoms: Vec<Symptom>,
    /// Causes in the order of the file.
    pub causes: Vec<Cause>,
    /// Tests in the order of the file.
    pub tests: Vec<Test>,
    /// Set-ups.
    pub setups: Vec<Setup>,
}

static STANDARD: LazyLock<Table> = LazyLock::new(|| {
    Table::parse(
        include_str!("data/symptoms.txt"),
        include_str!("data/causes.txt"),
        include_str!("data/tests.txt"),
    )
    .expect("the shipped tables are parsed by the tests of this file")
});

impl Table {
    /// The tables that come with the program. All figures are trade judgement.
    pub fn standard() -> &'static Self {
        &STANDARD
    }

    /// The symptom with this key.
    pub fn symptom(&self, key: &str) -> Option<SymptomId> {
        self.symptoms.iter().position(|symptom| symptom.key == key).map(SymptomId)
    }

    /// The cause with this key.
    pub fn cause(&self, key: &str) -> Option<CauseId> {
        self.causes.iter().position(|cause| cause.key == key).map(CauseId)
    }

    /// The test with this key.
    pub fn test(&self, key: &str) -> Option<TestId> {
        self.tests.iter().position(|test| test.key == key).map(TestId)
    }

    /// Every symptom's place.
    pub fn symptom_ids(&self) -> impl Iterator<Item = SymptomId> + use<> {
        (0..self.symptoms.len()).map(SymptomId)
    }

    /// Every cause's place.
    pub fn cause_ids(&self) -> impl Iterator<Item = CauseId> + use<> {
        (0..self.causes.len()).map(CauseId)
    }

    /// Every test's place.
    pub fn test_ids(&self) -> impl Iterator<Item = TestId> + use<> {
        (0..self.tests.len()).map(TestId)
    }
}

impl Index<SymptomId> for Table {
    type Output = Symptom;

    fn index(&self, id: SymptomId) -> &Symptom {
        &self.symptoms[id.0]
    }
}

impl Index<CauseId> for Table {
    type Output = Cause;

    fn index(&self, id: CauseId) -> &Cause {
        &self.causes[id.0]
    }
}

impl Index<TestId> for Table {
    type Output = Test;

    fn index(&self, id: TestId) -> &Test {
        &self.tests[id.0]
    }
}

impl Index<SetupId> for Table {
    type Output = Setup;

    fn index(&self, id: SetupId) -> &Setup {
        &self.setups[id.0]
    }
}

#[cfg(test)]
mod tests {
    use super::super::choice::Family;
    use super::*;

    #[test]
    fn the_shipped_tables_hold_what_they_should() {
        let table = Table::standard();
        assert_eq!((table.symptoms.len(), table.causes.len(), table.tests.len()), (15, 66, 68));
        let weights: usize = table.causes.iter().map(|cause| cause.weights.len()).sum();
        let rows: usize = table.tests.iter().map(|test| test.given.iter().flatten().count()).sum();
        assert_eq!((weights, rows), (187, 380));
    }

    #[test]
    fn every_symptom_has_causes_in_each_of_its_families() {
        let table = Table::standard();
        for symptom in table.symptom_ids() {
            for family in table[symptom].families.members() {
                let causes = table
                    .causes
                    .iter()
                    .filter(|cause| cause.families.has(family) && cause.weight(symptom) > 0.0);
                assert!(causes.count() >= 2, "{} {}", table[symptom].key, family.key());
            }
        }
    }

    #[test]
    fn every_cause_is_named_by_a_test_of_its_families() {
        let table = Table::standard();
        for cause in table.cause_ids() {
            let named = table.tests.iter().any(|test| {
                test.given[cause.0].is_some()
                    && table[cause].families.members().any(|family| test.families.has(family))
            });
            assert!(named, "{}", table[cause].key);
        }
    }

    #[test]
    fn gas_odour_is_no_symptom() {
        let table = Table::standard();
        for symptom in &table.symptoms {
            let text = symptom.text.to_lowercase();
            assert!(!text.contains("gas odour") && !text.contains("gas smell"), "{text}");
        }
    }

    #[test]
    fn spark_stops_serves_only_spark_pilots() {
        let table = Table::standard();
        let test = &table[table.test("spark_stops").unwrap()];
        assert_eq!(test.families, FamilySet::of(&[Family::Isp, Family::Mua]));
    }
}
