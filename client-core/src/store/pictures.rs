//! Pictures beside a store: files named by the BLAKE3 of their bytes, each in a folder of its first two
//! digits. What is not whole yet has another ending and counts for nothing.

use std::fs::{self, File, OpenOptions};
use std::io::{self, Read as _, Seek as _, SeekFrom, Write as _};
use std::path::{Path, PathBuf};
use std::time::{Duration, SystemTime};

use crate::record::body::PHOTO_BYTES_MAX;

/// After how long what was begun and never ended is thrown away.
const BEGUN_MAX: Duration = Duration::from_secs(30 * 24 * 3_600);

/// Pictures of a hub, or of a device that has a file system.
#[derive(Clone, Debug)]
pub struct Pictures {
    folder: PathBuf,
}

/// How much of a picture is here.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Has {
    /// All of it.
    Whole(u64),
    /// So many bytes of it, from the first on.
    Begun(u64),
}

/// A hash in hexadecimal digits.
pub fn digits(hash: &[u8; 32]) -> String {
    blake3::Hash::from_bytes(*hash).to_hex().to_string()
}

/// The hash that hexadecimal digits tell.
pub fn hash_of(digits: &str) -> Option<[u8; 32]> {
    let small = !digits.bytes().any(|byte| byte.is_ascii_uppercase());
    small.then(|| blake3::Hash::from_hex(digits).ok().map(|hash| *hash.as_bytes())).flatten()
}

/// The kind of a picture and the ending of its file, by its first bytes; whatever is no picture is bytes.
pub fn kind_of(picture: &[u8]) -> (&'static str, &'static str) {
    match picture {
        [0xff, 0xd8, 0xff, ..] => ("image/jpeg", "jpg"),
        [0x89, b'P', b'N', b'G', ..] => ("image/png", "png"),
        _ => ("application/octet-stream", "bin"),
    }
}

fn missing_as_none<T>(outcome: io::Result<T>) -> io::Result<Option<T>> {
    match outcome {
        Err(wrong) if wrong.kind() == io::ErrorKind::NotFound => Ok(None),
        outcome => outcome.map(Some),
    }
}

impl Pictures {
    /// Pictures in a folder; it is made when the first one comes.
    pub const fn new(folder: PathBuf) -> Pictures {
        Pictures { folder }
    }

    fn shelf(&self, hash: &[u8; 32]) -> PathBuf {
        let digits = digits(hash);
        self.folder.join(digits.get(..2).unwrap_or_default())
    }

    fn file(&self, hash: &[u8; 32]) -> PathBuf {
        self.shelf(hash).join(digits(hash))
    }

    fn begun(&self, hash: &[u8; 32]) -> PathBuf {
        self.shelf(hash).join(format!("{}.begun", digits(hash)))
    }

    /// How much of a picture is here.
    pub fn has(&self, hash: &[u8; 32]) -> io::Result<Has> {
        if let Some(about) = missing_as_none(fs::metadata(self.file(hash)))? {
            return Ok(Has::Whole(about.len()));
        }
        let begun = missing_as_none(fs::metadata(self.begun(hash)))?;
        Ok(Has::Begun(begun.map_or(0, |about| about.len())))
    }

