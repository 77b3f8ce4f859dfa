//! The phone's files, as the bundle left them: read once, handed out compressed where the browser takes it,
//! under a policy that lets nothing in from anywhere else.

use std::collections::BTreeMap;
use std::io;
use std::path::Path;
use std::sync::Arc;

use axum::Router;
use axum::extract::{Path as At, State};
use axum::http::{HeaderMap, HeaderValue, StatusCode, header};
use axum::response::{IntoResponse, Redirect, Response};
use axum::routing::get;

/// Where the phone's files are found.
pub const PATH: &str = "/phone/";

/// What a page of the phone may do: its own scripts and wasm, its own hub, nothing else.
const POLICY: &str = "default-src 'none'; script-src 'self' 'wasm-unsafe-eval'; style-src 'self'; \
     img-src 'self' blob:; media-src 'self' blob:; font-src 'self'; connect-src 'self'; worker-src 'self'; \
     manifest-src 'self'; form-action 'none'; base-uri 'none'; frame-ancestors 'none'; \
     trusted-types dripleg; require-trusted-types-for 'script'";

/// One file in up to three forms.
#[derive(Debug)]
struct File {
    kind: &'static str,
    plain: Vec<u8>,
    brotli: Option<Vec<u8>>,
    gzip: Option<Vec<u8>>,
    tag: HeaderValue,
}

/// Every file by its name.
type Files = Arc<BTreeMap<String, File>>;

/// Routes for the files of a bundle. `/join` leads to them: a link's code behind the `#` stays with the
/// browser.
///
/// # Errors
/// When the folder cannot be read or holds no bundle.
pub fn shell(folder: &Path) -> io::Result<Router> {
    let mut files = BTreeMap::new();
    read(folder, folder, &mut files)?;
    if !files.contains_key("index.html") {
        let words = format!("{} holds no bundle of the phone", folder.display());
        return Err(io::Error::new(io::ErrorKind::NotFound, words));
    }
    let files: Files = Arc::new(files);
    Ok(Router::new()
        .route("/join", get(async || Redirect::to(PATH)))
        .route("/phone", get(async || Redirect::to(PATH)))
        .route("/phone/", get(index))
        .route("/phone/{*name}", get(file))
        .with_state(files))
}

fn read(top: &Path, folder: &Path, files: &mut BTreeMap<String, File>) -> io::Result<()> {
    for entry in std::fs::read_dir(folder)? {
        let path = entry?.path();
        if path.is_dir() {
            read(top, &path, files)?;
            continue;
        }
        let ending = path.extension().and_then(|ending| ending.to_str()).unwrap_or_default();
        if matches!(ending, "br" | "gz") {
            continue;
        }
        let beside = |ending: &str| {
            let mut name = path.as_os_str().to_owned();
            name.push(".");
            name.push(ending);
            std::fs::read(Path::new(&name)).ok()
        };
        let plain = std::fs::read(&path)?;
        let name = path.strip_prefix(top).unwrap_or(&path);
        let parts = name.components().map(|part| part.as_os_str().to_string_lossy());
        let own = File {
            kind: kind(ending),
            tag: tag(&plain),
            brotli: beside("br"),
            gzip: beside("gz"),
            plain,
        };
        files.insert(parts.collect::<Vec<_>>().join("/"), own);
    }
    Ok(())
}

fn kind(ending: &str) -> &'static str {
    match ending {
        "html" => "text/html; charset=utf-8",
        "css" => "text/css; charset=utf-8",
        "js" => "text/javascript; charset=utf-8",
        "wasm" => "application/wasm",
        "woff2" => "font/woff2",
        "svg" => "image/svg+xml",
        "png" => "image/png",
        "webmanifest" => "application/manifest+json",
        "txt" => "text/plain; charset=utf-8",
        _ => "application/octet-stream",
    }
}

/// A tag of the content: FNV-1a, 64 bits. It tells versions apart, it protects nothing.
fn tag(content: &[u8]) -> HeaderValue {
    let step = |hash: u64, byte: &u8| (hash ^ u64::from(*byte)).wrapping_mul(0x0000_0100_0000_01b3);
    let hash = content.iter().fold(0xcbf2_9ce4_8422_2325, step);
    HeaderValue::from_str(&format!("\"{hash:016x}\""))
        .expect("hexadecimal digits are a header value")
}

