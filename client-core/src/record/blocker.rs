//! What blocks a sign-off. Nothing else does, and a supervisor may except each item in words.

mod figures;

use crate::record::body::{Body, Kind};
use crate::record::code::{CheckItem, CheckResult, Gas, Outcome, Phase, Quantity, Status, System};
use crate::record::contradiction::{Contradiction, checks_that_differ, governing_check};
use crate::record::file::{Papers, UnitInVisit, VisitFile};
use crate::record::id::ApplianceId;
use crate::record::mark::is_work;
use crate::record::phrase::{Gap, Phrase};
use crate::record::read::Read;

/// One item that blocks a sign-off.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Blocker {
    /// Stable key, unique in the visit: what an exception names.
    pub key: String,
    /// The unit.
    pub appliance: ApplianceId,
    /// Observation, meaning, next step.
    pub says: String,
    /// The same without the unit's number, for a face that says it in its own language.
    pub phrase: Phrase,
    /// A supervisor excepted it; in these words.
    pub excepted: Option<String>,
}

/// Checks that block when they failed on a unit able to fire.
const CHECKS: &[CheckItem] = &[
    CheckItem::LeakCheck,
    CheckItem::PortsClosed,
    CheckItem::FlameFailure,
    CheckItem::HighLimit,
    CheckItem::Rollout,
    CheckItem::AirProving,
    CheckItem::Spill,
];

impl VisitFile<'_> {
    /// Everything that blocks the sign-off, unit by unit; excepted items are in the list and say so.
    pub fn blockers(&self) -> Vec<Blocker> {
        let mut found = vec![];
        // A unit that was merged into another is judged there: it does not hang anywhere.
        for unit in self.units.iter().filter(|unit| unit.field("unit/merged_into").is_none()) {
            let mut list = List { unit, site: self.site, found: &mut found };
            list.unsettled();
            list.shut_down();
            list.locks();
            list.checks();
            if let Some(sheet) = &unit.sheet {
                list.work(sheet);
                list.ambient(sheet);
                list.gas_parts(sheet);
            }
            if unit.able_to_fire() {
                list.figures();
            }
        }
        for blocker in &mut found {
            blocker.excepted = self.exception(&blocker.key);
        }
        found
    }

    fn exception(&self, key: &str) -> Option<String> {
        use crate::record::code::Role;
        let supervisor = |entry: &crate::record::read::Entry| {
            self.signers.get(entry.id.actor).is_some_and(|signer| signer.role == Role::Supervisor)
        };
        self.head.read.counted(Kind::Exception).filter(|entry| supervisor(entry)).find_map(
            |entry| match &entry.body {
                Body::Exception(exception) if exception.blocker == key => {
                    Some(exception.reason.clone())
                }
                _ => None,
            },
        )
    }
}

struct List<'l, 'f> {
    unit: &'l UnitInVisit<'f>,
    site: Option<&'l Read>,
    found: &'l mut Vec<Blocker>,
}

impl List<'_, '_> {
    fn add(&mut self, what: &str, phrase: Phrase) {
        let appliance = self.unit.appliance;
        let key = format!("{what}/{appliance}");
        let says = format!("{}: {phrase}", self.unit.unit_no());
        self.found.push(Blocker { key, appliance, says, phrase, excepted: None });
    }

    /// Unsettled safety registers of a unit left running, or a status that is itself unsettled.
    fn unsettled(&mut self) {
        let Some(own) = &self.unit.unit else { return };
        let running = self.unit.able_to_fire();
        let contested = own.read.fields.iter().filter(|(_, merged)| merged.contested());
        let names: Vec<(&str, Phrase)> = contested
            .filter(|(field, _)| field.def.merge.cautious())
            .filter(|(field, _)| running || field.def.key == "unit/status")
            .map(|(field, merged)| {
                let sides =
                    merged.sides().iter().map(|side| Gap::Word(field.show(&side.value))).collect();
                let with = vec![Gap::word(field.def.says), Gap::List(" and ", sides)];
                (field.def.key, Phrase::new("{} has two answers, {}; settle it", with))
            })
            .collect();
        for (key, phrase) in names {
            self.add(&format!("unsettled/{key}"), phrase);
        }
    }

    fn shut_down(&mut self) {
        let Some(tag) = self.unit.tag_in_force() else { return };
        let Body::Tag(record) = &tag.body else { return };
        let told = record.customer_told.is_some() || self.acknowledged(tag.id, record.advisory);
        if !told {
            let says = "shut down, and nobody at the customer's was told";
            self.add("not_told", Phrase::plain(says));
        }
        let isolated = record.isolations.iter().any(|point| point.to_lowercase().contains("cock"));
        if !isolated && self.unit.locks_on().is_empty() {
            let says = "shut down, and neither a lock nor a closed cock is recorded";
            self.add("not_isolated", Phrase::plain(says));
        }
    }

    fn acknowledged(
        &self,
        tag: crate::record::id::EntryId,
        advisory: Option<crate::record::id::EntryId>,
    ) -> bool {
        let Some(own) = &self.unit.unit else { return false };
        own.read.counted(Kind::Ack).any(|entry| match &entry.body {
            Body::Ack(ack) => ack.of == tag || Some(ack.of) == advisory,
            _ => false,
        })
    }

    fn locks(&mut self) {
        if self.unit.tag_in_force().is_some() || self.unit.status() == Status::ShutDownTagged {
            return;
        }
        let points: Vec<String> = self
            .unit
            .locks_on()
            .iter()
            .filter_map(|entry| match &entry.body {
                Body::Lock(lock) => Some(lock.point.clone()),
                _ => None,
            })
            .collect();
        if !points.is_empty() {
            let says = "a lock is still on ({}) and the unit is not tagged";
            self.add("lock_on", Phrase::new(says, vec![Gap::of(points.join(", "))]));
        }
    }

