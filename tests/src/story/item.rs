//! What a technician enters during a visit, in the order of the clock on their own phone.

use std::collections::BTreeMap;

use client_core::device::Step;
use client_core::record::action::Action;
use client_core::record::body::{
    Ack, Advisory, Body, Check, Condition, Finding, GasPart, Labour, Lock, Part, Photo, Question,
    Reading, Work,
};
use client_core::record::code::unit::UnitCode;
use client_core::record::code::{
    AdvisorySeverity, Channel, CheckItem, CheckResult, Decision, Gas, GasPartKind, LabourKind,
    LockState, Outcome, Phase, Quantity, Running, Stage, System, WorkKind,
};
use client_core::record::doc_id::DocId;
use client_core::record::id::EntryId;
use client_core::record::value::{Measured, Moment};
use serde_json::Value;

use super::office::figure;
use super::player::{Player, StoryWrong, Who};
use super::scenario::{day, moment, number, text};

/// One thing to enter.
#[derive(Clone, Debug)]
pub struct Item {
    /// By the clock of the one who enters it.
    pub at: Moment,
    /// Order among equals.
    pub rank: u8,
    /// What.
    pub what: What,
}

/// What is entered.
#[derive(Clone, Debug)]
pub enum What {
    /// Readings of one unit in one phase with one stamp.
    Block(String, Vec<Value>),
    /// A finding.
    Finding(Value),
    /// Work done.
    Work(Value),
    /// A part.
    Part(Value),
    /// A gas part seen.
    GasPart(Value),
    /// A photo.
    Photo(Value),
    /// A check.
    Check(Value),
    /// A lock.
    Lock(Value),
    /// An advisory with its acknowledgement.
    Advisory(Value),
    /// A question to the manufacturer.
    Question(Value),
    /// Working time.
    Labour(Value),
    /// Steps that the fixture describes in words only.
    Steps(Vec<Step>),
    /// A unit's turn is over.
    Close(String),
}

fn later(at: Moment, minutes: i64) -> Moment {
    Moment { secs: at.secs + minutes * 60, ..at }
}

/// First and last moment of a unit's found and left readings in a visit.
#[derive(Clone, Copy, Debug, Default)]
struct Times {
    found: Option<Moment>,
    left: Option<Moment>,
    last: Option<Moment>,
}

impl Player {
    /// Everything that one technician enters in a visit, in order.
    pub fn items(&self, visit: &str, who: Who) -> Result<Vec<Item>, StoryWrong> {
        let times = self.times(visit);
        let mut items = self.blocks(visit, who);
        let mut add = |at: Option<Moment>, rank, what| {
            let at = at.ok_or_else(|| StoryWrong::Lacks(format!("a time for {what:?}")))?;
            items.push(Item { at, rank, what });
            Ok::<(), StoryWrong>(())
        };
        let own = |one: &&Value| text(one, "by") == Some(who.key());
        let of = |one: &Value| {
            let tag = text(one, "appliance").unwrap_or_default();
            times.get(tag).copied().unwrap_or_default()
        };
        let work_from = |times: Times| {
            times.found.map(|at| later(at, 1)).or_else(|| times.left.map(|at| later(at, -10)))
        };
        for one in self.scenario.of_visit("photos", visit).filter(own) {
            add(work_from(of(one)), 2, What::Photo(one.clone()))?;
        }
        for one in self.scenario.of_visit("gas_parts", visit).filter(own) {
            let found = text(one, "phase") == Some("as_found");
            let left = of(one).left.map(|at| later(at, -1));
            add(if found { work_from(of(one)) } else { left }, 3, What::GasPart(one.clone()))?;
        }
        for one in self.scenario.of_visit("findings", visit).filter(own) {
            add(work_from(of(one)), 4, What::Finding(one.clone()))?;
        }
        for one in self.scenario.of_visit("actions", visit).filter(own) {
            add(work_from(of(one)).map(|at| later(at, 1)), 5, What::Work(one.clone()))?;
        }
        for one in self.scenario.of_visit("parts", visit).filter(own) {
            let at = moment(one, "at").or_else(|| work_from(of(one)).map(|at| later(at, 2)));
            add(at, 6, What::Part(one.clone()))?;
        }
        for one in self.scenario.of_visit("locks", visit).filter(own) {
            add(moment(one, "at"), 6, What::Lock(one.clone()))?;
        }
        for one in self.scenario.of_visit("checks", visit).filter(own) {
            // Ilse's check for UH-07 was entered on RT-01: its time is UH-07's.
            let wrong_unit = text(one, "id") == Some("CK-K7a");
            let times = if wrong_unit { times["UH-07"] } else { of(one) };
            let at = times.left.or(times.found).map(|at| later(at, if wrong_unit { 1 } else { 2 }));
            add(moment(one, "at").or(at), 7, What::Check(one.clone()))?;
        }
        for one in self.scenario.of_visit("advisories", visit).filter(own) {
            let at = moment(one, "at").or_else(|| of(one).last.map(|at| later(at, 3)));
            add(at, 8, What::Advisory(one.clone()))?;
        }
        for one in self.scenario.of_visit("questions", visit).filter(own) {
            add(moment(one, "at"), 8, What::Question(one.clone()))?;
        }
        for (tag, times) in &times {
            if self.main_person(visit, tag) == Some(who) {
                add(times.last.map(|at| later(at, 4)), 9, What::Close(tag.clone()))?;
            }
        }
        let end = items.iter().map(|item| item.at).max();
        for one in self.scenario.of_visit("labour", visit).filter(own) {
            let at = end.map(|at| later(at, 10));
            let at = at.ok_or_else(|| StoryWrong::Lacks("an end of the day".to_owned()))?;
            items.push(Item { at, rank: 10, what: What::Labour(one.clone()) });
        }
        items.sort_by_key(|item| (item.at.secs, item.rank));
        Ok(items)
    }

