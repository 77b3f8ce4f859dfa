//! Builds what the hub hands to phones: the core as wasm, its glue, the shell around it, and each file
//! once more in brotli and gzip.
//!
//! Nothing is downloaded: wasm-bindgen's own library makes the glue, locked to the same version as the
//! crate that it is for.

use std::collections::BTreeMap;
use std::fmt::Write as _;
use std::io::Write as _;
use std::path::{Path, PathBuf};
use std::process::Command;

use phone::words::Language;
use sha2::{Digest, Sha256};

const TARGET: &str = "wasm32-unknown-unknown";
const PROFILE: &str = "phone";
/// The file that lists the others for the phone's cache; itself it is never cached there.
const OFFLINE: &str = "offline.js";
/// How the name of a file of words begins. It is fetched after the shell, or when its language is read.
const WORDS: &str = "words-";
/// Stands in `offline.js` for the list of those files.
const LATER_MARK: &[u8] = b"@later@";
/// Stands in the shell's files for the hash over all of them.
const VERSION_MARK: &[u8] = b"@version@";
/// Stands in `offline.js` for the list of files.
const FILES_MARK: &[u8] = b"@files@";

/// Why the bundle could not be made.
#[derive(Debug, thiserror::Error)]
pub enum BundleWrong {
    /// The crate does not build.
    #[error("the phone's crate does not build for {TARGET}: {0}")]
    Build(String),
    /// The glue cannot be made.
    #[error("the glue of the phone's wasm cannot be made: {0}")]
    Glue(String),
    /// A file cannot be read or written.
    #[error("{}: {wrong}", path.display())]
    File {
        /// The file.
        path: PathBuf,
        /// What is wrong.
        wrong: std::io::Error,
    },
}

/// One file of the bundle with its sizes in bytes.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Made {
    /// Its name.
    pub name: String,
    /// Bytes as they are.
    pub plain: usize,
    /// Bytes in brotli.
    pub brotli: usize,
}

/// A bundle.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Bundle {
    /// Hash over all files: the name of the phone's cache.
    pub version: String,
    /// The files.
    pub files: Vec<Made>,
}

impl Bundle {
    /// Bytes of a first visit in English, compressed.
    pub fn first_download(&self) -> usize {
        let first = self.files.iter().filter(|made| !made.name.starts_with(WORDS));
        first.map(|made| made.brotli).sum()
    }

    /// Bytes that come afterwards, when nobody waits: the words of other languages.
    pub fn later_download(&self) -> usize {
        let all: usize = self.files.iter().map(|made| made.brotli).sum();
        all - self.first_download()
    }
}

/// Builds the crate and writes the bundle. `top` is the workspace, `out` the folder that the hub serves.
pub fn build(top: &Path, out: &Path) -> Result<Bundle, BundleWrong> {
    let wasm = compile(top)?;
    let mut files = shell(&top.join("server/phone/static"))?;
    files.extend(glue(&wasm)?);
    files.extend(words());
    write(out, files)
}

/// Compiles the phone's crate.
fn compile(top: &Path) -> Result<PathBuf, BundleWrong> {
    let cargo = std::env::var_os("CARGO").unwrap_or_else(|| "cargo".into());
    let outcome = Command::new(cargo)
        .args([
            "build",
            "--quiet",
            "-p",
            "phone",
            "--lib",
            "--profile",
            PROFILE,
            "--target",
            TARGET,
        ])
        .current_dir(top)
        .status();
    match outcome {
        Ok(status) if status.success() => {}
        Ok(status) => return Err(BundleWrong::Build(status.to_string())),
        Err(wrong) => return Err(BundleWrong::Build(wrong.to_string())),
    }
    let target =
        std::env::var_os("CARGO_TARGET_DIR").map_or_else(|| top.join("target"), Into::into);
    Ok(target.join(TARGET).join(PROFILE).join("phone.wasm"))
}

/// The wasm as browsers take it, and the script that loads it.
fn glue(wasm: &Path) -> Result<BTreeMap<String, Vec<u8>>, BundleWrong> {
    let wrong = |wrong: &dyn std::fmt::Display| BundleWrong::Glue(format!("{wrong:#}"));
    let mut bindgen = wasm_bindgen_cli_support::Bindgen::new();
    bindgen.input_path(wasm).typescript(false).remove_name_section(true);
    bindgen.remove_producers_section(true).omit_default_module_path(true);
    let bindgen = bindgen.web(true).map_err(|own| wrong(&own))?;
    let mut output = bindgen.generate_output().map_err(|own| wrong(&own))?;
    let script = output.js().as_bytes().to_vec();
    let bytes = output.wasm_mut().emit_wasm();
    Ok(BTreeMap::from([("phone.js".to_owned(), script), ("phone.wasm".to_owned(), bytes)]))
}

/// The words of every language but English, which stands in the screens.
fn words() -> impl Iterator<Item = (String, Vec<u8>)> {
    let others = Language::ALL.into_iter().filter(|language| *language != Language::English);
    others.map(|language| {
        let name = format!("{WORDS}{}.txt", language.key());
        (name, phone::words::file(language).into_bytes())
    })
}

