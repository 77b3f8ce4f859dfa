//! Which tests may be offered now. A test that may not be offered carries the reason, so that it can be said.

use super::belief::TestResult;
use super::choice::{Care, CareSet, Family, Need, State};
use super::signs::AMBIENT_CO_NO_FIRING_PPM;
use super::table::{SymptomId, Table, TestId};

/// Trials for ignition in a row before a gas check and a wait. Common practice, no source.
pub const TRIALS_MAX: u8 = 2;
/// The wait after them, with the gas check, in minutes; the unit's label may ask for more. Common practice.
pub const GAS_CHECK_AND_WAIT_MIN: f64 = 6.0;

/// What the nose and the detector say about gas at the unit.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum GasSmell {
    /// Not checked yet: nothing is lit.
    #[default]
    NotChecked,
    /// Checked, none found.
    None,
    /// Smell, hissing or detector alarm: one procedure and nothing else.
    Present,
}

/// How the unit, the person and the place are today.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Conditions {
    /// A shut-down tag hangs on the unit, or its status is not settled.
    pub tagged: bool,
    /// Gas smell at the unit.
    pub gas_smell: GasSmell,
    /// CO in the room air, ppm; `None` is not read yet.
    pub ambient_co_ppm: Option<f64>,
    /// The cares that this person can meet today: qualified for live work, a lift on site, a second person.
    pub cares: CareSet,
    /// Trials for ignition in a row since the last gas check and wait, the person's own and the control's.
    pub trials: u8,
}

impl Default for Conditions {
    /// Nothing checked and nothing at hand but eyes: what is not known is not permitted.
    fn default() -> Self {
        Self {
            tagged: false,
            gas_smell: GasSmell::NotChecked,
            ambient_co_ppm: None,
            cares: CareSet::of(&[Care::Look]),
            trials: 0,
        }
    }
}

/// Why a test is not offered.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Refusal {
    /// The unit is tagged, and the test needs more than a dead unit.
    Tagged,
    /// Shut-down is proposed, and the test needs more than a dead unit.
    ShutDownProposed,
    /// This test must first have given the result that opens the gate.
    Gate(TestId),
    /// The symptom does not let the unit reach the state.
    OutOfReach(State),
    /// Gas smell has not been checked.
    GasSmellNotChecked,
    /// Ambient CO has not been read.
    AmbientCoNotRead,
    /// Ambient CO is 10 ppm or more: its source comes first.
    AmbientCoHigh(f64),
    /// Two trials in a row: gas check and wait first.
    TrialsUsed,
    /// A care cannot be met today.
    Care(Care),
    /// It serves other families.
    OtherFamily,
    /// It has been made.
    Made,
}

/// What must be in order before an offered test.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Permit {
    /// Cares to meet.
    pub cares: CareSet,
    /// The gas cock is closed for it, because it puts a call on the unit without meaning to light it.
    pub cock_closed: bool,
}

/// A job's facts that decide what may be offered.
#[derive(Debug, Clone, Copy)]
pub struct Case<'a> {
    /// The tables.
    pub table: &'a Table,
    /// The symptom.
    pub symptom: SymptomId,
    /// The unit's family.
    pub family: Family,
    /// Results so far.
    pub results: &'a [TestResult],
    /// Conditions now.
    pub conditions: &'a Conditions,
    /// Whether shut-down has been proposed, now or earlier on this job.
    pub shut_down: bool,
}

