//! The invented scenario from the first entry to the last signature, every figure checked.

use std::collections::BTreeMap;

use client_core::record::code::Role;
use client_core::record::id::SiteId;
use client_core::store::MemoryBytes;
use tests::story::player::Who;
use tests::story::tell::Summary;
use tests::story::{Player, tell};
use tests::world::hub::{MANNER, store_on};
use tests::world::{HubDisk, Joined, Seeded, enrol, exchange, hub_on};

/// Plays the whole story in one thread; answers who played, what it came to, what was told.
pub(crate) fn played() -> (Player, Summary, String) {
    let mut random = Seeded::new(20_241_008);
    let disk = HubDisk::default();
    let mut hub = hub_on(disk.log, disk.view, &mut random).unwrap();
    let site = SiteId([0x0a; 8]);
    let mut devices = BTreeMap::new();
    for who in Who::ALL {
        let technician = who != Who::Oriane;
        let joined = Joined {
            name: who.name().to_owned(),
            person: None,
            role: if technician { Role::Technician } else { Role::Supervisor },
            sites: technician.then(|| vec![site]),
        };
        let store = store_on(MemoryBytes::default(), MANNER).unwrap();
        devices.insert(who, enrol(&mut hub, store, &joined, 1_727_000_000, &mut random).unwrap());
    }
    let mut player = Player::new(devices, site, random.fork());
    let mut told = vec![];
    let mut link = |device: &mut client_core::device::Device, clock: i64| {
        // The hub's own clock is right; on one day one phone's is not.
        let ahead =
            if clock > 1_737_500_000 && clock < 1_737_600_000 { hub_ahead(device) } else { 0 };
        exchange(device, &mut hub, clock, clock - ahead, vec![])
    };
    let outcome = tell::tell(&mut player, &mut link, &|| 0, &mut told);
    let told = String::from_utf8(told).unwrap();
    let summary = outcome.unwrap_or_else(|wrong| panic!("{told}\n{wrong}"));
    (player, summary, told)
}

#[test]
fn the_story_is_told_as_the_scenario_says() {
    let (_, summary, told) = played();
    assert_eq!(summary.readings, 737);
    for line in told.lines() {
        assert!(line.chars().count() <= 79, "too long: {line}");
    }
}

fn hub_ahead(device: &client_core::device::Device) -> i64 {
    if device.identity().label.starts_with("Dov") { tests::story::day::AHEAD_S } else { 0 }
}
