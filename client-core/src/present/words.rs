//! What an entry says, in one line of words.

use super::say::{Say, short};
use crate::record::body::{
    Ack, Advisory, Body, Condition, Finding, GasPart, Lock, Member, Part, Reading, Tag, Target,
    Tested, Work,
};
use crate::record::code::{LockState, Method, Phase, System};
use crate::record::phrase::Tongue;
use crate::record::value::Figure;

/// Words joined by a comma, empty ones left out.
pub fn joined(parts: impl IntoIterator<Item = Option<String>>) -> String {
    parts.into_iter().flatten().filter(|part| !part.is_empty()).collect::<Vec<_>>().join(", ")
}

/// The state of the unit while a reading was taken.
pub fn condition(of: &Condition, tongue: &dyn Tongue) -> String {
    // A panel that is on is said otherwise than a fan that is on: each is one word of the catalogue.
    let state = |what, says| tongue.word(&format!("{what} {says}")).to_owned();
    joined([
        of.stage.map(|stage| tongue.word(stage.says()).to_owned()),
        of.fan.map(|fan| state("fan", fan.says())),
        of.panel.map(|panel| state("panels", panel.says())),
        of.others.map(|others| state("other units", others.says())),
    ])
}

/// The word of a cause: its name in the fault tables, or the key as it was entered.
pub fn cause(key: &str) -> String {
    let table = crate::fault::table::Table::standard();
    let known = table.cause(key).map(|cause| table[cause].name.to_owned());
    known.unwrap_or_else(|| key.replace('_', " "))
}

/// The word of a symptom.
pub fn symptom(key: &str) -> String {
    let table = crate::fault::table::Table::standard();
    let known = table.symptom(key).map(|symptom| table[symptom].text.to_owned());
    known.unwrap_or_else(|| key.replace('_', " "))
}

/// The words of a test of the fault tables.
pub fn test(key: &str) -> String {
    let table = crate::fault::table::Table::standard();
    let known = table.test(key).map(|test| table[test].name.to_owned());
    known.unwrap_or_else(|| key.replace('_', " "))
}

