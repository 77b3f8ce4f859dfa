//! What went wrong, as a sentence; what to do next, as a hint; and the exit code. Hints are attached
//! here and nowhere else.

use client_core::device::{DeviceError, ReplyWrong};
use client_core::exchange::frame::FrameWrong;
use client_core::record::doubt::Doubt;
use client_core::record::field::ValueWrong;
use client_core::record::refused::Refused;
use client_core::record::value::DayWrong;
use client_core::store::StoreError;
use client_core::trade::calc::CalcError;

use crate::find::FindWrong;
use crate::wire::WireWrong;

/// Why a command did not do what was asked.
#[derive(Debug, thiserror::Error)]
pub enum Trouble {
    /// The reader of standard output went away.
    #[error("the reader of the output went away")]
    Pipe,
    /// Standard output or input failed.
    #[error("the output could not be written or the input not be read")]
    Stream(#[source] std::io::Error),
    /// The action was refused.
    #[error(transparent)]
    Refused(Refused),
    /// The device could not do it.
    #[error(transparent)]
    Device(DeviceError),
    /// The store failed.
    #[error(transparent)]
    Store(#[from] StoreError),
    /// A name fits nothing, or several things.
    #[error(transparent)]
    Find(#[from] FindWrong),
    /// The hub could not be asked.
    #[error(transparent)]
    Wire(#[from] WireWrong),
    /// The hub answered otherwise than asked.
    #[error("the hub says: {words}")]
    Hub {
        /// HTTP status.
        status: u16,
        /// Its sentence.
        words: String,
    },
    /// The hub's answer cannot be taken in.
    #[error(transparent)]
    Reply(#[from] ReplyWrong),
    /// The hub's answer cannot be read.
    #[error("the answer of the hub cannot be read: {0}")]
    Frame(#[from] FrameWrong),
    /// A value that does not fit its register.
    #[error(transparent)]
    Value(#[from] ValueWrong),
    /// A day or a moment that is none.
    #[error(transparent)]
    Day(#[from] DayWrong),
    /// A calculation that cannot be made.
    #[error(transparent)]
    Calc(#[from] CalcError),
    /// A file that cannot be read or written.
    #[error("{file} cannot be {what}: {wrong}")]
    File {
        /// The file.
        file: String,
        /// Read or written.
        what: &'static str,
        /// What is wrong.
        wrong: String,
    },
    /// A report that cannot be made.
    #[error(transparent)]
    Report(reports::gather::GatherWrong),
    /// Values that look like slips.
    #[error("{}", doubts(.0))]
    Doubts(Vec<Doubt>),
    /// The command line does not make sense.
    #[error("{0}")]
    Usage(String),
    /// It cannot be done as things stand.
    #[error("{0}")]
    State(String),
}

fn doubts(list: &[Doubt]) -> String {
    let one = |doubt: &Doubt| {
        format!("{} {}: {} ({})?", doubt.about, doubt.typed, doubt.asks, doubt.usual)
    };
    list.iter().map(one).collect::<Vec<_>>().join("\n")
}

impl From<DeviceError> for Trouble {
    fn from(wrong: DeviceError) -> Trouble {
        match wrong {
            DeviceError::Refused(refused) => Trouble::Refused(refused),
            DeviceError::Store(wrong) => Trouble::Store(wrong),
            other => Trouble::Device(other),
        }
    }
}

impl From<reports::gather::GatherWrong> for Trouble {
    fn from(wrong: reports::gather::GatherWrong) -> Trouble {
        match wrong {
            reports::gather::GatherWrong::Device(wrong) => wrong.into(),
            other => Trouble::Report(other),
        }
    }
}

impl From<Refused> for Trouble {
    fn from(refused: Refused) -> Trouble {
        Trouble::Refused(refused)
    }
}

impl From<std::io::Error> for Trouble {
    fn from(wrong: std::io::Error) -> Trouble {
        match wrong.kind() {
            std::io::ErrorKind::BrokenPipe => Trouble::Pipe,
            _ => Trouble::Stream(wrong),
        }
    }
}

impl Trouble {
    /// The exit code: 0 where a reader went away, 2 where the command line is at fault, else 1.
    pub const fn code(&self) -> u8 {
        match self {
            Trouble::Pipe => 0,
            Trouble::Usage(_) => 2,
            _ => 1,
        }
    }

    /// What to do next, where the sentence does not say so itself.
    pub fn hint(&self) -> Option<String> {
        let words = match self {
            Trouble::Refused(refused) => return refused_hint(refused),
            Trouble::Device(DeviceError::NotEnrolled) => {
                "ask the office for a code, then: dripleg join ADDRESS CODE"
            }
            Trouble::Device(DeviceError::NotHere(_)) => {
                "`dripleg exchange --whole NAME` fetches it whole"
            }
            Trouble::Device(DeviceError::NoSite(_)) => "dripleg exchange",
            Trouble::Store(wrong) => return store_hint(wrong),
            Trouble::Wire(WireWrong::Silent { .. }) => {
                "everything entered is safe on this device; exchange again where there is signal"
            }
            Trouble::Wire(WireWrong::Certificate { .. }) => {
                "where the hub has certificates of its own, get its CA file from the office and \
                 join with --trust FILE"
            }
            Trouble::Hub { status: 404, .. } => {
                "this program and the hub speak different versions; bring both up to date"
            }
            Trouble::Hub { status: 429, .. } => "wait, then try again",
            Trouble::Doubts(_) => "if it is as typed, say why: --because \"...\"",
            Trouble::Calc(CalcError::UnknownCalculation(_)) => "dripleg calc --list",
            _ => return None,
        };
        Some(words.to_owned())
    }
}

fn refused_hint(refused: &Refused) -> Option<String> {
    Some(match refused {
        Refused::Contested { sides, .. } => {
            let who: Vec<String> = sides.iter().map(|side| side.value.to_string()).collect();
            format!(
                "the answers are {}; see both sides with `dripleg contradictions`, settle with \
                 `dripleg settle`",
                who.join(" and ")
            )
        }
        Refused::NeedsReason { .. } => "say it with --because \"...\"".to_owned(),
        Refused::NeedsWhole { .. } => {
            "`dripleg exchange --whole NAME` fetches the whole record".to_owned()
        }
        Refused::Blocked(keys) => format!(
            "they are: {}; `dripleg blockers` says each in words, `dripleg except KEY --because \
             \"...\"` lets one pass",
            keys.join(", ")
        ),
        Refused::Signed { .. } => "dripleg reopen --because \"...\"".to_owned(),
        Refused::HasEvidence { .. } => {
            "dripleg unit merge WRONG --into RIGHT --because \"...\"".to_owned()
        }
        _ => return None,
    })
}

fn store_hint(wrong: &StoreError) -> Option<String> {
    Some(match wrong {
        StoreError::Missing(_) => {
            "join a hub first (dripleg join ADDRESS CODE), or name the store with --store"
                .to_owned()
        }
        StoreError::Busy => "one program at a time works on a store".to_owned(),
        StoreError::Corrupted(_) | StoreError::Damaged { .. } => {
            "keep the file as it is, join again into a new folder and exchange: what the hub has \
             comes back"
                .to_owned()
        }
        _ => return None,
    })
}
