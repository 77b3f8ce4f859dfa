//! Finding the fault: a start that is followed, the symptom, results of tests, and the cause.

use client_core::device::DeviceError;
use client_core::fault::belief::Candidate;
use client_core::fault::follow::stopped_after;
use client_core::fault::lockout::{Trials, WAIT_S};
use client_core::fault::sequence::{Leads, Sequence};
use client_core::fault::table::Table;
use client_core::record::action::Action;
use client_core::record::body::{Body, Finding, Symptom, Tested};
use client_core::record::code::{CheckItem, CheckResult, Confidence};
use client_core::record::id::{ApplianceId, EntryId};

use super::App;
use crate::search::{self, From};
use crate::tap::{Deed, Place};

/// Stands for "nothing was seen" among the steps.
pub const NOTHING: u8 = 255;

/// A cause is likely from here on; below it is suspected. Trade judgement.
const LIKELY: f64 = 0.5;

impl App {
    pub(super) fn at_the_fault(&mut self, deed: Deed) -> Result<(), DeviceError> {
        match deed {
            Deed::StartNow { unit } => {
                self.clear(&[&search::start_name(unit)]);
                let name = format!("{}/begun", search::start_name(unit));
                self.state.chosen.insert(name, self.now.secs.to_string());
                Ok(())
            }
            Deed::Stamp { unit, step } => {
                let name = format!("{}/{step}", search::start_name(unit));
                // The key may be pressed twice with a glove: the first time counts.
                self.state.chosen.entry(name).or_insert_with(|| self.now.secs.to_string());
                Ok(())
            }
            Deed::Weak { unit, step } => self.weak(unit, step),
            Deed::StopAfter { unit, step } => self.stopped(unit, step),
            Deed::ItDoes { unit, symptom } => self.symptom(unit, &symptom.0, None),
            Deed::Gave { unit, test, outcome } => self.gave(unit, &test.0, outcome),
            Deed::PickTest { unit, test } => {
                self.state.chosen.insert(search::pick_name(unit), test.0);
                self.go(Place::Fault { unit })
            }
            Deed::Able { care } => {
                self.state.toggle(&format!("able/{}", care.0));
                Ok(())
            }
            Deed::Saw { unit, what } => {
                self.state.toggle(&search::saw(unit, &what.0));
                Ok(())
            }
            Deed::Control { unit, what, to } => {
                self.control(unit, &what.0, to.0);
                Ok(())
            }
            Deed::NoSmell { unit } => self.no_smell(unit),
            Deed::GasChecked { unit } => self.gas_checked(unit),
            Deed::Waited { unit } => {
                self.waited(unit);
                Ok(())
            }
            Deed::ItIs { unit, cause } => self.it_is(unit, &cause.0),
            other => self.at_the_phone(other),
        }
    }

    // --- the start ---

