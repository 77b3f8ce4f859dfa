//! Photos: which pictures lie beside the store and wait for the hub, which are wanted from it, and the talk
//! that moves them. The bytes themselves are the face's: it reads, writes and hashes files.
//!
//! Small pictures go first in both directions. Whatever stops a picture stops that one only, until the next
//! talk.

use std::collections::{BTreeMap, BTreeSet};

use minicbor::bytes::ByteVec;

use super::reply::{ReplyWrong, Report};
use super::{Device, DeviceError};
use crate::exchange::frame;
use crate::exchange::photo::{
    PATH, PHOTO_BYTES_MAX, PIECE_BYTES, PhotoAnswer, PhotoAsk, PhotoName, PhotoReply, PhotoStep,
    REPLY_BYTES_MAX,
};
use crate::record::body::{Body, Kind};
use crate::record::doc_id::{DocId, DocKind};
use crate::store::doc_table::unreadable;
use crate::store::{Get, StoreError, Table, Write};

/// Times that one picture is begun anew in one talk.
const RESTARTS_MAX: u32 = 2;

/// Where a picture stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
#[repr(u8)]
enum State {
    /// Here, not at the hub yet.
    Waits = 0,
    /// Not here; asked of the hub.
    Wanted = 1,
    /// Here and at the hub.
    Both = 2,
}

const STATES: [State; 3] = [State::Waits, State::Wanted, State::Both];

/// Pictures on the way.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct PhotosWaiting {
    /// To the hub.
    pub up: u64,
    /// From the hub.
    pub down: u64,
}

/// The picture that a talk is about to move.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Carried {
    /// BLAKE3 of the picture.
    pub hash: [u8; 32],
    /// To the hub, or from it.
    pub up: bool,
    /// Where the next piece begins.
    pub at: u64,
    /// How long the next piece is at most.
    pub most: usize,
}

/// What a reply did.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Heard {
    /// Something was noted; go on.
    On,
    /// A piece to be written at its place.
    Piece {
        /// Bytes before it.
        at: u64,
        /// The piece.
        piece: Vec<u8>,
        /// It is the last one: the picture is to be hashed, then named or thrown away.
        last: bool,
    },
}

/// One talk about pictures.
#[derive(Clone, Debug, Default)]
pub struct PhotoTalk {
    skipped: BTreeSet<[u8; 32]>,
    now: Option<(PhotoName, Carried)>,
    restarts: BTreeMap<[u8; 32], u32>,
    looked_for: Vec<PhotoName>,
}

impl PhotoTalk {
    /// Leaves a picture alone until the next talk.
    fn skip(&mut self) {
        if let Some((name, _)) = self.now.take() {
            self.skipped.insert(name.hash);
        }
    }

    /// Counts that the picture is begun anew, or asked for again.
    fn begun_too_often(&mut self) -> bool {
        let Some((name, _)) = &self.now else { return false };
        let times = self.restarts.entry(name.hash).or_default();
        *times += 1;
        *times > RESTARTS_MAX
    }

    /// So many bytes of the picture that is being fetched are here from an earlier talk.
    pub const fn begun(&mut self, bytes: u64) {
        if let Some((_, now)) = &mut self.now {
            now.at = bytes;
        }
    }

    /// What was fetched is not the picture: it is fetched again from its first byte, or another time.
    pub fn bent(&mut self) {
        if self.begun_too_often() {
            self.skip();
        } else {
            self.begun(0);
        }
    }

    /// Pictures that somebody looks for and of which this device has noted nothing: it may still have them,
    /// from before its store was lost. Each is told once.
    pub fn looked_for(&mut self) -> Vec<PhotoName> {
        std::mem::take(&mut self.looked_for)
    }
}

fn key(state: State, small: bool, hash: &[u8; 32]) -> Vec<u8> {
    [&[state as u8, u8::from(!small)][..], hash].concat()
}

/// Where a picture stands, and whether it is a small one.
fn state_of(read: &impl Get, hash: &[u8; 32]) -> Result<Option<(State, bool)>, StoreError> {
    for state in STATES {
        for small in [true, false] {
            if read.get(Table::Photos, &key(state, small, hash))?.is_some() {
                return Ok(Some((state, small)));
            }
        }
    }
    Ok(None)
}