    fn checks(&mut self) {
        let Some(sheet) = &self.unit.sheet else { return };
        let differ: Vec<CheckItem> = checks_that_differ(sheet)
            .into_iter()
            .filter_map(|one| match one {
                Contradiction::Check { item, .. } => Some(item),
                _ => None,
            })
            .collect();
        for item in differ {
            let says = "{}: two people answered differently; one of them tests again";
            let phrase = Phrase::new(says, vec![Gap::word(item.says())]);
            self.add(&format!("check_differs/{}", item.key()), phrase);
        }
        let running = self.unit.able_to_fire();
        for item in CHECKS {
            let failed = governing_check(&sheet.read, *item) == Some(CheckResult::Fail);
            if running && failed {
                let says = "{} failed on a unit able to fire";
                let phrase = Phrase::new(says, vec![Gap::word(item.says())]);
                self.add(&format!("check_failed/{}", item.key()), phrase);
            }
        }
    }

    /// Proofs that the work calls for.
    fn work(&mut self, sheet: &Papers<'_>) {
        let mut touched: Vec<System> = vec![];
        let mut set = false;
        for entry in sheet.read.entries.iter().filter(|entry| entry.counts()) {
            match &entry.body {
                Body::Work(work) => touched.extend(&work.touched),
                Body::Adjustment(_) => set = true,
                _ => {}
            }
        }
        let passed = |item| governing_check(&sheet.read, item) == Some(CheckResult::Pass);
        if touched.contains(&System::GasJoint) && !passed(CheckItem::LeakCheck) {
            let says = "a gas joint was opened and no leak check passed after it";
            self.add("leak_check", Phrase::plain(says));
        }
        let running = self.unit.able_to_fire();
        let port = touched.contains(&System::GasPort) || took_gas_pressure(sheet);
        if running && port && !passed(CheckItem::PortsClosed) {
            let says = "a gas test port was opened and no check says it is closed";
            self.add("ports_closed", Phrase::plain(says));
        }
        let combustion = touched.iter().any(|system| {
            matches!(system, System::GasJoint | System::GasSetting | System::Combustion)
        });
        let proved = self.unit.last(Quantity::FlueCo, Phase::AsLeft).is_some()
            || self.unit.last(Quantity::CoDischargeAdded, Phase::AsLeft).is_some();
        if running && (combustion || set) && !proved {
            let says = "combustion or a gas setting was touched and no flue test was taken as left";
            self.add("as_left_missing", Phrase::plain(says));
        }
        let closed = sheet.read.named("sheet/outcome").and_then(|merged| merged.governs());
        let as_found = closed.is_some_and(|said| {
            said.value == crate::record::field::FieldValue::Word(Outcome::LeftAsFound.code())
        });
        if as_found && sheet.read.entries.iter().any(|entry| entry.counts() && is_work(entry)) {
            let says = "closed as left as found, and work is recorded";
            self.add("left_as_found", Phrase::plain(says));
        }
    }

    /// CO in the room of 10 ppm or more with no later reading below.
    fn ambient(&mut self, sheet: &Papers<'_>) {
        if let Some(ppm) = figures::ambient_open(sheet) {
            let says = "room CO {} and no reading after it under 10 ppm; find the source";
            self.add("ambient_co", Phrase::new(says, vec![Gap::of(ppm)]));
        }
    }

    fn gas_parts(&mut self, sheet: &Papers<'_>) {
        let supplied = self.unit.word("unit/supplied_gas").map(Gas::from_code);
        let Some(supplied @ (Gas::Natural | Gas::Lp)) = supplied else { return };
        let mut last: std::collections::BTreeMap<_, (Gas, String)> =
            std::collections::BTreeMap::new();
        for entry in sheet.read.counted(Kind::GasPart) {
            if let Body::GasPart(part) = &entry.body {
                last.insert(part.part, (part.for_gas, part.marking.clone()));
            }
        }
        for (part, (gas, marking)) in last {
            let other = matches!(gas, Gas::Natural | Gas::Lp) && gas != supplied;
            if self.unit.able_to_fire() && other {
                let with = vec![
                    Gap::word(part.says()),
                    Gap::As(marking),
                    Gap::word(gas.says()),
                    Gap::word(supplied.says()),
                ];
                let phrase = Phrase::new("{} marked '{}' is for {}, supplied is {}", with);
                self.add(&format!("gas_part/{}", part.key()), phrase);
            }
        }
    }

    /// Figures as left outside what the plate or the firm's line allows.
    fn figures(&mut self) {
        for (what, phrase) in figures::outside(self.unit, self.site) {
            self.add(what, phrase);
        }
    }
}

/// Whether a gas pressure was read at a port of the unit: then the port was opened.
fn took_gas_pressure(sheet: &Papers<'_>) -> bool {
    sheet.read.counted(Kind::Reading).any(|entry| match &entry.body {
        Body::Reading(reading) => {
            reading.value.figure().is_some()
                && matches!(
                    reading.quantity,
                    Quantity::ManifoldHigh
                        | Quantity::ManifoldLow
                        | Quantity::ManifoldOff
                        | Quantity::InletStatic
                        | Quantity::InletFlowing
                        | Quantity::InletAllOn
                        | Quantity::Lockup
                        | Quantity::PilotPressure
                )
        }
        _ => false,
    })
}