    fn times(&self, visit: &str) -> BTreeMap<String, Times> {
        let mut times: BTreeMap<String, Times> = BTreeMap::new();
        for reading in self.scenario.of_visit("readings", visit) {
            let (Some(tag), Some(at)) = (text(reading, "appliance"), moment(reading, "at")) else {
                continue;
            };
            let times = times.entry(tag.to_owned()).or_default();
            times.last = times.last.max(Some(at));
            match text(reading, "phase") {
                Some("as_found") => times.found = times.found.max(Some(at)),
                _ => times.left = times.left.max(Some(at)),
            }
        }
        times
    }

    /// Who reads most at a unit in a visit.
    fn main_person(&self, visit: &str, tag: &str) -> Option<Who> {
        let mut counts = BTreeMap::new();
        for reading in self.scenario.of_visit("readings", visit) {
            if text(reading, "appliance") == Some(tag) {
                *counts.entry(text(reading, "by")).or_insert(0) += 1;
            }
        }
        let most = counts.into_iter().max_by_key(|(_, count)| *count);
        most.and_then(|(by, _)| Who::by_key(by?))
    }

    fn blocks(&self, visit: &str, who: Who) -> Vec<Item> {
        let mut blocks: BTreeMap<(Moment, String, String), Vec<Value>> = BTreeMap::new();
        let mut counters: BTreeMap<String, Moment> = BTreeMap::new();
        for reading in self.scenario.of_visit("readings", visit) {
            if text(reading, "by") != Some(who.key()) {
                continue;
            }
            let (Some(at), Some(tag)) = (moment(reading, "at"), text(reading, "appliance")) else {
                continue;
            };
            let phase = text(reading, "phase").unwrap_or_default().to_owned();
            blocks.entry((at, tag.to_owned(), phase)).or_default().push(reading.clone());
            let first = counters.entry(tag.to_owned()).or_insert(at);
            *first = at.min(*first);
        }
        let mut items: Vec<Item> = blocks
            .into_iter()
            .map(|((at, tag, _), block)| Item { at, rank: 1, what: What::Block(tag, block) })
            .collect();
        for (tag, at) in counters {
            if self.main_person(visit, &tag) == Some(who) {
                let steps = self.counters(visit, &tag);
                items.extend(steps.map(|steps| Item { at, rank: 0, what: What::Steps(steps) }));
            }
        }
        items
    }

