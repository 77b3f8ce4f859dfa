//! Pictures: taken from devices and given to them, where a document that they may read names them.

use std::collections::{BTreeMap, BTreeSet};
use std::io;

use client_core::exchange::frame::decode;
use client_core::exchange::photo::{
    ASK_BYTES_MAX, MISSING_MAX, PATH, PHOTO_BYTES_MAX, PIECE_BYTES, PIECE_BYTES_MAX, PhotoAnswer,
    PhotoAsk, PhotoName, PhotoReply, PhotoStep,
};
use client_core::record::body::{Body, Kind};
use client_core::record::doc_id::DocId;
use client_core::record::file::Papers;
use client_core::record::id::DeviceId;
use client_core::store::pictures::{Has, Pictures as Files};

use super::{Acting, Hub, Turn};

/// Names that are remembered as checked: a picture of many pieces is looked up once.
const CHECKED_MAX: usize = 4_096;
/// Pictures remembered as missing.
const LOST_MAX: usize = 1_024;

/// The pictures, and what is remembered of them.
#[derive(Debug, Default)]
pub(super) struct Pictures {
    photos: Option<Files>,
    checked: BTreeSet<(DocId, [u8; 32])>,
    missing: BTreeMap<[u8; 32], DocId>,
}

impl Pictures {
    pub(super) fn kept_in(photos: Files) -> Pictures {
        Pictures { photos: Some(photos), ..Pictures::default() }
    }

    fn miss(&mut self, doc: DocId, hash: [u8; 32]) {
        if self.missing.len() < LOST_MAX {
            self.missing.insert(hash, doc);
        }
    }
}

#[expect(clippy::needless_pass_by_value, reason = "errors are mapped by it")]
fn failed(wrong: io::Error) -> Turn {
    match wrong.kind() {
        io::ErrorKind::StorageFull | io::ErrorKind::QuotaExceeded => Turn::Full,
        kind => Turn::Photo(kind),
    }
}

/// Whether a document names a picture.
fn names(papers: &Papers<'_>, hash: &[u8; 32]) -> bool {
    let entries = papers.read.entries.iter().filter(|entry| entry.body.kind() == Kind::Photo);
    entries.into_iter().any(|entry| matches!(&entry.body, Body::Photo(photo) if photo.names(hash)))
}

impl Hub {
    /// Answers one request about a picture.
    pub fn photo(&mut self, now: i64, body: &[u8]) -> Result<PhotoReply, Turn> {
        let (envelope, fresh) = self.open(now, body, PATH)?;
        let device = envelope.device;
        let ask: PhotoAsk = decode(envelope.ask, ASK_BYTES_MAX)?;
        self.standing(device)?;
        if !fresh {
            let counter = Some(self.last_counter(device, PATH).saturating_add(1));
            return Ok(PhotoReply { counter, ..PhotoReply::default() });
        }
        let answer = Some(self.answer_photo(device, &ask)?);
        let missing = self.missing_of(device);
        let missing = (!missing.is_empty()).then_some(missing);
        Ok(PhotoReply { counter: None, answer, missing })
    }

    fn answer_photo(&mut self, device: DeviceId, ask: &PhotoAsk) -> Result<PhotoAnswer, Turn> {
        let hash = ask.name.hash;
        let Some(doc) = ask.name.doc() else { return Ok(PhotoAnswer::NotNamed) };
        if !self.standing(device)?.may(doc.site, self.identity.company())
            || !self.photo_named(doc, &hash)?
        {
            return Ok(PhotoAnswer::NotNamed);
        }
        let Some(photos) = self.pictures.photos.clone() else {
            return Ok(PhotoAnswer::Refused("this hub keeps no photos".to_owned()));
        };
        match &ask.step {
            PhotoStep::Put { size, .. } if *size > PHOTO_BYTES_MAX => {
                Ok(PhotoAnswer::Refused(format!("a photo has at most {PHOTO_BYTES_MAX} bytes")))
            }
            PhotoStep::Put { piece, .. } if piece.len() > PIECE_BYTES_MAX => {
                Ok(PhotoAnswer::Refused(format!("a piece has at most {PIECE_BYTES_MAX} bytes")))
            }
            PhotoStep::Put { size, at, piece } => {
                let has = photos.put(&hash, *size, *at, piece).map_err(failed)?;
                Ok(match has {
                    Has::Whole(bytes) => {
                        self.pictures.missing.remove(&hash);
                        PhotoAnswer::Has { bytes, whole: true }
                    }
                    Has::Begun(bytes) => PhotoAnswer::Has { bytes, whole: false },
                })
            }
            PhotoStep::Get { at } => {
                let piece = photos.piece(&hash, *at, PIECE_BYTES).map_err(failed)?;
                Ok(match piece {
                    Some((size, piece)) => {
                        PhotoAnswer::Piece { size, at: *at, piece: piece.into() }
                    }
                    None => {
                        self.pictures.miss(doc, hash);
                        PhotoAnswer::Lacks
                    }
                })
            }
        }
    }

    /// Whether a document names a picture. One that did does so for ever: entries are never deleted.
    fn photo_named(&mut self, doc: DocId, hash: &[u8; 32]) -> Result<bool, Turn> {
        if self.pictures.checked.contains(&(doc, *hash)) {
            return Ok(true);
        }
        self.fold_site(doc.site)?;
        let named = self.view.read_doc(doc)?.is_some_and(|papers| names(&papers, hash));
        if named {
            if self.pictures.checked.len() >= CHECKED_MAX {
                self.pictures.checked.clear();
            }
            self.pictures.checked.insert((doc, *hash));
        }
        Ok(named)
    }

    fn missing_of(&self, device: DeviceId) -> Vec<PhotoName> {
        let Ok(enrolled) = self.standing(device) else { return vec![] };
        let company = self.identity.company();
        let may = self.pictures.missing.iter().filter(|(_, doc)| enrolled.may(doc.site, company));
        may.take(MISSING_MAX).map(|(hash, doc)| PhotoName::new(*doc, *hash)).collect()
    }

    /// Whether a picture has come.
    pub fn photo_here(&self, hash: &[u8; 32]) -> Result<bool, Turn> {
        let Some(photos) = &self.pictures.photos else { return Ok(false) };
        Ok(matches!(photos.has(hash).map_err(failed)?, Has::Whole(_)))
    }

    /// A picture that a document names, for somebody on a page who may see its site. None: there is none to
    /// see, or it has not come yet; then devices are asked for it.
    pub fn photo_seen(
        &mut self,
        acting: &Acting,
        doc: DocId,
        hash: [u8; 32],
    ) -> Result<Option<Vec<u8>>, Turn> {
        let named = self.doc_seen(acting, doc)?.is_some_and(|papers| names(&papers, &hash));
        let Some(photos) = self.pictures.photos.clone().filter(|_| named) else { return Ok(None) };
        let picture = photos.read(&hash).map_err(failed)?;
        if picture.is_none() {
            self.pictures.miss(doc, hash);
        }
        Ok(picture)
    }
}
