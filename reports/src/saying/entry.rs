//! What an entry of a visit says, in one line.

use super::Sayer;
use crate::text::Text;
use crate::tongue::say;
use client_core::present::say::{Names as _, short};
use client_core::record::body::{Body, Condition, Finding, GasPart, Part, Reading, Work};
use client_core::record::code::{LockState, Method, Phase};
use client_core::record::value::Figure;

impl Sayer<'_> {
    /// What an entry says. Every kind of entry has words; none is left out.
    pub fn body(&self, body: &Body) -> Text {
        let tongue = self.tongue;
        match body {
            Body::Reading(of) => self.reading(of),
            Body::Check(of) => {
                let head = say!(
                    tongue,
                    "entry-check",
                    item = tongue.word(of.item),
                    result = tongue.word(of.result)
                );
                self.with(Text::words(head), of.note.as_deref())
            }
            Body::Finding(of) => self.finding(of),
            Body::Work(of) => self.work(of),
            Body::Adjustment(of) => {
                let before = match of.before {
                    Some(before) => tongue.figure(before),
                    None => tongue.plain("entry-not_read"),
                };
                let head = say!(
                    tongue,
                    "entry-adjustment",
                    what = tongue.word(of.quantity),
                    before = before,
                    after = tongue.figure(of.after),
                );
                self.with(Text::words(head), of.note.as_deref())
            }
            Body::GasPart(of) => self.gas_part(of),
            Body::Part(of) => self.part(of),
            Body::Photo(of) => tongue
                .phrase("entry-photo")
                .typed("subject", &of.subject)
                .with("hash", client_core::present::words::hex(&of.hash[..of.hash.len().min(4)]))
                .said(),
            Body::Symptom(of) => self.with(tongue.symptom(&of.symptom), of.text.as_deref()),
            // The tables of tests speak English; a reader of another language gets the technician's own words.
            Body::Tested(of) => {
                let head = client_core::present::words::test(&of.test);
                let head = Text::words(format!("{head}: {}", of.outcome));
                self.with(head, of.note.as_deref())
            }
            Body::Claim(of) => Text::words(match of.here {
                true => tongue.plain("entry-claim_here"),
                false => tongue.plain("entry-claim_left"),
            }),
            Body::Labour(of) => {
                let minutes = usize::try_from(of.minutes).unwrap_or(usize::MAX);
                let head = tongue
                    .phrase("entry-labour")
                    .name("person", &self.book.person(of.person))
                    .with("minutes", minutes)
                    .with("kind", tongue.word(of.kind))
                    .said();
                self.with(head, of.note.as_deref())
            }
            Body::Crew(of) => tongue
                .phrase("entry-crew")
                .name("person", &self.book.person(of.person))
                .with("event", tongue.word(of.event))
                .said(),
            other => self.about_visit(other),
        }
    }

    /// Words, then what a person typed beside them.
    pub(super) fn with(&self, head: Text, typed: Option<&str>) -> Text {
        match typed.filter(|typed| !typed.trim().is_empty()) {
            Some(typed) => {
                head.and(Text::words(self.tongue.plain("colon"))).and(self.tongue.quoted(typed))
            }
            None => head,
        }
    }

    fn reading(&self, of: &Reading) -> Text {
        let tongue = self.tongue;
        let usual = of.quantity.kind().map_or("", |kind| kind.point);
        let point = of.point.as_ref().filter(|point| *point != usual);
        let steady = of.steady_min.map(usize::from);
        let method = of.method.filter(|method| *method != Method::Measured);
        let typed = |key, typed: &Option<String>| {
            typed.as_ref().map(|typed| tongue.phrase(key).typed("text", typed).said())
        };
        let head = Text::words(format!("{}{}", tongue.word(of.quantity), tongue.plain("colon")));
        bracketed(
            head.and(tongue.measured(&of.value)),
            vec![
                Some(Text::words(tongue.word(of.phase))),
                point.map(|point| tongue.quoted(point)),
                of.condition.as_ref().map(|condition| self.condition(condition)),
                steady.map(|minutes| Text::words(say!(tongue, "entry-steady", minutes = minutes))),
                (of.early == Some(true)).then(|| Text::words(tongue.plain("entry-early"))),
                method.map(|method| Text::words(tongue.word(method))),
                typed("entry-fuel_set", &of.fuel_set),
                typed("entry-unusual", &of.why_unusual),
                typed("entry-corrected", &of.why_corrected),
                of.note.as_ref().map(|note| tongue.quoted(note)),
            ],
        )
    }

    /// The state of the unit while a reading was taken.
    pub fn condition(&self, of: &Condition) -> Text {
        let tongue = self.tongue;
        let parts = [
            of.stage.map(|stage| tongue.word(stage)),
            of.fan.map(|on| say!(tongue, "entry-fan", state = tongue.word(on))),
            of.panel.map(|on| say!(tongue, "entry-panels", state = tongue.word(on))),
            of.others.map(|on| say!(tongue, "entry-others", state = tongue.word(on))),
        ];
        let parts: Vec<String> =
            parts.into_iter().flatten().filter(|part| !part.is_empty()).collect();
        Text::words(parts.join(", "))
    }

    fn finding(&self, of: &Finding) -> Text {
        let tongue = self.tongue;
        let confidence = of.confidence.map(|own| Text::words(tongue.word(own)));
        let left = (of.phase == Phase::AsLeft).then(|| Text::words(tongue.word(of.phase)));
        let head = bracketed(tongue.cause(&of.cause), vec![confidence, left]);
        self.with(head, of.text.as_deref())
    }

    fn work(&self, of: &Work) -> Text {
        let tongue = self.tongue;
        let touched: Vec<String> = of.touched.iter().map(|system| tongue.word(*system)).collect();
        let touched = (!touched.is_empty())
            .then(|| Text::words(say!(tongue, "entry-touched", what = tongue.list(&touched))));
        let minutes = of.minutes.map(usize::from);
        let minutes = minutes.map(|own| Text::words(say!(tongue, "entry-minutes", minutes = own)));
        let head = self.with(Text::words(tongue.word(of.kind)), of.text.as_deref());
        bracketed(head, vec![touched, minutes])
    }

    fn gas_part(&self, of: &GasPart) -> Text {
        let tongue = self.tongue;
        let head = tongue
            .phrase("entry-gas_part")
            .with("count", usize::from(of.count))
            .with("part", tongue.word(of.part))
            .typed("marking", &of.marking)
            .with("gas", tongue.word(of.for_gas))
            .with("phase", tongue.word(of.phase))
            .said();
        self.with(head, of.note.as_deref())
    }

    /// A part line without its story.
    pub fn part_name(&self, of: &Part) -> Text {
        Text::words(self.tongue.digits(of.quantity).0)
            .and(Text::words(" \u{d7} "))
            .and(Text::name(&of.part))
    }

    fn part(&self, of: &Part) -> Text {
        let tongue = self.tongue;
        let named = |key, typed: &Option<String>| {
            typed.as_ref().map(|typed| tongue.phrase(key).name("text", typed).said())
        };
        let old = of.old.as_ref().map(|old| {
            let kept = old.kept.map(|kept| match kept {
                true => Text::words(tongue.plain("entry-kept")),
                false => Text::words(tongue.plain("entry-not_kept")),
            });
            let words = |typed: &Option<String>| typed.as_ref().map(|typed| tongue.quoted(typed));
            let story = [words(&old.condition), words(&old.rating), kept];
            let story = Text::join(story.into_iter().flatten(), ", ");
            tongue.phrase("entry-old_part").text("story", story).said()
        });
        bracketed(
            self.part_name(of),
            vec![
                named("entry-part_number", &of.number),
                of.for_gas
                    .map(|gas| Text::words(say!(tongue, "entry-for_gas", gas = tongue.word(gas)))),
                of.rating.as_ref().map(Text::name),
                named("entry-part_source", &of.source),
                old,
                of.note.as_ref().map(|note| tongue.quoted(note)),
            ],
        )
    }

    fn about_visit(&self, body: &Body) -> Text {
        let tongue = self.tongue;
        match body {
            Body::SignOff(of) => {
                let role = tongue.word(of.role);
                let head = say!(tongue, "entry-sign_off", role = role, count = of.docs.len());
                self.with(Text::words(head), of.statement.as_deref())
            }
            Body::Reopen(of) => {
                self.with(Text::words(tongue.plain("entry-reopened")), Some(&of.reason))
            }
            Body::Exception(of) => {
                self.with(Text::words(tongue.plain("entry-exception")), Some(&of.reason))
            }
            Body::Query(of) => {
                let to = of.to.map(|to| self.book.person(to));
                let head = match to {
                    Some(to) => tongue.phrase("entry-query_to").name("person", &to).said(),
                    None => Text::words(tongue.plain("entry-query")),
                };
                let unit = of.appliance.map(|unit| Text::name(self.book.unit(unit)));
                self.with(bracketed(head, vec![unit]), Some(&of.text))
            }
            Body::Reply(of) => self.with(Text::words(tongue.plain("entry-reply")), Some(&of.text)),
            Body::Lock(of) => {
                let head = match of.state {
                    LockState::On => {
                        tongue.phrase("entry-lock_on").typed("point", &of.point).said()
                    }
                    _ => tongue.phrase("entry-lock_off").typed("point", &of.point).said(),
                };
                let number = of.number.as_ref();
                let number =
                    number.map(|own| tongue.phrase("entry-lock_number").name("number", own).said());
                bracketed(head, vec![number])
            }
            Body::Void(of) => {
                let head = say!(tongue, "entry-void", entry = short(of.entry));
                self.with(Text::words(head), Some(&of.reason))
            }
            Body::Settlement(of) => {
                self.with(Text::words(tongue.plain("entry-settlement")), Some(&of.reason))
            }
            Body::TextRead(of) => {
                self.with(Text::words(tongue.plain("entry-text_read")), of.reason.as_deref())
            }
            Body::DoubleMark(of) => {
                let head = match of.same {
                    true => tongue.plain("entry-double_one"),
                    false => tongue.plain("entry-double_two"),
                };
                self.with(Text::words(head), Some(&of.reason))
            }
            Body::Repoint(of) => {
                let head = tongue
                    .phrase("entry-repoint")
                    .name("from", &self.book.unit(of.from))
                    .name("to", &self.book.unit(of.to))
                    .said();
                self.with(head, Some(&of.reason))
            }
            Body::Vouch(of) => {
                self.with(Text::words(tongue.plain("entry-vouch")), Some(&of.reason))
            }
            Body::Note(of) => tongue.phrase("entry-note").typed("subject", &of.subject).said(),
            other => self.about_unit(other),
        }
    }

    /// A band in words: "3.3 to 3.7 in w.c.", "at least 1.0 uA".
    pub fn band(&self, least: Option<Figure>, most: Option<Figure>, aim: Option<Figure>) -> String {
        let tongue = self.tongue;
        match (least, most, aim) {
            (None, None, Some(aim)) => tongue.figure(aim),
            (Some(least), Some(most), _) => {
                say!(
                    tongue,
                    "limit-between",
                    low = tongue.digits(least).0,
                    high = tongue.figure(most)
                )
            }
            (Some(least), None, _) => say!(tongue, "limit-at_least", low = tongue.figure(least)),
            (None, Some(most), _) => say!(tongue, "limit-at_most", high = tongue.figure(most)),
            (None, None, None) => tongue.plain("limit-none"),
        }
    }
}

/// Words, then remarks in brackets.
pub(super) fn bracketed(head: Text, parts: Vec<Option<Text>>) -> Text {
    let tail = Text::join(parts.into_iter().flatten(), ", ");
    if tail.is_empty() {
        return head;
    }
    head.and(Text::words(" (")).and(tail).and(Text::words(")"))
}
