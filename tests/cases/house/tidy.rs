//! What every file owes: its size, its words, its dependencies with a reason each.

use std::collections::BTreeSet;

use super::{files, top};

const SOURCES: &[&str] =
    &["client-core/src", "reports/src", "server/src", "cli/src", "tests/src", "tests/cases"];

#[test]
fn files_begin_by_saying_what_they_are() {
    let mut wrong = vec![];
    for root in SOURCES {
        for (file, text) in files(root, ".rs") {
            let begins = text.starts_with("//!") || text.starts_with("#![");
            // A sibling file of tests is described by the module that it tests.
            if !begins && !file.ends_with("/tests.rs") {
                wrong.push(file);
            }
        }
    }
    assert!(wrong.is_empty(), "no description at the top of:\n{}", wrong.join("\n"));
}

#[test]
fn files_stay_small_enough_to_read() {
    // A file that grows past this has two nouns in it.
    const LINES_MAX: usize = 700;
    let mut wrong = vec![];
    for root in SOURCES {
        for (file, text) in files(root, ".rs") {
            let lines = text.lines().count();
            if lines > LINES_MAX {
                wrong.push(format!("{file}: {lines} lines"));
            }
        }
    }
    assert!(wrong.is_empty(), "\n{}", wrong.join("\n"));
}

#[test]
fn nothing_names_this_machine_or_a_registry() {
    let mut wrong = vec![];
    let home = ["/", "root", "/"].concat();
    let work = ["/", "work", "/"].concat();
    let registries = [["index", ".crates"].concat(), ["registry", ".npm"].concat()];
    for ending in [".rs", ".md", ".toml", ".py", ".json", ".js", ".css", ".html", ".txt", ".sh"] {
        for root in ["client-core", "reports", "server", "cli", "tests", "docs"] {
            for (file, text) in files(root, ending) {
                for (index, line) in text.lines().enumerate() {
                    let path = line.contains(&home) || line.contains(&work);
                    let registry =
                        registries.iter().any(|registry| line.contains(registry.as_str()));
                    if path || registry {
                        wrong.push(format!("{file}:{}", index + 1));
                    }
                }
            }
        }
    }
    assert!(wrong.is_empty(), "\n{}", wrong.join("\n"));
}

/// Names of the direct dependencies in a manifest, those of the workspace left out.
fn dependencies(manifest: &str) -> BTreeSet<String> {
    let text = std::fs::read_to_string(top().join(manifest)).unwrap();
    let mut inside = false;
    let mut found = BTreeSet::new();
    for line in text.lines() {
        if line.starts_with('[') {
            inside = line.contains("dependencies") && !line.starts_with("[workspace");
        } else if let Some((name, rest)) = line.split_once('=').filter(|_| inside) {
            let name = name.trim().trim_end_matches(".workspace");
            let own = ["client-core", "reports", "server", "cli", "tests", "phone", "bundle"];
            let own = own.contains(&name);
            if !own && !rest.contains("path =") && !name.starts_with('#') {
                found.insert(name.to_owned());
            }
        }
    }
    found
}

#[test]
fn every_dependency_has_its_reason() {
    let text = std::fs::read_to_string(top().join("docs/dependencies.md")).unwrap();
    let reasons: BTreeSet<String> = text
        .lines()
        .filter_map(|line| line.strip_prefix("| `")?.split('`').next().map(str::to_owned))
        .collect();
    let mut used = BTreeSet::new();
    for manifest in [
        "client-core",
        "reports",
        "server",
        "server/phone",
        "server/phone/bundle",
        "server/phone/browser",
        "cli",
        "tests",
        "tests/fuzz",
    ] {
        let path = format!("{manifest}/Cargo.toml");
        if top().join(&path).exists() {
            used.extend(dependencies(&path));
        }
    }
    let missing: Vec<&String> = used.difference(&reasons).collect();
    let stale: Vec<&String> = reasons.difference(&used).collect();
    assert!(missing.is_empty(), "no line in docs/dependencies.md for {missing:?}");
    assert!(stale.is_empty(), "docs/dependencies.md has lines for unused {stale:?}");
}

#[test]
fn links_in_documents_lead_somewhere() {
    let mut wrong = vec![];
    let mut documents = files("docs", ".md");
    for name in ["README.md", "DEVELOPERS.md"] {
        documents.push((name.to_owned(), std::fs::read_to_string(top().join(name)).unwrap()));
    }
    for (file, text) in documents {
        let folder = top().join(&file).parent().unwrap().to_path_buf();
        for part in text.split("](").skip(1) {
            let target = part.split(')').next().unwrap_or_default();
            let path = target.split('#').next().unwrap_or_default();
            let outside = path.contains("://") || path.is_empty();
            if !outside && !folder.join(path).exists() {
                wrong.push(format!("{file}: {target}"));
            }
        }
    }
    assert!(wrong.is_empty(), "\n{}", wrong.join("\n"));
}

#[test]
fn every_case_file_is_in_the_binary() {
    let main = std::fs::read_to_string(top().join("tests/cases/main.rs")).unwrap();
    for (file, _) in files("tests/cases", ".rs") {
        let parts: Vec<&str> = file.split('/').collect();
        if let ["tests", "cases", name] = parts.as_slice()
            && *name != "main.rs"
        {
            let module = format!("mod {};", name.trim_end_matches(".rs"));
            assert!(main.contains(&module), "tests/cases/main.rs lacks `{module}`");
        }
    }
}
