//! The language of the screens. English (as spoken in the United States) is written in the screens; the
//! catalogue holds it beside the other languages, one block of lines for each text.

use std::collections::BTreeMap;
use std::sync::OnceLock;

/// Every text of the screens in every language.
const CATALOGUE: &str = include_str!("words/catalogue.txt");

/// The record's own words, which reports say too: its closed lists, the causes, the registers. They stand
/// beside the reports, one file a language, and are paired by their keys.
const RECORD: [(&str, [&str; 4]); 2] = [
    (
        "fr",
        [
            include_str!("../../../reports/src/words/fr/codes.ftl"),
            include_str!("../../../reports/src/words/fr/causes.ftl"),
            include_str!("../../../reports/src/words/fr/fields.ftl"),
            include_str!("../../../reports/src/words/fr/verdicts.ftl"),
        ],
    ),
    (
        "es",
        [
            include_str!("../../../reports/src/words/es/codes.ftl"),
            include_str!("../../../reports/src/words/es/causes.ftl"),
            include_str!("../../../reports/src/words/es/fields.ftl"),
            include_str!("../../../reports/src/words/es/verdicts.ftl"),
        ],
    ),
];
/// The same in English.
const ENGLISH: [&str; 4] = [
    include_str!("../../../reports/src/words/en/codes.ftl"),
    include_str!("../../../reports/src/words/en/causes.ftl"),
    include_str!("../../../reports/src/words/en/fields.ftl"),
    include_str!("../../../reports/src/words/en/verdicts.ftl"),
];

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
        catalogue().get(&(self.key(), english)).copied().unwrap_or(english)
    }

    /// A message of the reports by its key, with its named gaps; none in English, which the core says itself.
    pub fn message(self, key: &str) -> Option<&'static str> {
        static MESSAGES: OnceLock<Texts> = OnceLock::new();
        let messages = MESSAGES.get_or_init(|| {
            let of = |(language, files): (&'static str, [&'static str; 4])| {
                let lines = files.into_iter().flat_map(messages);
                lines.map(move |(key, text)| ((language, key), text))
            };
            RECORD.into_iter().flat_map(of).collect()
        });
        messages.get(&(self.key(), key)).copied()
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

/// Texts by language and English.
type Texts = BTreeMap<(&'static str, &'static str), &'static str>;

/// The catalogue and the record's words, read once. A text of the screens goes before one of the record.
fn catalogue() -> &'static Texts {
    static TEXTS: OnceLock<Texts> = OnceLock::new();
    TEXTS.get_or_init(|| {
        let mut texts = Texts::new();
        let english: BTreeMap<&str, &str> = ENGLISH.iter().flat_map(|file| pairs(file)).collect();
        for (language, files) in RECORD {
            for (key, text) in files.iter().flat_map(|file| pairs(file)) {
                if let Some(own) = english.get(key) {
                    texts.entry((language, own)).or_insert(text);
                }
            }
        }
        for (english, others) in blocks() {
            texts.extend(others.into_iter().map(|(language, text)| ((language, english), text)));
        }
        texts
    })
}

/// Keys and texts of a file of words; what has gaps of its own is left out.
fn pairs(file: &'static str) -> impl Iterator<Item = (&'static str, &'static str)> {
    messages(file).filter(|(_, text)| !text.contains('{'))
}

/// Keys and texts of a file of words.
fn messages(file: &'static str) -> impl Iterator<Item = (&'static str, &'static str)> {
    let lines = file.lines().filter(|line| !line.starts_with(['#', ' ']));
    lines.filter_map(|line| line.split_once(" = "))
}

