//! What the office enters: company, site, appliances, plans, answers.

use client_core::device::Step;
use client_core::exchange::frame::PersonRow;
use client_core::record::action::{Action, Setting};
use client_core::record::body::{
    Answer, Area, Body, Calibration, Event, Instrument, Member, Position, Roster, Target,
};
use client_core::record::code::unit::UnitCode;
use client_core::record::code::{Gas, InstrumentKind, Quantity, Stage, TargetSource};
use client_core::record::doc_id::{DocId, DocKind};
use client_core::record::field::{Field, FieldValue, Of};
use client_core::record::id::{ApplianceId, PersonId, VisitId};
use client_core::record::value::{Day, Figure, Moment};
use client_core::trade::unit::parse;
use serde_json::Value;

use super::player::{Player, StoryWrong, Who, moment};
use super::scenario::{day, number, text};

/// A register set to what a person would type.
pub fn set(key: &str, typed: &str) -> Setting {
    let field = Field::named(key);
    let value = field.parse(typed).expect("the scenario's values fit their registers");
    Setting { field, value, reason: None }
}

fn about(key: &str, of: Of, typed: &str) -> Setting {
    let field = Field::named(key).about(of);
    let value = field.parse(typed).expect("the scenario's values fit their registers");
    Setting { field, value, reason: None }
}

/// A figure as it stands in the file.
pub fn figure(typed: &str, unit: UnitCode) -> Figure {
    Figure { digits: parse(typed).expect("the scenario's numbers are numbers").value, unit }
}

fn lacks(what: &str) -> StoryWrong {
    StoryWrong::Lacks(what.to_owned())
}

impl Player {
    /// The company, the site, its areas, positions and the first fourteen appliances.
    pub fn load_site(&mut self, at: Moment) -> Result<(), StoryWrong> {
        self.people(at)?;
        self.instruments(at)?;
        self.calibrations(Day::parse("2000-01-01").expect("a day"), at.day(), at)?;
        self.site(at)?;
        for unit in self.scenario.list("appliances").to_vec() {
            if text(&unit, "tag") != Some("UH-08B") {
                self.appliance(at, &unit)?;
            }
        }
        Ok(())
    }

    fn people(&mut self, at: Moment) -> Result<(), StoryWrong> {
        let company = self.company_doc();
        for person in self.scenario.list("people").to_vec() {
            let key = text(&person, "id").ok_or_else(|| lacks("a person's id"))?.to_owned();
            let id = match Who::by_key(&key) {
                Some(who) => self.person(who),
                None => PersonId(self.new_id()),
            };
            self.others.insert(key, id);
            let licence = &person["license"];
            let row = PersonRow {
                person: id,
                name: text(&person, "name").map(str::to_owned),
                contact: None,
                licence: text(licence, "number").map(str::to_owned),
            };
            let oriane = self.device(Who::Oriane);
            oriane
                .add_person(&row)
                .map_err(|wrong| StoryWrong::Device { who: "Oriane".to_owned(), wrong })?;
            let mut settings = vec![];
            if let Some(kind) = text(licence, "kind") {
                settings.push(about("person/{}/licence_kind", Of::Person(id), kind));
            }
            if let Some(expires) = text(licence, "expires") {
                settings.push(about("person/{}/licence_expires", Of::Person(id), expires));
            }
            if !settings.is_empty() {
                self.act(Who::Oriane, at, vec![Step::new(company, Action::Set(settings))])?;
            }
        }
        Ok(())
    }

    fn instruments(&mut self, at: Moment) -> Result<(), StoryWrong> {
        let company = self.company_doc();
        for one in self.scenario.list("instruments").to_vec() {
            let label = text(&one, "id").ok_or_else(|| lacks("an instrument's id"))?;
            let kind = match text(&one, "kind").unwrap_or_default() {
                "flue gas analyser" => InstrumentKind::FlueGasAnalyser,
                "digital manometer" => InstrumentKind::Manometer,
                "multimeter, microamp range" => InstrumentKind::Multimeter,
                _ => InstrumentKind::AirProbe,
            };
            let body = Instrument { kind, label: label.to_owned(), serial: None };
            let made = self.enter(Who::Oriane, at, company, vec![body.into()])?;
            self.instruments.insert(label.to_owned(), made[0]);
            if let Some(owner) = text(&one, "owner").and_then(|key| self.person_by_key(key)) {
                let field = Field::named("instrument/{}/owner").about(Of::Entry(made[0]));
                let value = FieldValue::Person(owner);
                let setting = Setting { field, value, reason: None };
                self.act(Who::Oriane, at, vec![Step::new(company, Action::Set(vec![setting]))])?;
            }
        }
        Ok(())
    }

