//! Pictures between this device and the hub: the files lie in the store's folder.

use client_core::device::{PhotoHeard, PhotoTalk};
use client_core::exchange::photo::PATH;
use client_core::store::pictures::{Has, Pictures, digits};

use crate::commands::exchange::body;
use crate::desk::{Desk, file_wrong};
use crate::error::Trouble;
use crate::wire::Wire;

/// The folder of the pictures, in the store's folder.
const FOLDER: &str = "photos";

/// What a trip moved.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Moved {
    /// Pictures to the hub.
    pub up: u64,
    /// Pictures from the hub.
    pub down: u64,
}

/// The pictures beside the store.
pub fn pictures(desk: &Desk<'_>) -> Result<Pictures, Trouble> {
    Ok(Pictures::new(desk.file(FOLDER)?))
}

/// A failure of the pictures' files, as a trouble.
pub fn pictures_wrong(desk: &Desk<'_>, wrong: &std::io::Error) -> Trouble {
    match desk.file(FOLDER) {
        Ok(folder) => file_wrong(&folder, "read or written", wrong),
        Err(trouble) => trouble,
    }
}

/// Moves what waits, in both directions, piece by piece.
pub fn carry(desk: &mut Desk<'_>, wire: &mut dyn Wire) -> Result<Moved, Trouble> {
    let before = desk.device()?.photos_waiting()?;
    let mut talk = PhotoTalk::default();
    while desk.device()?.photo_next(&mut talk)?.is_some() {
        piece(desk, wire, &mut talk)?;
        let left = desk.device()?.photos_waiting()?;
        desk.ui.progress(&format!("pictures: {} to send, {} to fetch", left.up, left.down));
        for lost in talk.looked_for() {
            let files = pictures(desk)?;
            let has = files.has(&lost.hash).map_err(|wrong| pictures_wrong(desk, &wrong))?;
            if let (Has::Whole(_), Some(doc)) = (has, lost.doc()) {
                desk.device()?.photo_here(doc, lost.hash, false)?;
            }
        }
    }
    let after = desk.device()?.photos_waiting()?;
    Ok(Moved {
        up: before.up.saturating_sub(after.up),
        down: before.down.saturating_sub(after.down),
    })
}

fn piece(desk: &mut Desk<'_>, wire: &mut dyn Wire, talk: &mut PhotoTalk) -> Result<(), Trouble> {
    let files = pictures(desk)?;
    let Some(mut next) = desk.device()?.photo_next(talk)? else { return Ok(()) };
    let (mut bytes, mut size) = (vec![], 0);
    if next.up {
        let here = files.piece(&next.hash, next.at, next.most);
        match here.map_err(|wrong| pictures_wrong(desk, &wrong))? {
            Some((whole, piece)) => (size, bytes) = (whole, piece),
            None => {
                desk.device()?.photo_lost(talk)?;
                return Ok(());
            }
        }
    } else if next.at == 0 {
        match files.has(&next.hash).map_err(|wrong| pictures_wrong(desk, &wrong))? {
            Has::Whole(_) => {
                desk.device()?.photo_over(talk)?;
                return Ok(());
            }
            Has::Begun(begun) => {
                next.at = begun;
                talk.begun(begun);
            }
        }
    }
    let clock = desk.now().secs;
    let Some(request) = desk.device()?.photo_request(talk, clock, &bytes, size) else {
        return Ok(());
    };
    let reply = body(wire.post(PATH, &request)?)?;
    let PhotoHeard::Piece { at, piece, last } = desk.device()?.photo_reply(talk, &reply)? else {
        return Ok(());
    };
    let end = at.saturating_add(u64::try_from(piece.len()).unwrap_or(u64::MAX));
    let size = if last { end } else { end.saturating_add(1) };
    let has = files.put(&next.hash, size, at, &piece);
    match has.map_err(|wrong| pictures_wrong(desk, &wrong))? {
        Has::Whole(_) => desk.device()?.photo_over(talk)?,
        // Thrown away: it was not the picture.
        Has::Begun(0) if last => talk.bent(),
        Has::Begun(begun) => talk.begun(begun),
    }
    desk.ui.progress(&format!("picture {}: {end} bytes", &digits(&next.hash)[..12]));
    Ok(())
}