fn put(write: &Write, state: State, small: bool, name: &PhotoName) -> Result<(), StoreError> {
    if let Some((old, was_small)) = state_of(write, &name.hash)? {
        write.remove(Table::Photos, &key(old, was_small, &name.hash))?;
    }
    let value = [&name.site.0[..], &name.doc].concat();
    write.put(Table::Photos, &key(state, small, &name.hash), &value)
}

fn name_of(key: &[u8], value: &[u8]) -> Result<PhotoName, StoreError> {
    let wrong = || unreadable(Table::Photos, "row");
    let (site, doc) = value.split_first_chunk::<8>().ok_or_else(wrong)?;
    let hash = key.get(2..).and_then(|hash| hash.try_into().ok()).ok_or_else(wrong)?;
    Ok(PhotoName { site: crate::record::id::SiteId(*site), doc: ByteVec::from(doc.to_vec()), hash })
}

impl Device {
    /// A picture that a document names lies beside the store: it goes to the hub when there is time.
    pub fn photo_here(
        &mut self,
        doc: DocId,
        hash: [u8; 32],
        small: bool,
    ) -> Result<(), DeviceError> {
        self.put_photo(State::Waits, small, &PhotoName::new(doc, hash))
    }

    /// A picture that a document names is wanted; nothing happens when it is here or wanted already.
    pub fn photo_wanted(
        &mut self,
        doc: DocId,
        hash: [u8; 32],
        small: bool,
    ) -> Result<(), DeviceError> {
        if state_of(&self.store.read()?, &hash)?.is_none() {
            self.put_photo(State::Wanted, small, &PhotoName::new(doc, hash))?;
        }
        Ok(())
    }

    fn put_photo(
        &mut self,
        state: State,
        small: bool,
        name: &PhotoName,
    ) -> Result<(), DeviceError> {
        let write = self.store.write()?;
        put(&write, state, small, name)?;
        write.commit()?;
        Ok(())
    }

    /// Wants the small pictures of photos that others entered, as a report of an exchange tells.
    pub fn want_photos_of(&mut self, report: &Report) -> Result<(), DeviceError> {
        let docs: BTreeSet<DocId> = report.news.entries.keys().map(|(_, doc)| *doc).collect();
        for doc in docs.into_iter().filter(|doc| matches!(doc.kind, DocKind::Sheet(..))) {
            let papers = match self.read_doc(doc) {
                Ok(papers) => papers,
                // Only its row is here: its pictures come when it is opened.
                Err(DeviceError::NotHere(_)) => continue,
                Err(wrong) => return Err(wrong),
            };
            let small = papers.read.shown(Kind::Photo).filter_map(|entry| match &entry.body {
                Body::Photo(photo) => photo.small.as_ref()?.as_slice().try_into().ok(),
                _ => None,
            });
            let wanted: Vec<[u8; 32]> = small.collect();
            for hash in wanted {
                self.photo_wanted(doc, hash, true)?;
            }
        }
        Ok(())
    }

    /// Pictures on the way.
    pub fn photos_waiting(&self) -> Result<PhotosWaiting, DeviceError> {
        let read = self.store.read()?;
        Ok(PhotosWaiting {
            up: read.count(Table::Photos, &[State::Waits as u8])?,
            down: read.count(Table::Photos, &[State::Wanted as u8])?,
        })
    }

    /// The next piece of a talk; none when there is nothing to move any more.
    pub fn photo_next(&self, talk: &mut PhotoTalk) -> Result<Option<Carried>, DeviceError> {
        if let Some((_, now)) = &talk.now {
            return Ok(Some(*now));
        }
        let read = self.store.read()?;
        for small in [true, false] {
            for state in [State::Waits, State::Wanted] {
                let prefix = [state as u8, u8::from(!small)];
                for (key, value) in read.under(Table::Photos, &prefix)? {
                    let name = name_of(&key, &value)?;
                    if talk.skipped.contains(&name.hash) {
                        continue;
                    }
                    let (hash, up) = (name.hash, state == State::Waits);
                    let now = Carried { hash, up, at: 0, most: PIECE_BYTES };
                    talk.now = Some((name, now));
                    return Ok(Some(now));
                }
            }
        }
        Ok(None)
    }

