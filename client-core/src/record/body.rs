//! Bodies of evidence: what an immutable entry says.
//!
//! Layout: each entry is one bytes scalar under the document's root, key `<root>/<half actor>/<n>`:
//! one version byte, then a CBOR array of the stamp and the body, both maps with small integer keys.
//! Keys are only ever added; a reader skips keys it does not know, and nobody rewrites an entry, so
//! unknown keys survive.

pub mod building;
pub mod drawn;
pub mod hazard;
pub mod meta;
pub mod signed;
pub mod unit_work;
pub mod visit;

use minicbor::{Decoder, Encoder};

pub use building::{
    Answer, Area, Bump, Calibration, CatalogueLine, Event, Instrument, Member, Position, Question,
    Roster, Target,
};
pub use drawn::Drawn;
pub use hazard::{Ack, Advisory, Closing, Lock, Release, Tag};
pub use meta::{DoubleMark, Note, Repoint, Settlement, TextRead, Void, Vouch};
pub use signed::SignedFigures;
pub use unit_work::{
    Adjustment, Check, Claim, Condition, Finding, GasPart, OldPart, PHOTO_BYTES_MAX, Part, Photo,
    Reading, Symptom, Tested, Work,
};
pub use visit::{Crew, Exception, Labour, Query, Reopen, Reply, SignOff, SignedDoc};

use crate::record::doc_id::DocKind;
use crate::record::stamp::Stamp;

/// Version of the entry layout. 1: stamp and body as CBOR maps in an array of two.
pub const ENTRY_VERSION: u8 = 1;

/// Where entries of a kind live.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Home {
    /// The company document.
    Company,
    /// A site document.
    Site,
    /// An appliance document.
    Appliance,
    /// The head of a visit.
    Visit,
    /// A sheet.
    Sheet,
    /// Any document.
    Any,
}

impl Home {
    /// Whether entries of this home belong into that document.
    pub fn takes(self, kind: DocKind) -> bool {
        match kind {
            DocKind::Company => matches!(self, Home::Company | Home::Any),
            DocKind::Site => matches!(self, Home::Site | Home::Any),
            DocKind::Appliance(_) => matches!(self, Home::Appliance | Home::Any),
            DocKind::Visit(_) => matches!(self, Home::Visit | Home::Any),
            DocKind::Sheet(..) => matches!(self, Home::Sheet | Home::Any),
        }
    }
}

