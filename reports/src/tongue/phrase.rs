//! Sentences with arguments. What a person typed stays apart from the words around it.

use fluent_bundle::{FluentArgs, FluentValue};

use super::{Tongue, bundle};
use crate::text::Text;
use client_core::present::plain;

/// Says a message with arguments: `say!(tongue, "key", count = 3, name = name)`. Arguments are words and
/// counts; what a person typed goes through [`Phrase`].
macro_rules! say {
    ($tongue:expr, $key:literal $(, $name:ident = $value:expr)+ $(,)?) => {
        $tongue.phrase($key)$(.with(stringify!($name), $value))+.words()
    };
    ($tongue:expr, $key:literal) => { $tongue.plain($key) };
}
pub(crate) use say;

/// An argument of a sentence.
#[derive(Clone, Debug)]
pub enum Argument {
    /// Words of our own, or a number already written.
    Words(String),
    /// A count, which may choose between singular and plural.
    Count(i64),
}

impl From<String> for Argument {
    fn from(words: String) -> Argument {
        Argument::Words(words)
    }
}

impl From<&str> for Argument {
    fn from(words: &str) -> Argument {
        Argument::Words(words.to_owned())
    }
}

impl From<usize> for Argument {
    fn from(count: usize) -> Argument {
        Argument::Count(i64::try_from(count).unwrap_or(i64::MAX))
    }
}

/// Brackets round the place of a text in a formatted sentence. They are characters for private use, which
/// no sentence of ours holds, and which are taken out of everything that comes in.
const OPEN: char = '\u{e000}';
const CLOSE: char = '\u{e001}';

/// A sentence in the making.
#[derive(Debug)]
pub struct Phrase {
    tongue: Tongue,
    key: &'static str,
    args: FluentArgs<'static>,
    inserts: Vec<Text>,
}

impl Phrase {
    pub(super) fn new(tongue: Tongue, key: &'static str) -> Phrase {
        Phrase { tongue, key, args: FluentArgs::new(), inserts: vec![] }
    }

    /// With words or a count.
    #[must_use]
    pub fn with(mut self, name: &'static str, value: impl Into<Argument>) -> Phrase {
        let value = match value.into() {
            Argument::Words(words) => FluentValue::from(without_brackets(&words)),
            Argument::Count(count) => FluentValue::from(count),
        };
        self.args.set(name, value);
        self
    }

    /// With a text that stays apart: a name, a quotation.
    #[must_use]
    pub fn text(mut self, name: &'static str, text: Text) -> Phrase {
        let place = format!("{OPEN}{}{CLOSE}", self.inserts.len());
        self.inserts.push(text);
        self.args.set(name, FluentValue::from(place));
        self
    }

    /// With what a person typed, in quotation marks.
    #[must_use]
    pub fn typed(self, name: &'static str, typed: &str) -> Phrase {
        let quoted = self.tongue.quoted(typed);
        self.text(name, quoted)
    }

    /// With a name that people gave: of a person, a unit, an instrument, a place.
    #[must_use]
    pub fn name(self, name: &'static str, of: &str) -> Phrase {
        self.text(name, Text::name(of))
    }

    /// The sentence as one string. What was typed comes without its marks: for words only.
    pub fn words(self) -> String {
        self.said().joined()
    }

    /// The sentence.
    pub fn said(self) -> Text {
        let Phrase { tongue, key, args, inserts } = self;
        let whole = bundle::message(tongue.language, key, Some(&args));
        let mut text = Text::default();
        let mut rest = whole.as_str();
        while let Some((before, after)) = rest.split_once(OPEN) {
            let Some((place, behind)) = after.split_once(CLOSE) else { break };
            text = text.and(Text::words(before));
            if let Some(insert) = place.parse().ok().and_then(|at: usize| inserts.get(at)) {
                text = text.and(insert.clone());
            }
            rest = behind;
        }
        text.and(Text::words(rest))
    }
}

fn without_brackets(words: &str) -> String {
    plain::line(words).chars().filter(|letter| !matches!(*letter, OPEN | CLOSE)).collect()
}
