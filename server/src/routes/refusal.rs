//! Every failure on the way: one status, one plain sentence.

use axum::http::{HeaderMap, HeaderName, HeaderValue, Method, StatusCode, header};
use axum::response::{IntoResponse, Response};
use client_core::exchange::frame::FrameWrong;
use client_core::store::StoreError;

use crate::access::CodeWrong;
use crate::hub::Turn;
use crate::log::LogError;
use crate::view::ViewError;
use crate::worker::Wrong;

/// The header that says which counter is fresh.
pub const COUNTER_HEADER: HeaderName = HeaderName::from_static("dripleg-counter");

/// Seconds after which a busy hub is asked again.
const BUSY_S: u32 = 2;

/// Why a request is not answered.
#[derive(Debug, thiserror::Error)]
pub enum Refusal {
    /// No such path.
    #[error("there is nothing here")]
    NothingHere,
    /// Not for this address.
    #[error("only this machine may read this")]
    NotForYou,
    /// A version that this hub does not speak.
    #[error("this hub speaks {what} version 1 only; use a program that speaks it too")]
    Version {
        /// What has versions.
        what: &'static str,
    },
    /// The wrong method.
    #[error("{found} is not answered here, only {allowed}")]
    Method {
        /// What was used.
        found: Method,
        /// What is answered.
        allowed: &'static str,
    },
    /// The body is packed.
    #[error("the body has content encoding {0}; send it as it is, frames are packed already")]
    Encoded(String),
    /// The body is of another kind.
    #[error("the body is {found}; {taken} is taken")]
    Kind {
        /// What it is.
        found: String,
        /// What is taken.
        taken: &'static str,
    },
    /// The body is too large.
    #[error("the body has more than {most} bytes")]
    Large {
        /// Bytes allowed.
        most: usize,
    },
    /// The body did not come in time.
    #[error("the body did not come within {seconds} s")]
    Slow {
        /// Seconds allowed.
        seconds: u64,
    },
    /// The connection broke in the middle of the body.
    #[error("the body broke off")]
    Broken,
    /// Too many requests are being answered.
    #[error("the hub has more to do than it can; try again in a moment")]
    Busy,
    /// The address asks too much.
    #[error("this address asks more than its share; wait {wait_s} s")]
    Quota {
        /// Seconds to wait.
        wait_s: u32,
    },
    /// The worker said no.
    #[error(transparent)]
    Worker(#[from] Wrong),
    /// A route panicked.
    #[error("the hub could not work this request out")]
    Panicked,
    /// The hub is being stopped, or its thread has died.
    #[error("the hub is stopping; try again in a moment")]
    Stopping,
    /// Not ready.
    #[error("{0}")]
    NotReady(&'static str),
}

impl Refusal {
    /// The status that tells programs what the sentence tells people.
    pub fn status(&self) -> StatusCode {
        match self {
            Refusal::NothingHere | Refusal::Version { .. } => StatusCode::NOT_FOUND,
            Refusal::NotForYou => StatusCode::FORBIDDEN,
            Refusal::Method { .. } => StatusCode::METHOD_NOT_ALLOWED,
            Refusal::Encoded(_) | Refusal::Kind { .. } => StatusCode::UNSUPPORTED_MEDIA_TYPE,
            Refusal::Large { .. } => StatusCode::PAYLOAD_TOO_LARGE,
            Refusal::Slow { .. } => StatusCode::REQUEST_TIMEOUT,
            Refusal::Broken => StatusCode::BAD_REQUEST,
            Refusal::Quota { .. } => StatusCode::TOO_MANY_REQUESTS,
            Refusal::Worker(wrong) => of_worker(wrong),
            Refusal::Panicked => StatusCode::INTERNAL_SERVER_ERROR,
            Refusal::Busy | Refusal::Stopping | Refusal::NotReady(_) => {
                StatusCode::SERVICE_UNAVAILABLE
            }
        }
    }

    /// Seconds after which it makes sense to ask again.
    fn wait_s(&self) -> Option<u32> {
        match self {
            Refusal::Quota { wait_s } | Refusal::Worker(Wrong::Turn(Turn::Quota { wait_s })) => {
                Some(*wait_s)
            }
            Refusal::Worker(Wrong::Code(CodeWrong::TooMany)) => Some(600),
            _ if self.status() == StatusCode::SERVICE_UNAVAILABLE => Some(BUSY_S),
            _ => None,
        }
    }

    /// Whether a stranger sent it: such requests count against their address.
    pub fn strange(&self) -> bool {
        matches!(
            self.status(),
            StatusCode::BAD_REQUEST
                | StatusCode::UNAUTHORIZED
                | StatusCode::FORBIDDEN
                | StatusCode::NOT_FOUND
                | StatusCode::METHOD_NOT_ALLOWED
                | StatusCode::REQUEST_TIMEOUT
                | StatusCode::PAYLOAD_TOO_LARGE
                | StatusCode::UNSUPPORTED_MEDIA_TYPE
                | StatusCode::UNPROCESSABLE_ENTITY
        )
    }
}

fn of_worker(wrong: &Wrong) -> StatusCode {
    match wrong {
        Wrong::Turn(turn) => of_turn(turn),
        Wrong::Code(code) => of_code(code),
        Wrong::Frame(frame) => of_frame(frame),
        Wrong::Panicked => StatusCode::INTERNAL_SERVER_ERROR,
        Wrong::Closed | Wrong::Full => StatusCode::SERVICE_UNAVAILABLE,
    }
}

const fn of_turn(turn: &Turn) -> StatusCode {
    match turn {
        Turn::Frame(frame) => of_frame(frame),
        Turn::Unknown | Turn::Signature => StatusCode::UNAUTHORIZED,
        Turn::Revoked | Turn::Role => StatusCode::FORBIDDEN,
        Turn::Stale { .. } => StatusCode::CONFLICT,
        Turn::Quota { .. } => StatusCode::TOO_MANY_REQUESTS,
        Turn::Full => StatusCode::INSUFFICIENT_STORAGE,
        Turn::NotStored | Turn::Photo(_) => StatusCode::INTERNAL_SERVER_ERROR,
        Turn::Log(wrong) | Turn::View(ViewError::Log(wrong)) => of_log(wrong),
        Turn::Store(wrong) | Turn::View(ViewError::Store(wrong)) => of_store(wrong),
    }
}

const fn of_frame(frame: &FrameWrong) -> StatusCode {
    match frame {
        FrameWrong::Large { .. } => StatusCode::PAYLOAD_TOO_LARGE,
        FrameWrong::Version(_) | FrameWrong::Layout(_) => StatusCode::BAD_REQUEST,
        FrameWrong::Signature => StatusCode::UNAUTHORIZED,
    }
}

const fn of_code(code: &CodeWrong) -> StatusCode {
    match code {
        CodeWrong::Invalid | CodeWrong::Revoked | CodeWrong::NotForPages => StatusCode::FORBIDDEN,
        CodeWrong::TooMany => StatusCode::TOO_MANY_REQUESTS,
        CodeWrong::Signature => StatusCode::UNAUTHORIZED,
        CodeWrong::NameNeeded | CodeWrong::SignInName => StatusCode::UNPROCESSABLE_ENTITY,
        CodeWrong::OtherPerson | CodeWrong::SignInTaken => StatusCode::CONFLICT,
        CodeWrong::Store(wrong) => of_store(wrong),
        CodeWrong::Log(wrong) => of_log(wrong),
    }
}

const fn of_log(wrong: &LogError) -> StatusCode {
    match wrong {
        LogError::Store(wrong) => of_store(wrong),
        LogError::Damaged { .. } | LogError::Gap { .. } => StatusCode::INTERNAL_SERVER_ERROR,
    }
}

const fn of_store(wrong: &StoreError) -> StatusCode {
    match wrong {
        StoreError::Full => StatusCode::INSUFFICIENT_STORAGE,
        StoreError::Busy
        | StoreError::Missing(_)
        | StoreError::Exists(_)
        | StoreError::Foreign
        | StoreError::Newer { .. }
        | StoreError::Damaged { .. }
        | StoreError::Unreadable { .. }
        | StoreError::Corrupted(_)
        | StoreError::Io(_) => StatusCode::INTERNAL_SERVER_ERROR,
    }
}

impl IntoResponse for Refusal {
    fn into_response(self) -> Response {
        let mut headers = HeaderMap::new();
        let text = HeaderValue::from_static("text/plain; charset=utf-8");
        headers.insert(header::CONTENT_TYPE, text);
        if let Some(seconds) = self.wait_s() {
            headers.insert(header::RETRY_AFTER, HeaderValue::from(seconds));
        }
        if let Refusal::Worker(Wrong::Turn(Turn::Stale { counter })) = &self {
            headers.insert(COUNTER_HEADER, HeaderValue::from(*counter));
        }
        if let Refusal::Method { allowed, .. } = &self {
            headers.insert(header::ALLOW, HeaderValue::from_static(allowed));
        }
        (self.status(), headers, self.to_string()).into_response()
    }
}
