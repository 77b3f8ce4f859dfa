//! Licences of all dependencies, by what each package says of itself.

use serde_json::Value;

/// Licences that ask for no more than their text and the names in it, as SPDX names them.
pub const ALLOWED: &[&str] = &[
    "0BSD",
    "Apache-2.0",
    "Apache-2.0 WITH LLVM-exception",
    "BlueOak-1.0.0",
    "BSD-1-Clause",
    "BSD-2-Clause",
    "BSD-3-Clause",
    "BSL-1.0",
    "CC0-1.0",
    // The list of roots that browsers trust, which is data.
    "CDLA-Permissive-2.0",
    "ISC",
    "MIT",
    "MIT-0",
    // Faces of letters.
    "OFL-1.1",
    "Unicode-3.0",
    "Unlicense",
    "Zlib",
];

/// Whether an expression leaves a choice that needs nothing beyond the allowed licences.
///
/// # Errors
/// When it is not an expression of SPDX; a slash for "or", as packages once wrote it, is one.
pub fn allowed(expression: &str) -> Result<bool, String> {
    let spaced = expression.replace('(', " ( ").replace(')', " ) ").replace('/', " OR ");
    let words: Vec<&str> = spaced.split_whitespace().collect();
    let mut rest = words.as_slice();
    let good = either(&mut rest).filter(|_| rest.is_empty());
    good.ok_or_else(|| format!("'{expression}' is no expression of licences"))
}

/// Takes the next word, if it is this one.
fn took(rest: &mut &[&str], word: &str) -> bool {
    match rest {
        [first, after @ ..] if *first == word => {
            *rest = after;
            true
        }
        _ => false,
    }
}

fn either(rest: &mut &[&str]) -> Option<bool> {
    let mut good = both(rest)?;
    while took(rest, "OR") {
        let other = both(rest)?;
        good |= other;
    }
    Some(good)
}

fn both(rest: &mut &[&str]) -> Option<bool> {
    let mut good = one(rest)?;
    while took(rest, "AND") {
        let other = one(rest)?;
        good &= other;
    }
    Some(good)
}

fn one(rest: &mut &[&str]) -> Option<bool> {
    if took(rest, "(") {
        let good = either(rest)?;
        return took(rest, ")").then_some(good);
    }
    let (name, after) = rest.split_first()?;
    if ["OR", "AND", "WITH", ")"].contains(name) {
        return None;
    }
    *rest = after;
    let mut whole = (*name).to_owned();
    if took(rest, "WITH") {
        let (exception, after) = rest.split_first()?;
        *rest = after;
        whole = format!("{whole} WITH {exception}");
    }
    Some(ALLOWED.contains(&whole.as_str()))
}

/// A package: name, version, licence.
pub type Package<'m> = (&'m str, &'m str, Option<&'m str>);

/// Packages from elsewhere in what `cargo metadata` says.
///
/// # Errors
/// When it is not what `cargo metadata` says.
pub fn packages(metadata: &Value) -> Result<Vec<Package<'_>>, String> {
    let packages = metadata["packages"].as_array().ok_or("cargo metadata names no packages")?;
    let foreign = packages.iter().filter(|package| !package["source"].is_null());
    let found = foreign.map(|package| {
        let (name, version) = (package["name"].as_str()?, package["version"].as_str()?);
        Some((name, version, package["license"].as_str()))
    });
    found.collect::<Option<_>>().ok_or_else(|| "a package has no name or version".to_owned())
}

/// What is wrong with whose licence.
///
/// # Errors
/// When it is not what `cargo metadata` says.
pub fn refused(metadata: &Value) -> Result<Vec<String>, String> {
    let mut found = vec![];
    for (name, version, licence) in packages(metadata)? {
        let wrong = match licence.map(allowed) {
            Some(Ok(true)) => continue,
            Some(Ok(false)) => format!("its licence '{}' is not allowed", licence.unwrap_or("")),
            Some(Err(wrong)) => wrong,
            None => "it names no licence".to_owned(),
        };
        found.push(format!("{name} {version}: {wrong}; see docs/dependencies.md"));
    }
    Ok(found)
}

#[cfg(test)]
mod tests {
    use super::*;
    use serde_json::json;

    #[test]
    fn a_choice_is_enough_and_every_part_is_needed() {
        for good in [
            "MIT",
            "MIT/Apache-2.0",
            "Apache-2.0 / MIT",
            "Apache-2.0 OR GPL-2.0-only",
            "(MIT OR Apache-2.0) AND Unicode-3.0",
            "Apache-2.0 WITH LLVM-exception OR Apache-2.0 OR MIT",
            "GPL-3.0-only AND MIT OR ISC",
        ] {
            assert_eq!(allowed(good), Ok(true), "{good}");
        }
        for bad in [
            "GPL-3.0-only",
            "MPL-2.0",
            "MIT AND GPL-2.0-only",
            "MIT AND (GPL-2.0-only OR LGPL-2.1-only)",
            "GPL-3.0-only WITH Classpath-exception-2.0",
            "Apache-2.0 WITH Commons-Clause",
        ] {
            assert_eq!(allowed(bad), Ok(false), "{bad}");
        }
        for none in ["", "MIT OR", "(MIT", "MIT)", "MIT Apache-2.0", "AND MIT", "MIT WITH", "()"] {
            assert!(allowed(none).is_err(), "{none}");
        }
    }

    #[test]
    fn a_package_with_another_licence_or_none_is_named() {
        let package = |name: &str, license: Option<&str>, foreign: bool| {
            let source = foreign.then_some("registry");
            json!({ "name": name, "version": "1.2.3", "license": license, "source": source })
        };
        let metadata = json!({ "packages": [
            package("good", Some("MIT"), true),
            package("own", None, false),
            package("viral", Some("AGPL-3.0-only"), true),
            package("silent", None, true),
        ] });
        let found = refused(&metadata).unwrap();
        assert_eq!(found.len(), 2, "{found:?}");
        assert!(found[0].starts_with("viral 1.2.3: its licence 'AGPL-3.0-only' is not allowed"));
        assert!(found[1].starts_with("silent 1.2.3: it names no licence"));
        assert!(refused(&json!({})).is_err());
    }
}