    /// Calibrations done after one day and up to another.
    pub fn calibrations(&mut self, after: Day, upto: Day, at: Moment) -> Result<(), StoryWrong> {
        let company = self.company_doc();
        for one in self.scenario.list("instruments").to_vec() {
            let label = text(&one, "id").ok_or_else(|| lacks("an instrument's id"))?;
            let instrument = self.instruments[label];
            for event in one["calibrations"].as_array().into_iter().flatten() {
                let done = day(event, "done").ok_or_else(|| lacks("a calibration's day"))?;
                if done > after && done <= upto {
                    let due = day(event, "due");
                    let body = Calibration { instrument, done, due, by_whom: None, result: None };
                    self.enter(Who::Oriane, at, company, vec![body.into()])?;
                }
            }
        }
        Ok(())
    }

    fn site(&mut self, at: Moment) -> Result<(), StoryWrong> {
        let doc = self.site_doc();
        let site = self.scenario.at(&["site"]).clone();
        let gas = &site["gas"];
        let of = |value: &Value, name: &str| {
            number(value, name).ok_or_else(|| lacks("a figure of the site"))
        };
        let settings = vec![
            set("customer/name", self.scenario.at(&["customer"]).as_str().unwrap_or_default()),
            set("site/name", text(&site, "name").unwrap_or_default()),
            set("site/town", text(&site, "town").unwrap_or_default()),
            set("site/elevation", &of(&site, "elevation_ft")?),
            set("site/floor_area", &of(&site, "floor_area_ft2")?),
            set("site/gas_kind", text(gas, "kind").unwrap_or_default()),
            set("site/heating_value", &of(gas, "heating_value_btu_scf")?),
            set("site/specific_gravity", &of(gas, "specific_gravity")?),
            set("site/co2_max", &of(gas, "co2_max_pct")?),
            set("site/gas_composition", &gas["composition_mol"].to_string()),
            set("site/meter_dial", "10"),
            set("site/meter_pressure", &of(gas, "meter_psig")?),
            set("site/building_pressure", &of(gas, "building_inlet_in_wc")?),
        ];
        self.act(Who::Oriane, at, vec![Step::new(doc, Action::Set(settings))])?;
        let contact = self.others.get("P-BS").copied();
        let contact = Member {
            set: "contact".to_owned(),
            of: None,
            text: None,
            person: contact,
            replaces: None,
        };
        self.enter(Who::Oriane, at, doc, vec![contact.into()])?;
        for area in self.scenario.list("areas").to_vec() {
            let label = text(&area, "id").ok_or_else(|| lacks("an area's id"))?.to_owned();
            let body = Area { label: label.clone() };
            let made = self.enter(Who::Oriane, at, doc, vec![body.into()])?;
            self.places.insert(label, made[0]);
            let name = text(&area, "name").unwrap_or_default();
            let name = about("area/{}/name", Of::Entry(made[0]), name);
            self.act(Who::Oriane, at, vec![Step::new(doc, Action::Set(vec![name]))])?;
            let members = area["contaminants"].as_array().into_iter().flatten();
            let members: Vec<Body> = members
                .filter_map(Value::as_str)
                .map(|word| {
                    let text = Some(word.to_owned());
                    let set = "contaminant".to_owned();
                    Member { set, of: Some(made[0]), text, person: None, replaces: None }.into()
                })
                .collect();
            self.enter(Who::Oriane, at, doc, members)?;
        }
        Ok(())
    }

