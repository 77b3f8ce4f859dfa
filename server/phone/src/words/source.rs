//! The catalogue, from which the files of words are made: one block of lines for each text, English first.

use std::collections::BTreeMap;
use std::fmt::Write as _;

use super::{Language, MESSAGE};

/// Every text of the screens in every language, what the core says, and its fault tables.
const CATALOGUE: [&str; 3] =
    [include_str!("catalogue.txt"), include_str!("core.txt"), include_str!("faults.txt")];

/// The record's own words, which reports say too: its closed lists, the causes, the registers. They stand
/// beside the reports, one file a language, and are paired by their keys.
const RECORD: [(&str, [&str; 4]); 2] = [
    (
        "fr",
        [
            include_str!("../../../../reports/src/words/fr/codes.ftl"),
            include_str!("../../../../reports/src/words/fr/causes.ftl"),
            include_str!("../../../../reports/src/words/fr/fields.ftl"),
            include_str!("../../../../reports/src/words/fr/verdicts.ftl"),
        ],
    ),
    (
        "es",
        [
            include_str!("../../../../reports/src/words/es/codes.ftl"),
            include_str!("../../../../reports/src/words/es/causes.ftl"),
            include_str!("../../../../reports/src/words/es/fields.ftl"),
            include_str!("../../../../reports/src/words/es/verdicts.ftl"),
        ],
    ),
];
/// The same in English.
const ENGLISH: [&str; 4] = [
    include_str!("../../../../reports/src/words/en/codes.ftl"),
    include_str!("../../../../reports/src/words/en/causes.ftl"),
    include_str!("../../../../reports/src/words/en/fields.ftl"),
    include_str!("../../../../reports/src/words/en/verdicts.ftl"),
];

/// The file of words of a language: a line for each text, its English, a tab and the text; keys of messages
/// begin with `@`. Empty in English. A text of the screens goes before one of the record.
pub fn file(language: Language) -> String {
    let mut texts: BTreeMap<&str, &str> = BTreeMap::new();
    let mut lines = String::new();
    let english: BTreeMap<&str, &str> = ENGLISH.iter().flat_map(|file| pairs(file)).collect();
    let own = RECORD.into_iter().filter(|(key, _)| *key == language.key());
    for record in own.flat_map(|(_, files)| files) {
        for (key, text) in pairs(record) {
            if let Some(own) = english.get(key) {
                texts.entry(own).or_insert(text);
            }
        }
        for (key, text) in messages(record) {
            writeln!(lines, "{MESSAGE}{key}\t{text}").expect("writing to memory does not fail");
        }
    }
    for (english, others) in blocks() {
        let own = others.into_iter().filter(|(key, _)| *key == language.key());
        texts.extend(own.map(|(_, text)| (english, text)));
    }
    for (english, text) in texts {
        writeln!(lines, "{english}\t{text}").expect("writing to memory does not fail");
    }
    lines
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
pub(super) type Block = (&'static str, Vec<(&'static str, &'static str)>);

/// The blocks of the catalogue, in their order.
pub(super) fn blocks() -> impl Iterator<Item = Block> {
    CATALOGUE.into_iter().flat_map(|file| file.split("\n\n")).filter_map(|block| {
        let mut lines = block.trim().lines().filter(|line| !line.starts_with('#'));
        let english = lines.next()?;
        Some((english, lines.filter_map(|line| line.split_once(' ')).collect()))
    })
}
