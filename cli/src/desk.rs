//! Where a command works: the open store, the writer, the clock, and where the person stands.

use std::io::Write as _;
use std::path::{Path, PathBuf};

use client_core::device::Device;
use client_core::device::identity::Identity;
use client_core::record::id::{SiteId, VisitId};
use client_core::record::stamp::Stamp;
use client_core::record::value::Moment;
use client_core::store::{Store, StoreError};
use client_core::trade::unit::System;

use crate::args::{self, At, Cli, Entering, Global};
use crate::book::{self, Book};
use crate::commands;
use crate::draft;
use crate::error::Trouble;
use crate::find;
use crate::outside::{Connect, Outside, Stores};
use crate::ui::{Colour, Manners, Tone, Ui};
use crate::wire::{Wire, WireWrong};

/// Name of the store's file in its folder.
pub const STORE_FILE: &str = "device.redb";
/// Name of the file of certificates to trust in a store's folder.
pub const TRUST_FILE: &str = "trust.pem";
/// Name of the file that says which visit a person works on.
const HERE_FILE: &str = "here";

/// Where a command works.
pub struct Desk<'u> {
    /// The writer.
    pub ui: Ui<'u>,
    /// Units to show figures in, where asked for.
    pub system: Option<System>,
    /// A draft that is being resumed: it is kept under its own name.
    pub resuming: Option<String>,
    /// How deep command files are nested.
    pub depth: u8,
    folder: Option<PathBuf>,
    device: Option<Device>,
    now_ms: &'u (dyn Fn() -> i64 + 'u),
    offset_min: i16,
    connect: &'u Connect<'u>,
    stores: &'u (dyn Stores + 'u),
    random: fn(&mut [u8]),
}

impl std::fmt::Debug for Desk<'_> {
    fn fmt(&self, out: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        out.debug_struct("Desk").field("folder", &self.folder).finish_non_exhaustive()
    }
}

/// A site and a visit with the names of everything.
#[derive(Debug)]
pub struct Place {
    /// Names.
    pub book: Book,
    /// The site.
    pub site: SiteId,
    /// The visit.
    pub visit: VisitId,
}

/// Runs a command.
pub(crate) fn run(cli: Cli, typed: &[String], outside: &mut Outside<'_>) -> u8 {
    let folder = folder(&cli.global, outside);
    let manners = manners(&cli.global, outside);
    let asks = outside.in_terminal && outside.err_terminal && !cli.global.json;
    let Outside { out, err, input, now_ms, offset_min, connect, random, stores, .. } = outside;
    let ui = Ui::new(out, err, input, manners, asks);
    let mut desk = Desk {
        ui,
        system: cli.global.units.map(args::Units::system),
        resuming: None,
        depth: 0,
        folder,
        device: None,
        now_ms,
        offset_min: *offset_min,
        connect,
        stores: stores.as_ref(),
        random: *random,
    };
    desk.carry_out(cli.command, typed)
}

fn manners(global: &Global, outside: &Outside<'_>) -> Manners {
    let plain = (outside.var)("NO_COLOR").is_some_and(|value| !value.is_empty())
        || (outside.var)("TERM").is_some_and(|term| term == "dumb");
    let on = |terminal: bool| match global.color {
        Colour::Auto => terminal && !plain,
        Colour::Always => true,
        Colour::Never => false,
    };
    Manners {
        json: global.json,
        colour: on(outside.out_terminal),
        colour_err: on(outside.err_terminal),
        live: outside.err_terminal,
    }
}

/// The store's folder: as typed, by the environment, or the person's own.
fn folder(global: &Global, outside: &Outside<'_>) -> Option<PathBuf> {
    let var = |name: &str| (outside.var)(name).filter(|value| !value.is_empty());
    let home = || var("HOME").map(PathBuf::from);
    let own = || {
        if cfg!(windows) {
            var("LOCALAPPDATA").map(PathBuf::from)
        } else if cfg!(target_os = "macos") {
            home().map(|home| home.join("Library/Application Support"))
        } else {
            let data = var("XDG_DATA_HOME").map(PathBuf::from);
            data.or_else(|| home().map(|home| home.join(".local/share")))
        }
    };
    let typed = global.store.clone().or_else(|| var("DRIPLEG_STORE").map(PathBuf::from));
    typed.or_else(|| own().map(|folder| folder.join("dripleg")))
}

