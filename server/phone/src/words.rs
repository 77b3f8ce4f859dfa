//! The language of the screens. English (as spoken in the United States) is written in the screens; every
//! other language is a file of words of its own, which a phone fetches when somebody reads that language: a
//! first visit is a download over a weak signal. The bundle makes those files out of the catalogue.

#[cfg(not(target_arch = "wasm32"))]
mod source;

use std::collections::BTreeMap;
use std::sync::OnceLock;

use client_core::record::phrase::{Tongue, filled};

#[cfg(not(target_arch = "wasm32"))]
pub use source::file;

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
        self.known(english).unwrap_or(english)
    }

    /// The text of a language other than English, where there is one.
    fn known(self, english: &str) -> Option<&'static str> {
        self.words()?.texts.get(english).copied()
    }

    /// A message of the reports by its key, with its named gaps; none in English, which the core says itself.
    pub fn message(self, key: &str) -> Option<&'static str> {
        self.words()?.messages.get(key).copied()
    }

    /// Whether the words of this language are here.
    pub fn is_here(self) -> bool {
        self == Language::English || self.words().is_some()
    }

    /// Takes the file of words of this language. It stays for as long as the program runs; a second one is
    /// not looked at.
    pub fn take(self, file: String) {
        if let Some(place) = self.place() {
            place.get_or_init(|| Words::of(file.leak()));
        }
    }

    fn place(self) -> Option<&'static OnceLock<Words>> {
        static FRENCH: OnceLock<Words> = OnceLock::new();
        static SPANISH: OnceLock<Words> = OnceLock::new();
        match self {
            Language::English => None,
            Language::French => Some(&FRENCH),
            Language::Spanish => Some(&SPANISH),
        }
    }

    #[cfg(target_arch = "wasm32")]
    fn words(self) -> Option<&'static Words> {
        self.place()?.get()
    }

    /// Where there is no download, they are always here.
    #[cfg(not(target_arch = "wasm32"))]
    fn words(self) -> Option<&'static Words> {
        Some(self.place()?.get_or_init(|| Words::of(file(self).leak())))
    }

    /// A text with gaps `{}` filled in order.
    pub fn fill(self, english: &str, with: &[&str]) -> String {
        filled(self.say(english), with)
    }

    /// What went wrong, in a sentence: in English as the core says it, else that nothing is lost, with the
    /// core's own words behind it for whoever helps.
    pub fn wrong(self, wrong: &str) -> String {
        let said = match self {
            Language::English => wrong.to_owned(),
            _ => match self.known(wrong) {
                Some(said) => said.to_owned(),
                None => self.fill("Not done, and nothing is lost. The program says: {}", &[wrong]),
            },
        };
        crate::bits::sentence(&said)
    }
}

impl Tongue for Language {
    fn word<'w>(&self, english: &'w str) -> &'w str {
        self.say(english)
    }

    fn result<'w>(&self, test: &str, english: &'w str) -> &'w str {
        match self {
            Language::English => english,
            _ => self.known(&format!("{test} = {english}")).unwrap_or_else(|| self.say(english)),
        }
    }
}

/// What stands before the key of a message in a file of words.
const MESSAGE: char = '@';

/// A file of words, read.
#[derive(Debug, Default)]
struct Words {
    /// Texts by their English.
    texts: BTreeMap<&'static str, &'static str>,
    /// Messages by their keys.
    messages: BTreeMap<&'static str, &'static str>,
}

impl Words {
    /// Reads lines of English, a tab and the text. Lines of another kind are passed over.
    fn of(file: &'static str) -> Words {
        let mut words = Words::default();
        for (english, text) in file.lines().filter_map(|line| line.split_once('\t')) {
            match english.strip_prefix(MESSAGE) {
                Some(key) => words.messages.insert(key, text),
                None => words.texts.insert(english, text),
            };
        }
        words
    }
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeSet;
    use std::path::Path;

    use super::source::blocks;
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
                        let text = text.replace("\\u{2019}", "\u{2019}");
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

