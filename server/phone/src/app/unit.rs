//! Work at a unit: checks, findings, what was done, parts, notes, the plate, two answers.

use client_core::device::DeviceError;
use client_core::record::action::{Action, Setting};
use client_core::record::body::{
    Adjustment, Body, Check, Finding, GasPart, OldPart, Part, Question, Work,
};
use client_core::record::code::unit::UnitCode;
use client_core::record::code::{Confidence, Gas, GasPartKind, Phase, Quantity, System, WorkKind};
use client_core::record::contradiction::{Contradiction, in_papers, in_sheet};
use client_core::record::deed;
use client_core::record::field::{Field, FieldValue};
use client_core::record::id::{ApplianceId, EntryId};
use client_core::record::value::Figure;
use client_core::trade::unit::Unit;
use client_core::trade::unit::parse::parse_in;

use super::App;
use crate::pad::Form;
use crate::tap::{Deed, Place};

impl App {
    pub(super) fn at_the_unit(&mut self, deed: Deed) -> Result<(), DeviceError> {
        match deed {
            Deed::Check { unit, item, result } => self.check(unit, item, result),
            Deed::Cause { cause, .. } => self.choose("cause", cause.0),
            Deed::FoundIt { unit } => self.finding(unit),
            Deed::Kind { kind } => self.choose("kind", kind.key().to_owned()),
            Deed::Touch { system } => {
                self.state.toggle(&format!("touch/{}", system.key()));
                Ok(())
            }
            Deed::DidIt { unit } => self.work(unit),
            Deed::SetIt { unit } => self.adjusted(unit),
            Deed::UsePart { unit } => self.part(unit),
            Deed::Seen { unit } => self.gas_part(unit),
            Deed::PartKind { kind } => self.choose("partkind", kind.key().to_owned()),
            Deed::ForGas { gas } => self.choose("forgas", gas.key().to_owned()),
            Deed::PutNote { unit } => self.note(unit),
            Deed::EditNote { unit, entry } => self.edit_note(unit, entry),
            Deed::PutQuestion { unit } => self.question(unit),
            Deed::SetPlate { unit } => self.plate(unit),
            Deed::Void { unit, entry } => self.void(unit, entry),
            Deed::Settle { unit, key, entry } => self.settle(unit, &key.0, Some(entry), false),
            Deed::Doubles { unit, key, same } => self.settle(unit, &key.0, None, same == 1),
            Deed::ReadText { unit, key } => self.settle(unit, &key.0, None, false),
            _ => Ok(()),
        }
    }

    #[expect(clippy::unnecessary_wraps, reason = "callers hand it on as their own outcome")]
    fn choose(&mut self, name: &str, word: String) -> Result<(), DeviceError> {
        self.state.chosen.insert(name.to_owned(), word);
        Ok(())
    }

    /// Whether work on the unit has begun: then what is found now is found in work.
    pub(super) fn phase_now(&mut self, unit: ApplianceId) -> Result<Phase, DeviceError> {
        let begun = self.look(unit, |own| {
            own.sheet.as_ref().is_some_and(|sheet| {
                sheet
                    .read
                    .entries
                    .iter()
                    .any(|entry| entry.counts() && client_core::record::mark::is_work(entry))
            })
        })?;
        Ok(if begun == Some(true) { Phase::InWork } else { Phase::AsFound })
    }

    /// A check. A second answer of the same person replaces the first.
    fn check(
        &mut self,
        unit: ApplianceId,
        item: client_core::record::code::CheckItem,
        result: client_core::record::code::CheckResult,
    ) -> Result<(), DeviceError> {
        let me = self.device.identity().person;
        let earlier = self.look(unit, |own| {
            let sheet = own.sheet.as_ref()?;
            let own =
                sheet.read.entries.iter().filter(|entry| entry.counts() && entry.stamp.by == me);
            let same =
                own.filter(|entry| matches!(&entry.body, Body::Check(check) if check.item == item));
            same.map(|entry| (entry.id, entry.body.clone())).next_back()
        })?;
        let earlier = earlier.flatten();
        if let Some((_, Body::Check(check))) = &earlier
            && check.result == result
        {
            return Ok(());
        }
        let corrects = earlier.map(|(id, _)| id);
        let note = self.state.text("checknote");
        let body = Check { item, result, note, corrects };
        let sheet = self.sheet(unit)?;
        self.act(vec![(sheet, Action::Enter(vec![body.into()]))])?;
        self.clear(&["checknote"]);
        Ok(())
    }