impl Desk<'_> {
    /// Carries a command out; answers the exit code. A refused or half-typed entry is kept as a draft.
    pub fn carry_out(&mut self, command: args::Command, typed: &[String]) -> u8 {
        let keeps = command.keeps();
        let outcome = commands::run(command, self).and_then(|()| self.ui.end());
        match outcome {
            Ok(()) => {
                draft::back_from_spare(self);
                0
            }
            Err(Trouble::Pipe) => 0,
            Err(trouble) => {
                self.tell(&trouble);
                if keeps {
                    draft::keep(self, typed, &trouble);
                }
                drop(self.ui.end());
                trouble.code()
            }
        }
    }

    /// Says what went wrong and what to do next.
    pub fn tell(&mut self, trouble: &Trouble) {
        self.ui.talk(Tone::Stop, &trouble.to_string());
        if let Some(hint) = trouble.hint() {
            self.ui.talk(Tone::Plain, &format!("  {hint}"));
        }
    }

    /// The store's folder.
    pub fn folder(&self) -> Result<&Path, Trouble> {
        self.folder.as_deref().ok_or_else(|| {
            Trouble::Usage("no folder for the store is known; name one with --store".to_owned())
        })
    }

    /// A file in the store's folder.
    pub fn file(&self, name: &str) -> Result<PathBuf, Trouble> {
        Ok(self.folder()?.join(name))
    }

    /// Makes the store of this folder, for joining. A store that is there and belongs to no device yet
    /// is taken.
    pub fn make_store(&self) -> Result<Store, Trouble> {
        let folder = self.folder()?;
        let wrong = |wrong: std::io::Error| file_wrong(folder, "made", &wrong);
        std::fs::create_dir_all(folder).map_err(wrong)?;
        private(folder);
        let file = folder.join(STORE_FILE);
        let made = match self.stores.create(&file) {
            Err(StoreError::Exists(_)) => self.stores.open(&file)?,
            made => made?,
        };
        private(&file);
        draft::reserve(folder);
        Ok(made)
    }

    /// Opens the store alone.
    pub fn open_store(&self) -> Result<Store, Trouble> {
        Ok(self.stores.open(&self.file(STORE_FILE)?)?)
    }

    /// The device of this store, opened at the first call.
    pub fn device(&mut self) -> Result<&mut Device, Trouble> {
        if self.device.is_none() {
            let store = self.open_store()?;
            let random = self.random;
            let mut device = Device::open(store, Box::new(random))?;
            device.count_from(u64::try_from((self.now_ms)()).unwrap_or_default());
            self.device = Some(device);
        }
        Ok(self.device.as_mut().expect("it was opened just now"))
    }

    /// Keeps a device that was made just now.
    pub fn enrolled(&mut self, store: Store, identity: Identity) -> Result<(), Trouble> {
        let random = self.random;
        self.device = Some(Device::enrol(store, &identity, Box::new(random))?);
        Ok(())
    }

    /// The device if it is open.
    pub fn open_device(&mut self) -> Option<&mut Device> {
        self.device.as_mut()
    }

    /// A connection to the hub at an address.
    pub fn wire(&self, address: &str) -> Result<Box<dyn Wire>, WireWrong> {
        let trust = self.folder.as_ref().map(|folder| folder.join(TRUST_FILE));
        let trust = trust.filter(|file| file.exists());
        (self.connect)(address, trust.as_deref())
    }

    /// Random bytes.
    pub fn fill(&self, out: &mut [u8]) {
        (self.random)(out);
    }

    /// The moment now.
    pub fn now(&self) -> Moment {
        Moment { secs: (self.now_ms)().div_euclid(1_000), offset_min: self.offset_min }
    }

    /// The stamp of an entry.
    pub fn stamp(&mut self, book: &Book, entering: &Entering) -> Result<Stamp, Trouble> {
        let by = self.device()?.identity().person;
        let at = match &entering.at {
            Some(at) => *at,
            None => self.now(),
        };
        let mut stamp = Stamp::new(by, at);
        if let Some(person) = &entering.entered_for {
            stamp.entered_for = Some(book.find_person(person)?);
        }
        Ok(stamp)
    }

    /// Names of everything on this device.
    pub fn book(&mut self) -> Result<Book, Trouble> {
        Book::of(self.device()?)
    }

    /// The site that is meant: as typed, that of the visit worked on, or the only one.
    pub fn site(&mut self, book: &Book, typed: Option<&str>) -> Result<SiteId, Trouble> {
        if typed.is_none()
            && let Some((site, _)) = self.here()
            && book.sites.iter().any(|(id, _)| *id == site)
        {
            return Ok(site);
        }
        book.find_site(typed)
    }

    /// The visit that is meant: as typed, the one worked on, or the only one that no supervisor signed.
    pub fn place(&mut self, at: &At) -> Result<Place, Trouble> {
        let book = self.book()?;
        let typed_site = match at.site.as_deref() {
            Some(typed) => Some(book.find_site(Some(typed))?),
            None => None,
        };
        let here = self.here();
        let device = self.device()?;
        if let Some(typed) = &at.visit {
            let (site, visit) = book::find_visit(device, &book, typed_site, typed)?;
            return Ok(Place { book, site, visit });
        }
        if let Some((site, visit)) = here
            && typed_site.is_none_or(|typed| typed == site)
            && device.visits(site)?.iter().any(|listed| listed.id == visit)
        {
            return Ok(Place { book, site, visit });
        }
        let mut open = vec![];
        let all = book::visits(device, &book, typed_site)?;
        for candidate in all.clone() {
            let (site, visit) = candidate.id;
            let rows = device.visits(site)?;
            let row = rows.iter().find(|listed| listed.id == visit);
            if row.is_some_and(|listed| !listed.row.released()) {
                open.push(candidate);
            }
        }
        let (site, visit) = find::only("visit", if open.is_empty() { &all } else { &open })?;
        Ok(Place { book, site, visit })
    }

    /// The visit that a person said to work on.
    pub fn here(&self) -> Option<(SiteId, VisitId)> {
        let text = std::fs::read_to_string(self.file(HERE_FILE).ok()?).ok()?;
        let (site, visit) = text.trim().split_once(' ')?;
        Some((site.parse().ok()?, visit.parse().ok()?))
    }

    /// Notes the visit that a person works on; none forgets it.
    pub fn set_here(&self, here: Option<(SiteId, VisitId)>) -> Result<(), Trouble> {
        let file = self.file(HERE_FILE)?;
        match here {
            Some((site, visit)) => write_whole(&file, format!("{site} {visit}\n").as_bytes()),
            None => match std::fs::remove_file(&file) {
                Err(wrong) if wrong.kind() != std::io::ErrorKind::NotFound => {
                    Err(file_wrong(&file, "removed", &wrong))
                }
                _ => Ok(()),
            },
        }
    }
}

/// Writes a file whole or not at all.
pub fn write_whole(file: &Path, bytes: &[u8]) -> Result<(), Trouble> {
    let mut name = file.as_os_str().to_owned();
    name.push(".making");
    let making = PathBuf::from(name);
    let write = || -> std::io::Result<()> {
        let mut out = std::fs::File::create(&making)?;
        out.write_all(bytes)?;
        out.sync_all()?;
        std::fs::rename(&making, file)
    };
    write().map_err(|wrong| file_wrong(file, "written", &wrong))
}

/// A file that could not be read or written, as a trouble.
pub fn file_wrong(file: &Path, what: &'static str, wrong: &std::io::Error) -> Trouble {
    Trouble::File { file: file.display().to_string(), what, wrong: wrong.to_string() }
}

/// Keeps what lies in the store to its owner, where the system knows owners.
fn private(path: &Path) {
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt as _;
        let mode = if path.is_dir() { 0o700 } else { 0o600 };
        // A file system without owners keeps its own rules.
        drop(std::fs::set_permissions(path, std::fs::Permissions::from_mode(mode)));
    }
    #[cfg(not(unix))]
    {
        let _ = path;
    }
}