    /// String literals of a source without its tests, continued lines put together.
    fn literals(source: &str) -> Vec<String> {
        let source = source.split("#[cfg(test)]").next().unwrap_or_default();
        let code = source.lines().filter(|line| !line.trim_start().starts_with("//"));
        let code = code.collect::<Vec<_>>().join("\n").replace("'\"'", "' '");
        let mut found = vec![];
        let mut letters = code.chars().peekable();
        while let Some(letter) = letters.next() {
            if letter != '"' {
                continue;
            }
            let mut text = String::new();
            while let Some(letter) = letters.next().filter(|letter| *letter != '"') {
                if letter != '\\' {
                    text.push(letter);
                    continue;
                }
                match letters.next() {
                    Some('\n') => while letters.next_if(|own| own.is_whitespace()).is_some() {},
                    Some('n') => text.push('\n'),
                    Some(other) => text.push(other),
                    None => {}
                }
            }
            found.push(text);
        }
        found
    }

    /// Whether a literal is a sentence or a word that people read, and no key, name or path.
    fn is_read(text: &str) -> bool {
        let outside = text.split('{').enumerate().map(|(n, part)| match n {
            0 => part,
            _ => part.split_once('}').map_or("", |(_, after)| after),
        });
        let letters = outside.flat_map(str::chars).filter(|letter| letter.is_alphabetic());
        text.trim_start() == text && text.contains(' ') && letters.count() > 1
    }

    /// Sources of the core that make sentences which a screen shows.
    const CORE: [&str; 11] = [
        "present/both.rs",
        "present/say.rs",
        "present/words.rs",
        "fault/say.rs",
        "fault/detect/air.rs",
        "fault/detect/flue.rs",
        "fault/detect/gas.rs",
        "record/blocker.rs",
        "record/blocker/figures.rs",
        "record/doubt.rs",
        "record/mark.rs",
    ];

    /// Literals of those sources that no screen of a phone shows: what only the command line says.
    const ELSEWHERE: [&str; 4] = ["fn next(", "fn why(", "fn stopped(", "fn shift("];

    #[test]
    fn every_sentence_of_the_core_is_in_every_language() {
        let core = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../client-core/src");
        let mut missing = BTreeSet::new();
        let mut asked = 0;
        for name in CORE {
            let source = std::fs::read_to_string(core.join(name)).unwrap();
            // Functions of the command line alone are left out, each up to its closing brace.
            let mut shown = String::new();
            let mut skipped = false;
            for line in source.lines() {
                skipped |= name == "fault/say.rs" && ELSEWHERE.iter().any(|own| line.contains(own));
                if !skipped {
                    shown.push_str(line);
                    shown.push('\n');
                }
                skipped &= line != "}";
            }
            let mut texts: Vec<String> =
                literals(&shown).into_iter().filter(|own| is_read(own)).collect();
            for call in [
                "self.t(\"",
                "say.t(\"",
                "self.fill(\"",
                "say.fill(\"",
                "Phrase::plain(\"",
                "Gap::word(\"",
            ] {
                let words = shown.split(call).skip(1).filter_map(|rest| rest.split('"').next());
                texts.extend(words.map(str::to_owned));
            }
            // How others run is said with the word itself: every one of them is asked for below.
            texts.retain(|text| text != "other units");
            asked += texts.len();
            let unknown = |text: &String| {
                [Language::French, Language::Spanish]
                    .into_iter()
                    .any(|own| own.known(text).is_none())
            };
            missing.extend(texts.into_iter().filter(unknown));
        }
        for running in client_core::record::code::Running::ALL {
            for what in ["fan", "panels", "other units"] {
                let words = format!("{what} {}", running.says());
                if Language::French.known(&words).is_none() {
                    missing.insert(words);
                }
            }
        }
        for share in 0_u8..=101 {
            let words = client_core::fault::say::chance(f64::from(share) / 100.0).words;
            if Language::Spanish.known(words).is_none() {
                missing.insert(words.to_owned());
            }
        }
        assert!(asked > 150, "the sources were not read: {asked}");
        assert!(missing.is_empty(), "not in words/core.txt: {missing:#?}");
    }

