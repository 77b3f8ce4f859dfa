//! What travels: requests and replies, as CBOR maps with small integer keys.
//!
//! Layout of a request body:
//! ```text
//! 1 | device 16 | counter 8, big-endian | signature 64 | ask (CBOR)
//! ```
//! The signature is over `dripleg request 1`, hub 8, path, 0, counter 8, SHA-256 of the ask. The version
//! of the protocol stands in the path: a hub that does not know it answers "not found" and says which it
//! knows.

use minicbor::bytes::ByteVec;
use minicbor::{Decode, Encode};
use sha2::{Digest, Sha256};

use crate::exchange::place::Place;
use crate::record::id::{DeviceId, HubId, LogId, PersonId, SiteId};
use crate::record::signer::ClockSpan;

/// Path of the exchange. The protocol's version is its last part.
pub const PATH: &str = "/exchange/1";
/// The highest counter that a device counts on from: the clock in milliseconds reaches it in 285,000 years.
/// A damaged reply must not use a device's counters up.
pub const COUNTER_SAID_MAX: u64 = 1 << 53;
/// The highest counter that a hub takes. Between the two there is room for every request of a device.
pub const COUNTER_MAX: u64 = 1 << 62;
/// Most bytes of a request body.
pub const REQUEST_BYTES_MAX: usize = 1024 * 1024;
/// Most bytes of packs, rows and documents in one reply; more follows on the next request.
pub const PAGE_BYTES: usize = 256 * 1024;
/// Most bytes of a reply body: a page may close with one large thing.
pub const REPLY_BYTES_MAX: usize = 12 * 1024 * 1024;
/// Most sites that one request names.
pub const SITES_MAX: usize = 10_000;

const ENVELOPE: u8 = 1;
const ENVELOPE_BYTES: usize = 1 + 16 + 8 + 64;

/// Why a frame cannot be read.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum FrameWrong {
    /// Too many bytes.
    #[error("the message has {found} bytes, at most {most} are taken")]
    Large {
        /// Bytes found.
        found: usize,
        /// Bytes allowed.
        most: usize,
    },
    /// Another version.
    #[error("the message is of version {0}, this program speaks 1")]
    Version(u8),
    /// Not of the layout.
    #[error("the message cannot be read: {0}")]
    Layout(String),
    /// Not signed by the device it names.
    #[error("the message is not signed by the device it names")]
    Signature,
}

/// A request as it travels, taken apart but not verified.
#[derive(Clone, Copy, Debug)]
pub struct Envelope<'a> {
    /// The device.
    pub device: DeviceId,
    /// Higher than any the hub has seen from this device.
    pub counter: u64,
    /// Its signature.
    pub signature: [u8; 64],
    /// The ask.
    pub ask: &'a [u8],
}

/// The bytes that a device signs for a request.
pub fn to_sign(hub: HubId, path: &str, counter: u64, ask: &[u8]) -> Vec<u8> {
    let digest: [u8; 32] = Sha256::digest(ask).into();
    let mut bytes = b"dripleg request 1".to_vec();
    bytes.extend_from_slice(&hub.0);
    bytes.extend_from_slice(path.as_bytes());
    bytes.push(0);
    bytes.extend_from_slice(&counter.to_be_bytes());
    bytes.extend_from_slice(&digest);
    bytes
}

/// Puts a request together.
pub fn envelope(device: DeviceId, counter: u64, signature: &[u8; 64], ask: &[u8]) -> Vec<u8> {
    let mut bytes = Vec::with_capacity(ENVELOPE_BYTES + ask.len());
    bytes.push(ENVELOPE);
    bytes.extend_from_slice(&device.0);
    bytes.extend_from_slice(&counter.to_be_bytes());
    bytes.extend_from_slice(signature);
    bytes.extend_from_slice(ask);
    bytes
}

