//! A hub that is killed while devices push, and one that is stopped gracefully.

use std::sync::Arc;
use std::sync::atomic::{AtomicBool, AtomicUsize, Ordering};
use std::time::Duration;

use tests::net::guest::Lost;
use tests::net::{Guest, TempFolder};
use tests::world::Seeded;

use super::{Running, entries, now, run, said, supervisor, technician};
use crate::hub_rules::{SITE, enter};

/// How often the hub is killed, unless somebody wants more.
const KILLS: usize = 6;

fn kills() -> usize {
    std::env::var("DRIPLEG_KILLS").ok().and_then(|text| text.parse().ok()).unwrap_or(KILLS)
}

/// Pushes one entry after the other until the hub is gone; counts what it acknowledged.
fn push(guest: &mut Guest, url: &str, acknowledged: &AtomicUsize, made: &mut usize) {
    loop {
        let waiting = guest.device.unsent(SITE).unwrap();
        if waiting == client_core::device::Unsent::default() {
            enter(&mut guest.device, SITE, 300 + i64::try_from(*made).unwrap());
            *made += 1;
        }
        match guest.exchange(url, now()) {
            Ok(report) => {
                assert!(report.wrong.is_empty(), "{:?}", report.wrong);
                acknowledged.fetch_add(usize::try_from(report.echoed).unwrap(), Ordering::SeqCst);
            }
            Err(Lost::Net(_)) => return,
            Err(Lost::Said(said)) if said.status == 503 => return,
            Err(other) => panic!("{other:?}"),
        }
    }
}

#[test]
fn killed_again_and_again_it_loses_nothing_that_it_acknowledged() {
    let place = TempFolder::new("kill");
    let folder = place.join("hub");
    let mut random = Seeded::new(72);
    let hub = Running::start(&folder, &[]);
    let mut boss = supervisor(&hub, &mut random);
    let mut guests: Vec<Guest> = ["Ilse", "Dov"]
        .into_iter()
        .map(|name| technician(&hub.url, &mut boss, name, &mut random))
        .collect();
    let mut made = [0, 0];
    let acknowledged = AtomicUsize::new(0);
    let mut running = Some(hub);
    for round in 0..kills() {
        let hub = running.take().unwrap_or_else(|| Running::start(&folder, &[]));
        let before = acknowledged.load(Ordering::SeqCst);
        let url = hub.url.clone();
        std::thread::scope(|scope| {
            for (guest, made) in guests.iter_mut().zip(&mut made) {
                let (url, acknowledged) = (url.clone(), &acknowledged);
                scope.spawn(move || push(guest, &url, acknowledged, made));
            }
            std::thread::sleep(Duration::from_millis(60 + random.below(140)));
            hub.kill();
        });
        let after = acknowledged.load(Ordering::SeqCst);
        assert!(round > 0 || after > before, "nothing was acknowledged before the kill");
        let checked = run(&folder, &["check"]);
        assert!(checked.status.success(), "kill {round}: {}", said(&checked));
    }
    let hub = Running::start(&folder, &[]);
    for guest in &mut guests {
        let report = guest.exchange(&hub.url, now()).unwrap();
        assert!(report.wrong.is_empty(), "{:?}", report.wrong);
    }
    boss.exchange(&hub.url, now()).unwrap();
    let all: usize = made.iter().sum();
    assert!(acknowledged.load(Ordering::SeqCst) <= all);
    assert_eq!(entries(&mut boss, SITE), all, "every entry is there, once");
    hub.stop();
    let checked = run(&folder, &["check"]);
    assert!(said(&checked).contains(&format!("({} deliveries", all + 1)), "{}", said(&checked));
}

#[test]
fn stopped_gracefully_it_answers_what_is_under_way_and_lets_go() {
    let place = TempFolder::new("stop");
    let folder = place.join("hub");
    let mut random = Seeded::new(73);
    let hub = Running::start(&folder, &[]);
    let mut boss = supervisor(&hub, &mut random);
    let mut guest = technician(&hub.url, &mut boss, "Ilse", &mut random);
    let url = hub.url.clone();
    let done = Arc::new(AtomicBool::new(false));
    let acknowledged = Arc::new(AtomicUsize::new(0));
    let pushing = {
        let (done, acknowledged) = (Arc::clone(&done), Arc::clone(&acknowledged));
        std::thread::spawn(move || {
            let mut made = 0;
            push(&mut guest, &url, &acknowledged, &mut made);
            done.store(true, Ordering::SeqCst);
            (guest, made)
        })
    };
    while acknowledged.load(Ordering::SeqCst) == 0 && !done.load(Ordering::SeqCst) {
        std::thread::sleep(Duration::from_millis(5));
    }
    assert!(!done.load(Ordering::SeqCst), "it is still pushing");
    let took = hub.stop();
    // Idle connections live for a minute: a stop that waited for them would too.
    assert!(took < Duration::from_secs(30), "it took {took:?}");
    let (mut guest, made) = pushing.join().unwrap();
    let acknowledged = acknowledged.load(Ordering::SeqCst);
    assert!(acknowledged > 0 && made - acknowledged <= 1, "{acknowledged} of {made}");
    assert!(!folder.join("console.sock").exists());
    let hub = Running::start(&folder, &[]);
    guest.exchange(&hub.url, now()).unwrap();
    boss.exchange(&hub.url, now()).unwrap();
    assert_eq!(entries(&mut boss, SITE), made);
    hub.stop();
}