    /// One appliance: its position, its place on the roster, its plate.
    pub fn appliance(&mut self, at: Moment, unit: &Value) -> Result<(), StoryWrong> {
        let tag = text(unit, "tag").ok_or_else(|| lacks("a unit no."))?.to_owned();
        let appliance = ApplianceId(self.new_id());
        self.units.insert(tag.clone(), appliance);
        let area = text(unit, "area").and_then(|area| self.places.get(area).copied());
        // The paper label on the column belongs to the position; a successor hangs at the same one.
        let label = tag.trim_end_matches('B').to_owned();
        if !self.places.contains_key(&label) {
            let body = Position { label: label.clone(), area };
            let made = self.enter(Who::Oriane, at, self.site_doc(), vec![body.into()])?;
            self.places.insert(label.clone(), made[0]);
        }
        let roster = Roster { appliance, unit_no: tag.clone() };
        let made = self.enter(Who::Oriane, at, self.site_doc(), vec![roster.into()])?;
        self.entries.insert(format!("roster {tag}"), made[0]);
        let doc = DocId::new(self.site, DocKind::Appliance(appliance));
        let mut settings = self.plate(unit, &tag)?;
        settings.extend(area.map(|area| entry("unit/area", area)));
        settings.push(entry("unit/position", self.places[&label]));
        self.act(Who::Oriane, at, vec![Step::new(doc, Action::Set(settings))])?;
        Ok(())
    }

    fn plate(&self, unit: &Value, tag: &str) -> Result<Vec<Setting>, StoryWrong> {
        let plate = &unit["nameplate"];
        let mut settings = vec![
            set("unit/no", tag),
            set("unit/kind", text(unit, "kind").unwrap_or_default()),
            set("unit/family", text(unit, "family").unwrap_or_default()),
            set("unit/status", "in_service"),
            set("unit/supplied_gas", text(unit, "supplied_gas").unwrap_or_default()),
            set("plate/gas", text(plate, "gas").unwrap_or_default()),
            set("plate/supply", text(plate, "supply").unwrap_or_default()),
        ];
        if let Some(height) = number(unit, "mount_height_ft") {
            settings.push(set("unit/mount_height", &height));
        }
        for (name, key) in PLATE {
            // K-2: nobody had read this plate before the first visit.
            if tag == "UH-06" && *key == "plate/input" {
                continue;
            }
            if let Some(typed) = number(plate, name) {
                settings.push(set(key, &typed));
            }
        }
        Ok(settings)
    }

    /// Plans a visit: kind, day, and who takes which unit.
    pub fn plan(&mut self, at: Moment, visit: &str) -> Result<(), StoryWrong> {
        let id = VisitId(self.new_id());
        self.visits.insert(visit.to_owned(), id);
        let plan = self.scenario.by_id("visits", visit).ok_or_else(|| lacks(visit))?.clone();
        let kind = match text(&plan, "kind") {
            Some("no-heat call") => "no_heat",
            _ => "pre_season",
        };
        let days = text(&plan, "date").unwrap_or_default();
        let (first, last) = days.split_once('/').unwrap_or((days, days));
        let mut settings = vec![
            set("visit/kind", kind),
            set("visit/day", first),
            set("visit/outdoor_temp", &number(&plan, "outdoor_F").unwrap_or_default()),
        ];
        if first != last {
            settings.push(set("visit/last_day", last));
        }
        for (tag, who) in self.takes(visit) {
            let field = Field::named("assign/{}/person").about(Of::Appliance(self.unit(&tag)?));
            let value = FieldValue::Person(self.person(who));
            settings.push(Setting { field, value, reason: None });
        }
        let doc = self.head_doc(visit)?;
        self.act(Who::Oriane, at, vec![Step::new(doc, Action::Set(settings))])?;
        Ok(())
    }

    /// Who takes which unit: whoever reads most there in the scenario.
    fn takes(&self, visit: &str) -> Vec<(String, Who)> {
        let mut counts: std::collections::BTreeMap<String, [usize; 2]> =
            std::collections::BTreeMap::new();
        for reading in self.scenario.of_visit("readings", visit) {
            let by = usize::from(text(reading, "by") == Some("P-DK"));
            if let Some(tag) = text(reading, "appliance") {
                counts.entry(tag.to_owned()).or_default()[by] += 1;
            }
        }
        let who = |[ilse, dov]: [usize; 2]| if dov > ilse { Who::Dov } else { Who::Ilse };
        counts.into_iter().map(|(tag, count)| (tag, who(count))).collect()
    }

    /// The manufacturer's answer to Q-1, and the targets that follow for three units.
    pub fn answer(&mut self, at: Moment) -> Result<(), StoryWrong> {
        let question = self.scenario.by_id("questions", "Q-1").ok_or_else(|| lacks("Q-1"))?.clone();
        let answer = Answer {
            question: self.entry("Q-1")?,
            text: text(&question, "answer").unwrap_or_default().to_owned(),
            source: TargetSource::WrittenAnswer,
            day: Some(at.day()),
            from: text(&question, "answer_source").map(str::to_owned),
        };
        for target in self.scenario.list("targets").to_vec() {
            let tag = text(&target, "appliance").unwrap_or_default().to_owned();
            let targets = targets(&target);
            let doc = self.unit_doc(&tag)?;
            let action = if tag == "UH-07" {
                Action::Answer { answer: answer.clone(), targets }
            } else {
                Action::Enter(targets.into_iter().map(Body::from).collect())
            };
            self.act(Who::Oriane, at, vec![Step::new(doc, action)])?;
        }
        Ok(())
    }