    /// Firing hours and lockouts since the last visit, read off the unit and asked on site.
    fn counters(&self, visit: &str, tag: &str) -> Option<Vec<Step>> {
        let units = self.scenario.list("appliances");
        let unit = units.iter().find(|unit| text(unit, "tag") == Some(tag))?;
        let sheet = self.sheet_doc(visit, tag).ok()?;
        let mut bodies: Vec<Body> = vec![];
        let pairs = [
            ("burner_hours", Quantity::BurnerHours, "h"),
            ("lockouts_reported_since_last", Quantity::LockoutCount, "n"),
        ];
        for (name, quantity, unit_key) in pairs {
            if let Some(typed) = number(&unit[name], visit) {
                let value = Measured::Figure(figure(&typed, UnitCode::from_key(unit_key)?));
                bodies.push(Reading::new(quantity, value, Phase::Spot).into());
            }
        }
        (!bodies.is_empty()).then(|| vec![Step::new(sheet, Action::Enter(bodies))])
    }

    /// Enters one item.
    pub fn play(&mut self, visit: &str, who: Who, item: Item) -> Result<(), StoryWrong> {
        let at = item.at;
        match item.what {
            What::Steps(steps) => self.act(who, at, steps).map(drop),
            What::Block(tag, block) => {
                let sheet = self.sheet_doc(visit, &tag)?;
                let bodies = block.iter().map(|one| self.reading(one)).collect::<Result<_, _>>()?;
                let made = self.enter(who, at, sheet, bodies)?;
                self.remember_all(&block, &made);
                Ok(())
            }
            What::Close(tag) => {
                let sheet = self.sheet_doc(visit, &tag)?;
                let close = Action::Close { outcome: Outcome::Done, reason: None };
                self.act(who, at, vec![Step::new(sheet, close)]).map(drop)
            }
            What::Labour(one) => {
                let minutes = one["minutes"].as_u64().and_then(|n| u32::try_from(n).ok());
                let body = Labour {
                    person: self.person(who),
                    minutes: minutes.unwrap_or_default(),
                    start: None,
                    kind: LabourKind::OnSite,
                    note: None,
                };
                let head = self.head_doc(visit)?;
                self.enter(who, at, head, vec![body.into()]).map(drop)
            }
            What::Advisory(one) => self.advisory(visit, who, at, &one),
            What::Question(one) => {
                let question = Question {
                    asked: text(&one, "asked").unwrap_or_default().to_owned(),
                    to: Some("manufacturer's technical desk".to_owned()),
                    visit: Some(self.visit(visit)?),
                    about: None,
                };
                let doc = self.unit_doc(text(&one, "appliance").unwrap_or_default())?;
                let made = self.act(who, at, vec![Step::new(doc, Action::Ask(question))])?;
                self.remember(&one, made.first().copied());
                Ok(())
            }
            What::Lock(one) => {
                let body = Lock {
                    point: text(&one, "point").unwrap_or_default().to_owned(),
                    state: LockState::On,
                    number: None,
                    takes_off: None,
                    visit: Some(self.visit(visit)?),
                };
                let doc = self.unit_doc(text(&one, "appliance").unwrap_or_default())?;
                self.one(who, at, doc, &one, body.into())
            }
            What::Finding(one) => self.on_sheet(visit, who, at, &one, finding(&one)),
            What::Work(one) => {
                let finding = text(&one, "finding").and_then(|id| self.entries.get(id).copied());
                let body = work(&one, finding, self.cause(&one));
                self.on_sheet(visit, who, at, &one, body)
            }
            What::Part(one) => self.on_sheet(visit, who, at, &one, part(&one)),
            What::GasPart(one) => {
                let photo = text(&one, "photo").and_then(|id| self.entries.get(id).copied());
                self.on_sheet(visit, who, at, &one, gas_part(&one, photo))
            }
            What::Photo(one) => self.on_sheet(visit, who, at, &one, photo(&one)),
            What::Check(one) => self.on_sheet(visit, who, at, &one, check(&one)?),
        }
    }

    fn on_sheet(
        &mut self,
        visit: &str,
        who: Who,
        at: Moment,
        one: &Value,
        body: Body,
    ) -> Result<(), StoryWrong> {
        let sheet = self.sheet_doc(visit, text(one, "appliance").unwrap_or_default())?;
        self.one(who, at, sheet, one, body)
    }

    fn one(
        &mut self,
        who: Who,
        at: Moment,
        doc: DocId,
        one: &Value,
        body: Body,
    ) -> Result<(), StoryWrong> {
        let made = self.enter(who, at, doc, vec![body])?;
        self.remember(one, made.first().copied());
        Ok(())
    }