macro_rules! kinds {
    ($($(#[$doc:meta])* $name:ident $root:literal $home:ident $partial:literal;)*) => {
        /// A kind of evidence.
        #[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
        pub enum Kind { $($(#[$doc])* $name,)* }

        impl Kind {
            /// Every kind.
            pub const ALL: &'static [Kind] = &[$(Kind::$name,)*];

            /// The first part of the key.
            pub const fn root(self) -> &'static str { match self { $(Kind::$name => $root,)* } }

            /// The kind with this root.
            pub fn from_root(root: &str) -> Option<Kind> {
                match root { $($root => Some(Kind::$name),)* _ => None }
            }

            /// Where entries of this kind live.
            pub const fn home(self) -> Home { match self { $(Kind::$name => Home::$home,)* } }

            /// Whether such an entry may be added to a document of which only a row is held.
            pub const fn on_partial(self) -> bool { match self { $(Kind::$name => $partial,)* } }
        }

        /// What an entry says.
        #[derive(Clone, Debug, PartialEq)]
        pub enum Body { $($(#[$doc])* $name($name),)* }

        impl Body {
            /// The kind of this body.
            pub const fn kind(&self) -> Kind { match self { $(Body::$name(_) => Kind::$name,)* } }

            fn write(&self, out: &mut Encoder<&mut Vec<u8>>) {
                match self {
                    $(Body::$name(body) => {
                        out.encode(body).expect("writing to memory does not fail");
                    })*
                }
            }

            fn read(kind: Kind, input: &mut Decoder<'_>) -> Result<Body, minicbor::decode::Error> {
                match kind { $(Kind::$name => input.decode().map(Body::$name),)* }
            }
        }

        $(impl From<$name> for Body { fn from(body: $name) -> Body { Body::$name(body) } })*
    };
}

kinds! {
    /// A measurement.
    Reading "readings" Sheet true;
    /// A check with its answer.
    Check "checks" Sheet true;
    /// An observed condition with its cause.
    Finding "findings" Sheet true;
    /// Something done.
    Work "work" Sheet true;
    /// A setting changed, before and after.
    Adjustment "adjustments" Sheet true;
    /// A part that belongs to one gas, as seen.
    GasPart "gas_parts" Sheet true;
    /// A part used.
    Part "parts" Sheet true;
    /// A photo taken.
    Photo "photos" Sheet true;
    /// A complaint or symptom.
    Symptom "symptoms" Sheet true;
    /// "I am working here."
    Claim "claims" Sheet true;
    /// A test of the fault tables and what it gave.
    Tested "tests" Sheet true;
    /// Working time.
    Labour "labour" Visit true;
    /// Somebody arrived or left.
    Crew "crew" Visit true;
    /// Somebody signed the visit as they knew it.
    SignOff "sign_offs" Visit false;
    /// The visit was opened again after a sign-off.
    Reopen "reopenings" Visit false;
    /// A blocking item that a supervisor lets pass, in words.
    Exception "exceptions" Visit false;
    /// A question of the reviewer to the field.
    Query "queries" Visit true;
    /// The field's reply.
    Reply "replies" Visit true;
    /// A warning to the customer or the next person.
    Advisory "advisories" Appliance true;
    /// Somebody was told and answered.
    Ack "acknowledgements" Appliance true;
    /// What closed an advisory.
    Closing "closings" Appliance true;
    /// A shut-down record.
    Tag "tags" Appliance true;
    /// The release of a shut-down.
    Release "releases" Appliance false;
    /// A lock put on or taken off.
    Lock "locks" Appliance true;
    /// A question to a manufacturer.
    Question "questions" Appliance true;
    /// A manufacturer's answer.
    Answer "answers" Appliance true;
    /// A figure to aim at, with its source.
    Target "targets" Appliance true;
    /// Something that happened to the appliance.
    Event "events" Appliance true;
    /// A part of the building.
    Area "areas" Site true;
    /// A place where an appliance hangs.
    Position "positions" Site true;
    /// An appliance belongs to the site.
    Roster "roster" Site true;
    /// A member of a collection: a contact, a contaminant, a wish.
    Member "members" Any true;
    /// An instrument.
    Instrument "instruments" Company true;
    /// An instrument was calibrated.
    Calibration "calibrations" Company true;
    /// An instrument was bump-tested or zeroed.
    Bump "bumps" Company true;
    /// A part as the company names it.
    CatalogueLine "catalogue" Company true;
    /// A text that others may edit.
    Note "notes" Any true;
    /// An entry does not count any more; it stays readable.
    Void "voids" Any false;
    /// A contested value was settled.
    Settlement "settlements" Any false;
    /// A merged text was read.
    TextRead "text_reads" Any false;
    /// Two entries may be, or are, one event.
    DoubleMark "doubles" Any false;
    /// Entries belong to another appliance.
    Repoint "repoints" Any false;
    /// A supervisor answers for work that came after a revocation.
    Vouch "vouches" Any false;
}

/// Writes an entry: version byte, then the stamp and the body.
pub fn encode(stamp: &Stamp, body: &Body) -> Vec<u8> {
    let mut bytes = vec![ENTRY_VERSION];
    let mut out = Encoder::new(&mut bytes);
    out.array(2).and_then(|out| out.encode(stamp)).expect("writing to memory does not fail");
    body.write(&mut out);
    bytes
}

/// Why the bytes of an entry cannot be read.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum EntryWrong {
    /// Written by a newer version.
    #[error("entry has layout {found}, this program reads up to {known}")]
    Newer {
        /// Layout of the entry.
        found: u8,
        /// Newest layout this program knows.
        known: u8,
    },
    /// Not of the layout.
    #[error("entry cannot be read: {0}")]
    Broken(String),
}

/// Reads an entry of a known kind.
pub fn decode(kind: Kind, bytes: &[u8]) -> Result<(Stamp, Body), EntryWrong> {
    let (version, rest) =
        bytes.split_first().ok_or_else(|| EntryWrong::Broken("it is empty".to_owned()))?;
    if *version > ENTRY_VERSION {
        return Err(EntryWrong::Newer { found: *version, known: ENTRY_VERSION });
    }
    let broken = |wrong: minicbor::decode::Error| EntryWrong::Broken(wrong.to_string());
    let mut input = Decoder::new(rest);
    if *version == 0 || input.array().map_err(broken)? != Some(2) {
        return Err(EntryWrong::Broken("it is not a stamp and a body".to_owned()));
    }
    let stamp = input.decode().map_err(broken)?;
    let body = Body::read(kind, &mut input).map_err(broken)?;
    if input.position() != rest.len() {
        return Err(EntryWrong::Broken("bytes are left over".to_owned()));
    }
    Ok((stamp, body))
}