    /// What other hands did to an appliance.
    pub fn event(
        &mut self,
        at: Moment,
        tag: &str,
        kind: &str,
        words: &str,
        month: &str,
    ) -> Result<(), StoryWrong> {
        let event = Event {
            kind: kind.to_owned(),
            text: words.to_owned(),
            day: Day::parse(&format!("{month}-01")).ok(),
            month_only: Some(true),
            by_whom: Some("customer's contractor".to_owned()),
            continues: None,
        };
        let doc = self.unit_doc(tag)?;
        self.enter(Who::Oriane, at, doc, vec![event.into()])?;
        Ok(())
    }

    /// Between the second and the third visit: outside air for UH-05, UH-08 replaced by UH-08B.
    pub fn summer(&mut self) -> Result<(), StoryWrong> {
        let at = moment("2025-03-20T10:00");
        let words = "combustion air ducted from outside; UH-06 left on room air";
        self.event(at, "UH-05", "changed", words, "2025-03")?;
        let at = moment("2025-06-30T10:00");
        self.event(at, "UH-08", "retired", "retired, position filled by UH-08B", "2025-06")?;
        let reason = "taken down by the customer's contractor, replaced by UH-08B";
        let gone = Setting { reason: Some(reason.to_owned()), ..set("unit/status", "removed") };
        let doc = self.unit_doc("UH-08")?;
        self.act(Who::Oriane, at, vec![Step::new(doc, Action::Set(vec![gone]))])?;
        let unit = self.scenario.list("appliances").to_vec();
        let unit = unit.iter().find(|unit| text(unit, "tag") == Some("UH-08B"));
        self.appliance(at, unit.ok_or_else(|| lacks("UH-08B"))?)?;
        self.event(at, "UH-08B", "installed", "installed at the position of UH-08", "2025-06")
    }
}

const PLATE: &[(&str, &str)] = &[
    ("input_mbh", "plate/input"),
    ("manifold_in_wc", "plate/manifold_high"),
    ("manifold_low_in_wc", "plate/manifold_low"),
    ("inlet_min_in_wc", "plate/inlet_min"),
    ("inlet_max_in_wc", "plate/inlet_max"),
    ("valve_max_inlet_in_wc", "plate/valve_max_inlet"),
    ("pilot_pressure_in_wc", "plate/pilot_pressure"),
    ("temp_rise_min_F", "plate/rise_min"),
    ("temp_rise_max_F", "plate/rise_max"),
    ("pressure_switch_in_wc", "plate/pressure_switch"),
    ("flame_current_min_uA", "plate/flame_current_min"),
];

fn entry(key: &str, entry: client_core::record::id::EntryId) -> Setting {
    Setting { field: Field::named(key), value: FieldValue::Entry(entry), reason: None }
}

fn targets(target: &Value) -> Vec<Target> {
    let pct = UnitCode::from_key("pct").expect("a stored unit");
    let ua = UnitCode::from_key("ua").expect("a stored unit");
    let of = |name: &str, unit| number(target, name).map(|typed| figure(&typed, unit));
    let altitude = number(target, "altitude_ft");
    let feet = UnitCode::from_key("ft").expect("a stored unit");
    let one = |quantity, least, most| Target {
        quantity,
        least,
        most,
        aim: None,
        stage: Some(Stage::High),
        gas: Some(Gas::Natural),
        altitude: altitude.as_ref().map(|typed| figure(typed, feet)),
        source: TargetSource::WrittenAnswer,
        valid_from: day(target, "valid_from"),
        page: None,
        answer: None,
        air_free: None,
    };
    vec![
        one(Quantity::FlueCo2, of("co2_min_pct", pct), of("co2_max_pct", pct)),
        one(Quantity::FlueO2, of("o2_min_pct", pct), of("o2_max_pct", pct)),
        one(Quantity::FlameCurrent, of("flame_current_min_uA", ua), None),
    ]
}
