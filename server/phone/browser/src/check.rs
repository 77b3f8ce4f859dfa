//! The tests in a browser: what they need is looked for first, and installed where that is allowed.

use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

use tests::net::Wrong;

/// What the tests need, and the packages of Debian that bring it.
const NEEDED: &[(&str, &str)] =
    &[("chromium", "chromium"), ("firefox-esr", "firefox-esr"), ("node", "nodejs"), ("npm", "npm")];

/// Builds, prepares and runs the cases whose names hold one of the words.
pub(crate) fn run(top: &Path, only: &[&str]) -> Result<(), Wrong> {
    script(top, "run.mjs", only)
}

/// Makes the pictures of the guide anew, and one of every screen under `target`.
pub(crate) fn pictures(top: &Path) -> Result<(), Wrong> {
    script(top, "pictures.mjs", &[])
}

/// Measures taps and times, and prints them.
pub(crate) fn bench(top: &Path) -> Result<(), Wrong> {
    script(top, "bench.mjs", &[])
}

fn script(top: &Path, script: &str, words: &[&str]) -> Result<(), Wrong> {
    for (program, package) in NEEDED {
        need(program, package)?;
    }
    let files = top.join("target/phone-bundle");
    let made = bundle::build(top, &files)?;
    println!(
        "phone: first download {} bytes compressed, words of other languages {} afterwards",
        made.first_download(),
        made.later_download()
    );
    let cases = prepare(top)?;
    let hub = std::env::current_exe()?;
    let mut command = Command::new("node");
    command.arg(script).args(words).current_dir(&cases);
    command.env("DRIPLEG_HUB_PROGRAM", hub).env("DRIPLEG_BUNDLE", files);
    command.env("DRIPLEG_GUIDE", top.join("docs/guides/pictures"));
    command.env("DRIPLEG_PICTURES", top.join("target/phone-pictures"));
    command.env("DRIPLEG_SCENARIO", top.join("tests/fixtures/demo/scenario.json"));
    let outcome = command.status()?;
    if outcome.success() { Ok(()) } else { Err(format!("{script} failed in the browser").into()) }
}

/// Makes sure of a program.
fn need(program: &str, package: &str) -> Result<(), Wrong> {
    let there = || {
        let mut command = Command::new(program);
        command.arg("--version").stdout(Stdio::null()).stderr(Stdio::null());
        command.status().is_ok_and(|status| status.success())
    };
    if there() {
        return Ok(());
    }
    println!("browser: {program} is not here; trying to install the package {package} ...");
    let installs = [&["update", "--quiet"][..], &["install", "--yes", "--quiet", package][..]];
    for arguments in installs {
        let mut command = Command::new("apt-get");
        command.args(arguments).env("DEBIAN_FRONTEND", "noninteractive").stdout(Stdio::null());
        // Whether it went well is seen below.
        drop(command.status());
    }
    if there() {
        return Ok(());
    }
    let words = format!(
        "{program} is needed for the tests in a browser and could not be installed; install it \
         ('apt-get install {package}' as root, or as your system does it) and run this again. \
         Nothing was tested"
    );
    Err(words.into())
}

/// Copies the tests beside their packages, outside the sources, and installs those.
fn prepare(top: &Path) -> Result<PathBuf, Wrong> {
    let from = top.join("server/phone/browser/cases");
    let to = top.join("target/phone-browser");
    std::fs::create_dir_all(&to)?;
    let lock = std::fs::read(from.join("package-lock.json"))?;
    let fresh = std::fs::read(to.join("package-lock.json")).is_ok_and(|own| own == lock)
        && to.join("node_modules").exists();
    for entry in std::fs::read_dir(&to)? {
        let path = entry?.path();
        if path.extension().is_some_and(|ending| ending == "mjs") {
            std::fs::remove_file(path)?;
        }
    }
    for entry in std::fs::read_dir(&from)? {
        let path = entry?.path();
        if let Some(name) = path.file_name() {
            std::fs::copy(&path, to.join(name))?;
        }
    }
    if !fresh {
        let mut command = Command::new("npm");
        command.args(["ci", "--no-audit", "--no-fund", "--ignore-scripts"]).current_dir(&to);
        if !command.status()?.success() {
            drop(std::fs::remove_file(to.join("package-lock.json")));
            return Err("npm could not install the packages of the tests".into());
        }
    }
    Ok(to)
}
