//! The house: who may name whom, what every file and document owes.

mod layers;
mod tidy;

use std::path::{Path, PathBuf};

/// The top of the project.
fn top() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).parent().unwrap().to_path_buf()
}

/// Files below a folder with this ending, paths relative to the top.
fn files(below: &str, ending: &str) -> Vec<(String, String)> {
    let mut found = vec![];
    let mut open = vec![top().join(below)];
    while let Some(folder) = open.pop() {
        let Ok(entries) = std::fs::read_dir(&folder) else { continue };
        for entry in entries {
            let path = entry.unwrap().path();
            let name = path.file_name().unwrap().to_string_lossy().into_owned();
            if path.is_dir() {
                if name != "target" && name != "node_modules" && !name.starts_with('.') {
                    open.push(path);
                }
            } else if name.ends_with(ending) {
                let shown = path.strip_prefix(top()).unwrap().to_string_lossy().into_owned();
                if let Ok(text) = std::fs::read_to_string(&path) {
                    found.push((shown, text));
                }
            }
        }
    }
    found.sort();
    found
}