impl<'a> Envelope<'a> {
    /// Takes a request apart.
    pub fn open(bytes: &'a [u8]) -> Result<Envelope<'a>, FrameWrong> {
        if bytes.len() > REQUEST_BYTES_MAX {
            return Err(FrameWrong::Large { found: bytes.len(), most: REQUEST_BYTES_MAX });
        }
        let early = || FrameWrong::Layout("it ends early".to_owned());
        let (version, rest) = bytes.split_first().ok_or_else(early)?;
        if *version != ENVELOPE {
            return Err(FrameWrong::Version(*version));
        }
        let (device, rest) = rest.split_first_chunk::<16>().ok_or_else(early)?;
        let (counter, rest) = rest.split_first_chunk::<8>().ok_or_else(early)?;
        let (signature, ask) = rest.split_first_chunk::<64>().ok_or_else(early)?;
        Ok(Envelope {
            device: DeviceId(*device),
            counter: u64::from_be_bytes(*counter),
            signature: *signature,
            ask,
        })
    }

    /// Whether this key signed it for this hub and path.
    pub fn signed_by(&self, key: &[u8; 32], hub: HubId, path: &str) -> bool {
        let bytes = to_sign(hub, path, self.counter, self.ask);
        crate::exchange::delivery::signed(key, &bytes, &self.signature)
    }
}

/// A site and a place in its log.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Encode, Decode)]
pub struct SitePlace {
    /// The site.
    #[n(0)]
    pub site: SiteId,
    /// The place.
    #[n(1)]
    pub place: Place,
}

/// Deliveries for one site.
#[derive(Clone, Debug, PartialEq, Eq, Encode, Decode)]
pub struct SitePack {
    /// The site.
    #[n(0)]
    pub site: SiteId,
    /// A pack.
    #[n(1)]
    pub pack: ByteVec,
}

/// What a device knows of a chain: some n and the hashes there, falling.
#[derive(Clone, Debug, PartialEq, Eq, Encode, Decode)]
pub struct Ladder {
    /// The site.
    #[n(0)]
    pub site: SiteId,
    /// Steps: n and chain hash.
    #[n(1)]
    pub steps: Vec<Step>,
}

/// One step of a ladder.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Encode, Decode)]
pub struct Step {
    /// How many arrivals.
    #[n(0)]
    pub n: u64,
    /// Chain hash there.
    #[n(1)]
    #[cbor(with = "minicbor::bytes")]
    pub chain: [u8; 32],
}

/// A first exchange of a site, or its continuation.
#[derive(Clone, Debug, PartialEq, Eq, Encode, Decode)]
pub struct Start {
    /// The site.
    #[n(0)]
    pub site: SiteId,
    /// The cursor of the last reply; empty to begin.
    #[n(1)]
    pub cursor: ByteVec,
    /// The device's day, days since 1970: today's visits come first.
    #[n(2)]
    pub today: i32,
}

/// A document that a device wants whole.
#[derive(Clone, Debug, PartialEq, Eq, Encode, Decode)]
pub struct Wanted {
    /// The site.
    #[n(0)]
    pub site: SiteId,
    /// The document, as bytes.
    #[n(1)]
    pub doc: ByteVec,
}

/// One person of the directory.
#[derive(Clone, Debug, PartialEq, Eq, Encode, Decode)]
#[cbor(map)]
pub struct PersonRow {
    /// The person.
    #[n(0)]
    pub person: PersonId,
    /// Name; none after it was erased.
    #[n(1)]
    pub name: Option<String>,
    /// Contact, in words.
    #[n(2)]
    pub contact: Option<String>,
    /// License number and issuer, in words.
    #[n(3)]
    pub licence: Option<String>,
}

/// What a device asks.
#[derive(Clone, Debug, Default, PartialEq, Eq, Encode, Decode)]
#[cbor(map)]
pub struct Ask {
    /// The device's clock, seconds since 1970.
    #[n(0)]
    pub clock: i64,
    /// Digest over all places and the directory's version.
    #[n(1)]
    #[cbor(with = "minicbor::bytes")]
    pub digest: Option<[u8; 16]>,
    /// The places themselves: few, or when the hub asked for them.
    #[n(2)]
    pub places: Option<Vec<SitePlace>>,
    /// Unsent deliveries.
    #[n(3)]
    pub packs: Option<Vec<SitePack>>,
    /// Answers to "we do not share that place".
    #[n(4)]
    pub ladders: Option<Vec<Ladder>>,
    /// Version of the directory that the device has.
    #[n(5)]
    pub directory: Option<u64>,
    /// First exchanges.
    #[n(6)]
    pub starts: Option<Vec<Start>>,
    /// Documents wanted whole.
    #[n(7)]
    pub wanted: Option<Vec<Wanted>>,
    /// Additions to the directory that waited.
    #[n(8)]
    pub people: Option<Vec<PersonRow>>,
    /// Sites that are followed by rows: rows of what changed are wanted.
    #[n(9)]
    pub by_rows: Option<Vec<SiteId>>,
    /// Notes of the company's log that the hub has lost: certificates and revocations, as it signed them.
    #[n(10)]
    pub notes: Option<Vec<SignedNote>>,
    /// True: made to be sent when a signal comes back. It may arrive long after it was made, so that its clock
    /// being behind says nothing about the device's.
    #[n(11)]
    pub prepared: Option<bool>,
}

/// A note of the hub, handed back to it.
#[derive(Clone, Debug, PartialEq, Eq, Encode, Decode)]
pub struct SignedNote {
    /// The note.
    #[n(0)]
    pub bytes: ByteVec,
    /// The hub's signature.
    #[n(1)]
    #[cbor(with = "minicbor::bytes")]
    pub signature: [u8; 64],
}

/// What became of a delivery.
#[derive(Clone, Debug, PartialEq, Eq, Encode, Decode)]
#[cbor(map)]
pub struct Verdict {
    /// First eight bytes of its id.
    #[n(0)]
    #[cbor(with = "minicbor::bytes")]
    pub id: [u8; 8],
    /// 0 taken, 1 had it, 2 say it unpacked, 3 malformed, 4 not for this device, 5 not yet: nobody who
    /// may begin the site's log has; offer it again another time.
    #[n(1)]
    pub answer: u8,
    /// In words, where it was not taken.
    #[n(2)]
    pub words: Option<String>,
    /// Which arrival it is, where it lies before the place from which the log is told.
    #[n(3)]
    pub at: Option<u64>,
}

/// One arrival in a log, as it is told.
#[derive(Clone, Debug, PartialEq, Eq, Encode, Decode)]
pub enum Told {
    /// The next delivery of the pack.
    #[n(0)]
    Packed,
    /// One of the device's own deliveries, which it holds: its id.
    #[n(1)]
    Own(
        #[n(0)]
        #[cbor(with = "minicbor::bytes")]
        [u8; 32],
    ),
    /// A note of the hub.
    #[n(2)]
    Note(
        #[n(0)] ByteVec,
        #[n(1)]
        #[cbor(with = "minicbor::bytes")]
        [u8; 64],
    ),
}

/// A whole document.
#[derive(Clone, Debug, PartialEq, Eq, Encode, Decode)]
#[cbor(map)]
pub struct Whole {
    /// The document, as bytes.
    #[n(0)]
    pub doc: ByteVec,
    /// Its heads, 32 bytes each, sorted.
    #[n(1)]
    pub heads: ByteVec,
    /// Squeezed: the document as automerge saves it, not deflated. Empty: nothing but the first change.
    #[n(2)]
    pub saved: ByteVec,
    /// Somebody overwrote evidence in it.
    #[n(3)]
    pub overwritten: Option<bool>,
    /// Changes of it that have arrived before something that they build on.
    #[n(4)]
    pub waiting: Option<Vec<ByteVec>>,
}

/// A piece of a first exchange.
#[derive(Clone, Debug, PartialEq, Eq, Encode, Decode)]
#[cbor(map)]
pub struct Started {
    /// The place that this first exchange leads to. The same in every piece.
    #[n(0)]
    pub place: Place,
    /// The hub's signature over the place.
    #[n(1)]
    #[cbor(with = "minicbor::bytes")]
    pub signature: [u8; 64],
    /// Whole documents: today's first.
    #[n(2)]
    pub docs: Vec<Whole>,
    /// Squeezed rows: a CBOR array of key and value pairs.
    #[n(3)]
    pub rows: Option<ByteVec>,
    /// Where to go on; none when everything was told.
    #[n(4)]
    pub cursor: Option<ByteVec>,
    /// Who signs for which session, so that what is held can be judged.
    #[n(5)]
    pub sessions: Option<Vec<SessionRow>>,
    /// About how many pieces of everything are still to come.
    #[n(6)]
    pub left: Option<u64>,
    /// Changes that arrived after their key was revoked, 32 bytes each.
    #[n(7)]
    pub late: Option<ByteVec>,
}

/// Who signs for one session.
#[derive(Clone, Debug, PartialEq, Eq, Encode, Decode)]
#[cbor(map)]
pub struct SessionRow {
    /// The device.
    #[n(0)]
    pub device: DeviceId,
    /// The session's nonce.
    #[n(1)]
    #[cbor(with = "minicbor::bytes")]
    pub nonce: [u8; 16],
    /// Spans of entries made under a wrong clock.
    #[n(2)]
    pub clocks: Vec<ClockSpan>,
}

/// What the hub tells about one site.
#[derive(Clone, Debug, PartialEq, Eq, Encode, Decode)]
#[cbor(map)]
pub struct SiteReply {
    /// The site.
    #[n(0)]
    pub site: SiteId,
    /// What became of each delivery sent.
    #[n(1)]
    pub verdicts: Option<Vec<Verdict>>,
    /// Arrivals after the device's place, in order.
    #[n(2)]
    pub told: Option<Vec<Told>>,
    /// The deliveries among them.
    #[n(3)]
    pub pack: Option<ByteVec>,
    /// The place after them, as far as the device cannot know it: the log, when it is another one.
    #[n(4)]
    pub log: Option<LogId>,
    /// First eight bytes of the chain hash after them, as a check.
    #[n(5)]
    #[cbor(with = "minicbor::bytes")]
    pub check: Option<[u8; 8]>,
    /// More arrivals follow on the next request.
    #[n(6)]
    pub more: Option<bool>,
    /// The place is not shared: send a ladder.
    #[n(7)]
    pub climb: Option<bool>,
    /// The last place that is shared.
    #[n(8)]
    pub common: Option<u64>,
    /// A piece of a first exchange.
    #[n(9)]
    pub started: Option<Started>,
    /// Documents that were wanted.
    #[n(10)]
    pub docs: Option<Vec<Whole>>,
    /// Squeezed rows of documents touched, for devices that began with rows.
    #[n(11)]
    pub rows: Option<ByteVec>,
    /// A backup covers the log up to here: received heads below are not needed any more.
    #[n(12)]
    pub backed_up: Option<u64>,
    /// The site is not this device's any more.
    #[n(13)]
    pub gone: Option<bool>,
    /// The site is this device's and it said no place: how long the log is.
    #[n(14)]
    pub assigned: Option<u64>,
}

impl SiteReply {
    /// A reply that says nothing yet.
    pub fn new(site: SiteId) -> SiteReply {
        SiteReply {
            site,
            verdicts: None,
            told: None,
            pack: None,
            log: None,
            check: None,
            more: None,
            climb: None,
            common: None,
            started: None,
            docs: None,
            rows: None,
            backed_up: None,
            gone: None,
            assigned: None,
        }
    }
}

/// The hub's reply.
#[derive(Clone, Debug, Default, PartialEq, Eq, Encode, Decode)]
#[cbor(map)]
pub struct Reply {
    /// The hub's clock, seconds since 1970.
    #[n(0)]
    pub clock: i64,
    /// Sites with something to tell.
    #[n(1)]
    pub sites: Option<Vec<SiteReply>>,
    /// The digest is not known here: say the places.
    #[n(2)]
    pub say_places: Option<bool>,
    /// The counter was not higher than the last: use at least this one.
    #[n(3)]
    pub counter: Option<u64>,
    /// Version of the directory, and rows that changed since the device's version.
    #[n(4)]
    pub directory: Option<u64>,
    /// Rows of the directory.
    #[n(5)]
    pub people: Option<Vec<PersonRow>>,
    /// Additions to the directory were taken.
    #[n(6)]
    pub people_taken: Option<bool>,
    /// The device's key was revoked; why.
    #[n(7)]
    pub revoked: Option<String>,
    /// Notes that were handed back were looked at.
    #[n(8)]
    pub notes_taken: Option<bool>,
}

/// Writes a frame.
pub fn encode<T: Encode<()>>(frame: &T) -> Vec<u8> {
    minicbor::to_vec(frame).expect("writing to memory does not fail")
}

/// Reads a frame; leftovers are refused.
pub fn decode<'b, T: Decode<'b, ()>>(bytes: &'b [u8], most: usize) -> Result<T, FrameWrong> {
    if bytes.len() > most {
        return Err(FrameWrong::Large { found: bytes.len(), most });
    }
    let mut input = minicbor::Decoder::new(bytes);
    let frame = input.decode().map_err(|wrong| FrameWrong::Layout(wrong.to_string()))?;
    if input.position() != bytes.len() {
        return Err(FrameWrong::Layout("bytes are left over".to_owned()));
    }
    Ok(frame)
}
