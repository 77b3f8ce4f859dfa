//! The hub's folder: its two stores and its pictures, and the hub made of them.

use std::path::{Path, PathBuf};
use std::sync::Arc;

use client_core::record::id::LogId;
use client_core::store::pictures::Pictures;
use client_core::store::{Get, Manner, Store, StoreError, Table};

use crate::access::Access;
use crate::hub::{Hub, Random};
use crate::identity::HubIdentity;
use crate::log::redb::RedbLog;
use crate::log::{HubLog, LogError};
use crate::view::View;

const VIEW_OF: &[u8] = b"view of log";

/// Why a folder cannot be opened.
#[derive(Debug, thiserror::Error)]
pub enum FolderWrong {
    /// Another program has it.
    #[error("{}: another program has it open; a folder serves one hub", .0.display())]
    Busy(PathBuf),
    /// Written by a newer program.
    #[error(
        "{}: the store is format {found}, this program reads up to {known}; use the newer program",
        path.display()
    )]
    Newer {
        /// The file.
        path: PathBuf,
        /// Format found.
        found: u32,
        /// Newest format known.
        known: u32,
    },
    /// The log is damaged.
    #[error(
        "{}: the log is damaged ({wrong}); move the folder aside and bring the last backup back with \
         'dripleg-hub restore'; devices offer again what it does not hold",
        path.display()
    )]
    Damaged {
        /// The file.
        path: PathBuf,
        /// What is wrong.
        wrong: String,
    },
    /// The log is gone.
    #[error(
        "{}: the log is missing, though the view beside it is there; bring the log or a backup back, \
         or move the folder aside to begin a new hub",
        .0.display()
    )]
    LogGone(PathBuf),
    /// There is no hub in the folder.
    #[error("{}: there is no hub here yet; 'dripleg-hub run' makes one", .0.display())]
    NoHub(PathBuf),
    /// The file system says no.
    #[error("{}: {wrong}", path.display())]
    Io {
        /// The file or folder.
        path: PathBuf,
        /// Why.
        #[source]
        wrong: std::io::Error,
    },
    /// The store failed.
    #[error("{}: {wrong}", path.display())]
    Store {
        /// The file.
        path: PathBuf,
        /// Why.
        #[source]
        wrong: StoreError,
    },
}

/// A hub's folder.
#[derive(Clone, Debug)]
pub struct Folder {
    path: PathBuf,
    cache_bytes: usize,
}

/// A hub with the store below its log.
#[derive(Debug)]
pub struct Opened {
    /// The hub.
    pub hub: Hub,
    /// The store of the log.
    pub store: Arc<Store>,
    /// The store of the view.
    pub view_store: Arc<Store>,
    /// The log was begun just now.
    pub first_start: bool,
    /// The view was made anew, for this reason.
    pub view_made: Option<String>,
}

impl Folder {
    /// A folder; nothing is touched yet.
    pub const fn new(path: PathBuf, cache_bytes: usize) -> Folder {
        Folder { path, cache_bytes }
    }

    /// Where it is.
    pub fn path(&self) -> &Path {
        &self.path
    }

    /// The file of the log.
    pub fn log_file(&self) -> PathBuf {
        self.path.join("log.redb")
    }

    /// The file of the view.
    pub fn view_file(&self) -> PathBuf {
        self.path.join("view.redb")
    }

    /// The socket on which a running hub hears its console.
    pub fn socket(&self) -> PathBuf {
        self.path.join("console.sock")
    }

    /// The pictures.
    pub fn photos(&self) -> Pictures {
        Pictures::new(self.path.join("photos"))
    }

    /// How stores of this folder commit.
    pub const fn manner(&self) -> Manner {
        Manner { cache_bytes: self.cache_bytes, ..Manner::HUB }
    }

    /// Makes the folder, readable to its owner only.
    pub fn make(&self) -> Result<(), FolderWrong> {
        make_private(&self.path)
    }

    /// Opens the hub of this folder, or makes one.
    pub fn open(&self, random: Random) -> Result<Opened, FolderWrong> {
        self.make()?;
        let first_start = !self.log_file().exists();
        if first_start && self.view_file().exists() {
            return Err(FolderWrong::LogGone(self.log_file()));
        }
        let store = match first_start {
            true => Store::create_file(&self.log_file(), self.manner()),
            false => Store::open_file(&self.log_file(), self.manner()),
        };
        let store = Arc::new(store.map_err(|wrong| log_wrong(self.log_file(), wrong))?);
        self.open_on(store, first_start, random)
    }

    /// Opens the store of the log alone, for commands that need no hub.
    pub fn open_log(&self) -> Result<Store, FolderWrong> {
        if !self.log_file().exists() {
            return Err(FolderWrong::NoHub(self.path.clone()));
        }
        Store::open_file(&self.log_file(), self.manner())
            .map_err(|wrong| log_wrong(self.log_file(), wrong))
    }