impl Case<'_> {
    /// Whether one test may be offered, in the order: dead unit, gate, reach, what is not known, today's means.
    pub fn permit(&self, id: TestId) -> Result<Permit, Refusal> {
        let test = &self.table[id];
        if !test.families.has(self.family) {
            return Err(Refusal::OtherFamily);
        }
        if self.results.iter().any(|result| result.test == id) {
            return Err(Refusal::Made);
        }
        if !test.on_dead_unit() {
            if self.conditions.tagged {
                return Err(Refusal::Tagged);
            }
            if self.shut_down {
                return Err(Refusal::ShutDownProposed);
            }
        }
        if test.needs.has(Need::Call) || test.needs.has(Need::Flame) || test.state.fires() {
            self.gates(id)?;
        }
        if !self.table[self.symptom].reachable.has(test.state) {
            return Err(Refusal::OutOfReach(test.state));
        }
        if test.state.fires() || test.cares.has(Care::Firing) {
            self.may_light()?;
        }
        let missing = test.cares.members().find(|care| !self.conditions.cares.has(*care));
        match missing {
            Some(care) => Err(Refusal::Care(care)),
            None => Ok(Permit {
                cares: test.cares,
                cock_closed: !test.state.fires() && test.needs.has(Need::Call),
            }),
        }
    }

    fn gates(&self, id: TestId) -> Result<(), Refusal> {
        for gate in &self.table[self.symptom].gates {
            let latest = self.results.iter().rev().find(|result| result.test == gate.test);
            let open = latest.is_some_and(|result| result.outcome == gate.wanted);
            if !open && gate.test != id {
                return Err(Refusal::Gate(gate.test));
            }
        }
        Ok(())
    }

    fn may_light(&self) -> Result<(), Refusal> {
        match self.conditions.gas_smell {
            GasSmell::None => {}
            GasSmell::NotChecked | GasSmell::Present => return Err(Refusal::GasSmellNotChecked),
        }
        match self.conditions.ambient_co_ppm {
            None => return Err(Refusal::AmbientCoNotRead),
            Some(ppm) if !(0.0..AMBIENT_CO_NO_FIRING_PPM).contains(&ppm) => {
                return Err(Refusal::AmbientCoHigh(ppm));
            }
            Some(_) => {}
        }
        if self.conditions.trials >= TRIALS_MAX {
            return Err(Refusal::TrialsUsed);
        }
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn ready() -> Conditions {
        Conditions {
            tagged: false,
            gas_smell: GasSmell::None,
            ambient_co_ppm: Some(0.0),
            cares: CareSet::all(),
            trials: 0,
        }
    }

    fn case<'a>(symptom: &str, results: &'a [TestResult], conditions: &'a Conditions) -> Case<'a> {
        let table = Table::standard();
        let symptom = table.symptom(symptom).unwrap();
        Case { table, symptom, family: Family::Dsi, results, conditions, shut_down: false }
    }

    fn test(key: &str) -> TestId {
        Table::standard().test(key).unwrap()
    }

    #[test]
    fn nothing_is_lit_before_smell_and_ambient_co_are_known() {
        let flame = test("flame_ua");
        let unknown = Conditions { gas_smell: GasSmell::NotChecked, ..ready() };
        assert_eq!(
            case("lights_drops", &[], &unknown).permit(flame),
            Err(Refusal::GasSmellNotChecked)
        );
        let unknown = Conditions { ambient_co_ppm: None, ..ready() };
        assert_eq!(
            case("lights_drops", &[], &unknown).permit(flame),
            Err(Refusal::AmbientCoNotRead)
        );
        for ppm in [10.0, 34.0, f64::NAN, -1.0] {
            let high = Conditions { ambient_co_ppm: Some(ppm), ..ready() };
            assert!(matches!(
                case("lights_drops", &[], &high).permit(flame),
                Err(Refusal::AmbientCoHigh(_))
            ));
        }
        assert!(case("lights_drops", &[], &ready()).permit(flame).is_ok());
    }

    #[test]
    fn two_trials_are_followed_by_a_gas_check_and_a_wait() {
        let tried = Conditions { trials: 2, ..ready() };
        assert_eq!(
            case("lights_drops", &[], &tried).permit(test("flame_ua")),
            Err(Refusal::TrialsUsed)
        );
        assert!(case("lights_drops", &[], &tried).permit(test("rod_insul")).is_ok());
    }

    #[test]
    fn a_rough_light_off_is_not_repeated_before_leak_by_and_burner_are_looked_at() {
        let table = Table::standard();
        let (leak, look) = (test("leakby"), test("burner_look"));
        let conditions = ready();
        let lit = test("light_time");
        assert_eq!(case("delayed_ign", &[], &conditions).permit(lit), Err(Refusal::Gate(leak)));
        assert!(case("delayed_ign", &[], &conditions).permit(leak).is_ok());
        let zero = TestResult { test: leak, outcome: table[leak].outcome("zero").unwrap() };
        let results = [zero];
        assert_eq!(
            case("delayed_ign", &results, &conditions).permit(lit),
            Err(Refusal::Gate(look))
        );
        let clean =
            TestResult { test: look, outcome: table[look].outcome("clean and straight").unwrap() };
        let results = [zero, clean];
        assert!(case("delayed_ign", &results, &conditions).permit(lit).is_ok());
        let rises =
            TestResult { test: leak, outcome: table[leak].outcome("pressure rises").unwrap() };
        let results = [rises, clean];
        assert_eq!(
            case("delayed_ign", &results, &conditions).permit(lit),
            Err(Refusal::Gate(leak))
        );
    }

    #[test]
    fn a_tagged_unit_gets_only_tests_on_a_dead_unit() {
        let table = Table::standard();
        let tagged = Conditions { tagged: true, ..ready() };
        let offered: Vec<&str> = table
            .test_ids()
            .filter(|id| case("bad_combustion", &[], &tagged).permit(*id).is_ok())
            .map(|id| table[id].key)
            .collect();
        assert!(offered.contains(&"hx_look") && offered.contains(&"gas_label"));
        for test in
            ["leakby", "status_lamp", "line_volts", "inlet_static", "main_look", "inducer_start"]
        {
            assert!(!offered.contains(&test), "{test}");
        }
    }

    #[test]
    fn a_call_without_meaning_to_light_closes_the_cock() {
        let conditions = ready();
        let permit = case("dead", &[], &conditions).permit(test("inducer_start")).unwrap();
        assert!(permit.cock_closed);
        let permit = case("lights_drops", &[], &conditions).permit(test("flame_ua")).unwrap();
        assert!(!permit.cock_closed);
    }
}
