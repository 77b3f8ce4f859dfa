//! Photos: the record holds the hash of a picture; the picture lies beside the store, under that name.

use client_core::device::{DeviceError, PhotoCarried, PhotoHeard, PhotoTalk, ReplyWrong};
use client_core::exchange::photo::PhotoName;
use client_core::present::words::hex;
use client_core::record::action::Action;
use client_core::record::body::Photo;
use client_core::record::id::ApplianceId;
use client_core::record::value::Moment;
use client_core::store::StoreError;

use super::{App, Effect};
use crate::tap::Place;

/// The choice of a photo to be seen large.
pub const LARGE: &str = "large photo";
/// Below this a picture is taken for a small one, where only its file tells.
const SMALL_BYTES: u64 = 48 * 1024;

/// A photo's hash: BLAKE3 over its bytes.
pub fn hash_of(picture: &[u8]) -> [u8; 32] {
    *blake3::hash(picture).as_bytes()
}

/// The name of a photo's file: its hash in hexadecimal digits.
pub fn photo_name(hash: &[u8]) -> String {
    hex(hash)
}

impl App {
    /// A picture was taken and lies beside the store, with a small one of the same: enters it at the unit in
    /// hand.
    pub fn photo_taken(&mut self, picture: &[u8], small: &[u8], subject: &str, now: Moment) {
        self.now = now;
        if let Err(wrong) = self.enter_photo(picture, small, subject) {
            self.fail(&wrong);
        }
    }

    fn enter_photo(
        &mut self,
        picture: &[u8],
        small: &[u8],
        subject: &str,
    ) -> Result<(), DeviceError> {
        let Some(unit) = self.state.stack.iter().rev().find_map(Place::unit) else { return Ok(()) };
        let phase = self.phase_now(unit)?;
        let hash = hash_of(picture);
        let small = (!small.is_empty()).then(|| hash_of(small));
        let photo = Photo {
            hash: hash.to_vec(),
            subject: subject.to_owned(),
            phase: Some(phase),
            size: u64::try_from(picture.len()).ok(),
            of: None,
            small: small.map(|small| small.to_vec().into()),
        };
        let sheet = self.sheet(unit)?;
        self.act(vec![(sheet, Action::Enter(vec![photo.into()]))])?;
        self.device.photo_here(sheet, hash, false)?;
        match small {
            Some(small) => self.device.photo_here(sheet, small, true),
            None => Ok(()),
        }
    }

    /// A photo is to be seen large: asked of the hub, where it is not here.
    pub(super) fn large_photo(
        &mut self,
        unit: ApplianceId,
        photo: String,
    ) -> Result<(), DeviceError> {
        if let Ok(hash) = blake3::Hash::from_hex(&photo) {
            let sheet = self.sheet(unit)?;
            self.device.photo_wanted(sheet, *hash.as_bytes(), false)?;
            self.effects.push(Effect::Photos);
        }
        self.state.chosen.insert(LARGE.to_owned(), photo);
        Ok(())
    }

    // --- to the hub and from it: the scripts carry the bytes ---

    /// Begins a talk about pictures.
    pub fn photos_begin(&mut self) {
        self.photos = PhotoTalk::default();
    }

    /// The next piece to be moved.
    pub fn photo_next(&mut self) -> Result<Option<PhotoCarried>, DeviceError> {
        self.device.photo_next(&mut self.photos)
    }

    /// So many bytes of it came in an earlier talk.
    pub fn photo_begun(&mut self, bytes: u64) {
        self.photos.begun(bytes);
    }

    /// The request for it.
    pub fn photo_request(&mut self, piece: &[u8], size: u64, now: Moment) -> Option<Vec<u8>> {
        self.now = now;
        self.device.photo_request(&self.photos, now.secs, piece, size)
    }

    /// Takes a reply in.
    pub fn photo_reply(&mut self, bytes: &[u8]) -> Result<PhotoHeard, ReplyWrong> {
        self.device.photo_reply(&mut self.photos, bytes)
    }

    /// The picture is here now.
    pub fn photo_over(&mut self) -> Result<(), StoreError> {
        self.device.photo_over(&mut self.photos)
    }

    /// What came is not the picture.
    pub fn photo_bent(&mut self) {
        self.photos.bent();
    }

    /// The picture is not beside the store any more.
    pub fn photo_lost(&mut self) -> Result<(), StoreError> {
        self.device.photo_lost(&mut self.photos)
    }

    /// Pictures that the hub has lost and that may lie here though nothing is noted of them.
    pub fn photos_looked_for(&mut self) -> Vec<PhotoName> {
        self.photos.looked_for()
    }

    /// One of them does: it goes to the hub.
    pub fn photo_found(&mut self, name: &PhotoName, size: u64) -> Result<(), DeviceError> {
        let Some(doc) = name.doc() else { return Ok(()) };
        self.device.photo_here(doc, name.hash, size < SMALL_BYTES)
    }
}