    /// Every word of the record's lists, registers, and of the fault tables.
    fn words_of_the_core() -> Vec<&'static str> {
        use client_core::fault::choice::{Care, State};
        use client_core::fault::{sequence, table::Table};
        use client_core::record::code::*;
        let mut words: Vec<&'static str> = vec![];
        macro_rules! lists {
            ($($list:ident)*) => { $(words.extend($list::ALL.iter().map(|own| own.says()));)* };
        }
        lists!(AdvisorySeverity Channel CheckItem CheckResult Confidence CrewEvent Decision Family Gas
            GasPartKind InstrumentKind LabourKind Method Mount Outcome Phase Quantity QuestionState Role Running
            Stage Status System TargetSource VentCategory VisitKind WorkKind);
        words.extend(client_core::record::field::FIELDS.iter().map(|field| field.says));
        words.extend(Quantity::ALL.iter().filter_map(|own| Some(own.kind()?.point)));
        words.extend(Care::ALL.iter().map(|care| care.words()));
        words.extend(State::ALL.iter().map(|state| state.key()));
        let table = Table::standard();
        words.extend(
            table.cause_ids().map(|id| crate::screens::fault::names::short(table, Some(id))),
        );
        words.extend(table.symptoms.iter().map(|own| crate::screens::fault::short(own.key)));
        words.extend(crate::search::SIGNS.iter().map(|(_, words)| *words));
        words.extend(table.causes.iter().flat_map(|own| [own.name, own.repair]));
        words.extend(table.symptoms.iter().map(|own| own.text));
        words.extend(table.tests.iter().flat_map(|own| [own.name, own.place]));
        for own in sequence::standard() {
            words.extend([own.title, own.note, own.lockout]);
            let steps = own.steps.iter();
            words.extend(steps.flat_map(|step| [step.name, step.expect, step.place, step.usual]));
        }
        words
    }

    #[test]
    fn every_word_of_the_core_is_in_every_language() {
        let read = |text: &str| text.chars().any(char::is_alphabetic);
        for language in [Language::French, Language::Spanish] {
            let words = words_of_the_core();
            assert!(words.len() > 900, "only {}", words.len());
            let missing: BTreeSet<&str> = words
                .into_iter()
                .filter(|text| read(text) && language.known(text).is_none())
                .collect();
            assert!(missing.is_empty(), "not in {}: {missing:#?}", language.key());
            let table = client_core::fault::table::Table::standard();
            let results =
                table.tests.iter().flat_map(|own| own.outcomes.iter().map(|one| (own.key, *one)));
            let missing: Vec<_> = results
                .filter(|(test, result)| read(result) && language.result(test, result) == *result)
                .filter(|(_, result)| language.known(result).is_none())
                .collect();
            assert!(missing.is_empty(), "results not in {}: {missing:#?}", language.key());
            // A word under a test is a result of that test, else nobody would ever see it.
            for (english, _) in blocks().filter(|(english, _)| english.contains(" = ")) {
                let (test, result) = english.split_once(" = ").unwrap();
                let test = &table[table.test(test).unwrap()];
                assert!(test.outcomes.contains(&result), "{english}");
                assert_ne!(language.result(test.key, result), result);
            }
        }
    }

    #[test]
    fn every_sentence_of_the_scripts_is_in_every_language() {
        let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("static");
        let mut missing = BTreeSet::new();
        for name in ["app.js", "worker.js"] {
            let source = std::fs::read_to_string(folder.join(name)).unwrap();
            // What goes to a screen: `say`, `early`, `failed`, and words of a message.
            let calls = [
                "words: \"",
                "phone.say(\"",
                "exchange_failed(signal ? \"",
                "\", \"",
                "bytes ? \"",
                ": \"",
            ];
            for call in calls {
                for text in source.split(call).skip(1).filter_map(|rest| rest.split('"').next()) {
                    let sentence =
                        text.contains(' ') && text.chars().all(|own| own != '$' && own != '<');
                    if sentence && text.trim_start() == text && !text.contains('/') {
                        missing.insert(text.to_owned());
                    }
                }
            }
        }
        assert!(missing.len() > 5, "the scripts were not read: {missing:?}");
        missing.retain(|text| Language::French.known(text).is_none());
        assert!(missing.is_empty(), "not in the catalogue: {missing:#?}");
    }

    #[test]
    fn a_symptoms_text_is_read_back_and_said_in_the_language_of_the_phone() {
        let text = crate::search::start_words(Some("Flame proved"), 3, 5);
        assert_eq!(text, "last seen: Flame proved; 3 of 5 steps timed");
        assert_eq!(crate::search::last_seen(&text), Some("Flame proved"));
        assert_eq!(crate::search::symptom_text(Language::English, &text), text);
        let said = crate::search::symptom_text(
            Language::French,
            &format!("{text}; rollout switch tripped"),
        );
        assert!(said.contains("Flamme prouv\u{e9}e") && !said.contains("tripped"), "{said}");
        let own = "hums; then stops, cold mornings";
        assert_eq!(crate::search::symptom_text(Language::Spanish, own), own);
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