    fn open_on(
        &self,
        store: Arc<Store>,
        first_start: bool,
        mut random: Random,
    ) -> Result<Opened, FolderWrong> {
        let wrong = |wrong: StoreError| log_wrong(self.log_file(), wrong);
        let of_log = |failed: LogError| match failed {
            LogError::Store(failed) => wrong(failed),
            failed @ (LogError::Damaged { .. } | LogError::Gap { .. }) => {
                FolderWrong::Damaged { path: self.log_file(), wrong: failed.to_string() }
            }
        };
        let mut bytes = [0; 40];
        random(&mut bytes);
        let identity = HubIdentity::open(&store, HubIdentity::new(&bytes)).map_err(wrong)?;
        let mut id = [0; 8];
        random(&mut id);
        let log = RedbLog::open(Arc::clone(&store), identity.hub, LogId(id)).map_err(of_log)?;
        let access = Access::open(Arc::clone(&store), &log, identity.company()).map_err(of_log)?;
        let (view, view_made) = self.open_view(log.id())?;
        let view_store = Arc::clone(view.store());
        let mut hub = Hub::new(identity, Box::new(log), access, view, random);
        let photos = self.photos();
        if let Err(wrong) = photos.sweep(std::time::SystemTime::now()) {
            // They are in nobody's way but the disk's.
            tracing::warn!(%wrong, "photos that were begun long ago were not thrown away");
        }
        hub.keep_photos(photos);
        Ok(Opened { hub, store, view_store, first_start, view_made })
    }

    /// Opens the view. One that cannot be read, or is of another log, is made anew: it is derived.
    fn open_view(&self, log: LogId) -> Result<(View, Option<String>), FolderWrong> {
        let path = self.view_file();
        let made = match Store::open_file(&path, self.manner()) {
            Ok(store) => match view_on(store, log) {
                Ok(Some(view)) => return Ok((view, None)),
                Ok(None) => Some("it is of another log".to_owned()),
                Err(wrong) => Some(wrong.to_string()),
            },
            Err(StoreError::Missing(_)) => None,
            Err(StoreError::Busy) => return Err(FolderWrong::Busy(path)),
            Err(wrong) => Some(wrong.to_string()),
        };
        self.discard_view()?;
        let fail = |wrong| FolderWrong::Store { path: path.clone(), wrong };
        let store = Store::create_file(&path, self.manner()).map_err(fail)?;
        let write = store.write().map_err(fail)?;
        write.put(Table::Meta, VIEW_OF, &log.0).map_err(fail)?;
        write.commit().map_err(fail)?;
        Ok((View::open(Arc::new(store)).map_err(fail)?, made))
    }

    /// Deletes the view; the next opening makes it anew.
    pub fn discard_view(&self) -> Result<(), FolderWrong> {
        let path = self.view_file();
        match std::fs::remove_file(&path) {
            Err(wrong) if wrong.kind() != std::io::ErrorKind::NotFound => {
                Err(FolderWrong::Io { path, wrong })
            }
            _ => Ok(()),
        }
    }
}

fn view_on(store: Store, log: LogId) -> Result<Option<View>, StoreError> {
    let of = store.read()?.get(Table::Meta, VIEW_OF)?;
    match of.as_deref() == Some(&log.0[..]) {
        true => View::open(Arc::new(store)).map(Some),
        false => Ok(None),
    }
}

fn log_wrong(path: PathBuf, wrong: StoreError) -> FolderWrong {
    match wrong {
        StoreError::Busy => FolderWrong::Busy(path),
        StoreError::Newer { found, known } => FolderWrong::Newer { path, found, known },
        StoreError::Missing(_) | StoreError::Exists(_) | StoreError::Full | StoreError::Io(_) => {
            FolderWrong::Store { path, wrong }
        }
        StoreError::Foreign
        | StoreError::Damaged { .. }
        | StoreError::Unreadable { .. }
        | StoreError::Corrupted(_) => FolderWrong::Damaged { path, wrong: wrong.to_string() },
    }
}

/// Makes a folder with everything above it, readable to its owner only.
pub fn make_private(path: &Path) -> Result<(), FolderWrong> {
    let wrong = |wrong| FolderWrong::Io { path: path.to_owned(), wrong };
    if path.is_dir() {
        return Ok(());
    }
    let mut builder = std::fs::DirBuilder::new();
    builder.recursive(true);
    #[cfg(unix)]
    std::os::unix::fs::DirBuilderExt::mode(&mut builder, 0o700);
    builder.create(path).map_err(wrong)
}
