//! What an entry says, in one line of words.

use super::say::{Say, short};
use crate::record::body::{
    Ack, Advisory, Body, Condition, Finding, GasPart, Lock, Member, Part, Reading, Target, Work,
};
use crate::record::code::{LockState, Method, Phase, System};
use crate::record::value::Figure;

/// Words joined by a comma, empty ones left out.
pub fn joined(parts: impl IntoIterator<Item = Option<String>>) -> String {
    parts.into_iter().flatten().filter(|part| !part.is_empty()).collect::<Vec<_>>().join(", ")
}

/// The state of the unit while a reading was taken.
pub fn condition(of: &Condition) -> String {
    joined([
        of.stage.map(|stage| stage.says().to_owned()),
        of.fan.map(|fan| format!("fan {}", fan.says())),
        of.panel.map(|panel| format!("panels {}", panel.says())),
        of.others.map(|others| format!("other units {}", others.says())),
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
                format!("{}: {}{note}", of.item.says(), of.result.says())
            }
            Body::Finding(of) => finding(of),
            Body::Work(of) => work(of),
            Body::Adjustment(of) => {
                let before =
                    of.before.map_or_else(|| "not read".to_owned(), |own| self.figure(own));
                let note = of.note.as_ref().map(|note| format!(" ({note})")).unwrap_or_default();
                format!(
                    "{} set from {before} to {}{note}",
                    of.quantity.says(),
                    self.figure(of.after)
                )
            }
            Body::GasPart(of) => gas_part(of),
            Body::Part(of) => part(of),
            Body::Photo(of) => {
                let hash = hex(&of.hash[..of.hash.len().min(4)]);
                format!("photo of {} ({hash})", of.subject)
            }
            Body::Symptom(of) => with(&symptom(&of.symptom), of.text.as_deref()),
            Body::Tested(of) => {
                with(&format!("{}: {}", test(&of.test), of.outcome), of.note.as_deref())
            }
            Body::Claim(of) => {
                if of.here {
                    "works here".to_owned()
                } else {
                    "left the unit".to_owned()
                }
            }
            Body::Labour(of) => with(
                &format!("{} min {}, {}", of.minutes, of.kind.says(), self.names.person(of.person)),
                of.note.as_deref(),
            ),
            Body::Crew(of) => format!("{} {}", self.names.person(of.person), of.event.says()),
            other => self.rest(other),
        }
    }

    /// Entries about a visit as a whole, dangers, and the building.
    fn rest(&self, body: &Body) -> String {
        match body {
            Body::SignOff(of) => {
                let text = format!("signed as {}, {} documents", of.role.says(), of.docs.len());
                with(&text, of.statement.as_deref())
            }
            Body::Reopen(of) => with("opened again", Some(&of.reason)),
            Body::Exception(of) => with(&format!("excepted {}", of.blocker), Some(&of.reason)),
            Body::Query(of) => {
                let unit = of.appliance.map(|unit| format!("{}: ", self.names.unit(unit)));
                let to = of.to.map(|to| format!(" (to {})", self.names.person(to)));
                format!("{}{}{}", unit.unwrap_or_default(), of.text, to.unwrap_or_default())
            }
            Body::Reply(of) => with(&format!("reply to {}", short(of.query)), Some(&of.text)),
            Body::Advisory(of) => advisory(of),
            Body::Ack(of) => ack(of),
            Body::Closing(of) => with(&format!("closes {}", short(of.advisory)), Some(&of.text)),
            Body::Tag(of) => {
                let told = match &of.customer_told {
                    Some(told) => format!("told {told}"),
                    None => "nobody at the customer's told yet".to_owned(),
                };
                let isolations = of.isolations.join(", ");
                let when = of.release_when.as_ref().map(|when| format!("release when {when}"));
                let tail = joined([Some(isolations), Some(told), when]);
                format!("shut down: {}; {tail}", of.reason)
            }
            Body::Release(of) => with(&format!("released {}", short(of.tag)), Some(&of.proof)),
            Body::Lock(of) => lock(of),
            Body::Question(of) => with(
                "asked the manufacturer",
                Some(&joined([of.to.clone(), Some(of.asked.clone())])),
            ),
            Body::Answer(of) => with(&format!("answer, {}", of.source.says()), Some(&of.text)),
            Body::Target(of) => self.target(of),
            Body::Event(of) => {
                let day = of.day.map(|day| format!(" {day}")).unwrap_or_default();
                with(&format!("{}{day}", of.kind.replace('_', " ")), Some(&of.text))
            }
            Body::Area(of) => format!("area {}", of.label),
            Body::Position(of) => format!("position {}", of.label),
            Body::Roster(of) => format!("on the roster as {}", of.unit_no),
            Body::Member(of) => self.member(of),
            other => self.about_entries(other),
        }
    }

    /// Instruments, the catalogue, and entries about other entries.
    fn about_entries(&self, body: &Body) -> String {
        match body {
            Body::Instrument(of) => {
                let serial = of.serial.as_ref().map(|serial| format!("serial {serial}"));
                joined([Some(of.label.clone()), Some(of.kind.says().to_owned()), serial])
            }
            Body::Calibration(of) => {
                let due = of.due.map(|due| format!("due {due}"));
                let done = format!("{} calibrated {}", self.entry(of.instrument), of.done);
                joined([Some(done), due, of.by_whom.clone(), of.result.clone()])
            }
            Body::Bump(of) => {
                format!("{} tried with {}: {}", self.entry(of.instrument), of.with, of.result)
            }
            Body::CatalogueLine(of) => {
                let code = of.code.as_ref().map(|code| format!("code {code}"));
                joined([Some(of.part.clone()), code, of.counted_in.clone()])
            }
            Body::Note(of) => format!("note on {}", of.subject),
            Body::Void(of) => with(&format!("withdrew {}", short(of.entry)), Some(&of.reason)),
            Body::Settlement(of) => with(&format!("settled {}", of.what), Some(&of.reason)),
            Body::TextRead(of) => {
                with(&format!("read note {}", short(of.note)), of.reason.as_deref())
            }
            Body::DoubleMark(of) => {
                let are = if of.same { "are one event" } else { "are two events" };
                let (keep, other) = (short(of.keep), short(of.other));
                with(&format!("{keep} and {other} {are}"), Some(&of.reason))
            }
            Body::Repoint(of) => {
                let (from, to) = (self.names.unit(of.from), self.names.unit(of.to));
                with(&format!("entries of {from} belong to {to}"), Some(&of.reason))
            }
            Body::Vouch(of) => {
                let session: String = of.actor.to_string().chars().take(6).collect();
                with(&format!("answers for {session} up to {}", of.up_to), Some(&of.reason))
            }
            _ => body.kind().root().replace('_', " "),
        }
    }

    fn reading(&self, of: &Reading) -> String {
        let usual = of.quantity.kind().map_or("", |kind| kind.point);
        let point = of.point.as_ref().filter(|point| *point != usual).cloned();
        let steady = of.steady_min.map(|minutes| format!("{minutes} min steady"));
        let early = (of.early == Some(true)).then(|| "early".to_owned());
        let method = of.method.filter(|method| *method != Method::Measured);
        let fuel = of.fuel_set.as_ref().map(|fuel| format!("instrument set to {fuel}"));
        let why = of.why_unusual.as_ref().map(|why| format!("unusual: {why}"));
        let corrected = of.why_corrected.as_ref().map(|why| format!("corrected: {why}"));
        let tail = joined([
            point,
            of.condition.as_ref().map(condition),
            steady,
            early,
            method.map(|method| method.says().to_owned()),
            fuel,
            why,
            corrected,
            of.note.clone(),
        ]);
        let head = format!("{} {}", of.quantity.says(), self.measured(&of.value));
        if tail.is_empty() { head } else { format!("{head} ({tail})") }
    }

    /// A target with its source.
    pub fn target(&self, of: &Target) -> String {
        let band = self.band(of.least, of.most, of.aim);
        let stage = of.stage.map(|stage| stage.says().to_owned());
        let gas = of.gas.map(|gas| gas.says().to_owned());
        let free = (of.air_free == Some(true)).then(|| "air-free".to_owned());
        let day = of.valid_from.map(|day| format!("from {day}"));
        let tail =
            joined([free, stage, gas, Some(of.source.says().to_owned()), day, of.page.clone()]);
        format!("target {} {band} ({tail})", of.quantity.says())
    }

    /// A band in words: "3.3 to 3.7 in w.c.", "at least 1.0 uA".
    pub fn band(&self, least: Option<Figure>, most: Option<Figure>, aim: Option<Figure>) -> String {
        match (least, most, aim) {
            (_, _, Some(aim)) => self.figure(aim),
            (Some(least), Some(most), None) => {
                format!("{} to {}", self.figure(least), self.figure(most))
            }
            (Some(least), None, None) => format!("at least {}", self.figure(least)),
            (None, Some(most), None) => format!("at most {}", self.figure(most)),
            (None, None, None) => "without a figure".to_owned(),
        }
    }

    fn member(&self, of: &Member) -> String {
        let person = of.person.map(|person| self.names.person(person));
        let about = of.of.map(|entry| format!("at {}", self.entry(entry)));
        let words = joined([of.text.clone(), person, about]);
        format!("{}: {words}", of.set.replace('_', " "))
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

fn finding(of: &Finding) -> String {
    let confidence = of.confidence.map(|own| format!(" ({})", own.says())).unwrap_or_default();
    with(&format!("{}{confidence}", cause(&of.cause)), of.text.as_deref())
}

fn work(of: &Work) -> String {
    let touched: Vec<&str> = of.touched.iter().map(|system: &System| system.says()).collect();
    let minutes = of.minutes.map(|minutes| format!("{minutes} min"));
    let touched = (!touched.is_empty()).then(|| format!("touched {}", touched.join(" and ")));
    let tail = joined([touched, minutes]);
    let head = with(of.kind.says(), of.text.as_deref());
    if tail.is_empty() { head } else { format!("{head} ({tail})") }
}

fn gas_part(of: &GasPart) -> String {
    let phase = if of.phase == Phase::AsFound { "" } else { of.phase.says() };
    let count = format!("{} of them", of.count);
    let tail = joined([
        (of.count != 1).then_some(count),
        Some(format!("for {}", of.for_gas.says())),
        Some(phase.to_owned()),
        of.note.clone(),
    ]);
    format!("{} marked '{}', {tail}", of.part.says(), of.marking)
}

fn part(of: &Part) -> String {
    let old = of.old.as_ref().map(|old| {
        let kept = old.kept.map(|kept| if kept { "kept" } else { "not kept" }.to_owned());
        let words = joined([old.condition.clone(), old.rating.clone(), kept]);
        if words.is_empty() { "old part out".to_owned() } else { format!("old part {words}") }
    });
    let tail = joined([
        of.number.as_ref().map(|number| format!("no. {number}")),
        of.for_gas.map(|gas| format!("for {}", gas.says())),
        of.rating.clone(),
        of.source.as_ref().map(|source| format!("from {source}")),
        old,
        of.note.clone(),
    ]);
    let head = format!("{} {}", of.quantity.digits, of.part);
    if tail.is_empty() { head } else { format!("{head} ({tail})") }
}

fn advisory(of: &Advisory) -> String {
    let due = of.due.map(|due| format!(" (due {due})")).unwrap_or_default();
    format!("{}: {}{due}", of.severity.says(), of.text)
}

fn ack(of: &Ack) -> String {
    let answer = if of.acknowledged { "acknowledged" } else { "refused to acknowledge" };
    let decision = of.decision.map(|decision| decision.says().to_owned());
    let by = of.decided_by.as_ref().map(|by| format!("decided by {by}"));
    let until = of.deferred_to.map(|day| format!("until {day}"));
    let head = format!("told {} {}, {answer}", of.told, of.how.says());
    joined([Some(head), decision, by, until, of.text.clone()])
}

fn lock(of: &Lock) -> String {
    let number = of.number.as_ref().map(|number| format!(" (lock {number})")).unwrap_or_default();
    let state = if of.state == LockState::On { "locked" } else { "lock off" };
    format!("{state}: {}{number}", of.point)
}