    fn finding(&mut self, unit: ApplianceId) -> Result<(), DeviceError> {
        let text = self.state.text("finding");
        let cause = self.state.chosen("cause").map(str::to_owned);
        let cause = match (cause, &text) {
            (Some(cause), _) => cause,
            (None, Some(_)) => "other".to_owned(),
            (None, None) => {
                return self.nothing_yet("Choose a cause, or say in words what you saw.");
            }
        };
        let body = Finding {
            cause,
            text,
            phase: self.phase_now(unit)?,
            confidence: Some(Confidence::Likely),
            evidence: None,
            symptom: None,
        };
        let sheet = self.sheet(unit)?;
        self.act(vec![(sheet, Action::Enter(vec![body.into()]))])?;
        self.clear(&["cause", "finding"]);
        self.go(Place::Work { unit })
    }

    #[expect(clippy::unnecessary_wraps, reason = "callers hand it on as their own outcome")]
    fn nothing_yet(&mut self, words: &str) -> Result<(), DeviceError> {
        self.state.notice = Some(self.set.language().say(words).to_owned());
        Ok(())
    }

    fn work(&mut self, unit: ApplianceId) -> Result<(), DeviceError> {
        let Some(kind) = self.state.chosen("kind").and_then(WorkKind::from_key) else {
            return self.nothing_yet("Choose what was done.");
        };
        let touched: Vec<System> = System::ALL
            .iter()
            .copied()
            .filter(|system| self.state.is_chosen(&format!("touch/{}", system.key())))
            .collect();
        if touched.is_empty() {
            return self.nothing_yet(
                "Choose what the work touched: it decides which proofs are asked for.",
            );
        }
        let finding = self.last_finding(unit)?;
        let body = Work { kind, text: self.state.text("did"), finding, touched, minutes: None };
        let sheet = self.sheet(unit)?;
        self.act(vec![(sheet, Action::Enter(vec![body.into()]))])?;
        self.clear(&["kind", "touch", "did"]);
        self.go(Place::Unit { unit })
    }

    fn last_finding(&mut self, unit: ApplianceId) -> Result<Option<EntryId>, DeviceError> {
        let found = self.look(unit, |own| {
            let sheet = own.sheet.as_ref()?;
            sheet
                .read
                .counted(client_core::record::body::Kind::Finding)
                .last()
                .map(|entry| entry.id)
        })?;
        Ok(found.flatten())
    }

    /// A figure typed as text, in the form of a quantity.
    fn typed_figure(&self, name: &str, quantity: Quantity) -> Option<Figure> {
        let text = self.state.text(name)?.replace(',', ".");
        let form = Form::of(quantity, self.set.system())?;
        let (digits, unit) = parse_in(&text, form.unit).ok()?;
        Some(Figure { digits, unit: UnitCode::of(unit)? })
    }

    fn adjusted(&mut self, unit: ApplianceId) -> Result<(), DeviceError> {
        let quantity = self.state.chosen("setting").and_then(Quantity::from_key);
        let quantity = quantity.unwrap_or(Quantity::ManifoldHigh);
        let Some(after) = self.typed_figure("after", quantity) else {
            return self.nothing_yet("Type the figure after the setting was changed.");
        };
        let before = self.typed_figure("before", quantity);
        let finding = self.last_finding(unit)?;
        let body = Adjustment { quantity, before, after, finding, note: None };
        let sheet = self.sheet(unit)?;
        self.act(vec![(sheet, Action::Enter(vec![body.into()]))])?;
        self.clear(&["before", "after"]);
        self.go(Place::Unit { unit })
    }

