//! TLS from certificate files, and another certificate without a restart.

use std::path::Path;
use std::sync::Arc;
use std::time::Duration;

use client_core::exchange::frame;
use tests::net::TempFolder;
use ureq::tls::{Certificate, RootCerts, TlsConfig};

use super::{Running, run, said};

/// Writes a certificate of this machine's name; gives an agent that trusts it and no other.
fn certificate(place: &Path) -> ureq::Agent {
    let made = rcgen::generate_simple_self_signed(vec!["localhost".to_owned()]).unwrap();
    std::fs::write(place.join("cert.pem"), made.cert.pem()).unwrap();
    std::fs::write(place.join("key.pem"), made.signing_key.serialize_pem()).unwrap();
    let trusted = Certificate::from_pem(made.cert.pem().as_bytes()).unwrap();
    let tls = TlsConfig::builder().root_certs(RootCerts::Specific(Arc::new(vec![trusted]))).build();
    ureq::Agent::config_builder()
        .tls_config(tls)
        .http_status_as_error(false)
        .timeout_global(Some(Duration::from_secs(10)))
        .proxy(None)
        .build()
        .new_agent()
}

#[test]
fn tls_is_served_from_files_and_read_again_on_a_signal() {
    let place = TempFolder::new("tls");
    let files = |name: &str| place.join(name).to_str().unwrap().to_owned();
    let (cert, key) = (files("cert.pem"), files("key.pem"));
    let tls = ["--tls-certificate", &cert, "--tls-key", &key];
    let folder = place.join("hub");
    let missing = run(&folder, &tls);
    assert_eq!(missing.status.code(), Some(1));
    assert!(said(&missing).contains("cert.pem"), "{}", said(&missing));

    let first = certificate(place.path());
    let hub = Running::start(&folder, &tls);
    let port = hub.url.rsplit(':').next().unwrap().to_owned();
    let url = format!("https://localhost:{port}");
    assert!(hub.url.starts_with("https://127.0.0.1:"), "{}", hub.url);
    let ask = |agent: &ureq::Agent| {
        tests::net::guest::post(agent, &url, frame::PATH, &[7]).map(|said| said.status)
    };
    assert_eq!(ask(&first).unwrap(), 400, "the hub was reached");
    let answer = first.get(format!("{url}/healthz")).call().unwrap();
    assert_eq!(answer.headers()["strict-transport-security"], "max-age=31536000");

    let second = certificate(place.path());
    hub.signal("-HUP");
    let mut tries = 0;
    while ask(&second).is_err() {
        tries += 1;
        assert!(tries < 100, "the new certificate is not served");
        std::thread::sleep(Duration::from_millis(20));
    }
    // A key that does not fit is not taken, and the last good one stays.
    std::fs::write(place.join("key.pem"), "no key").unwrap();
    hub.signal("-HUP");
    std::thread::sleep(Duration::from_millis(200));
    assert_eq!(ask(&second).unwrap(), 400);
    hub.stop();
    let log = std::fs::read_to_string(folder.with_extension("log")).unwrap();
    assert!(log.contains("the old one holds"), "{log}");
}
