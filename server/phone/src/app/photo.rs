//! Photos: the record holds the hash of a picture; the picture lies beside the store, under that name.

use client_core::device::DeviceError;
use client_core::record::action::Action;
use client_core::record::body::Photo;
use client_core::record::value::Moment;

use super::App;
use crate::tap::Place;

/// A photo's hash: BLAKE3 over its bytes.
pub fn hash_of(picture: &[u8]) -> Vec<u8> {
    blake3::hash(picture).as_bytes().to_vec()
}

/// The name of a photo's file: its hash in hexadecimal digits.
pub fn photo_name(hash: &[u8]) -> String {
    use std::fmt::Write as _;
    hash.iter().fold(String::new(), |mut name, byte| {
        write!(name, "{byte:02x}").expect("writing to memory does not fail");
        name
    })
}

impl App {
    /// A picture was taken and lies beside the store: enters it at the unit in hand.
    pub fn photo_taken(&mut self, hash: Vec<u8>, subject: &str, size: u64, now: Moment) {
        self.now = now;
        if let Err(wrong) = self.enter_photo(hash, subject, size) {
            self.fail(&wrong);
        }
    }

    fn enter_photo(&mut self, hash: Vec<u8>, subject: &str, size: u64) -> Result<(), DeviceError> {
        let Some(unit) = self.state.stack.iter().rev().find_map(Place::unit) else { return Ok(()) };
        let phase = self.phase_now(unit)?;
        let photo = Photo {
            hash,
            subject: subject.to_owned(),
            phase: Some(phase),
            size: Some(size),
            of: None,
        };
        let sheet = self.sheet(unit)?;
        self.act(vec![(sheet, Action::Enter(vec![photo.into()]))]).map(drop)
    }
}
