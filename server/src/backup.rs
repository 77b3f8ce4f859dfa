//! Backups: a copy of the log's store as it stood at one moment, checked before it counts, and the way
//! back.

use std::path::{Path, PathBuf};

use client_core::record::id::{LogId, SiteId};
use client_core::store::pictures::Pictures;
use client_core::store::{Get, Store, StoreError};
use serde::{Deserialize, Serialize};

use crate::access::counter::raise_order_floor;
use crate::access::people::step_over_lost_versions;
use crate::folder::{Folder, FolderWrong, make_private};
use crate::identity::HubIdentity;
use crate::log::check::{Checked, Fault, check};
use crate::log::copy::copy;
use crate::log::redb::RedbLog;

const LOG: &str = "log.redb";
const ABOUT: &str = "backup.toml";
const PICTURES: &str = "photos";

/// Why there is no backup, or why it cannot be brought back.
#[derive(Debug, thiserror::Error)]
pub enum BackupWrong {
    /// Something is there already.
    #[error("{}: it is there already; name a new folder", .0.display())]
    Exists(PathBuf),
    /// Not a backup.
    #[error("{}: there is no backup here; a backup is a folder with {LOG} in it", .0.display())]
    None(PathBuf),
    /// A hub is there already.
    #[error("{}: a hub is here already; nothing is overwritten, move the folder aside first", .0.display())]
    HubThere(PathBuf),
    /// The copy does not hold together.
    #[error("{}: the log does not hold together: {fault}", path.display())]
    Fault {
        /// The file.
        path: PathBuf,
        /// What is wrong.
        #[source]
        fault: Box<Fault>,
    },
    /// The file system says no.
    #[error("{}: {wrong}", path.display())]
    Io {
        /// The file or folder.
        path: PathBuf,
        /// Why.
        #[source]
        wrong: std::io::Error,
    },
    /// A store failed.
    #[error("{}: {wrong}", path.display())]
    Store {
        /// The file.
        path: PathBuf,
        /// Why.
        #[source]
        wrong: StoreError,
    },
    /// The folder failed.
    #[error(transparent)]
    Folder(#[from] FolderWrong),
}

/// What a backup is of.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct About {
    /// The hub.
    pub hub: String,
    /// When it was taken, seconds since 1970.
    pub taken_at: i64,
    /// Logs of sites in it.
    pub sites: u64,
    /// Arrivals in it.
    pub arrivals: u64,
}

/// A backup that was taken.
#[derive(Clone, Debug)]
pub struct Taken {
    /// What it is of.
    pub about: About,
    /// Ends of the logs that it holds.
    pub ends: Vec<(SiteId, u64)>,
}

/// Copies a log's store and the pictures into a folder, checks the copy, and only then gives the folder its
/// name.
pub fn take(from: &impl Get, folder: &Folder, to: &Path, now: i64) -> Result<Taken, BackupWrong> {
    let free = match std::fs::read_dir(to) {
        Ok(mut inside) => inside.next().is_none(),
        Err(wrong) => wrong.kind() == std::io::ErrorKind::NotFound,
    };
    if !free {
        return Err(BackupWrong::Exists(to.to_owned()));
    }
    let mut name = to.as_os_str().to_owned();
    name.push(".making");
    let making = PathBuf::from(name);
    if making.exists() {
        let io = |wrong| BackupWrong::Io { path: making.clone(), wrong };
        std::fs::remove_dir_all(&making).map_err(io)?;
    }
    make_private(&making)?;
    let file = making.join(LOG);
    let store = |wrong| BackupWrong::Store { path: file.clone(), wrong };
    let ends = copy(from, &file, folder.manner()).map_err(store)?;
    let checked = checked(&file, folder)?;
    let identity = HubIdentity::load(from).map_err(store)?;
    let about = About {
        hub: identity.map(|identity| identity.hub.to_string()).unwrap_or_default(),
        taken_at: now,
        sites: checked.sites,
        arrivals: checked.arrivals,
    };
    let io = |path: &Path| {
        let path = path.to_owned();
        move |wrong| BackupWrong::Io { path, wrong }
    };
    let pictures = Pictures::new(making.join(PICTURES));
    folder.photos().copy_to(&pictures).map_err(io(&making))?;
    let text = toml::to_string(&about).unwrap_or_default();
    let note = making.join(ABOUT);
    std::fs::write(&note, text).map_err(io(&note))?;
    sync(&note).map_err(io(&note))?;
    sync(&making).map_err(io(&making))?;
    std::fs::rename(&making, to).map_err(io(to))?;
    if let Some(above) = to.parent().filter(|above| !above.as_os_str().is_empty()) {
        sync(above).map_err(io(above))?;
    }
    Ok(Taken { about, ends })
}

/// Brings a backup back into a folder that holds no hub. The log gets a new id: it is another log now,
/// and devices compare what they hold with it.
pub fn restore(
    from: &Path,
    folder: &Folder,
    new: LogId,
    now: i64,
) -> Result<(Checked, Option<About>), BackupWrong> {
    let source = from.join(LOG);
    if !source.is_file() {
        return Err(BackupWrong::None(from.to_owned()));
    }
    if folder.log_file().exists() {
        return Err(BackupWrong::HubThere(folder.path().to_owned()));
    }
    folder.make()?;
    let mut name = folder.log_file().into_os_string();
    name.push(".restoring");
    let making = PathBuf::from(name);
    let io = |wrong| BackupWrong::Io { path: making.clone(), wrong };
    std::fs::copy(&source, &making).map_err(io)?;
    sync(&making).map_err(io)?;
    // Checked on the copy: opening writes, and a backup stays as it is.
    let found = checked(&making, folder)?;
    let wrong = |wrong| BackupWrong::Store { path: making.clone(), wrong };
    let store = Store::open_file(&making, folder.manner()).map_err(wrong)?;
    RedbLog::rename(&store, new).map_err(wrong)?;
    step_over_lost_versions(&store).map_err(wrong)?;
    let floor = u64::try_from(now).unwrap_or_default().saturating_mul(1_000);
    raise_order_floor(&store, floor).map_err(wrong)?;
    drop(store);
    // Pictures first: a folder that has its log is a hub.
    Pictures::new(from.join(PICTURES)).copy_to(&folder.photos()).map_err(io)?;
    folder.discard_view()?;
    std::fs::rename(&making, folder.log_file()).map_err(io)?;
    sync(folder.path()).map_err(io)?;
    let about = std::fs::read_to_string(from.join(ABOUT)).ok();
    Ok((found, about.and_then(|text| toml::from_str(&text).ok())))
}

/// Opens a copy, which reads the whole file, and checks the log in it.
fn checked(file: &Path, folder: &Folder) -> Result<Checked, BackupWrong> {
    let wrong = |wrong| BackupWrong::Store { path: file.to_owned(), wrong };
    let store = Store::open_file(file, folder.manner()).map_err(wrong)?;
    let read = store.read().map_err(wrong)?;
    check(&read)
        .map_err(|fault| BackupWrong::Fault { path: file.to_owned(), fault: Box::new(fault) })
}

fn sync(path: &Path) -> std::io::Result<()> {
    std::fs::File::open(path)?.sync_all()
}
