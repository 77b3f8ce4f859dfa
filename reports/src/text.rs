//! A run of writing in which our own words and what people typed stay apart.

use client_core::present::plain;

/// A piece of a text.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Span {
    /// Words of the program, in the report's language.
    Words(String),
    /// The same, to be read first.
    Strong(String),
    /// A name that people gave: of a person, a unit, a place, an instrument.
    Name(String),
    /// What a person typed, in whatever language.
    Typed(String),
}

impl Span {
    /// The characters.
    pub fn letters(&self) -> &str {
        match self {
            Span::Words(text) | Span::Strong(text) | Span::Name(text) | Span::Typed(text) => text,
        }
    }
}

/// A text. Control characters and marks that turn the direction of writing never enter one.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Text(pub Vec<Span>);

impl Text {
    /// Words of the program.
    pub fn words(words: impl AsRef<str>) -> Text {
        Text::of(words.as_ref(), Span::Words)
    }

    /// Words to be read first.
    pub fn strong(words: impl AsRef<str>) -> Text {
        Text::of(words.as_ref(), Span::Strong)
    }

    /// A name.
    pub fn name(name: impl AsRef<str>) -> Text {
        Text::of(name.as_ref(), Span::Name)
    }

    /// What a person typed.
    pub fn typed(typed: impl AsRef<str>) -> Text {
        Text::of(typed.as_ref(), Span::Typed)
    }

    fn of(letters: &str, span: fn(String) -> Span) -> Text {
        if letters.is_empty() { Text::default() } else { Text(vec![span(plain::line(letters))]) }
    }

    /// This text and another behind it.
    #[must_use]
    pub fn and(mut self, other: Text) -> Text {
        for span in other.0 {
            match (self.0.last_mut(), span) {
                (Some(Span::Words(known)), Span::Words(more)) => known.push_str(&more),
                (_, span) => self.0.push(span),
            }
        }
        self
    }

    /// Two texts with a blank between them; an empty one leaves no blank.
    #[must_use]
    pub fn then(self, other: Text) -> Text {
        if self.is_empty() || other.is_empty() {
            return self.and(other);
        }
        self.and(Text::words(" ")).and(other)
    }

    /// Texts joined by a separator.
    pub fn join(parts: impl IntoIterator<Item = Text>, between: &str) -> Text {
        let mut whole = Text::default();
        for part in parts.into_iter().filter(|part| !part.is_empty()) {
            if !whole.is_empty() {
                whole = whole.and(Text::words(between));
            }
            whole = whole.and(part);
        }
        whole
    }

    /// The same, its own words strong.
    #[must_use]
    pub fn to_strong(self) -> Text {
        Text(
            self.0
                .into_iter()
                .map(|span| match span {
                    Span::Words(words) => Span::Strong(words),
                    other => other,
                })
                .collect(),
        )
    }

    /// The same with its first letter large.
    #[must_use]
    pub fn capital(mut self) -> Text {
        if let Some(Span::Words(words) | Span::Strong(words)) = self.0.first_mut() {
            let mut letters = words.chars();
            if let Some(first) = letters.next() {
                *words = first.to_uppercase().chain(letters).collect();
            }
        }
        self
    }

    /// Whether nothing is written.
    pub fn is_empty(&self) -> bool {
        self.0.iter().all(|span| span.letters().is_empty())
    }

    /// The characters of all spans.
    pub fn joined(&self) -> String {
        self.0.iter().map(Span::letters).collect()
    }
}

impl From<String> for Text {
    fn from(words: String) -> Text {
        Text::words(words)
    }
}
