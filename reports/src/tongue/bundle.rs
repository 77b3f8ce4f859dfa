//! The messages of each language, parsed once.

use std::sync::LazyLock;

use fluent_bundle::concurrent::FluentBundle;
use fluent_bundle::{FluentArgs, FluentResource};
use unic_langid::{LanguageIdentifier, langid};

use super::Language;

macro_rules! files {
    ($folder:literal) => {
        &[
            include_str!(concat!("../words/", $folder, "/codes.ftl")),
            include_str!(concat!("../words/", $folder, "/fields.ftl")),
            include_str!(concat!("../words/", $folder, "/causes.ftl")),
            include_str!(concat!("../words/", $folder, "/plain.ftl")),
            include_str!(concat!("../words/", $folder, "/units.ftl")),
            include_str!(concat!("../words/", $folder, "/record.ftl")),
            include_str!(concat!("../words/", $folder, "/verdicts.ftl")),
            include_str!(concat!("../words/", $folder, "/reports.ftl")),
            include_str!(concat!("../words/", $folder, "/slips.ftl")),
        ]
    };
}

/// The sources of a language.
pub(crate) const fn messages(language: Language) -> &'static [&'static str] {
    match language {
        Language::English => files!("en"),
        Language::French => files!("fr"),
        Language::Spanish => files!("es"),
    }
}

type Bundle = FluentBundle<FluentResource>;

static ENGLISH: LazyLock<Bundle> = LazyLock::new(|| parsed(Language::English));
static FRENCH: LazyLock<Bundle> = LazyLock::new(|| parsed(Language::French));
static SPANISH: LazyLock<Bundle> = LazyLock::new(|| parsed(Language::Spanish));

fn bundle(language: Language) -> &'static Bundle {
    match language {
        Language::English => &ENGLISH,
        Language::French => &FRENCH,
        Language::Spanish => &SPANISH,
    }
}

/// The language as plural rules know it.
const fn identifier(language: Language) -> LanguageIdentifier {
    match language {
        Language::English => langid!("en"),
        Language::French => langid!("fr"),
        Language::Spanish => langid!("es"),
    }
}

fn parsed(language: Language) -> Bundle {
    let mut bundle = Bundle::new_concurrent(vec![identifier(language)]);
    // Isolation marks turn up as boxes on paper; the languages here all run one way.
    bundle.set_use_isolating(false);
    for source in messages(language) {
        // A file with an error loses that message only; the tests of this room parse every file.
        let resource = match FluentResource::try_new((*source).to_owned()) {
            Ok(resource) | Err((resource, _)) => resource,
        };
        bundle.add_resource_overriding(resource);
    }
    bundle
}

/// Whether a language has a message.
pub(super) fn has(language: Language, key: &str) -> bool {
    bundle(language).has_message(key)
}

/// A message, or its key in angle brackets.
pub(super) fn message(language: Language, key: &str, args: Option<&FluentArgs<'_>>) -> String {
    let bundle = bundle(language);
    let pattern = bundle.get_message(key).and_then(|message| message.value());
    let Some(pattern) = pattern else { return format!("<{key}>") };
    let mut wrong = vec![];
    bundle.format_pattern(pattern, args, &mut wrong).into_owned()
}