    /// The request for the piece that [`Device::photo_next`] names: with the bytes that stand there and the
    /// size of the whole when it goes up.
    pub fn photo_request(
        &mut self,
        talk: &PhotoTalk,
        clock: i64,
        piece: &[u8],
        size: u64,
    ) -> Option<Vec<u8>> {
        let (name, now) = talk.now.as_ref()?;
        let step = match now.up {
            true => PhotoStep::Put { size, at: now.at, piece: piece.to_vec().into() },
            false => PhotoStep::Get { at: now.at },
        };
        let ask = frame::encode(&PhotoAsk { name: name.clone(), step });
        Some(self.signed_request(PATH, clock, &ask))
    }

    /// Takes a reply in.
    pub fn photo_reply(&mut self, talk: &mut PhotoTalk, bytes: &[u8]) -> Result<Heard, ReplyWrong> {
        let reply: PhotoReply = frame::decode(bytes, REPLY_BYTES_MAX)?;
        for name in reply.missing.unwrap_or_default() {
            self.photo_missed(talk, name)?;
        }
        if let Some(counter) = reply.counter {
            // Asked again with a counter that is taken; one that is beyond all sense ends the matter.
            if !self.count_on(counter) || talk.begun_too_often() {
                talk.skip();
            }
            return Ok(Heard::On);
        }
        let Some((name, now)) = talk.now.clone() else { return Ok(Heard::On) };
        match reply.answer {
            Some(PhotoAnswer::Has { whole: true, .. }) if now.up => self.photo_over(talk)?,
            Some(PhotoAnswer::Has { bytes, .. }) if now.up => {
                // Fewer than were sent: the hub began anew, because what came was not the picture.
                if bytes <= now.at && talk.begun_too_often() {
                    talk.skip();
                } else {
                    talk.now = Some((name, Carried { at: bytes, ..now }));
                }
            }
            Some(PhotoAnswer::Piece { size, at, piece }) if !now.up => {
                let end = at.saturating_add(u64::try_from(piece.len()).unwrap_or(u64::MAX));
                let fits = at == now.at && end <= size && size <= PHOTO_BYTES_MAX;
                if !fits || (piece.is_empty() && end < size) {
                    talk.skip();
                    return Ok(Heard::On);
                }
                talk.now = Some((name, Carried { at: end, ..now }));
                return Ok(Heard::Piece { at, piece: piece.into(), last: end == size });
            }
            _ => talk.skip(),
        }
        Ok(Heard::On)
    }

    /// The picture of this talk is here and at the hub.
    pub fn photo_over(&mut self, talk: &mut PhotoTalk) -> Result<(), StoreError> {
        let Some((name, _)) = talk.now.take() else { return Ok(()) };
        let write = self.store.write()?;
        if let Some((_, small)) = state_of(&write, &name.hash)? {
            put(&write, State::Both, small, &name)?;
        }
        write.commit()
    }

    /// The picture of this talk is not beside the store any more: it is wanted from the hub instead, which
    /// may have it from a colleague.
    pub fn photo_lost(&mut self, talk: &mut PhotoTalk) -> Result<(), StoreError> {
        let Some((name, _)) = talk.now.take() else { return Ok(()) };
        let write = self.store.write()?;
        if let Some((_, small)) = state_of(&write, &name.hash)? {
            put(&write, State::Wanted, small, &name)?;
        }
        write.commit()?;
        talk.skipped.insert(name.hash);
        Ok(())
    }

    /// The hub has lost a picture that this device may have.
    fn photo_missed(&mut self, talk: &mut PhotoTalk, name: PhotoName) -> Result<(), StoreError> {
        let write = self.store.write()?;
        match state_of(&write, &name.hash)? {
            Some((State::Both, small)) => {
                put(&write, State::Waits, small, &name)?;
                write.commit()?;
            }
            Some((State::Waits | State::Wanted, _)) => {}
            None => talk.looked_for.push(name),
        }
        Ok(())
    }
}