/// The files of the shell, by name.
fn shell(folder: &Path) -> Result<BTreeMap<String, Vec<u8>>, BundleWrong> {
    let mut found = BTreeMap::new();
    let mut folders = vec![folder.to_path_buf()];
    while let Some(own) = folders.pop() {
        let listed = std::fs::read_dir(&own).map_err(|wrong| file(&own, wrong))?;
        for entry in listed {
            let path = entry.map_err(|wrong| file(&own, wrong))?.path();
            if path.is_dir() {
                folders.push(path);
                continue;
            }
            let bytes = std::fs::read(&path).map_err(|wrong| file(&path, wrong))?;
            let name = path.strip_prefix(folder).unwrap_or(&path);
            let parts = name.components().map(|part| part.as_os_str().to_string_lossy());
            found.insert(parts.collect::<Vec<_>>().join("/"), bytes);
        }
    }
    Ok(found)
}

fn file(path: &Path, wrong: std::io::Error) -> BundleWrong {
    BundleWrong::File { path: path.to_path_buf(), wrong }
}

fn write(out: &Path, mut files: BTreeMap<String, Vec<u8>>) -> Result<Bundle, BundleWrong> {
    let version = version(&files);
    let licence = |name: &String| name.contains("LICENSE");
    let listed = files.keys().filter(|name| *name != OFFLINE && !licence(name));
    let (later, list): (Vec<&String>, Vec<&String>) =
        listed.partition(|name| name.starts_with(WORDS));
    let quoted = |names: Vec<&String>| {
        names.iter().map(|name| format!("\"{name}\"")).collect::<Vec<_>>().join(",")
    };
    let (later, list) = (quoted(later), quoted(list));
    for content in files.values_mut() {
        *content = replaced(content, VERSION_MARK, version.as_bytes());
    }
    if let Some(offline) = files.get_mut(OFFLINE) {
        *offline = replaced(offline, FILES_MARK, list.as_bytes());
        *offline = replaced(offline, LATER_MARK, later.as_bytes());
    }
    if out.exists() {
        std::fs::remove_dir_all(out).map_err(|wrong| file(out, wrong))?;
    }
    let mut made = vec![];
    for (name, content) in &files {
        let path = out.join(name);
        let parent = path.parent().unwrap_or(out);
        std::fs::create_dir_all(parent).map_err(|wrong| file(parent, wrong))?;
        let put = |path: &Path, bytes: &[u8]| {
            std::fs::write(path, bytes).map_err(|wrong| file(path, wrong))
        };
        put(&path, content)?;
        let packed = brotli(content).map_err(|wrong| file(&path, wrong))?;
        let zipped = gzip(content).map_err(|wrong| file(&path, wrong))?;
        // A font is packed already: what does not shrink is sent as it is.
        let shrinks = packed.len() + 64 < content.len();
        if shrinks {
            put(&beside(&path, "br"), &packed)?;
            put(&beside(&path, "gz"), &zipped)?;
        }
        let brotli = if shrinks { packed.len() } else { content.len() };
        made.push(Made { name: name.clone(), plain: content.len(), brotli });
    }
    made.retain(|own| !licence(&own.name));
    Ok(Bundle { version, files: made })
}

fn beside(path: &Path, ending: &str) -> PathBuf {
    let mut name = path.as_os_str().to_owned();
    name.push(".");
    name.push(ending);
    PathBuf::from(name)
}

/// Twelve digits of a hash over every name and content.
fn version(files: &BTreeMap<String, Vec<u8>>) -> String {
    let mut hash = Sha256::new();
    for (name, content) in files {
        hash.update(name.as_bytes());
        hash.update([0]);
        hash.update(Sha256::digest(content));
    }
    let digest = hash.finalize();
    digest.iter().take(6).fold(String::new(), |mut text, byte| {
        write!(text, "{byte:02x}").expect("writing to memory does not fail");
        text
    })
}

fn replaced(content: &[u8], mark: &[u8], with: &[u8]) -> Vec<u8> {
    let mut out = Vec::with_capacity(content.len());
    let mut rest = content;
    while let Some(at) = rest.windows(mark.len()).position(|window| window == mark) {
        out.extend_from_slice(&rest[..at]);
        out.extend_from_slice(with);
        rest = &rest[at + mark.len()..];
    }
    out.extend_from_slice(rest);
    out
}

fn brotli(content: &[u8]) -> std::io::Result<Vec<u8>> {
    let mut packed = vec![];
    let mut writer = brotli::CompressorWriter::new(&mut packed, 64 * 1024, 11, 24);
    writer.write_all(content)?;
    writer.flush()?;
    drop(writer);
    Ok(packed)
}

fn gzip(content: &[u8]) -> std::io::Result<Vec<u8>> {
    let mut writer = flate2::write::GzEncoder::new(vec![], flate2::Compression::best());
    writer.write_all(content)?;
    writer.finish()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_version_follows_every_byte_and_stands_in_the_files() {
        let mut files = BTreeMap::from([("a.js".to_owned(), b"let v = '@version@'".to_vec())]);
        let one = version(&files);
        files.insert("b.css".to_owned(), vec![]);
        assert_ne!(one, version(&files));
        assert_eq!(replaced(b"x@version@y@version@", VERSION_MARK, b"1"), b"x1y1");
        assert_eq!(replaced(b"none", VERSION_MARK, b"1"), b"none");
    }
}