impl Say<'_> {
    /// What an entry says.
    pub fn body(&self, body: &Body) -> String {
        match body {
            Body::Reading(of) => self.reading(of),
            Body::Check(of) => {
                let note = of.note.as_ref().map(|note| format!(" ({note})")).unwrap_or_default();
                format!("{}: {}{note}", self.t(of.item.says()), self.t(of.result.says()))
            }
            Body::Finding(of) => self.finding(of),
            Body::Work(of) => self.work(of),
            Body::Adjustment(of) => {
                let before =
                    of.before.map_or_else(|| self.t("not read").to_owned(), |own| self.figure(own));
                let note = of.note.as_ref().map(|note| format!(" ({note})")).unwrap_or_default();
                let with = [self.t(of.quantity.says()), &before, &self.figure(of.after)];
                self.fill("{} set from {} to {}", &with) + &note
            }
            Body::GasPart(of) => self.gas_part(of),
            Body::Part(of) => self.part(of),
            Body::Photo(of) => {
                let hash = hex(&of.hash[..of.hash.len().min(4)]);
                self.fill("photo of {}", &[self.t(&of.subject)]) + &format!(" ({hash})")
            }
            Body::Symptom(of) => {
                let known = symptom(&of.symptom);
                with(self.t(&known), of.text.as_deref())
            }
            Body::Tested(of) => self.tested(of),
            Body::Claim(of) => {
                self.t(if of.here { "works here" } else { "left the unit" }).to_owned()
            }
            Body::Labour(of) => {
                let minutes = of.minutes.to_string();
                let parts = [&*minutes, self.t(of.kind.says()), &*self.names.person(of.person)];
                with(&self.fill("{} min {}, {}", &parts), of.note.as_deref())
            }
            Body::Crew(of) => {
                format!("{} {}", self.names.person(of.person), self.t(of.event.says()))
            }
            other => self.rest(other),
        }
    }

    /// Entries about a visit as a whole, dangers, and the building.
    fn rest(&self, body: &Body) -> String {
        match body {
            Body::SignOff(of) => {
                let docs = of.docs.len().to_string();
                let text =
                    self.fill("signed as {}, {} documents", &[self.t(of.role.says()), &docs]);
                with(&text, of.statement.as_deref())
            }
            Body::Reopen(of) => with(self.t("opened again"), Some(&of.reason)),
            Body::Exception(of) => {
                with(&self.fill("excepted {}", &[&of.blocker]), Some(&of.reason))
            }
            Body::Query(of) => {
                let unit = of.appliance.map(|unit| format!("{}: ", self.names.unit(unit)));
                let to =
                    of.to.map(|to| format!(" {}", self.fill("(to {})", &[&self.names.person(to)])));
                format!("{}{}{}", unit.unwrap_or_default(), of.text, to.unwrap_or_default())
            }
            Body::Reply(of) => with(&self.fill("reply to {}", &[&short(of.query)]), Some(&of.text)),
            Body::Advisory(of) => self.advisory(of),
            Body::Ack(of) => self.ack(of),
            Body::Closing(of) => {
                with(&self.fill("closes {}", &[&short(of.advisory)]), Some(&of.text))
            }
            Body::Tag(of) => self.tag(of),
            Body::Release(of) => {
                with(&self.fill("released {}", &[&short(of.tag)]), Some(&of.proof))
            }
            Body::Lock(of) => self.lock(of),
            Body::Question(of) => with(
                self.t("asked the manufacturer"),
                Some(&joined([of.to.clone(), Some(of.asked.clone())])),
            ),
            Body::Answer(of) => {
                with(&self.fill("answer, {}", &[self.t(of.source.says())]), Some(&of.text))
            }
            Body::Target(of) => self.target(of),
            Body::Event(of) => {
                let day = of.day.map(|day| format!(" {day}")).unwrap_or_default();
                let kind = of.kind.replace('_', " ");
                with(&format!("{}{day}", self.t(&kind)), Some(&of.text))
            }
            Body::Area(of) => self.fill("area {}", &[&of.label]),
            Body::Position(of) => self.fill("position {}", &[&of.label]),
            Body::Roster(of) => self.fill("on the roster as {}", &[&of.unit_no]),
            Body::Member(of) => self.member(of),
            other => self.about_entries(other),
        }
    }

    /// Instruments, the catalogue, and entries about other entries.
    fn about_entries(&self, body: &Body) -> String {
        match body {
            Body::Instrument(of) => {
                let serial = of.serial.as_ref().map(|serial| self.fill("serial {}", &[serial]));
                joined([Some(of.label.clone()), Some(self.t(of.kind.says()).to_owned()), serial])
            }
            Body::Calibration(of) => {
                let due = of.due.map(|due| self.fill("due {}", &[&due.to_string()]));
                let parts = [&*self.entry(of.instrument), &*of.done.to_string()];
                let done = self.fill("{} calibrated {}", &parts);
                joined([Some(done), due, of.by_whom.clone(), of.result.clone()])
            }
            Body::Bump(of) => {
                let parts = [&*self.entry(of.instrument), self.t(&of.with), self.t(&of.result)];
                self.fill("{} tried with {}: {}", &parts)
            }
            Body::CatalogueLine(of) => {
                let code = of.code.as_ref().map(|code| self.fill("code {}", &[code]));
                joined([Some(of.part.clone()), code, of.counted_in.clone()])
            }
            Body::Note(of) => self.fill("note on {}", &[&of.subject]),
            Body::Void(of) => {
                with(&self.fill("withdrew {}", &[&short(of.entry)]), Some(&of.reason))
            }
            Body::Settlement(of) => with(&self.fill("settled {}", &[&of.what]), Some(&of.reason)),
            Body::TextRead(of) => {
                with(&self.fill("read note {}", &[&short(of.note)]), of.reason.as_deref())
            }
            Body::DoubleMark(of) => {
                let words =
                    if of.same { "{} and {} are one event" } else { "{} and {} are two events" };
                let text = self.fill(words, &[&short(of.keep), &short(of.other)]);
                with(&text, Some(&of.reason))
            }
            Body::Repoint(of) => {
                let (from, to) = (self.names.unit(of.from), self.names.unit(of.to));
                with(&self.fill("entries of {} belong to {}", &[&from, &to]), Some(&of.reason))
            }
            Body::Vouch(of) => {
                let session: String = of.actor.to_string().chars().take(6).collect();
                let parts = [&*session, &*of.up_to.to_string()];
                with(&self.fill("answers for {} up to {}", &parts), Some(&of.reason))
            }
            _ => self.t(&body.kind().root().replace('_', " ")).to_owned(),
        }
    }

    fn reading(&self, of: &Reading) -> String {
        let usual = of.quantity.kind().map_or("", |kind| kind.point);
        let point = of.point.as_ref().filter(|point| *point != usual);
        let steady = of.steady_min.map(|own| self.fill("{} min steady", &[&own.to_string()]));
        let early = (of.early == Some(true)).then(|| self.t("early").to_owned());
        let method = of.method.filter(|method| *method != Method::Measured);
        let fuel = of.fuel_set.as_ref().map(|fuel| self.fill("instrument set to {}", &[fuel]));
        let why =
            |words, why: &Option<String>| why.as_ref().map(|why| self.fill(words, &[self.t(why)]));
        let tail = joined([
            point.map(|point| self.t(point).to_owned()),
            of.condition.as_ref().map(|own| condition(own, self.names.tongue())),
            steady,
            early,
            method.map(|method| self.t(method.says()).to_owned()),
            fuel,
            why("unusual: {}", &of.why_unusual),
            why("corrected: {}", &of.why_corrected),
            of.note.clone(),
        ]);
        let head = format!("{} {}", self.t(of.quantity.says()), self.measured(&of.value));
        if tail.is_empty() { head } else { format!("{head} ({tail})") }
    }

    /// A target with its source.
    pub fn target(&self, of: &Target) -> String {
        let band = self.band(of.least, of.most, of.aim);
        let stage = of.stage.map(|stage| self.t(stage.says()).to_owned());
        let gas = of.gas.map(|gas| self.t(gas.says()).to_owned());
        let free = (of.air_free == Some(true)).then(|| self.t("air-free").to_owned());
        let day = of.valid_from.map(|day| self.fill("from {}", &[&day.to_string()]));
        let source = Some(self.t(of.source.says()).to_owned());
        let tail = joined([free, stage, gas, source, day, of.page.clone()]);
        self.fill("target {} {} ({})", &[self.t(of.quantity.says()), &band, &tail])
    }

    /// A band in words: "3.3 to 3.7 in w.c.", "at least 1.0 uA".
    pub fn band(&self, least: Option<Figure>, most: Option<Figure>, aim: Option<Figure>) -> String {
        match (least, most, aim) {
            (_, _, Some(aim)) => self.figure(aim),
            (Some(least), Some(most), None) => {
                self.fill("{} to {}", &[&self.figure(least), &self.figure(most)])
            }
            (Some(least), None, None) => self.fill("at least {}", &[&self.figure(least)]),
            (None, Some(most), None) => self.fill("at most {}", &[&self.figure(most)]),
            (None, None, None) => self.t("without a figure").to_owned(),
        }
    }

    fn member(&self, of: &Member) -> String {
        let person = of.person.map(|person| self.names.person(person));
        let about = of.of.map(|entry| self.fill("at {}", &[&self.entry(entry)]));
        let words = joined([of.text.clone(), person, about]);
        format!("{}: {words}", self.t(&of.set.replace('_', " ")))
    }

    fn tested(&self, of: &Tested) -> String {
        let name = test(&of.test);
        let outcome = self.names.tongue().result(&of.test, &of.outcome);
        with(&format!("{}: {outcome}", self.t(&name)), of.note.as_deref())
    }

    fn finding(&self, of: &Finding) -> String {
        let known = cause(&of.cause);
        let confidence = of.confidence.map(|own| format!(" ({})", self.t(own.says())));
        let head = format!("{}{}", self.t(&known), confidence.unwrap_or_default());
        with(&head, of.text.as_deref())
    }

    fn work(&self, of: &Work) -> String {
        let touched: Vec<&str> =
            of.touched.iter().map(|system: &System| self.t(system.says())).collect();
        let minutes = of.minutes.map(|minutes| self.fill("{} min", &[&minutes.to_string()]));
        let touched = (!touched.is_empty())
            .then(|| self.fill("touched {}", &[&touched.join(&format!(" {} ", self.t("and")))]));
        let tail = joined([touched, minutes]);
        let head = with(self.t(of.kind.says()), of.text.as_deref());
        if tail.is_empty() { head } else { format!("{head} ({tail})") }
    }

    fn gas_part(&self, of: &GasPart) -> String {
        let phase = if of.phase == Phase::AsFound { "" } else { self.t(of.phase.says()) };
        let count = (of.count != 1).then(|| self.fill("{} of them", &[&of.count.to_string()]));
        let gas = self.fill("for {}", &[self.t(of.for_gas.says())]);
        let tail = joined([count, Some(gas), Some(phase.to_owned()), of.note.clone()]);
        self.fill("{} marked '{}', {}", &[self.t(of.part.says()), &of.marking, &tail])
    }

    fn part(&self, of: &Part) -> String {
        let old = of.old.as_ref().map(|old| {
            let kept = old.kept.map(|kept| self.t(if kept { "kept" } else { "not kept" }));
            let words =
                joined([old.condition.clone(), old.rating.clone(), kept.map(str::to_owned)]);
            if words.is_empty() {
                self.t("old part out").to_owned()
            } else {
                self.fill("old part {}", &[&words])
            }
        });
        let tail = joined([
            of.number.as_ref().map(|number| self.fill("no. {}", &[number])),
            of.for_gas.map(|gas| self.fill("for {}", &[self.t(gas.says())])),
            of.rating.clone(),
            of.source.as_ref().map(|source| self.fill("from {}", &[source])),
            old,
            of.note.clone(),
        ]);
        let head = format!("{} {}", of.quantity.digits, of.part);
        if tail.is_empty() { head } else { format!("{head} ({tail})") }
    }

    fn advisory(&self, of: &Advisory) -> String {
        let due = of.due.map(|due| format!(" {}", self.fill("(due {})", &[&due.to_string()])));
        format!("{}: {}{}", self.t(of.severity.says()), of.text, due.unwrap_or_default())
    }

    fn ack(&self, of: &Ack) -> String {
        let answer =
            self.t(if of.acknowledged { "acknowledged" } else { "refused to acknowledge" });
        let decision = of.decision.map(|decision| self.t(decision.says()).to_owned());
        let by = of.decided_by.as_ref().map(|by| self.fill("decided by {}", &[by]));
        let until = of.deferred_to.map(|day| self.fill("until {}", &[&day.to_string()]));
        let head = self.fill("told {} {}, {}", &[&of.told, self.t(of.how.says()), answer]);
        joined([Some(head), decision, by, until, of.text.clone()])
    }

    fn tag(&self, of: &Tag) -> String {
        let told = match &of.customer_told {
            Some(told) => self.fill("told {}", &[told]),
            None => self.t("nobody at the customer's told yet").to_owned(),
        };
        let isolations: Vec<&str> = of.isolations.iter().map(|own| self.t(own)).collect();
        let when = of.release_when.as_ref().map(|when| self.fill("release when {}", &[when]));
        let tail = joined([Some(isolations.join(", ")), Some(told), when]);
        self.fill("shut down: {}; {}", &[&of.reason, &tail])
    }

    fn lock(&self, of: &Lock) -> String {
        let number =
            of.number.as_ref().map(|number| format!(" {}", self.fill("(lock {})", &[number])));
        let state = self.t(if of.state == LockState::On { "locked" } else { "lock off" });
        format!("{state}: {}{}", of.point, number.unwrap_or_default())
    }
}

/// Bytes as lower-case hexadecimal digits.
pub fn hex(bytes: &[u8]) -> String {
    bytes.iter().fold(String::new(), |text, byte| text + &format!("{byte:02x}"))
}

fn with(head: &str, tail: Option<&str>) -> String {
    match tail.filter(|tail| !tail.trim().is_empty()) {
        Some(tail) => format!("{head}: {tail}"),
        None => head.to_owned(),
    }
}
