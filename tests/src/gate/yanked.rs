//! Versions that their publisher took back. Cargo goes on with them as long as they stand in `Cargo.lock`,
//! and says nothing. Asked for the very same versions without that file it refuses them, by what the
//! registry's index says now: so a package is made up that asks for all of them, and cargo is asked.

use std::fmt::Write as _;
use std::path::Path;
use std::process::Command;

use serde_json::Value;

use super::licence::packages;

/// The made-up package: every version to the letter, none of their features.
///
/// # Errors
/// When it is not what `cargo metadata` says.
pub fn probe(metadata: &Value, without: &[String]) -> Result<String, String> {
    let mut text = "[package]\nname = \"probe\"\nversion = \"0.0.0\"\nedition = \"2024\"\n\n\
                    [workspace]\n\n[dependencies]\n"
        .to_owned();
    for (at, (name, version, _)) in packages(metadata)?.into_iter().enumerate() {
        if !without.contains(&said(name, version)) {
            let line = format!(
                "d{at} = {{ package = \"{name}\", version = \"={version}\", default-features = false }}"
            );
            writeln!(text, "{line}").map_err(|wrong| wrong.to_string())?;
        }
    }
    Ok(text)
}

fn said(name: &str, version: &str) -> String {
    format!("{name} {version}")
}

/// What cargo said to the made-up package.
#[derive(Debug, PartialEq, Eq)]
pub enum Heard {
    /// This one was taken back.
    Yanked(String),
    /// The registry was not reached.
    NotReached,
    /// Something else.
    Other(String),
}

/// Reads what cargo said when it failed.
pub fn hear(words: &str) -> Heard {
    let wanted = words.lines().find_map(|line| line.split("for the requirement `").nth(1));
    let taken = words.lines().any(|line| line.trim_end().ends_with("is yanked"));
    let named = wanted.and_then(|line| line.split('`').next()?.split_once(" = "));
    if let Some((name, version)) = named.filter(|_| taken) {
        return Heard::Yanked(said(name, version.trim_matches(['"', '='])));
    }
    let away = ["failed to download", "Could not resolve host", "Could not connect", "network"];
    match away.iter().any(|own| words.contains(own)) {
        true => Heard::NotReached,
        false => Heard::Other(words.trim().to_owned()),
    }
}

/// Versions that were taken back; none where the registry is not reached.
///
/// # Errors
/// When cargo cannot be started, or fails in another way.
pub fn yanked(metadata: &Value, folder: &Path) -> Result<Option<Vec<String>>, String> {
    let failed = |wrong: std::io::Error| format!("{}: {wrong}", folder.display());
    std::fs::create_dir_all(folder.join("src")).map_err(failed)?;
    std::fs::write(folder.join("src/lib.rs"), "").map_err(failed)?;
    let mut found = vec![];
    loop {
        std::fs::write(folder.join("Cargo.toml"), probe(metadata, &found)?).map_err(failed)?;
        // Without its own file cargo chooses anew.
        let lock = folder.join("Cargo.lock");
        if lock.exists() {
            std::fs::remove_file(lock).map_err(failed)?;
        }
        let mut command = Command::new("cargo");
        command.args(["generate-lockfile", "--quiet"]).current_dir(folder);
        let ran = command.output().map_err(|wrong| format!("cargo could not be started: {wrong}"));
        let ran = ran?;
        if ran.status.success() {
            return Ok(Some(found));
        }
        match hear(&String::from_utf8_lossy(&ran.stderr)) {
            Heard::Yanked(one) if !found.contains(&one) => found.push(one),
            Heard::NotReached => return Ok(None),
            Heard::Yanked(words) | Heard::Other(words) => return Err(words),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use serde_json::json;

    const TAKEN_BACK: &str = "error: failed to select a version for the requirement \
         `crossing = \"=0.5.13\"`\n  version 0.5.13 is yanked\nlocation searched: the index\n";

    #[test]
    fn what_cargo_says_is_heard() {
        assert_eq!(hear(TAKEN_BACK), Heard::Yanked("crossing 0.5.13".to_owned()));
        let away =
            "error: failed to get `a`\n\nCaused by:\n  failed to download from `config.json`\n";
        assert_eq!(hear(away), Heard::NotReached);
        let gone = TAKEN_BACK.replace("is yanked", "is not there");
        assert!(matches!(hear(&gone), Heard::Other(_)));
    }

    #[test]
    fn the_made_up_package_asks_for_each_version_once() {
        let metadata = json!({ "packages": [
            { "name": "one", "version": "1.2.3", "license": "MIT", "source": "registry" },
            { "name": "one", "version": "0.9.0", "license": "MIT", "source": "registry" },
            { "name": "own", "version": "0.1.0", "license": "MIT", "source": null },
        ] });
        let all = probe(&metadata, &[]).unwrap();
        assert!(all.contains("version = \"=1.2.3\"") && all.contains("version = \"=0.9.0\""));
        assert!(!all.contains("own"), "{all}");
        let rest = probe(&metadata, &["one 1.2.3".to_owned()]).unwrap();
        assert!(!rest.contains("1.2.3") && rest.contains("0.9.0"), "{rest}");
    }
}