    /// Takes a piece that begins at `at`; says how much is here then. A piece that does not fit what is here
    /// changes nothing. When the last piece came, the picture is durable before this returns; bytes that are
    /// not the picture are thrown away.
    pub fn put(&self, hash: &[u8; 32], size: u64, at: u64, piece: &[u8]) -> io::Result<Has> {
        let here = match self.has(hash)? {
            Has::Begun(here) => here,
            whole @ Has::Whole(_) => return Ok(whole),
        };
        if here > 0 && here >= size {
            // Somebody began it with other bytes: as many as this are not the beginning of the picture.
            fs::remove_file(self.begun(hash))?;
            return Ok(Has::Begun(0));
        }
        let end = at.saturating_add(u64::try_from(piece.len()).unwrap_or(u64::MAX));
        if at != here || end > size || size > PHOTO_BYTES_MAX {
            return Ok(Has::Begun(here));
        }
        make_private(&self.shelf(hash))?;
        let path = self.begun(hash);
        let mut file = OpenOptions::new().create(true).append(true).open(&path)?;
        if let Err(wrong) = file.write_all(piece) {
            // What a full disk took of the piece is given back.
            file.set_len(here)?;
            return Err(wrong);
        }
        if end < size {
            return Ok(Has::Begun(end));
        }
        file.sync_all()?;
        drop(file);
        if blake3::hash(&fs::read(&path)?) != blake3::Hash::from_bytes(*hash) {
            fs::remove_file(&path)?;
            return Ok(Has::Begun(0));
        }
        fs::rename(&path, self.file(hash))?;
        sync(&self.shelf(hash))?;
        sync(&self.folder)?;
        Ok(Has::Whole(size))
    }

    /// The piece that begins at `at`, with the size of the whole; none when the picture is not here.
    pub fn piece(
        &self,
        hash: &[u8; 32],
        at: u64,
        most: usize,
    ) -> io::Result<Option<(u64, Vec<u8>)>> {
        let Some(mut file) = missing_as_none(File::open(self.file(hash)))? else {
            return Ok(None);
        };
        let size = file.metadata()?.len();
        file.seek(SeekFrom::Start(at.min(size)))?;
        let mut piece = vec![];
        file.take(u64::try_from(most).unwrap_or(u64::MAX)).read_to_end(&mut piece)?;
        Ok(Some((size, piece)))
    }

    /// A whole picture; none when it is not here.
    pub fn read(&self, hash: &[u8; 32]) -> io::Result<Option<Vec<u8>>> {
        missing_as_none(fs::read(self.file(hash)))
    }

    /// Throws away what was begun long ago and never ended.
    pub fn sweep(&self, now: SystemTime) -> io::Result<()> {
        for path in self.files()? {
            let begun = path.extension().is_some_and(|ending| ending == "begun");
            let age =
                fs::metadata(&path)?.modified().ok().and_then(|at| now.duration_since(at).ok());
            if begun && age.is_some_and(|age| age > BEGUN_MAX) {
                fs::remove_file(&path)?;
            }
        }
        Ok(())
    }

    /// Copies every whole picture that is not there yet into another folder; says how many.
    pub fn copy_to(&self, other: &Pictures) -> io::Result<u64> {
        let mut copied = 0;
        for path in self.files()? {
            let name = path.file_name().and_then(|name| name.to_str()).and_then(hash_of);
            let Some(hash) = name else { continue };
            if matches!(other.has(&hash)?, Has::Whole(_)) {
                continue;
            }
            let bytes = fs::read(&path)?;
            let size = u64::try_from(bytes.len()).unwrap_or(u64::MAX);
            // A picture that has rotted on the disk is not carried on.
            if blake3::hash(&bytes) == blake3::Hash::from_bytes(hash)
                && matches!(other.put(&hash, size, 0, &bytes)?, Has::Whole(_))
            {
                copied += 1;
            }
        }
        Ok(copied)
    }

    fn files(&self) -> io::Result<Vec<PathBuf>> {
        let mut found = vec![];
        for shelf in missing_as_none(fs::read_dir(&self.folder))?.into_iter().flatten() {
            let shelf = shelf?.path();
            if shelf.is_dir() {
                for file in fs::read_dir(shelf)? {
                    found.push(file?.path());
                }
            }
        }
        found.sort();
        Ok(found)
    }
}

/// Makes a folder with everything above it, readable to its owner only.
fn make_private(path: &Path) -> io::Result<()> {
    let mut builder = fs::DirBuilder::new();
    builder.recursive(true);
    #[cfg(unix)]
    std::os::unix::fs::DirBuilderExt::mode(&mut builder, 0o700);
    builder.create(path)
}

fn sync(path: &Path) -> io::Result<()> {
    File::open(path)?.sync_all()
}
