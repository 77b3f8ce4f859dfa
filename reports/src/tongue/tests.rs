use std::collections::BTreeSet;

use fluent_syntax::ast::{Entry, Expression, InlineExpression, Pattern, PatternElement};

use super::*;

/// Every message of a language with the arguments it names.
fn messages(language: Language) -> Vec<(String, BTreeSet<String>)> {
    let mut found = vec![];
    for source in bundle::messages(language) {
        let resource = fluent_syntax::parser::parse(*source)
            .unwrap_or_else(|(_, wrong)| panic!("{}: {wrong:?}", language.key()));
        for entry in resource.body {
            if let Entry::Message(message) = entry {
                let mut names = BTreeSet::new();
                arguments(&message.value.unwrap(), &mut names);
                found.push((message.id.name.to_owned(), names));
            }
        }
    }
    found
}

fn arguments(pattern: &Pattern<&str>, names: &mut BTreeSet<String>) {
    for element in &pattern.elements {
        let PatternElement::Placeable { expression } = element else { continue };
        match expression {
            Expression::Inline(inline) => inline_arguments(inline, names),
            Expression::Select { selector, variants } => {
                inline_arguments(selector, names);
                for variant in variants {
                    arguments(&variant.value, names);
                }
            }
        }
    }
}

fn inline_arguments(inline: &InlineExpression<&str>, names: &mut BTreeSet<String>) {
    if let InlineExpression::VariableReference { id } = inline {
        names.insert(id.name.to_owned());
    }
}

#[test]
fn every_language_says_the_same_messages_with_the_same_arguments() {
    let english = messages(Language::English);
    let keys: BTreeSet<&String> = english.iter().map(|(key, _)| key).collect();
    assert_eq!(keys.len(), english.len(), "a message stands twice");
    for language in [Language::French, Language::Spanish] {
        assert_eq!(messages(language), english, "{}", language.key());
    }
}

#[test]
fn every_word_of_the_record_is_in_every_language() {
    for (list, key, says) in crate::vocabulary::every_word() {
        let message = format!("{list}-{key}");
        for language in Language::ALL {
            assert!(bundle::has(language, &message), "{} lacks {message}", language.key());
        }
        let english = Tongue::new(Language::English, System::Us).plain(&message);
        assert!(!english.is_empty(), "{message} is empty; the record says {says}");
    }
}

#[test]
fn every_register_cause_and_blocker_has_words() {
    let table = client_core::fault::table::Table::standard();
    let mut wanted: Vec<String> = client_core::record::field::FIELDS
        .iter()
        .map(|def| format!("field-{}", field_key(def.key)))
        .collect();
    for cause in table.cause_ids() {
        wanted.extend(["cause", "plain"].map(|list| format!("{list}-{}", table[cause].key)));
    }
    wanted.extend(table.symptom_ids().map(|symptom| format!("symptom-{}", table[symptom].key)));
    wanted.extend(crate::saying::blocker_kinds().iter().map(|kind| format!("blocker-{kind}")));
    wanted.extend(crate::saying::DERIVED.iter().map(|key| format!("derived-{key}")));
    for message in wanted {
        for language in Language::ALL {
            assert!(bundle::has(language, &message), "{} lacks {message}", language.key());
        }
    }
}

/// Words that no report may say, by language. "No leak" is allowed only with "found at the joints tested".
const NEVER: &[(Language, &[&str])] = &[
    (
        Language::English,
        &[
            "safe",
            "approved",
            "certified",
            "compliant",
            "guarantee",
            "ok to run",
            "no leak",
            "ignore",
            "bypass",
            "you will save",
        ],
    ),
    (
        Language::French,
        &[
            "sécuritaire",
            "sûr",
            "approuvé",
            "certifié",
            "conforme",
            "garanti",
            "aucune fuite",
            "ignorer",
        ],
    ),
    (
        Language::Spanish,
        &[
            "seguro",
            "aprobado",
            "certificado",
            "conforme",
            "garantizado",
            "garantía",
            "ninguna fuga",
            "ignorar",
            "ignore",
        ],
    ),
];

/// Whether a text has these words, whole.
fn has_word(text: &str, word: &str) -> bool {
    let edge = |letter: Option<char>| letter.is_none_or(|letter| !letter.is_alphabetic());
    text.match_indices(word).any(|(at, _)| {
        let before = text[..at].chars().next_back();
        let behind = text[at + word.len()..].chars().next();
        edge(before) && edge(behind)
    })
}

#[test]
fn whole_words_are_found_and_parts_of_words_are_not() {
    assert!(has_word("it is safe.", "safe") && !has_word("a safety magnet", "safe"));
    assert!(has_word("ok to run", "ok to run"));
}

#[test]
fn no_message_promises_what_only_a_person_can_say() {
    for (language, words) in NEVER {
        for source in bundle::messages(*language) {
            for line in source.lines().filter(|line| !line.starts_with('#')) {
                let says = line.split_once('=').map_or(line, |(_, says)| says).to_lowercase();
                for word in *words {
                    assert!(!has_word(&says, word), "{}: {line}", language.key());
                }
            }
        }
    }
}

#[test]
fn what_is_typed_stays_apart_from_the_words_round_it() {
    let tongue = Tongue::new(Language::English, System::Us);
    let said = tongue.phrase("entry-lock_on").typed("point", "{ $x } \u{e000}0\u{e001} *b*").said();
    let typed: Vec<&crate::text::Span> =
        said.0.iter().filter(|span| matches!(span, crate::text::Span::Typed(_))).collect();
    assert_eq!(typed.len(), 1);
    assert!(typed[0].letters().starts_with("{ $x }"), "{typed:?}");
}

#[test]
fn days_have_their_month_in_words() {
    let say = |language| Tongue::new(language, System::Us).day(Day::parse("2025-10-01").unwrap());
    assert_eq!(say(Language::English), "1\u{a0}October 2025");
    assert_eq!(say(Language::French), "1er\u{a0}octobre 2025");
    assert_eq!(say(Language::Spanish), "1\u{a0}de octubre de 2025");
}