    fn remember(&mut self, one: &Value, entry: Option<EntryId>) {
        if let (Some(id), Some(entry)) = (text(one, "id"), entry) {
            self.entries.insert(id.to_owned(), entry);
        }
    }

    fn remember_all(&mut self, list: &[Value], made: &[EntryId]) {
        for (one, entry) in list.iter().zip(made) {
            self.remember(one, Some(*entry));
        }
    }

    /// The cause of the finding that a piece of work answers.
    fn cause(&self, one: &Value) -> String {
        let finding = text(one, "finding").and_then(|id| self.scenario.by_id("findings", id));
        finding.and_then(|finding| text(finding, "cause")).unwrap_or_default().to_owned()
    }

    fn reading(&self, one: &Value) -> Result<Body, StoryWrong> {
        let lacks = |what: &str| StoryWrong::Lacks(format!("{what} of {}", one["id"]));
        let quantity = text(one, "quantity").and_then(Quantity::from_key);
        let quantity = quantity.ok_or_else(|| lacks("the quantity"))?;
        let unit =
            unit_of(text(one, "unit").unwrap_or_default()).ok_or_else(|| lacks("the unit"))?;
        let value = match number(one, "value") {
            Some(typed) => Measured::Figure(figure(&typed, unit)),
            None => Measured::OverRange(unit),
        };
        let phase = text(one, "phase").and_then(Phase::from_key);
        let mut reading = Reading::new(quantity, value, phase.ok_or_else(|| lacks("the phase"))?);
        let words =
            |name: &str| text(one, name).filter(|words| !words.is_empty()).map(str::to_owned);
        reading.point = words("test_point").filter(|point| point != reading.point());
        reading.instrument =
            text(one, "instrument").and_then(|label| self.instruments.get(label).copied());
        reading.condition = Some(condition(&one["condition"]));
        reading.steady_min = one["steady_min"].as_u64().and_then(|n| u16::try_from(n).ok());
        reading.early = one["early"].as_bool();
        reading.fuel_set = words("fuel_set");
        reading.note = words("note");
        reading.corrects = text(one, "corrects").and_then(|id| self.entries.get(id).copied());
        reading.why_corrected = words("correction_reason");
        if reading.note.as_deref().is_some_and(|note| note.contains("overrode with reason")) {
            reading.why_unusual = Some("will check".to_owned());
        }
        let of =
            |name: &str, key: &str| Some(figure(&number(one, name)?, UnitCode::from_key(key)?));
        reading.dial = of("dial_cf", "ft3");
        reading.meter_pressure = of("meter_psig", "psig");
        reading.gas_temp = of("gas_temp_F", "f");
        Ok(reading.into())
    }

    fn advisory(
        &mut self,
        visit: &str,
        who: Who,
        at: Moment,
        one: &Value,
    ) -> Result<(), StoryWrong> {
        let doc = self.unit_doc(text(one, "appliance").unwrap_or_default())?;
        let severity = text(one, "severity").and_then(AdvisorySeverity::from_key);
        let advisory = Advisory {
            severity: severity.unwrap_or(AdvisorySeverity::Note),
            text: text(one, "text").unwrap_or_default().to_owned(),
            due: day(one, "due"),
            visit: Some(self.visit(visit)?),
        };
        self.one(who, at, doc, one, advisory.into())?;
        let words = text(one, "decision").unwrap_or_default();
        let decision = match words {
            "open" => Decision::Open,
            words if words.starts_with("deferred") => Decision::Deferred,
            _ => Decision::Accepted,
        };
        let ack = Ack {
            of: self.entry(text(one, "id").unwrap_or_default())?,
            told: "customer contact".to_owned(),
            how: match text(one, "how") {
                Some("in person and in writing") => Channel::InPersonAndWriting,
                Some("in person and on the report") => Channel::InPersonAndReport,
                _ => Channel::InPerson,
            },
            acknowledged: one["acknowledged"].as_bool().unwrap_or_default(),
            decision: Some(decision),
            decided_by: None,
            deferred_to: None,
            text: Some(words.to_owned()),
            told_person: text(one, "told").and_then(|key| self.person_by_key(key)),
            decided_person: text(one, "decided_by").and_then(|key| self.person_by_key(key)),
            drawn: None,
        };
        self.enter(who, at, doc, vec![ack.into()]).map(drop)
    }
}

