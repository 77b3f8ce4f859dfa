//! What one device, one address and all together may ask.

use std::time::Duration;

use axum::body::Body;
use axum::http::Method;
use client_core::exchange::frame;
use server::config::Settings;
use server::quota::Quota;
use tests::net::Hall;
use tests::net::hall::{Answer, ask};
use tokio_stream::StreamExt;

use super::{AT, boss, exchange, hall, idle, technician};
use crate::hub_rules::{SITE, begin};
use crate::thread::NOW;

#[test]
fn a_device_has_its_share_and_colleagues_at_the_same_address_have_theirs() {
    let mut settings = Settings::in_folder("");
    settings.quota = Quota { requests_per_s: 2, requests_burst: 10, bytes_per_hour: 20_000_000 };
    let hall = Hall::new(50, NOW, &settings, None);
    let mut boss = boss(&hall);
    let mut ilse = technician(&hall, &mut boss, "Ilse", Some(vec![SITE]));
    // The order for the code was the first of the ten.
    for _ in 0..9 {
        assert_eq!(hall.post(AT, frame::PATH, &idle(&mut boss)).status, 200);
    }
    let answer = hall.post(AT, frame::PATH, &idle(&mut boss));
    assert_eq!(
        (answer.status, answer.text().as_str()),
        (429, "this device asks more than its share; wait 1 s")
    );
    assert_eq!(answer.headers["retry-after"], "1");
    assert_eq!(hall.post(AT, frame::PATH, &idle(&mut ilse)).status, 200);
    hall.clock.fetch_add(1, std::sync::atomic::Ordering::Relaxed);
    assert_eq!(hall.post(AT, frame::PATH, &idle(&mut boss)).status, 200, "a second later");
}

#[test]
fn a_device_that_sends_too_many_bytes_waits() {
    let mut settings = Settings::in_folder("");
    settings.quota.bytes_per_hour = 3_000_000;
    let hall = Hall::new(51, NOW, &settings, None);
    let mut boss = boss(&hall);
    let big = frame::encode(&frame::Ask {
        clock: NOW,
        packs: Some(vec![frame::SitePack { site: SITE, pack: vec![0; 1_000_000].into() }]),
        ..frame::Ask::default()
    });
    let mut statuses = vec![];
    for at in 0..4 {
        let request = boss.signed_request(frame::PATH, NOW + at, &big);
        statuses.push(hall.post(AT, frame::PATH, &request).status);
    }
    assert_eq!(statuses, [200, 200, 200, 429]);
}

#[test]
fn strangers_are_limited_by_address_and_do_not_disturb_anybody_else() {
    let mut settings = Settings::in_folder("");
    settings.quota = Quota { requests_per_s: 1, requests_burst: 5, bytes_per_hour: 20_000_000 };
    let hall = Hall::new(52, NOW, &settings, None);
    let mut boss = boss(&hall);
    let statuses: Vec<u16> =
        (0..6).map(|_| hall.post("198.51.100.1", frame::PATH, &[7]).status).collect();
    assert_eq!(statuses, [400, 400, 400, 400, 400, 429]);
    let answer = hall.post("198.51.100.1", frame::PATH, &[7]);
    assert_eq!(answer.text(), "this address asks more than its share; wait 1 s");
    assert_eq!(hall.post("198.51.100.2", frame::PATH, &[7]).status, 400, "another address");
    assert_eq!(hall.post(AT, frame::PATH, &idle(&mut boss)).status, 200);
    // A proxy of our own tells who asks; what stands before its word is what it was told.
    settings.behind_proxy = true;
    let proxied = Hall::new(53, NOW, &settings, None);
    let ask = |told: &str| {
        let told = [("x-forwarded-for", told)];
        proxied.ask("127.0.0.1", &Method::POST, frame::PATH, &told, vec![7]).status
    };
    for _ in 0..5 {
        assert_eq!(ask("203.0.113.5, 198.51.100.1"), 400);
    }
    assert_eq!(ask("203.0.113.6, 198.51.100.1"), 429);
    assert_eq!(ask("198.51.100.1, 198.51.100.2"), 400);
}

/// A body that begins and never goes on.
fn endless() -> Body {
    let first = tokio_stream::once(Ok::<_, std::io::Error>(vec![1u8]));
    Body::from_stream(first.chain(tokio_stream::pending()))
}

#[test]
fn a_body_that_does_not_come_is_not_waited_for() {
    let mut settings = Settings::in_folder("");
    settings.waits.body = Duration::from_millis(30);
    let hall = Hall::new(54, NOW, &settings, None);
    let answer = hall.ask(AT, &Method::POST, frame::PATH, &[], endless());
    assert_eq!((answer.status, answer.text().as_str()), (408, "the body did not come within 0 s"));
}

#[test]
fn a_body_that_is_longer_than_it_may_is_cut_off_while_it_comes() {
    let hall = hall(55);
    let chunk = tokio_stream::iter((0..).map(|_| Ok::<_, std::io::Error>(vec![0u8; 100_000])));
    let answer = hall.ask(AT, &Method::POST, frame::PATH, &[], Body::from_stream(chunk));
    assert_eq!(
        (answer.status, answer.text().as_str()),
        (413, "the body has more than 1048576 bytes")
    );
    let broken = tokio_stream::iter([Ok(vec![1u8]), Err(std::io::Error::other("gone"))]);
    let answer = hall.ask(AT, &Method::POST, frame::PATH, &[], Body::from_stream(broken));
    assert_eq!((answer.status, answer.text().as_str()), (400, "the body broke off"));
}

#[test]
fn when_too_many_are_under_way_the_next_is_told_to_come_back() {
    let mut settings = Settings::in_folder("");
    settings.limits.requests_at_once = 3;
    settings.limits.requests_at_once_per_address = 2;
    let hall = Hall::new(56, NOW, &settings, None);
    let mut boss = boss(&hall);
    let quick = idle(&mut boss);
    hall.block_on(async {
        let slow = |from: &'static str| {
            let router = hall.router.clone();
            async move { ask(router, from, &Method::POST, frame::PATH, &[], endless()).await }
        };
        let next = |from: &'static str| {
            let (router, quick) = (hall.router.clone(), quick.clone());
            async move { ask(router, from, &Method::POST, frame::PATH, &[], quick).await }
        };
        let busy = |answer: Answer| {
            assert_eq!(answer.headers["retry-after"], "2");
            let words = "the hub has more to do than it can; try again in a moment";
            assert_eq!((answer.status, answer.text().as_str()), (503, words));
        };
        let mut held = vec![];
        for from in ["198.51.100.1", "198.51.100.1"] {
            let mut one = Box::pin(slow(from));
            assert!(tokio::time::timeout(Duration::from_millis(5), &mut one).await.is_err());
            held.push(one);
        }
        busy(next("198.51.100.1").await);
        assert_eq!(next("198.51.100.2").await.status, 200, "another address still gets in");
        let mut one = Box::pin(slow("198.51.100.3"));
        assert!(tokio::time::timeout(Duration::from_millis(5), &mut one).await.is_err());
        busy(next("198.51.100.2").await);
        drop((held, one));
        assert_ne!(next("198.51.100.1").await.status, 503, "they have gone");
    });
}

#[test]
fn the_first_exchange_of_a_company_stays_within_its_share() {
    let hall = hall(57);
    let mut boss = boss(&hall);
    for site in 0..30u8 {
        begin(&mut boss, client_core::record::id::SiteId([site; 8]));
    }
    assert_eq!(exchange(&hall, &mut boss).unwrap().echoed, 30);
}
