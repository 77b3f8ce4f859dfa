//! A sentence of this program with its gaps kept apart from what fills them, so that a face can say it in
//! the language of whoever reads. The English words are the key that a catalogue goes by.

use std::fmt;

/// A sentence with gaps `{}`, and what fills them in order.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Phrase {
    /// The words in English.
    pub words: &'static str,
    /// What fills the gaps.
    pub with: Vec<Gap>,
}

/// What fills a gap.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Gap {
    /// The same in every language: a figure, a day, a name, what somebody typed.
    As(String),
    /// One of this program's own words.
    Word(String),
    /// Words within words.
    Of(Phrase),
    /// Several, with something between them; a word there is said in the language.
    List(&'static str, Vec<Gap>),
}

/// A language.
pub trait Tongue: fmt::Debug {
    /// A text of this program in the language; as it is where the language has no other.
    fn word<'w>(&self, english: &'w str) -> &'w str;

    /// What a test of the fault tables gave. One English word may stand for several things that another
    /// language tells apart, so the test says which.
    fn result<'w>(&self, test: &str, english: &'w str) -> &'w str {
        let _ = test;
        english
    }

    /// A text with its gaps filled in order.
    fn fill(&self, english: &str, with: &[&str]) -> String {
        filled(self.word(english), with)
    }
}

/// English as it is spoken in the United States: the words as they stand.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct English;

impl Tongue for English {
    fn word<'w>(&self, english: &'w str) -> &'w str {
        english
    }
}

/// Words with their gaps filled in order; a gap that nothing fills stays, and what has no gap is left out.
///
/// ```
/// use client_core::record::phrase::filled;
/// assert_eq!(filled("{} of {}", &["4", "14"]), "4 of 14");
/// assert_eq!(filled("{} of {}", &["4"]), "4 of {}");
/// ```
pub fn filled(words: &str, with: &[&str]) -> String {
    let mut out = String::new();
    let mut rest = words;
    for own in with {
        let Some((before, after)) = rest.split_once("{}") else { break };
        out.push_str(before);
        out.push_str(own);
        rest = after;
    }
    out.push_str(rest);
    out
}

/// What fills the gaps of words in a text that was made of them; none where it was not.
///
/// ```
/// use client_core::record::phrase::gaps_of;
/// assert_eq!(gaps_of("{} of {}", "4 of 14"), Some(vec!["4", "14"]));
/// assert_eq!(gaps_of("{} of {}", "4 from 14"), None);
/// ```
pub fn gaps_of<'t>(words: &str, text: &'t str) -> Option<Vec<&'t str>> {
    let mut pieces = words.split("{}");
    let mut rest = text.strip_prefix(pieces.next()?)?;
    let mut found = vec![];
    let mut pieces = pieces.peekable();
    while let Some(piece) = pieces.next() {
        let at = match pieces.peek() {
            None => {
                rest.len().checked_sub(piece.len()).filter(|at| rest.get(*at..) == Some(piece))?
            }
            Some(_) => rest.find(piece)?,
        };
        found.push(rest.get(..at)?);
        rest = rest.get(at + piece.len()..)?;
    }
    rest.is_empty().then_some(found)
}

impl Phrase {
    /// Words without gaps.
    pub const fn plain(words: &'static str) -> Phrase {
        Phrase { words, with: vec![] }
    }

    /// Words with gaps.
    pub const fn new(words: &'static str, with: Vec<Gap>) -> Phrase {
        Phrase { words, with }
    }

    /// In a language.
    pub fn say(&self, tongue: &dyn Tongue) -> String {
        let with: Vec<String> = self.with.iter().map(|gap| gap.say(tongue)).collect();
        let with: Vec<&str> = with.iter().map(String::as_str).collect();
        tongue.fill(self.words, &with)
    }
}

impl Gap {
    /// Something that is the same in every language.
    pub fn of(shown: impl fmt::Display) -> Gap {
        Gap::As(shown.to_string())
    }

    /// One of this program's own words.
    pub fn word(english: &str) -> Gap {
        Gap::Word(english.to_owned())
    }

    fn say(&self, tongue: &dyn Tongue) -> String {
        match self {
            Gap::As(text) => text.clone(),
            Gap::Word(english) => tongue.word(english).to_owned(),
            Gap::Of(phrase) => phrase.say(tongue),
            Gap::List(between, parts) => {
                let parts: Vec<String> = parts.iter().map(|part| part.say(tongue)).collect();
                let word = between.trim();
                parts.join(&between.replace(word, tongue.word(word)))
            }
        }
    }
}

impl fmt::Display for Phrase {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        out.write_str(&self.say(&English))
    }
}

impl From<Phrase> for Gap {
    fn from(phrase: Phrase) -> Gap {
        Gap::Of(phrase)
    }
}
