//! Why a page does not do what was asked: one status and one plain sentence, as a page.

use axum::http::{StatusCode, header};
use axum::response::{IntoResponse, Redirect, Response};
use client_core::record::refused::Refused;

use crate::access::CodeWrong;
use crate::hub::{DeedWrong, Turn};
use crate::pages::{Chrome, wrong};
use crate::routes::refusal::Refusal;
use crate::worker::Wrong;

/// Why a page does not do what was asked.
#[derive(Debug, thiserror::Error)]
pub(super) enum PageWrong {
    /// Nobody is signed in.
    #[error("sign in first")]
    SignIn {
        /// Where the reader wanted to go.
        to: Option<String>,
    },
    /// There is nothing here that the reader may see.
    #[error("there is nothing here, or it is not among your sites")]
    Nothing,
    /// The record has no such report.
    #[error("{0}")]
    Lacks(String),
    /// Another role does this.
    #[error("{0}")]
    Role(&'static str),
    /// The form does not come from a page of this hub.
    #[error(
        "the form was not sent from a page of this hub, or its session has ended; open the page again"
    )]
    Form,
    /// What was typed cannot be read.
    #[error("{0}")]
    Typed(String),
    /// The record has changed since the page was shown.
    #[error("{0}")]
    Moved(String),
    /// The record refuses it.
    #[error(transparent)]
    Refused(#[from] Refused),
    /// As on every other route.
    #[error(transparent)]
    Refusal(#[from] Refusal),
}

/// What came of a deed: what the record refuses is for a page, what the hub cannot do is for its log.
pub(super) fn done(outcome: Result<(), DeedWrong>) -> Result<Result<(), PageWrong>, Wrong> {
    match outcome {
        Err(DeedWrong::Turn(turn)) if !matches!(turn, Turn::Role) => Err(Wrong::Turn(turn)),
        outcome => Ok(outcome.map_err(PageWrong::from)),
    }
}

impl From<DeedWrong> for PageWrong {
    fn from(wrong: DeedWrong) -> PageWrong {
        match wrong {
            DeedWrong::Refused(refused) => PageWrong::Refused(refused),
            DeedWrong::Turn(Turn::Role) => PageWrong::Nothing,
            DeedWrong::Turn(turn) => PageWrong::Refusal(Refusal::Worker(Wrong::Turn(turn))),
        }
    }
}

impl PageWrong {
    /// The status that tells programs what the sentence tells people.
    pub(super) fn status(&self) -> StatusCode {
        match self {
            PageWrong::SignIn { .. } => StatusCode::UNAUTHORIZED,
            PageWrong::Nothing | PageWrong::Lacks(_) => StatusCode::NOT_FOUND,
            PageWrong::Role(_) | PageWrong::Form => StatusCode::FORBIDDEN,
            PageWrong::Typed(_) | PageWrong::Refused(_) => StatusCode::UNPROCESSABLE_ENTITY,
            PageWrong::Moved(_) => StatusCode::CONFLICT,
            PageWrong::Refusal(refusal) => refusal.status(),
        }
    }

    const fn title(&self) -> &'static str {
        match self {
            PageWrong::SignIn { .. } => "Sign in",
            PageWrong::Nothing => "Nothing here",
            PageWrong::Lacks(_) => "No such report",
            PageWrong::Role(_) => "Not yours to do",
            PageWrong::Form => "The form was not taken",
            PageWrong::Typed(_) | PageWrong::Refused(_) => "Not done",
            PageWrong::Moved(_) => "The record has changed",
            PageWrong::Refusal(_) => "Not answered",
        }
    }

    /// A sentence as it begins on a page.
    pub(super) fn sentence(&self) -> String {
        crate::pages::part::sentence(&self.to_string())
    }
}

impl IntoResponse for PageWrong {
    fn into_response(self) -> Response {
        if let PageWrong::SignIn { to } = &self {
            let mut query = form_urlencoded::Serializer::new(String::new());
            if let Some(to) = to.as_deref().filter(|to| *to != "/review") {
                query.append_pair("to", to);
            }
            let query = query.finish();
            let path = if query.is_empty() { query } else { format!("?{query}") };
            return Redirect::to(&format!("/review/sign-in{path}")).into_response();
        }
        let page = wrong::wrong(&Chrome::default(), self.title(), &self.sentence(), None);
        let mut response = super::shown(page);
        *response.status_mut() = self.status();
        if let PageWrong::Refusal(refusal) = self {
            // The header that says when to come back is the same as on every other route.
            let plain = refusal.into_response();
            if let Some(wait) = plain.headers().get(header::RETRY_AFTER) {
                response.headers_mut().insert(header::RETRY_AFTER, wait.clone());
            }
        }
        response
    }
}

/// What a code's refusal says on the page on which it was typed; none for what is not the reader's fault.
pub(super) fn of_code(wrong: &CodeWrong) -> Option<String> {
    match wrong {
        CodeWrong::Store(_) | CodeWrong::Log(_) => None,
        wrong => Some(crate::pages::part::sentence(&wrong.to_string())),
    }
}