async fn index(files: State<Files>, headers: HeaderMap) -> Response {
    answer(&files, "index.html", &headers)
}

async fn file(files: State<Files>, At(name): At<String>, headers: HeaderMap) -> Response {
    answer(&files, &name, &headers)
}

fn answer(files: &Files, name: &str, asked: &HeaderMap) -> Response {
    let Some(file) = files.get(name) else {
        return (StatusCode::NOT_FOUND, "there is nothing at this address\n").into_response();
    };
    let mut headers = HeaderMap::new();
    let fixed = [
        (header::CONTENT_TYPE, file.kind),
        (header::CACHE_CONTROL, "no-cache"),
        (header::VARY, "accept-encoding"),
        (header::CONTENT_SECURITY_POLICY, POLICY),
        (header::X_CONTENT_TYPE_OPTIONS, "nosniff"),
        (header::REFERRER_POLICY, "no-referrer"),
    ];
    for (name, value) in fixed {
        headers.insert(name, HeaderValue::from_static(value));
    }
    headers.insert("cross-origin-opener-policy", HeaderValue::from_static("same-origin"));
    headers.insert("cross-origin-resource-policy", HeaderValue::from_static("same-origin"));
    headers.insert(header::ETAG, file.tag.clone());
    if asked.get(header::IF_NONE_MATCH) == Some(&file.tag) {
        return (StatusCode::NOT_MODIFIED, headers).into_response();
    }
    let takes = |coding: &str| {
        let listed = asked.get(header::ACCEPT_ENCODING).and_then(|value| value.to_str().ok());
        listed.is_some_and(|listed| {
            listed.split(',').any(|one| one.split(';').next().unwrap_or_default().trim() == coding)
        })
    };
    let body = match (&file.brotli, &file.gzip) {
        (Some(packed), _) if takes("br") => {
            headers.insert(header::CONTENT_ENCODING, HeaderValue::from_static("br"));
            packed.clone()
        }
        (_, Some(packed)) if takes("gzip") => {
            headers.insert(header::CONTENT_ENCODING, HeaderValue::from_static("gzip"));
            packed.clone()
        }
        _ => file.plain.clone(),
    };
    (headers, body).into_response()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn files() -> Files {
        let own = File {
            kind: kind("wasm"),
            plain: vec![0; 100],
            brotli: Some(vec![1; 10]),
            gzip: Some(vec![2; 20]),
            tag: tag(&[0; 100]),
        };
        Arc::new(BTreeMap::from([("phone.wasm".to_owned(), own)]))
    }

    fn ask(accepts: &str) -> Response {
        let mut headers = HeaderMap::new();
        headers.insert(header::ACCEPT_ENCODING, HeaderValue::from_str(accepts).unwrap());
        answer(&files(), "phone.wasm", &headers)
    }

    #[test]
    fn a_browser_gets_the_smallest_form_that_it_takes() {
        for (accepts, coding) in
            [("gzip, deflate, br", Some("br")), ("gzip;q=1.0", Some("gzip")), ("identity", None)]
        {
            let response = ask(accepts);
            let found =
                response.headers().get(header::CONTENT_ENCODING).map(|own| own.to_str().unwrap());
            assert_eq!(found, coding, "{accepts}");
            assert_eq!(response.headers()[header::CONTENT_TYPE], "application/wasm");
        }
    }

    #[test]
    fn what_was_fetched_is_not_fetched_again_and_nothing_else_is_there() {
        let mut headers = HeaderMap::new();
        headers.insert(header::IF_NONE_MATCH, files()["phone.wasm"].tag.clone());
        assert_eq!(answer(&files(), "phone.wasm", &headers).status(), StatusCode::NOT_MODIFIED);
        assert_eq!(
            answer(&files(), "../secret", &HeaderMap::new()).status(),
            StatusCode::NOT_FOUND
        );
        assert!(POLICY.contains("default-src 'none'") && !POLICY.contains("unsafe-inline"));
    }
}
