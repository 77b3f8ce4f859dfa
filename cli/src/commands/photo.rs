//! `photo`: enter that a photo was taken.

use client_core::exchange::photo::PHOTO_BYTES_MAX;
use client_core::record::action::Action;
use client_core::record::body::Photo;
use client_core::record::code::Phase;

use crate::args::{At, Entering};
use crate::carry::{pictures, pictures_wrong};
use crate::desk::{Desk, file_wrong};
use crate::entries;
use crate::error::Trouble;
use crate::pairs;
use crate::save::save;
use crate::ui::Tone;

/// Enter a photo by its file: the record keeps its BLAKE3 hash and size, and the picture goes to the hub
///
/// A copy of the file lies beside the store until it is there. Pictures of more than 4 MiB stay where they
/// are.
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
    let hash = *hasher.finalize().as_bytes();
    let travels = (1..=PHOTO_BYTES_MAX).contains(&size);
    if travels {
        let picture = std::fs::read(&args.file).map_err(wrong)?;
        // The picture is durable before the entry that names it.
        let kept = pictures(desk)?.put(&hash, size, 0, &picture);
        kept.map_err(|wrong| pictures_wrong(desk, &wrong))?;
    }
    let of = match &args.of {
        Some(typed) => Some(entries::named(typed, &entries::around(desk, &place)?)?.entry.id),
        None => None,
    };
    let photo = Photo {
        hash: hash.to_vec(),
        subject: args.subject.clone(),
        phase: args.phase,
        size: Some(size),
        of,
        small: None,
    };
    save(desk, &place.book, &args.entering, vec![(doc, Action::Enter(vec![photo.into()]))])?;
    if travels {
        desk.device()?.photo_here(doc, hash, false)?;
    } else {
        let says = format!("the picture stays where it is: only those of 1 to {PHOTO_BYTES_MAX} bytes travel");
        desk.ui.talk(Tone::Look, &says);
    }
    Ok(())
}
