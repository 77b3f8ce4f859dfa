//! The way to the hub: one small POST after the other on one kept connection.

use std::path::Path;
use std::time::Duration;

use ureq::tls::{Certificate, RootCerts, TlsConfig, TlsProvider};
use ureq::{Agent, Proxy};

/// Most bytes of an answer.
const ANSWER_BYTES_MAX: u64 = 16 * 1024 * 1024;

/// Seconds that one request may take.
const REQUEST_SECONDS: u64 = 120;

/// An answer of the hub.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Answer {
    /// HTTP status.
    pub status: u16,
    /// Body.
    pub body: Vec<u8>,
}

/// Carries a request to the hub.
pub trait Wire {
    /// Posts bytes to a path of the hub.
    fn post(&mut self, path: &str, body: &[u8]) -> Result<Answer, WireWrong>;
}

/// Why the hub could not be asked.
#[derive(Debug, thiserror::Error)]
pub enum WireWrong {
    /// The address is none.
    #[error(
        "'{0}' is not an address of a hub; write it as https://hub.example or https://10.0.0.5:8443"
    )]
    Address(String),
    /// The certificates to trust cannot be read.
    #[error("the certificates in {file} cannot be read: {wrong}")]
    Trust {
        /// The file.
        file: String,
        /// What is wrong.
        wrong: String,
    },
    /// Nobody answered.
    #[error("the hub at {address} did not answer: {wrong}")]
    Silent {
        /// The address.
        address: String,
        /// What went wrong.
        wrong: String,
    },
    /// The other side's certificate is not trusted.
    #[error("the hub at {address} shows a certificate that is not trusted: {wrong}")]
    Certificate {
        /// The address.
        address: String,
        /// What went wrong.
        wrong: String,
    },
}

/// The hub over HTTP.
#[derive(Debug)]
pub struct Http {
    agent: Agent,
    address: String,
}

/// An address in its one form: with its scheme, without a path or a slash at the end.
pub fn tidy_address(typed: &str) -> Result<String, WireWrong> {
    let wrong = || WireWrong::Address(typed.chars().take(120).collect());
    let (scheme, host) = match typed.trim().split_once("://") {
        Some((scheme, host)) => (scheme.to_ascii_lowercase(), host),
        None => ("https".to_owned(), typed.trim()),
    };
    let host = host.trim_end_matches('/');
    let known = matches!(scheme.as_str(), "http" | "https");
    let bad = |letter: char| {
        letter.is_whitespace() || letter.is_control() || matches!(letter, '/' | '?' | '#' | '@')
    };
    if !known || host.is_empty() || host.contains(bad) {
        return Err(wrong());
    }
    let address = format!("{scheme}://{host}");
    match address.parse::<ureq::http::Uri>() {
        Ok(uri) if uri.host().is_some_and(|host| !host.is_empty()) => Ok(address),
        _ => Err(wrong()),
    }
}

/// Whether an address is one of this machine.
pub fn loopback(address: &str) -> bool {
    let uri: Option<ureq::http::Uri> = address.parse().ok();
    let host = uri.as_ref().and_then(|uri| uri.host()).unwrap_or_default();
    let host = host.trim_start_matches('[').trim_end_matches(']');
    host == "localhost" || host.parse::<std::net::IpAddr>().is_ok_and(|ip| ip.is_loopback())
}

impl Http {
    /// A connection to a hub. Nothing is sent yet.
    pub fn new(address: &str, trust: Option<&Path>) -> Result<Http, WireWrong> {
        let address = tidy_address(address)?;
        let roots = match trust {
            None => RootCerts::WebPki,
            Some(file) => RootCerts::new_with_certs(&certificates(file)?),
        };
        let tls = TlsConfig::builder().provider(TlsProvider::Rustls).root_certs(roots).build();
        let proxy = if loopback(&address) { None } else { Proxy::try_from_env() };
        // No header that the hub does not need: an idle exchange is a few dozen bytes of body.
        let config = Agent::config_builder()
            .tls_config(tls)
            .proxy(proxy)
            .user_agent("")
            .accept("")
            .accept_encoding("")
            .max_redirects(0)
            .http_status_as_error(false)
            .timeout_connect(Some(Duration::from_secs(15)))
            .timeout_global(Some(Duration::from_secs(REQUEST_SECONDS)))
            .build();
        Ok(Http { agent: config.new_agent(), address })
    }

    fn silent(&self, wrong: &ureq::Error) -> WireWrong {
        let address = self.address.clone();
        let words = wrong.to_string();
        let certificate = matches!(wrong, ureq::Error::Rustls(_))
            || words.contains("certificate")
            || words.contains("UnknownIssuer");
        if certificate {
            WireWrong::Certificate { address, wrong: words }
        } else {
            WireWrong::Silent { address, wrong: words }
        }
    }
}

fn certificates(file: &Path) -> Result<Vec<Certificate<'static>>, WireWrong> {
    let wrong = |wrong: String| WireWrong::Trust { file: file.display().to_string(), wrong };
    let pem = std::fs::read(file).map_err(|cause| wrong(cause.to_string()))?;
    let mut found = vec![];
    for item in ureq::tls::parse_pem(&pem) {
        match item {
            Ok(ureq::tls::PemItem::Certificate(one)) => found.push(one),
            Ok(_) => {}
            Err(cause) => return Err(wrong(cause.to_string())),
        }
    }
    if found.is_empty() {
        return Err(wrong("it holds no certificate in PEM form".to_owned()));
    }
    Ok(found)
}

impl Wire for Http {
    fn post(&mut self, path: &str, body: &[u8]) -> Result<Answer, WireWrong> {
        let url = format!("{}{path}", self.address);
        let sent = self
            .agent
            .post(&url)
            .header("content-type", "application/octet-stream")
            .send(body)
            .map_err(|wrong| self.silent(&wrong))?;
        let status = sent.status().as_u16();
        let mut answer = sent.into_body();
        let body = answer
            .with_config()
            .limit(ANSWER_BYTES_MAX)
            .read_to_vec()
            .map_err(|wrong| self.silent(&wrong))?;
        Ok(Answer { status, body })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn addresses_are_read_in_one_form() {
        for (typed, tidy) in [
            ("hub.example", "https://hub.example"),
            ("HTTP://127.0.0.1:8080/", "http://127.0.0.1:8080"),
            ("https://[::1]:8443", "https://[::1]:8443"),
        ] {
            assert_eq!(tidy_address(typed).unwrap(), tidy);
        }
        for typed in ["", "ftp://hub", "https://", "https://a b", "https://u@hub", "https://hub/x"]
        {
            assert!(tidy_address(typed).is_err(), "{typed}");
        }
    }

    #[test]
    fn this_machine_is_known() {
        for address in ["http://127.0.0.1:1", "http://[::1]:1", "http://localhost:1"] {
            assert!(loopback(address), "{address}");
        }
        assert!(!loopback("https://hub.example"));
    }
}
