//! Folders that go away when they are done with.

use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicU64, Ordering};

static NEXT: AtomicU64 = AtomicU64::new(0);

/// A folder of its own, deleted when it is dropped.
#[derive(Debug)]
pub struct TempFolder(PathBuf);

impl TempFolder {
    /// A new folder. Its name is short, for sockets in it have to fit in about a hundred characters.
    pub fn new(name: &str) -> TempFolder {
        let number = NEXT.fetch_add(1, Ordering::Relaxed);
        let path = std::env::temp_dir().join(format!("dl-{name}-{}-{number}", std::process::id()));
        std::fs::create_dir_all(&path).unwrap();
        TempFolder(path)
    }

    /// Where it is.
    pub fn path(&self) -> &Path {
        &self.0
    }

    /// Something in it.
    pub fn join(&self, name: &str) -> PathBuf {
        self.0.join(name)
    }
}

impl Drop for TempFolder {
    fn drop(&mut self) {
        if !std::thread::panicking() {
            drop(std::fs::remove_dir_all(&self.0));
        }
    }
}