    fn part(&mut self, unit: ApplianceId) -> Result<(), DeviceError> {
        let Some(part) = self.state.text("part") else {
            return self.nothing_yet("Say which part.");
        };
        let count = self.state.text("count").unwrap_or_else(|| "1".to_owned()).replace(',', ".");
        let read = parse_in(&count, Unit::N).ok();
        let read = read.and_then(|(digits, unit)| Some((digits, UnitCode::of(unit)?)));
        let Some((digits, counted)) = read else {
            return self.nothing_yet("The number of parts does not read as a number.");
        };
        let (condition, rating) = (self.state.text("oldcondition"), self.state.text("oldrating"));
        let kept = self.state.is_chosen("oldkept").then_some(true);
        let old = (condition.is_some() || rating.is_some() || kept.is_some()).then_some(OldPart {
            condition,
            rating,
            kept,
        });
        let body = Part {
            part,
            number: self.state.text("number"),
            for_gas: self.state.chosen("forgas").and_then(Gas::from_key),
            rating: self.state.text("rating"),
            quantity: Figure { digits, unit: counted },
            source: self.state.text("source"),
            old,
            note: None,
        };
        let sheet = self.sheet(unit)?;
        self.act(vec![(sheet, Action::Enter(vec![body.into()]))])?;
        self.clear(&[
            "part",
            "count",
            "number",
            "rating",
            "source",
            "oldcondition",
            "oldrating",
            "oldkept",
            "forgas",
        ]);
        // Work that is chosen and not entered yet is gone back to: the part was used in it.
        if self.state.chosen("kind").is_some() {
            return self.go(Place::Work { unit });
        }
        self.go(Place::Unit { unit })
    }

    fn gas_part(&mut self, unit: ApplianceId) -> Result<(), DeviceError> {
        let kind = self.state.chosen("partkind").and_then(GasPartKind::from_key);
        let gas = self.state.chosen("forgas").and_then(Gas::from_key);
        let (Some(part), Some(for_gas)) = (kind, gas) else {
            return self.nothing_yet("Choose the part and the gas it is for.");
        };
        let Some(marking) = self.state.text("marking") else {
            return self.nothing_yet("Type the marking as it is read, or say that there is none.");
        };
        let count = self.state.text("partcount").and_then(|text| text.parse().ok()).unwrap_or(1);
        let phase = match self.phase_now(unit)? {
            Phase::AsFound => Phase::AsFound,
            _ => Phase::AsLeft,
        };
        let body = GasPart { part, marking, count, for_gas, phase, photo: None, note: None };
        let sheet = self.sheet(unit)?;
        self.act(vec![(sheet, Action::Enter(vec![body.into()]))])?;
        self.clear(&["partkind", "forgas", "marking", "partcount"]);
        Ok(())
    }

    fn note(&mut self, unit: ApplianceId) -> Result<(), DeviceError> {
        let Some(text) = self.state.text("note") else {
            return self.nothing_yet("Type the note first.");
        };
        let sheet = self.sheet(unit)?;
        self.act(vec![(sheet, Action::Write { subject: "job".to_owned(), about: None, text })])?;
        self.clear(&["note"]);
        Ok(())
    }

    fn edit_note(&mut self, unit: ApplianceId, note: EntryId) -> Result<(), DeviceError> {
        let Some(text) = self.state.text("edited") else { return Ok(()) };
        let sheet = self.sheet(unit)?;
        self.act(vec![(sheet, Action::Edit { note, text })])?;
        self.clear(&["edited"]);
        self.back()
    }