fn unit_of(key: &str) -> Option<UnitCode> {
    UnitCode::from_key(match key {
        "F" => "f",
        "pct_dry" => "pct",
        "ppm_dry" => "ppm",
        "uA_dc" => "ua",
        "Mohm" => "mohm",
        "V_ac" => "v",
        "mV_dc" => "mv",
        other => other,
    })
}

fn condition(one: &Value) -> Condition {
    let running = |name: &str| {
        Some(match text(one, name)? {
            "on" => Running::On,
            "off" => Running::Off,
            "some on" => Running::SomeOn,
            _ => Running::None,
        })
    };
    let stage = text(one, "fire_stage").map(|stage| match stage {
        "high" => Stage::High,
        "low" => Stage::Low,
        "pilot" => Stage::Pilot,
        "off" => Stage::Off,
        _ => Stage::HighCalledStaysLow,
    });
    Condition { stage, fan: running("fan"), panel: running("panel"), others: running("others") }
}

fn words(one: &Value, name: &str) -> Option<String> {
    text(one, name).map(str::to_owned)
}

fn finding(one: &Value) -> Body {
    Finding {
        cause: words(one, "cause").unwrap_or_else(|| "other".to_owned()),
        text: words(one, "text"),
        phase: Phase::AsFound,
        confidence: None,
        evidence: None,
        symptom: None,
    }
    .into()
}

fn work(one: &Value, finding: Option<EntryId>, cause: String) -> Body {
    let touched = match cause.as_str() {
        "manifold_low" | "manifold_high" => vec![System::GasSetting, System::GasPort],
        "conversion_mismatch" | "mod_valve" => vec![System::GasJoint, System::GasSetting],
        "burner_dirty" => vec![System::Combustion, System::GasJoint],
        "ir_tube" => vec![System::Combustion],
        "ps_hose" => vec![System::Vent],
        "air_prove" | "airflow_block" => vec![System::AirSide],
        "stage2_call" | "loose_wiring" => vec![System::Controls],
        "hx_breach" => vec![System::Outside],
        _ => vec![System::Ignition],
    };
    Work {
        kind: text(one, "kind").and_then(WorkKind::from_key).unwrap_or(WorkKind::None),
        text: words(one, "text"),
        finding,
        touched,
        minutes: None,
    }
    .into()
}

fn part(one: &Value) -> Body {
    let count = number(one, "qty").unwrap_or_else(|| "1".to_owned());
    Part {
        part: words(one, "part").unwrap_or_default(),
        number: None,
        for_gas: None,
        rating: None,
        quantity: figure(&count, UnitCode::from_key("n").expect("a stored unit")),
        source: None,
        old: None,
        note: None,
    }
    .into()
}

fn gas_part(one: &Value, photo: Option<EntryId>) -> Body {
    let kind = match text(one, "part") {
        Some("main orifice") => GasPartKind::MainOrifice,
        Some("regulator spring") => GasPartKind::RegulatorSpring,
        _ => GasPartKind::ConversionLabel,
    };
    let for_gas = match text(one, "for_gas") {
        Some("LP") => Gas::Lp,
        Some("natural") => Gas::Natural,
        _ => Gas::NotKnown,
    };
    GasPart {
        part: kind,
        marking: words(one, "marking").unwrap_or_default(),
        count: one["count"].as_u64().and_then(|n| u16::try_from(n).ok()).unwrap_or_default(),
        for_gas,
        phase: text(one, "phase").and_then(Phase::from_key).unwrap_or(Phase::Spot),
        photo,
        note: words(one, "note"),
    }
    .into()
}

fn photo(one: &Value) -> Body {
    Photo {
        hash: words(one, "hash").unwrap_or_default().into_bytes(),
        subject: words(one, "subject").unwrap_or_default(),
        phase: None,
        size: None,
        of: None,
        small: None,
    }
    .into()
}

fn check(one: &Value) -> Result<Body, StoryWrong> {
    let item = text(one, "item").and_then(CheckItem::from_key);
    let result = text(one, "result").and_then(CheckResult::from_key);
    let lacks = || StoryWrong::Lacks(format!("the check {}", one["id"]));
    let note = words(one, "note").filter(|note| !note.starts_with("K-7"));
    let body = Check {
        item: item.ok_or_else(lacks)?,
        result: result.ok_or_else(lacks)?,
        note,
        corrects: None,
    };
    Ok(body.into())
}