/// One text: its English, and each other language with its text.
type Block = (&'static str, Vec<(&'static str, &'static str)>);

/// The blocks of the catalogue, in their order.
fn blocks() -> impl Iterator<Item = Block> {
    CATALOGUE.split("\n\n").filter_map(|block| {
        let mut lines = block.trim().lines().filter(|line| !line.starts_with('#'));
        let english = lines.next()?;
        Some((english, lines.filter_map(|line| line.split_once(' ')).collect()))
    })
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeSet;
    use std::path::Path;

    use super::*;

    fn gaps(text: &str) -> usize {
        text.matches("{}").count()
    }

    #[test]
    fn every_text_stands_once_in_every_language_with_its_gaps() {
        let mut seen = BTreeSet::new();
        for (english, others) in blocks() {
            assert!(seen.insert(english), "'{english}' stands twice");
            let languages: Vec<&str> = others.iter().map(|(language, _)| *language).collect();
            assert_eq!(languages, ["fr", "es"], "'{english}'");
            for (language, text) in others {
                assert_eq!(gaps(english), gaps(text), "'{english}' in {language}");
            }
        }
        assert!(seen.len() > 300, "the catalogue was not read");
    }

    /// Texts that a source asks the catalogue for: literals behind the calls that look words up.
    fn asked(source: &str) -> Vec<String> {
        const CALLS: [&str; 8] =
            ["see.t(", "see.f(", ".say(", ".fill(", "ask_for(", "nothing_yet(", " t(", "(t("];
        let mut found = vec![];
        for call in CALLS {
            for rest in source.split(call).skip(1) {
                // Both texts of `if .. { "one" } else { "other" }`.
                let head = rest.trim_start();
                let part = match head.strip_prefix("if ") {
                    Some(_) => head.split_once(')').map_or("", |(part, _)| part),
                    None => head,
                };
                let literals = part.split('"').collect::<Vec<_>>();
                let take = if head.starts_with("if ") { literals.len() } else { 2 };
                if head.starts_with('"') || head.starts_with("if ") {
                    let own = literals.iter().take(take).skip(1).step_by(2);
                    let quotes = |text: &&str| {
                        text.replace("\\u{201c}", "\u{201c}").replace("\\u{201d}", "\u{201d}")
                    };
                    found.extend(own.map(quotes));
                }
            }
        }
        found
    }

    fn sources(folder: &Path, into: &mut Vec<String>) {
        for entry in std::fs::read_dir(folder).unwrap() {
            let path = entry.unwrap().path();
            if path.is_dir() {
                sources(&path, into);
            } else if path.extension().is_some_and(|ending| ending == "rs") {
                let text = std::fs::read_to_string(&path).unwrap();
                into.push(text.split("#[cfg(test)]").next().unwrap_or_default().to_owned());
            }
        }
    }

    #[test]
    fn every_text_of_the_screens_is_in_the_catalogue() {
        let mut texts = vec![];
        sources(&Path::new(env!("CARGO_MANIFEST_DIR")).join("src"), &mut texts);
        let words = |text: &str| text.chars().any(char::is_alphabetic);
        let known: BTreeSet<&str> = blocks().map(|(english, _)| english).collect();
        let asked: BTreeSet<String> = texts.iter().flat_map(|text| asked(text)).collect();
        assert!(asked.len() > 200, "the sources were not read");
        let missing: Vec<&String> =
            asked.iter().filter(|text| words(text) && !known.contains(text.as_str())).collect();
        assert!(missing.is_empty(), "not in words/catalogue.txt: {missing:#?}");
    }

    #[test]
    fn a_text_is_said_in_the_language_of_the_phone() {
        assert_eq!(Language::French.say("Back"), "Retour");
        assert_eq!(Language::Spanish.fill("{} units", &["14"]), "14 equipos");
        assert_eq!(Language::English.say("Back"), "Back");
        // A word of the record's own lists, and a cause.
        let status = client_core::record::code::Status::Watch;
        assert_eq!(Language::Spanish.say(status.says()), "en observaci\u{f3}n");
        let table = client_core::fault::table::Table::standard();
        let within = Language::Spanish.message("verdict-within").unwrap();
        assert!(within.contains("{ $margin }"), "{within}");
        assert_eq!(Language::French.say("CO air-free"), "CO \u{e0} air nul");
        for cause in table.cause_ids().map(|id| &table[id]) {
            assert_ne!(Language::French.say(cause.name), cause.name);
        }
        assert_eq!(Language::French.say("typed by somebody"), "typed by somebody");
    }
}
