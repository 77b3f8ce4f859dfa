//! Dangers: advisories, who was told, shutting down, locks, what is recorded after a gas smell.

use client_core::device::DeviceError;
use client_core::record::action::Action;
use client_core::record::body::{Ack, Advisory, Lock, Tag};
use client_core::record::code::{AdvisorySeverity, Channel, Decision, LockState};
use client_core::record::deed;
use client_core::record::id::{ApplianceId, EntryId};
use client_core::record::value::Day;

use super::state::drawn_name;
use super::{App, Effect};
use crate::tap::{Deed, Place};

/// Isolations that are offered as keys: the words that the record keeps.
pub const ISOLATIONS: [&str; 4] =
    ["gas cock closed", "service switch off", "disconnect locked", "cord unplugged"];

impl App {
    pub(super) fn at_a_hazard(&mut self, deed: Deed) -> Result<(), DeviceError> {
        match deed {
            Deed::Severity { severity } => {
                self.state.chosen.insert("severity".to_owned(), severity.key().to_owned());
                Ok(())
            }
            Deed::Isolate { what } => {
                self.state.toggle(&format!("isolate/{}", what.0));
                Ok(())
            }
            Deed::PutAdvice { unit } => self.advise(unit),
            Deed::PutTold { unit, entry } => self.told(unit, entry),
            Deed::PutShutDown { unit } => self.shut_down(unit),
            Deed::LockOn { unit } => self.lock_on(unit),
            Deed::LockOff { unit, entry } => self.lock_off(unit, entry),
            Deed::Outside {} => {
                self.effects.push(Effect::Hush);
                self.state.timers.clear();
                self.go(Place::Record {})
            }
            Deed::PutEmergency {} => self.emergency(),
            _ => Ok(()),
        }
    }

    #[expect(clippy::unnecessary_wraps, reason = "callers hand it on as their own outcome")]
    fn ask_for(&mut self, words: &str) -> Result<(), DeviceError> {
        self.state.notice = Some(self.set.language().say(words).to_owned());
        Ok(())
    }

    fn advise(&mut self, unit: ApplianceId) -> Result<(), DeviceError> {
        let severity = self.state.chosen("severity").and_then(AdvisorySeverity::from_key);
        let (Some(severity), Some(text)) = (severity, self.state.text("advice")) else {
            return self.ask_for("Say what it is, and choose how serious.");
        };
        let due = match self.state.text("due") {
            Some(due) => match Day::parse(&due) {
                Ok(day) => Some(day),
                Err(wrong) => {
                    self.state.notice = Some(self.set.language().wrong(&wrong.to_string()));
                    return Ok(());
                }
            },
            None => None,
        };
        let doc = self.unit_doc(unit)?;
        let advisory = Advisory { severity, text, due, visit: self.set.visit };
        let made = self.act(vec![(doc, Action::Enter(vec![advisory.into()]))])?;
        self.clear(&["severity", "advice", "due"]);
        match made.first().and_then(|delta| delta.entries.first()) {
            Some(entry) => self.go(Place::Told { unit, entry: *entry }),
            None => self.go(Place::Unit { unit }),
        }
    }

    /// Who was told, how, and what they said.
    fn told(&mut self, unit: ApplianceId, of: EntryId) -> Result<(), DeviceError> {
        let Some(told) = self.state.text("told") else {
            return self.ask_for("Say who was told: customer contact, shift lead.");
        };
        let chosen = |name: &str| self.state.chosen(name).map(str::to_owned);
        let how =
            chosen("how").and_then(|key| Channel::from_key(&key)).unwrap_or(Channel::InPerson);
        let ack = Ack {
            of,
            told: told.clone(),
            how,
            acknowledged: !self.state.is_chosen("refused"),
            decision: chosen("decision").and_then(|key| Decision::from_key(&key)),
            decided_by: chosen("decision").map(|_| told),
            deferred_to: self.state.text("deferred").and_then(|day| Day::parse(&day).ok()),
            text: self.state.text("toldwords"),
            told_person: None,
            decided_person: None,
            drawn: self.state.drawn(of),
        };
        let doc = self.unit_doc(unit)?;
        self.act(vec![(doc, Action::Enter(vec![ack.into()]))])?;
        self.clear(&[
            "told",
            "how",
            "refused",
            "decision",
            "deferred",
            "toldwords",
            &drawn_name(of),
        ]);
        self.go(Place::Unit { unit })
    }

