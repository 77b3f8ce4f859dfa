//! What an entry of a unit's own document, of a site or of the company says.

use super::Sayer;
use super::entry::bracketed;
use crate::text::Text;
use crate::tongue::{Tongue, say};
use client_core::present::say::Names as _;
use client_core::record::body::{Ack, Body, Tag, Target};
use client_core::record::code;
use client_core::record::field::{Field, FieldValue, Holds, WordList};

impl Sayer<'_> {
    pub(super) fn about_unit(&self, body: &Body) -> Text {
        let tongue = self.tongue;
        match body {
            Body::Advisory(of) => {
                let due =
                    of.due.map(|due| Text::words(say!(tongue, "entry-due", day = tongue.day(due))));
                let head = bracketed(Text::words(tongue.word(of.severity)), vec![due]);
                self.with(head, Some(&of.text))
            }
            Body::Ack(of) => self.ack(of),
            Body::Closing(of) => {
                self.with(Text::words(tongue.plain("entry-closing")), Some(&of.text))
            }
            Body::Tag(of) => self.tag(of),
            Body::Release(of) => {
                let licence = of.licence.as_ref().map(Text::name);
                let head = Text::words(tongue.plain("entry-release"));
                self.with(bracketed(head, vec![licence]), Some(&of.proof))
            }
            Body::Question(of) => {
                let to = of.to.as_ref().map(|to| tongue.quoted(to));
                let head = Text::words(tongue.plain("entry-question"));
                self.with(bracketed(head, vec![to]), Some(&of.asked))
            }
            Body::Answer(of) => {
                let day = of.day.map(|day| Text::words(tongue.day(day)));
                let from = of.from.as_ref().map(|from| tongue.quoted(from));
                let source = Some(Text::words(tongue.word(of.source)));
                let head = Text::words(tongue.plain("entry-answer"));
                self.with(bracketed(head, vec![source, from, day]), Some(&of.text))
            }
            Body::Target(of) => self.target(of),
            Body::Event(of) => {
                let day = of.day.map(|day| match of.month_only {
                    Some(true) => Text::words(tongue.month(day)),
                    _ => Text::words(tongue.day(day)),
                });
                let by = of.by_whom.as_ref().map(|by| tongue.quoted(by));
                let key = format!("event-{}", of.kind);
                let head = match tongue.knows(&key) {
                    true => Text::words(tongue.plain(&key)),
                    false => tongue.quoted(&of.kind),
                };
                self.with(bracketed(head, vec![day, by]), Some(&of.text))
            }
            other => self.of_site(other),
        }
    }

    fn of_site(&self, body: &Body) -> Text {
        let tongue = self.tongue;
        match body {
            Body::Area(of) => tongue.phrase("entry-area").name("label", &of.label).said(),
            Body::Position(of) => tongue.phrase("entry-position").name("label", &of.label).said(),
            Body::Roster(of) => tongue.phrase("entry-roster").name("unit", &of.unit_no).said(),
            Body::Member(of) => {
                let person = of.person.map(|person| Text::name(self.book.person(person)));
                let words = of.text.as_ref().map(|text| tongue.quoted(text));
                let key = format!("member-{}", of.set);
                let head = match tongue.knows(&key) {
                    true => Text::words(tongue.plain(&key)),
                    false => tongue.quoted(&of.set),
                };
                bracketed(head, vec![words, person])
            }
            Body::Instrument(of) => {
                let serial = of.serial.as_ref();
                let serial =
                    serial.map(|own| tongue.phrase("entry-serial").name("number", own).said());
                let kind = Some(Text::words(tongue.word(of.kind)));
                bracketed(Text::name(&of.label), vec![kind, serial])
            }
            Body::Calibration(of) => {
                let due =
                    of.due.map(|due| Text::words(say!(tongue, "entry-due", day = tongue.day(due))));
                let head = tongue
                    .phrase("entry-calibration")
                    .name("instrument", &self.book.entry_or_short(of.instrument))
                    .with("day", tongue.day(of.done))
                    .said();
                self.with(bracketed(head, vec![due]), of.result.as_deref())
            }
            Body::Bump(of) => {
                let head = tongue
                    .phrase("entry-bump")
                    .name("instrument", &self.book.entry_or_short(of.instrument))
                    .typed("with", &of.with)
                    .said();
                self.with(head, Some(&of.result))
            }
            Body::CatalogueLine(of) => {
                tongue.phrase("entry-catalogue").name("part", &of.part).said()
            }
            _ => Text::words(tongue.plain("entry-other")),
        }
    }

    /// What a shut-down record says.
    pub fn tag(&self, of: &Tag) -> Text {
        let tongue = self.tongue;
        let isolations = of.isolations.iter().map(|point| tongue.quoted(point));
        let isolations = match of.isolations.is_empty() {
            true => Text::words(tongue.plain("tag-no_isolation")),
            false => {
                tongue.phrase("tag-isolated").text("points", Text::join(isolations, ", ")).said()
            }
        };
        let told = match &of.customer_told {
            Some(told) => tongue.phrase("tag-told").typed("told", told).said(),
            None => Text::words(tongue.plain("tag-not_told")),
        };
        let when = of.release_when.as_ref();
        let when = when.map(|when| tongue.phrase("tag-release_when").typed("when", when).said());
        let head = tongue.phrase("entry-tag").typed("reason", &of.reason).said();
        Text::join([Some(head), Some(isolations), Some(told), when].into_iter().flatten(), "; ")
    }

    /// What an acknowledgement says.
    pub fn ack(&self, of: &Ack) -> Text {
        let tongue = self.tongue;
        let told = match of.told_person {
            Some(person) => Text::name(self.book.person(person)),
            None => tongue.quoted(&of.told),
        };
        let how = tongue.word(of.how);
        let head = match of.acknowledged {
            true => tongue.phrase("entry-ack").text("told", told).with("how", how).said(),
            false => tongue.phrase("entry-ack_refused").text("told", told).with("how", how).said(),
        };
        let decided = match (of.decided_person, &of.decided_by) {
            (Some(person), _) => Some(Text::name(self.book.person(person))),
            (None, Some(by)) => Some(tongue.quoted(by)),
            (None, None) => None,
        };
        // Nobody has decided yet: that is said where the advice stands.
        let decision = of.decision.filter(|own| *own != code::Decision::Open);
        let decision = decision.map(|decision| match decided {
            Some(by) => tongue
                .phrase("entry-decided")
                .with("decision", tongue.word(decision))
                .text("by", by)
                .said(),
            None => Text::words(say!(tongue, "entry-decision", decision = tongue.word(decision))),
        });
        let until = of.deferred_to;
        let until =
            until.map(|day| Text::words(say!(tongue, "entry-until", day = tongue.day(day))));
        let tail = [Some(head), decision, until].into_iter().flatten();
        self.with(Text::join(tail, "; "), of.text.as_deref())
    }

    /// A target with its source.
    pub fn target(&self, of: &Target) -> Text {
        let tongue = self.tongue;
        let day = of.valid_from;
        let head = tongue
            .phrase("entry-target")
            .with("what", tongue.word(of.quantity))
            .with("band", self.band(of.least, of.most, of.aim))
            .said();
        bracketed(
            head,
            vec![
                (of.air_free == Some(true)).then(|| Text::words(tongue.plain("entry-air_free"))),
                of.stage.map(|stage| Text::words(tongue.word(stage))),
                of.gas.map(|gas| Text::words(tongue.word(gas))),
                Some(Text::words(tongue.word(of.source))),
                day.map(|day| Text::words(say!(tongue, "entry-from_day", day = tongue.day(day)))),
                of.page.as_ref().map(|page| tongue.quoted(page)),
            ],
        )
    }

    /// A register's value.
    pub fn value(&self, field: &Field, value: &FieldValue) -> Text {
        let tongue = self.tongue;
        match value {
            FieldValue::Text(text) => tongue.quoted(text),
            FieldValue::Figure(figure) => Text::words(tongue.figure(*figure)),
            FieldValue::Word(code) => Text::words(word(tongue, field, *code)),
            FieldValue::Day(day) => Text::words(tongue.day(*day)),
            FieldValue::Person(person) => Text::name(self.book.person(*person)),
            FieldValue::Entry(entry) => Text::name(self.book.entry_or_short(*entry)),
            FieldValue::Appliance(appliance) => Text::name(self.book.unit(*appliance)),
            FieldValue::Flag(true) => Text::words(tongue.plain("yes")),
            FieldValue::Flag(false) => Text::words(tongue.plain("no")),
        }
    }
}

fn word(tongue: Tongue, field: &Field, number: u16) -> String {
    let Holds::Word(list) = field.def.holds else { return tongue.plain("newer-word") };
    match list {
        WordList::Status => tongue.word(code::Status::from_code(number)),
        WordList::Gas => tongue.word(code::Gas::from_code(number)),
        WordList::Family => tongue.word(code::Family::from_code(number)),
        WordList::Severity => tongue.word(code::AdvisorySeverity::from_code(number)),
        WordList::Vent => tongue.word(code::VentCategory::from_code(number)),
        WordList::Mount => tongue.word(code::Mount::from_code(number)),
        WordList::Outcome => tongue.word(code::Outcome::from_code(number)),
        WordList::VisitKind => tongue.word(code::VisitKind::from_code(number)),
        WordList::QuestionState => tongue.word(code::QuestionState::from_code(number)),
        WordList::Role => tongue.word(code::Role::from_code(number)),
        WordList::Root => tongue.word(code::Root::from_code(number)),
        WordList::Decision => tongue.word(code::Decision::from_code(number)),
    }
}
