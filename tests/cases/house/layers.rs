//! Imports point one way. The table is the design; the test reads the sources as text.

use super::files;

/// A room of a crate, and the rooms it may name beside itself.
const TABLE: &[(&str, &str, &[&str])] = &[
    ("client-core/src", "trade", &[]),
    ("client-core/src", "record", &["trade"]),
    ("client-core/src", "gate", &["record"]),
    ("client-core/src", "store", &["record"]),
    ("client-core/src", "exchange", &["record", "gate"]),
    ("client-core/src", "fault", &["trade", "record"]),
    ("client-core/src", "pattern", &["trade", "record", "fault"]),
    ("client-core/src", "present", &["trade", "record", "gate", "exchange", "fault", "pattern"]),
    ("client-core/src", "device", &["record", "gate", "store", "exchange", "trade", "present"]),
    ("server/src", "log", &["identity"]),
    ("server/src", "identity", &[]),
    ("server/src", "access", &["log"]),
    ("server/src", "view", &["log", "access", "hub"]),
    ("server/src", "hub", &["log", "access", "view", "identity"]),
    ("server/src", "review", &[]),
    ("server/src", "pages", &["review"]),
];

/// Crates that a crate may name.
const CRATES: &[(&str, &[&str])] = &[
    ("client-core/src", &[]),
    ("reports/src", &["client_core"]),
    ("server/src", &["client_core", "reports"]),
    ("server/phone/src", &["client_core"]),
    ("server/phone/bundle/src", &["phone"]),
    ("cli/src", &["client_core", "reports"]),
];

/// Rooms named behind `crate::` in a source.
fn named(text: &str) -> Vec<(usize, String)> {
    let mut found = vec![];
    for (index, line) in text.lines().enumerate() {
        let mut rest = line;
        while let Some(at) = rest.find("crate::") {
            rest = &rest[at + "crate::".len()..];
            let word: String =
                rest.chars().take_while(|c| c.is_ascii_alphanumeric() || *c == '_').collect();
            found.push((index + 1, word));
        }
    }
    found
}

fn is_room(file: &str, root: &str, room: &str) -> bool {
    file == format!("{root}/{room}.rs") || file.starts_with(&format!("{root}/{room}/"))
}

#[test]
fn rooms_name_only_what_they_may() {
    let mut wrong = vec![];
    for (root, room, allowed) in TABLE {
        let rooms: Vec<&str> =
            TABLE.iter().filter(|(other, _, _)| other == root).map(|(_, room, _)| *room).collect();
        for (file, text) in files(root, ".rs") {
            if !is_room(&file, root, room) {
                continue;
            }
            for (line, word) in named(&text) {
                let known = rooms.contains(&word.as_str());
                if word.is_empty() {
                    wrong.push(format!(
                        "{file}:{line} names rooms in a group; name them one by one"
                    ));
                } else if known && word != *room && !allowed.contains(&word.as_str()) {
                    wrong.push(format!("{file}:{line} ({room}) names {word}"));
                }
            }
        }
    }
    assert!(wrong.is_empty(), "\n{}", wrong.join("\n"));
}

#[test]
fn crates_name_only_what_they_may() {
    let all = ["client_core", "reports", "server", "cli", "tests"];
    let mut wrong = vec![];
    for (root, allowed) in CRATES {
        for (file, text) in files(root, ".rs") {
            for name in all.iter().filter(|name| !allowed.contains(name)) {
                let path = format!("{name}::");
                for (index, line) in text.lines().enumerate() {
                    let code = !line.trim_start().starts_with("//");
                    let names = line.split(&path).count() > 1
                        && !line.contains(&format!("_{path}"))
                        && !line.contains(&format!("::{path}"));
                    // A crate's own binary names its library.
                    let own = root.starts_with(&name.replace('_', "-"));
                    if code && names && !own {
                        wrong.push(format!("{file}:{} names {name}", index + 1));
                    }
                }
            }
        }
    }
    assert!(wrong.is_empty(), "\n{}", wrong.join("\n"));
}

#[test]
fn a_planted_import_is_found() {
    assert_eq!(named("use crate::store::Table;"), [(1, "store".to_owned())]);
    assert_eq!(named("use crate::{record, store};"), [(1, String::new())]);
}