    fn sequence(&mut self, unit: ApplianceId) -> Result<Option<&'static Sequence>, DeviceError> {
        let place = Place::Start { unit };
        let lists = self.lists(&place)?;
        let row = lists.units.iter().find(|listed| listed.id == unit);
        Ok(row
            .and_then(|listed| listed.row.family)
            .and_then(|family| client_core::fault::sequence::named(family.key())))
    }

    /// The step happened, but weakly: that may be a symptom of its own.
    fn weak(&mut self, unit: ApplianceId, step: u8) -> Result<(), DeviceError> {
        let Some(sequence) = self.sequence(unit)? else { return Ok(()) };
        let name = search::start_name(unit);
        let at = self.now.secs.to_string();
        self.state.chosen.entry(format!("{name}/{step}")).or_insert(at);
        self.state.chosen.insert(format!("{name}/{step}/weak"), String::new());
        match client_core::fault::follow::weak(sequence, usize::from(step)) {
            Some(leads) => self.lead(unit, sequence, Some(usize::from(step)), leads),
            None => Ok(()),
        }
    }

    /// The step after the last one seen did not happen.
    fn stopped(&mut self, unit: ApplianceId, step: u8) -> Result<(), DeviceError> {
        let Some(sequence) = self.sequence(unit)? else { return Ok(()) };
        let last = (step != NOTHING).then_some(usize::from(step));
        match stopped_after(sequence, last) {
            Some(leads) => {
                if search::was_a_trial(leads) {
                    self.count_trial(unit);
                }
                self.lead(unit, sequence, last, leads)
            }
            None => {
                self.state.notice = Some(
                    self.set
                        .language()
                        .say("Every step was seen. Steps that nobody timed are not timed: they are no pass.")
                        .to_owned(),
                );
                Ok(())
            }
        }
    }

    fn count_trial(&mut self, unit: ApplianceId) {
        let tried = Trials::as_found(search::trials(&self.state, unit)).tried();
        self.state.chosen.insert(search::trials_name(unit), tried.in_a_row().to_string());
    }

    fn lead(
        &mut self,
        unit: ApplianceId,
        sequence: &Sequence,
        last: Option<usize>,
        leads: Leads,
    ) -> Result<(), DeviceError> {
        match leads {
            Leads::Symptom(symptom) => {
                let timed = search::start(&self.state, unit).stamps.len();
                let seen = last.and_then(|step| sequence.steps.get(step)).map(|step| step.name);
                let steps = last.map_or(0, |step| step + 1);
                let text = search::start_words(seen, timed.min(steps), steps);
                self.symptom(unit, Table::standard()[symptom].key, Some(text))
            }
            Leads::ShutDown => self.go(Place::ShutDown { unit }),
            Leads::GasProcedure => {
                self.state.notice = Some(
                    self.set
                        .language()
                        .say("Gas smell or a detector's alarm: the key with eight corners, and nothing else.")
                        .to_owned(),
                );
                Ok(())
            }
        }
    }

    // --- symptom and results ---

    fn symptom(
        &mut self,
        unit: ApplianceId,
        key: &str,
        text: Option<String>,
    ) -> Result<(), DeviceError> {
        if Table::standard().symptom(key).is_none() {
            return Ok(());
        }
        let control = search::lockout_words(search::lockout(&self.state, unit, None));
        let text = match (text, control) {
            (Some(text), Some(control)) => Some(format!("{text}; {control}")),
            (text, control) => text.or(control),
        };
        let body = Symptom { symptom: key.to_owned(), text };
        let sheet = self.sheet(unit)?;
        self.act(vec![(sheet, Action::Enter(vec![body.into()]))])?;
        self.state.chosen.remove(&search::pick_name(unit));
        self.go(Place::Fault { unit })
    }

    fn gave(&mut self, unit: ApplianceId, key: &str, outcome: u8) -> Result<(), DeviceError> {
        let table = Table::standard();
        let Some(test) = table.test(key) else { return Ok(()) };
        let Some(outcome) = table[test].outcomes.get(usize::from(outcome)) else { return Ok(()) };
        let (outcome, test_key) = ((*outcome).to_owned(), key.to_owned());
        let symptom = self.look(unit, |own| {
            let sheet = own.sheet.as_ref()?;
            let symptoms = sheet.read.counted(client_core::record::body::Kind::Symptom);
            symptoms.last().and_then(|entry| match &entry.body {
                Body::Symptom(own) => table.symptom(&own.symptom),
                _ => None,
            })
        })?;
        let body = Tested { test: test_key, outcome, note: None };
        let sheet = self.sheet(unit)?;
        self.act(vec![(sheet, Action::Enter(vec![body.into()]))])?;
        if symptom.flatten().is_some_and(|symptom| search::tries(symptom, test)) {
            self.count_trial(unit);
        }
        self.state.chosen.remove(&search::pick_name(unit));
        Ok(())
    }

    // --- what must be in order ---

    /// A fact of the control as found; the same tap again takes it back. Trials that the control made count
    /// like one's own.
    fn control(&mut self, unit: ApplianceId, what: &str, to: String) {
        let name = search::control_name(unit, what);
        let taken_back = self.state.chosen(&name) == Some(to.as_str());
        if taken_back {
            self.state.chosen.remove(&name);
        } else {
            if what == "trials" {
                self.state.chosen.insert(search::trials_name(unit), to.clone());
            }
            self.state.chosen.insert(name, to);
        }
    }

    fn no_smell(&mut self, unit: ApplianceId) -> Result<(), DeviceError> {
        let item = CheckItem::AmbientSmell;
        self.carry(Deed::Check { unit, item, result: CheckResult::Pass })
    }

    /// The gas check before another trial: it starts the wait.
    fn gas_checked(&mut self, unit: ApplianceId) -> Result<(), DeviceError> {
        self.no_smell(unit)?;
        let until = self.now.secs + wait_s();
        self.state.chosen.insert(search::wait_name(unit), until.to_string());
        Ok(())
    }

    /// The wait is over: trials are counted anew. A shorter wait leaves the count as it is.
    fn waited(&mut self, unit: ApplianceId) {
        let Some(until) = search::wait_until(&self.state, unit) else { return };
        if self.now.secs < until {
            self.state.notice =
                Some(self.set.language().say("The wait is not over yet.").to_owned());
            return;
        }
        self.clear(&[&search::wait_name(unit), &search::trials_name(unit)]);
    }

    // --- the cause ---

    /// The cause that a person settles on, with the evidence linked.
    fn it_is(&mut self, unit: ApplianceId, key: &str) -> Result<(), DeviceError> {
        let table = Table::standard();
        let place = Place::Fault { unit };
        let lists = self.lists(&place)?;
        let (site, visit) = (self.site()?, self.visit()?);
        let material = {
            let opened = self.device.open_unit(site, visit, unit)?;
            let file = opened.file();
            let from = From {
                state: &self.state,
                lists: &lists,
                site: Some(site),
                visit: Some(visit),
                now: self.now,
            };
            file.unit(unit).and_then(|own| search::standing(from, &file, own)).and_then(
                |standing| {
                    let candidate: Candidate = table.cause(key);
                    let chosen =
                        standing.search()?.choose(table, candidate, standing.results.len());
                    let entry =
                        |place: &usize| standing.known.results.get(*place).map(|(id, _)| *id);
                    let mut evidence: Vec<EntryId> =
                        chosen.evidence.iter().filter_map(entry).collect();
                    evidence.dedup();
                    Some((chosen.cause, chosen.probability, evidence, table[standing.symptom].key))
                },
            )
        };
        let Some((cause, probability, evidence, symptom)) = material else { return Ok(()) };
        let likely = probability >= LIKELY;
        let body = Finding {
            cause: cause.to_owned(),
            text: self.state.text("finding"),
            phase: self.phase_now(unit)?,
            confidence: Some(if likely { Confidence::Likely } else { Confidence::Suspected }),
            evidence: (!evidence.is_empty()).then_some(evidence),
            symptom: Some(symptom.to_owned()),
        };
        let sheet = self.sheet(unit)?;
        self.act(vec![(sheet, Action::Enter(vec![body.into()]))])?;
        self.clear(&["finding", &search::start_name(unit), &search::pick_name(unit)]);
        self.go(Place::Work { unit })
    }
}

/// The wait in whole seconds.
#[expect(clippy::cast_possible_truncation, reason = "a wait is a few hundred seconds")]
const fn wait_s() -> i64 {
    WAIT_S as i64
}
