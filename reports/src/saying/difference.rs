//! Two answers laid out in words: what about, what governs, what is next, what each side says.

use super::Sayer;
use crate::difference::{Difference, Says, Side};
use crate::text::Text;
use crate::tongue::say;
use client_core::present::say::Names as _;
use client_core::record::body::Body;
use client_core::record::contradiction::Contradiction;

/// A difference in words.
#[derive(Clone, Debug, PartialEq)]
pub struct About {
    /// What it is about.
    pub what: Text,
    /// What governs until it is settled.
    pub governs: Text,
    /// What settles it.
    pub next: Text,
}

/// What a side says.
pub fn side_says(sayer: &Sayer<'_>, side: &Side) -> Text {
    match &side.says {
        Says::Entry(body) => sayer.body(body),
        Says::Answer(field, value, reason) => {
            let value = sayer.value(field, value);
            sayer.with(value, reason.as_deref())
        }
        Says::Version(text) => sayer.tongue.quoted(text),
    }
}

impl Sayer<'_> {
    /// What a difference is about, what governs, and what is next.
    pub fn about(&self, difference: &Difference) -> About {
        let tongue = self.tongue;
        let key = match &difference.about {
            Contradiction::Field { merged, .. } => match merged.governs() {
                Some(_) => "register",
                None => "register_open",
            },
            Contradiction::Check { .. } => "check",
            Contradiction::Readings { governs: Some(_), .. } => "readings",
            Contradiction::Readings { governs: None, .. } => "readings_open",
            Contradiction::Text { .. } => "text",
            Contradiction::Double { .. } => "double",
            Contradiction::RemovedWithEvidence { .. } => "removed",
            Contradiction::Late { .. } => "late",
            Contradiction::Clock { .. } => "clock",
            Contradiction::Release { .. } => "release",
            Contradiction::Lock { .. } => "lock",
        };
        About {
            what: self.what(difference),
            governs: Text::words(tongue.plain(&format!("governs-{key}"))),
            next: Text::words(tongue.plain(&format!("next-{key}"))),
        }
    }

    fn what(&self, difference: &Difference) -> Text {
        let tongue = self.tongue;
        let words = match &difference.about {
            Contradiction::Field { field, .. } => {
                say!(tongue, "about-register", field = tongue.field(field))
            }
            Contradiction::Check { item, .. } => {
                say!(tongue, "about-check", item = tongue.word(*item))
            }
            Contradiction::Readings { quantity, phase, .. } => say!(
                tongue,
                "about-readings",
                quantity = tongue.word(*quantity),
                phase = tongue.word(*phase)
            ),
            Contradiction::Text { .. } => tongue.plain("about-text"),
            Contradiction::Double { .. } => tongue.plain("about-double"),
            Contradiction::RemovedWithEvidence { entries, .. } => {
                say!(tongue, "about-removed", count = *entries)
            }
            Contradiction::Late { entries, .. } => {
                say!(tongue, "about-late", count = entries.len())
            }
            Contradiction::Clock { person, ahead_s } => {
                let minutes = usize::try_from(ahead_s.unsigned_abs().div_ceil(60));
                let key = if *ahead_s < 0 { "about-clock_behind" } else { "about-clock_ahead" };
                return tongue
                    .phrase(key)
                    .name("person", &self.book.person(*person))
                    .with("minutes", minutes.unwrap_or(usize::MAX))
                    .said();
            }
            Contradiction::Release { .. } => tongue.plain("about-release"),
            Contradiction::Lock { .. } => tongue.plain("about-lock"),
        };
        Text::words(words)
    }

    /// How a difference ended: who, when, and their words. None while it is open.
    pub fn ended(&self, difference: &Difference) -> Option<Text> {
        let tongue = self.tongue;
        let settled = difference.settled.as_ref()?;
        let value = settled.value.as_ref().map(|(field, value)| self.value(field, value));
        let says = match (&settled.body, value) {
            (Body::Settlement(of), Some(value)) => self.with(value, Some(&of.reason)),
            (body, _) => self.body(body),
        };
        let head = tongue
            .phrase("difference-settled")
            .name("person", &self.book.person(settled.person))
            .with("at", tongue.moment(settled.at))
            .text("says", says)
            .said();
        Some(head)
    }

    /// Person, instrument and time of a side.
    pub fn side_who(&self, side: &Side) -> (Text, Text, Text) {
        let tongue = self.tongue;
        let person = match side.person {
            Some(person) => Text::name(self.book.person(person)),
            None => Text::words(tongue.plain("side-person_unknown")),
        };
        let at = match (side.at, side.after) {
            (Some(at), false) => Text::words(tongue.moment(at)),
            (Some(at), true) => Text::words(say!(tongue, "side-after", at = tongue.moment(at))),
            (None, _) => Text::words(tongue.plain("side-no_time")),
        };
        let with = match side.instrument {
            Some(instrument) => Text::name(self.book.entry_or_short(instrument)),
            None => Text::words(tongue.plain("side-no_instrument")),
        };
        (person, at, with)
    }
}