    fn question(&mut self, unit: ApplianceId) -> Result<(), DeviceError> {
        let Some(asked) = self.state.text("ask") else {
            return self.nothing_yet("Type the question first.");
        };
        let doc = self.unit_doc(unit)?;
        let about = vec![Quantity::FlueCo2, Quantity::FlueO2, Quantity::ManifoldHigh];
        let question = Question {
            asked,
            to: self.state.text("askwhom"),
            visit: self.set.visit,
            about: Some(about),
        };
        self.act(vec![(doc, Action::Ask(question))])?;
        self.clear(&["ask", "askwhom"]);
        self.go(Place::Unit { unit })
    }

    /// Registers of the plate that somebody typed.
    fn plate(&mut self, unit: ApplianceId) -> Result<(), DeviceError> {
        let mut settings = vec![];
        for key in crate::screens::plate::REGISTERS {
            let Some(text) = self.state.text(key) else { continue };
            let field = Field::named(key);
            match field.parse(&text) {
                Ok(value) => settings.push(Setting { field, value, reason: None }),
                Err(wrong) => {
                    self.state.notice = Some(self.set.language().wrong(&wrong.to_string()));
                    return Ok(());
                }
            }
        }
        for (name, key) in [("plategas", "plate/gas"), ("suppliedgas", "unit/supplied_gas")] {
            if let Some(gas) = self.state.chosen(name).and_then(Gas::from_key) {
                let value = FieldValue::Word(gas.code());
                settings.push(Setting { field: Field::named(key), value, reason: None });
            }
        }
        if settings.is_empty() {
            return self.nothing_yet("Nothing was typed.");
        }
        let doc = self.unit_doc(unit)?;
        self.act(vec![(doc, Action::Set(settings))])?;
        let keys: Vec<&str> = crate::screens::plate::REGISTERS.to_vec();
        self.clear(&keys);
        self.clear(&["plategas", "suppliedgas"]);
        self.go(Place::Unit { unit })
    }

    fn void(&mut self, unit: ApplianceId, entry: EntryId) -> Result<(), DeviceError> {
        let reason = self.state.text("void").unwrap_or_default();
        let doc = self.look(unit, |own| {
            let papers = own.sheet.iter().chain(own.unit.iter());
            papers.clone().find_map(|papers| papers.read.entry(entry).map(|entry| entry.doc))
        })?;
        let Some(doc) = doc.flatten() else { return Ok(()) };
        self.act(vec![(doc, Action::Void { entry, reason })])?;
        self.clear(&["void"]);
        self.back()
    }

    /// Settles one of the unit's contradictions, with a reason.
    fn settle(
        &mut self,
        unit: ApplianceId,
        key: &str,
        chosen: Option<EntryId>,
        same: bool,
    ) -> Result<(), DeviceError> {
        let reason = self.state.text("settle").unwrap_or_default();
        let (site, visit) = (self.site()?, self.visit()?);
        let acts = {
            let opened = self.device.open_unit(site, visit, unit)?;
            let file = opened.file();
            let Some(own) = file.unit(unit) else { return Ok(()) };
            let mut all: Vec<Contradiction> = own.unit.iter().flat_map(in_papers).collect();
            if let Some(sheet) = &own.sheet {
                all.extend(in_sheet(sheet, Some(opened.company())));
            }
            let Some(one) = all.into_iter().find(|one| one.key() == key) else { return Ok(()) };
            let Some(doc) = one.doc() else { return Ok(()) };
            let action = match &one {
                Contradiction::Field { field, merged, .. } => {
                    let side = merged.sides().iter().find(|side| Some(side.id) == chosen);
                    side.map(|side| Action::Settle {
                        field: *field,
                        value: side.value.clone(),
                        reason: reason.clone(),
                        evidence: vec![],
                    })
                }
                other => deed::settle(other, chosen, same, &reason),
            };
            action.map(|action| vec![(doc, action)])
        };
        let Some(acts) = acts else { return Ok(()) };
        self.act(acts)?;
        self.clear(&["settle"]);
        Ok(())
    }
}
