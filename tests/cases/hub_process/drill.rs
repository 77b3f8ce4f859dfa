//! The drill: a backup while devices push, the hub lost, the backup brought back, and nothing missing.

use std::sync::atomic::{AtomicBool, Ordering};
use std::time::Duration;

use client_core::device::Unsent;
use client_core::exchange::frame;
use client_core::exchange::office::{Order, OrderReply};
use client_core::record::code::Role;
use client_core::store::pictures::Pictures;
use tests::net::guest::Lost;
use tests::net::{Guest, TempFolder};
use tests::world::Seeded;

use super::{Running, entries, now, run, said, supervisor, technician};
use crate::hub_rules::{SITE, enter};

#[test]
fn a_backup_that_is_brought_back_loses_nothing_that_devices_hold() {
    let place = TempFolder::new("drill");
    let folder = place.join("hub");
    let mut random = Seeded::new(74);
    let hub = Running::start(&folder, &[]);
    let mut boss = supervisor(&hub, &mut random);
    let mut ilse = technician(&hub.url, &mut boss, "Ilse", &mut random);
    let picture = *blake3::hash(b"picture").as_bytes();
    Pictures::new(folder.join("photos")).put(&picture, 7, 0, b"picture").unwrap();
    let url = hub.url.clone();
    let stop = AtomicBool::new(false);
    let backup = place.join("backups/first");
    let made = std::thread::scope(|scope| {
        let pushing = scope.spawn(|| {
            let mut made = 0;
            while !stop.load(Ordering::SeqCst) {
                enter(&mut ilse.device, SITE, 300 + made);
                made += 1;
                assert_eq!(ilse.exchange(&url, now()).unwrap().echoed, 1);
            }
            made
        });
        std::thread::sleep(Duration::from_millis(100));
        let taken = run(&folder, &["backup", backup.to_str().unwrap()]);
        assert!(taken.status.success(), "{}", said(&taken));
        std::thread::sleep(Duration::from_millis(100));
        stop.store(true, Ordering::SeqCst);
        usize::try_from(pushing.join().unwrap()).unwrap()
    });
    // Somebody joins after the backup, works, and the hub's machine is lost with all it holds.
    let mut dov = technician(&hub.url, &mut boss, "Dov", &mut random);
    enter(&mut dov.device, SITE, 999);
    assert_eq!(dov.exchange(&hub.url, now()).unwrap().echoed, 1);
    hub.kill();
    let again = run(&folder, &["restore", backup.to_str().unwrap()]);
    assert_eq!(again.status.code(), Some(1));
    assert!(said(&again).contains("nothing is overwritten"), "{}", said(&again));
    let twice = run(&folder, &["backup", backup.to_str().unwrap()]);
    assert!(said(&twice).contains("it is there already"), "{}", said(&twice));

    let fresh = place.join("fresh");
    let restored = run(&fresh, &["restore", backup.to_str().unwrap()]);
    assert!(restored.status.success(), "{}", said(&restored));
    assert!(said(&restored).contains("the log holds together"), "{}", said(&restored));
    let pictures = Pictures::new(fresh.join("photos"));
    assert_eq!(pictures.read(&picture).unwrap().as_deref(), Some(&b"picture"[..]));
    let hub = Running::start(&fresh, &[]);
    let report = ilse.exchange(&hub.url, now()).unwrap();
    assert!(report.wrong.is_empty(), "{:?}", report.wrong);
    assert_eq!(ilse.device.unsent(SITE).unwrap(), Unsent::default());
    boss.exchange(&hub.url, now()).unwrap();
    assert!(entries(&mut boss, SITE) >= made, "{made} were acknowledged");

    // The restored hub does not know who joined since: with a new code for the same person and key the
    // device goes on, and nothing of its work is lost.
    let lost = dov.exchange(&hub.url, now());
    assert!(matches!(&lost, Err(Lost::Said(said)) if said.status == 401), "{lost:?}");
    rejoin(&mut dov, &mut boss, &hub.url);
    let report = dov.exchange(&hub.url, now()).unwrap();
    assert!(report.wrong.is_empty(), "{:?}", report.wrong);
    boss.exchange(&hub.url, now()).unwrap();
    assert_eq!(entries(&mut boss, SITE), made + 1, "everything, once");
    hub.stop();
    let checked = run(&fresh, &["check"]);
    assert!(checked.status.success(), "{}", said(&checked));
}

/// Joins again with the key that the device has.
fn rejoin(guest: &mut Guest, boss: &mut Guest, url: &str) {
    let person = Some(guest.device.identity().person);
    let order = Order::NewCode { person, role: Role::Technician, sites: Some(vec![SITE]) };
    let OrderReply::Code { code, .. } = boss.order(url, now(), &order).unwrap() else {
        panic!("no code")
    };
    let key = ed25519_dalek::SigningKey::from_bytes(&guest.device.identity().secret);
    let ask = tests::net::guest::joining(&key, &code, "Dov");
    let said = guest.post(url, "/enrol/1", &frame::encode(&ask)).unwrap();
    assert_eq!(said.status, 200);
}
