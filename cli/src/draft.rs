//! Drafts: what was typed and not done is kept in the store, so that nobody types it again.
//!
//! When the disk is full the store takes nothing. A small file that was filled with zeros when the store
//! was made is then written over in place, which needs no new room on most file systems; what lies there
//! goes into the store with the next command that works.

use std::io::{Read as _, Seek as _, Write as _};
use std::path::Path;

use serde_json::{Value, json};

use crate::desk::Desk;
use crate::error::Trouble;
use crate::ui::Tone;

/// Bytes kept for the day when the disk is full.
const SPARE_BYTES: usize = 16 * 1024;
const SPARE_FILE: &str = "spare";

/// A draft.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Draft {
    /// What was typed, without the program's name.
    pub typed: Vec<String>,
    /// When, seconds since 1970.
    pub at: i64,
    /// Why it was not done.
    pub why: String,
}

impl Draft {
    fn write(&self) -> Vec<u8> {
        json!({ "typed": self.typed, "at": self.at, "why": self.why }).to_string().into_bytes()
    }

    /// Reads a draft.
    pub fn read(bytes: &[u8]) -> Option<Draft> {
        let value: Value = serde_json::from_slice(bytes).ok()?;
        let typed = value["typed"].as_array()?;
        Some(Draft {
            typed: typed
                .iter()
                .map(|word| word.as_str().map(str::to_owned))
                .collect::<Option<_>>()?,
            at: value["at"].as_i64()?,
            why: value["why"].as_str()?.to_owned(),
        })
    }
}

/// A command line as it would be typed again.
pub fn quoted(typed: &[String]) -> String {
    let one = |word: &String| {
        let plain = |letter: char| letter.is_ascii_alphanumeric() || "-_=./:,+%@".contains(letter);
        if !word.is_empty() && word.chars().all(plain) {
            word.clone()
        } else {
            format!("'{}'", word.replace('\'', "'\\''"))
        }
    };
    typed.iter().map(one).collect::<Vec<_>>().join(" ")
}

/// Keeps what was typed and says where.
pub(crate) fn keep(desk: &mut Desk<'_>, typed: &[String], why: &Trouble) {
    let draft = Draft { typed: typed.to_vec(), at: desk.now().secs, why: why.to_string() };
    let name = desk.resuming.clone();
    match put(desk, name.as_deref(), &draft) {
        Ok(name) => {
            let says = format!(
                "kept as draft {name}; go on with `dripleg draft resume {name} MORE ...`, or drop it"
            );
            desk.ui.talk(Tone::Dim, &says);
        }
        Err(Trouble::Device(_)) => {
            let says = format!("not kept, there is no store for it yet: dripleg {}", quoted(typed));
            desk.ui.talk(Tone::Look, &says);
        }
        Err(_) if to_spare(desk, &draft) => {
            desk.ui.talk(
                Tone::Look,
                "the store takes nothing; what was typed is kept beside it and becomes a draft with \
                 the next command that works",
            );
        }
        Err(_) => {
            let says = format!("not kept; what was typed was: dripleg {}", quoted(typed));
            desk.ui.talk(Tone::Look, &says);
        }
    }
}

fn put(desk: &mut Desk<'_>, name: Option<&str>, draft: &Draft) -> Result<String, Trouble> {
    let device = desk.device()?;
    let name = if let Some(name) = name {
        name.to_owned()
    } else {
        let last = device.drafts()?.iter().filter_map(|name| name.parse::<u32>().ok()).max();
        last.unwrap_or(0).saturating_add(1).to_string()
    };
    device.put_draft(&name, &draft.write())?;
    Ok(name)
}

/// Keeps room for one draft beside the store.
pub(crate) fn reserve(folder: &Path) {
    let file = folder.join(SPARE_FILE);
    if !file.exists() {
        // Where even this does not fit, drafts are printed instead.
        drop(std::fs::write(&file, vec![0; SPARE_BYTES]));
    }
}

fn to_spare(desk: &Desk<'_>, draft: &Draft) -> bool {
    let Ok(file) = desk.file(SPARE_FILE) else { return false };
    let bytes = draft.write();
    let Ok(length) = u32::try_from(bytes.len()) else { return false };
    if bytes.len() + 4 > SPARE_BYTES || !spare_is_free(&file) {
        return false;
    }
    let write = || -> std::io::Result<()> {
        let mut out = std::fs::OpenOptions::new().write(true).open(&file)?;
        out.seek(std::io::SeekFrom::Start(4))?;
        out.write_all(&bytes)?;
        out.sync_data()?;
        // The length last: half a draft is none.
        out.seek(std::io::SeekFrom::Start(0))?;
        out.write_all(&length.to_be_bytes())?;
        out.sync_data()
    };
    write().is_ok()
}

fn spare_is_free(file: &Path) -> bool {
    let mut length = [1; 4];
    let read = std::fs::File::open(file).and_then(|mut file| file.read_exact(&mut length));
    read.is_ok() && length == [0; 4]
}

/// Puts what lies in the spare file into the store, once that takes it again.
pub(crate) fn back_from_spare(desk: &mut Desk<'_>) {
    let Ok(file) = desk.file(SPARE_FILE) else { return };
    if desk.open_device().is_none() || spare_is_free(&file) {
        return;
    }
    let Ok(bytes) = std::fs::read(&file) else { return };
    let Some((length, rest)) = bytes.split_first_chunk::<4>() else { return };
    let length = usize::try_from(u32::from_be_bytes(*length)).unwrap_or(usize::MAX);
    let Some(draft) = rest.get(..length).and_then(Draft::read) else { return };
    if let Ok(name) = put(desk, None, &draft) {
        drop(std::fs::write(&file, vec![0; SPARE_BYTES]));
        desk.ui.talk(Tone::Dim, &format!("what was typed while the disk was full is draft {name}"));
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn drafts_go_there_and_back() {
        let draft = Draft {
            typed: vec!["note".to_owned(), "it's \u{1b} odd".to_owned(), String::new()],
            at: 7,
            why: "no reason".to_owned(),
        };
        assert_eq!(Draft::read(&draft.write()), Some(draft));
        assert_eq!(Draft::read(b"[1]"), None);
        assert_eq!(Draft::read(b"\xff"), None);
    }

    #[test]
    fn a_line_can_be_typed_again() {
        let typed = ["found", "UH-05", "manifold_high=3.5 in wc", "--because", "it's so"];
        let typed: Vec<String> = typed.iter().map(|word| (*word).to_owned()).collect();
        let line = quoted(&typed);
        assert_eq!(line, "found UH-05 'manifold_high=3.5 in wc' --because 'it'\\''s so'");
    }
}
