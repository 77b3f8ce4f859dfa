//! `photo`: enter that a photo was taken.

use client_core::record::action::Action;
use client_core::record::body::Photo;
use client_core::record::code::Phase;

use crate::args::{At, Entering};
use crate::desk::{Desk, file_wrong};
use crate::entries;
use crate::error::Trouble;
use crate::pairs;
use crate::save::save;

/// Enter a photo by its file: the record keeps its BLAKE3 hash and size, the picture stays where it is
#[derive(Debug, clap::Args)]
pub struct Args {
    /// The unit
    unit: String,
    /// The file
    file: std::path::PathBuf,
    /// What it shows: plate, part, meter dial, printout, ...
    #[arg(long, default_value = "unit")]
    subject: String,
    /// Found or left
    #[arg(long, value_parser = pairs::phase)]
    phase: Option<Phase>,
    /// The entry that it belongs to
    #[arg(long, value_name = "ENTRY")]
    of: Option<String>,
    #[command(flatten)]
    at: At,
    #[command(flatten)]
    entering: Entering,
}

pub(crate) fn run(args: &Args, desk: &mut Desk<'_>) -> Result<(), Trouble> {
    let (place, _, doc) = entries::sheet(desk, &args.at, &args.unit)?;
    let wrong = |wrong: std::io::Error| file_wrong(&args.file, "read", &wrong);
    let mut file = std::fs::File::open(&args.file).map_err(wrong)?;
    let mut hasher = blake3::Hasher::new();
    let size = std::io::copy(&mut file, &mut hasher).map_err(wrong)?;
    let of = match &args.of {
        Some(typed) => Some(entries::named(typed, &entries::around(desk, &place)?)?.entry.id),
        None => None,
    };
    let photo = Photo {
        hash: hasher.finalize().as_bytes().to_vec(),
        subject: args.subject.clone(),
        phase: args.phase,
        size: Some(size),
        of,
    };
    save(desk, &place.book, &args.entering, vec![(doc, Action::Enter(vec![photo.into()]))])?;
    Ok(())
}
