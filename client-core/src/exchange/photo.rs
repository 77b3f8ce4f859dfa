//! Photos: pictures travel in pieces, each a signed request of its own, and are named by the BLAKE3 of
//! their bytes.
//!
//! A picture is asked for or sent by the document whose entry names it. The hub takes and gives a picture
//! only when a document that the device may read names its hash, so the record decides who sees what, and
//! nothing lies on the hub that no record names. Every request can be repeated: a cut link costs one piece.

use minicbor::bytes::ByteVec;
use minicbor::{Decode, Encode};

pub use crate::record::body::PHOTO_BYTES_MAX;
use crate::record::doc_id::DocId;
use crate::record::id::SiteId;

/// Path of photos.
pub const PATH: &str = "/photo/1";
/// Bytes of a piece as devices send them: a few seconds on a bad link.
pub const PIECE_BYTES: usize = 48 * 1024;
/// Most bytes of a piece in either direction.
pub const PIECE_BYTES_MAX: usize = 256 * 1024;
/// Most bytes of what is asked: a piece and the words around it.
pub const ASK_BYTES_MAX: usize = PIECE_BYTES_MAX + 1024;
/// Most bytes of a reply.
pub const REPLY_BYTES_MAX: usize = PIECE_BYTES_MAX + 4096;
/// Most pictures that one reply names as missing.
pub const MISSING_MAX: usize = 16;

/// A picture and the document that names it.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Encode, Decode)]
pub struct PhotoName {
    /// The site.
    #[n(0)]
    pub site: SiteId,
    /// The document, as bytes.
    #[n(1)]
    pub doc: ByteVec,
    /// BLAKE3 of the picture.
    #[n(2)]
    #[cbor(with = "minicbor::bytes")]
    pub hash: [u8; 32],
}

impl PhotoName {
    /// The name of a picture that a document names.
    pub fn new(doc: DocId, hash: [u8; 32]) -> PhotoName {
        PhotoName { site: doc.site, doc: doc.with_part(1).to_bytes().into(), hash }
    }

    /// The document; none when its bytes are none.
    pub fn doc(&self) -> Option<DocId> {
        DocId::from_bytes(self.site, &self.doc).ok().map(|doc| doc.with_part(1))
    }
}

/// What a device asks about one picture.
#[derive(Clone, Debug, PartialEq, Eq, Encode, Decode)]
pub struct PhotoAsk {
    /// The picture.
    #[n(0)]
    pub name: PhotoName,
    /// What is wanted.
    #[n(1)]
    pub step: PhotoStep,
}

/// What is wanted with a picture.
#[derive(Clone, Debug, PartialEq, Eq, Encode, Decode)]
pub enum PhotoStep {
    /// Take this piece.
    #[n(0)]
    Put {
        /// Bytes of the whole picture.
        #[n(0)]
        size: u64,
        /// Bytes before the piece.
        #[n(1)]
        at: u64,
        /// The piece.
        #[n(2)]
        piece: ByteVec,
    },
    /// Give the piece that begins here.
    #[n(1)]
    Get {
        /// Bytes before the piece.
        #[n(0)]
        at: u64,
    },
}

/// The hub's answer.
#[derive(Clone, Debug, Default, PartialEq, Eq, Encode, Decode)]
#[cbor(map)]
pub struct PhotoReply {
    /// The request was not fresh; nothing happened, and this counter is the least that is taken.
    #[n(0)]
    pub counter: Option<u64>,
    /// What is said of the picture.
    #[n(1)]
    pub answer: Option<PhotoAnswer>,
    /// Pictures that somebody looked for and the hub does not have. Whoever has one sends it.
    #[n(2)]
    pub missing: Option<Vec<PhotoName>>,
}

/// What the hub says of a picture.
#[derive(Clone, Debug, PartialEq, Eq, Encode, Decode)]
pub enum PhotoAnswer {
    /// So many bytes are here, from the first on.
    #[n(0)]
    Has {
        /// Bytes.
        #[n(0)]
        bytes: u64,
        /// All of them, and they are the picture.
        #[n(1)]
        whole: bool,
    },
    /// A piece of it.
    #[n(1)]
    Piece {
        /// Bytes of the whole picture.
        #[n(0)]
        size: u64,
        /// Bytes before the piece.
        #[n(1)]
        at: u64,
        /// The piece.
        #[n(2)]
        piece: ByteVec,
    },
    /// The picture is not here.
    #[n(2)]
    Lacks,
    /// No document that this device may read names it here, or not yet.
    #[n(3)]
    NotNamed,
    /// It is not taken; why.
    #[n(4)]
    Refused(#[n(0)] String),
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::exchange::frame::{decode, encode};
    use crate::record::doc_id::DocKind;
    use crate::record::id::{ApplianceId, VisitId};

    #[test]
    fn asks_and_replies_come_back() {
        let sheet = DocKind::Sheet(VisitId([1; 8]), ApplianceId([2; 8]));
        let doc = DocId::new(SiteId([3; 8]), sheet);
        let name = PhotoName::new(doc.with_part(2), [4; 32]);
        assert_eq!(name.doc(), Some(doc), "the first part stands for all");
        for step in
            [PhotoStep::Put { size: 9, at: 3, piece: vec![1, 2].into() }, PhotoStep::Get { at: 7 }]
        {
            let ask = PhotoAsk { name: name.clone(), step };
            assert_eq!(decode::<PhotoAsk>(&encode(&ask), ASK_BYTES_MAX).unwrap(), ask);
        }
        for answer in [
            PhotoAnswer::Has { bytes: 3, whole: false },
            PhotoAnswer::Piece { size: 9, at: 3, piece: vec![5].into() },
            PhotoAnswer::Lacks,
            PhotoAnswer::NotNamed,
            PhotoAnswer::Refused("why".to_owned()),
        ] {
            let missing = Some(vec![name.clone()]);
            let reply = PhotoReply { counter: Some(8), answer: Some(answer), missing };
            assert_eq!(decode::<PhotoReply>(&encode(&reply), REPLY_BYTES_MAX).unwrap(), reply);
        }
    }
}
