//! The language of the screens. English (as spoken in the United States) is written in the screens; the
//! catalogue holds it beside the other languages, one line for each text.

mod catalogue;

pub use catalogue::CATALOGUE;

/// A language of the screens.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Language {
    /// English of the United States.
    #[default]
    English,
    /// French.
    French,
    /// Spanish.
    Spanish,
}

/// One text in every language: English, French, Spanish.
#[derive(Clone, Copy, Debug)]
pub struct Line(pub &'static str, pub &'static str, pub &'static str);

impl Language {
    /// Every language.
    pub const ALL: [Language; 3] = [Language::English, Language::French, Language::Spanish];

    /// Its two letters.
    pub const fn key(self) -> &'static str {
        match self {
            Language::English => "en",
            Language::French => "fr",
            Language::Spanish => "es",
        }
    }

    /// The language of two letters.
    pub fn from_key(key: &str) -> Option<Language> {
        Language::ALL.into_iter().find(|language| language.key() == key)
    }

    /// Its name in itself.
    pub const fn name(self) -> &'static str {
        match self {
            Language::English => "English",
            Language::French => "Fran\u{e7}ais",
            Language::Spanish => "Espa\u{f1}ol",
        }
    }

    /// A text in this language; where nobody has translated it yet, as it is.
    pub fn say(self, english: &str) -> &str {
        if self == Language::English {
            return english;
        }
        let line = CATALOGUE.iter().find(|line| line.0 == english);
        match (self, line) {
            (Language::French, Some(line)) => line.1,
            (Language::Spanish, Some(line)) => line.2,
            _ => english,
        }
    }

    /// A text with gaps `{}` filled in order.
    pub fn fill(self, english: &str, with: &[&str]) -> String {
        let mut out = String::new();
        let mut rest = self.say(english);
        for word in with {
            let Some((before, after)) = rest.split_once("{}") else { break };
            out.push_str(before);
            out.push_str(word);
            rest = after;
        }
        out.push_str(rest);
        out
    }
}
