//! Files of the pages.

use axum::extract::Path;
use axum::http::{HeaderValue, header};
use axum::response::{IntoResponse, Response};

use crate::pages::files;
use crate::routes::refusal::Refusal;

/// `GET /review/files/{name}`
pub(super) async fn file(Path(name): Path<String>) -> Result<Response, Refusal> {
    let file = files::file(&name).ok_or(Refusal::NothingHere)?;
    let kind = HeaderValue::from_static(file.kind);
    // Pages name a file with the hash of its content behind it: another content is another address.
    let keep = HeaderValue::from_static("public, max-age=31536000, immutable");
    Ok(([(header::CONTENT_TYPE, kind), (header::CACHE_CONTROL, keep)], file.content)
        .into_response())
}