    fn shut_down(&mut self, unit: ApplianceId) -> Result<(), DeviceError> {
        let Some(reason) = self.state.text("reason") else {
            return self.ask_for("Say what was seen.");
        };
        let isolations: Vec<String> = ISOLATIONS
            .iter()
            .filter(|words| self.state.is_chosen(&format!("isolate/{}", words.replace(' ', "_"))))
            .map(|words| (*words).to_owned())
            .collect();
        if isolations.is_empty() {
            return self.ask_for("Choose the isolations that were made.");
        }
        let lock = self.state.text("lock").map(|number| Lock {
            point: isolations.join(", "),
            state: LockState::On,
            number: Some(number),
            takes_off: None,
            visit: self.set.visit,
        });
        let advisory = Advisory {
            severity: AdvisorySeverity::ShutDown,
            text: reason.clone(),
            due: None,
            visit: self.set.visit,
        };
        let tag = Tag {
            reason,
            isolations,
            customer_told: self.state.text("told"),
            utility_told: self.state.text("utility"),
            release_when: self.state.text("release"),
            advisory: None,
            visit: self.set.visit,
            told_person: None,
        };
        let doc = self.unit_doc(unit)?;
        let locks: Vec<Lock> = lock.into_iter().collect();
        let next = self.device.next_entry();
        let acts = deed::shut_down(doc, Some(advisory), tag, locks, next);
        self.act(acts)?;
        self.clear(&["reason", "isolate", "lock", "told", "utility", "release"]);
        self.go(Place::Told { unit, entry: next })
    }

    fn lock_on(&mut self, unit: ApplianceId) -> Result<(), DeviceError> {
        let Some(point) = self.state.text("point") else {
            return self.ask_for("Say which point is padlocked.");
        };
        let lock = Lock {
            point,
            state: LockState::On,
            number: self.state.text("lock"),
            takes_off: None,
            visit: self.set.visit,
        };
        let doc = self.unit_doc(unit)?;
        self.act(vec![(doc, Action::Enter(vec![lock.into()]))])?;
        self.clear(&["point", "lock"]);
        Ok(())
    }

    fn lock_off(&mut self, unit: ApplianceId, on: EntryId) -> Result<(), DeviceError> {
        let point = self.look(unit, |own| {
            own.locks_on().iter().find(|entry| entry.id == on).and_then(|entry| match &entry.body {
                client_core::record::body::Body::Lock(lock) => Some(lock.point.clone()),
                _ => None,
            })
        })?;
        let Some(point) = point.flatten() else { return Ok(()) };
        let lock = Lock {
            point,
            state: LockState::Off,
            number: None,
            takes_off: Some(on),
            visit: self.set.visit,
        };
        let doc = self.unit_doc(unit)?;
        self.act(vec![(doc, Action::Enter(vec![lock.into()]))]).map(drop)
    }

    /// What happened at a gas smell, written down from outside.
    fn emergency(&mut self) -> Result<(), DeviceError> {
        let Some(text) = self.state.text("emergency") else {
            return self.ask_for("Say what was noticed, where, and who was called.");
        };
        let head = self.head()?;
        let note = Action::Write { subject: "emergency".to_owned(), about: None, text };
        self.act(vec![(head, note)])?;
        self.clear(&["emergency"]);
        self.state.stack = vec![Place::Units {}];
        self.arrive()
    }
}
