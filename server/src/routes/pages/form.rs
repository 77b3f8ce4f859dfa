//! Forms: read within their limits, and taken only from a page of this hub.

use std::collections::BTreeMap;

use axum::body::Body;
use axum::extract::{FromRequest, FromRequestParts, Request};
use axum::http::{HeaderMap, header};
use client_core::record::deed::Deed;
use client_core::record::value::Moment;

use super::session::{Signed, form_token};
use super::wrong::{PageWrong, done};
use super::{Shared, on_hub};
use crate::routes::Peer;
use crate::routes::body;

/// Most bytes of a form.
const FORM_MAX: usize = 64 * 1024;
/// Most bytes of a form with a list in it.
pub(super) const LIST_MAX: usize = 1024 * 1024;
/// Fields of a form.
const FIELDS_MAX: usize = 2_000;

/// A form's fields.
#[derive(Debug, Default)]
pub(super) struct Form(BTreeMap<String, Vec<String>>);

impl Form {
    /// A field; empty when it was not sent. Blanks round it are left out.
    pub(super) fn get(&self, name: &str) -> &str {
        self.0.get(name).and_then(|all| all.first()).map_or("", |value| value.trim())
    }

    /// A field to the letter.
    pub(super) fn exact(&self, name: &str) -> &str {
        self.0.get(name).and_then(|all| all.first()).map_or("", String::as_str)
    }

    /// Every value of a field.
    pub(super) fn all(&self, name: &str) -> impl Iterator<Item = &str> {
        self.0.get(name).into_iter().flatten().map(String::as_str)
    }

    /// A field that is an id; none when it is empty.
    pub(super) fn id<T: std::str::FromStr>(&self, name: &str) -> Result<Option<T>, PageWrong>
    where
        T::Err: std::fmt::Display,
    {
        let text = self.get(name);
        if text.is_empty() {
            return Ok(None);
        }
        text.parse().map(Some).map_err(|wrong: T::Err| PageWrong::Typed(wrong.to_string()))
    }

    /// A field in words that has to be there.
    pub(super) fn words(&self, name: &str, what: &str) -> Result<String, PageWrong> {
        let words = self.get(name);
        if words.is_empty() {
            return Err(PageWrong::Typed(format!("{what} is empty; say it in words")));
        }
        Ok(words.replace("\r\n", "\n"))
    }

    /// The moment at which the form is taken, on the clock of whoever sent it.
    pub(super) fn moment(&self, now: i64) -> Moment {
        let offset: i16 = self.get("offset").parse().unwrap_or(0);
        Moment { secs: now, offset_min: offset.clamp(-840, 840) }
    }

    /// Fields out of an encoded text.
    pub(super) fn decode(bytes: &[u8]) -> Form {
        let mut fields: BTreeMap<String, Vec<String>> = BTreeMap::new();
        for (name, value) in form_urlencoded::parse(bytes).take(FIELDS_MAX) {
            fields.entry(name.into_owned()).or_default().push(value.into_owned());
        }
        Form(fields)
    }
}

/// Whether a request comes from a page of this hub. Browsers say so themselves; a request that says nothing
/// is not taken.
fn from_here(headers: &HeaderMap) -> bool {
    let text = |name: &str| headers.get(name).and_then(|value| value.to_str().ok());
    if let Some(site) = text("sec-fetch-site") {
        return site == "same-origin";
    }
    let host = text(header::HOST.as_str());
    let origin = text(header::ORIGIN.as_str()).and_then(|origin| origin.split_once("://"));
    origin.is_some_and(|(_, authority)| Some(authority) == host)
}

/// Reads a form that nobody has to be signed in for.
pub(super) async fn open(
    app: &Shared,
    peer: &Peer,
    headers: &HeaderMap,
    body: Body,
) -> Result<(Form, String), PageWrong> {
    if !from_here(headers) {
        return Err(PageWrong::Form);
    }
    let read = body::read_form(app, peer, headers, body, FORM_MAX).await?;
    Ok((Form::decode(&read.body), read.sender))
}

/// A form of somebody who is signed in: sent from a page of this hub, with the token of their session, of at
/// most so many bytes.
#[derive(Debug)]
pub(super) struct Posted<const MOST: usize = FORM_MAX> {
    /// The state.
    pub(super) app: Shared,
    /// Who sent it.
    pub(super) signed: Signed,
    /// The request's headers.
    pub(super) headers: HeaderMap,
    /// The fields.
    pub(super) form: Form,
}

impl<const MOST: usize> FromRequest<Shared> for Posted<MOST> {
    type Rejection = PageWrong;

    async fn from_request(request: Request, app: &Shared) -> Result<Self, PageWrong> {
        let (mut parts, body) = request.into_parts();
        let signed = Signed::from_request_parts(&mut parts, app).await?;
        let headers = parts.headers;
        if !from_here(&headers) {
            return Err(PageWrong::Form);
        }
        let bytes = body::bounded(app, &headers, body, MOST, body::FORM).await?;
        let form = Form::decode(&bytes);
        if !same(form.get("token"), &form_token(&signed.token)) {
            return Err(PageWrong::Form);
        }
        Ok(Posted { app: Shared::clone(app), signed, headers, form })
    }
}

impl<const MOST: usize> Posted<MOST> {
    /// Carries a deed out; what the record refuses is said on a page.
    pub(super) async fn act(&self, deed: Deed) -> Result<(), PageWrong> {
        let (acting, moment) = (self.signed.acting.clone(), self.form.moment(self.app.now()));
        on_hub(&self.app, move |hub, _| done(hub.act(&acting, moment, &deed).map(drop))).await?
    }
}

/// Compares without telling by the time how far two texts agree.
fn same(one: &str, other: &str) -> bool {
    blake3::hash(one.as_bytes()) == blake3::hash(other.as_bytes())
}

#[cfg(test)]
mod tests {
    use super::*;
    use axum::http::HeaderValue;

    #[test]
    fn a_form_of_another_origin_or_of_none_is_not_taken() {
        let of = |pairs: &[(&'static str, &'static str)]| {
            let mut headers = HeaderMap::new();
            for (name, value) in pairs {
                headers.insert(*name, HeaderValue::from_static(value));
            }
            from_here(&headers)
        };
        assert!(of(&[("sec-fetch-site", "same-origin")]));
        assert!(!of(&[("sec-fetch-site", "cross-site"), ("host", "h"), ("origin", "https://h")]));
        assert!(of(&[("host", "h:8"), ("origin", "https://h:8")]));
        assert!(!of(&[("host", "h"), ("origin", "https://evil")]));
        assert!(!of(&[("host", "h"), ("origin", "null")]));
        assert!(!of(&[("host", "h")]));
    }
}
