//! Settings as they were found: in the file, in the environment, among the flags.

use std::collections::BTreeMap;
use std::fmt;
use std::fmt::Write as _;
use std::path::{Path, PathBuf};

use super::ConfigWrong;
use super::table::{Kind, SETTINGS, Setting};

/// Where a setting was found. A later one here goes over an earlier one.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Source {
    /// Nobody said anything.
    Default,
    /// In the settings file.
    File(PathBuf),
    /// In the environment.
    Variable(String),
    /// Among the flags.
    Flag(String),
}

impl fmt::Display for Source {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Source::Default => out.write_str("default"),
            Source::File(path) => write!(out, "{}", path.display()),
            Source::Variable(name) => write!(out, "environment variable {name}"),
            Source::Flag(name) => write!(out, "flag --{name}"),
        }
    }
}

/// A setting as it was found.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Found {
    /// Its text.
    pub text: String,
    /// Where.
    pub source: Source,
}

/// All settings as they were found.
#[derive(Clone, Debug, Default)]
pub struct AllFound(BTreeMap<&'static str, Found>);

impl AllFound {
    /// Reads the file, then the environment, then the flags; what was said last holds.
    pub fn read(
        file: Option<&Path>,
        variable: &dyn Fn(&str) -> Option<String>,
        flag: &dyn Fn(&str) -> Option<String>,
    ) -> Result<AllFound, ConfigWrong> {
        let mut all = AllFound::default();
        for one in SETTINGS {
            let text = one.default.to_owned();
            all.0.insert(one.key, Found { text, source: Source::Default });
        }
        if let Some(path) = file {
            all.file(path)?;
        }
        for one in SETTINGS {
            let name = one.variable();
            if let Some(text) = variable(&name) {
                all.0.insert(one.key, Found { text, source: Source::Variable(name) });
            }
            if let Some(text) = flag(one.key) {
                all.0.insert(one.key, Found { text, source: Source::Flag(one.flag()) });
            }
        }
        Ok(all)
    }

    fn file(&mut self, path: &Path) -> Result<(), ConfigWrong> {
        let wrong = |words: String| ConfigWrong::File { path: path.to_owned(), wrong: words };
        let text = std::fs::read_to_string(path).map_err(|why| wrong(why.to_string()))?;
        let table: toml::Table = text.parse().map_err(|why: toml::de::Error| {
            let line = why.span().map(|span| text[..span.start.min(text.len())].lines().count());
            wrong(format!("line {}: {}", line.unwrap_or(1).max(1), why.message()))
        })?;
        for (key, value) in table {
            let Some(one) = SETTINGS.iter().find(|one| one.key == key) else {
                let near = nearest(&key);
                return Err(ConfigWrong::Unknown { path: path.to_owned(), key, near });
            };
            let source = Source::File(path.to_owned());
            let text = match value {
                toml::Value::String(text) => in_folder(one, path, text),
                toml::Value::Integer(number) => number.to_string(),
                toml::Value::Boolean(flag) => flag.to_string(),
                other => {
                    return Err(ConfigWrong::Value {
                        place: source.to_string(),
                        key: one.key,
                        found: format!("a TOML {}", other.type_str()),
                        allowed: one.kind.allowed(),
                    });
                }
            };
            self.0.insert(one.key, Found { text, source });
        }
        Ok(())
    }

    /// A setting. Every key of the table is there.
    pub fn get(&self, key: &str) -> &Found {
        self.0.get(key).expect("every setting of the table has a default")
    }

    /// The settings as a file that would give the same, each with where it was found.
    pub fn show(&self) -> String {
        let mut out = String::new();
        for one in SETTINGS {
            let found = self.get(one.key);
            let value = match one.kind {
                Kind::Flag | Kind::Whole(..) => found.text.clone(),
                Kind::Path | Kind::Address | Kind::Text | Kind::Choice(_) => {
                    toml::Value::String(found.text.clone()).to_string()
                }
            };
            let line = format!("{} = {value}", one.key);
            writeln!(out, "{line:<48} # {}", found.source).expect("memory takes it");
        }
        out
    }
}

/// A path of a file is relative to that file.
fn in_folder(one: &Setting, file: &Path, text: String) -> String {
    let folder = file.parent().filter(|folder| !folder.as_os_str().is_empty());
    match (one.kind, folder) {
        (Kind::Path, Some(folder)) if !text.is_empty() => {
            folder.join(&text).to_string_lossy().into_owned()
        }
        _ => text,
    }
}

/// The setting whose name is least far from a word, if it is near.
fn nearest(word: &str) -> Option<&'static str> {
    let far = SETTINGS.iter().map(|one| (distance(word, one.key), one.key));
    far.filter(|(far, _)| *far <= 3).min().map(|(_, key)| key)
}

/// How many letters have to be put in, taken out or changed.
fn distance(one: &str, other: &str) -> usize {
    let other: Vec<char> = other.chars().collect();
    let mut row: Vec<usize> = (0..=other.len()).collect();
    for (at, letter) in one.chars().enumerate() {
        let mut diagonal = row[0];
        row[0] = at + 1;
        for (index, own) in other.iter().enumerate() {
            let changed = diagonal + usize::from(letter != *own);
            diagonal = row[index + 1];
            row[index + 1] = changed.min(row[index] + 1).min(diagonal + 1);
        }
    }
    row.last().copied().unwrap_or_default()
}
